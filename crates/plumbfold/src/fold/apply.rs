//! One simple fold: part of the model turns over about one table line.
//!
//! ```text
//!   moving (left of the line) | staying
//!        ______________ ______|________  lies on it
//!        ______________ ______|________  taken
//!        _____________________|________  lies below it
//! ```
//! **What is named is what moves, or the fold is refused.** Layers named in words (`top layer`,
//! `near half`, `flap at P` with the flaps that are hinged to it) move and nothing else does: where other paper lies on what should
//! move (for a mountain: below it), or where it hangs on to paper that stays, the fold is refused
//! ([`Refused::Held`], [`Refused::Tears`], [`Refused::Joined`]). A crease folded again (`along NAME`) bends where it is
//! creased and nowhere else, unless it runs right across the model: then it folds the model. Where
//! no layers are named but something is brought somewhere, a hand takes the paper with that place,
//! all it hangs on to beyond the crease, and what lies loose on it; what lies on it and is held by
//! paper underneath is not loose, and the fold is refused.
//!
//! A fold that moves everything on its outer side and lands outermost cannot cross paper: a staying
//! layer in the way of a bend would have to run on over the moving paper, and would have refused
//! it. Folds that land elsewhere are looked at by [`first_crossing`].

mod moving;

use moving::MovingSet;

use super::layers::{Crossing, Stack, first_crossing};
use super::layout::Layout;
use super::split::{Sides, TooManyFaces, split};
use super::state::{Crease, CreaseId, FaceId, Folded, Hinge};
use crate::numeric::geom::{TOLERANCE_M, TableLine, TablePoint, area};

/// Most layers bent at one place. Chosen: twice the stack a model must be able to have, and far
/// more than a hand can crease.
pub const MAX_LAYERS: usize = 128;

/// Which layers a fold takes to begin with.
#[derive(Clone, Debug, PartialEq)]
pub enum Take {
    /// Everything on the moving side.
    All,
    /// These faces and all they hang on to, with what lies loose on them.
    Loose(Vec<FaceId>),
    /// These faces and all they hang on to, with what lies on them and is hinged to them, and no
    /// others.
    Flap(Vec<FaceId>),
    /// Wherever there is paper on the moving side, its `n` uppermost layers and no others. A layer
    /// is paper that lies flat together over there; open creases do not divide it.
    Top(usize),
    /// Likewise the lowest.
    Bottom(usize),
    /// The faces with this value of `moved_half` and no others.
    Half(bool),
    /// What hangs on an open crease over there, no paper cut; everything where that cannot be and
    /// the crease runs right across the model.
    Beside(Vec<CreaseId>),
}

/// Where moved layers come to lie.
#[derive(Clone, Debug, PartialEq)]
pub enum Landing {
    /// On top of everything (valley) or beneath everything (mountain).
    Outermost,
    /// Next to the layers they are hinged to.
    Inside,
    /// Directly beneath the lowest of these faces that they meet.
    Under(Vec<FaceId>),
    /// Directly above the highest of these faces that they meet.
    Over(Vec<FaceId>),
    /// Back where they were: creased and opened again.
    Back,
}

/// A fold about to be made.
#[derive(Clone, Debug, PartialEq)]
pub struct Move {
    /// The moving side is on its left.
    pub line: TableLine,
    /// Towards the folder (valley) or away.
    pub valley: bool,
    /// What is taken.
    pub take: Take,
    /// Where it goes.
    pub landing: Landing,
}

/// What a fold did.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// The model after it.
    pub folded: Folded,
    /// For each face of it: did it move?
    pub moved: Vec<bool>,
    /// Whether all paper on the moving side moved.
    pub took_all: bool,
    /// Hinges that were bent.
    pub bent: Vec<usize>,
    /// The largest number of layers bent at one place.
    pub layers_bent: usize,
}

/// Why a fold cannot be made. Faces are those of the model before it.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Refused {
    /// No paper on the moving side.
    #[error("there is no paper beyond this line to fold")]
    NothingMoves,
    /// What moves hangs on to nothing that stays.
    #[error("this line does not cross the layers that should move")]
    NothingBends,
    /// A hinge would join a face that moves to one that stays.
    #[error("the paper would tear where a layer that moves hangs on to one that stays")]
    Tears {
        /// The moving face, the staying face.
        faces: [FaceId; 2],
        /// The edge that joins them.
        edge: [TablePoint; 2],
    },
    /// Fewer layers there than are to be taken.
    #[error(
        "{asked} layers are to be folded, and there {} only {there} here",
        if *there == 1 { "is" } else { "are" }
    )]
    FewerLayers {
        /// How many are to be taken.
        asked: usize,
        /// The most that lie on each other on the moving side.
        there: usize,
    },
    /// Other paper is in the way of what was named.
    #[error(
        "{} what should move{}, and only what is named moves",
        if *valley { "other paper lies on" } else { "other paper lies under" },
        if *hangs { " and is held from below" } else { "" }
    )]
    Held {
        /// What should move.
        flap: Vec<FaceId>,
        /// A face that is in the way.
        by: FaceId,
        /// Folded towards the folder, so that what lies on top is in the way.
        valley: bool,
        /// It lies loose there but for what it hangs on to.
        hangs: bool,
    },
    /// The flap that was named hangs on to the other half of the model beyond the line.
    #[error(
        "beyond this line the flap is joined to the other half of the model, and only what is \
         named moves"
    )]
    Joined {
        /// What was named.
        flap: Vec<FaceId>,
        /// A face of the other half that would have to move too.
        by: FaceId,
    },
    /// Paper would pass through paper; faces are those of `after`.
    #[error("paper would have to pass through paper")]
    Crosses {
        /// Where and what.
        crossing: Crossing,
        /// The model as it would be.
        after: Box<Folded>,
    },
    /// The flap it should go under or over moves itself.
    #[error("the flap it should go under or over moves along with it")]
    NoPlace,
    /// All it bends was folded and would lie flat.
    #[error("this is folded already, and the fold would open it")]
    Opens,
    /// Too many layers.
    #[error("{layers} layers would be bent at once; more than {MAX_LAYERS} cannot be")]
    TooManyLayers {
        /// How many.
        layers: usize,
    },
    /// Too many faces.
    #[error(transparent)]
    TooManyFaces(#[from] TooManyFaces),
}

/// The moving set of a fold, before anything is cut.
#[derive(Clone, Debug)]
pub struct Plan {
    sides: Sides,
    moving: Vec<bool>,
}

impl Plan {
    /// Finds what moves.
    ///
    /// # Errors
    /// [`Refused::NothingMoves`], [`Refused::NothingBends`], [`Refused::Tears`],
    /// [`Refused::Held`].
    pub fn new(model: &Folded, layout: &Layout, fold: &Move) -> Result<Self, Refused> {
        let sides = Sides::new(model, layout, &fold.line);
        let over_there: Vec<bool> = (0..model.faces.len()).map(|f| sides.reaches_left(f)).collect();
        if !over_there.contains(&true) {
            return Err(Refused::NothingMoves);
        }
        let moving = vec![false; model.faces.len()];
        let mut set = MovingSet { model, sides: &sides, over_there, moving, joint: Vec::new() };
        set.find(layout, fold)?;
        if !set.moving.contains(&true) {
            return Err(Refused::NothingMoves);
        }
        set.tear()?;
        if matches!(fold.take, Take::Half(_) | Take::Top(_) | Take::Bottom(_) | Take::Flap(_)) {
            set.nothing_in_the_way(layout, fold)?;
        }
        let moving = set.moving;
        let plan = Self { sides, moving };
        if plan.bends_anything(model) { Ok(plan) } else { Err(Refused::NothingBends) }
    }

    /// Nothing moves of the half of a model folded in two that a named flap has no part in.
    ///
    /// # Errors
    /// [`Refused::Joined`].
    pub fn stays_in_its_half(self, model: &Folded, flap: &[FaceId]) -> Result<Self, Refused> {
        let half = |f: FaceId| model.faces[f].moved_half;
        let named = |f: FaceId| flap.iter().any(|&n| half(n) == half(f));
        match (0..self.moving.len()).find(|&f| self.moving[f] && !named(f)) {
            Some(by) => Err(Refused::Joined { flap: flap.to_vec(), by }),
            None => Ok(self),
        }
    }

    /// For each face: does its part on the moving side move?
    pub fn moving(&self) -> &[bool] {
        &self.moving
    }

    fn bends_anything(&self, model: &Folded) -> bool {
        let cut = |f: FaceId| self.moving[f] && self.sides.reaches_right(f);
        (0..model.faces.len()).any(cut)
            || model.hinges.iter().any(|h| self.moving[h.faces[0]] != self.moving[h.faces[1]])
    }

    /// How many faces it cuts in two.
    fn cuts(&self) -> usize {
        (0..self.moving.len()).filter(|&f| self.moving[f] && self.sides.straddles(f)).count()
    }

    /// Cuts what moves from what stays; tells for each face then whether it moves.
    fn cut(&self, folded: &mut Folded, crease: CreaseId) -> Result<Vec<bool>, TooManyFaces> {
        let cuts = split(folded, |f| self.moving[f], &self.sides, crease)?;
        let mut moved = vec![false; folded.faces.len()];
        moved[..self.moving.len()].copy_from_slice(&self.moving);
        for cut in cuts {
            (moved[cut.right], moved[cut.left]) = (false, true);
        }
        Ok(moved)
    }

    fn took_all(&self) -> bool {
        (0..self.moving.len()).all(|f| self.moving[f] || !self.sides.reaches_left(f))
    }
}

/// Cuts the moving faces along the line without moving anything: `moved` are those on the moving
/// side, and `bent` the hinges that lie along the line now, those that were there before included.
///
/// # Errors
/// [`Refused::TooManyFaces`].
pub fn crease(model: &Folded, plan: &Plan, crease: Crease) -> Result<Done, Refused> {
    let mut folded = model.with_room(plan.cuts());
    let along = |h: &Hinge| {
        let taken = h.faces.iter().any(|&f| plan.moving[f]);
        taken && plan.sides.of_hinge(model, h) == [0.0, 0.0]
    };
    let mut bent: Vec<usize> =
        (0..model.hinges.len()).filter(|&h| along(&model.hinges[h])).collect();
    folded.creases.push(crease);
    let id = folded.creases.len() - 1;
    let moved = plan.cut(&mut folded, id)?;
    bent.extend((0..folded.hinges.len()).filter(|&h| folded.hinges[h].crease == id));
    Ok(Done { folded, moved, took_all: plan.took_all(), bent, layers_bent: 0 })
}

/// Makes a fold. New hinges belong to crease `id` of the model, or to the new `crease` if there
/// is none; hinges that were there already keep theirs.
///
/// # Errors
/// [`Refused::Crosses`], [`Refused::NoPlace`], [`Refused::TooManyFaces`],
/// [`Refused::TooManyLayers`].
pub fn fold(
    model: &Folded,
    fold: &Move,
    plan: &Plan,
    crease: Result<CreaseId, Crease>,
) -> Result<Done, Refused> {
    let mut folded = model.with_room(plan.cuts());
    let id = crease.unwrap_or_else(|new| {
        folded.creases.push(new);
        folded.creases.len() - 1
    });
    let moved = plan.cut(&mut folded, id)?;
    for (face, _) in folded.faces.iter_mut().zip(&moved).filter(|(_, m)| **m) {
        face.turn_over(&fold.line);
    }
    let bent: Vec<usize> = (0..folded.hinges.len())
        .filter(|&h| {
            let [a, b] = folded.hinges[h].faces;
            moved[a] != moved[b]
        })
        .collect();
    if !bent.is_empty() && !bent.iter().any(|&h| folded.is_folded(&folded.hinges[h])) {
        return Err(Refused::Opens);
    }
    folded.order = landed(&folded, fold, &moved, &bent).ok_or(Refused::NoPlace)?;
    if fold.landing != Landing::Outermost
        && let Some(crossing) = first_crossing(&Stack::of(&folded), &folded.order)
    {
        return Err(Refused::Crosses { crossing, after: Box::new(folded) });
    }
    let layers_bent = most_at_once(bent.iter().map(|&h| {
        let [a, b] = folded.hinge_on_table(&folded.hinges[h]).map(|p| fold.line.along(p));
        (a.min(b), a.max(b))
    }));
    if layers_bent > MAX_LAYERS {
        return Err(Refused::TooManyLayers { layers: layers_bent });
    }
    Ok(Done { folded, moved, took_all: plan.took_all(), bent, layers_bent })
}

/// The order after the move: the moved block, turned over, at its place among the others.
fn landed(folded: &Folded, fold: &Move, moved: &[bool], bent: &[usize]) -> Option<Vec<FaceId>> {
    let mut staying = Vec::with_capacity(moved.len());
    staying.extend(folded.order.iter().copied().filter(|&f| !moved[f]));
    let block = folded.order.iter().rev().copied().filter(|&f| moved[f]);
    let position = |f: FaceId| staying.iter().position(|&g| g == f);
    let lowest = |faces: &[FaceId]| faces.iter().filter_map(|&f| position(f)).min();
    let highest = |faces: &[FaceId]| faces.iter().filter_map(|&f| position(f)).max();
    let met = |faces: &[FaceId]| -> Vec<FaceId> {
        let layout = Layout::new(folded);
        let landing: Vec<FaceId> = (0..moved.len()).filter(|&f| moved[f]).collect();
        let meets = |f: FaceId| landing.iter().any(|&m| layout.overlap(f, m));
        let met: Vec<FaceId> = faces.iter().copied().filter(|&f| meets(f)).collect();
        if met.is_empty() { faces.to_vec() } else { met }
    };
    let at = match &fold.landing {
        Landing::Outermost | Landing::Back => Some(if fold.valley { staying.len() } else { 0 }),
        Landing::Inside => {
            let mates: Vec<FaceId> =
                bent.iter().flat_map(|&h| folded.hinges[h].faces).filter(|&f| !moved[f]).collect();
            if fold.valley { highest(&mates).map(|r| r + 1) } else { lowest(&mates) }
        }
        Landing::Under(faces) => lowest(&met(faces)),
        Landing::Over(faces) => highest(&met(faces)).map(|r| r + 1),
    }?;
    let mut order = Vec::with_capacity(moved.len());
    order.extend_from_slice(&staying[..at]);
    order.extend(block);
    order.extend_from_slice(&staying[at..]);
    Some(order)
}

/// The largest number of intervals that share a stretch.
pub fn most_at_once(spans: impl Iterator<Item = (f64, f64)>) -> usize {
    let t = TOLERANCE_M;
    let mut events = Vec::with_capacity(2 * spans.size_hint().0);
    for (a, b) in spans.filter(|(a, b)| b - a > 2.0 * t) {
        events.extend([(a + t, 1), (b - t, -1)]);
    }
    events.sort_by(|a: &(f64, i32), b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (mut now, mut most) = (0, 0);
    for (_, step) in events {
        now += step;
        most = most.max(now);
    }
    most.unsigned_abs() as usize
}

/// A fold of all layers makes a near and a far half when the moved part is at least this share of
/// the paper and at most the rest (chosen: a third; blunting a nose must not count).
const HALF_AT_LEAST: f64 = 1.0 / 3.0;

/// After a fold of all layers that moves about half the paper, the model has a near and a far
/// half. The second of two wings is no such fold, though nothing else lies there any more: of a model
/// that has halves it moves one alone.
pub fn mark_halves(folded: &mut Folded, moved: &[bool]) {
    let moves =
        |half: bool| folded.faces.iter().zip(moved).any(|(f, &m)| m && f.moved_half == half);
    if folded.in_halves() && !(moves(true) && moves(false)) {
        return;
    }
    let whole = folded.sheet_m[0] * folded.sheet_m[1];
    let part: f64 =
        folded.faces.iter().zip(moved).filter(|(_, m)| **m).map(|(f, _)| area(&f.polygon)).sum();
    if HALF_AT_LEAST * whole <= part && part <= (1.0 - HALF_AT_LEAST) * whole {
        for (face, &m) in folded.faces.iter_mut().zip(moved) {
            face.moved_half = m;
        }
    }
}
