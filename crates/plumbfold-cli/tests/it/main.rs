//! Tests of the real program, each in a directory of its own.

mod aim;
mod bad_input;
mod compare;
mod contract;
mod env;
mod errors;
mod files;
mod flat;
mod help;
mod notebook;
mod print;
mod schema;
mod series;
mod tolerance;
mod trace;
mod words;
