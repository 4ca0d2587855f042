//! Folding as a hand does: each crease a little beside where it is meant.
//!
//! ```text
//!     meant ----------+----------      offset: towards the paper that moves
//!            ---------x---             turn: anticlockwise about the middle of the
//!     made            |   ---------    stretch where the crease meets that paper
//! ```
//! A slipped run follows the exact one: of several creases that do what a step asks it makes the
//! one nearest to the exact run's, with the same side moving, so that no slip makes another plane
//! of it. What can no longer lie straight is read as a folder would: a line whose pieces have come
//! a little apart is the line of those that make up the longest straight stretch. A crease that is
//! in the paper already is followed where it is, and paper that overlaps it is folded along with
//! the rest. Collapses are exact: their creases must meet so that the paper lies flat.

use crate::numeric::geom::{TableLine, TablePoint, Vec2};

/// How far a hand misses a crease.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slip {
    /// Shift along the crease's normal, towards the paper that moves, m.
    pub offset_m: f64,
    /// Turn about the middle of the crease, anticlockwise as the folder sees it, radians; for the
    /// mirrored half of a step the mirror image of that.
    pub turn_rad: f64,
}

impl Slip {
    /// The crease as made, of one whose middle is `amid`. The turn is taken in the `sense` +1
    /// (anticlockwise) or -1.
    pub(crate) fn miss(self, meant: &TableLine, amid: TablePoint, sense: f64) -> TableLine {
        let (s, c) = (sense * self.turn_rad).sin_cos();
        TableLine {
            at: amid + meant.dir.perp() * self.offset_m,
            dir: meant.dir * c + meant.dir.perp() * s,
        }
    }
}

/// What a hand is about to fold.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Aim {
    /// The crease of the exact run: what moves is on its left, and its middle is `at`.
    pub line: TableLine,
    /// Area of the paper that moves, m2.
    pub moved_m2: f64,
    /// Length of crease bent, all layers, m.
    pub bent_m: f64,
    /// How far thickness pushes the paper that moves, in thicknesses.
    pub push: Vec2,
    /// How it is missed.
    pub slip: Slip,
}

/// Creases are compared over this length, m (chosen: about that of a crease).
const COMPARED_M: f64 = 0.1;

/// The one of some creases that is nearest to another, run the same way.
pub(crate) fn nearest(line: &TableLine, creases: &[TableLine]) -> Option<TableLine> {
    let ends = [-COMPARED_M, COMPARED_M].map(|s| line.place(s));
    let miss = |l: &TableLine| ends.map(|p| l.side(p).abs()).iter().sum::<f64>();
    let nearest = creases.iter().min_by(|a, b| miss(a).total_cmp(&miss(b)))?;
    Some(if nearest.dir.dot(line.dir) < 0.0 { nearest.reversed() } else { *nearest })
}
