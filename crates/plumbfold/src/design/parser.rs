//! Text to [`Design`](super::ast::Design). Parsing never fails: it returns what could be read and every mistake.
//! A mistake costs at most the line it stands on, and a misspelt word costs nothing: it is
//! reported, and read as the word that was meant.

mod assemble;
mod collapse;
mod cursor;
mod expression;
mod fold;
mod outline;
mod read_as;
mod reference;
mod statement;
mod trade;
mod words;

pub use assemble::parse;
pub(super) use assemble::{ParsedLine, parse_lines};
pub(super) use statement::Statement;

pub(super) use expression::{parse_expression, parse_setting_value};

#[cfg(test)]
pub(super) mod tests;
