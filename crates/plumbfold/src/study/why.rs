//! Symptom first: what was seen of a real plane, and what in it or in the throw would make the
//! plane of the design do that.
//!
//! Each thing that can be amiss is made worse by itself, in standard deviations of what is not
//! known. Told is what makes the symptom clearly more frequent, at the amount where it is the most
//! probable cause: how often so much is amiss, times how often the plane then shows the symptom.

use rayon::prelude::*;

use crate::flight::throw::{Throw, fly};
use crate::pipeline::Analysed;
use crate::verdict::aircraft::Conditions;
use crate::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation, Uncertainty};
use crate::verdict::{Behaviour, Path, judge};

/// What was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symptom {
    /// It climbs or slows, and drops.
    Stalls,
    /// It goes up and down in waves.
    Waves,
    /// It goes down nose first.
    Dives,
    /// It turns off to the left.
    TurnsLeft,
    /// It turns off to the right.
    TurnsRight,
    /// It drops without flying.
    Drops,
    /// It goes head over heels.
    Tumbles,
}

impl Symptom {
    /// All of them.
    pub const EVERY: [Self; 7] = [
        Self::Stalls,
        Self::Waves,
        Self::Dives,
        Self::TurnsLeft,
        Self::TurnsRight,
        Self::Drops,
        Self::Tumbles,
    ];

    /// As it is asked for and told.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stalls => "stalls",
            Self::Waves => "waves",
            Self::Dives => "dives",
            Self::TurnsLeft => "turns left",
            Self::TurnsRight => "turns right",
            Self::Drops => "drops",
            Self::Tumbles => "tumbles",
        }
    }

    /// What an eye takes for it, or it turns into when it is worse.
    pub const fn kin(self) -> Option<Self> {
        match self {
            Self::Stalls | Self::Tumbles => Some(Self::Drops),
            Self::Waves | Self::Drops => Some(Self::Stalls),
            Self::Dives | Self::TurnsLeft | Self::TurnsRight => None,
        }
    }

    /// Whether what a flight was is this, to whichever side.
    pub const fn is_shown_by(self, behaviour: Behaviour) -> bool {
        matches!(
            (self, behaviour),
            (Self::Stalls, Behaviour::Stalls)
                | (Self::Waves, Behaviour::Porpoises)
                | (Self::Dives, Behaviour::Dives)
                | (Self::TurnsLeft | Self::TurnsRight, Behaviour::Banks | Behaviour::Spirals)
                | (Self::Drops, Behaviour::Leaf)
                | (Self::Tumbles, Behaviour::Tumbles)
        )
    }

    /// Whether a flight shows it.
    fn shown(self, path: &Path) -> bool {
        let to_its_side = match self {
            Self::TurnsLeft => path.last().turned_rad < 0.0,
            Self::TurnsRight => path.last().turned_rad > 0.0,
            _ => true,
        };
        to_its_side && self.is_shown_by(judge(path).behaviour)
    }
}

/// What can be amiss with a plane or a throw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Suspect {
    /// The balance point lies further back than the text has it.
    TailHeavy,
    /// It lies further forward.
    NoseHeavy,
    /// Both trailing edges stand higher.
    EdgesUp,
    /// Both stand lower.
    EdgesDown,
    /// The left trailing edge stands higher than the right.
    LeftEdgeUp,
    /// The right one stands higher.
    RightEdgeUp,
    /// It is thrown harder.
    Harder,
    /// It is thrown more gently.
    Gentler,
    /// It is thrown more upward.
    Upward,
    /// It is thrown more downward.
    Downward,
    /// It is thrown with the left wing low.
    LeftWingLow,
    /// It is thrown with the right wing low.
    RightWingLow,
    /// Its nose is held above the way of the hand.
    NoseUp,
    /// Its nose is held below it.
    NoseDown,
}

impl Suspect {
    /// All of them.
    pub const EVERY: [Self; 14] = [
        Self::TailHeavy,
        Self::NoseHeavy,
        Self::EdgesUp,
        Self::EdgesDown,
        Self::LeftEdgeUp,
        Self::RightEdgeUp,
        Self::Harder,
        Self::Gentler,
        Self::Upward,
        Self::Downward,
        Self::LeftWingLow,
        Self::RightWingLow,
        Self::NoseUp,
        Self::NoseDown,
    ];

    /// How much is amiss after so many standard deviations: m, m/s of `throw`, or rad; positive.
    fn amount(self, deviations: f64, throw: &Throw, u: &Uncertainty) -> f64 {
        let one = match self {
            Self::TailHeavy | Self::NoseHeavy => u.balance_against_pressure_m(),
            Self::EdgesUp | Self::EdgesDown => u.warp_m,
            // The difference between the two edges is twice what each stands off.
            Self::LeftEdgeUp | Self::RightEdgeUp => 2.0 * u.twist_m,
            Self::Harder | Self::Gentler => u.speed.max(SPEED_UNKNOWN) * throw.speed_m_s,
            Self::Upward | Self::Downward => u.elevation_rad,
            Self::LeftWingLow | Self::RightWingLow => u.bank_rad,
            Self::NoseUp | Self::NoseDown => u.incidence_rad,
        };
        one * deviations
    }

    /// A plane and a throw with so much amiss.
    fn made(self, amount: f64, plane: &mut Perturbation, throw: &mut Throw) {
        match self {
            Self::TailHeavy => plane.balance_aft_m += amount,
            Self::NoseHeavy => plane.balance_aft_m -= amount,
            Self::EdgesUp => plane.bend_m += amount,
            Self::EdgesDown => plane.bend_m -= amount,
            Self::LeftEdgeUp => plane.twist_m -= amount / 2.0,
            Self::RightEdgeUp => plane.twist_m += amount / 2.0,
            Self::Harder => throw.speed_m_s += amount,
            Self::Gentler => throw.speed_m_s = (throw.speed_m_s - amount).max(0.0),
            Self::Upward => throw.elevation_rad += amount,
            Self::Downward => throw.elevation_rad -= amount,
            Self::LeftWingLow => throw.bank_rad -= amount,
            Self::RightWingLow => throw.bank_rad += amount,
            Self::NoseUp => throw.incidence_rad += amount,
            Self::NoseDown => throw.incidence_rad -= amount,
        }
    }
}

/// One standard deviation of what a hand makes of the speed it means: nobody who throws knows it
/// better than to a fifth without a film (guessed).
pub const SPEED_UNKNOWN: f64 = 0.2;

/// Something amiss that would show as the symptom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cause {
    /// What.
    pub suspect: Suspect,
    /// How much of it, m, m/s or rad.
    pub amount: f64,
    /// The same in standard deviations.
    pub deviations: f64,
    /// Share of the flights that then show the symptom.
    pub share: f64,
}

impl Cause {
    /// Logarithm of how probable it is that so much is amiss and shows as the symptom.
    fn weight(&self) -> f64 {
        self.share.ln() - self.deviations * self.deviations / 2.0
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// What was seen.
    pub symptom: Symptom,
    /// Share of the flights of the design as it is, thrown as meant, that show it.
    pub share: f64,
    /// Flights behind that.
    pub draws: usize,
    /// What the causes make it do: the symptom, or its kin where nothing makes it do that.
    pub explained: Symptom,
    /// What would make it do that clearly more often, the most probable first.
    pub causes: Vec<Cause>,
}

/// Deviations tried: up to one, everybody's; at three, one plane or throw in some hundreds; more
/// is a fault and no scatter.
const DEVIATIONS: [f64; 8] = [0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0];
/// Flights behind each deviation, the first of those of the verdict.
const FLIGHTS: usize = 48;
/// Steps of a flight of which so many are flown; of longer ones fewer, but no less than a quarter.
const STEPS: usize = 120;
/// A throw this much more gentle, of its speed, is another throw and no slip (chosen: three
/// deviations of what a hand makes of the speed it means).
const GENTLER_MOST: f64 = 0.6;
/// Least that the share of a symptom must grow by to be worth a word. Chosen: one throw in ten.
const GAIN_LEAST: f64 = 0.1;

/// Looks for what would explain a symptom.
pub fn why(plane: &Analysed, symptom: Symptom, conditions: &Conditions) -> Why {
    let u = &conditions.uncertainty;
    let draws = u.draws(&plane.throw, conditions.draws, conditions.seed);
    let shown = |symptom: Symptom, p: &Perturbation, t: &Throw| {
        let flown = plane
            .aircraft
            .perturbed(p)
            .ok()
            .and_then(|body| fly(&body, t, &conditions.hall, JUDGED_EVERY_S).ok());
        flown.is_some_and(|flight| symptom.shown(&Path::new(&flight)))
    };
    let all = draws.par_iter().filter(|(p, t)| shown(symptom, p, t)).count();
    let steps = plane.verdict.probability.steps / plane.verdict.probability.draws.max(1);
    let flights = if steps > STEPS { (FLIGHTS * STEPS / steps).max(FLIGHTS / 4) } else { FLIGHTS };
    let few = &draws[..draws.len().min(flights)];
    let cause = |symptom: Symptom, suspect: Suspect, before: &[bool]| {
        let mut best: Option<Cause> = None;
        for deviations in DEVIATIONS {
            // Were it certain then, it would still be less probable than what was found.
            if best.is_some_and(|b| b.weight() > -deviations * deviations / 2.0) {
                break;
            }
            let amount = suspect.amount(deviations, &plane.throw, u);
            if suspect == Suspect::Gentler && amount > GENTLER_MOST * plane.throw.speed_m_s {
                break;
            }
            let with = |&(mut p, mut t): &(Perturbation, Throw)| {
                suspect.made(amount, &mut p, &mut t);
                shown(symptom, &p, &crate::verdict::uncertainty::within_limits(&t))
            };
            let after: Vec<bool> = few.iter().map(with).collect();
            let share = after.iter().filter(|&&s| s).count() as f64 / few.len().max(1) as f64;
            let found = Cause { suspect, amount, deviations, share };
            let more = clearly_more(before, &after);
            if more && best.is_none_or(|b| found.weight() > b.weight()) {
                best = Some(found);
            }
        }
        best
    };
    let causes = |symptom: Symptom| {
        let before: Vec<bool> = few.par_iter().map(|(p, t)| shown(symptom, p, t)).collect();
        let each = Suspect::EVERY.par_iter();
        let found = each.filter_map(|&suspect| cause(symptom, suspect, &before));
        let mut causes: Vec<Cause> = found.collect();
        causes.sort_by(|a, b| b.weight().total_cmp(&a.weight()));
        causes
    };
    let mut explained = symptom;
    let mut found = causes(symptom);
    if let (true, Some(kin)) = (found.is_empty(), symptom.kin()) {
        found = causes(kin);
        if !found.is_empty() {
            explained = kin;
        }
    }
    let share = all as f64 / draws.len().max(1) as f64;
    Why { symptom, share, draws: draws.len(), explained, causes: found }
}

/// Whether the same flights show something clearly more often with a change than without: flights
/// that turned one way less those that turned the other, against twice the root of all that turned
/// (the test of McNemar, Psychometrika 12, 1947), and worth a word.
fn clearly_more(before: &[bool], after: &[bool]) -> bool {
    let turned = |from: bool| {
        before.iter().zip(after).filter(|(b, a)| **b == from && **a != from).count() as f64
    };
    let (more, less) = (turned(false), turned(true));
    more - less > 2.0 * (more + less).sqrt() && more - less >= GAIN_LEAST * before.len() as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_turns_a_few_flights_either_way_explains_nothing() {
        let of = |shown: usize| -> Vec<bool> { (0..48).map(|k| k < shown).collect() };
        assert!(!clearly_more(&of(10), &of(14)), "four more in 48 may be chance");
        assert!(clearly_more(&of(10), &of(16)));
        assert!(!clearly_more(&of(16), &of(10)));
        let other: Vec<bool> = (0..48).map(|k| k >= 30).collect();
        assert!(!clearly_more(&of(10), &other), "as many went the other way");
    }

    /// A throw that makes it stall in a third of the flights is named, though not in most.
    #[test]
    fn a_throw_too_hard_is_a_cause_long_before_it_shows_in_most_flights() {
        let text = include_str!("../../../../designs/halyard.plane");
        let conditions = Conditions { draws: 48, ..Conditions::default() };
        let (settings, change) = Default::default();
        let plane = crate::pipeline::analyse(text, &settings, &change, &conditions).unwrap();
        let found = why(&plane, Symptom::Stalls, &conditions);
        let harder = found.causes.iter().find(|c| c.suspect == Suspect::Harder);
        let harder = harder.expect("thrown hard enough it rears up");
        assert!(harder.share > found.share && harder.share < 1.0, "{harder:?}");
        let order = found.causes.windows(2).all(|w| w[0].weight() >= w[1].weight());
        assert!(order, "{:?}", found.causes);
    }
}
