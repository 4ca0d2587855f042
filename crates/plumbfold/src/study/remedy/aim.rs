//! Solving a let for a wanted balance: a share of the wing area ahead of the balance point, or a
//! distance behind the nose.
//!
//! The number is followed over the let's whole range ([`level`]), because it may rise and fall,
//! jump, and have gaps where the paper cannot be folded. What solves it is flown before it is
//! shown, as every remedy is.

pub mod level;

use super::moves::lets::{hand, of_sheet};
use super::{REMEDIES_MAX, Remedy, settled};
use crate::design::dial::Dial;
use crate::design::edit::{self, amount::rounded};
use crate::pipeline::{self, Analysed, Balanced, Problems, Settings, ThrowChange};
use crate::verdict::aircraft::Conditions;
use level::{Curve, Reach, reach};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// This share of the wing area ahead of the balance point.
    AreaAhead(f64),
    /// The balance point this far behind the nose, m.
    BehindNose(f64),
}

impl Target {
    /// The number wanted, in the units of [`Target::of`].
    pub fn wanted(self) -> f64 {
        match self {
            Self::AreaAhead(wanted) | Self::BehindNose(wanted) => wanted,
        }
    }

    /// The same number of a plane.
    pub fn of(self, plane: &Balanced) -> f64 {
        match self {
            Self::AreaAhead(_) => plane.area_ahead_fraction,
            Self::BehindNose(_) => plane.mass.behind_nose_m(),
        }
    }

    /// Closer than this is there: a thousandth of a per cent of the area, a micrometre.
    pub fn slack(self) -> f64 {
        match self {
            Self::AreaAhead(_) => 1e-5,
            Self::BehindNose(_) => 1e-6,
        }
    }

    /// In words.
    pub fn say(self, value: f64) -> String {
        match self {
            Self::AreaAhead(_) => format!("{:.1} % of the wing ahead", value * 100.0),
            Self::BehindNose(_) => {
                format!("the balance point {:.1} mm behind the nose", value * 1e3)
            }
        }
    }
}

/// A value of a let that gives what is wanted, or, of a count, comes closest to it.
#[derive(Clone, Debug)]
pub struct Solution {
    /// The change, flown.
    pub remedy: Remedy,
    /// By how much it misses: fraction of the area, or m. Nothing unless the let is a count.
    pub off: f64,
}

/// A let that cannot give what is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Short {
    /// Its name.
    pub name: String,
    /// Why.
    pub why: Why,
}

/// Why a let cannot give what is wanted. Values are in the unit of the let.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// Turning it changes nothing about the balance.
    NoEffect,
    /// At no value in its range can the paper be folded so.
    NoFold,
    /// It is no measure of a fold or of a weight.
    NoFoldOrWeight,
    /// It measures the sheet, which is tried only by name: another sheet is another plane.
    Sheet,
    /// This is as near as it comes.
    TooFar {
        /// Value of the let.
        at: f64,
        /// Its unit.
        unit: &'static str,
        /// The same, as the text would say it.
        said: String,
        /// What that gives, in the units of [`Target::of`].
        gives: f64,
    },
    /// It can be folded so, but the plane is then none that flies.
    NoPlane {
        /// Value of the let, as the text would say it.
        said: String,
    },
}

/// Everything [`aim`] finds.
#[derive(Clone, Debug)]
pub struct Aimed {
    /// What was wanted.
    pub target: Target,
    /// The plane as it is.
    pub before: Analysed,
    /// What gives it: exact ones first, then the least disturbing.
    pub solutions: Vec<Solution>,
    /// Lets that cannot, in the order of the text.
    pub short: Vec<Short>,
}

/// Where one let reaches a target, with nothing flown.
pub fn solve(text: &str, settings: &Settings, dial: &Dial, target: Target) -> Reach {
    let curve = Curve {
        ends: dial.ends,
        now: dial.value,
        whole: dial.whole,
        wanted: target.wanted(),
        slack: target.slack(),
    };
    reach(&curve, &|value| {
        let mut settings = settings.clone();
        settings.sets.retain(|s| s.0 != dial.name);
        settings.sets.push((dial.name.clone(), dial.exactly(value)));
        pipeline::balance(text, &settings).ok().map(|plane| target.of(&plane))
    })
}

/// Solves a let, or each in turn, for a wanted balance. `progress` is told, from any thread, how
/// many lets of how many are done.
///
/// # Errors
/// The design itself cannot be read, folded or flown, or has no let of that name.
pub fn aim(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
    target: Target,
    only: Option<&str>,
    progress: &(impl Fn(usize, usize) + Sync),
) -> Result<Aimed, Problems> {
    let (text, settings) = settled(text, settings, change);
    let change = &change.unwritten();
    let analysed = pipeline::analyse(&text, &settings, change, conditions)?;
    let source = &analysed.balanced.source;
    let (design, values) = (source.design(), source.values());
    let dials = match only {
        Some(name) => vec![Dial::named(name, design, values)?],
        None => Dial::all(design, values),
    };
    let sheet = of_sheet(design);
    let done = AtomicUsize::new(0);
    let reaches: Vec<Result<Reach, Why>> = dials
        .par_iter()
        .map(|dial| {
            let tried = match hand(dial) {
                None => Err(Why::NoFoldOrWeight),
                _ if only.is_none() && sheet.iter().any(|s| s.node == dial.name) => Err(Why::Sheet),
                _ => Ok(()),
            };
            let reach = tried.map(|()| solve(&text, &settings, dial, target));
            progress(done.fetch_add(1, Ordering::Relaxed) + 1, dials.len());
            reach
        })
        .collect();
    let mut found: Vec<Found<'_>> = Vec::new();
    let mut short = Vec::new();
    for (dial, reach) in dials.iter().zip(reaches) {
        let now = target.of(&analysed.balanced);
        match candidates(dial, reach, target, now) {
            Ok(more) => found.extend(more),
            Err(why) => short.push(Short { name: dial.name.clone(), why }),
        }
    }
    found.sort_by(|a, b| {
        let exact = |f: &Found<'_>| f.off > target.slack();
        exact(a).cmp(&exact(b)).then(a.disturbance.total_cmp(&b.disturbance))
    });
    found.truncate(REMEDIES_MAX);
    let flown: Vec<Result<Solution, Short>> = found
        .into_par_iter()
        .map(|f| f.fly(&text, &settings, change, conditions, target))
        .collect();
    let mut solutions = Vec::new();
    for f in flown {
        match f {
            Ok(solution) => solutions.push(solution),
            Err(miss) => short.push(miss),
        }
    }
    Ok(Aimed { target, before: analysed, solutions, short })
}

/// A place on a dial to be flown.
struct Found<'a> {
    dial: &'a Dial,
    at: f64,
    off: f64,
    disturbance: f64,
}

/// Places of a dial worth flying, or why there are none.
fn candidates<'a>(
    dial: &'a Dial,
    reach: Result<Reach, Why>,
    target: Target,
    now: f64,
) -> Result<Vec<Found<'a>>, Why> {
    let reach = reach?;
    let (hand_step, charge) = hand(dial).ok_or(Why::NoFoldOrWeight)?;
    let found = |at: f64, off: f64| {
        let disturbance = charge + (at - dial.value).abs() / hand_step;
        Found { dial, at, off, disturbance }
    };
    if !reach.places.is_empty() {
        return Ok(reach.places.into_iter().map(|at| found(at, 0.0)).collect());
    }
    let (at, gives) = reach.nearest.ok_or(Why::NoFold)?;
    if !reach.moves {
        return Err(Why::NoEffect);
    }
    // A count jumps over what is wanted; the nearest whole number is its answer if it is better
    // than what there is, and what is wanted lies within what it can do.
    let off = (gives - target.wanted()).abs();
    if dial.whole && reach.passes && off < (now - target.wanted()).abs() {
        return Ok(vec![found(at, off)]);
    }
    Err(Why::TooFar { at, unit: dial.unit.symbol(), said: dial.say(at, WRITTEN_DECIMALS), gives })
}

/// Decimals of a value written into a design: a hundredth of a millimetre is finer than a fold,
/// and a text ought to stay readable.
const WRITTEN_DECIMALS: usize = 2;

impl Found<'_> {
    fn fly(
        &self,
        text: &str,
        settings: &Settings,
        change: &ThrowChange,
        conditions: &Conditions,
        target: Target,
    ) -> Result<Solution, Short> {
        let dial = self.dial;
        let written = rounded(self.at, WRITTEN_DECIMALS);
        let said = dial.say(written, WRITTEN_DECIMALS);
        let short = || Short { name: dial.name.clone(), why: Why::NoPlane { said: said.clone() } };
        // Beside the end of a range a rounded value may be out of it.
        let edited = [written, self.at].into_iter().find_map(|value| {
            let text = edit::apply(text, &[dial.edit(value)]).ok()?;
            Some((pipeline::analyse(&text, settings, change, conditions).ok()?, text, value))
        });
        let (after, text, to) = edited.ok_or_else(short)?;
        let note = dial.note.as_ref().map_or_else(String::new, |n| format!(" ({n})"));
        let name = &dial.name;
        let now = dial.say(dial.value, WRITTEN_DECIMALS);
        let sentence = if now == said {
            format!("Leave `{name}`{note} at {now}.")
        } else {
            format!("Change `{name}`{note} from {now} to {said}.")
        };
        Ok(Solution {
            off: if self.off > 0.0 { target.of(&after.balanced) - target.wanted() } else { 0.0 },
            remedy: Remedy {
                kind: "let",
                what: format!("`{name}`"),
                sentence,
                changed_let: Some(name.clone()),
                from: dial.value,
                to,
                unit: dial.unit.symbol(),
                disturbance: self.disturbance,
                after,
                undoes: false,
                text,
            },
        })
    }
}
