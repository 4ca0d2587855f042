//! Remedies and tolerance: what a designer waits for.

use std::path::Path;
use std::time::Instant;

use plumbfold::pipeline::{Settings, ThrowChange};
use plumbfold::study::remedy::{mend, spoil};
use plumbfold::study::tolerance::{Skill, tolerance};
use plumbfold::verdict::aircraft::Conditions;

use crate::table::Row;
use crate::text_to_balance::balance;

/// Planes folded and thrown for the measurement, of ten thousand promised.
const PLANES: usize = 1000;

/// The promises: every shipped design mended, thrown harder than it can take, and ten thousand
/// planes folded and thrown.
pub fn rows(root: &Path) -> Vec<Row> {
    let (settings, conditions) = (Settings::default(), Conditions::default());
    let designs = std::fs::read_dir(root.join("../designs")).expect("the shipped designs");
    let mut mended = (0.0, String::new());
    for design in designs {
        let path = design.expect("a file").path();
        let text = std::fs::read_to_string(&path).expect("a design");
        let spoiled = spoil::spoil(&text, spoil::Way::WrongThrow, &settings, &conditions);
        // Some fly whatever the throw.
        let Some(spoiled) = spoiled.expect("a sound design") else { continue };
        let began = Instant::now();
        let done =
            mend(&spoiled.text, &settings, &ThrowChange::default(), &conditions, &|_, _| true);
        assert!(!done.expect("a sound design").remedies.is_empty());
        let took = began.elapsed().as_secs_f64();
        if took > mended.0 {
            mended = (took, path.file_stem().unwrap_or_default().to_string_lossy().into_owned());
        }
    }
    let text = std::fs::read_to_string(root.join("../designs/marlinspike.plane"));
    let plane = balance(&text.expect("a design"));
    let began = Instant::now();
    let throw = plane.throw.into();
    let thrown = tolerance(&plane, &throw, &conditions, &Skill::CAREFUL, PLANES, &|_, _| true);
    let each = began.elapsed().as_secs_f64() / thrown.expect("a sound plane").outcomes.len() as f64;
    let row = |what, measured, limit| Row {
        what,
        measured,
        unit: "s",
        limit: Some(limit),
        reference: None,
    };
    vec![
        row(format!("mending the slowest shipped design, {}", mended.1), mended.0, 3.0),
        row("10,000 planes folded and thrown, both cores".into(), each * 10_000.0, 30.0),
    ]
}
