//! What to change so that it flies: the folder's own moves, each solved for the smallest amount
//! that makes the plane glide with margin by running the whole chain again.
//!
//! A move is a family of edits of the design text, from nothing to as much as can be folded
//! (`moves`, one file a kind). A trial folds, balances and flies the edited text (`trial`). A
//! remedy is a move at its smallest sufficient amount; it is never shown unless it was flown.

pub mod aim;
pub mod moves;
pub mod spoil;
pub mod trial;

use crate::design::ast::Unit;
use crate::design::dial::Dial;
use crate::design::edit::amount::{number, rounded};
use crate::design::edit::{self, Edit};
use crate::pipeline::{self, Analysed, Problems, Settings, ThrowChange};
use crate::verdict::Behaviour;
use crate::verdict::aircraft::Conditions;
use moves::{Amounts, Move};
use rayon::prelude::*;
use std::cmp::Ordering;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use trial::{Trial, try_text};

/// Halvings between the last amount that failed and the first that worked: amounts are then known
/// to a hundredth of a scan step or better, finer than a hand can fold.
const HALVINGS: usize = 5;
/// Changes closer in size than this, in steps of a hand, are alike.
const TIE_STEPS: f64 = 0.5;
/// Most decimals of a let set from outside, in its unit: a tenth of a micrometre.
const DECIMALS: usize = 4;
/// Most remedies given: more are not compared by anyone.
pub const REMEDIES_MAX: usize = 8;

/// One way to mend a plane.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// Kind of move, a stable word: `let`, `trim`, `ballast`, `throw`, `band`, `tip`, …
    pub kind: &'static str,
    /// One sentence in the trade's words.
    pub sentence: String,
    /// The let it changes, if it is one.
    pub changed_let: Option<String>,
    /// The number before and after, in `unit`.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Unit of both as people read it; empty for counts.
    pub unit: &'static str,
    /// How much it disturbs the plane: steps of a hand, see [`moves`].
    pub disturbance: f64,
    /// The plane after it.
    pub after: Analysed,
    /// It glides with margin: also with balance, bend and throw a little off.
    pub sure: bool,
    /// The whole design text after it.
    pub text: String,
}

/// A move that does not mend the plane, and how close it came.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Kind of move.
    pub kind: &'static str,
    /// What it was, in words.
    pub what: String,
    /// What the plane does at the best amount.
    pub behaviour: Option<Behaviour>,
    /// Share of its flights that glide there.
    pub share: f64,
}

/// Everything `mend` finds.
#[derive(Clone, Debug)]
pub struct Mended {
    /// It glides with margin as it is: nothing was tried.
    pub sound: bool,
    /// The plane as it is.
    pub before: Analysed,
    /// Remedies, the least disturbing first.
    pub remedies: Vec<Remedy>,
    /// Moves that did not help, best first.
    pub tried: Vec<Tried>,
    /// The caller stopped the search before every move was tried.
    pub stopped: bool,
}

/// Finds remedies for a design. `progress` is told, from any thread, how many moves of how many
/// are done, and may stop the search by returning false: what is known so far is returned.
///
/// # Errors
/// The design itself cannot be read, folded or flown.
pub fn mend(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> Result<Mended, Problems> {
    let (text, settings) = settled(text, settings, change);
    let chain = Chain { settings, change: ThrowChange::default(), conditions };
    let before = chain.analyse(&text)?;
    let start = chain.try_text(&text);
    if start.as_ref().is_some_and(Trial::sure) {
        return Ok(Mended {
            sound: true,
            before,
            remedies: Vec::new(),
            tried: Vec::new(),
            stopped: false,
        });
    }
    let all = moves::all(&text, &before);
    let (solved, stopped) = solve_all(&text, &all, &chain, progress);
    let better = |t: &Trial| start.as_ref().is_none_or(|s| t.better_than(s));
    let mut candidates: Vec<(&Move<'_>, f64, Trial)> = Vec::new();
    let mut tried = Vec::new();
    for (m, solved) in all.iter().zip(solved) {
        match (solved.found, solved.best) {
            (Some((amount, trial)), _) => candidates.push((m, amount, trial)),
            // Not a glide with margin, but an improvement worth showing.
            (None, Some((amount, trial))) if better(&trial) && trial.glides() => {
                candidates.push((m, amount, trial));
            }
            (None, best) => tried.push(Tried {
                kind: m.kind,
                what: m.what.clone(),
                behaviour: best.as_ref().map(|b| b.1.behaviour),
                share: best.map_or(0.0, |b| b.1.share()),
            }),
        }
    }
    let key = |c: &(&Move<'_>, f64, Trial)| (!c.2.sure(), c.0.disturbance(c.1));
    candidates.sort_by(|a, b| {
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    tried.sort_by(|a, b| b.share.total_cmp(&a.share));
    candidates.truncate(REMEDIES_MAX);
    let mut remedies: Vec<Remedy> = candidates
        .into_par_iter()
        .filter_map(|(m, amount, trial)| {
            let text = m.edited(&text, amount)?;
            let after = chain.analyse(&text).ok()?;
            Some(Remedy {
                kind: m.kind,
                sentence: m.said(amount),
                changed_let: m.changed_let.clone(),
                from: m.from,
                to: m.to(amount),
                unit: m.unit,
                disturbance: m.disturbance(amount),
                after,
                sure: trial.sure(),
                text,
            })
        })
        .filter(|r| r.improves_on(&before))
        .collect();
    remedies.sort_by(Remedy::before);
    drop(all);
    Ok(Mended { sound: false, before, remedies, tried, stopped })
}

/// The way from a text to its flight, the same for every trial.
struct Chain<'a> {
    settings: Settings,
    change: ThrowChange,
    conditions: &'a Conditions,
}

impl Chain<'_> {
    fn analyse(&self, text: &str) -> Result<Analysed, Problems> {
        pipeline::analyse(text, &self.settings, &self.change, self.conditions)
    }
    fn try_text(&self, text: &str) -> Option<Trial> {
        try_text(text, &self.settings, &self.change, self.conditions)
    }
}

/// Solves every move, many at a time; also whether it was stopped before the last.
fn solve_all(
    text: &str,
    all: &[Move<'_>],
    chain: &Chain<'_>,
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> (Vec<Solved>, bool) {
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let skipped = AtomicBool::new(false);
    let one = |m: &Move<'_>| {
        if stop.load(Relaxed) {
            skipped.store(true, Relaxed);
            return Solved::default();
        }
        let solved = solve(m, |amount| chain.try_text(&m.edited(text, amount)?));
        if !progress(done.fetch_add(1, Relaxed) + 1, all.len()) {
            stop.store(true, Relaxed);
        }
        solved
    };
    let solved = all.par_iter().map(one).collect();
    (solved, skipped.into_inner())
}

impl Remedy {
    fn improves_on(&self, before: &Analysed) -> bool {
        self.after.behaviour() == Behaviour::Glides
            && (before.behaviour() != Behaviour::Glides
                || self.after.glide_probability() > before.glide_probability())
    }

    /// Order of the list: sure ones first, then by how little they disturb; of changes that are
    /// alike in size ([`Remedy::ties_with`]), the one that glides more surely.
    fn before(&self, o: &Self) -> Ordering {
        let size = |r: &Self| (r.disturbance / TIE_STEPS).round();
        let sure = o.sure.cmp(&self.sure);
        let size = size(self).total_cmp(&size(o));
        sure.then(size).then(o.after.glide_probability().total_cmp(&self.after.glide_probability()))
    }

    /// As small a change as another, to what a hand can tell.
    pub fn ties_with(&self, o: &Self) -> bool {
        let size = |r: &Self| (r.disturbance / TIE_STEPS).round();
        self.sure == o.sure && size(self) == size(o)
    }
}

/// The text with what is set from outside in it, lets and throw, so that what is found builds on
/// it; and the settings that are left.
pub fn settled(text: &str, settings: &Settings, change: &ThrowChange) -> (String, Settings) {
    let reading = pipeline::read(text, settings);
    // What cannot be read is told by the flow itself.
    let Some(values) = reading.values else { return (text.to_owned(), settings.clone()) };
    let set = |d: &Dial| settings.sets.iter().any(|s| s.0 == d.name);
    let dials = Dial::all(&reading.design, &values);
    let lets = dials.iter().filter(|d| set(d)).map(|d| d.edit(rounded(d.value, DECIMALS)));
    // Changes of unit leave dust in the last digits.
    let amount = |v: Option<f64>, unit| v.map(|v| number(rounded(v, 9), unit));
    let throw = Edit::Throw {
        speed: amount(change.speed_m_s, Unit::MPerS),
        elevation: amount(change.elevation_rad.map(f64::to_degrees), Unit::Deg),
        height: amount(change.height_m, Unit::M),
        bank: None,
    };
    let throw = (*change != ThrowChange::default()).then_some(throw);
    let text = lets
        .chain(throw)
        .fold(text.to_owned(), |text, edit| edit::apply(&text, &[edit]).unwrap_or(text));
    (text, Settings { sets: Vec::new(), ..settings.clone() })
}

#[derive(Default)]
struct Solved {
    found: Option<(f64, Trial)>,
    best: Option<(f64, Trial)>,
}

/// The smallest amount at which the plane glides with margin: the first of the scan, then halved
/// towards the last that failed.
fn solve(m: &Move<'_>, try_amount: impl Fn(f64) -> Option<Trial>) -> Solved {
    let mut best: Option<(f64, Trial)> = None;
    let mut failed = 0.0;
    for &amount in m.amounts.list() {
        let Some(trial) = try_amount(amount) else { continue };
        if trial.sure() {
            let mut good = (amount, trial);
            if matches!(m.amounts, Amounts::Continuous(_)) {
                for _ in 0..HALVINGS {
                    let middle = (failed + good.0) / 2.0;
                    match try_amount(middle) {
                        Some(t) if t.sure() => good = (middle, t),
                        _ => failed = middle,
                    }
                }
            }
            // Told amounts are rounded up to what a hand can set; the rounded plane is the one
            // that counts.
            let rounded = m.rounded_up(good.0);
            let good = match try_amount(rounded) {
                Some(t) if t.sure() => (rounded, t),
                _ => good,
            };
            return Solved { found: Some(good), best: None };
        }
        if best.as_ref().is_none_or(|b| trial.better_than(&b.1)) {
            best = Some((amount, trial));
        }
        failed = amount;
    }
    Solved { found: None, best }
}

#[cfg(test)]
mod tests;
