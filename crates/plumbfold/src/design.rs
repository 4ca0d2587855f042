//! The design text (`.plane`): reads like the instructions a folder would say aloud.

pub mod ast;
pub mod diagnostic;
