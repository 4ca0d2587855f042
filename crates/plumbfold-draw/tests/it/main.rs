//! Pictures read back by someone else's reader.
#![allow(clippy::disallowed_types, clippy::disallowed_methods, reason = "tests read files")]

mod nasty;
mod paper;
mod pictures;
mod real;
mod samples;
mod support;
