//! One edited text, flown as often as it takes to see whether it glides with margin.

use crate::flight::throw::Throw;
use crate::pipeline::{self, Settings, ThrowChange};
use crate::verdict::Behaviour;
use crate::verdict::aircraft::Conditions;
use crate::verdict::headline::Probabilities;
use crate::verdict::uncertainty::{Perturbation, in_stages, once};

/// How a trial went: what was counted until it was decided. Only a trial that glides with margin
/// is sure to have flown every draw of its conditions.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// What the flights were.
    pub probability: Probabilities,
}

/// A glide with margin: three throws in four. Above the two in three below which a plane is on an
/// edge by twice the error of two hundred flights, so that the promise holds on the next check
/// with other draws too.
pub const WITH_MARGIN: f64 = 0.75;
/// Standard errors below the margin at which a trial is given up.
const PLAINLY: f64 = 3.0;

impl Trial {
    /// Share of its flights that glide.
    pub fn share(&self) -> f64 {
        self.probability.of(Behaviour::Glides)
    }
    /// It glides with margin.
    pub fn sure(&self) -> bool {
        self.share() >= WITH_MARGIN
    }
}

/// Folds, balances and flies a text; `None` where it cannot be folded or flown. The draws are
/// those of the verdict, in stages.
pub fn try_text(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
) -> Option<Trial> {
    let balanced = pipeline::balance(text, settings).ok()?;
    let throw = conditions.found.thrown(change.apply(balanced.throw.into()));
    let aircraft = pipeline::aircraft(&balanced, &conditions.air, throw.speed_m_s).ok()?;
    let aircraft = aircraft.as_found(&conditions.found);
    let draws = conditions.uncertainty.draws(&throw, conditions.draws, conditions.seed);
    let behaves = |p: &Perturbation, t: &Throw| once(&aircraft.perturbed(p)?, t, &conditions.hall);
    let hopeless = |p: &Probabilities| {
        p.of(Behaviour::Glides) + PLAINLY * p.error_of(Behaviour::Glides) < WITH_MARGIN
    };
    let probability = in_stages(&draws, &behaves, &hopeless).ok()?;
    Some(Trial { probability })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::headline::Seen;

    #[test]
    fn a_glide_has_margin_from_three_throws_in_four() {
        let trial = |n: usize| {
            let seen = |b| Seen { behaviour: Some(b), steps: 1 };
            let glides = std::iter::repeat_n(seen(Behaviour::Glides), n);
            let dives = std::iter::repeat_n(seen(Behaviour::Dives), 200 - n);
            let flown: Vec<_> = glides.chain(dives).collect();
            Trial { probability: Probabilities::counted(&flown) }
        };
        assert!(trial(150).sure() && !trial(149).sure());
    }

    #[test]
    fn a_trial_is_flown_to_the_end_or_given_up_early_on_the_same_draws() {
        let text = include_str!("../../../../../designs/halyard.plane");
        let conditions = Conditions::default();
        let fly = |speed_m_s| {
            let change = ThrowChange { speed_m_s, ..ThrowChange::default() };
            let settings = Settings::default();
            let trial = try_text(text, &settings, &change, &conditions).unwrap();
            let whole = pipeline::analyse(text, &settings, &change, &conditions).unwrap();
            (trial.probability, whole.verdict.probability)
        };
        let (meant, whole) = fly(None);
        assert_eq!(meant, whole, "near the margin every draw is flown");
        let (hard, whole) = fly(Some(9.0));
        assert!(hard.draws < whole.draws && hard.of(Behaviour::Glides) < 0.3, "{hard:?}");
    }
}
