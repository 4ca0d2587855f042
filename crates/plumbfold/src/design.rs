//! The design text (`.plane`): reads like the instructions a folder would say aloud.

pub mod ast;
pub mod diagnostic;
pub mod eval;
pub mod lexer;
pub mod limits;
pub mod parser;
pub mod quantity;

#[cfg(test)]
mod testing;
