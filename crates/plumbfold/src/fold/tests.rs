//! Whole designs folded, against closed forms.

mod apart;
mod collapses;
mod first_tries;
mod flaps;
mod haga;
mod mirror_true;
mod mirrored_text;
mod named;
mod properties;
mod said;
mod sides;
mod tips;
mod words;

use super::checks::check_all;
use super::error::FoldError;
use super::exec::{FoldRun, run};
use super::state::Folded;
use crate::design::eval::{evaluate, stock};
use crate::design::parser::parse;
use crate::numeric::geom::{TablePoint, area, centroid};
use crate::pipeline::{self, Settings};
use approx::assert_relative_eq;

/// Folds a text that must be readable, with some lets set.
pub fn try_fold(text: &str, settings: &[(&str, &str)]) -> Result<FoldRun, Box<FoldError>> {
    let (design, mistakes) = parse(text);
    assert!(mistakes.is_empty(), "{mistakes:?}");
    let settings: Vec<_> =
        settings.iter().map(|(n, v)| ((*n).to_owned(), (*v).to_owned())).collect();
    let values = evaluate(&design, &settings).unwrap();
    run(&design, &stock(&design, &values).unwrap(), &values)
}

/// Folds a text that must be foldable.
pub fn fold(text: &str, settings: &[(&str, &str)]) -> FoldRun {
    try_fold(text, settings).unwrap_or_else(|e| panic!("{} at {:?}", e.problem, &text[e.span]))
}

/// How to mend the first fault of a text, as a person is told.
pub fn help(text: &str) -> String {
    let settings = Settings::default();
    let problems = pipeline::balance(text, &settings).expect_err("it cannot be folded");
    let first = problems.with_advice(text, &settings).diagnostics.into_iter().next();
    first.and_then(|d| d.help).unwrap_or_default()
}

/// Asserts that a model keeps every rule.
pub fn sound(model: &Folded) {
    assert_eq!(check_all(model), []);
}

/// Centroid of the paper on the table.
fn balance(model: &Folded) -> TablePoint {
    let (mut x, mut y, mut whole) = (0.0, 0.0, 0.0);
    for face in 0..model.faces.len() {
        let outline = model.table_polygon(face);
        let (a, c) = (area(&outline), centroid(&outline));
        (x, y, whole) = (x + a * c.x, y + a * c.y, whole + a);
    }
    TablePoint::new(x / whole, y / whole)
}

const LEADING_ROLL: &str = include_str!("../../../../testdata/designs/leading-roll.plane");
const CORNER_DART: &str = include_str!("../../../../testdata/designs/corner-dart.plane");
const BAND_AND_TIP: &str = include_str!("../../../../testdata/designs/band-and-tip.plane");

#[test]
fn leading_roll_balances_where_the_closed_form_says() {
    // Facts of the trade (common practice, no source): 50, 37.5, 31.25, 28.1, 26.6 % of chord
    // for 0 to 4 turns. Closed form: the lower half's middle is at 1/2; the upper half is
    // squeezed into 2^-turns of the chord, so its middle is at 2^-turns / 2.
    let facts = [50.0, 37.5, 31.25, 28.1, 26.6];
    for turns in 0..=6_i32 {
        let run = fold(LEADING_ROLL, &[("turns", &turns.to_string())]);
        sound(&run.folded);
        let (chord, nose) = (0.2794 / 2.0, 0.2794 / 2.0);
        let share = (nose - balance(&run.folded).y) / chord;
        let exact = 0.25 + 0.25 * 0.5f64.powi(turns);
        assert_relative_eq!(share, exact, max_relative = 1e-12);
        if let Some(fact) = facts.get(turns as usize) {
            assert!((share * 100.0 - fact).abs() < 0.05, "{turns}: {share}");
        }
    }
}

#[test]
fn corner_dart_balances_where_the_closed_form_says() {
    for (width, length) in [("210mm", "297mm"), ("215.9mm", "279.4mm"), ("300mm", "400mm")] {
        let run = fold(CORNER_DART, &[("width", width), ("length", length)]);
        sound(&run.folded);
        let [w, l] = run.folded.sheet_m;
        // First fold: each corner triangle (legs w/2, centroid w/6 below the top edge) turns about
        // the 45 degree crease, which swaps distances from the top edge and from the centre line.
        let triangle = w * w / 8.0;
        let mut moment = w * l * l / 2.0;
        moment += 2.0 * triangle * ((l - w / 3.0) - (l - w / 6.0));
        // Second fold: what lies left of the line at 22.5 degrees to the centre line turns about
        // it: a strip of the sheet's left edge and the lower part of the first flap.
        let (s, c) = 22.5f64.to_radians().sin_cos();
        let half = |polygon: &[(f64, f64)]| -> f64 {
            // Moment about the top middle, along the nose-to-tail axis, of a piece in coordinates
            // (x left of the centre line, y below the top), after and before the turn.
            let p: Vec<TablePoint> = polygon.iter().map(|&(x, y)| TablePoint::new(x, y)).collect();
            let (a, m) = (area(&p).abs(), centroid(&p));
            // Mirror line through the origin along (s, c).
            let along = m.x * s + m.y * c;
            a * (2.0 * along * c - 2.0 * m.y)
        };
        let tan = s / c;
        // The crease leaves the sheet through the left edge or through the bottom edge.
        let h = w / 2.0;
        let base = if h / tan <= l {
            vec![(0.0, 0.0), (h, h / tan), (h, h)]
        } else {
            vec![(0.0, 0.0), (l * tan, l), (h, l), (h, h)]
        };
        // The flap: corners at top middle, (h, h) and (0, h) on the centre line.
        let flap = vec![(0.0, 0.0), (h, h), (h * tan, h)];
        moment -= 2.0 * (half(&base) + half(&flap));
        assert_relative_eq!(balance(&run.folded).y, moment / (w * l), max_relative = 1e-12);
    }
}

#[test]
fn band_and_tip_balances_where_the_closed_form_says() {
    let run = fold(BAND_AND_TIP, &[("band", "30 mm"), ("tip", "24 mm")]);
    sound(&run.folded);
    let ([w, l], b, t) = (run.folded.sheet_m, 0.030, 0.024);
    // Distances aft of the new front edge at y = l - b.
    let front = l - b;
    let (h, d) = (w / 2.0, t / 2.0);
    // Band: double layer of depth b. Corners: legs h, of the sheet and of the band within.
    let mut moment = w * front * front / 2.0 + w * b * b / 2.0;
    // Turning about 45 degrees swaps x (from the side of the front's middle) and y.
    let swap = |polygon: &[(f64, f64)]| {
        let p: Vec<TablePoint> = polygon.iter().map(|&(x, y)| TablePoint::new(x, y)).collect();
        area(&p).abs() * (centroid(&p).x - centroid(&p).y)
    };
    moment += 2.0 * swap(&[(0.0, 0.0), (h, 0.0), (h, h)]);
    moment += 2.0 * swap(&[(0.0, 0.0), (h, 0.0), (h, b), (b, b)]);
    // The point, down to d aft of the front, turns back about y = d. It is a right angle of half
    // width d at d: the sheet under it, and on each side what the corner fold laid there; the
    // layers of each are all of one outline, so the point is (2 + 2) layers of the triangle as
    // long as the band is deeper than d: sheet and band, and both again from the corners.
    let triangle = d * d;
    let middle = 2.0 * d / 3.0;
    moment += 4.0 * triangle * (2.0 * (d - middle));
    let aft = moment / (w * l);
    assert_relative_eq!(front - balance(&run.folded).y, aft, max_relative = 1e-12);
}
