//! Petal fold: a corner lifted, the sides of its flap drawn in.
//!
//! ```text
//!                              the corner P of the upper layer F is lifted about h. Its flap is
//!         / \                  hinged to layers G at the folded edges on both sides, which meet
//!      E1/_h_\E2               h at E1 and E2.
//!       /\   /\                F folds along E1-P and E2-P, G along a crease from E1 (E2) that
//!    C1/  \ /  \C2             leaves the folded edge at the same angle as E1-P leaves h; the
//!      \   P   /               folded edge beyond E opens flat, and comes in to the middle.
//! ```

use super::cut::Creased;
use super::{Call, CollapseError, Collapsed, collapse};
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine, TablePoint, Vec2};

/// Lifts the corner `tip` of the uppermost layer about a line (table frame).
///
/// # Errors
/// [`CollapseError`]; [`CollapseError::Unfit`] where the flap has no folded edge to draw in.
pub fn petal(
    model: &Folded,
    tip: SheetPoint,
    line: &TableLine,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let unfit = |what| Err(CollapseError::unfit(what, &[line.at]));
    let (Some(p), ranks) = (model.on_table(tip), model.ranks()) else {
        return unfit("the corner to lift is not on the paper");
    };
    if line.side(p).abs() <= TOLERANCE_M {
        return unfit("the corner to lift lies on the crease itself");
    }
    // The lifted side on the left.
    let h = if line.side(p) > 0.0 { *line } else { line.reversed() };
    let Some(top) = model.faces_at(tip).max_by_key(|&f| ranks[f]) else {
        return unfit("the corner to lift is not on the paper");
    };
    let layer = flat_with(model, top);
    let sides = Side::all(model, &layer, &h, p);
    if sides.is_empty() {
        return unfit("the flap has no folded edge beside the corner; lift it by a valley fold");
    }
    let mut creased = Creased::new(model);
    creased.along(&h, |f| layer[f], call)?;
    for side in &sides {
        creased.between([side.at, p], |f| layer[f], call)?;
        creased.ray(side.at, side.under, |f| side.layer[f], call)?;
    }
    creased.tidy();

    let parts = creased.parts(|from, at| {
        if layer[from] && h.side(at) > 0.0 {
            return sides.iter().position(|s| s.outer(at)).map_or(1, |i| 2 + i);
        }
        let drawn_in = sides.iter().position(|s| s.layer[from] && s.drawn_in(at));
        drawn_in.map_or(0, |i| 2 + sides.len() + i)
    });
    let mut plan = parts.plan()?;
    // The lifted corner on top, its sides on top of it; the drawn-in layers on their own.
    let drawn = 2 + sides.len();
    plan.below = parts.hinged(|f, g| f <= 1 && f < g && g < drawn || f == 0 && g >= drawn);
    plan.stack = parts.layers(|p| p == 0);
    let place = plan.stack.iter().position(|&f| layer[creased.origin[f]]);
    plan.stack.splice(place.unwrap_or(0)..place.unwrap_or(0), parts.layers(|p| p >= drawn));
    plan.stack.extend(parts.layers(|p| p == 1));
    plan.stack.extend(parts.layers(|p| (2..drawn).contains(&p)));
    collapse(&creased.model, &plan, take)
}

/// Faces that hang together flat with one.
fn flat_with(model: &Folded, start: FaceId) -> Vec<bool> {
    model.hanging_together([start], |_, h| !model.is_folded(h))
}

/// A folded edge that is drawn in.
struct Side {
    /// Where it crosses h.
    at: TablePoint,
    /// Crease from there to the corner, with the outer part on its left.
    rim: TableLine,
    /// The layer beyond the folded edge.
    layer: Vec<bool>,
    /// Direction of its crease.
    under: Vec2,
    /// That crease, with the part drawn in on its left.
    seam: TableLine,
}

impl Side {
    fn all(model: &Folded, layer: &[bool], h: &TableLine, p: TablePoint) -> Vec<Self> {
        let across = model
            .hinges
            .iter()
            .filter(|e| model.is_folded(e) && layer[e.faces[0]] != layer[e.faces[1]]);
        across.filter_map(|e| Self::new(model, layer, h, p, e)).collect()
    }

    fn new(
        model: &Folded,
        layer: &[bool],
        h: &TableLine,
        p: TablePoint,
        edge: &crate::fold::state::Hinge,
    ) -> Option<Self> {
        let [a, b] = model.hinge_on_table(edge);
        let (near, far) = if h.side(a) < h.side(b) { (a, b) } else { (b, a) };
        if h.side(near) > TOLERANCE_M || h.side(far) <= TOLERANCE_M {
            return None;
        }
        let outwards = TableLine::through(near, far)?;
        let at = outwards.crossing(h)?;
        let out = outwards.dir;
        let to_tip = (p - at).unit()?;
        // From the middle of h (under the corner) outwards.
        let inwards = (h.place(h.along(p)) - at).unit()?;
        let beta = inwards.cross(to_tip).atan2(inwards.dot(to_tip));
        // Turned from the edge towards the corner by the same angle.
        let turn = beta.abs() * out.cross(to_tip).signum();
        let (s, c) = turn.sin_cos();
        let under = Vec2::new(out.x * c - out.y * s, out.x * s + out.y * c);
        let oriented = |dir: Vec2| {
            let l = TableLine { at, dir };
            if dir.cross(out) > 0.0 { l } else { l.reversed() }
        };
        let beyond = if layer[edge.faces[0]] { edge.faces[1] } else { edge.faces[0] };
        let (rim, seam) = (oriented(to_tip), oriented(under));
        Some(Self { at, rim, layer: flat_with(model, beyond), under, seam })
    }

    /// Is a place of the lifted part outside the crease to the corner?
    fn outer(&self, at: TablePoint) -> bool {
        self.rim.side(at) > 0.0
    }

    /// Is a place of the layer beneath drawn in?
    fn drawn_in(&self, at: TablePoint) -> bool {
        self.seam.side(at) > 0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::ast::SquarePart;
    use crate::fold::collapse::bases::{Base, base};
    use crate::fold::collapse::testing::*;

    #[test]
    fn one_petal_of_a_bird_base() {
        let side = 0.2;
        let m = base(&sheet(side, side), Base::Preliminary, SquarePart::Whole, &call("base"), 1);
        let m = m.unwrap().model;
        // The closed point lies at the middle of the sheet, all corners at its lower left corner.
        let tip = on_sheet(side, side);
        let closed = TablePoint::new(0.1, 0.1);
        assert!(m.on_table(tip).unwrap().near(TablePoint::new(0.0, 0.0)));
        // The side creases run at 22.5 deg to the open sides, so h crosses the folded edges at
        // tan(22.5 deg) = sqrt 2 - 1 of the base's side from the side corners.
        let reach = (2.0 - 2f64.sqrt()) * side / 2.0;
        let h = line((closed.x - reach, closed.y), (closed.x, closed.y - reach));
        let done = petal(&m, tip, &h, &call("petal"), 1).unwrap();
        sound(&done.model);
        let lifted = h.reflect(TablePoint::new(0.0, 0.0));
        assert!(done.model.on_table(tip).unwrap().near(lifted));
        // The side corners of the flap meet on its middle line.
        let (x, y) = lies_at(&done.model, 0.2, 0.1);
        assert!((x - y).abs() < 1e-6, "{x} {y}");
    }
}
