//! The shipped planes.

use plumbfold::fold::checks::check_all;
use plumbfold::pipeline::{Settings, fold};

/// Name and text of each, in alphabetical order.
pub fn designs() -> Vec<(String, String)> {
    let dir = format!("{}/../../designs", env!("CARGO_MANIFEST_DIR"));
    let mut found: Vec<(String, String)> = std::fs::read_dir(dir)
        .expect("the designs are shipped")
        .map(|entry| entry.expect("a readable directory").path())
        .filter(|path| path.extension().is_some_and(|e| e == "plane"))
        .map(|path| {
            let name = path.file_stem().expect("a file has a name").to_string_lossy();
            (name.into_owned(), std::fs::read_to_string(&path).expect("a readable design"))
        })
        .collect();
    found.sort();
    assert_eq!(found.len(), 10);
    found
}

#[test]
fn every_rule_is_kept_at_every_step() {
    for (name, text) in designs() {
        let run = fold(&text, &Settings::default()).expect("it folds").run;
        for (i, step) in run.steps.iter().enumerate() {
            assert_eq!(check_all(&step.after), [], "{name}, step {}", i + 1);
        }
    }
}
