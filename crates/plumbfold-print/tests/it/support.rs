//! The shipped designs.

use std::path::PathBuf;

use plumbfold::pipeline::{self, Balanced, Settings};
use plumbfold_draw::units::Units;
use plumbfold_print::booklet::Lesson;

/// Names of the shipped designs.
pub fn shipped() -> Vec<String> {
    let dir = folder();
    let files = std::fs::read_dir(dir).expect("the designs").flatten();
    let mut names: Vec<String> = files
        .filter_map(|f| f.file_name().to_str()?.strip_suffix(".plane").map(str::to_owned))
        .collect();
    names.sort();
    names
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../designs")
}

/// Text of a shipped design.
pub fn text(name: &str) -> String {
    std::fs::read_to_string(folder().join(format!("{name}.plane"))).expect("a design")
}

/// A text folded and balanced.
pub fn balanced(text: &str) -> Balanced {
    pipeline::balance(text, &Settings::default()).unwrap_or_else(|e| panic!("{e}"))
}

/// What is said and drawn of a plane of this text.
pub fn lesson<'a>(plane: &'a Balanced, text: &str) -> Lesson<'a> {
    Lesson::new(plane.source.folded().expect("folds"), plane, text, Units::Mm)
}
