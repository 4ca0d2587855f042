//! Folded-paper gliders: design text in, balance, flight and findings out.
//!
//! Modules in the order the data flows. A module uses only those above it.
//! Nothing here does I/O, reads a clock, an environment or a random source.

#![cfg_attr(
    test,
    allow(
        clippy::disallowed_types,
        clippy::disallowed_methods,
        reason = "tests read files and clocks"
    )
)]

pub mod units;
pub mod geom;
pub mod validation;
pub mod search;
pub mod sensitivity;
pub mod paper;
pub mod design;
pub mod fold;
pub mod airframe;
pub mod outline;
pub mod pose;
pub mod rig;
pub mod mass;
pub mod planform;
pub mod air;
pub mod aero;
pub mod flight;
pub mod verdict;
pub mod analysis;
pub mod pipeline;
pub mod summary;
pub mod series;
pub mod remedy;
pub mod tolerance;
pub mod best;
pub mod blind;
