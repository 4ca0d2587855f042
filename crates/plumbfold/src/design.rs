//! The design text (`.plane`): reads like the instructions a folder would say aloud.

pub mod ast;
pub mod begin;
pub mod defaults;
pub mod diagnostic;
pub mod dial;
pub mod edit;
pub mod eval;
pub mod lexer;
pub mod limits;
pub mod parser;
pub mod print;
pub mod quantity;

#[cfg(test)]
pub(crate) mod arbitrary;
#[cfg(test)]
pub(crate) mod testing;
