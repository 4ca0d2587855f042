//! Which paper a fold takes along, by the rule of the module above.

use super::{Landing, Move, Refused, Take};
use crate::fold::layout::Layout;
use crate::fold::split::Sides;
use crate::fold::state::{CreaseId, FaceId, Folded, Hinge};
use crate::numeric::geom::{TableLine, TablePoint, area, clip_segment};

/// The faces a fold takes along, found from those it names.
pub(super) struct MovingSet<'a> {
    pub(super) model: &'a Folded,
    pub(super) sides: &'a Sides,
    pub(super) over_there: Vec<bool>,
    pub(super) moving: Vec<bool>,
    /// Faces on either side of what joins a named flap to the rest of the model: what is beyond is
    /// not named.
    pub(super) joint: Vec<[FaceId; 2]>,
}

impl MovingSet<'_> {
    pub(super) fn find(&mut self, layout: &Layout, fold: &Move) -> Result<(), Refused> {
        let all = 0..self.model.faces.len();
        let reach = |f| [self.sides.reaches_left(f), self.sides.reaches_right(f)];
        let parts = || layout.left_of(&fold.line, reach);
        match &fold.take {
            Take::All => self.moving.clone_from(&self.over_there),
            Take::Half(half) => {
                let half = |f: FaceId| self.model.faces[f].moved_half == *half;
                self.moving = all.map(|f| self.over_there[f] && half(f)).collect();
                if self.tear().is_err() {
                    self.leave_ends();
                }
            }
            Take::Top(n) | Take::Bottom(n) => {
                let depth = self.depths(&parts(), matches!(fold.take, Take::Top(_)));
                let there = all.clone().filter(|&f| self.over_there[f]).map(|f| depth[f] + 1).max();
                if let Some(there) = there.filter(|there| there < n) {
                    return Err(Refused::FewerLayers { asked: *n, there });
                }
                self.moving = all.map(|f| self.over_there[f] && depth[f] < *n).collect();
            }
            Take::Flap(faces) => {
                if !self.model.in_halves() {
                    self.joint = self.joined_to_the_rest(faces);
                }
                let plate = self.plate(faces);
                self.hang_on(faces);
                let parts = parts();
                // Each round may bring in paper that more hangs on.
                while self.carry(&parts, fold, Some(&plate))? {}
            }
            Take::Loose(faces) => {
                self.hang_on(faces);
                self.carry(&parts(), fold, None)?;
            }
            Take::Beside(creases) => {
                let beside = self.beside(creases);
                self.hang_on(&beside);
                let cut = all.clone().any(|f| self.moving[f] && self.sides.straddles(f));
                let refused = self.nothing_in_the_way(layout, fold).err();
                if cut || beside.is_empty() || refused.is_some() {
                    if !self.runs_across(creases, layout, &fold.line) {
                        return Err(refused.unwrap_or(Refused::NothingBends));
                    }
                    self.moving.clone_from(&self.over_there);
                }
            }
        }
        Ok(())
    }

    /// Takes some faces and all they hang on to over there.
    fn hang_on(&mut self, faces: &[FaceId]) {
        let there = faces.iter().copied().filter(|&f| self.over_there[f]);
        let found = self.model.hanging_together(there, |_, h| self.joins(h, true));
        self.moving.iter_mut().zip(found).for_each(|(m, f)| *m |= f);
    }

    /// Of a half, leaves an end that is reversed up between the two: beyond the line it is joined to the
    /// other half alone, along a spine that is folded the other way than the keel.
    fn leave_ends(&mut self) {
        let (model, ranks) = (self.model, self.model.ranks());
        let half = |f: FaceId| model.faces[f].moved_half;
        let spines = model.hinges.iter().filter(|h| half(h.faces[0]) != half(h.faces[1]));
        let long = |h: &Hinge| h.ends[0].distance(h.ends[1]);
        let keel = spines.clone().max_by(|a, b| long(a).total_cmp(&long(b)));
        let Some(keel) = keel.map(|h| model.assignment(h, &ranks)) else { return };
        let reversed = |h: &Hinge| model.assignment(h, &ranks) != keel;
        let over_there: Vec<&Hinge> =
            spines.filter(|h| self.sides.hinge_reaches_left(model, h)).collect();
        let mut moving = self.moving.clone();
        for spine in &over_there {
            let piece = model.hanging_together(spine.faces, |_, h| self.joins(h, true));
            if over_there.iter().all(|h| reversed(h) || !piece[h.faces[0]]) {
                moving.iter_mut().zip(piece).for_each(|(m, p)| *m &= !p);
            }
        }
        // Where most of the half hangs on the end, it tears.
        let paper = |moving: &[bool]| -> f64 {
            let faces = model.faces.iter().zip(moving).filter(|(_, m)| **m);
            faces.map(|(f, _)| area(&f.polygon)).sum()
        };
        if paper(&moving) > paper(&self.moving) / 2.0 {
            self.moving = moving;
        }
    }

    /// The folded hinges of the plate that some faces belong to, along creases beyond which lies the
    /// larger part of the paper.
    fn joined_to_the_rest(&self, faces: &[FaceId]) -> Vec<[FaceId; 2]> {
        let (model, [w, l]) = (self.model, self.model.sheet_m);
        let flat = |h: &Hinge| !model.is_folded(h);
        let plate = model.hanging_together(faces.iter().copied(), |_, h| flat(h));
        let rim = |h: &&Hinge| plate[h.faces[0]] != plate[h.faces[1]];
        let joins = |h: &&Hinge| {
            let along = |o: &Hinge| o.crease == h.crease && rim(&o);
            let part = model.hanging_together(faces.iter().copied(), |_, o| !along(o));
            let beyond = h.faces.into_iter().any(|f| !part[f]);
            let kept = model.faces.iter().zip(&part).filter(|(_, p)| **p);
            beyond && kept.map(|(f, _)| area(&f.polygon)).sum::<f64>() < w * l / 2.0
        };
        model.hinges.iter().filter(rim).filter(joins).map(|h| h.faces).collect()
    }

    /// The plate of paper that some faces belong to over there: across creases that lie flat.
    fn plate(&self, faces: &[FaceId]) -> Vec<bool> {
        self.model.hanging_together(faces.iter().copied(), |_, h| self.joins(h, false))
    }

    /// Takes what lies loose on what moves, and what that hangs on to. For a named flap, given by
    /// its plate, only what is folded on to it: hinged to the plate beyond the crease, or anywhere
    /// to what is, but never the other half of a model folded in two. Tells whether there was any.
    fn carry(
        &mut self,
        parts: &Layout,
        fold: &Move,
        plate: Option<&[bool]>,
    ) -> Result<bool, Refused> {
        if !matches!(fold.landing, Landing::Outermost | Landing::Back) {
            return Ok(false);
        }
        let ranks = self.model.ranks();
        let outside = |g: FaceId, f: FaceId| (ranks[g] > ranks[f]) == fold.valley;
        let joints = self.joints(true);
        let hinges = &self.model.hinges;
        let folded_on = |g: FaceId, moving: &[bool], plate: &[bool]| {
            let half = |f: FaceId| self.model.faces[f].moved_half;
            let on_a_flap = |h: &Hinge| {
                let f = h.other(g);
                moving[f] && !plate[f] && half(f) == half(g)
            };
            neighbours(&joints, g).any(|f| moving[f])
                || hinges.iter().any(|h| h.faces.contains(&g) && on_a_flap(h))
        };
        let named = self.moving.clone();
        let flap = || (0..named.len()).filter(|&f| named[f]);
        let mut fresh: Vec<FaceId> = flap().collect();
        let mut waiting: Vec<FaceId> = (0..named.len()).filter(|&f| self.over_there[f]).collect();
        while let Some(f) = fresh.pop() {
            for g in neighbours(&joints, f).filter(|&g| self.take(g)) {
                let mut below = flap().filter(|&m| outside(m, g) && parts.overlap(g, m));
                let mut above = flap().filter(|&m| outside(g, m) && parts.overlap(g, m));
                if below.next().is_some() && above.next().is_none() {
                    let flap = flap().collect();
                    return Err(Refused::Held { flap, by: f, valley: fold.valley, hangs: true });
                }
                fresh.push(g);
            }
            waiting.retain(|&g| {
                let loose = !self.moving[g] && outside(g, f) && parts.overlap(f, g);
                if loose && plate.is_none_or(|plate| folded_on(g, &self.moving, plate)) {
                    self.moving[g] = true;
                    fresh.push(g);
                }
                !self.moving[g]
            });
        }
        Ok(self.moving != named)
    }

    /// Nothing that moves hangs on to paper over there that stays.
    pub(super) fn tear(&self) -> Result<(), Refused> {
        let torn = |h: &&Hinge| {
            let [a, b] = h.faces;
            self.moving[a] != self.moving[b] && self.sides.hinge_reaches_left(self.model, h)
        };
        self.model.hinges.iter().find(torn).map_or(Ok(()), |h| {
            let [a, b] = h.faces;
            let faces = if self.moving[a] { [a, b] } else { [b, a] };
            Err(Refused::Tears { faces, edge: self.model.hinge_on_table(h) })
        })
    }

    /// Nothing that stays lies on what moves, where that is to land outermost.
    pub(super) fn nothing_in_the_way(&self, layout: &Layout, fold: &Move) -> Result<(), Refused> {
        if fold.landing != Landing::Outermost {
            return Ok(());
        }
        let reach = |f| [self.sides.reaches_left(f), self.sides.reaches_right(f)];
        let parts = layout.left_of(&fold.line, reach);
        let ranks = self.model.ranks();
        let all = || 0..self.moving.len();
        let mut staying = all().filter(|&g| self.over_there[g] && !self.moving[g]);
        let on_it = |g: FaceId| {
            let under = |f| self.moving[f] && (ranks[g] > ranks[f]) == fold.valley;
            all().any(|f| under(f) && parts.overlap(f, g))
        };
        staying.find(|&g| on_it(g)).map_or(Ok(()), |by| {
            let flap = all().filter(|&f| self.moving[f]).collect();
            Err(Refused::Held { flap, by, valley: fold.valley, hangs: false })
        })
    }

    /// Marks a face; false where it was marked before or has no part over there.
    fn take(&mut self, f: FaceId) -> bool {
        let new = self.over_there[f] && !self.moving[f];
        self.moving[f] |= new;
        new
    }

    /// How many other layers lie on the outer side of each face's own.
    fn depths(&self, parts: &Layout, from_top: bool) -> Vec<usize> {
        let count = self.model.faces.len();
        let mut layer: Vec<usize> = (0..count).collect();
        for [a, b] in self.joints(false) {
            let [a, b] = [layer[a], layer[b]];
            layer.iter_mut().filter(|l| **l == b).for_each(|l| *l = a);
        }
        let mut outwards: Vec<FaceId> = self.model.order.clone();
        outwards.retain(|&f| self.over_there[f]);
        if from_top {
            outwards.reverse();
        }
        let mut covers = Vec::new();
        for (i, &f) in outwards.iter().enumerate() {
            let over = outwards[..i].iter().filter(|&&g| layer[g] != layer[f]);
            covers.extend(over.filter(|&&g| parts.overlap(f, g)).map(|&g| [layer[g], layer[f]]));
        }
        let mut depth = vec![0; count];
        // Layers woven with each other have no depth: theirs grows until the rounds end.
        for _ in 0..count {
            let before = depth.clone();
            for &[over, under] in &covers {
                depth[under] = depth[under].max(depth[over] + 1);
            }
            if depth == before {
                break;
            }
        }
        layer.into_iter().map(|l| depth[l]).collect()
    }

    /// Neighbours across hinges with a piece on the moving side: all, or those lying flat.
    fn joints(&self, folded_too: bool) -> Vec<[FaceId; 2]> {
        let hinges = self.model.hinges.iter().filter(|h| self.joins(h, folded_too));
        hinges.map(|h| h.faces).collect()
    }

    fn joins(&self, h: &Hinge, folded_too: bool) -> bool {
        (folded_too || !self.model.is_folded(h))
            && !self.joint.contains(&h.faces)
            && h.faces.iter().all(|&f| self.over_there[f])
            && self.sides.hinge_reaches_left(self.model, h)
    }

    /// Faces over there that some open creases join to faces on this side.
    fn beside(&self, creases: &[CreaseId]) -> Vec<FaceId> {
        let along = |h: &&Hinge| {
            creases.contains(&h.crease) && self.sides.of_hinge(self.model, h) == [0.0, 0.0]
        };
        let over = |h: &Hinge| match h.faces.map(|f| self.over_there[f]) {
            [true, false] => Some(h.faces[0]),
            [false, true] => Some(h.faces[1]),
            _ => None,
        };
        self.model.hinges.iter().filter(along).filter_map(over).collect()
    }

    /// Whether some creases reach along a line as far as there is paper across it.
    fn runs_across(&self, creases: &[CreaseId], layout: &Layout, line: &TableLine) -> bool {
        let span = |ends: [TablePoint; 2]| {
            let [a, b] = ends.map(|p| line.along(p));
            (a.min(b), a.max(b))
        };
        let join = |(a, b): (f64, f64), (c, d): (f64, f64)| (a.min(c), b.max(d));
        let on = self.model.hinges.iter().filter(|h| creases.contains(&h.crease));
        let creased = on.map(|h| span(self.model.hinge_on_table(h))).reduce(join);
        let across = |f: &FaceId| self.sides.straddles(*f);
        let paper = (0..layout.len()).filter(across).filter_map(|f| {
            let [p, q] = [-FAR_M, FAR_M].map(|s| line.place(s));
            clip_segment(p, q, layout.outline(f)).map(|(a, b)| (a - FAR_M, b - FAR_M))
        });
        match (creased, paper.reduce(join)) {
            (Some((a, b)), Some((c, d))) => a <= c + SHORT_M && d - SHORT_M <= b,
            (creased, _) => creased.is_some(),
        }
    }
}

/// Farther than paper reaches, m.
const FAR_M: f64 = 10.0;
/// A crease that ends this near to the rim runs across (chosen: ten times what a careful hand
/// misses a crease by).
const SHORT_M: f64 = 5e-3;

fn neighbours(joints: &[[FaceId; 2]], f: FaceId) -> impl Iterator<Item = FaceId> + '_ {
    let other = move |&[a, b]: &[FaceId; 2]| match f {
        f if f == a => Some(b),
        f if f == b => Some(a),
        _ => None,
    };
    joints.iter().filter_map(other)
}
