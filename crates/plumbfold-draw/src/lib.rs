//! Pictures of what `plumbfold` computed, as SVG text. Pure: no files, no clock, no fonts of the
//! system; same input, same text.
//!
//! Modules in the order the data flows. One user unit is one millimetre on the printed picture. A picture is a function from computed
//! data and a [`style::Look`] to a string.

pub mod units;
pub mod shape;
pub mod style;
pub mod text;
pub mod svg;
pub mod arrows;
pub mod fit;
pub mod cells;
pub mod frame;
pub mod behaviour;
pub mod explain;
pub mod paper;
pub mod space;
pub mod multiples;
pub mod pose;
pub mod split;
pub mod steps;
pub mod run;
pub mod labels;
pub mod chart;
pub mod bands;
pub mod compare;
pub mod deviation;
pub mod change;
pub mod curves;
pub mod envelope;
pub mod fault;
pub mod folded;
pub mod lineup;
pub mod path;
pub mod photo;
pub mod series;
pub mod grid;
pub mod sheet;
pub mod throws;
pub mod filmed;

pub use text::{FONT_FAMILY, FONTS};
