//! What to change so that it flies: the folder's own moves, each solved for the smallest amount
//! that makes the plane glide with margin by running the whole chain again.
//!
//! A move is a family of edits of the design text, from nothing to as much as can be folded
//! (`moves`, one file a kind). A trial folds, balances and flies the edited text (`trial`). A
//! remedy is a move at its smallest sufficient amount; it is never shown unless it was flown, and
//! unless the plane then glides clearly more often than before.

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
use crate::verdict::headline::Probabilities;
use moves::Move;
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use trial::{Trial, try_text};

/// Most decimals of a let set from outside, in its unit: a tenth of a micrometre.
const DECIMALS: usize = 4;
/// Most remedies given: more are not compared by anyone.
pub const REMEDIES_MAX: usize = 8;
/// Most moves told that do not mend it.
const TRIED_MAX: usize = 5;
/// Steps of flights spent on one move, at most: some half a second of one processor (measured),
/// several times what a move takes where throws are ordinary.
const STEPS_A_MOVE: usize = 80_000;
/// Steps spent on the whole counts of what is told, at most.
const STEPS_TOLD: usize = 400_000;
/// Least gain in the probability of a glide that is worth a change. Chosen: one throw in ten.
const GAIN_LEAST: f64 = 0.1;
/// Probability of a glide that a step of a hand is worth: what a remedy achieves is weighed
/// against what it costs. Chosen.
const WORTH_OF_STEP: f64 = 0.02;

/// One way to mend a plane.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// Kind of move, a stable word: `let`, `trim`, `ballast`, `throw`, `band`, `tip`, …
    pub kind: &'static str,
    /// The move without its amount, in words.
    pub what: String,
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
    /// It takes back something the text itself states: a clip, a bend, a bank of the hand.
    pub undoes: bool,
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
    pub probability: Probabilities,
}

/// Everything `mend` finds.
#[derive(Clone, Debug)]
pub struct Mended {
    /// It glides and is on no edge: nothing was tried.
    pub sound: bool,
    /// The plane as it is.
    pub before: Analysed,
    /// Remedies: those that take back what the text states, then those that achieve the most for
    /// what they cost.
    pub remedies: Vec<Remedy>,
    /// The moves that came closest without helping clearly, best first.
    pub tried: Vec<Tried>,
    /// The caller stopped the search before every move was tried.
    pub stopped: bool,
    /// Moves of which not every amount was tried, since flights here are too long.
    pub in_part: usize,
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
    let chain = Chain { settings, change: change.unwritten(), conditions };
    let before = chain.analyse(&text)?;
    let mut mended = Mended {
        sound: false,
        before,
        remedies: Vec::new(),
        tried: Vec::new(),
        stopped: false,
        in_part: 0,
    };
    if sound(&mended.before) {
        return Ok(Mended { sound: true, ..mended });
    }
    let all = moves::all(&text, &mended.before);
    let (mut solved, stopped) = solve_all(&text, &all, &chain, progress);
    mended.stopped = stopped;
    solved.sort_by(|a, b| b.trial.share().total_cmp(&a.trial.share()));
    let affordable = mended.before.affordable(STEPS_TOLD);
    let mut nth = 0..;
    solved.retain(|s| {
        let n = nth.next().unwrap_or(usize::MAX);
        let wanted = n < REMEDIES_MAX + TRIED_MAX || s.trial.sure();
        let kept = wanted && n < affordable;
        mended.in_part += usize::from(s.in_part || wanted && !kept);
        kept
    });
    // Told are only figures of whole counts.
    let flown: Vec<Remedy> =
        solved.into_par_iter().filter_map(|s| s.remedy(&text, &all, &chain)).collect();
    let (mut remedies, mut tried) = (Vec::new(), Vec::new());
    for remedy in flown {
        if remedy.helps(&mended.before) {
            remedies.push(remedy);
            continue;
        }
        let Remedy { kind, what, after, .. } = remedy;
        tried.push(Tried { kind, what, probability: after.verdict.probability });
    }
    let share = |t: &Tried| t.probability.of(Behaviour::Glides);
    tried.sort_by(|a, b| share(b).total_cmp(&share(a)));
    tried.truncate(TRIED_MAX);
    remedies.sort_by(|a, b| b.undoes.cmp(&a.undoes).then(b.worth().total_cmp(&a.worth())));
    remedies.truncate(REMEDIES_MAX);
    drop(all);
    (mended.remedies, mended.tried) = (remedies, tried);
    Ok(mended)
}

/// It glides and is on no edge.
pub fn sound(plane: &Analysed) -> bool {
    plane.behaviour() == Behaviour::Glides && plane.verdict.headline().or.is_none()
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

/// Solves every move, many at a time; also whether it was stopped before the last. Moves that
/// cannot be folded or flown at any amount are left out.
fn solve_all(
    text: &str,
    all: &[Move<'_>],
    chain: &Chain<'_>,
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> (Vec<Solved>, bool) {
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let skipped = AtomicBool::new(false);
    let one = |(which, m): (usize, &Move<'_>)| {
        if stop.load(Relaxed) {
            skipped.store(true, Relaxed);
            return None;
        }
        let solved = solve(m, |amount| chain.try_text(&m.edited(text, amount)?));
        if !progress(done.fetch_add(1, Relaxed) + 1, all.len()) {
            stop.store(true, Relaxed);
        }
        let (best, in_part) = solved;
        best.map(|(amount, trial)| Solved { which, amount, trial, in_part })
    };
    let solved: Vec<Option<Solved>> = all.par_iter().enumerate().map(one).collect();
    (solved.into_iter().flatten().collect(), skipped.into_inner())
}

/// A move at its best amount.
struct Solved {
    which: usize,
    amount: f64,
    trial: Trial,
    /// Not every amount was tried.
    in_part: bool,
}

impl Solved {
    fn remedy(&self, text: &str, all: &[Move<'_>], chain: &Chain<'_>) -> Option<Remedy> {
        let (m, amount) = (&all[self.which], self.amount);
        let text = m.edited(text, amount)?;
        Some(Remedy {
            kind: m.kind,
            what: m.what.clone(),
            sentence: m.said(amount),
            changed_let: m.changed_let.clone(),
            from: m.from,
            to: m.to(amount),
            unit: m.unit,
            disturbance: m.disturbance(amount),
            after: chain.analyse(&text).ok()?,
            undoes: m.undoes,
            text,
        })
    }
}

impl Remedy {
    /// Worth doing: afterwards it glides more often than it does anything else, and clearly more
    /// often than before.
    pub fn helps(&self, before: &Analysed) -> bool {
        let (then, now) = (&self.after.verdict.probability, &before.verdict.probability);
        self.after.behaviour() == Behaviour::Glides
            && then.clearly_more(Behaviour::Glides, now)
            && then.of(Behaviour::Glides) - now.of(Behaviour::Glides) >= GAIN_LEAST
    }

    /// What it achieves, less what it costs.
    fn worth(&self) -> f64 {
        self.after.glide_probability() - WORTH_OF_STEP * self.disturbance
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
    let throw = (*change != change.unwritten()).then_some(throw);
    let text = lets
        .chain(throw)
        .fold(text.to_owned(), |text, edit| edit::apply(&text, &[edit]).unwrap_or(text));
    (text, Settings { sets: Vec::new(), ..settings.clone() })
}

/// The smallest amount a hand can make at which the plane glides with margin: the first of the
/// scan, then halved towards the last that failed; where none does, the amount at which it glides
/// most. Also whether its steps ran out before every amount was tried.
fn solve(m: &Move<'_>, try_amount: impl Fn(f64) -> Option<Trial>) -> (Option<(f64, Trial)>, bool) {
    let mut best: Option<(f64, Trial)> = None;
    let (mut failed, mut left) = (0.0, STEPS_A_MOVE);
    for &amount in m.amounts.list() {
        if left == 0 {
            return (best, true);
        }
        let Some(trial) = try_amount(amount) else { continue };
        left = left.saturating_sub(trial.probability.steps);
        if !trial.sure() {
            if best.as_ref().is_none_or(|b| trial.share() > b.1.share()) {
                best = Some((amount, trial));
            }
            failed = amount;
            continue;
        }
        let mut good = (amount, trial);
        while let Some(middle) = m.between(failed, good.0) {
            if left == 0 {
                return (Some(good), true);
            }
            let trial = try_amount(middle);
            left = left.saturating_sub(trial.as_ref().map_or(0, |t| t.probability.steps));
            match trial {
                Some(t) if t.sure() => good = (middle, t),
                _ => failed = middle,
            }
        }
        return (Some(good), false);
    }
    (best, false)
}

#[cfg(test)]
mod tests;
