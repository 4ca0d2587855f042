//! How a plane moves through still air: steady glides, the modes about them, throws.
//!
//! **Room frame** (metres), right-handed: x down the hall, y to the left, z up from the floor.
//! Attitudes turn body vectors (x forward, y right, z down; see [`crate::plane::airframe`]) into room
//! vectors.

pub mod ode;
pub mod rigid;
pub mod wind;
pub mod throw;
pub mod envelope;
pub mod trim;
pub mod modes;
pub mod textbook;
pub mod validation;

#[cfg(test)]
pub(crate) mod plate;
