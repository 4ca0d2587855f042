//! Any let of the design, deeper or shallower within its range: first folds, bands, turns of a
//! roll, where the clip sits.
//!
//! ```text
//! let tip = 24 mm, from 8 mm to 45 mm      ->      let tip = 31.5 mm, from 8 mm to 45 mm
//! ```

use super::{Amounts, GRID_MM, Move};
use crate::design::ast::{Design, Name, Unit};
use crate::design::dial::Dial;
use crate::design::eval::names_in;
use crate::pipeline::Analysed;

/// Steps of a scan over a let's range, either way.
const STEPS: usize = 8;

/// Smallest change of a let that a hand makes surely, in its unit, and the charge for making one
/// (see [`super`]); none for lets that are neither a fold nor
/// a weight. Chosen.
pub(in crate::study::remedy) fn hand(dial: &Dial) -> Option<(f64, f64)> {
    let bend = dial.note.as_deref().is_some_and(|n| n.contains("trailing edge"));
    match dial.unit {
        Unit::Mm if bend => Some((0.25, 1.0)),
        Unit::Mm => Some((1.0, 1.0)),
        Unit::Deg => Some((2.0, 0.5)),
        Unit::Gram => Some((0.1, 1.0)),
        Unit::None if dial.whole => Some((1.0, 2.0)),
        // A share, mostly of the length of an edge: two or three millimetres.
        Unit::None => Some((0.01, 1.0)),
        _ => None,
    }
}

/// A hand brings a let to whole multiples of this, in its unit.
fn grid(dial: &Dial) -> f64 {
    match dial.unit {
        Unit::Mm => GRID_MM,
        Unit::Gram => 0.1,
        Unit::None if !dial.whole => 0.01,
        _ => 1.0,
    }
}

/// Lets of the sheet itself: another size of paper is another plane, not a remedy.
pub(crate) fn of_sheet(design: &Design) -> Vec<&Name> {
    let mut names = Vec::new();
    let sheet = design.sheet.as_ref().map(|s| &s.node);
    let weights = sheet.into_iter().flat_map(|s| s.grammage.iter().chain(&s.thickness));
    let sizes = sheet.into_iter().flat_map(|s| s.size.parts());
    sizes.chain(weights).for_each(|e| names_in(e, &mut names));
    names
}

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let (design, values) = (a.balanced.source.design(), a.balanced.source.values());
    let sheet = of_sheet(design);
    let mut moves = Vec::new();
    for dial in Dial::all(design, values) {
        let Some((hand_step, charge)) = hand(&dial) else { continue };
        if !dial.stated || sheet.iter().any(|name| name.node == dial.name) {
            continue;
        }
        let now = dial.value;
        let note = dial.note.as_ref().map_or_else(String::new, |n| format!(" ({n})"));
        let decimals = if dial.whole { 0 } else { 2 };
        let grid = grid(&dial);
        let [low, high] = dial.ends;
        for (sign, word, reach) in [(1.0, "raising", high - now), (-1.0, "lowering", now - low)] {
            let amounts = if dial.whole {
                Amounts::Listed((1..=reach.floor().max(0.0) as usize).map(|k| k as f64).collect())
            } else {
                Amounts::up_to(reach, STEPS)
            };
            if amounts.list().is_empty() {
                continue;
            }
            let name = dial.name.clone();
            let (turned, told, note) = (dial.clone(), dial.clone(), note.clone());
            moves.push(Move {
                kind: "let",
                what: format!("{word} `{name}`{note}"),
                changed_let: Some(name.clone()),
                unit: dial.unit.symbol(),
                from: now,
                sign,
                grid,
                amounts,
                hand_step,
                charge,
                undoes: false,
                edits: Box::new(move |to| vec![turned.edit(to)]),
                say: Box::new(move |to| {
                    let [from, to] = [now, to].map(|v| told.say(v, decimals));
                    format!("Change `{name}`{note} from {from} to {to}.")
                }),
            });
        }
    }
    moves
}
