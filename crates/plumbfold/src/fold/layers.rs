//! In which order the layers of a flat model lie.
//!
//! Paper cannot pass through paper. Justin (1997) wrote that down for flat models as conditions on
//! the order of layers, here under the names Akitaya, Demaine and Ku (2017) use:
//!
//! ```text
//!  taco-tortilla             taco-taco                    tortilla-tortilla
//!   ______________            _______                      ______ | ______
//!      ___|___  no layer     (  ____  bends on the same           |         layers that run on
//!     (   |     through       ( ____  side of one line     ______ | ______  across a line keep
//!      ¯¯¯|¯¯¯  a bend        (_____  nest or are apart           |         their order
//! ```
//!
//! and on any overlap of several layers the order is a line, not a ring (transitivity). One truth
//! value stands for each pair of faces that share area; `conditions` writes the rules as clauses,
//! `search` asks a satisfiability solver, and `check` looks at the answer again by cutting the
//! stack across every crease, with none of those clauses.
//!
//! Among several valid orders the *nearest* to a preferred one is taken: go through the pairs of
//! layers as they lie in the preferred order, lowest first; each pair that can keep its order (all
//! earlier pairs as settled) keeps it.

mod check;
mod conditions;
mod search;
#[cfg(test)]
mod tests;

pub use check::{Crossing, first_crossing};

use super::state::{Assignment, FaceId, Folded};
use crate::numeric::geom::TablePoint;
use conditions::Conditions;
use search::Search;

/// Largest number of faces ordered at once: four bytes a pair make 16 MB.
pub const MAX_FACES: usize = 2000;
/// The search gives up after this many dead ends without another order (minutes become a second or two; every design we
/// know needs a few hundred).
pub const MAX_DEAD_ENDS: u64 = 200_000;

/// The flat model as layers see it: outlines on the table and how they hang together.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    /// Convex outlines in the table frame, anticlockwise.
    pub outlines: Vec<Vec<TablePoint>>,
    /// Does the printed side of each face look up?
    pub printed_up: Vec<bool>,
    /// Joints, indexed as in [`Folded::hinges`].
    pub hinges: Vec<StackHinge>,
}

/// A joint of two faces as it lies on the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StackHinge {
    /// The two faces.
    pub faces: [FaceId; 2],
    /// Ends of the shared edge, table frame.
    pub ends: [TablePoint; 2],
    /// Both faces on one side of the edge; otherwise the paper runs on flat.
    pub folded: bool,
}

impl Stack {
    /// The layers of a model.
    pub fn of(model: &Folded) -> Self {
        let hinges = model.hinges.iter().map(|h| StackHinge {
            faces: h.faces,
            ends: model.hinge_on_table(h),
            folded: model.is_folded(h),
        });
        Self {
            outlines: (0..model.faces.len()).map(|f| model.table_polygon(f)).collect(),
            printed_up: model.faces.iter().map(|f| f.placement.det() > 0.0).collect(),
            hinges: hinges.collect(),
        }
    }

    /// Which of a folded hinge's faces lies below the other for a given mark, lower first.
    fn marked(&self, hinge: usize, mark: Assignment) -> Option<[FaceId; 2]> {
        let [a, b] = self.hinges[hinge].faces;
        match (mark, self.printed_up[a]) {
            _ if !self.hinges[hinge].folded => None,
            (Assignment::Flat, _) => None,
            (Assignment::Valley, true) | (Assignment::Mountain, false) => Some([a, b]),
            (Assignment::Mountain, true) | (Assignment::Valley, false) => Some([b, a]),
        }
    }
}

/// What is asked of the solver.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The layers.
    pub stack: &'a Stack,
    /// All faces from the table upwards: the order to stay nearest to.
    pub preferred: Vec<FaceId>,
    /// A label a face: two faces with one label have not moved against each other and keep their
    /// preferred order.
    pub rigid: Vec<usize>,
    /// Orders asked for, lower face first.
    pub below: Vec<[FaceId; 2]>,
    /// Mountains and valleys asked for, by hinge, as seen from the printed side.
    pub marks: Vec<(usize, Assignment)>,
}

/// Why the layers cannot lie as asked. Indices are those of [`Stack`].
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LayerError {
    /// These conditions cannot hold together.
    #[error("no order of the layers keeps the paper from passing through itself")]
    Impossible {
        /// A small set of conditions that contradict each other.
        conditions: Vec<Condition>,
    },
    /// Each layer lies over the next, all round; our models are stacks.
    #[error("the layers would have to be woven in a ring, each over the next")]
    Woven {
        /// The faces of the ring, each below the next and the last below the first.
        ring: Vec<FaceId>,
    },
    /// More faces than the solver takes.
    #[error("{faces} faces are more than can be put in order (at most {limit})")]
    TooMany {
        /// How many there are.
        faces: usize,
        /// [`MAX_FACES`].
        limit: usize,
    },
    /// Too many dead ends.
    #[error("gave up on the order of the layers after {limit} dead ends")]
    TooHard {
        /// [`MAX_DEAD_ENDS`].
        limit: u64,
    },
    /// The answer did not pass the second look: a bug here, not a fault of the design.
    #[error("the layer order found lets paper through at a second look")]
    SecondLook(Crossing),
}

/// One of the conditions on an order of layers.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    /// Which rule.
    pub rule: Rule,
    /// The faces it is about.
    pub faces: Vec<FaceId>,
    /// The hinges it is about.
    pub hinges: Vec<usize>,
}

/// The rules an order obeys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Two faces that did not move against each other keep their order.
    Rigid,
    /// An order was asked for.
    Asked,
    /// A mountain or valley was asked for.
    Marked,
    /// Bends that lie on each other nest or are apart.
    TacoTaco,
    /// No layer runs through a bend.
    TacoTortilla,
    /// Layers that run on across a line keep their order.
    TortillaTortilla,
    /// Three or more layers lie in a line, not in a ring.
    Transitivity,
}

impl Question<'_> {
    /// The valid order nearest to the preferred one, from the table upwards.
    pub fn nearest(&self) -> Result<Vec<FaceId>, LayerError> {
        self.nth_nearest(0).map(|found| found.unwrap_or_default())
    }

    /// The `k`-th valid order in the same sense, counted from 0; `None` when there are fewer.
    /// Orders are told apart by the pairs that share area.
    pub fn nth_nearest(&self, k: usize) -> Result<Option<Vec<FaceId>>, LayerError> {
        let conditions = Conditions::new(self)?;
        let mut passed = Vec::new();
        loop {
            let mut search = Search::new(&conditions);
            passed.iter().for_each(|m| search.exclude(m));
            let Some(model) = search.nearest()? else {
                return if passed.is_empty() { Err(search::explain(self)) } else { Ok(None) };
            };
            if passed.len() == k {
                return self.looked_at_again(model.order).map(Some);
            }
            passed.push(model);
        }
    }

    /// Valid orders in no particular sequence, at most `limit` of them.
    pub fn all(&self, limit: usize) -> Result<Vec<Vec<FaceId>>, LayerError> {
        let conditions = Conditions::new(self)?;
        let mut search = Search::new(&conditions);
        let mut orders = Vec::new();
        while orders.len() < limit
            && let Some(model) = search.solve(&[])?
        {
            search.exclude(&model);
            orders.push(self.looked_at_again(model.order)?);
        }
        if orders.is_empty() && limit > 0 { Err(search::explain(self)) } else { Ok(orders) }
    }

    fn looked_at_again(&self, order: Vec<FaceId>) -> Result<Vec<FaceId>, LayerError> {
        match first_crossing(self.stack, &order) {
            Some(crossing) => Err(LayerError::SecondLook(crossing)),
            None => Ok(order),
        }
    }
}
