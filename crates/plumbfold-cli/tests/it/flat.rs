//! A plane whose balance is arithmetic.

use serde_json::Value;

/// All four corners of a sheet of known size lie flat. With a band b folded down from the top of
/// 100 mm, in mm: the rest of the sheet has its middle at (100 - b) / 2, the band at b / 2.
pub const FLAT: &str = "\
plane Flat
sheet 200 mm by 100 mm, 100 g/m2
let band = 10 mm, from 5 mm to 40 mm   # rolled in front
let bend = 1 mm, from 0 mm to 3 mm     # trailing edges bent up
creep off
valley parallel to top edge, band from it, moving top edge, call it front
pose flat
trim elevator up bend, 10 mm deep
throw 3 m/s, level, from 1.5 m
";

/// Its balance point behind the nose for a width of the band, mm.
pub fn balance_mm(band: f64) -> f64 {
    ((100.0 - band) * (100.0 - band) / 2.0 + band * band / 2.0) / 100.0
}

/// A number of an answer.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}
