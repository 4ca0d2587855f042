//! Pictures of what `plumbfold` computed, as SVG text. Pure: no files, no clock, no fonts of the
//! system; same input, same text.
//!
//! One user unit is one millimetre on the printed picture. A picture is a function from computed
//! data and a [`style::Look`] to a string.

pub mod cells;
pub mod fit;
pub mod folded;
pub mod frame;
pub mod paper;
pub mod sheet;
pub mod style;
pub mod svg;
pub mod text;
