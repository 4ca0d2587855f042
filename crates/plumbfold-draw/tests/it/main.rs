//! Pictures read back by someone else's reader.

mod paper;
mod pictures;
mod real;
mod samples;
mod support;
