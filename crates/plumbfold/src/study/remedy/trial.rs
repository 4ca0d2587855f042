//! One edited text, flown: does it glide, and does it still when things are a little off?

use crate::flight::throw::{Throw, fly};
use crate::pipeline::{self, Settings, ThrowChange};
use crate::verdict::aircraft::Conditions;
use crate::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation};
use crate::verdict::{Behaviour, Path, judge};

/// How a trial went.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// What the plane does as designed, thrown as meant.
    pub behaviour: Behaviour,
    /// Probes that glide, of [`PROBES`].
    pub gliding: usize,
    /// Share of flights with everything uncertain that glide; flown only where the probes promise
    /// something.
    pub probability: Option<f64>,
}

/// Flights of a trial: as designed, and one standard deviation either way in balance, trailing-edge
/// bend, speed and elevation (the extreme points of a Gauss quadrature of second degree would lie a
/// little further out; one deviation is what the words "a little off" mean here).
pub const PROBES: usize = 9;
/// Probes that must glide before more is flown: all but two.
const ENOUGH: usize = 7;
/// Flights behind the probability of a trial, the same random numbers for every trial, so that
/// trials are compared and not their luck.
const TRIAL_DRAWS: usize = 48;
/// A glide with margin: two throws in three (chosen).
const WITH_MARGIN: f64 = 2.0 / 3.0;

impl Trial {
    /// It glides as designed.
    pub fn glides(&self) -> bool {
        self.behaviour == Behaviour::Glides
    }
    /// It glides with margin.
    pub fn sure(&self) -> bool {
        self.glides() && self.probability.is_some_and(|p| p >= WITH_MARGIN)
    }
    /// Share of its flights that glide.
    pub fn share(&self) -> f64 {
        self.probability.unwrap_or(self.gliding as f64 / PROBES as f64)
    }
    /// More of it glides; as designed counts first, then whether the probes promised enough.
    pub fn better_than(&self, o: &Self) -> bool {
        let key = |t: &Self| (t.glides(), t.probability.is_some());
        key(self) > key(o) || key(self) == key(o) && self.share() > o.share()
    }
}

/// Folds, balances and flies a text; `None` where it cannot be folded or flown.
pub fn try_text(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
) -> Option<Trial> {
    let balanced = pipeline::balance(text, settings).ok()?;
    let throw = change.apply(balanced.throw.into());
    let aircraft = pipeline::aircraft(&balanced, &conditions.air, throw.speed_m_s).ok()?;
    let behaves = |p: &Perturbation, t: &Throw| {
        let flight = fly(&aircraft.perturbed(p).ok()?, t, &conditions.hall, JUDGED_EVERY_S).ok()?;
        Some(judge(&Path::new(&flight)).behaviour)
    };
    let behaviour = behaves(&Perturbation::NONE, &throw)?;
    let u = &conditions.uncertainty;
    let balance = u.balance_against_pressure_m();
    let none = Perturbation::NONE;
    let probes = [-1.0, 1.0].into_iter().flat_map(|s| {
        [
            (Perturbation { balance_aft_m: s * balance, ..none }, throw),
            (Perturbation { bend_m: s * u.warp_m, ..none }, throw),
            (none, Throw { speed_m_s: throw.speed_m_s * (1.0 + s * u.speed), ..throw }),
            (none, Throw { elevation_rad: throw.elevation_rad + s * u.elevation_rad, ..throw }),
        ]
    });
    let gliding = probes.filter(|(p, t)| behaves(p, t) == Some(Behaviour::Glides)).count()
        + usize::from(behaviour == Behaviour::Glides);
    let probability = promising(behaviour, gliding).then(|| {
        let draws = u.draws(&throw, TRIAL_DRAWS, conditions.seed);
        let gliding = draws.iter().filter(|(p, t)| behaves(p, t) == Some(Behaviour::Glides));
        gliding.count() as f64 / TRIAL_DRAWS as f64
    });
    Some(Trial { behaviour, gliding, probability })
}

/// Whether a plane whose probes went so is worth more flights.
fn promising(behaviour: Behaviour, gliding: usize) -> bool {
    behaviour == Behaviour::Glides && gliding >= ENOUGH
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trial(behaviour: Behaviour, gliding: usize, of_48: Option<u32>) -> Trial {
        Trial { behaviour, gliding, probability: of_48.map(|n| f64::from(n) / 48.0) }
    }

    #[test]
    fn a_glide_has_margin_from_two_throws_in_three() {
        let glides = |of_48| trial(Behaviour::Glides, PROBES, of_48);
        assert!(glides(Some(32)).sure() && glides(Some(48)).sure());
        assert!(!glides(Some(31)).sure(), "one throw short of two in three");
        assert!(!glides(None).sure(), "not flown often enough to tell");
        assert!(!trial(Behaviour::Porpoises, 8, Some(48)).sure(), "as designed it does not glide");
    }

    #[test]
    fn more_is_flown_when_all_probes_but_two_glide() {
        assert_eq!(PROBES, 9);
        assert!(promising(Behaviour::Glides, 7));
        assert!(!promising(Behaviour::Glides, 6));
        assert!(!promising(Behaviour::Dives, 8));
    }

    #[test]
    fn the_better_trial_glides_as_designed_then_promises_then_glides_more() {
        let order = [
            trial(Behaviour::Dives, 0, None),
            trial(Behaviour::Dives, 8, None),
            trial(Behaviour::Glides, 1, None),
            trial(Behaviour::Glides, 6, None),
            trial(Behaviour::Glides, 7, Some(10)),
            trial(Behaviour::Glides, 7, Some(11)),
        ];
        for (i, a) in order.iter().enumerate() {
            for (k, b) in order.iter().enumerate() {
                assert_eq!(a.better_than(b), i > k, "{a:?} {b:?}");
            }
        }
        assert_eq!(order[1].share(), 8.0 / 9.0);
        assert_eq!(order[4].share(), 10.0 / 48.0);
    }

    #[test]
    fn a_sound_plane_glides_with_margin_and_one_thrown_too_hard_does_not() {
        let text = include_str!("../../../../../designs/halyard.plane");
        let fly = |speed_m_s| {
            let change = ThrowChange { speed_m_s, ..ThrowChange::default() };
            try_text(text, &Settings::default(), &change, &Conditions::default()).unwrap()
        };
        let (sound, hard) = (fly(None), fly(Some(9.0)));
        assert!(sound.sure() && sound.gliding >= ENOUGH, "{sound:?}");
        let of_48 = sound.share() * TRIAL_DRAWS as f64;
        assert!((of_48 - of_48.round()).abs() < 1e-9, "{sound:?}");
        assert!(!hard.sure() && hard.gliding < sound.gliding, "{hard:?}");
    }
}
