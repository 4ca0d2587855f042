//! Pictures of what was computed, with what the drawings need taken from it.

pub mod in_series;
pub mod in_the_air;
pub mod traced;

use plumbfold::fold::error::FoldError;
use plumbfold_draw::fault;
use plumbfold_draw::lineup::{Entry, lineup};
use plumbfold_draw::multiples;
use plumbfold_draw::style::Look;

use crate::numbers::Plane;

/// Draws the place of a fold that cannot be made.
pub fn mistake(look: &Look, text: &str, error: &FoldError) -> String {
    let words: Vec<&str> = text[error.step_span.clone()].split_whitespace().collect();
    let step = format!("Step {}", error.step);
    let says = format!("{}: {}", words.join(" "), error.problem);
    fault::fault(look, &step, &error.before, &error.evidence().into(), &says)
}

/// Planes side by side, each with its name.
pub fn compared(planes: &[(String, Plane)]) -> String {
    let sure: Vec<String> = planes.iter().map(|(_, p)| p.numbers.verdict()).collect();
    let entries: Vec<Entry<'_>> = planes
        .iter()
        .zip(&sure)
        .map(|((name, p), sure)| Entry {
            name,
            plane: multiples::Plane { airframe: &p.airframe, cg: p.cg_m },
            behaviour: p.numbers.behaviour.0,
            sure,
            share: p.numbers.area_ahead_fraction,
            cg: p.numbers.cg_mac_fraction,
            neutral: p.numbers.neutral_point_mac_fraction,
        })
        .collect();
    lineup(&Look::light("compare"), &format!("{} planes", planes.len()), &entries)
}
