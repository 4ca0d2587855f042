//! Both trailing edges bent up (nose up) or down.
//!
//! ```text
//! pose …                     ->      pose …
//!                                    trim elevator up 0.6 mm, 10 mm deep
//! ```

use super::{Amounts, GRID_MM, Move};
use crate::design::ast::{Direction, Expr, TrimSurfaceName, Unit};
use crate::design::defaults::TRIM_DEPTH_M;
use crate::design::edit::amount::{number, rounded};
use crate::design::edit::{Edit, bend};
use crate::pipeline::Analysed;
use crate::plane::airframe::TrimSurface;

/// Most that is worth bending, mm: steeper bends separate and only brake.
const MOST_MM: f64 = 3.0;
/// A quarter of a millimetre is hardly seen.
const HAND_STEP_MM: f64 = 0.25;

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let trims = &a.balanced.source.design().trims;
    let existing = trims.iter().position(|t| t.node.surface == TrimSurfaceName::Elevator);
    // A bend that is a let is moved as a let, within its range.
    if existing.is_some_and(|at| !matches!(trims[at].node.amount.node, Expr::Number(..))) {
        return Vec::new();
    }
    let found = a.balanced.airframe.trims.iter().find(|t| t.surface == TrimSurface::Elevator);
    let (now, depth) = found.map_or((0.0, TRIM_DEPTH_M), |t| (t.deflection_m * 1e3, t.depth_m));
    let depth = rounded(depth * 1e3, 1);
    [(1.0, "up"), (-1.0, "down")]
        .into_iter()
        .map(|(sign, word)| Move {
            kind: "trim",
            what: format!("bending the trailing edges {word}"),
            changed_let: None,
            unit: "mm",
            from: now,
            sign,
            grid: GRID_MM,
            amounts: Amounts::up_to(MOST_MM, 12),
            hand_step: HAND_STEP_MM,
            charge: 0.5,
            undoes: false,
            edits: Box::new(move |to| {
                let direction = if to >= 0.0 { Direction::Up } else { Direction::Down };
                vec![match existing {
                    Some(index) => {
                        Edit::Bend { index, direction, amount: number(to.abs(), Unit::Mm) }
                    }
                    None => Edit::AddTrim(bend(
                        TrimSurfaceName::Elevator,
                        direction,
                        number(to.abs(), Unit::Mm),
                    )),
                }]
            }),
            say: Box::new(move |to| {
                let way = |v: f64| if v >= 0.0 { "up" } else { "down" };
                let bent = |v: f64| format!("{} mm {}", rounded(v.abs(), 2), way(v));
                match now == 0.0 {
                    true => format!("Bend both trailing edges {} over the last {depth} mm.", bent(to)),
                    false => format!(
                        "Bend both trailing edges {word}: {} over the last {depth} mm instead of {}.",
                        bent(to),
                        bent(now)
                    ),
                }
            }),
        })
        .collect()
}
