//! The verdict on a throw: the flight thrown exactly so, and what a few hundred throws a little
//! different do.

use crate::air::AirLoads;
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{Flight, Hall, Throw, fly};

use super::headline::{Headline, Probabilities};
use super::uncertainty::{JUDGED_EVERY_S, Perturbation, Uncertainty, probabilities};
use super::{Finding, Path, judge};

/// Share of the flights that could not be followed above which there is no verdict. Chosen: half.
const UNKNOWN_MOST: f64 = 0.5;

/// What is asked about a plane.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// The throw it is meant for.
    pub throw: &'a Throw,
    /// The room.
    pub hall: &'a Hall,
    /// What is not known.
    pub uncertainty: &'a Uncertainty,
    /// Flights behind the probabilities, and their seed.
    pub draws: (usize, u64),
}

/// How a plane flies and how sure that is; why is [`super::reasons`]' business.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The flight of the plane exactly as designed, thrown exactly as asked.
    pub flight: Flight,
    /// What that one flight was.
    pub finding: Finding,
    /// How probable each behaviour is.
    pub probability: Probabilities,
}

impl Verdict {
    /// What is said first: the likeliest of the flights, never the one thrown exactly so.
    pub fn headline(&self) -> Headline {
        self.probability.headline()
    }
}

/// Flies a plane as designed and as it might be. `model` gives the plane for a perturbation.
///
/// # Errors
/// A throw outside the limits, or a plane that cannot be flown ([`FlightError`]).
pub fn assess<A: AirLoads>(
    model: &(impl Fn(&Perturbation) -> Result<Body<A>, FlightError> + Sync),
    question: &Question<'_>,
) -> Result<Verdict, FlightError> {
    let Question { throw, hall, uncertainty, draws } = *question;
    let flight = fly(&model(&Perturbation::NONE)?, throw, hall, JUDGED_EVERY_S)?;
    let finding = judge(&Path::new(&flight));
    let probability = probabilities(model, throw, hall, uncertainty, draws)?;
    if probability.unknown > UNKNOWN_MOST {
        return Err(FlightError::NotFollowed { share: probability.unknown });
    }
    Ok(Verdict { flight, finding, probability })
}
