//! One word for one idea, in help, reports, page and docs; and examples that are what they say.

use std::path::{Path, PathBuf};

use crate::env::Env;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn read(path: &str) -> String {
    std::fs::read_to_string(root().join(path)).unwrap_or_else(|e| panic!("{path}: {e}"))
}

fn sources(dir: &Path, ending: &str, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).expect("a readable directory").flatten() {
        let path = entry.path();
        if path.is_dir() {
            sources(&path, ending, found);
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
}

/// The texts between quotes of Rust source, without those of tests.
fn quoted(source: &str) -> Vec<String> {
    let source = source.split("#[cfg(test)]").next().unwrap_or(source);
    let code = source.lines().filter(|l| !l.trim_start().starts_with("//"));
    let code = code.collect::<Vec<_>>().join("\n").replace("\\\"", "'");
    code.split('"').skip(1).step_by(2).map(str::to_owned).collect()
}

/// Words that are not ours, and ours for the same idea (docs/glossary.md).
const NOT_OURS: [(&str, &str); 12] = [
    ("centre of gravity", "balance point"),
    ("center of gravity", "balance point"),
    ("centre of mass", "balance point"),
    ("near an edge", "on an edge"),
    ("pairs of hands", "folded and thrown so many times"),
    ("none that is stable", "what becomes of small knocks"),
    ("% sure", "in so many per cent of throws"),
    ("angle of attack", "incidence"),
    ("wingspan", "span"),
    ("launch", "throw"),
    ("from outside", "--set"),
    ("aerofoil", "wing"),
];

/// Where the words stand that people read.
const SAID_IN: [&str; 6] = [
    "crates/plumbfold-view/src",
    "crates/plumbfold-cli/src/report",
    "crates/plumbfold-cli/src/commands",
    "crates/plumbfold/src/verdict",
    "crates/plumbfold/src/study",
    "crates/plumbfold/src/design",
];

#[test]
fn one_word_is_used_for_one_idea() {
    let mut files = Vec::new();
    for dir in SAID_IN {
        sources(&root().join(dir), "rs", &mut files);
    }
    let mut texts: Vec<(String, String)> = Vec::new();
    for file in files {
        let source = std::fs::read_to_string(&file).expect("a readable source");
        // Sources of facts are cited in their own words.
        let cites =
            ["trade_facts.rs", "raised_edge.rs", "validation.rs"].iter().any(|f| file.ends_with(f));
        // Words of others that are understood, with ours beside them.
        let cites = cites || file.ends_with("parser/words.rs");
        if !cites {
            texts.push((file.display().to_string(), quoted(&source).join("\n")));
        }
    }
    for page in ["crates/plumbfold-page/web/strings.js", "docs/commands.md", "README.md"] {
        texts.push((page.to_owned(), read(page)));
    }
    for (file, text) in texts {
        for (word, ours) in NOT_OURS {
            assert!(!text.to_lowercase().contains(word), "{file}: `{word}`; we say `{ours}`");
        }
    }
}

#[test]
fn every_glossary_word_stands_once_and_in_order() {
    let glossary = read("docs/glossary.md");
    let words: Vec<String> = glossary
        .lines()
        .filter(|l| l.starts_with("| ") && !l.starts_with("| word"))
        .filter_map(|l| l.split('|').nth(1).map(|w| w.trim().to_lowercase()))
        .collect();
    assert!(words.len() > 30);
    for pair in words.windows(2) {
        assert!(pair[0] < pair[1], "`{}` stands before `{}`", pair[0], pair[1]);
    }
}

/// The page's own words stand in one file; other modules hold keys only.
#[test]
fn no_module_of_the_page_speaks_for_itself() {
    let mut files = Vec::new();
    sources(&root().join("crates/plumbfold-page/web"), "js", &mut files);
    for file in files.iter().filter(|f| !f.ends_with("strings.js")) {
        let source = std::fs::read_to_string(file).expect("a readable module");
        let code = source.lines().filter(|l| {
            let l = l.trim_start();
            !l.starts_with("//") && !l.starts_with('*') && !l.starts_with("/*")
        });
        for (n, line) in code.enumerate() {
            let spoken = line.split('\'').skip(1).step_by(2).filter(|text| {
                let words = text.split(' ').filter(|w| w.chars().all(char::is_alphabetic));
                let begins = text.starts_with(|c: char| c.is_uppercase());
                begins && words.clone().count() >= 3
            });
            let spoken: Vec<&str> = spoken.collect();
            assert!(spoken.is_empty(), "{}, line {n}: {spoken:?}", file.display());
        }
    }
}

#[test]
fn readme_shows_the_plane_that_is_shipped() {
    let (readme, painter) = (read("README.md"), read("designs/painter.plane"));
    assert!(readme.contains(&format!("```\n{painter}```\n")), "README shows another Painter");
}

#[test]
fn shipped_designs_are_in_the_usual_form() {
    let mut files = Vec::new();
    sources(&root().join("designs"), "plane", &mut files);
    assert_eq!(files.len(), 10);
    let files: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
    let mut args = vec!["format", "--check"];
    args.extend(files.iter().map(String::as_str));
    let ran = Env::new().run(&args);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
}

/// Two sentences of one report that no newcomer must meet, as the terminal shows them.
#[test]
fn no_report_says_what_no_plane_is() {
    let env = Env::new();
    for design in ["halyard", "gaff", "painter"] {
        env.write("a.plane", read(&format!("designs/{design}.plane")));
        for args in
            [&["check", "a.plane", "--no-pictures"][..], &["fly", "a.plane", "--speed", "9"]]
        {
            let ran = env.run(args);
            assert_eq!(ran.code, 0, "{}", ran.stderr);
            let said = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
            for never in
                ["unstable", "100 %", "-0.0 ", " 0 mm ", "nose-heavy", "tail-heavy", "  ", "\\"]
            {
                assert!(!said.contains(never), "{design}: `{never}` in\n{}", ran.stdout);
            }
            let verdict = ran.stdout.find("verdict").expect("a verdict");
            let balance = ran.stdout.find("balances at").expect("a balance");
            assert!(verdict < balance, "the verdict leads:\n{}", ran.stdout);
        }
    }
}

#[test]
fn a_report_keeps_to_the_width_it_is_given() {
    let env = Env::new();
    env.write("a.plane", read("designs/halyard.plane"));
    for columns in ["60", "100"] {
        let args = ["check", "a.plane", "--no-pictures"];
        let ran = crate::env::Ran::of(env.command(&args).env("COLUMNS", columns), &args);
        let widest = ran.stdout.lines().map(|l| l.chars().count()).max().unwrap_or(0);
        let columns: usize = columns.parse().expect("a number");
        // The ruler of shares is drawn and does not wrap.
        assert!(widest <= columns.max(80), "{widest} columns for {columns}:\n{}", ran.stdout);
    }
}

#[test]
fn one_line_for_loops() {
    let env = Env::new();
    for name in ["gaff", "halyard"] {
        env.write(&format!("{name}.plane"), read(&format!("designs/{name}.plane")));
    }
    let ran = env.run(&["check", "gaff.plane", "halyard.plane", "--brief"]);
    assert_eq!((ran.code, ran.stdout.lines().count()), (0, 2), "{}{}", ran.stdout, ran.stderr);
    assert!(ran.stdout.starts_with("gaff.plane: "), "{}", ran.stdout);
    assert!(env.files().iter().all(|f| !f.contains("out")), "no pictures");
}

#[test]
fn a_folder_that_cannot_be_written_to_costs_no_report() {
    let env = Env::new();
    env.write("a.plane", read("designs/halyard.plane"));
    // A file where the folder should be: also for users who may write everywhere.
    env.write("out", "taken");
    let ran = env.run(&["check", "a.plane"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("verdict") && ran.stderr.contains("no pictures"), "{}", ran.stderr);
}

#[test]
fn other_files_and_a_forgotten_command_are_told_in_one_sentence() {
    let env = Env::new();
    env.write("my.plane", read("designs/halyard.plane"));
    env.write("notes.txt", read("README.md"));
    std::fs::create_dir(env.path("planes")).expect("a folder");
    let ran = env.run(&["my.plane"]);
    assert!(ran.code == 2 && ran.stderr.contains("plumbfold check my.plane"), "{}", ran.stderr);
    for file in ["notes.txt", "planes"] {
        let ran = env.run(&["check", file]);
        assert_eq!((ran.code, ran.stderr.lines().count()), (1, 1), "{}", ran.stderr);
    }
}

#[test]
fn why_tells_what_the_design_does_and_what_would_explain_it() {
    let env = Env::new();
    env.write("a.plane", read("designs/bowline.plane"));
    let ran = env.run(&["why", "a.plane", "--it", "stalls"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    for words in ["it stalls", "By its text", "test:", "cure:"] {
        assert!(ran.stdout.contains(words), "`{words}` is not in\n{}", ran.stdout);
    }
    assert_eq!(env.run(&["why", "a.plane", "--it", "turns", "left"]).code, 0);
    // Thrown much too hard Halyard rears up, if not in most of its flights.
    env.write("b.plane", read("designs/halyard.plane"));
    let ran = env.run(&["why", "b.plane", "--it", "stalls"]);
    let told = ran.stdout.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("m/s harder than the 3.0 m/s meant"), "{told}");
    let ran = env.run(&["why", "a.plane", "--it", "sings"]);
    assert!(ran.code == 2 && ran.stderr.contains("turns left"), "{}", ran.stderr);
}

#[test]
fn saved_options_hold_until_the_command_line_says_otherwise() {
    let env = Env::new();
    env.write("a.plane", read("designs/halyard.plane"));
    std::fs::create_dir_all(env.path("home/plumbfold")).expect("a folder");
    env.write("home/plumbfold/config", "speed = 10 km/h\n");
    let speed = |more: &[&str]| {
        let args = [&["fly", "a.plane", "--json", "--draws", "1"], more].concat();
        let command = env.command(&args).env("XDG_CONFIG_HOME", env.path("home"));
        let ran = crate::env::Ran::of(command, &args);
        ran.json()["throw"]["speed_mps"].as_f64().expect("a number")
    };
    assert!((speed(&[]) - 10.0 / 3.6).abs() < 1e-9);
    assert!((speed(&["--speed", "10 ft/s"]) - 3.048).abs() < 1e-9);
}

#[test]
fn reports_are_told_in_inches_to_those_who_ask() {
    let env = Env::new();
    env.write("a.plane", read("designs/halyard.plane"));
    let ran = env.run(&["check", "a.plane", "--no-pictures", "--units", "inch"]);
    assert!(
        ran.stdout.contains(" in behind the nose") && ran.stdout.contains("ft/s"),
        "{}",
        ran.stdout
    );
    assert!(!ran.stdout.contains(" mm "), "{}", ran.stdout);
}
