//! Files are read within limits and never written over unasked.

use crate::env::Env;

#[test]
fn new_writes_a_design_and_leaves_an_existing_one_alone() {
    let env = Env::new();
    assert_eq!(env.run(&["new", "my.plane"]).code, 0);
    let starter = env.read("my.plane");
    assert!(starter.contains("\nplane "), "{starter}");

    env.write("my.plane", "mine");
    let again = env.run(&["new", "my.plane"]);
    assert_eq!(again.code, 1);
    snapbox::assert_data_eq!(
        again.stderr,
        snapbox::str![[r#"
error: my.plane exists and is left as it is
  help: give another name, or --force to write over it

"#]]
    );
    assert_eq!(env.read("my.plane"), "mine");

    assert_eq!(env.run(&["new", "my.plane", "--force"]).code, 0);
    assert_eq!(env.read("my.plane"), starter);
    assert_eq!(env.files(), ["my.plane"], "no temporary file is left");
    assert_eq!(env.run(&["new", "-"]).stdout, starter);
}

#[test]
fn man_pages_and_completions_are_made() {
    let env = Env::new();
    assert_eq!(env.run(&["man", "man"]).code, 0);
    let pages = env.files();
    assert!(pages.contains(&"man/plumbfold.1".to_owned()), "{pages:?}");
    assert!(pages.contains(&"man/plumbfold-new.1".to_owned()), "{pages:?}");
    assert_eq!(env.run(&["man", "man"]).code, 1, "pages are not written over");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = env.run(&["completions", shell]);
        assert!(script.code == 0 && script.stdout.contains("plumbfold"), "{shell}");
    }
}

#[test]
fn a_directory_that_cannot_be_written_is_an_error() {
    let env = Env::with("file", "");
    let ran = env.run(&["new", "file/my.plane"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.starts_with("error: cannot write file/my.plane: "), "{}", ran.stderr);
}

#[test]
fn format_prints_checks_or_writes_and_keeps_comments() {
    let text = "plane   Test  # a name\nsheet A4\n\n\n# kept\nvalley left   edge onto right edge\n";
    let env = Env::with("a.plane", text);
    let printed = env.run(&["format", "a.plane"]);
    assert_eq!(printed.code, 0);
    assert!(printed.stdout.contains("# a name") && printed.stdout.contains("# kept"));
    assert_eq!(env.read("a.plane"), text, "printing changes nothing");
    assert_eq!(env.run(&["format", "--check", "a.plane"]).code, 3);
    assert_eq!(env.read("a.plane"), text, "checking changes nothing");
    assert_eq!(env.run(&["format", "--write", "a.plane"]).code, 0);
    assert_eq!(env.read("a.plane"), printed.stdout);
    assert_eq!(env.run(&["format", "--check", "a.plane"]).code, 0);
    assert_eq!(env.run(&["format", "--write", "--check", "a.plane"]).code, 2);
}

#[test]
fn line_ends_and_marks_of_other_systems_stay_in_files_that_are_changed() {
    let env = Env::with("a.plane", "\u{feff}plane   Test\r\nsheet A4 upright\r\n");
    assert_eq!(env.run(&["format", "--write", "a.plane"]).code, 0);
    assert_eq!(env.read("a.plane"), "\u{feff}plane Test\r\nsheet A4 upright\r\n");
    assert_eq!(env.run(&["format", "--check", "a.plane"]).code, 0);
    assert_eq!(env.run(&["format", "--write", "-"]).code, 2);
    assert_eq!(env.run(&["mend", "-", "--apply", "1", "--write"]).code, 2);
}

#[cfg(unix)]
#[test]
fn links_and_what_may_only_be_read_are_not_written_through() {
    use std::os::unix::fs::PermissionsExt;
    let text = "plane   Test\nsheet A4\n";
    let env = Env::with("a.plane", text);
    std::os::unix::fs::symlink(env.path("a.plane"), env.path("link.plane")).expect("a link");
    for (file, why) in [("link.plane", "it is a link"), ("/dev/null", "it is not a file")] {
        let ran = env.run(&["new", file, "--force"]);
        assert!(ran.code == 1 && ran.stderr.contains(why), "{}", ran.stderr);
    }
    let read_only = std::fs::Permissions::from_mode(0o444);
    std::fs::set_permissions(env.path("a.plane"), read_only).expect("it is ours");
    let ran = env.run(&["format", "--write", "a.plane"]);
    assert!(ran.code == 1 && ran.stderr.contains("may only be read"), "{}", ran.stderr);
    assert_eq!(env.read("a.plane"), text);
}

#[test]
fn two_designs_of_one_name_do_not_share_pictures() {
    let env = Env::new();
    assert_eq!(env.run(&["new", "one/a.plane"]).code, 0);
    assert_eq!(env.run(&["new", "two/a.plane"]).code, 0);
    let ran = env.run(&["check", "one/a.plane", "two/a.plane", "--brief"]);
    assert_eq!(ran.code, 0, "nothing is drawn: {}", ran.stderr);
    let ran = env.run(&["check", "one/a.plane", "two/a.plane"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("was written for another design"), "{}", ran.stderr);
}

#[test]
fn names_do_not_command_the_terminal() {
    let env = Env::new();
    let ran = env.run(&["check", "\u{1b}]0;gone\u{7}\u{202e}.plane"]);
    assert_eq!(ran.code, 1);
    let odd = |c: char| c.is_control() && c != '\n' || c == '\u{202e}';
    assert!(!ran.stderr.contains(odd), "{:?}", ran.stderr);
    assert!(ran.stderr.contains("\\u{202e}"), "{}", ran.stderr);
}

#[test]
fn format_leaves_a_text_with_mistakes_alone() {
    let text = "plane Test\nsheet   A4\nvally left edge onto right edge\n";
    let env = Env::with("a.plane", text);
    let ran = env.run(&["format", "--write", "a.plane"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("did you mean `valley`?"), "{}", ran.stderr);
    assert_eq!(env.read("a.plane"), text);
}

#[test]
fn the_starter_is_in_the_usual_form_and_flies_through_the_program() {
    let env = Env::new();
    assert_eq!(env.run(&["new", "my.plane"]).code, 0);
    assert_eq!(env.run(&["format", "--check", "my.plane"]).code, 0);
    let ran = env.run(&["check", "my.plane", "--set", "keel=30 mm"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
}

#[test]
fn pictures_replace_pictures_and_nothing_else() {
    let env = Env::new();
    env.run(&["new", "my.plane"]);
    for file in ["sheet.svg", "sheet.png"] {
        let draw = ["draw", "my.plane", "--what", "sheet", "-o", file];
        assert_eq!(env.run(&draw).code, 0, "{file}");
        assert_eq!(env.run(&draw).code, 0, "{file}: a picture of ours is replaced");
        env.write(file, "a letter home");
        let ran = env.run(&draw);
        assert_eq!(ran.code, 1, "{file}");
        assert_eq!(env.read(file), "a letter home");
        assert_eq!(env.run(&[&draw[..], &["--force"]].concat()).code, 0, "{file}");
    }
    let ran = env.run(&["draw", "my.plane", "--what", "sheet", "-o", "sheet.gif"]);
    assert_eq!(ran.code, 2, "{}", ran.stderr);
    let ran = env.run(&["draw", "my.plane", "--what", "sheet", "-o", "-"]);
    assert!(ran.stdout.starts_with("<!-- made by plumbfold -->\n<svg"), "{}", ran.stdout);
    let ran = env.run(&["draw", "my.plane", "--what", "folded", "--to-step", "99"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("no step 99"), "{}", ran.stderr);
}
