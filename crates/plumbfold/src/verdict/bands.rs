//! Over which range of one number the plane glides.

use super::Behaviour;

/// Most places looked at in a range.
pub const PLACES_MAX: usize = 1000;

/// A range in which the plane glides, and what it does beyond.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What it does just below; `None` where the range looked at ends first.
    pub below: Option<Behaviour>,
    /// What it does just above.
    pub above: Option<Behaviour>,
}

impl Band {
    /// Whether a value lies in it.
    pub fn holds(&self, x: f64) -> bool {
        self.low <= x && x <= self.high
    }
    /// How far a value lies outside: negative below, positive above, zero inside.
    pub fn outside_by(&self, x: f64) -> f64 {
        if x > self.high { x - self.high } else { (x - self.low).min(0.0) }
    }
    /// How far inside a value lies from the nearer real edge (an end of the range looked at is no
    /// edge).
    pub fn margin(&self, x: f64) -> f64 {
        let low = self.below.map_or(f64::INFINITY, |_| x - self.low);
        let high = self.above.map_or(f64::INFINITY, |_| self.high - x);
        low.min(high)
    }
    /// The same with a value that glides just beyond an end: edges are known to `resolution`.
    #[must_use]
    pub fn reaching(self, x: f64, resolution: f64) -> Self {
        Self {
            low: if x < self.low && self.low - x <= resolution { x } else { self.low },
            high: if x > self.high && x - self.high <= resolution { x } else { self.high },
            ..self
        }
    }
    /// Middle.
    pub fn middle(&self) -> f64 {
        self.low + (self.high - self.low) / 2.0
    }
}

/// What is looked at: the present value, how far to look below and above, the distance between
/// looks, and how exactly edges are wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Search {
    /// The value as it is; always one of the places looked at.
    pub at: f64,
    /// Least value.
    pub least: f64,
    /// Most value.
    pub most: f64,
    /// Distance between looks: a gliding band narrower than this may be missed.
    pub step: f64,
    /// Edges are found to within this.
    pub resolution: f64,
}

/// The gliding band that holds the present value, or else the nearest one, looked for outward from
/// the present value. `behaves` gives `None` where the plane cannot be flown, which counts as not
/// gliding.
pub fn band(search: &Search, mut behaves: impl FnMut(f64) -> Option<Behaviour>) -> Option<Band> {
    let Search { at, least, most, step, resolution } = *search;
    // Written so that anything that is not a number gives no band.
    if !(step > 0.0 && least <= at && at <= most && (most - least) / step < PLACES_MAX as f64) {
        return None;
    }
    let glides = |b: Option<Behaviour>| b == Some(Behaviour::Glides);
    let ends = [((at - least) / step).floor() as i64, ((most - at) / step).floor() as i64];
    let place = |k: i64| at + k as f64 * step;
    let outward = (0..=ends[0].max(ends[1])).flat_map(|k| [-k, k]).skip(1);
    let start =
        outward.filter(|&k| -ends[0] <= k && k <= ends[1]).find(|&k| glides(behaves(place(k))))?;
    let [(low, below), (high, above)] = [(-1, -ends[0]), (1, ends[1])].map(|(way, last)| {
        let mut inside = start;
        while inside != last && glides(behaves(place(inside + way))) {
            inside += way;
        }
        if inside == last {
            return (place(inside), None);
        }
        // The step in which the band ends, halved until it is found finely enough.
        let (mut inside, mut outside) = (place(inside), place(inside + way));
        while (inside - outside).abs() > resolution {
            let middle = inside + (outside - inside) / 2.0;
            if middle == inside || middle == outside {
                break;
            }
            if glides(behaves(middle)) { inside = middle } else { outside = middle }
        }
        (inside, behaves(outside))
    });
    Some(Band { low, high, below, above })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn search(at: f64) -> Search {
        Search { at, least: 0.0, most: 10.0, step: 0.5, resolution: 1e-6 }
    }

    fn stub(x: f64) -> Option<Behaviour> {
        Some(match x {
            x if x < 2.0 => Behaviour::Dives,
            x if x <= 4.3 => Behaviour::Glides,
            _ => Behaviour::Stalls,
        })
    }

    #[test]
    fn the_band_round_and_beside_a_value() {
        for at in [3.1, 8.2, 0.0] {
            let b = band(&search(at), stub).expect("a band");
            assert!((b.low - 2.0).abs() < 2e-6 && (b.high - 4.3).abs() < 2e-6, "{b:?}");
            assert_eq!((b.below, b.above), (Some(Behaviour::Dives), Some(Behaviour::Stalls)));
        }
        let b = band(&search(3.1), stub).expect("a band");
        assert!(b.holds(3.1) && b.outside_by(3.1) == 0.0 && (b.margin(3.1) - 1.1).abs() < 1e-5);
        assert!((b.outside_by(5.3) - 1.0).abs() < 1e-5 && (b.outside_by(1.0) + 1.0).abs() < 1e-5);
    }

    #[test]
    fn a_gliding_place_just_beyond_an_end_belongs_to_the_band() {
        let b = Band { low: 1.5, high: 4.0, below: None, above: Some(Behaviour::Stalls) };
        assert_eq!(b.reaching(4.05, 0.125).high, 4.05);
        assert_eq!(b.reaching(1.4, 0.125).low, 1.4);
        for elsewhere in [4.2, 3.0, 1.0] {
            assert_eq!(b.reaching(elsewhere, 0.125), b);
        }
    }

    #[test]
    fn the_end_of_the_search_is_no_edge() {
        let all = band(&search(3.0), |_| Some(Behaviour::Glides)).expect("a band");
        assert_eq!((all.low, all.high, all.below, all.above), (0.0, 10.0, None, None));
        assert_eq!(all.margin(3.0), f64::INFINITY);
        assert_eq!(band(&search(3.0), |_| None), None);
        assert_eq!(band(&Search { step: 0.0, ..search(3.0) }, stub), None);
        assert_eq!(band(&Search { at: f64::NAN, ..search(3.0) }, stub), None);
        assert_eq!(band(&Search { step: 1e-9, ..search(3.0) }, stub), None);
    }
}
