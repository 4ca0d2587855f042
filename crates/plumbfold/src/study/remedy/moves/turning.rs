//! For planes that turn or roll: rudder, one wing's trailing edge, or both wings made alike.
//!
//! ```text
//! trim left wing up 1 mm, 10 mm deep      ->      (the line is gone)
//! ```

use super::{Amounts, GRID_MM, Move};
use crate::design::ast::{Direction, TrimSurfaceName, Unit};
use crate::design::defaults::TRIM_DEPTH_M;
use crate::design::edit::amount::number;
use crate::design::edit::{Edit, bend};
use crate::design::print;
use crate::pipeline::Analysed;
use crate::verdict::Behaviour;

/// Most that is worth bending, mm.
const MOST_MM: f64 = 3.0;

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let mut moves = Vec::new();
    // Wings that differ are made alike first: that is the cause, the others are cures.
    for (index, trim) in a.balanced.source.design().trims.iter().enumerate() {
        if trim.node.surface == TrimSurfaceName::Elevator {
            continue;
        }
        let word = print::surface(trim.node.surface);
        moves.push(Move {
            kind: "equal wings",
            what: format!("flattening the {word}'s bend"),
            changed_let: None,
            unit: "mm",
            from: 1.0,
            sign: -1.0,
            grid: 1.0,
            amounts: Amounts::Listed(vec![1.0]),
            hand_step: 1.0,
            charge: 0.0,
            undoes: true,
            edits: Box::new(move |_| vec![Edit::RemoveTrim(index)]),
            say: Box::new(move |_| {
                format!("Flatten the bend of the {word}, so that both sides are alike.")
            }),
        });
    }
    // What one wing's edge does to the turn is not known well enough to be a remedy; the keel's is.
    if turns(a) {
        moves.extend(bends().into_iter().filter(|m| m.kind == "rudder"));
    }
    moves
}

/// Whether it turns off, or is on the edge of it.
pub(super) fn turns(a: &Analysed) -> bool {
    let headline = a.verdict.headline();
    let turning = |b| matches!(b, Behaviour::Banks | Behaviour::Spirals);
    turning(headline.behaviour) || headline.or.is_some_and(turning)
}

/// The rudder either way, and either wing's trailing edge up.
pub(super) fn bends<'a>() -> Vec<Move<'a>> {
    use Direction::{Left, Right, Up};
    use TrimSurfaceName::{LeftWing, RightWing, Rudder};
    [
        ("rudder", Rudder, Right, "Bend the trailing edge of the keel to the right"),
        ("rudder", Rudder, Left, "Bend the trailing edge of the keel to the left"),
        ("aileron", LeftWing, Up, "Bend the left wing's trailing edge up"),
        ("aileron", RightWing, Up, "Bend the right wing's trailing edge up"),
    ]
    .into_iter()
    .map(|(kind, surface, way, words)| Move {
        kind,
        what: format!("bending the {} {}", print::surface(surface), print::direction(way)),
        changed_let: None,
        unit: "mm",
        from: 0.0,
        sign: 1.0,
        grid: GRID_MM,
        amounts: Amounts::up_to(MOST_MM, 12),
        hand_step: 0.25,
        charge: 0.5,
        undoes: false,
        edits: Box::new(move |to| vec![Edit::AddTrim(bend(surface, way, number(to, Unit::Mm)))]),
        say: Box::new(move |to| {
            format!("{words} by {to} mm over the last {} mm.", TRIM_DEPTH_M * 1e3)
        }),
    })
    .collect()
}
