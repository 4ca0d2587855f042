//! A strip of tape or a paper clip at the nose (tail-heavy planes) or at the tail (nose-heavy).
//!
//! ```text
//! throw …                    ->      throw …
//!                                    ballast clip 0.4 g at 10 mm behind nose
//! ```

use super::{Amounts, Move, appended, plain};
use crate::pipeline::Analysed;

/// Masses to be had, g: one and two strips of clear tape 12 x 60 mm (some 0.05 kg/m2: guessed),
/// a small paper clip of 28 mm wire (0.4 g, guessed), two, three of them.
const MASSES_G: [(f64, &str, &str); 5] = [
    (0.04, "tape", "a strip of clear tape"),
    (0.08, "tape", "two strips of clear tape"),
    (0.4, "clip", "a small paper clip"),
    (0.8, "clip", "two small paper clips"),
    (1.2, "clip", "three small paper clips"),
];
/// How far from the end of the keel it sits, mm.
const INSET_MM: f64 = 10.0;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let slabs = &a.balanced.planform.slabs.pieces;
    let tail_mm = -1e3 * slabs.iter().flat_map(|t| t.rear).fold(0.0, f64::min);
    let of = |amount: f64| {
        MASSES_G.iter().find(|m| m.0 >= amount - 1e-9).unwrap_or(&MASSES_G[MASSES_G.len() - 1])
    };
    [("nose", INSET_MM), ("tail", tail_mm - INSET_MM)]
        .into_iter()
        .map(|(end, behind_mm)| Move {
            kind: "ballast",
            what: format!("tape or clips at the {end}"),
            changed_let: None,
            unit: "g",
            amounts: Amounts::Listed(MASSES_G.iter().map(|m| m.0).collect()),
            hand_step: 0.2,
            charge: 3.0,
            edit: Box::new(move |amount| {
                let (mass, kind, _) = of(amount);
                let place = plain(behind_mm, 1);
                Some(appended(text, &format!("ballast {kind} {mass} g at {place} mm behind nose")))
            }),
            say: Box::new(move |amount| {
                let (mass, _, words) = of(amount);
                format!(
                    "Put {words} ({mass} g) on the keel at the {end}, {} mm behind the nose.",
                    plain(behind_mm, 1)
                )
            }),
            numbers: Box::new(move |amount| (0.0, of(amount).0)),
        })
        .collect()
}
