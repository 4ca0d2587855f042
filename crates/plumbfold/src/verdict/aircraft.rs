//! A posed plane with its mass and its air: what is flown, as designed or a little different.

use nalgebra::Vector3;
use thiserror::Error;

use crate::aero::{Adjustments, Aero, AeroError, Options, StripModel, analyse};
use crate::air::Air;
use crate::airframe::Airframe;
use crate::flight::rigid::{Body, FlightError};
use crate::mass::{MassError, MassProperties, properties};

use super::uncertainty::Perturbation;

/// A plane ready to fly.
#[derive(Clone, Debug)]
pub struct Aircraft {
    /// Mass, balance point, inertia.
    pub mass: MassProperties,
    /// Its aerodynamics.
    pub aero: Aero,
    /// How far ahead of the edge the bends of a [`Perturbation`] begin, m.
    pub bend_depth_m: f64,
}

/// Why a posed plane cannot be made ready.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AircraftError {
    /// It has no mass.
    #[error(transparent)]
    Mass(#[from] MassError),
    /// The air has no answer.
    #[error(transparent)]
    Aero(#[from] AeroError),
}

impl Aircraft {
    /// Weighs and analyses a plane; `speed_m_s` sets the Reynolds number of its polar.
    ///
    /// # Errors
    /// [`AircraftError`].
    pub fn new(airframe: &Airframe, air: &Air, speed_m_s: f64) -> Result<Self, AircraftError> {
        let mass = properties(airframe)?;
        let options = Options::ORDINARY;
        let aero = analyse(airframe, mass.cg_m, air, speed_m_s, &options)?;
        Ok(Self { mass, aero, bend_depth_m: options.bend_depth_m })
    }

    /// The plane with something different; nothing is analysed again. Inertia is kept: what moves
    /// the balance point by a few millimetres hardly changes it.
    ///
    /// # Errors
    /// [`FlightError::NotMassive`].
    pub fn body(&self, p: &Perturbation) -> Result<Body<StripModel>, FlightError> {
        let slope = |up_m: f64| up_m / self.bend_depth_m;
        let adjust = Adjustments {
            friction_scale: p.friction,
            stall_shift_rad: p.stall_rad,
            step_scale: p.steps,
            travel_scale: p.travel,
            right_rad: slope(p.bend_m + p.twist_m),
            left_rad: slope(p.bend_m - p.twist_m),
            ..Adjustments::at(self.mass.cg_m - Vector3::x() * p.balance_aft_m)
        };
        Body::new(self.mass.mass_kg, self.mass.inertia_kg_m2, self.aero.adjusted(&adjust))
    }
}
