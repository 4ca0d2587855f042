//! What a flight was, how sure that is, and why.
//!
//! A behaviour is read off the path that was flown, never off a rule about the balance point.
//! Each behaviour is one file in [`behaviours`] with the numbers that decide it.

pub mod path;
pub mod behaviours;
pub mod headline;
pub mod bands;
pub mod uncertainty;
pub mod assess;
pub mod reasons;
pub mod aircraft;

pub use behaviours::{ALL, judge, shown};
pub use path::Path;

/// What a plane does when it is thrown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Behaviour {
    /// Drops without forward way, fluttering or flat.
    Leaf,
    /// Goes head over heels.
    Tumbles,
    /// Climbs or slows, loses its lift and drops.
    Stalls,
    /// Swings up and down without settling.
    Porpoises,
    /// Flies.
    Glides,
    /// Goes down steeply, nose first.
    Dives,
    /// Turns off to one side.
    Banks,
    /// Turns ever tighter, or right round, on its way down.
    Spirals,
}

impl Behaviour {
    /// Every behaviour.
    pub const EVERY: [Self; 8] = [
        Self::Leaf,
        Self::Tumbles,
        Self::Stalls,
        Self::Porpoises,
        Self::Glides,
        Self::Dives,
        Self::Banks,
        Self::Spirals,
    ];

    /// The word other programs read.
    pub const fn code(self) -> &'static str {
        match self {
            Self::Leaf => "leaf",
            Self::Tumbles => "tumbles",
            Self::Stalls => "stalls",
            Self::Porpoises => "porpoises",
            Self::Glides => "glides",
            Self::Dives => "dives",
            Self::Banks => "banks",
            Self::Spirals => "spirals",
        }
    }

    /// The words people read.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Leaf => "drops like a leaf",
            Self::Tumbles => "tumbles",
            Self::Stalls => "climbs and stalls",
            Self::Porpoises => "porpoises",
            Self::Glides => "glides",
            Self::Dives => "dives",
            Self::Banks => "banks off to one side",
            Self::Spirals => "spirals in",
        }
    }
}

/// A number that decided something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evidence {
    /// What it is.
    pub what: &'static str,
    /// How much, in `unit`.
    pub value: f64,
    /// Unit as people read it.
    pub unit: &'static str,
}

/// What a flight was, with the reasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// What it was.
    pub behaviour: Behaviour,
    /// When on the path it shows, s after release.
    pub at_s: f64,
    /// The numbers that decided it.
    pub evidence: Vec<Evidence>,
    /// One sentence in the trade's words.
    pub sentence: String,
}

impl Finding {
    fn new(
        behaviour: Behaviour,
        at_s: f64,
        evidence: &[(&'static str, f64, &'static str)],
        sentence: String,
    ) -> Self {
        let evidence =
            evidence.iter().map(|&(what, value, unit)| Evidence { what, value, unit }).collect();
        Self { behaviour, at_s, evidence, sentence }
    }
}

#[cfg(test)]
mod tests;
