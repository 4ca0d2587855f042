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

pub mod numeric;
pub mod validation;
pub mod paper;
pub mod design;
pub mod fold;
pub mod plane;
pub mod air;
pub mod flight;
pub mod verdict;
pub mod pipeline;
pub mod study;
