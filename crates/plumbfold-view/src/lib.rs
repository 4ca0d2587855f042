//! What is said of a plane, as typed values: numbers, verdict, remedies, controls, folds by hand.
//!
//! The terminal report prints these values, `--json` carries them, and the page's server sends
//! them. Nothing here reads a file, a clock or a socket; the units are those people use (mm, g,
//! degrees, m/s), the right side is positive, and the names of the fields are the keys of the
//! JSON, promised and documented by [`contract`].

pub mod air;
pub mod balance;
pub mod behaviour;
pub mod best;
pub mod change;
pub mod contract;
pub mod controls;
pub mod flight;
pub mod fold;
pub mod fold_by_hand;
pub mod many;
pub mod mend;
pub mod mistake;
pub mod numbers;
pub mod outline;
pub mod page;
pub mod picture;
pub mod place;
pub mod serving;
pub mod tolerance;
