//! How sure area and share are, against closed forms of a rectangle.

use approx::assert_relative_eq;
use plumbfold_trace::shares::{EdgeSd, Measured, Sureness, ahead, area, ends};

use crate::render::Pt;

const WIDE: f64 = 80.0;
const LONG: f64 = 150.0;

fn rectangle() -> Vec<Pt> {
    [[-WIDE / 2.0, 0.0], [WIDE / 2.0, 0.0], [WIDE / 2.0, LONG], [-WIDE / 2.0, LONG]]
        .map(|[x, y]| Pt::new(x, y))
        .to_vec()
}

fn sure(own_mm: f64, shadow_mm: f64, together_mm: f64, scale: f64) -> Sureness {
    Sureness { edges: vec![EdgeSd { own_mm, shadow_mm }; 4], together_mm, scale }
}

/// An edge moved outwards by a little adds its length times that (Gauss's law of propagation: edges on
/// their own add squared, edges together add up, and a scale counts twice in an area).
#[test]
fn areas_are_as_sure_as_their_edges_and_scale() {
    let sd = |s: &Sureness| area(&rectangle(), s).sd;
    assert_relative_eq!(area(&rectangle(), &sure(0.0, 0.0, 0.0, 0.0)).value, WIDE * LONG);
    let squared = (2.0 * (WIDE * WIDE + LONG * LONG)).sqrt();
    assert_relative_eq!(sd(&sure(0.1, 0.0, 0.0, 0.0)), 0.1 * squared, epsilon = 1e-9);
    let round = 2.0 * (WIDE + LONG);
    assert_relative_eq!(sd(&sure(0.0, 0.1, 0.0, 0.0)), 0.1 * round, epsilon = 1e-9);
    assert_relative_eq!(sd(&sure(0.0, 0.0, 0.1, 0.0)), 0.1 * round, epsilon = 1e-9);
    assert_relative_eq!(sd(&sure(0.0, 0.0, 0.0, 0.01)), 0.02 * WIDE * LONG, epsilon = 1e-9);
    let all = sd(&sure(0.1, 0.1, 0.1, 0.01));
    let parts = [0.1 * squared, 0.1 * round, 0.1 * round, 0.02 * WIDE * LONG];
    assert_relative_eq!(all, parts.iter().map(|p| p * p).sum::<f64>().sqrt(), epsilon = 1e-9);
}

/// Of a rectangle the share ahead is y / L: a mm of the balance point is a mm of the length, the edge in
/// front moved outwards by d makes it (y + d) / (L + d), and the one behind y / (L + d).
#[test]
fn shares_are_as_sure_as_the_balance_point_and_the_ends() {
    let at = |sd: f64| Measured { value: 60.0, sd };
    let none = sure(0.0, 0.0, 0.0, 0.02);
    let share = ahead(&rectangle(), &none, at(0.5));
    assert_relative_eq!(share.value, 60.0 / LONG, epsilon = 1e-9);
    assert_relative_eq!(share.sd, 0.5 / LONG, epsilon = 1e-9);
    let mut front = sure(0.0, 0.0, 0.0, 0.0);
    front.edges[0].own_mm = 0.2;
    assert_relative_eq!(
        ahead(&rectangle(), &front, at(0.0)).sd,
        0.2 * 90.0 / (LONG * LONG),
        epsilon = 1e-9
    );
    let mut behind = sure(0.0, 0.0, 0.0, 0.0);
    behind.edges[2].own_mm = 0.2;
    assert_relative_eq!(
        ahead(&rectangle(), &behind, at(0.0)).sd,
        0.2 * 60.0 / (LONG * LONG),
        epsilon = 1e-9
    );
    // Nose, tail, length, span.
    let [nose, tail, length, span] = ends(&rectangle(), &sure(0.1, 0.0, 0.0, 0.01));
    let two = 0.1 * 2f64.sqrt();
    for (found, due) in
        [(nose, 0.1), (tail, 0.1), (length, two.hypot(0.01 * LONG)), (span, two.hypot(0.01 * WIDE))]
    {
        assert_relative_eq!(found, due, epsilon = 1e-6);
    }
    // The interval of 19 in 20 (normal distribution, ISO 3534-1).
    let [low, high] = Measured { value: 1.0, sd: 0.1 }.interval();
    assert_relative_eq!(high - low, 2.0 * 1.959_964 * 0.1, epsilon = 1e-4);
}
