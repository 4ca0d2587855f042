//! Haga's first theorem: the corner of a square brought onto the opposite edge divides its sides
//! (K. Haga, Origamics, 2008, from memory).

use super::{fold, sound};
use crate::fold::state::{Assignment, Folded};
use crate::numeric::geom::TablePoint;
use approx::assert_relative_eq;

/// Bottom left corner of a unit square brought to a place on the top edge at a distance `x` from
/// the left.
fn folded(x: &str) -> Folded {
    let text = format!(
        "sheet square 1 m\ncreep off\nlet x = {x}\nmark spot = x along top edge\n\
         valley bottom left corner onto spot"
    );
    let model = (*fold(&text, &[]).folded).clone();
    sound(&model);
    model
}

/// Ends of the crease, the left one first.
fn crease(model: &Folded) -> [TablePoint; 2] {
    let mut ends = model.hinge_on_table(&model.hinges[0]);
    ends.sort_by(|a, b| a.x.total_cmp(&b.x));
    ends
}

#[test]
fn half_gives_thirds_and_eighths() {
    let model = folded("1/2");
    let [left, right] = crease(&model);
    // The left edge is left at 3/8 from the top; the folded-up bottom edge crosses the right edge
    // 2/3 down from the top, and ends 1/8 from the crease.
    assert_relative_eq!(1.0 - left.y, 3.0 / 8.0, epsilon = 1e-12);
    let corner = model.on_table(crate::numeric::geom::SheetPoint::new(1.0, 0.0)).unwrap();
    let spot = model.on_table(crate::numeric::geom::SheetPoint::new(0.0, 0.0)).unwrap();
    assert_relative_eq!(spot.x, 0.5, epsilon = 1e-12);
    // The bottom edge runs from the spot to the corner; where it passes x = 1:
    let t = (1.0 - spot.x) / (corner.x - spot.x);
    assert_relative_eq!(1.0 - spot.lerp(corner, t).y, 2.0 / 3.0, epsilon = 1e-12);
    // From the spot along the bottom edge: 5/6, the rest is 1/6 of the edge.
    assert_relative_eq!(t, 5.0 / 6.0, epsilon = 1e-12);
    assert_relative_eq!(right.y, 1.0 / 8.0, epsilon = 1e-12);
    assert_eq!(model.assignment(&model.hinges[0], &model.ranks()), Assignment::Valley);
}

#[test]
fn any_place_follows_the_formulas() {
    for (text, x) in [("1/4", 0.25), ("1/3", 1.0 / 3.0), ("1/2", 0.5), ("0.2", 0.2), ("3/4", 0.75)]
    {
        let model = folded(text);
        let [left, right] = crease(&model);
        let corner = model.on_table(crate::numeric::geom::SheetPoint::new(1.0, 0.0)).unwrap();
        let spot = model.on_table(crate::numeric::geom::SheetPoint::new(0.0, 0.0)).unwrap();
        let t = (1.0 - spot.x) / (corner.x - spot.x);
        let crossing = spot.lerp(corner, t);
        assert_relative_eq!(1.0 - left.y, (1.0 - x * x) / 2.0, epsilon = 1e-12);
        assert_relative_eq!(1.0 - crossing.y, 2.0 * x / (1.0 + x), epsilon = 1e-12);
        assert_relative_eq!(t, (1.0 + x * x) / (1.0 + x), epsilon = 1e-12);
        assert_relative_eq!(right.y, (1.0 - x).powi(2) / 2.0, epsilon = 1e-12);
        // What is left of the right edge below the crossing.
        assert_relative_eq!(crossing.y, (1.0 - x) / (1.0 + x), epsilon = 1e-12);
    }
}
