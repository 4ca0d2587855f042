//! Area, and the share of it ahead of the balance point, with how sure both are.

use crate::polygon::{Pt, below, edges, signed_area};

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

/// How sure an outline is.
#[derive(Clone, Debug, PartialEq)]
pub struct Sureness {
    /// Standard deviation of each edge across itself, mm, each on its own.
    pub edges_mm: Vec<f64>,
    /// Standard deviation of all edges together, outwards, mm.
    pub together_mm: f64,
    /// Standard deviation of the scale, a fraction.
    pub scale: f64,
}

/// The outline's area, mm2. Corners in the plane's frame: x right, y behind the nose.
pub fn area(corners: &[Pt], sure: &Sureness) -> Measured {
    let value = signed_area(corners).abs();
    let lengths: Vec<f64> = edges(corners).map(|(a, b)| (b - a).norm()).collect();
    let own = lengths.iter().zip(&sure.edges_mm).map(|(l, sd)| (l * sd).powi(2)).sum::<f64>();
    let together = lengths.iter().sum::<f64>() * sure.together_mm;
    let scale = 2.0 * value * sure.scale;
    Measured { value, sd: (own + together * together + scale * scale).sqrt() }
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
    let own = edges(corners).zip(&sure.edges_mm).map(|(e, sd)| (gain(e) * sd).powi(2)).sum::<f64>();
    let together = edges(corners).map(gain).sum::<f64>() * sure.together_mm;
    let sd = (own + together * together + (rate * balance.sd).powi(2)).sqrt();
    Measured { value: share, sd }
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
