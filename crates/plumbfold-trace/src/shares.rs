//! Area, and the share of it ahead of the balance point, with how sure both are.

use crate::line::Line;
use crate::polygon::{Pt, below, bounds, edges, signed_area};

/// A value and its standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// Likeliest value.
    pub value: f64,
    /// Standard deviation.
    pub sd: f64,
}

impl Measured {
    /// The interval that holds the truth 19 times in 20, for a normal spread.
    pub fn interval(&self) -> [f64; 2] {
        [self.value - 1.96 * self.sd, self.value + 1.96 * self.sd]
    }
}

/// How sure an edge of an outline is: standard deviations across it, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EdgeSd {
    /// Each edge on its own.
    pub own_mm: f64,
    /// All edges with one another: what may be a strip of shadow on each of them.
    pub shadow_mm: f64,
}

/// How sure an outline is.
#[derive(Clone, Debug, PartialEq)]
pub struct Sureness {
    /// Each edge, from its corner to the next.
    pub edges: Vec<EdgeSd>,
    /// Standard deviation of all edges together, outwards, mm.
    pub together_mm: f64,
    /// Standard deviation of the scale, a fraction.
    pub scale: f64,
}

impl Sureness {
    /// Standard deviation of what changes by so much for each mm that an edge moves outwards.
    fn spread(&self, rates: &[f64]) -> f64 {
        let sum = |f: &dyn Fn(f64, &EdgeSd) -> f64| {
            rates.iter().zip(&self.edges).map(|(r, sd)| f(*r, sd)).sum::<f64>()
        };
        let own = sum(&|r, sd| (r * sd.own_mm).powi(2));
        let shadow = sum(&|r, sd| r * sd.shadow_mm);
        let together = sum(&|r, _| r * self.together_mm);
        (own + shadow * shadow + together * together).sqrt()
    }
}

/// The outline's area, mm2. Corners in the plane's frame: x right, y behind the nose.
pub fn area(corners: &[Pt], sure: &Sureness) -> Measured {
    let value = signed_area(corners).abs();
    let lengths: Vec<f64> = edges(corners).map(|(a, b)| (b - a).norm()).collect();
    Measured { value, sd: sure.spread(&lengths).hypot(2.0 * value * sure.scale) }
}

/// The share of the area ahead of a balance point behind the nose, mm. An error of the scale moves
/// outline and balance alike and leaves the share as it is.
pub fn ahead(corners: &[Pt], sure: &Sureness, balance: Measured) -> Measured {
    let y = balance.value;
    let whole = signed_area(corners).abs();
    let part = |y: f64| signed_area(&below(corners, y)).abs();
    let share = part(y) / whole;
    // The rate at which the share grows with the place: the width there over the area.
    let step = 0.25;
    let rate = (part(y + step) - part(y - step)) / (2.0 * step) / whole;
    // An edge moved outwards by 1 mm adds its length: ahead of the cut or behind it.
    let gain = |(a, b): (Pt, Pt)| {
        let length = (b - a).norm();
        let (low, high) = (a.y.min(b.y), a.y.max(b.y));
        let t = if high - low > 1e-9 {
            ((y - low) / (high - low)).clamp(0.0, 1.0)
        } else {
            f64::from(u8::from(low < y))
        };
        length * (t * (1.0 - share) - (1.0 - t) * share) / whole
    };
    let gains: Vec<f64> = edges(corners).map(gain).collect();
    Measured { value: share, sd: sure.spread(&gains).hypot(rate * balance.sd) }
}

/// By how much the halves of an outline differ: area, mm2; reach to the side, mm; share of the area ahead
/// of a place behind the nose.
pub struct Unlike {
    /// Area, mm2.
    pub area: f64,
    /// Reach, mm.
    pub reach: f64,
    /// Share ahead.
    pub share: f64,
}

/// By how much the halves differ, the share ahead of a place behind the nose among it.
pub fn unlike(corners: &[Pt], behind: f64) -> Unlike {
    let half = |side: f64| -> [f64; 3] {
        // Clipping is done along y: across and along change places and back.
        let turned: Vec<Pt> = corners.iter().map(|p| Pt::new(p.y, side * p.x)).collect();
        let part: Vec<Pt> = below(&turned, 0.0).iter().map(|p| Pt::new(p.y, p.x)).collect();
        let area = signed_area(&part).abs();
        let reach = part.iter().map(|p| -p.x).fold(0.0, f64::max);
        [area, reach, signed_area(&below(&part, behind)).abs() / area.max(1e-9)]
    };
    let [a, b] = [half(-1.0), half(1.0)];
    Unlike { area: (a[0] - b[0]).abs(), reach: (a[1] - b[1]).abs(), share: (a[2] - b[2]).abs() }
}

/// How surely the ends of an outline are known: the foremost, the hindmost, length and span; mm,
/// standard deviations. Edges that meet at a narrow tip move it by more than themselves.
pub fn ends(corners: &[Pt], sure: &Sureness) -> [f64; 4] {
    const STEP_MM: f64 = 0.05;
    let ends = |p: &[Pt]| {
        let (low, high) = bounds(p);
        [low.y, high.y, high.y - low.y, high.x - low.x]
    };
    let here = ends(corners);
    let there: Vec<[f64; 4]> =
        (0..corners.len()).map(|i| ends(&with_edge_moved(corners, i, STEP_MM))).collect();
    [0, 1, 2, 3].map(|k| {
        let rates: Vec<f64> = there.iter().map(|t| (t[k] - here[k]) / STEP_MM).collect();
        let scaled = if k < 2 { 0.0 } else { here[k] * sure.scale };
        sure.spread(&rates).hypot(scaled)
    })
}

/// An outline with one edge moved outwards, mm, along its neighbours.
fn with_edge_moved(corners: &[Pt], i: usize, by: f64) -> Vec<Pt> {
    let n = corners.len();
    let [before, a, b, after] = [i + n - 1, i, i + 1, i + 2].map(|k| corners[k % n]);
    let line = |p: Pt, q: Pt| Line::through(p, q);
    let out = line(a, b).normal() * (-by * signed_area(corners).signum());
    let moved = line(a + out, b + out);
    let meets = |other: Line, end: Pt| {
        let near = |p: &Pt| (p - end).norm() < 20.0 * by;
        moved.crossing(&other).filter(near).unwrap_or(end + out)
    };
    let mut all = corners.to_vec();
    all[i] = meets(line(before, a), a);
    all[(i + 1) % n] = meets(line(b, after), b);
    all
}

/// The place ahead of which a share of the area lies, mm behind the nose.
pub fn place_of(corners: &[Pt], share: f64) -> f64 {
    let whole = signed_area(corners).abs();
    let ys = corners.iter().map(|p| p.y);
    let (mut low, mut high) = ys.fold((f64::MAX, f64::MIN), |(l, h), y| (l.min(y), h.max(y)));
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        match signed_area(&below(corners, middle)).abs() < share * whole {
            true => low = middle,
            false => high = middle,
        }
    }
    (low + high) / 2.0
}
