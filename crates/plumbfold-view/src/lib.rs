//! What is said of a plane, as typed values: numbers, verdict, remedies, controls, folds by hand.
//!
//! The terminal report prints these values, `--json` carries them, and the page's server sends
//! them. Nothing here reads a file, a clock or a socket; the units are those people use (mm, g,
//! degrees, m/s), the right side is positive, and the names of the fields are the keys of the
//! JSON, promised and documented by [`contract`]. Modules stand in the order the data flows.

pub mod said;
pub mod air;
pub mod balance;
pub mod behaviour;
pub mod controls;
pub mod change;
pub mod stability;
pub mod flight;
pub mod sentences;
pub mod fold_by_hand;
pub mod numbers;
pub mod best;
pub mod mend;
pub mod why;
pub mod outline;
pub mod balance_point;
pub mod trace;
pub mod differ;
pub mod picture;
pub mod place;
pub mod fold;
pub mod mistake;
pub mod many;
pub mod page;
pub mod serving;
pub mod tolerance;
pub mod log;
pub mod results;
pub mod settle;
pub mod filmed;
pub mod calibrated;
pub mod contract;
