//! Waterbomb base and preliminary base, creased and collapsed in one step.
//!
//! ```text
//!   waterbomb base                  preliminary base
//!   +-----------+                   +-----------+
//!   | \       / |  diagonals        | \   |     |  the upright and the level line valley,
//!   |   \   /   |  valley,          |   \ |     |  one diagonal mountain: two opposite
//!   |-.-.-*-.-.-|  level line       |-----*-----|  quarters meet, the two others are folded
//!   |   /   \   |  mountain         |     | \   |  between them
//!   | /       \ |                   |     |   \ |
//!   +-----------+                   +-----------+
//!   the sheet may go on below       Where the sheet goes on below, the two upper half diagonals
//!                                   are mountain instead: the sheet is folded in half and its
//!                                   upper corners lie between the halves.
//! ```
//! Which way up: as the folder sees the paper before the move.

use super::cut::Creased;
use super::{Call, CollapseError, Collapsed, Plan, collapse};
use crate::design::ast::{CreaseState, SquarePart};
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{
    SheetPoint, TOLERANCE_M, TablePoint, Vec2, area, centroid, intersect_convex,
};

/// A crease that runs on does so for this many sides of the square.
const SHEETS_ON: f64 = 20.0;

/// Which base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Base {
    /// A triangle with four flaps.
    Waterbomb,
    /// A square with four flaps.
    Preliminary,
}

/// Folds a base from a square part of the sheet, which must lie flat in one layer.
///
/// # Errors
/// [`CollapseError`]; [`CollapseError::Unfit`] when there is no such square.
pub fn base(
    model: &Folded,
    base: Base,
    part: SquarePart,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    use CreaseState::{Mountain, Valley};
    let square = Square::of(model, part)?;
    let rays: &[([f64; 2], [f64; 2], CreaseState)] = match (base, part) {
        (Base::Waterbomb, _) => &[
            ([-1.0, 1.0], [1.0, -1.0], Valley),
            ([-1.0, -1.0], [1.0, 1.0], Valley),
            ([-1.0, 0.0], [1.0, 0.0], Mountain),
        ],
        (Base::Preliminary, SquarePart::Whole) => &[
            ([0.0, -1.0], [0.0, 1.0], Valley),
            ([-1.0, 0.0], [1.0, 0.0], Valley),
            ([-1.0, 1.0], [1.0, -1.0], Mountain),
        ],
        (Base::Preliminary, _) => &[
            ([0.0, -1.0], [0.0, 1.0], Valley),
            ([-1.0, 0.0], [1.0, 0.0], Valley),
            ([0.0, 0.0], [-1.0, 1.0], Mountain),
            ([0.0, 0.0], [1.0, 1.0], Mountain),
        ],
    };
    let mut creased = Creased::new(model);
    let mut made: Vec<([TablePoint; 2], CreaseState)> = Vec::new();
    for &(a, b, state) in rays {
        let [a, b] = [a, b].map(|at| square.on_table(model, at));
        // The upright crease of the preliminary base runs on to the end of the sheet.
        let runs_on = base == Base::Preliminary && state == Valley;
        let b = if runs_on { a + (b - a) * SHEETS_ON } else { b };
        let a = if runs_on { b + (a - b) * SHEETS_ON } else { a };
        creased.between([a, b], |f| square.flat[f], call)?;
        made.push(([a, b], state));
    }
    creased.tidy();
    let holding = square.staying(&creased);
    let mut plan = Plan::rest(&creased.model, holding);
    for (ends, state) in made {
        for hinge in creased.hinges_between(ends, |f| square.flat[f]) {
            plan.fold(&creased.model, hinge, state);
        }
    }
    collapse(&creased.model, &plan, take)
}

struct Square {
    /// Middle, sheet frame.
    middle: SheetPoint,
    /// Half the side. Its sign tells which way the rest of the sheet goes on.
    half: f64,
    /// The faces of the sheet's layer that the square is part of.
    flat: Vec<bool>,
    /// One of them.
    face: FaceId,
}

impl Square {
    fn of(model: &Folded, part: SquarePart) -> Result<Self, CollapseError> {
        let [w, l] = model.sheet_m;
        let unfit = |what| Err(CollapseError::unfit(what, &[]));
        if part == SquarePart::Whole && (w - l).abs() > TOLERANCE_M {
            return unfit("the sheet is not square; say `of top square` or `of bottom square`");
        }
        if l < w - TOLERANCE_M {
            return unfit("the sheet is wider than long, so no square spans it from side to side");
        }
        let half = if part == SquarePart::Bottom { -w / 2.0 } else { w / 2.0 };
        let y = if half > 0.0 { l - w / 2.0 } else { w / 2.0 };
        let middle = SheetPoint::new(w / 2.0, y);
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)]
            .map(|(i, j)| middle + Vec2::new(i, j) * (w / 2.0));
        let inside: Vec<FaceId> = (0..model.faces.len())
            .filter(|&f| !intersect_convex(&model.faces[f].polygon, &corners).is_empty())
            .collect();
        let Some(&face) = inside.first() else { return unfit("there is no such square") };
        let lies = |f: FaceId| model.faces[f].placement.near(&model.faces[face].placement);
        if !inside.iter().all(|&f| lies(f)) {
            return unfit("the square must lie flat and open; unfold what is folded in it first");
        }
        Ok(Self { middle, half, flat: (0..model.faces.len()).map(lies).collect(), face })
    }

    /// A place of the square, from -1 to 1 each way, up towards the end of the sheet.
    fn on_table(&self, model: &Folded, [x, y]: [f64; 2]) -> TablePoint {
        let p = self.middle + Vec2::new(x * self.half.abs(), y * self.half);
        model.faces[self.face].placement.apply(p)
    }

    /// The face that stays: of those below the square's middle, the one that holds most paper,
    /// the left one of two alike.
    fn staying(&self, creased: &Creased) -> FaceId {
        let model = &creased.model;
        let below = |f: &FaceId| {
            let c = centroid(&model.faces[*f].polygon);
            self.flat[creased.origin[*f]] && (c.y - self.middle.y) * self.half < 0.0
        };
        let size = |f: FaceId| area(&model.faces[f].polygon);
        let better = |a: FaceId, b: FaceId| {
            let left = |f: FaceId| centroid(&model.faces[f].polygon).x;
            let alike = (size(a) - size(b)).abs() < TOLERANCE_M * TOLERANCE_M;
            if alike { left(a) < left(b) } else { size(a) > size(b) }
        };
        let all = (0..model.faces.len()).filter(below);
        all.reduce(|a, b| if better(b, a) { b } else { a }).unwrap_or(self.face)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;

    #[test]
    fn waterbomb_nose_on_a4() {
        let done = base(&a4(), Base::Waterbomb, SquarePart::Top, &call("nose"), 1).unwrap();
        sound(&done.model);
        assert_eq!(done.orders, 1);
        assert_eq!(done.model.faces.len(), 6);
        // The tip of the triangle is the middle of the square; both top corners come down to the
        // lower corners of the square, and the middles of its sides to the middle of its base.
        let m = &done.model;
        let close = |a: (f64, f64), b: (f64, f64)| (a.0 - b.0).hypot(a.1 - b.1) < 1e-9;
        assert!(close(lies_at(m, 0.105, 0.192), (105.0, 192.0)));
        assert!(close(lies_at(m, 0.0, 0.297), (0.0, 87.0)));
        assert!(close(lies_at(m, 0.21, 0.297), (210.0, 87.0)));
        assert!(close(lies_at(m, 0.0, 0.192), (105.0, 87.0)));
        // The rest of the sheet stays, printed side up, beneath four flaps: three layers more on
        // each half of the triangle.
        assert_eq!(layers_at(m, 0.05, 0.10).len(), 4);
        assert_eq!(layers_at(m, 0.05, 0.05).len(), 1);
        let top = *layers_at(m, 0.05, 0.10).last().unwrap();
        assert!(m.faces[top].placement.det() < 0.0);
    }

    #[test]
    fn bases_of_a_square_and_of_other_ends() {
        let whole =
            |kind| base(&sheet(0.2, 0.2), kind, SquarePart::Whole, &call("base"), 1).unwrap();
        for kind in [Base::Waterbomb, Base::Preliminary] {
            sound(&whole(kind).model);
            for part in [SquarePart::Top, SquarePart::Bottom] {
                let done = base(&a4(), kind, part, &call("base"), 1).unwrap();
                sound(&done.model);
                assert_eq!(done.orders, 1, "{kind:?} {part:?}");
            }
        }
        // The preliminary base: all four corners on one place, four layers on each half.
        let m = whole(Base::Preliminary).model;
        let corners = [(0.0, 0.0), (0.2, 0.0), (0.2, 0.2), (0.0, 0.2)];
        for c in corners.map(|(x, y)| lies_at(&m, x, y)) {
            assert!(c.0.hypot(c.1) < 1e-9, "{c:?}");
        }
        assert_eq!(layers_at(&m, 0.03, 0.05).len(), 4);
        assert_eq!(layers_at(&m, 0.05, 0.03).len(), 4);
    }

    #[test]
    fn a_square_that_is_not_there_or_not_open() {
        let whole = base(&a4(), Base::Waterbomb, SquarePart::Whole, &call("b"), 1);
        assert!(whole.unwrap_err().to_string().contains("not square"));
        let wide = base(&sheet(0.297, 0.21), Base::Waterbomb, SquarePart::Top, &call("b"), 1);
        assert!(wide.unwrap_err().to_string().contains("wider than long"));
        let folded = simple_fold(&a4(), &line((0.0, 0.25), (-1.0, 0.25)), true, "band");
        let folded = base(&folded, Base::Waterbomb, SquarePart::Top, &call("b"), 1);
        assert!(folded.unwrap_err().to_string().contains("flat and open"));
    }
}
