//! Pictures read back by someone else's reader.

mod nasty;
mod paper;
mod pictures;
mod real;
mod samples;
mod support;
