//! For planes that turn or roll: rudder, one wing's trailing edge, or both wings made alike.
//!
//! ```text
//! trim left wing up 1 mm, 10 mm deep      ->      (the line is gone)
//! ```

use super::{Amounts, Move};
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
            decimals: 0,
            amounts: Amounts::Listed(vec![1.0]),
            hand_step: 1.0,
            charge: 0.0,
            edits: Box::new(move |_| vec![Edit::RemoveTrim(index)]),
            say: Box::new(move |_| {
                format!("Flatten the bend of the {word}, so that both sides are alike.")
            }),
        });
    }
    if matches!(a.verdict.finding.behaviour, Behaviour::Banks | Behaviour::Spirals) {
        moves.extend(bends());
    }
    moves
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
        decimals: 2,
        amounts: Amounts::up_to(MOST_MM, 12),
        hand_step: 0.25,
        charge: 0.5,
        edits: Box::new(move |to| vec![Edit::AddTrim(bend(surface, way, number(to, Unit::Mm)))]),
        say: Box::new(move |to| {
            format!("{words} by {to} mm over the last {} mm.", TRIM_DEPTH_M * 1e3)
        }),
    })
    .collect()
}
