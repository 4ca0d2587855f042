//! What is printed goes into files of the form their names ask for.

use crate::env::Env;

fn design(name: &str) -> Vec<u8> {
    let path = format!("{}/../../designs/{name}.plane", env!("CARGO_MANIFEST_DIR"));
    std::fs::read(path).expect("a shipped design")
}

#[test]
fn every_form_is_written_whole_and_bears_our_mark() {
    let env = Env::with("a.plane", design("oilskin"));
    for (command, file) in [
        ("template", "a.pdf"),
        ("template", "a.svg"),
        ("template", "a.dxf"),
        ("steps", "steps.pdf"),
        ("steps", "steps.html"),
        ("card", "card.pdf"),
        ("booklet", "booklet.pdf"),
        ("model", "a.stl"),
        ("model", "a.obj"),
        ("model", "a.glb"),
    ] {
        // Twice: a file of ours is replaced.
        for _ in 0..2 {
            let ran = env.run(&[command, "a.plane", "-o", file]);
            assert_eq!(ran.code, 0, "{command} {file}: {}", ran.stderr);
        }
        let bytes = std::fs::read(env.path(file)).expect("the file");
        let head = &bytes[..512.min(bytes.len())];
        let marked = head.windows(17).any(|w| w == b"made by plumbfold");
        assert!(marked, "{file}: {}", String::from_utf8_lossy(head));
    }
    let left: Vec<String> = env.files().into_iter().filter(|f| f.ends_with(".tmp")).collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_file_of_somebody_else_is_left_alone() {
    let env = Env::with("a.plane", design("oilskin"));
    env.write("a.pdf", "mine");
    let ran = env.run(&["template", "a.plane", "-o", "a.pdf"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("--force"), "{}", ran.stderr);
    assert_eq!(env.read("a.pdf"), "mine");
    assert_eq!(env.run(&["template", "a.plane", "-o", "a.pdf", "--force"]).code, 0);
}

#[test]
fn a_name_with_another_ending_says_which_there_are() {
    let env = Env::with("a.plane", design("oilskin"));
    for (command, endings) in [
        ("template", ".pdf, .svg or .dxf"),
        ("steps", ".pdf or .html"),
        ("card", ".pdf"),
        ("booklet", ".pdf"),
        ("model", ".stl, .obj or .glb"),
    ] {
        let ran = env.run(&[command, "a.plane", "-o", "a.doc"]);
        assert_eq!(ran.code, 2, "{command}: {}", ran.stderr);
        assert!(ran.stderr.contains(endings), "{command}: {}", ran.stderr);
    }
    assert_eq!(env.files(), ["a.plane"]);
}

#[test]
fn a_plane_without_folds_has_nothing_to_print() {
    let outline = "plane Bought\noutline (0 mm, 0 mm) (90 mm, 180 mm) (0 mm, 200 mm), mirrored\n\
                   measured mass 5 g, balance 100 mm\n";
    let env = Env::with("a.plane", outline);
    for command in ["template", "steps", "booklet", "model"] {
        let name = if command == "model" { "a.stl" } else { "a.pdf" };
        let ran = env.run(&[command, "a.plane", "-o", name]);
        assert_eq!(ran.code, 1, "{command}: {}", ran.stderr);
        assert!(ran.stderr.contains("no folds"), "{command}: {}", ran.stderr);
    }
    // Its balance and its flight are known.
    assert_eq!(env.run(&["card", "a.plane", "-o", "card.pdf"]).code, 0);
}

#[test]
fn what_cannot_be_printed_as_asked_is_refused_and_nothing_is_written() {
    let env = Env::with("a.plane", design("oilskin"));
    for (args, says) in [
        (&["template", "--side", "both", "-o", "a.svg"][..], "one side"),
        (&["template", "--side", "back", "-o", "a.dxf"], "front alone"),
        (&["template", "--side", "both", "-o", "a.dxf"], "front alone"),
        (&["steps", "-o", "-"], "standard output"),
        (&["template", "--json"], "no JSON"),
        (&["steps", "--json"], "no JSON"),
        (&["card", "--json"], "no JSON"),
        (&["booklet", "--json"], "no JSON"),
        (&["model", "--json"], "no JSON"),
        (&["card", "--speed", "0"], "some speed"),
        (&["fly", "--speed", "51"], "between 0 and 50 m/s"),
    ] {
        let ran = env.run(&[&args[..1], &["a.plane"], &args[1..]].concat());
        assert_eq!(ran.code, 2, "{args:?}: {}", ran.stderr);
        let told = format!("{}{}", ran.stdout, ran.stderr);
        assert!(told.contains(says), "{args:?}: {told}");
    }
    for command in ["card", "fly"] {
        let ran = env.run(&[command, "a.plane", "--hall-height", "1"]);
        assert_eq!(ran.code, 1, "{}", ran.stderr);
        assert!(ran.stderr.contains("not under the ceiling"), "{}", ran.stderr);
    }
    assert_eq!(env.files(), ["a.plane"]);
}
