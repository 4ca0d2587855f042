//! The help is the program's manual: every command has one, with examples.

use crate::env::Env;

fn commands() -> Vec<String> {
    let help = Env::new().run(&["--help"]).stdout;
    let list = help.split("Commands:\n").nth(1).and_then(|s| s.split("\n\n").next());
    let list = list.expect("a list of commands");
    let first = |line: &str| line.split_whitespace().next().map(str::to_owned);
    list.lines()
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(first)
        .collect()
}

#[test]
fn every_command_explains_itself_with_examples() {
    let commands = commands();
    assert!(commands.len() > 3, "{commands:?}");
    for command in commands.iter().filter(|c| *c != "help") {
        let ran = Env::new().run(&[command, "--help"]);
        assert_eq!(ran.code, 0, "{command}");
        let example = format!("\n  plumbfold {command} ");
        assert!(ran.stdout.contains("Examples:\n"), "{command} has no examples:\n{}", ran.stdout);
        assert!(ran.stdout.contains(&example), "{command} has no example of itself");
        let longest = ran.stdout.lines().map(|l| l.chars().count()).max().unwrap_or(0);
        assert!(longest <= 100, "{command}: a line of {longest} characters");
    }
}

/// `SNAPSHOTS=overwrite cargo test -p plumbfold-cli help` writes the page anew.
#[test]
fn the_reference_page_is_the_help() {
    let mut page = "# Commands\n\nWhat `plumbfold --help` and `plumbfold COMMAND --help` print; \
                    a test keeps this page true.\n"
        .to_owned();
    for command in std::iter::once(String::new()).chain(commands()).filter(|c| c != "help") {
        let args: Vec<&str> =
            [command.as_str(), "--help"].into_iter().filter(|a| !a.is_empty()).collect();
        let help = Env::new().run(&args).stdout;
        // The common options are told once, at the top.
        let own = if command.is_empty() {
            &help
        } else {
            help.split("\nCommon options:").next().unwrap_or(&help)
        };
        let own: Vec<&str> = own.lines().map(str::trim_end).collect();
        let title = format!("plumbfold {command}");
        page +=
            &format!("\n## {}\n\n```text\n{}\n```\n", title.trim_end(), own.join("\n").trim_end());
    }
    snapbox::assert_data_eq!(page, snapbox::file!["../../../../docs/commands.md"].raw());
}

#[test]
fn wrong_command_lines_end_with_two() {
    let env = Env::new();
    for args in [
        &[][..],
        &["chekc", "a.plane"],
        &["new"],
        &["new", "a", "b"],
        &["new", "a", "--set", "tip"],
        &["new", "a", "--set", "=3 mm"],
        &["new", "a", "--creep", "perhaps"],
        &["new", "a", "--color", "purple"],
    ] {
        let ran = env.run(args);
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.stderr);
        assert!(ran.stdout.is_empty(), "{args:?} answered");
    }
    assert!(env.files().is_empty());
}
