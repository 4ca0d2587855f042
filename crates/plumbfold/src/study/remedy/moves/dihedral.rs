//! More dihedral, for planes that bank or spiral.
//!
//! ```text
//! pose centre opens 6 deg, wing dihedral 2 deg   ->   pose centre opens 6 deg, wing dihedral 8 deg
//! ```

use super::turning::turns;
use super::{Amounts, Move};
use crate::design::ast::{PoseKind, Unit};
use crate::design::edit::Edit;
use crate::design::edit::amount::{number, rounded};
use crate::pipeline::Analysed;

/// Most dihedral that is posed by hand, degrees.
const MOST_DEG: f64 = 30.0;

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    if !turns(a) {
        return Vec::new();
    }
    let (design, values) = (a.balanced.source.design(), a.balanced.source.values());
    let mut items = design.pose.iter().flat_map(|p| p.node.items.iter().enumerate());
    let Some((index, item)) = items.find(|(_, i)| i.kind == PoseKind::Dihedral) else {
        return Vec::new();
    };
    let Ok(now) = values.angle(&item.angle) else { return Vec::new() };
    let now = now.to_degrees();
    vec![Move {
        kind: "dihedral",
        what: "more dihedral".into(),
        changed_let: None,
        unit: "deg",
        from: now,
        sign: 1.0,
        grid: 1.0,
        amounts: Amounts::up_to(MOST_DEG - now, 6),
        hand_step: 2.0,
        charge: 0.5,
        undoes: false,
        edits: Box::new(move |to| vec![Edit::PoseAngle { index, angle: number(to, Unit::Deg) }]),
        say: Box::new(move |to| {
            let now = rounded(now, 1);
            format!("Give the wings more dihedral: {to} degrees instead of {now}.")
        }),
    }]
}
