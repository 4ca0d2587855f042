//! Moves in which several creases fold at once, from one flat state to another.
//!
//! All of them go one way, whatever they are called:
//!
//! 1. [`cut`]: crease the layers that take part, without moving anything;
//! 2. say for every hinge whether it ends folded or flat, which face stays, which layers must lie
//!    under which ([`Plan`]);
//! 3. [`motion`]: lay the faces out from the one that stays, each a mirror image of its neighbour
//!    across a folded hinge; the paper must close round every vertex (Kawasaki-Justin);
//! 4. [`layers`](super::layers): put the layers in an order that lets no paper through paper.
//!
//! A named move (one module each) only finds the creases, and proposes the stack its folder has in
//! mind; of several orders that obey the rules the one nearest to that stack is taken.

pub mod cut;
pub mod flap;
pub mod motion;
pub mod parts;
pub mod vertex;

pub mod bases;
pub mod named;
pub mod petal;
pub mod rabbit_ear;
pub mod reverse;
pub mod sink;
pub mod squash;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;

use super::layers::{Condition, LayerError, Question, Rule, Stack};
use super::split::TooManyFaces;
use super::state::{Assignment, FaceId, Folded};
use crate::design::ast::CreaseState;
use crate::numeric::geom::{Placement, TOLERANCE_M, TableLine, TablePoint};

/// Valid layer orders are counted up to this many; beyond it the report says "at least".
pub const MAX_COUNTED_ORDERS: usize = 32;

/// What to call the creases of a move.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Call {
    /// `call it …`
    pub name: Option<String>,
    /// Made by the mirrored half of a `both sides` step.
    pub mirrored: bool,
    /// Index of the step.
    pub step: usize,
}

/// How a creased model is to end up. Indices are those of the creased model.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The face that does not move.
    pub holding: FaceId,
    /// Does each hinge end folded?
    pub folded: Vec<bool>,
    /// Mountains and valleys asked for, by hinge, as seen from the printed side.
    pub marks: Vec<(usize, Assignment)>,
    /// Layers that must lie one under the other, lower first.
    pub below: Vec<[FaceId; 2]>,
    /// The stack in mind, from the table upwards.
    pub stack: Vec<FaceId>,
}

impl Plan {
    /// Nothing moves; the start of every plan.
    pub fn rest(model: &Folded, holding: FaceId) -> Self {
        Self {
            holding,
            folded: model.hinges.iter().map(|h| model.is_folded(h)).collect(),
            marks: Vec::new(),
            below: Vec::new(),
            stack: model.order.clone(),
        }
    }

    /// The parts of a model (a number a face, 0 for what stays) turn against each other: a hinge
    /// between two parts ends folded if it was flat, and flat if it was folded.
    pub(crate) fn turning(model: &Folded, part: &[usize]) -> Result<Self, CollapseError> {
        let joins = |f: usize| part[f] == 0;
        let at_part = model.hinges.iter().filter(|h| part[h.faces[0]] != part[h.faces[1]]);
        let mut staying = at_part.flat_map(|h| h.faces).filter(|&f| joins(f));
        let Some(holding) = staying.next() else {
            let what = "the crease does not cross the layers: no paper would stay behind";
            return Err(CollapseError::unfit(what, &[]));
        };
        let mut plan = Self::rest(model, holding);
        for (folded, h) in plan.folded.iter_mut().zip(&model.hinges) {
            *folded ^= part[h.faces[0]] != part[h.faces[1]];
        }
        Ok(plan)
    }

    /// Asks for a hinge to end in a state, as the folder sees it before the move: from above, and
    /// where it is folded now, on the upper of its two faces.
    pub fn fold(&mut self, model: &Folded, hinge: usize, state: CreaseState) {
        let h = &model.hinges[hinge];
        let ranks = model.ranks();
        let [a, b] = h.faces;
        let seen = if ranks[a] > ranks[b] { a } else { b };
        let printed = model.faces[seen].placement.det() > 0.0;
        self.folded[hinge] = state != CreaseState::Flat;
        match (state, printed) {
            (CreaseState::Flat, _) => {}
            (CreaseState::Valley, true) | (CreaseState::Mountain, false) => {
                self.marks.push((hinge, Assignment::Valley));
            }
            (CreaseState::Mountain, true) | (CreaseState::Valley, false) => {
                self.marks.push((hinge, Assignment::Mountain));
            }
        }
    }
}

/// A move that succeeded.
#[derive(Clone, Debug, PartialEq)]
pub struct Collapsed {
    /// The model after it.
    pub model: Folded,
    /// In how many orders the layers could have come to lie, counted up to
    /// [`MAX_COUNTED_ORDERS`].
    pub orders: usize,
}

/// What to draw with an error: the place, in the table frame as it lay before the move.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Outlines of the faces at fault.
    pub faces: Vec<Vec<TablePoint>>,
    /// Edges at fault.
    pub lines: Vec<[TablePoint; 2]>,
    /// Places at fault.
    pub points: Vec<TablePoint>,
    /// Creases that would mend it.
    pub proposed: Vec<TableLine>,
}

/// Why a move cannot be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CollapseError {
    /// The paper does not close round a vertex.
    #[error(
        "the paper would tear round a point where {creases} creases fold: every other angle \
         between them adds up to {sum_deg:.2} deg, and must to 180"
    )]
    OpenVertex {
        /// Creases that fold there.
        creases: usize,
        /// Sum of every other angle.
        sum_deg: f64,
        /// What turning one of the creases would do.
        tilt: Option<vertex::Tilt>,
        /// The vertex and its creases.
        evidence: Evidence,
    },
    /// Two faces part along their hinge.
    #[error("the paper would tear along an edge, which would gape by {:.3} mm", gap_m * 1000.0)]
    Torn {
        /// How far the two sides of the edge come apart.
        gap_m: f64,
        /// The edge and its two faces.
        evidence: Evidence,
    },
    /// Mountains and valleys round a point do not add up.
    #[error(
        "where {} creases fold at one point, mountains and valleys must differ by two; \
         {mountains} and {valleys} are asked for",
        mountains + valleys
    )]
    Miscounted {
        /// Mountains asked for, seen from the printed side.
        mountains: usize,
        /// Valleys asked for.
        valleys: usize,
        /// The point and its creases.
        evidence: Evidence,
    },
    /// The creases close, but the layers have no order.
    #[error("the creases close, but {cause}")]
    Layers {
        /// What the solver says.
        cause: LayerError,
        /// The layers and edges in each other's way.
        evidence: Evidence,
    },
    /// Fewer orders than asked for.
    #[error("there are only {orders} ways for the layers to lie, not {wanted}")]
    FewerOrders {
        /// How many there are.
        orders: usize,
        /// The number asked for.
        wanted: usize,
    },
    /// The move does not fit the paper as it lies.
    #[error("{what}")]
    Unfit {
        /// What is wrong and how to mend it.
        what: &'static str,
        /// Where.
        evidence: Evidence,
    },
    /// Too many pieces.
    #[error(transparent)]
    TooManyFaces(#[from] TooManyFaces),
}

impl CollapseError {
    /// A move that does not fit, at some places.
    pub(crate) fn unfit(what: &'static str, points: &[TablePoint]) -> Self {
        Self::Unfit { what, evidence: Evidence { points: points.to_vec(), ..Evidence::default() } }
    }

    /// How to mend it, where that can be said.
    pub fn help(&self) -> Option<String> {
        let text = match self {
            Self::OpenVertex { evidence, .. } if !evidence.proposed.is_empty() => {
                Some("one more crease from that point closes it, in one of the places shown")
            }
            Self::OpenVertex { tilt: Some(tilt), .. } => return Some(tilt.to_string()),
            Self::OpenVertex { .. } | Self::Torn { .. } => {
                Some("fold another of the creases that meet there as well, or one fewer")
            }
            Self::Layers { cause: LayerError::Impossible { conditions }, .. } => {
                let asked = |c: &&Condition| matches!(c.rule, Rule::Marked);
                Some(if conditions.iter().any(|c| asked(&c)) {
                    "turn a mountain into a valley or the reverse, or move the line"
                } else {
                    "open the layer that is in the way first, or move the line"
                })
            }
            Self::Miscounted { .. } => Some("turn one mountain into a valley or the reverse"),
            Self::FewerOrders { .. } => Some("leave out `take`, or take a smaller number"),
            Self::Layers { .. } | Self::Unfit { .. } | Self::TooManyFaces(_) => None,
        };
        text.map(str::to_owned)
    }

    /// What to draw, where there is something to see.
    pub fn evidence(&self) -> Option<&Evidence> {
        match self {
            Self::OpenVertex { evidence, .. }
            | Self::Miscounted { evidence, .. }
            | Self::Torn { evidence, .. }
            | Self::Layers { evidence, .. }
            | Self::Unfit { evidence, .. } => Some(evidence),
            Self::FewerOrders { .. } | Self::TooManyFaces(_) => None,
        }
    }
}

/// Makes a planned move with the `take`-th of the possible layer orders, counted from 1.
///
/// # Errors
/// [`CollapseError`] when the paper would tear, or when no order of the layers lets it be.
pub fn collapse(creased: &Folded, plan: &Plan, take: usize) -> Result<Collapsed, CollapseError> {
    let placements = motion::placements(creased, &plan.folded, plan.holding)?;
    if let Some(vertex::Miscounted { at, hinges, mountains }) =
        vertex::miscounted(creased, &plan.folded, &plan.marks)
    {
        let lines = hinges.iter().map(|&h| creased.hinge_on_table(&creased.hinges[h]));
        let points = creased.on_table(at).into_iter().collect();
        let evidence = Evidence { lines: lines.collect(), points, ..Evidence::default() };
        let valleys = hinges.len() - mountains;
        return Err(CollapseError::Miscounted { mountains, valleys, evidence });
    }
    let mut model = creased.clone();
    for (face, &placement) in model.faces.iter_mut().zip(&placements) {
        face.shift = placement.turn(face.placement.unturn(face.shift));
        face.placement = placement;
    }
    let stack = Stack::of(&model);
    let question = Question {
        stack: &stack,
        preferred: plan.stack.clone(),
        rigid: rigid_groups(creased, &placements),
        below: plan.below.clone(),
        marks: plan.marks.clone(),
    };
    let blame = |cause: LayerError| {
        let evidence = layer_evidence(creased, &cause);
        CollapseError::Layers { cause, evidence }
    };
    let Some(order) = question.nth_nearest(take.saturating_sub(1)).map_err(blame)? else {
        let orders = question.all(take).map_err(blame)?.len();
        return Err(CollapseError::FewerOrders { orders, wanted: take });
    };
    let orders = question.all(MAX_COUNTED_ORDERS).map_err(blame)?.len();
    model.order = order;
    Ok(Collapsed { model, orders })
}

/// Labels the faces by how they move on the table. Faces that slide or turn alike have not moved
/// against each other, so their order stands. Faces turned over get a label each: a flap that is
/// opened, turned inside out and shut again may have its layers in the old order or the reverse.
fn rigid_groups(creased: &Folded, after: &[Placement]) -> Vec<usize> {
    let mut motions: Vec<[TablePoint; 3]> = Vec::new();
    let probes = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)].map(|(x, y)| TablePoint::new(x, y));
    let label = |(i, placement): (usize, &Placement)| {
        let before = &creased.faces[i].placement;
        if before.det() * placement.det() < 0.0 {
            return creased.faces.len() + i;
        }
        let images = probes.map(|p| placement.apply(before.unapply(p)));
        let alike = |m: &[TablePoint; 3]| {
            m.iter().zip(&images).all(|(a, b)| a.distance(*b) < 100.0 * TOLERANCE_M)
        };
        motions.iter().position(alike).unwrap_or_else(|| {
            motions.push(images);
            motions.len() - 1
        })
    };
    after.iter().enumerate().map(label).collect()
}

fn layer_evidence(creased: &Folded, cause: &LayerError) -> Evidence {
    let (mut faces, mut hinges): (Vec<FaceId>, Vec<usize>) = match cause {
        LayerError::Impossible { conditions } => {
            let telling = conditions.iter().filter(|c| c.rule != Rule::Transitivity);
            (
                telling.clone().flat_map(|c| c.faces.clone()).collect(),
                telling.flat_map(|c| c.hinges.clone()).collect(),
            )
        }
        LayerError::Woven { ring } => (ring.clone(), Vec::new()),
        LayerError::SecondLook(c) => (c.faces.to_vec(), vec![c.hinge]),
        LayerError::TooMany { .. } | LayerError::TooHard { .. } => Default::default(),
    };
    for list in [&mut faces, &mut hinges] {
        list.sort_unstable();
        list.dedup();
    }
    Evidence {
        faces: faces.into_iter().map(|f| creased.table_polygon(f)).collect(),
        lines: hinges.into_iter().map(|h| creased.hinge_on_table(&creased.hinges[h])).collect(),
        ..Evidence::default()
    }
}
