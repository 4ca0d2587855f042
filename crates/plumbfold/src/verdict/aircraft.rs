//! A balanced plane in the air: its aerodynamics, every glide it can hold, and the verdict on the
//! throw it is meant for.

use crate::air::Air;
use crate::air::strips::{Adjustments, StripModel};
use crate::air::{self, Aero, AeroError};
use crate::flight::modes::{Glide, glides};
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{Hall, Throw};
use crate::plane::airframe::{Airframe, TrimBend};
use crate::plane::assembly::MeantThrow;
use crate::plane::mass::MassProperties;
use crate::verdict::assess::{Question, Verdict, assess};
use crate::verdict::reasons::{Reasons, Sought, reasons};
use crate::verdict::uncertainty::{DRAWS, Found, Perturbation, Uncertainty};
use nalgebra::Vector3;

/// Whether somebody still waits for what is being computed.
pub type Wanted<'a> = &'a (dyn Fn() -> bool + Sync);

/// Where and how surely the plane is flown.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// The air.
    pub air: Air,
    /// The room.
    pub hall: Hall,
    /// What is not known.
    pub uncertainty: Uncertainty,
    /// What was measured.
    pub found: Found,
    /// Flights behind the probabilities.
    pub draws: usize,
    /// Seed of their random numbers.
    pub seed: u64,
}

impl Default for Conditions {
    /// An open hall at room temperature, a careful folder, the usual number of flights.
    fn default() -> Self {
        Self {
            air: Air::indoors(),
            hall: Hall::default(),
            uncertainty: Uncertainty::CAREFUL,
            found: Found::NOTHING,
            draws: DRAWS,
            seed: 1,
        }
    }
}

/// Why a plane could not be flown.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AnalysisError {
    /// No aerodynamics.
    #[error(transparent)]
    Aero(#[from] AeroError),
    /// No flight.
    #[error(transparent)]
    Flight(#[from] FlightError),
}

/// A plane ready to fly, and to be changed a little without solving the lattice again.
#[derive(Clone, Debug)]
pub struct Aircraft {
    /// Its aerodynamics at the throw's speed.
    pub aero: Aero,
    /// Its mass.
    pub mass: MassProperties,
    /// Bends of [`Perturbation`] begin this far ahead of the trailing edge, m.
    pub bend_depth_m: f64,
    /// How the real plane was found to differ from the one designed.
    pub found: Perturbation,
}

impl From<MeantThrow> for Throw {
    fn from(t: MeantThrow) -> Self {
        Self { bank_rad: t.bank_rad, ..Self::straight(t.speed_m_s, t.elevation_rad, t.height_m) }
    }
}

/// Slowest speed at which friction is evaluated for the polar, m/s: a plane that is merely dropped
/// still has a polar.
const POLAR_SPEED_LEAST_M_S: f64 = 1.0;

impl Aircraft {
    /// Solves the aerodynamics of a balanced plane at a speed.
    ///
    /// # Errors
    /// [`AeroError`] for planes without a wing and air that is none.
    pub fn new(
        airframe: &Airframe,
        mass: &MassProperties,
        air: &Air,
        speed_m_s: f64,
    ) -> Result<Self, AeroError> {
        let options = air::Options::ORDINARY;
        let speed = speed_m_s.max(POLAR_SPEED_LEAST_M_S);
        let aero = air::analyse(airframe, mass.cg_m, air, speed, &options)?;
        Ok(Self {
            aero,
            mass: mass.clone(),
            bend_depth_m: options.bend_depth_m,
            found: Perturbation::NONE,
        })
    }

    /// The plane as it was found to be: what follows is about that one.
    #[must_use]
    pub fn as_found(self, found: &Found) -> Self {
        Self { found: found.plane, ..self }
    }

    /// The plane with something different about it.
    ///
    /// # Errors
    /// [`FlightError::NotMassive`] when mass and inertia are not those of a thing.
    pub fn perturbed(&self, p: &Perturbation) -> Result<Body<StripModel>, FlightError> {
        let p = &self.found.and(p);
        let adjust = Adjustments {
            friction_scale: p.friction,
            stall_shift_rad: p.stall_rad,
            step_scale: p.steps,
            travel_scale: p.travel,
            right_rad: (p.bend_m + p.twist_m) / self.bend_depth_m,
            left_rad: (p.bend_m - p.twist_m) / self.bend_depth_m,
            ..Adjustments::at(self.mass.cg_m - Vector3::x() * p.balance_aft_m)
        };
        let inertia = self.aero.solved.axes.tensor(&self.mass.inertia_kg_m2);
        Body::new(self.mass.mass_kg, inertia, self.aero.adjusted(&adjust))
    }

    /// Every steady glide of the plane as designed.
    ///
    /// # Errors
    /// As [`Aircraft::perturbed`].
    pub fn glides(&self) -> Result<Vec<Glide>, FlightError> {
        Ok(glides(&self.perturbed(&Perturbation::NONE)?))
    }

    /// The verdict on a throw.
    ///
    /// # Errors
    /// A throw beyond what a hand does, or a plane that cannot be flown.
    pub fn verdict(&self, throw: &Throw, conditions: &Conditions) -> Result<Verdict, FlightError> {
        self.verdict_while(throw, conditions, &|| true)
    }

    /// The same, as long as it is wanted, which is asked before each flight.
    ///
    /// # Errors
    /// As [`Aircraft::verdict`]; [`FlightError::Unwanted`] as soon as it is not.
    pub fn verdict_while(
        &self,
        throw: &Throw,
        conditions: &Conditions,
        wanted: Wanted<'_>,
    ) -> Result<Verdict, FlightError> {
        let question = Question {
            throw,
            hall: &conditions.hall,
            uncertainty: &conditions.uncertainty,
            draws: (conditions.draws, conditions.seed),
        };
        assess(&|p: &Perturbation| self.perturbed_while(p, wanted), &question)
    }

    /// Why it does that; `bends` are those the design states.
    pub fn reasons(
        &self,
        verdict: &Verdict,
        throw: &Throw,
        bends: &[TrimBend],
        conditions: &Conditions,
    ) -> Reasons {
        self.reasons_while(verdict, throw, bends, conditions, &|| true)
    }

    /// The same, as long as it is wanted, which is asked before each flight; what comes of it after
    /// that means nothing.
    pub fn reasons_while(
        &self,
        verdict: &Verdict,
        throw: &Throw,
        bends: &[TrimBend],
        conditions: &Conditions,
        wanted: Wanted<'_>,
    ) -> Reasons {
        let sought = Sought {
            throw,
            hall: &conditions.hall,
            balance_behind_nose_m: self.mass.behind_nose_m(),
            bends,
            uncertainty: &conditions.uncertainty,
            draws: (conditions.draws, conditions.seed),
        };
        reasons(&|p: &Perturbation| self.perturbed_while(p, wanted), verdict, &sought)
    }

    /// All long work comes by here for each flight.
    fn perturbed_while(
        &self,
        p: &Perturbation,
        wanted: Wanted<'_>,
    ) -> Result<Body<StripModel>, FlightError> {
        if wanted() { self.perturbed(p) } else { Err(FlightError::Unwanted) }
    }
}
