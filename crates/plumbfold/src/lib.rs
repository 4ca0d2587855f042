//! Folded-paper gliders: design text in, balance, flight and findings out.
//!
//! Modules in the order the data flows. A module uses only those above it.
//! Nothing here does I/O, reads a clock, an environment or a random source.

pub mod aero;
pub mod airframe;
pub mod design;
pub mod flight;
pub mod fold;
pub mod geom;
pub mod mass;
pub mod paper;
pub mod planform;
pub mod units;
pub mod validation;
