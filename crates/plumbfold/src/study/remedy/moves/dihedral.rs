//! More or less dihedral, for planes that bank or spiral.
//!
//! ```text
//! pose centre opens 6 deg, wing dihedral 2 deg   ->   pose centre opens 6 deg, wing dihedral 8 deg
//! ```

use super::{Amounts, Move, plain};
use crate::design::ast::PoseKind;
use crate::design::edit::replace_span;
use crate::pipeline::Analysed;

/// Range of dihedral that is posed by hand, degrees.
const RANGE_DEG: (f64, f64) = (-5.0, 30.0);

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let folded = &a.balanced.folded;
    let Some(item) = folded
        .design
        .pose
        .as_ref()
        .and_then(|p| p.node.items.iter().find(|i| i.kind == PoseKind::Dihedral))
    else {
        return Vec::new();
    };
    let Ok(now) = folded.values.angle(&item.angle) else { return Vec::new() };
    let now = now.to_degrees();
    [(1.0, RANGE_DEG.1 - now), (-1.0, now - RANGE_DEG.0)]
        .into_iter()
        .map(|(sign, reach)| {
            let word = if sign > 0.0 { "more" } else { "less" };
            Move {
                kind: "dihedral",
                what: format!("{word} dihedral"),
                changed_let: None,
                unit: "deg",
                amounts: Amounts::up_to(reach, 6),
                hand_step: 2.0,
                charge: 0.5,
                edit: Box::new(move |amount| {
                    let to = format!("{} deg", plain(now + sign * amount, 1));
                    replace_span(text, item.angle.span.clone(), &to).ok()
                }),
                say: Box::new(move |amount| {
                    format!(
                        "Give the wings {word} dihedral: {} degrees instead of {}.",
                        plain(now + sign * amount, 1),
                        plain(now, 1)
                    )
                }),
                numbers: Box::new(move |amount| (now, now + sign * amount)),
            }
        })
        .collect()
}
