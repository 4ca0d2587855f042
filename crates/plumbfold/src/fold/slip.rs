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

use super::exec::FoldRun;
use crate::design::ast::Span;
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

/// One crease of a run, as a person would point at it.
#[derive(Clone, Debug, PartialEq)]
pub struct PassLabel {
    /// Step, counted from 1 with repeats written out and marks left out.
    pub step: usize,
    /// Its text.
    pub span: Span,
    /// Which half of a `both sides` step; `None` for a step made once.
    pub side: Option<PassSide>,
    /// What the crease is called.
    pub crease: Option<String>,
    /// Whether a slip moves it: not where an existing crease is followed, nor in a collapse.
    pub slips: bool,
}

/// Half of a `both sides` step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassSide {
    /// As written.
    First,
    /// Its mirror image.
    Mirrored,
}

impl std::fmt::Display for PassLabel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "step {}", self.step)?;
        if let Some(crease) = &self.crease {
            write!(f, ", {crease}")?;
        }
        match self.side {
            None => Ok(()),
            Some(PassSide::First) => f.write_str(", first side"),
            Some(PassSide::Mirrored) => f.write_str(", other side"),
        }
    }
}

impl FoldRun {
    /// All creases in the order they are folded, one for each [`Slip`] of a slipped run.
    pub fn passes(&self) -> Vec<PassLabel> {
        let label = |(i, step): (usize, &super::exec::StepRecord)| {
            let both = step.passes.iter().any(|p| p.mirrored);
            let labels = step.passes.iter().map(|pass| {
                let creases = pass.creases.iter().map(|&c| &step.after.creases[c]);
                let named = |c: &&super::state::Crease| c.name.is_some();
                let made = creases.clone().filter(named).find(|c| c.step == i);
                let crease = made.or_else(|| creases.clone().find(named));
                let side = if pass.mirrored { PassSide::Mirrored } else { PassSide::First };
                PassLabel {
                    step: i + 1,
                    span: step.span.clone(),
                    side: both.then_some(side),
                    crease: crease.and_then(|c| c.name.as_deref()).map(str::to_owned),
                    slips: pass.placed,
                }
            });
            labels.collect::<Vec<_>>()
        };
        self.steps.iter().enumerate().flat_map(label).collect()
    }
}
