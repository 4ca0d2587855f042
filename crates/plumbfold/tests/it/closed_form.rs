//! The three fixtures against closed forms worked out by hand, to 1e-6 relative, whole way from
//! text to balance. Heights along the plane are measured from the top edge down, one half of the
//! plane at a time.

use crate::undisplaced;
use plumbfold::pipeline::{Balanced, Settings, balance};

const EXACT: f64 = 1e-6;

fn fixture(name: &str, sets: &[(&str, f64)]) -> Balanced {
    let path = format!("{}/../../testdata/designs/{name}.plane", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the fixture is shipped");
    let sets = sets.iter().map(|(k, v)| {
        let unit = if *k == "turns" { "" } else { " mm" };
        (k.to_string(), format!("{v}{unit}"))
    });
    let settings = Settings { sets: sets.collect(), ..Settings::default() };
    balance(&text, &settings).unwrap_or_else(|p| panic!("{name}: {:?}", p.diagnostics))
}

#[track_caller]
fn close(what: &str, got: f64, want: f64) {
    assert!((got - want).abs() <= EXACT * want.abs(), "{what}: got {got}, want {want}");
}

/// A place: across (from the centre line), down (from the top edge), mm.
type P = [f64; 2];

/// Keeps the part of a convex polygon where `f`, linear, is not negative.
fn clip(polygon: &[P], f: impl Fn(P) -> f64) -> Vec<P> {
    let mut out = vec![];
    for (i, &p) in polygon.iter().enumerate() {
        let q = polygon[(i + 1) % polygon.len()];
        let (a, b) = (f(p), f(q));
        if a >= 0.0 {
            out.push(p);
        }
        if a * b < 0.0 {
            let t = a / (a - b);
            out.push([p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]);
        }
    }
    out
}

/// Area and area times height of the centroid.
fn moments(polygon: &[P]) -> [f64; 2] {
    let mut m = [0.0; 2];
    for (i, p) in polygon.iter().enumerate() {
        let q = polygon[(i + 1) % polygon.len()];
        let k = (p[0] * q[1] - q[0] * p[1]) / 2.0;
        m[0] += k;
        m[1] += k * (p[1] + q[1]) / 3.0;
    }
    if m[0] < 0.0 { [-m[0], -m[1]] } else { m }
}

/// Folds every layer beyond a line over it.
fn fold(layers: Vec<Vec<P>>, beyond: impl Fn(P) -> f64, mirror: impl Fn(P) -> P) -> Vec<Vec<P>> {
    layers
        .iter()
        .flat_map(|l| {
            let stays = clip(l, |p| -beyond(p));
            let moves = clip(l, &beyond).into_iter().map(&mirror).collect();
            [stays, moves]
        })
        .filter(|l: &Vec<P>| moments(l)[0] > 1e-9)
        .collect()
}

fn centroid(layers: &[Vec<P>]) -> f64 {
    let sum = layers.iter().map(|l| moments(l)).fold([0.0; 2], |s, m| [s[0] + m[0], s[1] + m[1]]);
    sum[1] / sum[0]
}

/// Where a fixture balances.
pub struct Balance {
    /// mm.
    pub behind_nose_mm: f64,
    /// Share of the wing area ahead of it.
    pub share: f64,
}

/// Lengths in mm.
pub fn leading_roll_balance(length: f64, turns: i32) -> Balance {
    let share = 0.25 + 0.25 * 0.5f64.powi(turns);
    Balance { behind_nose_mm: share * length / 2.0, share }
}

/// Tangent of half a right angle halved: the slope of the dart's outer edge.
fn dart_slope() -> f64 {
    (std::f64::consts::PI / 8.0).tan()
}

/// Half of the wing down to a height: from the keel line out to the slanted edge, then to the
/// straight side.
fn corner_dart_area_to(width: f64, keel: f64, y: f64) -> f64 {
    let (h, t) = (width / 2.0, dart_slope());
    let slant = (y.min(h / t) * t - keel).max(0.0).powi(2) / (2.0 * t);
    slant + (h - keel) * (y - h / t).max(0.0)
}

/// Lengths in mm.
pub fn corner_dart_balance(width: f64, length: f64, keel: f64) -> Balance {
    let (h, t) = (width / 2.0, dart_slope());
    let half = vec![vec![[0.0, 0.0], [h, 0.0], [h, length], [0.0, length]]];
    let corner = fold(half, |p| p[0] - p[1], |p| [p[1], p[0]]);
    let r = std::f64::consts::FRAC_1_SQRT_2;
    let blade = fold(corner, |p| p[0] - t * p[1], |p| [(p[1] - p[0]) * r, (p[0] + p[1]) * r]);
    let y = centroid(&blade);
    let area_to = |y| corner_dart_area_to(width, keel, y);
    Balance { behind_nose_mm: y, share: area_to(y) / area_to(length) }
}

/// Half of the wing down to a height.
fn band_and_tip_area_to(width: f64, tip: f64, y: f64) -> f64 {
    let h = width / 2.0;
    (y.min(h).powi(2) - (tip / 2.0).powi(2)) / 2.0 + h * (y - h).max(0.0)
}

/// Lengths in mm.
pub fn band_and_tip_balance(width: f64, length: f64, band: f64, tip: f64) -> Balance {
    let h = width / 2.0;
    let sheet = vec![[0.0, 0.0], [h, 0.0], [h, length - band], [0.0, length - band]];
    let flap = vec![[0.0, 0.0], [h, 0.0], [h, band], [0.0, band]];
    let shoulder = fold(vec![sheet, flap], |p| p[0] - p[1], |p| [p[1], p[0]]);
    let nose = fold(shoulder, |p| tip / 2.0 - p[1], |p| [p[0], tip - p[1]]);
    let y = centroid(&nose);
    let area_to = |y| band_and_tip_area_to(width, tip, y);
    Balance { behind_nose_mm: y - tip / 2.0, share: area_to(y) / area_to(length - band) }
}

#[test]
fn leading_roll() {
    for turns in 0..=5 {
        for (width, length, keel) in [(215.9, 279.4, 20.0), (180.0, 300.0, 33.0), (90.0, 71.0, 5.0)]
        {
            let b = fixture(
                "leading-roll",
                &[
                    ("width", width),
                    ("length", length),
                    ("keel", keel),
                    ("turns", f64::from(turns)),
                ],
            );
            let chord = length / 2.0;
            let Balance { behind_nose_mm, share } = leading_roll_balance(length, turns);
            close("balance", b.mass.behind_nose_m() * 1e3, behind_nose_mm);
            close("area ahead", b.area_ahead_fraction, share);
            close("share of MAC", b.cg_mac_fraction, share);
            close("area", b.planform.area_m2 * 1e6, (width - 2.0 * keel) * chord);
            close("span", b.planform.span_m * 1e3, width - 2.0 * keel);
            close("mass", b.mass.mass_kg, 0.08 * width * length * 1e-6);
        }
    }
}

/// The leading roll folded of a strip as thick as paper is, by hand: each piece is where it lies
/// along the plane, mm, and each crease half way between the edges as they stand out. A bend of n
/// layers of thickness t stands out by (1 - pi/4) n t.
fn thick_roll_balance(length: f64, turns: u32, thickness: f64) -> Balance {
    let bulge = |layers: f64| (1.0 - std::f64::consts::FRAC_PI_4) * layers * thickness;
    let front = length / 2.0;
    let (mut flap, mut edge) = (vec![[0.0, front]], 0.0);
    for turn in 0..turns {
        let stands_out = if turn == 0 { 0.0 } else { bulge(2.0f64.powi(turn as i32 - 1)) };
        let crease = (edge - stands_out + front + bulge(1.0)) / 2.0;
        flap = flap
            .iter()
            .flat_map(|&[a, b]| [[a.max(crease), b], [2.0 * crease - b, 2.0 * crease - a]])
            .map(|[a, b]: [f64; 2]| [a.max(crease), b])
            .filter(|[a, b]| b > a)
            .collect();
        edge = crease;
    }
    let pieces = || flap.iter().copied().chain([[0.0, front]]);
    let nose = pieces().map(|p| p[1]).fold(0.0, f64::max);
    let moment: f64 = pieces().map(|[a, b]| (b - a) * (nose - (a + b) / 2.0)).sum();
    let behind_nose_mm = moment / pieces().map(|[a, b]| b - a).sum::<f64>();
    Balance { behind_nose_mm, share: behind_nose_mm / nose }
}

/// Balance at 50, 37.5, 31.25, 28.1 and 26.6 % of the chord for 0 to 4 turns of a Letter sheet:
/// common practice, no source. About 29 % of area ahead was measured by hand on a 3-turn plane;
/// thickness moves the computed 28.1 % the same way, but only by hundredths of a per cent, and the
/// test says how far. The program keeps what is of first order in the thickness.
#[test]
fn what_creep_does_to_the_leading_roll() {
    let path = format!("{}/../../testdata/designs/leading-roll.plane", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("the fixture is shipped");
    let balanced = |creep, turns: u32| {
        let sets = vec![("turns".to_owned(), turns.to_string())];
        let settings = Settings { creep: Some(creep), sets, ..Settings::default() };
        balance(&text, &settings).expect("the fixture folds")
    };
    for turns in 0..=5 {
        let [off, on] = [false, true].map(|creep| balanced(creep, turns));
        let [off_folded, on_folded] = [&off, &on].map(|b| b.source.folded().expect("it is folded"));
        let stock = &on_folded.stock;
        let [length, thickness] = [stock.length_m, stock.thickness_m].map(|m| m * 1e3);
        let by_hand = thick_roll_balance(length, turns, thickness);
        let moved = on.area_ahead_fraction - off.area_ahead_fraction;
        let wanted = by_hand.share - leading_roll_balance(length, turns as i32).share;
        assert!((moved - wanted).abs() < 2e-6, "{turns} turns: {moved}, by hand {wanted}");
        assert!((on.mass.behind_nose_m() * 1e3 - by_hand.behind_nose_mm).abs() < 1e-4);
        assert_eq!(undisplaced(&on_folded.run.folded), *off_folded.run.folded);
    }
    let moved = balanced(true, 3).area_ahead_fraction - 0.281_25;
    assert!(moved > 1e-4 && moved < 2e-3, "creep moves the share by {moved}");
}

#[test]
fn corner_dart() {
    for (width, length, keel) in [(210.0, 297.0, 20.0), (215.9, 279.4, 31.0), (120.0, 260.0, 9.0)] {
        let b = fixture("corner-dart", &[("width", width), ("length", length), ("keel", keel)]);
        let wanted = corner_dart_balance(width, length, keel);
        close("balance", b.mass.behind_nose_m() * 1e3, wanted.behind_nose_mm);
        close("area", b.planform.area_m2 * 1e6, 2.0 * corner_dart_area_to(width, keel, length));
        close("area ahead", b.area_ahead_fraction, wanted.share);
        close("span", b.planform.span_m * 1e3, width - 2.0 * keel);
    }
}

#[test]
fn band_and_tip() {
    for (width, length, band, tip) in
        [(210.0, 297.0, 30.0, 24.0), (200.0, 300.0, 51.0, 80.0), (150.0, 180.0, 12.0, 5.0)]
    {
        let sets = [("width", width), ("length", length), ("band", band), ("tip", tip)];
        let b = fixture("band-and-tip", &sets);
        let wanted = band_and_tip_balance(width, length, band, tip);
        close("balance", b.mass.behind_nose_m() * 1e3, wanted.behind_nose_mm);
        let area = 2.0 * band_and_tip_area_to(width, tip, length - band);
        close("area", b.planform.area_m2 * 1e6, area);
        close("area ahead", b.area_ahead_fraction, wanted.share);
    }
}
