//! Symptom first: what was seen of a real plane, and what in it or in the throw would make the
//! plane of the design do that.
//!
//! Each thing that can be amiss is made worse by itself, in standard deviations of what is not
//! known, until the flights most often show the symptom. What takes the fewest deviations is the
//! most probable cause.

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

    /// Whether a flight shows it.
    fn shown(self, path: &Path) -> bool {
        let behaviour = judge(path).behaviour;
        let turns = matches!(behaviour, Behaviour::Banks | Behaviour::Spirals);
        match self {
            Self::Stalls => behaviour == Behaviour::Stalls,
            Self::Waves => behaviour == Behaviour::Porpoises,
            Self::Dives => behaviour == Behaviour::Dives,
            Self::TurnsLeft => turns && path.last().turned_rad < 0.0,
            Self::TurnsRight => turns && path.last().turned_rad > 0.0,
            Self::Drops => behaviour == Behaviour::Leaf,
            Self::Tumbles => behaviour == Behaviour::Tumbles,
        }
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
            Self::Harder | Self::Gentler => u.speed * throw.speed_m_s,
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

/// Something amiss that would show as the symptom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cause {
    /// What.
    pub suspect: Suspect,
    /// How much of it, m, m/s or rad.
    pub amount: f64,
    /// The same in standard deviations: the fewer, the more probable.
    pub deviations: f64,
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
    /// What would make it do that more often than not, the most probable first.
    pub causes: Vec<Cause>,
}

/// Deviations tried: up to one, everybody's; at three, one plane or throw in some hundreds; more
/// is a fault and no scatter.
const DEVIATIONS: [f64; 8] = [0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0];
/// Flights behind each deviation, the first of those of the verdict.
const FLIGHTS: usize = 24;

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
    let few = &draws[..draws.len().min(FLIGHTS)];
    let mostly = |symptom: Symptom, suspect: Suspect, amount: f64| {
        let with = |&(mut p, mut t): &(Perturbation, Throw)| {
            suspect.made(amount, &mut p, &mut t);
            shown(symptom, &p, &crate::verdict::uncertainty::within_limits(&t))
        };
        2 * few.iter().filter(|&draw| with(draw)).count() > few.len()
    };
    let cause = |symptom: Symptom, suspect: Suspect| {
        let enough = |&&d: &&f64| mostly(symptom, suspect, suspect.amount(d, &plane.throw, u));
        let deviations = *DEVIATIONS.iter().find(enough)?;
        let amount = suspect.amount(deviations, &plane.throw, u);
        Some(Cause { suspect, amount, deviations })
    };
    let causes = |symptom: Symptom| {
        let found = Suspect::EVERY.par_iter().filter_map(|&suspect| cause(symptom, suspect));
        let mut causes: Vec<Cause> = found.collect();
        causes.sort_by(|a, b| a.deviations.total_cmp(&b.deviations));
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
