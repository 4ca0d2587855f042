//! Pictures of what `plumbfold` computed, as SVG text. Pure: no files, no clock, no fonts of the
//! system; same input, same text.
//!
//! One user unit is one millimetre on the printed picture. A picture is a function from computed
//! data and a [`style::Look`] to a string.

pub mod arrows;
pub mod bands;
pub mod behaviour;
pub mod cells;
pub mod change;
pub mod chart;
pub mod compare;
pub mod curves;
pub mod envelope;
pub mod explain;
pub mod fault;
pub mod fit;
pub mod folded;
pub mod frame;
pub mod grid;
pub mod lineup;
pub mod multiples;
pub mod paper;
pub mod path;
pub mod pose;
pub mod run;
pub mod series;
pub mod sheet;
pub mod space;
pub mod split;
pub mod steps;
pub mod style;
pub mod svg;
pub mod text;

pub use text::{FONT_FAMILY, FONTS};
