//! Both trailing edges bent up (nose up) or down.
//!
//! ```text
//! pose …                     ->      pose …
//!                                    trim elevator up 0.6 mm, 10 mm deep
//! ```

use super::{Amounts, Move, plain};
use crate::design::ast::{Expr, TrimSurfaceName};
use crate::design::edit::{add_statement, replace_span};
use crate::pipeline::Analysed;
use crate::plane::airframe::TrimSurface;

/// Most that is worth bending, mm: steeper bends separate and only brake.
const MOST_MM: f64 = 3.0;
/// A quarter of a millimetre is hardly seen.
const HAND_STEP_MM: f64 = 0.25;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let design = &a.balanced.folded.design;
    let existing = design.trims.iter().find(|t| t.node.surface == TrimSurfaceName::Elevator);
    // A bend that is a let is moved as a let, within its range.
    if existing.is_some_and(|t| !matches!(t.node.amount.node, Expr::Number(..))) {
        return Vec::new();
    }
    let bend = a.balanced.airframe.trims.iter().find(|t| t.surface == TrimSurface::Elevator);
    let (now, depth) = bend.map_or((0.0, 10.0), |t| (t.deflection_m * 1e3, t.depth_m * 1e3));
    [1.0, -1.0]
        .into_iter()
        .map(|sign| {
            let word = if sign > 0.0 { "up" } else { "down" };
            Move {
                kind: "trim",
                what: format!("bending the trailing edges {word}"),
                changed_let: None,
                unit: "mm",
                amounts: Amounts::up_to(MOST_MM, 12),
                hand_step: HAND_STEP_MM,
                charge: 0.5,
                edit: Box::new(move |amount| {
                    let to = now + sign * amount;
                    let way = if to >= 0.0 { "up" } else { "down" };
                    let statement = format!(
                        "trim elevator {way} {} mm, {} mm deep",
                        plain(to.abs(), 2),
                        plain(depth, 1)
                    );
                    match existing {
                        Some(t) => replace_span(text, t.span.clone(), &statement).ok(),
                        None => Some(add_statement(text, design, &statement)),
                    }
                }),
                say: Box::new(move |amount| {
                    format!(
                        "Bend both trailing edges {word} by {} mm over the last {} mm.",
                        plain(amount, 2),
                        plain(depth, 1)
                    )
                }),
                numbers: Box::new(move |amount| (now, now + sign * amount)),
            }
        })
        .collect()
}
