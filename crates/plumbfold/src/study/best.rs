//! The best values of a few lets for a throw and a hall, looked for over their whole ranges.
//!
//! What is made as large as it goes is a mean over planes folded and thrown a little differently,
//! the same ones for every candidate: a let that wins on a knife edge loses.

use rayon::prelude::*;

use crate::design::diagnostic::Diagnostic;
use crate::design::dial::Dial;
use crate::design::edit;
use crate::flight::throw::{Flight, fly};
use crate::numeric::search::{self, SearchConfig, Stop};
use crate::pipeline::{self, Analysed, Problems, Settings, ThrowChange};
use crate::study::remedy::settled;
use crate::verdict::aircraft::Conditions;
use crate::verdict::uncertainty::JUDGED_EVERY_S;
use crate::verdict::{Behaviour, shown};

/// What is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wish {
    /// To fly far, m.
    Distance,
    /// To stay up long, s.
    Time,
    /// Both: the root of their product.
    Both,
}

impl Wish {
    fn of(self, distance_m: f64, time_s: f64) -> f64 {
        match self {
            Self::Distance => distance_m,
            Self::Time => time_s,
            Self::Both => (distance_m * time_s).max(0.0).sqrt(),
        }
    }
}

/// A let and what became of it, in the unit of its dial.
#[derive(Clone, Debug, PartialEq)]
pub struct Turned {
    /// The let.
    pub dial: Dial,
    /// Value found.
    pub to: f64,
}

/// The best plane found.
#[derive(Clone, Debug)]
pub struct Best {
    /// Lets.
    pub lets: Vec<Turned>,
    /// What was wanted, on the mean over [`TOLD`] planes and throws that the search has not seen,
    /// before and after: a flight that does not end in a glide counts for nothing.
    pub score: [f64; 2],
    /// Standard error of the difference between the two.
    pub error: f64,
    /// The plane as it is.
    pub before: Analysed,
    /// The best one.
    pub after: Analysed,
    /// Its text.
    pub text: String,
    /// Planes folded and flown.
    pub evaluations: usize,
    /// Why the search ended.
    pub stop: Stop,
}

/// Planes and throws behind the mean of one candidate.
pub const FLIGHTS: usize = 24;
/// Planes and throws behind what is told of the best: others than those it was chosen by, on which
/// it does better than it can.
pub const TOLD: usize = 200;
/// Most generations: the search has drawn together long before on every shipped design.
const GENERATIONS: usize = 60;
/// The search ends when its candidates agree to this share of the best.
const AGREEMENT: f64 = 0.01;
/// Lets looked over at once.
pub const LETS_MAX: usize = 6;

/// Looks for the best values of some lets (all with a stated range that are no part of the sheet,
/// if none are named). `progress` is told the generation of how many and the best so far, and may
/// stop the search: the best so far is returned.
///
/// # Errors
/// The design itself cannot be folded or flown, or has no such let.
pub fn best(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
    lets: &[String],
    wish: Wish,
    mut progress: impl FnMut(usize, usize, f64) -> bool,
) -> Result<Best, Problems> {
    let (text, settings) = settled(text, settings, change);
    let change = change.unwritten();
    let analyse = |text: &str| pipeline::analyse(text, &settings, &change, conditions);
    let plane = analyse(&text)?;
    let (design, values) = (plane.balanced.source.design(), plane.balanced.source.values());
    let mut dials: Vec<Dial> =
        lets.iter().map(|name| Dial::named(name, design, values)).collect::<Result<_, _>>()?;
    if dials.is_empty() {
        let sheet = crate::study::remedy::moves::lets::of_sheet(design);
        dials = Dial::all(design, values);
        dials.retain(|d| d.stated && !sheet.iter().any(|n| n.node == d.name));
    }
    dials.truncate(LETS_MAX);
    if dials.is_empty() {
        let message = "this design has no let with a range, so there is nothing to look for";
        return Err(Diagnostic::error("no-lets", 0..0, message)
            .help("give a measure a name and a range: `let keel = 20 mm, from 10 mm to 30 mm`")
            .into());
    }
    let value = |x: &[f64]| {
        let text = written(&text, &dials, x);
        text.and_then(|t| score(&t, &settings, &change, conditions, wish)).map_or(f64::NAN, |s| -s)
    };
    let bounds: Vec<(f64, f64)> = dials.iter().map(|d| (d.ends[0], d.ends[1])).collect();
    let now: Vec<f64> = dials.iter().map(|d| d.value).collect();
    let before = -value(&now);
    let config = SearchConfig {
        population: (8 * dials.len()).max(12),
        generations: GENERATIONS,
        spread: AGREEMENT * before.abs().max(1.0),
        seed: conditions.seed,
    };
    let found = search::minimise(value, &bounds, config, |g, _, v| progress(g, GENERATIONS, -v));
    // What is there already stands if nothing better was found, or nothing that is better on other
    // flights too.
    let told = |text: &str| worths(text, &settings, &change, conditions, wish, fresh(conditions));
    let own = told(&text).unwrap_or_default();
    let new = Some(found.at).filter(|_| -found.value > before);
    let new = new.and_then(|at| Some((written(&text, &dials, &at)?, at)));
    let new = new.and_then(|(text, at)| Some((told(&text)?, text, at)));
    let (then, new, at) = new
        .filter(|(then, ..)| mean(then) > mean(&own))
        .unwrap_or_else(|| (own.clone(), text.clone(), now));
    let gains: Vec<f64> = then.iter().zip(&own).map(|(a, b)| a - b).collect();
    Ok(Best {
        score: [mean(&own), mean(&then)],
        error: error_of_mean(&gains),
        before: plane,
        after: analyse(&new)?,
        text: new,
        lets: dials
            .into_iter()
            .zip(at)
            .map(|(d, x)| Turned { to: rounded(&d, x), dial: d })
            .collect(),
        evaluations: found.evaluations,
        stop: found.stop,
    })
}

/// A value as a hand can set it: whole counts, tenths of a millimetre and of a degree.
fn rounded(dial: &Dial, value: f64) -> f64 {
    let tick = if dial.whole { 1.0 } else { 0.1 };
    let value = edit::amount::rounded((value / tick).round() * tick, 1);
    value.clamp(dial.ends[0], dial.ends[1])
}

fn written(text: &str, dials: &[Dial], x: &[f64]) -> Option<String> {
    let edits: Vec<_> = dials.iter().zip(x).map(|(d, &x)| d.edit(rounded(d, x))).collect();
    edit::apply(text, &edits).ok()
}

/// Mean over planes and throws a little different; none where it cannot be folded or flown.
fn score(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
    wish: Wish,
) -> Option<f64> {
    let flights = (FLIGHTS, conditions.seed);
    worths(text, settings, change, conditions, wish, flights).map(|w| mean(&w))
}

/// Flights that the search has not seen.
fn fresh(conditions: &Conditions) -> (usize, u64) {
    (TOLD, conditions.seed.wrapping_add(1))
}

fn mean(of: &[f64]) -> f64 {
    of.iter().sum::<f64>() / of.len().max(1) as f64
}

/// Standard error of a mean.
fn error_of_mean(of: &[f64]) -> f64 {
    let (n, mean) = (of.len().max(2) as f64, mean(of));
    (of.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1.0) / n).sqrt()
}

/// What each of so many planes and throws a little different is worth; none where it cannot be
/// folded or flown.
fn worths(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
    wish: Wish,
    (count, seed): (usize, u64),
) -> Option<Vec<f64>> {
    let plane = pipeline::balance(text, settings).ok()?;
    let throw = conditions.found.thrown(change.apply(plane.throw.into()));
    let aircraft = pipeline::aircraft(&plane, &conditions.air, throw.speed_m_s).ok()?;
    let aircraft = aircraft.as_found(&conditions.found);
    let draws = conditions.uncertainty.draws(&throw, count, seed);
    // A flight that cannot be followed is no glide.
    let worth = |(p, t): &(_, _)| {
        let body = aircraft.perturbed(p).ok()?;
        let flight = fly(&body, t, &conditions.hall, JUDGED_EVERY_S).ok();
        let glides = |f: &Flight| shown(f) == Some(Behaviour::Glides);
        let worth = |f: Flight| wish.of(f.distance_m, f.time_aloft_s);
        Some(flight.filter(glides).map_or(0.0, worth))
    };
    draws.par_iter().map(worth).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bessel: the variance of a sample over n - 1, that of its mean over n more.
    #[test]
    fn the_error_of_a_mean_is_that_of_a_sample_by_the_root_of_its_size() {
        assert_eq!(mean(&[1.0, 2.0, 3.0, 4.0]), 2.5);
        let expected = ((2.25 + 0.25 + 0.25 + 2.25) / 3.0 / 4.0_f64).sqrt();
        assert!((error_of_mean(&[1.0, 2.0, 3.0, 4.0]) - expected).abs() < 1e-12);
        assert_eq!(error_of_mean(&[]), 0.0);
    }
}
