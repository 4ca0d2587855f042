//! The best values of a few lets for a throw and a hall, looked for over their whole ranges.
//!
//! What is made as large as it goes is a mean over planes folded and thrown a little differently,
//! the same ones for every candidate: a let that wins on a knife edge loses.

use rayon::prelude::*;

use crate::design::diagnostic::Diagnostic;
use crate::design::dial::Dial;
use crate::design::edit;
use crate::flight::throw::fly;
use crate::numeric::search::{self, SearchConfig, Stop};
use crate::pipeline::{self, Analysed, Problems, Settings, ThrowChange};
use crate::study::remedy::settled;
use crate::verdict::aircraft::Conditions;
use crate::verdict::uncertainty::JUDGED_EVERY_S;
use crate::verdict::{Behaviour, Path, judge};

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
    /// What was wanted, on the mean over the planes and throws, before and after: a flight that
    /// does not end in a glide counts for nothing.
    pub score: [f64; 2],
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
    // What is there already stands if nothing better was found.
    let (at, after) = if -found.value > before { (found.at, -found.value) } else { (now, before) };
    let new = written(&text, &dials, &at).unwrap_or_else(|| text.clone());
    Ok(Best {
        score: [before, after],
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
    let plane = pipeline::balance(text, settings).ok()?;
    let throw = conditions.found.thrown(change.apply(plane.throw.into()));
    let aircraft = pipeline::aircraft(&plane, &conditions.air, throw.speed_m_s).ok()?;
    let aircraft = aircraft.as_found(&conditions.found);
    let draws = conditions.uncertainty.draws(&throw, FLIGHTS, conditions.seed);
    let worth = |(p, t): &(_, _)| {
        let flight = fly(&aircraft.perturbed(p).ok()?, t, &conditions.hall, JUDGED_EVERY_S).ok()?;
        let glides = judge(&Path::new(&flight)).behaviour == Behaviour::Glides;
        Some(if glides { wish.of(flight.distance_m, flight.time_aloft_s) } else { 0.0 })
    };
    let each: Vec<Option<f64>> = draws.par_iter().map(worth).collect();
    let all: Option<Vec<f64>> = each.into_iter().collect();
    all.map(|worths| worths.iter().sum::<f64>() / FLIGHTS as f64)
}
