//! The air, and the forces it puts on a posed plane at any attitude, from published physics.

pub mod added_mass;
pub mod analyse;
pub mod aside;
pub mod atmosphere;
pub mod axes;
pub mod camber;
pub mod filaments;
pub mod flex;
pub mod induced;
pub mod influence;
pub mod lattice;
pub mod mesh;
pub mod plate;
pub mod plates;
pub mod shapes;
pub mod strips;
pub mod suction;
pub mod surfaces;
pub mod validation;

pub use analyse::{
    Aero, Derivatives, Options, PolarPoint, Reference, Solved, analyse, solve_halves,
};
pub use atmosphere::{
    ALTITUDE_RANGE_M, Air, AirError, GAS_CONSTANT_DRY, PRESSURE_RANGE_PA, TEMPERATURE_RANGE_K,
    saturation_pressure_pa,
};
pub use axes::AirAxes;
pub use strips::{Adjustments, StripModel};

use nalgebra::{Matrix6, Vector3};

/// Why there is no answer from the air.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AeroError {
    /// Nothing to fly on.
    #[error("the plane has no wing: no panel lies within 45 degrees of level")]
    NoWing,
    /// Panels, but all on edge.
    #[error(
        "the wings are folded shut: every panel stands steeper than 45 degrees; open the wing \
         crease in the pose"
    )]
    FoldedShut,
    /// A number no plane can fly with.
    #[error("{what} must be more than zero and a number, but is {value}")]
    NotPositive {
        /// Which.
        what: &'static str,
        /// As given.
        value: f64,
    },
    /// The centre of gravity is not a place.
    #[error("the centre of gravity has a coordinate that is not a number")]
    NoBalance,
    /// The lattice would not fit.
    #[error("the lattice would have {panels} vortex panels; the most is {most}")]
    TooFine {
        /// Wanted.
        panels: usize,
        /// Allowed.
        most: usize,
    },
    /// Two surfaces in one place.
    #[error(
        "two panels of the plane run through each other or lie in the same place, so the air \
         between them has no answer; open the pose a little"
    )]
    Singular,
    /// More or less lift than a plate can have.
    #[error(
        "this plane cannot be judged: the model finds a lift slope of {slope:.2} where a plate of \
         this aspect ratio has {plate:.2}; parts that lie close beside each other in the air are \
         the usual cause, so open or shut them in the pose"
    )]
    LiftBeyondPlate {
        /// Found, per rad.
        slope: f64,
        /// Expected, per rad.
        plate: f64,
    },
    /// More of some load than plates can have.
    #[error(
        "this plane cannot be judged: the model finds {what} than plates of its size can have; \
         parts that lie close beside each other in the air are the usual cause, so open or shut \
         them in the pose"
    )]
    BeyondPlates {
        /// More or less of what.
        what: &'static str,
    },
    /// Loads that do work in air at rest.
    #[error(
        "this plane cannot be judged: the model finds loads that would speed it up in still air; \
         parts that lie close beside each other in the air are the usual cause, so open or shut \
         them in the pose"
    )]
    GivesEnergy,
}

/// Air loads on a body. All vectors in the body frame (x forward, y right, z down), about the
/// centre of gravity.
pub trait AirLoads {
    /// Force N and moment N m for the velocity of the body through the air (m/s) and its angular
    /// rate (rad/s). Zero velocity gives zero load, never a NaN.
    ///
    /// The load is the whole load of a motion that is steady in body axes, as a wind tunnel or a
    /// lattice method gives it: the broadside-turning moment of potential flow (which puts a
    /// plate's lift at the quarter chord) is in it. The added mass therefore only resists
    /// acceleration (see [`crate::flight::rigid`]).
    fn loads(&self, velocity: &Vector3<f64>, rate: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>);
    /// Added mass and inertia (rows and columns u v w p q r), kg, kg m, kg m2.
    fn added_mass(&self) -> Matrix6<f64>;
}

#[cfg(test)]
mod tests;
