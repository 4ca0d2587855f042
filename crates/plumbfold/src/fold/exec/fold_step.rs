//! One `valley`, `mountain` or `crease` line of the text, or its mirrored half.

use crate::design::ast::{Expr, FoldLine, FoldStep, FoldVerb, Layers, MovingRef, Place, Spanned};
use crate::design::eval::Values;
use crate::fold::apply::MAX_LAYERS;
use crate::fold::apply::{self, Done, Landing, Move, Plan, Refused, Take};
use crate::fold::axis::Axis;
use crate::fold::creep;
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::{Fault, Names, Refs, direction};
use crate::fold::slip::{self, Aim};
use crate::fold::state::{Crease, CreaseId, FaceId, Folded};
use crate::numeric::geom::{SheetPoint, TableLine, TablePoint, Vec2, area, centroid};

use super::crease_line::{Asked, Mover, asked, mover_of_line};
use super::mirror::Mirror;

/// What a pass did.
#[derive(Clone, Debug)]
pub struct Passed {
    /// The model after it.
    pub folded: Folded,
    /// The crease; the moved part was on its left.
    pub line: TableLine,
    /// Which way; `None` for a crease.
    pub valley: Option<bool>,
    /// Creases made or bent.
    pub creases: Vec<CreaseId>,
    /// The largest number of layers bent at one place.
    pub layers_bent: usize,
    /// Area of the paper that moved, all layers, m2.
    pub moved_m2: f64,
    /// Length of crease bent or made, all layers, m.
    pub bent_m: f64,
    /// How far the crease reaches along its line, either way from its middle, m.
    pub reach_m: f64,
    /// A place amid the largest piece that moved (or, for a crease, was creased off).
    pub amid: SheetPoint,
    /// The folder chose where the crease runs: it was not there before.
    pub placed: bool,
    /// How far thickness pushes the paper that moved, in thicknesses.
    pub push: Vec2,
}

impl Passed {
    fn new(
        done: Done,
        fold: &Move,
        valley: Option<bool>,
        creases: Vec<CreaseId>,
        amid: SheetPoint,
    ) -> Self {
        let Done { folded, moved, bent, layers_bent, .. } = done;
        let parts = folded.faces.iter().zip(&moved).filter(|(_, m)| **m);
        let moved_m2 = parts.map(|(f, _)| area(&f.polygon)).sum();
        let (mut bent_m, mut low, mut high) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
        for &h in &bent {
            let [a, b] = folded.hinge_on_table(&folded.hinges[h]).map(|p| fold.line.along(p));
            (bent_m, low, high) = (bent_m + (b - a).abs(), low.min(a).min(b), high.max(a).max(b));
        }
        let at = fold.line.place(if bent.is_empty() { 0.0 } else { (low + high) / 2.0 });
        let (line, placed, push) = (TableLine { at, ..fold.line }, true, Vec2::default());
        let reach_m = (high - low) / 2.0;
        Self {
            folded,
            line,
            valley,
            creases,
            layers_bent,
            moved_m2,
            bent_m,
            reach_m,
            amid,
            placed,
            push,
        }
    }
}

/// A fold step about to be made on a model.
pub struct Pass<'a> {
    /// The step.
    pub step: &'a FoldStep,
    /// Its index.
    pub index: usize,
    /// The model before it.
    pub model: &'a Folded,
    /// What names stand for.
    pub names: &'a Names,
    /// Values of quantities.
    pub values: &'a Values,
    /// The line in which it is mirrored.
    pub axis: Axis,
    /// For the mirrored half.
    pub mirror: Option<Mirror>,
    /// And the crease of the first half.
    pub first_made: Option<TableLine>,
    /// In a slipped run, what the hand aims at and how it misses.
    pub aim: Option<&'a Aim>,
    /// Thickness displaces paper.
    pub creep: bool,
    /// The faces of the layers it names, once they are known.
    pub among: Option<Vec<FaceId>>,
}

/// A crease that can be made, with its moving side on the left.
pub(super) struct Candidate {
    pub line: TableLine,
    pub fold: Move,
    pub plan: Plan,
}

impl Pass<'_> {
    pub(super) fn refs(&self) -> Refs<'_> {
        Refs {
            axis: self.axis,
            mirrored: self.mirror.is_some(),
            slipped: self.aim.is_some(),
            among: self.among.clone(),
            one_sided: !self.step.sides.both(),
            ..Refs::new(self.model, self.names, self.values)
        }
    }

    /// Of a line folded apart a step means what the layers it names carry.
    fn named_layers(&self) -> Result<Option<Vec<FaceId>>, Fault> {
        let halves = self.step.layers.node == Layers::Default
            && self.step.sides.both()
            && self.folded_in_two();
        let take = match &self.step.layers.node {
            Layers::NearHalf | Layers::FarHalf | Layers::FlapAt(_) => self.take(None)?,
            Layers::Default if halves => self.take(None)?,
            _ => return Ok(None),
        };
        let faces = 0..self.model.faces.len();
        Ok(match take {
            Take::Half(half) => {
                Some(faces.filter(|&f| self.model.faces[f].moved_half == half).collect())
            }
            Take::Flap(faces) => Some(faces),
            _ => None,
        })
    }

    fn other_way_up(&self) -> bool {
        self.mirror.is_some_and(|m| m.other_way_up())
    }

    /// Towards the folder, as the paper lies here.
    pub(super) fn valley(&self) -> bool {
        (self.step.verb != FoldVerb::Mountain) != self.other_way_up()
    }

    /// Makes the fold.
    pub fn run(mut self) -> Result<Passed, Fault> {
        self.among = self.named_layers()?;
        let layout = Layout::new(self.model);
        let asked = asked(&self.refs(), &self.step.line, &layout, self.mirror.as_ref())?;
        match self.aim {
            None => {
                let chosen = self.choose(&asked, &layout)?;
                self.nothing_beyond(&asked, &chosen, &layout)?;
                self.not_there_already(&asked, &chosen)?;
                self.make(&asked, &chosen).map_err(|refused| (&self.step.line.span, refused).into())
            }
            Some(aim) => self.slipped(aim, &asked, &layout),
        }
    }

    /// Makes the fold along one crease.
    pub(super) fn make(&self, asked: &Asked, chosen: &Candidate) -> Result<Passed, Refused> {
        let name = self.step.call.as_ref().map(|n| n.node.as_str().into());
        let mirrored = self.mirror.is_some();
        let crease = Crease { name, mirrored, ..Crease::made_by(self.index) };
        let passed = match self.step.verb {
            FoldVerb::Crease => self.crease(chosen, crease)?,
            FoldVerb::Valley | FoldVerb::Mountain => {
                // Folding along a crease that has a name, without giving another, bends that one.
                let along = asked.along.filter(|_| self.step.call.is_none());
                self.fold(asked, chosen, along.ok_or(crease))?
            }
        };
        Ok(Passed { placed: asked.along.is_none(), ..passed })
    }

    fn crease(&self, c: &Candidate, crease: Crease) -> Result<Passed, Refused> {
        let renames = crease.name.is_some();
        let mut done = apply::crease(self.model, &c.plan, crease)?;
        let id = done.folded.creases.len() - 1;
        if renames {
            for &h in &done.bent {
                done.folded.hinges[h].crease = id;
            }
        }
        let amid = amid_largest(&done.folded, |f| f >= self.model.faces.len());
        Ok(Passed::new(done, &c.fold, None, vec![id], amid))
    }

    fn fold(
        &self,
        asked: &Asked,
        c: &Candidate,
        crease: Result<CreaseId, Crease>,
    ) -> Result<Passed, Refused> {
        let renames = matches!(&crease, Err(Crease { name: Some(_), .. }));
        let mut done = apply::fold(self.model, &c.fold, &c.plan, crease)?;
        let Done { folded, moved, took_all, bent, layers_bent } = &mut done;
        let newest = folded.creases.len() - 1;
        let mut creases = Vec::new();
        for &mut h in bent {
            let hinge = &mut folded.hinges[h];
            if renames {
                hinge.crease = newest;
            }
            if !creases.contains(&hinge.crease) {
                creases.push(hinge.crease);
                let crease = &mut folded.creases[hinge.crease];
                crease.layers = crease.layers.max(*layers_bent);
            }
        }
        if *took_all && !self.step.sides.both() {
            apply::mark_halves(folded, moved);
        }
        let amid = amid_largest(folded, |f| moved[f]);
        // A slipped crease does not change what thickness does.
        let push = match (self.aim, folded.on_table(amid)) {
            (Some(aim), _) => aim.push,
            (None, Some(landed)) => self.push(asked, &c.line, landed),
            (None, None) => Vec2::default(),
        };
        for (face, _) in folded.faces.iter_mut().zip(&*moved).filter(|(_, m)| **m) {
            face.shift = face.shift + push;
        }
        let passed = Passed::new(done, &c.fold, Some(c.fold.valley), creases, amid);
        Ok(Passed { push, ..passed })
    }

    /// How far thickness pushes what this fold brings to a place: the same words are read again on
    /// paper that has some.
    fn push(&self, asked: &Asked, line: &TableLine, landed: TablePoint) -> Vec2 {
        let shifted = self.model.faces.iter().any(|f| f.shift != Vec2::default());
        let stands_out = asked.along.is_none() && self.model.creases.iter().any(|c| c.layers > 0);
        if !self.creep || !(shifted || stands_out) {
            return Vec2::default();
        }
        let refs = Refs { thickness_m: creep::PROBE_M, ..self.refs() };
        // Only this asks where the rest of the model lies.
        let halved = matches!(self.step.line.node, FoldLine::InHalf { .. });
        let layout =
            if halved { Layout::new(&creep::probe(self.model)) } else { Layout::default() };
        let thick = self::asked(&refs, &self.step.line, &layout, self.mirror.as_ref());
        let ideal = slip::nearest(line, &asked.lines);
        let thick = ideal.and_then(|line| slip::nearest(&line, &thick.ok()?.lines));
        ideal
            .zip(thick)
            .map_or(Vec2::default(), |(a, b)| creep::push(&a, &b, landed, self.model.faces.len()))
    }

    /// The place of `flap at P`.
    pub(super) fn flap_place(&self) -> Result<Option<Mover>, Fault> {
        let Layers::FlapAt(p) = &self.step.layers.node else { return Ok(None) };
        Ok(Some(Mover::Place(self.refs().place_on_paper(p)?.0)))
    }

    pub(super) fn moving(&self) -> Result<Option<Mover>, Fault> {
        let Some(moving) = &self.step.moving else { return Ok(None) };
        Ok(Some(match &moving.node {
            MovingRef::Point(p) => Mover::Place(self.refs().place(p)?.table),
            MovingRef::Line(l) => mover_of_line(&self.refs().line(l)?),
            MovingRef::Table(d) => {
                let d = direction(*d);
                Mover::Towards(self.mirror.map_or(d, |m| m.direction(d)))
            }
        }))
    }

    pub(super) fn take(&self, asked: Option<&Asked>) -> Result<Take, Fault> {
        let layers = &self.step.layers;
        let flipped = self.other_way_up();
        let half = |near: bool| {
            let top = self.model.order.last().is_some_and(|&f| self.model.faces[f].moved_half);
            Take::Half(top == (near != flipped))
        };
        let counted = |n: &Spanned<Expr>, top: bool| -> Result<Take, Fault> {
            let n = self.values.count(n)?;
            if !(1..=MAX_LAYERS).contains(&n) {
                return Err((&layers.span, Problem::LayerCount { n }).into());
            }
            Ok(if top != flipped { Take::Top(n) } else { Take::Bottom(n) })
        };
        Ok(match &layers.node {
            Layers::Default => match asked.and_then(|a| a.carried.as_ref()) {
                Some(faces) => Take::Loose(faces.clone()),
                // In a model folded in two, both sides are its two halves.
                None if self.step.sides.both() && self.folded_in_two() => half(true),
                None => match asked.filter(|a| !a.refolded.is_empty()) {
                    Some(asked) => Take::Beside(asked.refolded.clone()),
                    None => Take::All,
                },
            },
            Layers::All => Take::All,
            Layers::Top(n) => counted(n, true)?,
            Layers::Bottom(n) => counted(n, false)?,
            Layers::NearHalf | Layers::FarHalf if !self.model.in_halves() => {
                return Err((&layers.span, Problem::NotInTwo).into());
            }
            Layers::NearHalf => half(true),
            Layers::FarHalf => half(false),
            Layers::FlapAt(p) => {
                let (_, sheet) = self.refs().place_on_paper(p)?;
                Take::Flap(self.model.faces_at(sheet).collect())
            }
        })
    }

    pub(super) fn folded_in_two(&self) -> bool {
        if let Some(mirror) = self.mirror {
            return mirror.other_way_up();
        }
        let top = self.model.order.last().and_then(|&f| Mirror::of_face(self.model, f, self.axis));
        top.is_some_and(|m| m.other_way_up())
    }

    pub(super) fn landing(&self) -> Result<Landing, Fault> {
        let Some(place) = &self.step.place else {
            let stays = self.step.verb == FoldVerb::Crease;
            return Ok(if stays { Landing::Back } else { Landing::Outermost });
        };
        let flap = |p| -> Result<Vec<FaceId>, Fault> {
            let (_, sheet) = self.refs().place_on_paper(p)?;
            Ok(self.model.faces_at(sheet).collect())
        };
        Ok(match (&place.node, self.other_way_up()) {
            (Place::Inside, _) => Landing::Inside,
            (Place::Under(p), false) | (Place::Over(p), true) => Landing::Under(flap(p)?),
            (Place::Over(p), false) | (Place::Under(p), true) => Landing::Over(flap(p)?),
        })
    }
}

/// Middle of the largest face of some; of all, where there are none.
fn amid_largest(model: &Folded, some: impl Fn(FaceId) -> bool) -> SheetPoint {
    let sized = |f: FaceId| (f, area(&model.faces[f].polygon));
    let larger = |a: (FaceId, f64), b: (FaceId, f64)| if b.1 > a.1 { b } else { a };
    let all = 0..model.faces.len();
    let found = all.clone().filter(|&f| some(f)).map(sized).reduce(larger);
    let face = found.or_else(|| all.map(sized).reduce(larger)).map_or(0, |f| f.0);
    centroid(&model.faces[face].polygon)
}
