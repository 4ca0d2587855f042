//! What is said of a plane, as typed values: numbers, verdict, controls, folds by hand.
//!
//! The terminal report prints these values, `--json` carries them, and the page's server sends
//! them. Nothing here reads a file, a clock or a socket; the units are those people use (mm, g,
//! degrees, m/s), and the names of the fields are the keys of the JSON.

pub mod air;
pub mod balance;
pub mod change;
pub mod controls;
pub mod flight;
pub mod fold;
pub mod fold_by_hand;
pub mod mistake;
pub mod page;
pub mod picture;
pub mod place;
