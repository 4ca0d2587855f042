//! Pictures read back by someone else's reader.

mod paper;
mod pictures;
mod samples;
mod support;
