//! Pictures read back by someone else's reader.

mod paper;
mod support;
