//! The answers to what the page asks; each takes a question and gives an answer, remembering
//! nothing.

pub mod stage;
pub mod flight;
pub mod analyse;
pub mod mend;
pub mod why;
pub mod series;

use serde::{Deserialize, Serialize};

/// How much to compute.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Depth {
    /// While a slider moves: one flight.
    #[default]
    Quick,
    /// For a row of many: how sure, too.
    Counted,
    /// When it rests: why, too.
    Full,
}
