//! Text to balance of a design of twelve steps, against the same folds written plainly.

use std::path::Path;

use plumbfold::pipeline::{self, Balanced, Settings};

use crate::table::{Row, reference, seconds};

/// One whole run.
pub fn balance(text: &str) -> Balanced {
    match pipeline::balance(text, &Settings::default()) {
        Ok(balanced) => balanced,
        Err(problems) => panic!("the bench design has mistakes: {:?}", problems.diagnostics),
    }
}

/// The promises.
pub fn rows(root: &Path) -> Vec<Row> {
    let design = root.join("designs/twelve.plane");
    let text = std::fs::read_to_string(design).expect("the bench design");
    let theirs = reference(root, "fold_plainly.py", &[]);
    if let Some(theirs) = &theirs {
        agree(&balance(&text), theirs);
    }
    let theirs = theirs.and_then(|t| t["seconds"].as_f64());
    let whole = Row {
        what: "text to balance, 12 lines (13 folds)".to_owned(),
        measured: seconds(|| balance(&text)) * 1e6,
        unit: "us",
        limit: Some(300.0),
        reference: theirs.map(|s| (s * 1e6, 100.0)),
    };
    std::iter::once(whole).chain(crate::stages::rows(&text)).collect()
}

/// Both must have folded the same plane, or the ratio means nothing.
fn agree(ours: &Balanced, theirs: &serde_json::Value) {
    let pairs = [
        ("behind_nose_mm", ours.mass.behind_nose_m() * 1e3),
        ("area_mm2", ours.planform.area_m2 * 1e6),
        ("area_ahead_fraction", ours.area_ahead_fraction),
    ];
    for (key, ours) in pairs {
        let theirs = theirs[key].as_f64().expect("a number from the reference");
        assert!((ours - theirs).abs() < 1e-6 * theirs.abs(), "{key}: {ours} here, {theirs} there");
    }
}
