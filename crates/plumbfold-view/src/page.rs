//! The answers to what the page asks; each takes a question and gives an answer, remembering
//! nothing.

pub mod analyse;
pub mod flight;
pub mod mend;
pub mod series;
