//! Squash and swivel folds: a flap opened at its folded edge and laid flat again about a point.
//!
//! ```text
//!    before                      after a squash       U upper layer, W lower layer of the flap,
//!        P                           P                joined at the edge S. U turns over about
//!       /|\`.  S                    /|\               its own hinge A, W folds along the
//!      / | \  `.                   / | \              bisector b of S and the line S is brought
//!     /  |  \b  `.                / b|b'\             onto, and U likewise along b': then U and
//!    /   |   \    `.             /   |   \            W lie flat side by side, and S is a flat
//!        A                           S                crease between them
//! ```
//! In a squash S is brought onto A, so both halves are alike; in a swivel onto any other line.

use super::cut::{Creased, FAR_M};
use super::{Call, CollapseError, Collapsed, collapse};
use crate::fold::layout::Layout;
use crate::fold::split::Sides;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{Line, TOLERANCE_M, TableLine, TablePoint, Vec2, clip_segment};

/// Squashes the flap with its folded edge among `spine` (hinges) so that the edge comes to lie on
/// `onto`, about `hinge`, where edge and line meet (table frame).
///
/// # Errors
/// [`CollapseError`].
pub fn squash(
    model: &Folded,
    spine: &[usize],
    onto: &TableLine,
    hinge: TablePoint,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let flap = Opened::new(model, spine, onto, hinge)?;
    flap.lay_flat(model, flap.onto, call, take)
}

/// Swivels likewise: the upper layer turns over about the crease it already has through the hinge
/// point, next to the edge.
///
/// # Errors
/// [`CollapseError`].
pub fn swivel(
    model: &Folded,
    spine: &[usize],
    onto: &TableLine,
    hinge: TablePoint,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let flap = Opened::new(model, spine, onto, hinge)?;
    let Some(about) = flap.nearest_crease(model) else {
        let what = "the upper layer has no crease through the hinge point to swivel about; \
                    crease it first, or squash";
        return Err(CollapseError::unfit(what, &[hinge]));
    };
    flap.lay_flat(model, about, call, take)
}

struct Opened<'a> {
    spine: &'a [usize],
    hinge: TablePoint,
    upper: FaceId,
    lower: FaceId,
    /// From the hinge point: along the folded edge, and along the line it is brought onto.
    edge: Vec2,
    onto: Vec2,
}

impl<'a> Opened<'a> {
    fn new(
        model: &Folded,
        spine: &'a [usize],
        onto: &TableLine,
        hinge: TablePoint,
    ) -> Result<Self, CollapseError> {
        let ranks = model.ranks();
        let top = |&h: &usize| model.hinges[h].faces.map(|f| ranks[f]).into_iter().max();
        let middle = |h: usize| {
            let [a, b] = model.hinge_on_table(&model.hinges[h]);
            a.lerp(b, 0.5)
        };
        let folded = spine.iter().copied().filter(|&h| model.is_folded(&model.hinges[h]));
        // Of the uppermost layer's pieces, the one next to the hinge point.
        let Some(first) = folded.max_by(|a, b| {
            let near = |h: usize| middle(h).distance(hinge);
            top(a).cmp(&top(b)).then(near(*b).total_cmp(&near(*a)))
        }) else {
            let what = "this crease lies open; a squash needs the folded edge of a flap";
            return Err(CollapseError::unfit(what, &[hinge]));
        };
        let [p, q] = model.hinge_on_table(&model.hinges[first]);
        let off = Line::through(p, q).map_or(0.0, |l| l.side(hinge).abs());
        if off > 10.0 * TOLERANCE_M || onto.side(hinge).abs() > 10.0 * TOLERANCE_M {
            let what = "the hinge point must lie both on the folded edge and on the line it is \
                        brought onto";
            return Err(CollapseError::unfit(what, &[hinge, p, q]));
        }
        let Some(edge) = (middle(first) - hinge).unit() else {
            let what = "the hinge point must be an end of the folded edge, not its middle";
            return Err(CollapseError::unfit(what, &[hinge]));
        };
        if edge.cross(onto.dir).abs() < 1e-9 {
            let what = "the folded edge lies on that line already";
            return Err(CollapseError::unfit(what, &[p, q]));
        }
        let [a, b] = model.hinges[first].faces;
        let (upper, lower) = if ranks[a] > ranks[b] { (a, b) } else { (b, a) };
        // Of the line's two directions, the one with the flap between it and the edge.
        let outline = model.table_polygon(lower);
        let through_flap = |dir: Vec2| {
            let end = hinge + (edge + dir) * (FAR_M / (edge + dir).norm());
            clip_segment(hinge, end, &outline).is_some()
        };
        let nearer = if onto.dir.dot(edge) < 0.0 { -onto.dir } else { onto.dir };
        let onto = if through_flap(nearer) || !through_flap(-nearer) { nearer } else { -nearer };
        Ok(Self { spine, hinge, upper, lower, edge, onto })
    }

    /// Direction of the crease through the hinge point that bounds the upper layer, next to the
    /// folded edge.
    fn nearest_crease(&self, model: &Folded) -> Option<Vec2> {
        let from_edge = |v: Vec2| self.edge.dot(v).clamp(-1.0, 1.0).acos();
        let at_hinge = model
            .hinges
            .iter()
            .enumerate()
            .filter(|(i, h)| !self.spine.contains(i) && h.faces.contains(&self.upper));
        let rays = at_hinge.filter_map(|(_, h)| {
            let [p, q] = model.hinge_on_table(h);
            let far = if p.distance(self.hinge) < q.distance(self.hinge) { q } else { p };
            let near = if far == p { q } else { p };
            (near.distance(self.hinge) < 10.0 * TOLERANCE_M).then(|| (far - near).unit())?
        });
        rays.min_by(|a, b| from_edge(*a).total_cmp(&from_edge(*b)))
    }

    /// Everything that hangs together with `start` on the folded edge's side of a line through
    /// the hinge point, without going round the folded edge.
    fn hanging_on(&self, model: &Folded, start: FaceId, dir: Vec2) -> (Vec<bool>, TableLine) {
        let line = TableLine { at: self.hinge, dir };
        let line = if dir.cross(self.edge) > 0.0 { line } else { line.reversed() };
        let sides = Sides::new(model, &Layout::new(model), &line);
        let faces = model.hanging_together([start], |i, h| {
            sides.hinge_reaches_left(model, h) && !self.spine.contains(&i)
        });
        (faces, line)
    }

    fn lay_flat(
        &self,
        model: &Folded,
        about: Vec2,
        call: &Call,
        take: usize,
    ) -> Result<Collapsed, CollapseError> {
        let half = self.edge.cross(self.onto).atan2(self.edge.dot(self.onto)) / 2.0;
        let turned = |v: Vec2, by: f64| {
            let (s, c) = by.sin_cos();
            Vec2::new(v.x * c - v.y * s, v.x * s + v.y * c)
        };
        // W folds along b; U turns about A, and folds along b' so that both come to one place.
        let (lower_crease, upper_crease) = (turned(self.edge, half), turned(about, -half));
        let (lower, b) = self.hanging_on(model, self.lower, lower_crease);
        let (upper, a) = self.hanging_on(model, self.upper, about);
        if let Some(both) = (0..upper.len()).find(|&f| upper[f] && lower[f]) {
            let what = "the two layers of the flap hang together elsewhere, so it cannot open";
            return Err(CollapseError::unfit(what, &[Creased::new(model).middle(both)]));
        }
        let mut creased = Creased::new(model);
        creased.ray(self.hinge, lower_crease, |f| lower[f], call)?;
        creased.along(&a, |f| upper[f], call)?;
        creased.ray(self.hinge, upper_crease, |f| upper[f], call)?;
        creased.tidy();
        let c = TableLine { at: self.hinge, dir: upper_crease };
        let c = if upper_crease.cross(self.edge) > 0.0 { c } else { c.reversed() };

        let parts = creased.parts(|from, at| match () {
            () if lower[from] && b.side(at) > 0.0 => LOWER,
            () if !upper[from] || a.side(at) <= 0.0 => STAYS,
            () if c.side(at) > 0.0 => UPPER_FAR,
            () => UPPER_NEAR,
        });
        let mut plan = parts.plan()?;
        let layers = |part: usize| parts.layers(|p| p == part);
        let turned = [parts.turned_over(UPPER_NEAR), parts.turned_over(LOWER)].concat();
        plan.stack = [layers(STAYS), turned, layers(UPPER_FAR)].concat();
        // What opens comes on top of what it is hinged to.
        let opens = [(STAYS, LOWER), (UPPER_NEAR, UPPER_FAR)];
        plan.below = parts.hinged(|f, g| opens.contains(&(f, g)));
        collapse(&creased.model, &plan, take)
    }
}

/// Parts of the model in a squash.
const STAYS: usize = 0;
const LOWER: usize = 1;
const UPPER_NEAR: usize = 2;
const UPPER_FAR: usize = 3;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;
    use crate::fold::unfold::Motion;

    /// A square folded along its diagonal, and that triangle folded in half again.
    fn quarter() -> Folded {
        let m = simple_fold(&sheet(0.2, 0.2), &line((0.2, 0.2), (0.0, 0.0)), true, "first");
        simple_fold(&m, &line((0.0, 0.2), (0.2, 0.0)), true, "second")
    }

    fn hinges_of(model: &Folded, name: &str) -> Vec<usize> {
        let named =
            |i: &usize| model.creases[model.hinges[*i].crease].name.as_deref() == Some(name);
        (0..model.hinges.len()).filter(named).collect()
    }

    #[test]
    fn preliminary_base_by_two_squashes() {
        let m = quarter();
        let p = TablePoint::new(0.1, 0.1);
        let onto = line((0.1, 0.1), (0.0, 0.2));
        let done = squash(&m, &hinges_of(&m, "first"), &onto, p, &call("squash"), 1).unwrap();
        sound(&done.model);
        // The squashed flap is a square of half the side: its two halves have four layers less
        // two, and the spine lies flat on the line.
        let spine = hinges_of(&done.model, "first");
        let flat = spine.iter().filter(|&&h| !done.model.is_folded(&done.model.hinges[h])).count();
        assert!(flat >= 1);
        let mut again = done.model;
        Motion::over(&again).apply(&mut again);
        let onto = {
            let bounds = crate::fold::layout::Layout::new(&again).model_bounds().middle();
            let axis = line((bounds.x, 0.0), (bounds.x, 1.0));
            TableLine::through(axis.reflect(onto.at), axis.reflect(onto.place(0.1))).unwrap()
        };
        let p = again.on_table(on_sheet(0.1, 0.1)).unwrap();
        let done =
            squash(&again, &hinges_of(&again, "first"), &onto, p, &call("other"), 1).unwrap();
        sound(&done.model);
        // All four corners of the sheet on one place: a preliminary base.
        let corners = [(0.0, 0.0), (0.2, 0.0), (0.2, 0.2), (0.0, 0.2)];
        let at = corners.map(|(x, y)| done.model.on_table(on_sheet(x, y)).unwrap());
        assert!(at.iter().all(|c| c.near(at[0])), "{at:?}");
    }
}
