//! Checks of the statistics against numbers from outside.
#![allow(clippy::disallowed_types, clippy::disallowed_methods, reason = "tests read files")]

mod nist;
mod published;
