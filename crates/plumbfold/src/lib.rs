//! Folded-paper gliders: design text in, balance, flight and findings out.
//!
//! Modules in the order the data flows. A module uses only those above it.
//! Nothing here does I/O, reads a clock, an environment or a random source.
//!
//! ```
//! use plumbfold::{Conditions, Settings, ThrowChange, analyse};
//!
//! let text = "
//! plane Skiff
//! sheet A4 upright, 80 g/m2
//! let keel = 22 mm, from 15 mm to 40 mm
//! crease left edge onto right edge, call it centre
//! valley top left corner onto centre, hinged at top middle, both sides, call it shoulder
//! mountain along centre
//! valley near half parallel to centre, keel from it, both sides, call it wing
//! pose centre opens 8 deg, wing dihedral 8 deg
//! throw 5 m/s, level, from 1.6 m
//! ";
//! let plane = analyse(text, &Settings::default(), &ThrowChange::default(), &Conditions::default())?;
//! let balance_point_mm = plane.balanced.mass.behind_nose_m() * 1e3;
//! assert!(140.0 < balance_point_mm && balance_point_mm < 180.0, "{balance_point_mm} mm");
//! println!("{}: {}", plane.behaviour().code(), plane.verdict.finding.sentence);
//! # Ok::<(), plumbfold::Problems>(())
//! ```

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

pub use pipeline::{
    Analysed, Balanced, FoldOutcome, Problems, Settings, ThrowChange, analyse, balance, fold, read,
};
pub use verdict::aircraft::Conditions;
