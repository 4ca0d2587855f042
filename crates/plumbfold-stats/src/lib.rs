//! What was measured on real planes, and what it says: records of throws, balance and filmed
//! paths; whether a change was real or luck; and what the measurements make of the prediction.
//!
//! Nothing here reads a file, a clock or a random source of the system, so the program and a page
//! in the browser use the same code. Modules stand in the order the data flows.

pub mod record;
pub mod credible;
pub mod exchange;
pub mod parquet;
pub mod typed;
pub mod distribution;
pub mod sample;
pub mod compare;
pub mod results;
pub mod least_squares;
pub mod track;
pub mod fall;
pub mod calibration;
