//! Any let of the design, deeper or shallower within its range: first folds, bands, turns of a
//! roll, where the clip sits.
//!
//! ```text
//! let tip = 24 mm, from 8 mm to 45 mm      ->      let tip = 31.5 mm, from 8 mm to 45 mm
//! ```

use super::{Amounts, Move, plain};
use crate::design::edit::set_let;
use crate::design::quantity::Dimension;
use crate::pipeline::Analysed;

/// Steps of a scan over a let's range, either way.
const STEPS: usize = 8;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let folded = &a.balanced.folded;
    let mut moves = Vec::new();
    for value in folded.values.lets() {
        let Some([low, high]) = value.range else { continue };
        let dimension = value.quantity.dimension;
        // Amounts are in the unit people read; `si` is what one of them is inside.
        let (unit, si, hand_step, charge) = if dimension == Dimension::LENGTH {
            ("mm", 1e-3, 1.0, 1.0)
        } else if dimension == Dimension::ANGLE {
            ("deg", 1f64.to_radians(), 2.0, 0.5)
        } else if dimension == Dimension::NUMBER {
            ("", 1.0, 1.0, 2.0)
        } else {
            continue;
        };
        let now = value.quantity.value / si;
        let note = folded
            .design
            .lets
            .iter()
            .find(|l| l.node.name.node == value.name)
            .and_then(|l| l.node.note.clone());
        let bend = note.as_deref().is_some_and(|n| n.contains("trailing edge"));
        let hand_step = if bend { 0.25 } else { hand_step };
        for (sign, reach) in [(1.0, high / si - now), (-1.0, now - low / si)] {
            let amounts = if unit.is_empty() {
                Amounts::Listed((1..=reach.floor().max(0.0) as usize).map(|k| k as f64).collect())
            } else {
                Amounts::up_to(reach, STEPS)
            };
            if amounts.list().is_empty() {
                continue;
            }
            let name = value.name.clone();
            let said = note.clone().map_or_else(String::new, |n| format!(" ({n})"));
            let told = move |x: f64| {
                if unit.is_empty() { plain(x, 0) } else { format!("{} {unit}", plain(x, 2)) }
            };
            let edit_name = name.clone();
            moves.push(Move {
                kind: "let",
                what: format!("{} `{name}`{said}", if sign > 0.0 { "raising" } else { "lowering" }),
                changed_let: Some(name.clone()),
                unit,
                amounts,
                hand_step,
                charge,
                edit: Box::new(move |amount| {
                    set_let(text, &edit_name, &told(now + sign * amount)).ok()
                }),
                say: Box::new(move |amount| {
                    format!(
                        "Change `{name}`{said} from {} to {}.",
                        told(now),
                        told(now + sign * amount)
                    )
                }),
                numbers: Box::new(move |amount| (now, now + sign * amount)),
            });
        }
    }
    moves
}
