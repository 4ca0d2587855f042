//! Air forces on a posed plane at any attitude, from published physics.

use nalgebra::{Matrix6, Vector3};

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
