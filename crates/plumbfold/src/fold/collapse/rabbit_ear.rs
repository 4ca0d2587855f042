//! Rabbit ear: a triangular flap gathered along its three bisectors, the point to one side.
//!
//! ```text
//!            A                        I is where the bisectors meet; A-I, B-I and C-I valley,
//!           /|\                       I-F mountain. F is the foot of the perpendicular on the
//!          / | \                      side of A-B or A-C next to the corner the ear lies
//!         /  |  \ F                   towards.
//!        /   I.-' \                   Kawasaki-Justin at I: (90 - A/2) + (90 + A/2) = 180.
//!       / .'   '.  \
//!      B-----------C   ear towards C
//! ```

use super::cut::Creased;
use super::{Call, CollapseError, Collapsed, Plan, collapse, flap};
use crate::design::ast::CreaseState;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{Line, SheetPoint, TableLine, TablePoint};

/// Folds an ear from the corner `corners[0]` of a triangle; the edge between the other two stays.
/// `towards` is 1 or 2, the corner that the ear lies towards.
///
/// # Errors
/// [`CollapseError`]; the corners must be a triangle on the paper.
pub fn rabbit_ear(
    model: &Folded,
    corners: [SheetPoint; 3],
    towards: usize,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let places = corners.map(|p| model.on_table(p));
    let [Some(a), Some(b), Some(c)] = places else {
        return Err(CollapseError::unfit("a corner of the triangle is not on the paper", &[]));
    };
    let all = [a, b, c];
    let (Some(base), Some(i)) = (Line::through(b, c), incentre(all)) else {
        let what = "the three corners lie on one line, so they are no triangle";
        return Err(CollapseError::unfit(what, &all));
    };
    let toward = if towards == 1 { b } else { c };
    let Some(side) = Line::through(a, toward) else {
        return Err(CollapseError::unfit("two corners of the triangle coincide", &all));
    };
    let foot = side.place(side.along(i));
    let flap = flap::beyond(model, corners[0], &base)?;
    let mut creased = Creased::new(model);
    let creases = [
        ([a, i], CreaseState::Valley),
        ([b, i], CreaseState::Valley),
        ([c, i], CreaseState::Valley),
        ([foot, i], CreaseState::Mountain),
    ];
    for (ends, _) in creases {
        creased.between(ends, |f| flap.faces[f], call)?;
    }
    creased.tidy();
    let model = &creased.model;
    let stays =
        |f: &FaceId| flap.faces[creased.origin[*f]] && inside(creased.middle(*f), [b, c, i]);
    let below = |f: &FaceId| !flap.faces[creased.origin[*f]];
    let faces = 0..model.faces.len();
    let holding = faces.clone().find(stays).or_else(|| faces.clone().find(below)).unwrap_or(0);
    let mut plan = Plan::rest(model, holding);
    for (ends, state) in creases {
        for hinge in creased.hinges_between(ends, |f| flap.faces[f]) {
            plan.fold(model, hinge, state);
        }
    }
    collapse(model, &plan, take)
}

/// Where the bisectors of a triangle meet: the corners weighted by the sides opposite to them.
fn incentre([a, b, c]: [TablePoint; 3]) -> Option<TablePoint> {
    let (wa, wb, wc) = (b.distance(c), c.distance(a), a.distance(b));
    TableLine::through(b, c)
        .filter(|base| base.side(a).abs() > crate::numeric::geom::TOLERANCE_M)
        .map(|_| a + ((b - a) * wb + (c - a) * wc) * (1.0 / (wa + wb + wc)))
}

fn inside(p: TablePoint, corners: [TablePoint; 3]) -> bool {
    let side = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % 3]);
        (b - a).cross(p - a)
    };
    (0..3).all(|i| side(i) > 0.0) || (0..3).all(|i| side(i) < 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;

    #[test]
    fn rabbit_ear_of_half_a_square() {
        // A square folded along its diagonal gives the classic triangle; here one layer of it.
        let m = sheet(0.2, 0.2);
        let diagonal = line((0.0, 0.2), (0.2, 0.0));
        let m = crease(&m, &diagonal, "diagonal");
        let corners = [on_sheet(0.0, 0.0), on_sheet(0.2, 0.0), on_sheet(0.0, 0.2)];
        for towards in [1, 2] {
            let done = rabbit_ear(&m, corners, towards, &call("ear"), 1).unwrap();
            sound(&done.model);
            assert_eq!(done.orders, 1);
            // Both sides of the ear's corner come to lie on the diagonal, and so does the ear.
            let (x, y) = lies_at(&done.model, 0.0, 0.0);
            assert!((x + y - 200.0).abs() < 1e-6, "{x} {y}");
            // From the corner at the other end, along the diagonal, by the side of the square.
            let far = if towards == 1 { (0.0, 200.0) } else { (200.0, 0.0) };
            assert!(((x - far.0).hypot(y - far.1) - 200.0).abs() < 1e-6);
            assert_eq!(done.model.faces.len(), 5);
        }
    }

    #[test]
    fn nose_ear_on_a_sheet() {
        // The top of an A4 sheet first folded to a point.
        let m = simple_fold(&a4(), &line((0.105, 0.297), (0.0, 0.192)).reversed(), true, "left");
        let m = simple_fold(&m, &line((0.21, 0.192), (0.105, 0.297)).reversed(), true, "right");
        let tip = on_sheet(0.105, 0.297);
        let corners = [tip, on_sheet(0.0, 0.192), on_sheet(0.21, 0.192)];
        let done = rabbit_ear(&m, corners, 2, &call("nose"), 1);
        let m = done.unwrap().model;
        sound(&m);
    }

    #[test]
    fn no_triangle() {
        let corners = [on_sheet(0.0, 0.0), on_sheet(0.1, 0.0), on_sheet(0.2, 0.0)];
        let e = rabbit_ear(&a4(), corners, 1, &call("x"), 1).unwrap_err();
        assert!(e.to_string().contains("no triangle"));
    }
}
