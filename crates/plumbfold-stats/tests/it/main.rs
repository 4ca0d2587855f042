//! Checks of the statistics against numbers from outside.

mod nist;
mod published;
