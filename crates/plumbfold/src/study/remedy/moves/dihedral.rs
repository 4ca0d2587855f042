//! More or less dihedral, for planes that bank or spiral.
//!
//! ```text
//! pose centre opens 6 deg, wing dihedral 2 deg   ->   pose centre opens 6 deg, wing dihedral 8 deg
//! ```

use super::{Amounts, Move};
use crate::design::ast::{PoseKind, Unit};
use crate::design::edit::Edit;
use crate::design::edit::amount::{number, rounded};
use crate::pipeline::Analysed;

/// Range of dihedral that is posed by hand, degrees.
const RANGE_DEG: (f64, f64) = (-5.0, 30.0);

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let (design, values) = (a.balanced.source.design(), a.balanced.source.values());
    let mut items = design.pose.iter().flat_map(|p| p.node.items.iter().enumerate());
    let Some((index, item)) = items.find(|(_, i)| i.kind == PoseKind::Dihedral) else {
        return Vec::new();
    };
    let Ok(now) = values.angle(&item.angle) else { return Vec::new() };
    let now = now.to_degrees();
    [(1.0, "more", RANGE_DEG.1 - now), (-1.0, "less", now - RANGE_DEG.0)]
        .into_iter()
        .map(|(sign, word, reach)| Move {
            kind: "dihedral",
            what: format!("{word} dihedral"),
            changed_let: None,
            unit: "deg",
            from: now,
            sign,
            decimals: 1,
            amounts: Amounts::up_to(reach, 6),
            hand_step: 2.0,
            charge: 0.5,
            edits: Box::new(move |to| {
                vec![Edit::PoseAngle { index, angle: number(to, Unit::Deg) }]
            }),
            say: Box::new(move |to| {
                let now = rounded(now, 1);
                format!("Give the wings {word} dihedral: {to} degrees instead of {now}.")
            }),
        })
        .collect()
}
