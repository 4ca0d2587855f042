//! A rigid plane in six degrees of freedom, with the mass of the air it carries along.
//!
//! Symbols: v velocity and w angular rate in the body frame, m mass, I inertia about the centre of
//! gravity, A added mass (6x6), F and M air force and moment, g gravity in the body frame.
//!
//! ```text
//! ([m 0; 0 I] + A) d/dt(v, w) = (F + m g - w x m v,  M - w x I w)
//! ```
//!
//! Who counts what: [`AirLoads::loads`] is the whole load of a motion that is steady in body axes,
//! which is what a wind tunnel or a lattice method gives. In potential flow that already holds the
//! Coriolis terms of Kirchhoff's equations, `w x p` and `v x p` with p the momentum of the air,
//! the broadside-turning moment of a plate among them (lift of a plate acts at the quarter chord
//! because of it). Here the added mass only resists acceleration, so nothing is counted twice. A
//! model made of circulation and drag alone adds [`kirchhoff_loads`] to be whole, as the
//! falling-card models of Andersen, Pesavento & Wang (J. Fluid Mech. 541, 2005) do.
//!
//! Those terms do no work, so in both cases the energy of plane and carried air,
//! `m v^2/2 + w I w/2 + (v,w) A (v,w)/2 + m g z`, changes only by the work of the loads.

use nalgebra::{Matrix3, Matrix6, Quaternion, SVector, Unit, UnitQuaternion, Vector3, Vector6};
use thiserror::Error;

use crate::air::AirLoads;

use super::ode::{OdeError, State};

/// Standard acceleration of free fall, m/s2 (3rd CGPM, 1901, exact).
pub const GRAVITY_M_S2: f64 = 9.80665;

/// Position, attitude quaternion (w x y z), velocity, rate.
pub const STATE_SIZE: usize = 13;

/// Why a plane cannot be flown. A plane that flies badly is not an error.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum FlightError {
    /// Mass or inertia is not that of a thing.
    #[error("the plane cannot be flown: its mass ({mass_kg} kg) or its inertia is not positive")]
    NotMassive {
        /// The mass given.
        mass_kg: f64,
    },
    /// A number of the throw is missing or beyond what a hand does.
    #[error("the throw cannot be made: {what} is {value} (must lie from {least} to {most})")]
    Throw {
        /// Which number.
        what: &'static str,
        /// What it is.
        value: f64,
        /// Least allowed.
        least: f64,
        /// Most allowed.
        most: f64,
    },
    /// Whoever asked waits no longer.
    #[error("nobody waits for this answer")]
    Unwanted,
    /// A map of throws finer than anyone can look at.
    #[error("the map has {cells} throws (at most {most})")]
    MapTooLarge {
        /// How many were asked for.
        cells: usize,
        /// Most allowed.
        most: usize,
    },
    /// Loads that do work in air at rest.
    #[error(
        "this plane cannot be judged: in the model it gains energy from still air, which no plane \
         does"
    )]
    GainsEnergy,
    /// Most of the flights behind a verdict could not be followed.
    #[error(
        "this plane cannot be judged: of its flights, each with folds and throw a little \
         different, {:.0} % could not be followed, or met the floor, a wall or the ceiling before they \
         showed what they are", 100.0 * share
    )]
    NotFollowed {
        /// Share of them.
        share: f64,
    },
    /// The equations of motion could not be followed.
    #[error(transparent)]
    Motion(#[from] OdeError),
}

impl<A: AirLoads + ?Sized> AirLoads for &A {
    fn loads(&self, velocity: &Vector3<f64>, rate: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        (**self).loads(velocity, rate)
    }
    fn added_mass(&self) -> Matrix6<f64> {
        (**self).added_mass()
    }
}

/// Where a plane is and how it moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Motion {
    /// Centre of gravity in the room frame, m.
    pub position: Vector3<f64>,
    /// Turns body vectors into room vectors.
    pub attitude: UnitQuaternion<f64>,
    /// Velocity in the body frame, m/s.
    pub velocity: Vector3<f64>,
    /// Angular rate in the body frame, rad/s.
    pub rate: Vector3<f64>,
}

impl Motion {
    /// As a state vector.
    pub fn to_state(&self) -> State<STATE_SIZE> {
        let (p, q, v, w) = (self.position, self.attitude.coords, self.velocity, self.rate);
        SVector::from([p.x, p.y, p.z, q.w, q.x, q.y, q.z, v.x, v.y, v.z, w.x, w.y, w.z])
    }
    /// From a state vector; the quaternion is brought back to unit length.
    pub fn from_state(s: &State<STATE_SIZE>) -> Self {
        Self {
            position: Vector3::new(s[0], s[1], s[2]),
            attitude: Unit::new_normalize(Quaternion::new(s[3], s[4], s[5], s[6])),
            velocity: Vector3::new(s[7], s[8], s[9]),
            rate: Vector3::new(s[10], s[11], s[12]),
        }
    }
    /// Velocity in the room frame, m/s.
    pub fn room_velocity(&self) -> Vector3<f64> {
        self.attitude * self.velocity
    }
    /// Bank (right wing down), pitch (nose up) and heading (to the right of the hall's length),
    /// rad, in the order of flight dynamics: heading, then pitch, then bank.
    pub fn bank_pitch_heading(&self) -> (f64, f64, f64) {
        (level().inverse() * self.attitude).euler_angles()
    }
}

/// Level flight down the hall: half a turn about x takes z down to z up.
fn level() -> UnitQuaternion<f64> {
    UnitQuaternion::from_quaternion(Quaternion::new(0.0, 1.0, 0.0, 0.0))
}

/// Attitude with a bank (right wing down), pitch (nose up) and heading (to the right), rad.
pub fn attitude(bank_rad: f64, pitch_rad: f64, heading_rad: f64) -> UnitQuaternion<f64> {
    level() * UnitQuaternion::from_euler_angles(bank_rad, pitch_rad, heading_rad)
}

/// Load on a body in steady motion through ideal fluid from its added mass alone: minus `w x p` and
/// minus `w x h + v x p`, with (p, h) = A (v, w) (Lamb, *Hydrodynamics*, 1932, art. 124).
pub fn kirchhoff_loads(
    added_mass: &Matrix6<f64>,
    velocity: &Vector3<f64>,
    rate: &Vector3<f64>,
) -> (Vector3<f64>, Vector3<f64>) {
    let momentum = added_mass * stack(velocity, rate);
    let (p, h) = unstack(&momentum);
    (-rate.cross(&p), -(rate.cross(&h) + velocity.cross(&p)))
}

fn stack(a: &Vector3<f64>, b: &Vector3<f64>) -> Vector6<f64> {
    Vector6::new(a.x, a.y, a.z, b.x, b.y, b.z)
}

fn unstack(v: &Vector6<f64>) -> (Vector3<f64>, Vector3<f64>) {
    (Vector3::new(v[0], v[1], v[2]), Vector3::new(v[3], v[4], v[5]))
}

/// A rigid plane with its air loads.
#[derive(Clone, Debug)]
pub struct Body<A> {
    mass_kg: f64,
    inertia_kg_m2: Matrix3<f64>,
    air: A,
    added_mass: Matrix6<f64>,
    mass_inverse: Matrix6<f64>,
}

impl<A: AirLoads> Body<A> {
    /// A plane of a mass and an inertia about its centre of gravity (body axes).
    ///
    /// # Errors
    /// [`FlightError::NotMassive`] when the mass, or the inertia with the added mass, is not
    /// positive.
    pub fn new(mass_kg: f64, inertia_kg_m2: Matrix3<f64>, air: A) -> Result<Self, FlightError> {
        let bad = FlightError::NotMassive { mass_kg };
        let added_mass = air.added_mass();
        let mut total = added_mass;
        for i in 0..3 {
            total[(i, i)] += mass_kg;
            for j in 0..3 {
                total[(i + 3, j + 3)] += inertia_kg_m2[(i, j)];
            }
        }
        let positive = mass_kg > 0.0
            && inertia_kg_m2.iter().chain(total.iter()).all(|x| x.is_finite())
            && ((total + total.transpose()) / 2.0).cholesky().is_some();
        if !positive {
            return Err(bad);
        }
        let mass_inverse = total.try_inverse().ok_or(bad)?;
        Ok(Self { mass_kg, inertia_kg_m2, air, added_mass, mass_inverse })
    }

    /// Mass, kg.
    pub fn mass_kg(&self) -> f64 {
        self.mass_kg
    }
    /// Weight, N.
    pub fn weight_n(&self) -> f64 {
        self.mass_kg * GRAVITY_M_S2
    }
    /// Inertia about the centre of gravity, kg m2.
    pub fn inertia_kg_m2(&self) -> &Matrix3<f64> {
        &self.inertia_kg_m2
    }
    /// The air loads.
    pub fn air(&self) -> &A {
        &self.air
    }

    /// Acceleration (body axes: dv/dt and dw/dt, m/s2 and rad/s2) where `down` is the pull of
    /// gravity in the body frame, in multiples of the standard one.
    pub fn acceleration(
        &self,
        velocity: &Vector3<f64>,
        rate: &Vector3<f64>,
        down: &Vector3<f64>,
    ) -> Vector6<f64> {
        let (force, moment) = self.air.loads(velocity, rate);
        let linear = force + (down * GRAVITY_M_S2 - rate.cross(velocity)) * self.mass_kg;
        let angular = moment - rate.cross(&(self.inertia_kg_m2 * rate));
        self.mass_inverse * stack(&linear, &angular)
    }

    /// Time derivative of a state in air at rest.
    pub fn derivative(&self, s: &State<STATE_SIZE>) -> State<STATE_SIZE> {
        self.derivative_with(s, &-Vector3::z())
    }

    /// The same where gravity pulls otherwise: `down` in the room frame, in multiples of the standard
    /// one. The attitude's quaternion is used at unit length, so its slow drift in length during a
    /// run has no effect.
    pub fn derivative_with(&self, s: &State<STATE_SIZE>, down: &Vector3<f64>) -> State<STATE_SIZE> {
        let m = Motion::from_state(s);
        let down = m.attitude.inverse_transform_vector(down);
        let a = self.acceleration(&m.velocity, &m.rate, &down);
        let v = m.room_velocity();
        let spin = Quaternion::new(0.0, m.rate.x, m.rate.y, m.rate.z);
        let q = Quaternion::new(s[3], s[4], s[5], s[6]) * spin * 0.5;
        SVector::from([v.x, v.y, v.z, q.w, q.i, q.j, q.k, a[0], a[1], a[2], a[3], a[4], a[5]])
    }

    /// Energy of the plane and the air it carries along, J, above the floor.
    pub fn energy_j(&self, m: &Motion) -> f64 {
        let carried = stack(&m.velocity, &m.rate);
        self.mass_kg * m.velocity.norm_squared() / 2.0
            + m.rate.dot(&(self.inertia_kg_m2 * m.rate)) / 2.0
            + carried.dot(&(self.added_mass * carried)) / 2.0
            + self.weight_n() * m.position.z
    }
}

#[cfg(test)]
mod tests;
