//! For planes that turn or roll: rudder, one wing's trailing edge, or both wings made alike.
//!
//! ```text
//! trim left wing up 1 mm, 10 mm deep      ->      (the line is gone)
//! ```

use super::{Amounts, Move, plain};
use crate::design::ast::TrimSurfaceName;
use crate::design::edit::{add_statement, remove_line};
use crate::pipeline::Analysed;
use crate::verdict::Behaviour;

/// Most that is worth bending, mm.
const MOST_MM: f64 = 3.0;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let design = &a.balanced.folded.design;
    let mut moves = Vec::new();
    // Wings that differ are made alike first: that is the cause, the others are cures.
    for trim in &design.trims {
        let word = match trim.node.surface {
            TrimSurfaceName::LeftWing => "left wing",
            TrimSurfaceName::RightWing => "right wing",
            TrimSurfaceName::Rudder => "rudder",
            TrimSurfaceName::Elevator => continue,
        };
        let span = trim.span.clone();
        moves.push(Move {
            kind: "equal wings",
            what: format!("flattening the {word}'s bend"),
            changed_let: None,
            unit: "mm",
            amounts: Amounts::Listed(vec![1.0]),
            hand_step: 1.0,
            charge: 0.0,
            edit: Box::new(move |_| remove_line(text, &span).ok()),
            say: Box::new(move |_| {
                format!("Flatten the bend of the {word}, so that both sides are alike.")
            }),
            numbers: Box::new(|_| (1.0, 0.0)),
        });
    }
    if matches!(a.verdict.finding.behaviour, Behaviour::Banks | Behaviour::Spirals) {
        moves.extend(bends(text, a));
    }
    moves
}

/// The rudder either way, and either wing's trailing edge up.
pub(super) fn bends<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let design = &a.balanced.folded.design;
    let mut moves = Vec::new();
    for (kind, surface, way, words) in [
        ("rudder", "rudder", "right", "Bend the trailing edge of the keel to the right"),
        ("rudder", "rudder", "left", "Bend the trailing edge of the keel to the left"),
        ("aileron", "left wing", "up", "Bend the left wing's trailing edge up"),
        ("aileron", "right wing", "up", "Bend the right wing's trailing edge up"),
    ] {
        moves.push(Move {
            kind,
            what: format!("bending the {surface} {way}"),
            changed_let: None,
            unit: "mm",
            amounts: Amounts::up_to(MOST_MM, 12),
            hand_step: 0.25,
            charge: 0.5,
            edit: Box::new(move |amount| {
                let amount = plain(amount, 2);
                let bend = format!("trim {surface} {way} {amount} mm, 10 mm deep");
                Some(add_statement(text, design, &bend))
            }),
            say: Box::new(move |amount| {
                format!("{words} by {} mm over the last 10 mm.", plain(amount, 2))
            }),
            numbers: Box::new(|amount| (0.0, amount)),
        });
    }
    moves
}
