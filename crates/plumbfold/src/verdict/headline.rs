//! What is said first: the likeliest of what was flown, and what it is near to doing instead.

use super::Behaviour;

/// Below this share of the flights the likeliest outcome is not told alone. Chosen: two throws in
/// three.
pub const SURE: f64 = 2.0 / 3.0;

/// How probable each behaviour is, as counted.
#[derive(Clone, Debug, PartialEq)]
pub struct Probabilities {
    /// One for each behaviour, in the order of [`Behaviour::EVERY`]; they and `unknown` sum to 1.
    pub each: [(Behaviour, f64); 8],
    /// Share of the flights that could not be followed.
    pub unknown: f64,
    /// Flights behind them.
    pub draws: usize,
    /// Steps in which all those were followed: what they cost.
    pub steps: usize,
}

/// What one flight was, and what it cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// What it was; none where it could not be followed.
    pub behaviour: Option<Behaviour>,
    /// Steps in which it was followed.
    pub steps: usize,
}

/// The likeliest behaviour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Headline {
    /// Which.
    pub behaviour: Behaviour,
    /// Its share of the flights.
    pub share: f64,
    /// The next likeliest, where the plane is on the edge between the two.
    pub or: Option<Behaviour>,
}

impl Headline {
    /// In words: `glides`, or `on an edge: glides or dives`.
    pub fn words(&self) -> String {
        let likeliest = self.behaviour.words();
        match self.or {
            None => likeliest.to_owned(),
            Some(other) => format!("on an edge: {likeliest} or {}", other.words()),
        }
    }
}

impl Probabilities {
    /// Of what was counted; nothing counted gives no probability to anything.
    pub fn counted(flown: &[Seen]) -> Self {
        let count = |b: Option<Behaviour>| flown.iter().filter(|f| f.behaviour == b).count();
        let share = |b| count(b) as f64 / flown.len().max(1) as f64;
        Self {
            each: Behaviour::EVERY.map(|b| (b, share(Some(b)))),
            unknown: share(None),
            draws: flown.len(),
            steps: flown.iter().map(|f| f.steps).sum(),
        }
    }

    /// Of one behaviour.
    pub fn of(&self, behaviour: Behaviour) -> f64 {
        self.each.iter().find(|(b, _)| *b == behaviour).map_or(0.0, |(_, p)| *p)
    }

    /// The most probable one; the first of equals.
    pub fn likeliest(&self) -> (Behaviour, f64) {
        let more = |a: (Behaviour, f64), b: &(Behaviour, f64)| if b.1 > a.1 { *b } else { a };
        self.each[1..].iter().fold(self.each[0], more)
    }

    /// What is said first.
    pub fn headline(&self) -> Headline {
        let (behaviour, share) = self.likeliest();
        let mut or = None::<(Behaviour, f64)>;
        for &(b, p) in self.each.iter().filter(|(b, p)| *b != behaviour && *p > 0.0) {
            if or.is_none_or(|o| p > o.1) {
                or = Some((b, p));
            }
        }
        Headline { behaviour, share, or: or.map(|o| o.0).filter(|_| share < SURE) }
    }

    /// Standard error of a share that was counted. One flight of either kind is added, so that a
    /// share of nothing or of all is not taken for certain (Laplace's rule of succession, Essai
    /// philosophique sur les probabilités, 1814).
    pub fn error_of(&self, behaviour: Behaviour) -> f64 {
        let n = self.draws as f64;
        let p = (self.of(behaviour) * n + 1.0) / (n + 2.0);
        (p * (1.0 - p) / (n + 2.0)).sqrt()
    }

    /// Whether a behaviour is clearly more probable than in other flights: by more than twice the
    /// standard error of the difference.
    pub fn clearly_more(&self, behaviour: Behaviour, than: &Self) -> bool {
        let error = self.error_of(behaviour).hypot(than.error_of(behaviour));
        self.of(behaviour) - than.of(behaviour) > 2.0 * error
    }

    /// Whether further flights would hardly change which of two is the more frequent: this
    /// behaviour leads all others, or lags behind another, by more than three standard errors.
    pub fn decided(&self, behaviour: Behaviour) -> bool {
        let p = self.of(behaviour);
        let other = self.each.iter().filter(|e| e.0 != behaviour).map(|e| e.1).fold(0.0, f64::max);
        // The difference of two counts of a multinomial, at most as uncertain as their sum.
        (p - other).abs() * (self.draws as f64).sqrt() > 3.0 * (p + other).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::Behaviour::{Banks, Dives, Glides, Stalls};
    use super::*;

    fn of(counts: &[(Behaviour, usize)]) -> Probabilities {
        let seen = |b| Seen { behaviour: Some(b), steps: 1 };
        let all = counts.iter().flat_map(|&(b, n)| std::iter::repeat_n(seen(b), n));
        Probabilities::counted(&all.collect::<Vec<_>>())
    }

    #[test]
    fn the_headline_is_the_likeliest_and_names_the_next_below_two_in_three() {
        let sure = of(&[(Glides, 134), (Dives, 66)]).headline();
        assert_eq!((sure.behaviour, sure.or, sure.words().as_str()), (Glides, None, "glides"));
        let edge = of(&[(Glides, 60), (Dives, 100), (Banks, 40)]).headline();
        assert_eq!((edge.behaviour, edge.or), (Dives, Some(Glides)));
        assert_eq!(edge.words(), "on an edge: dives or glides");
        assert_eq!(of(&[(Stalls, 3)]).headline().or, None);
    }

    #[test]
    fn a_flight_that_could_not_be_followed_counts_as_unknown_and_for_no_behaviour() {
        let glide = Seen { behaviour: Some(Glides), steps: 40 };
        let lost = Seen { behaviour: None, steps: 1000 };
        let p = Probabilities::counted(&[glide, glide, glide, lost]);
        assert_eq!((p.of(Glides), p.unknown, p.steps), (0.75, 0.25, 1120));
        assert_eq!(p.each.iter().map(|e| e.1).sum::<f64>() + p.unknown, 1.0);
    }

    #[test]
    fn a_share_is_known_to_the_error_of_a_count() {
        // Bernoulli: sqrt(p q / n).
        let half = of(&[(Glides, 100), (Dives, 100)]);
        assert!((half.error_of(Glides) - (0.25f64 / 202.0).sqrt()).abs() < 1e-12);
        assert!(half.error_of(Banks) > 0.0, "none of two hundred is not never");
    }

    #[test]
    fn clearly_more_is_beyond_twice_the_error() {
        let now = of(&[(Glides, 40), (Dives, 160)]);
        let more = |n| of(&[(Glides, n), (Dives, 200 - n)]).clearly_more(Glides, &now);
        assert!(!more(44) && !more(56) && more(60) && !more(20));
    }

    #[test]
    fn few_flights_decide_what_is_plain_and_not_what_is_close() {
        assert!(of(&[(Glides, 12)]).decided(Glides) && of(&[(Dives, 12)]).decided(Glides));
        assert!(!of(&[(Glides, 7), (Dives, 5)]).decided(Glides));
        assert!(!of(&[(Glides, 100), (Dives, 100)]).decided(Glides));
    }
}
