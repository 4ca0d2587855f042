//! Which way a plane rolls and turns when one trailing edge stands up and the other down, asked
//! blind. Both facts are kept as rows, and the one that does not come out says so: until it does,
//! no bend of a wing's edge is a remedy for turning.

use nalgebra::Vector3;

use crate::air::{Air, AirLoads};
use crate::flight::throw::{Hall, Throw, fly};
use crate::pipeline::{Settings, balance};
use crate::validation::{Mark, Tolerance, ValidationRow};
use crate::verdict::Path;
use crate::verdict::aircraft::Aircraft;
use crate::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation};

/// Right edge up and left edge down by so much, m: hardly seen, and far above rounding.
const TWIST_M: f64 = 0.1e-3;

/// What a raised right edge does to a plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RaisedEdge {
    /// It rolls to the right.
    pub rolls_towards: bool,
    /// Thrown as it is meant to be, it ends up heading further right than without.
    pub turns_towards: bool,
}

/// Asks one design; `None` when it cannot be folded or flown.
pub fn raised_edge(text: &str) -> Option<RaisedEdge> {
    let plane = balance(text, &Settings::default()).ok()?;
    let throw = Throw::from(plane.throw);
    let aircraft =
        Aircraft::new(&plane.airframe, &plane.mass, &Air::indoors(), throw.speed_m_s).ok()?;
    let twisted = Perturbation { twist_m: TWIST_M, ..Perturbation::NONE };
    let asked = |p: &Perturbation| {
        let body = aircraft.perturbed(p).ok()?;
        let ahead = Vector3::x() * throw.speed_m_s;
        let roll_n_m = body.air().loads(&ahead, &Vector3::zeros()).1.x;
        let flight = fly(&body, &throw, &Hall::default(), JUDGED_EVERY_S).ok()?;
        Some((roll_n_m, Path::new(&flight).last().turned_rad))
    };
    let (even, uneven) = (asked(&Perturbation::NONE)?, asked(&twisted)?);
    Some(RaisedEdge { rolls_towards: uneven.0 > even.0, turns_towards: uneven.1 > even.1 })
}

/// Rows of the validation page over the shipped designs (name, text).
pub fn rows(designs: &[(&str, &str)]) -> Vec<ValidationRow> {
    const GROUP: &str = "Right trailing edge up and left one down, all shipped designs";
    let asked: Vec<RaisedEdge> = designs.iter().filter_map(|(_, text)| raised_edge(text)).collect();
    if asked.is_empty() {
        return Vec::new();
    }
    let share = |does: fn(&RaisedEdge) -> bool| {
        asked.iter().filter(|a| does(a)).count() as f64 / asked.len() as f64
    };
    let row = |case: &str, source, mark, least, computed| {
        ValidationRow::new(GROUP, case, (source, mark), least, computed, Tolerance::AtLeast)
    };
    vec![
        row(
            "share that rolls towards the raised edge",
            "NASA Glenn, Aileron Roll Worksheet, steps 2 and 4",
            Mark::Seen,
            1.0,
            share(|a| a.rolls_towards),
        ),
        row(
            "share that turns towards it",
            "facts of the trade, asked blind",
            Mark::CommonPractice,
            0.9,
            share(|a| a.turns_towards),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_raised_edge_rolls_its_wing_down_whatever_it_does_to_the_turn() {
        let rows = rows(&[
            ("Halyard", include_str!("../../../../designs/halyard.plane")),
            ("Scow", include_str!("../../../../designs/scow.plane")),
            ("Bowline", include_str!("../../../../designs/bowline.plane")),
        ]);
        assert!(rows[0].pass);
        // Where this comes out one day, bends of a wing's edge may be offered again.
        assert_eq!(rows[1].computed, 0.0);
    }
}
