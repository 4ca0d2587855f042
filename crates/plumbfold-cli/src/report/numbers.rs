//! The numbers by which planes are compared, under one set of names for JSON and CSV.

use std::borrow::Cow;

use plumbfold::study::summary::{Folds, Steady, Summary, Usual};
use serde::ser::{Serialize, SerializeMap, Serializer};

/// One number or word; nothing where a plane has none.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A measured number.
    Number(f64),
    /// A count.
    Count(usize),
    /// A word.
    Word(String),
    /// Not known of this plane.
    Nothing,
}

/// Name, and the number of a plane.
type Column = (&'static str, fn(&Summary) -> Cell);

fn folds(s: &Summary, of: impl Fn(&Folds) -> Cell) -> Cell {
    s.folded.as_ref().map_or(Cell::Nothing, of)
}

fn glide(s: &Summary, of: impl Fn(&Steady) -> f64) -> Cell {
    s.glide.as_ref().map_or(Cell::Nothing, |g| Cell::Number(of(g)))
}

/// A promise to other programs, names and units.
const COLUMNS: [Column; 27] = [
    ("sheet_width_mm", |s| folds(s, |f| Cell::Number(f.sheet_m[0] * 1e3))),
    ("sheet_length_mm", |s| folds(s, |f| Cell::Number(f.sheet_m[1] * 1e3))),
    ("span_mm", |s| Cell::Number(s.span_m * 1e3)),
    ("length_mm", |s| Cell::Number(s.length_m * 1e3)),
    ("area_mm2", |s| Cell::Number(s.area_m2 * 1e6)),
    ("aspect_ratio", |s| Cell::Number(s.aspect_ratio)),
    ("mass_g", |s| Cell::Number(s.mass_kg * 1e3)),
    ("wing_loading_n_m2", |s| Cell::Number(s.wing_loading_n_m2)),
    ("cg_behind_nose_mm", |s| Cell::Number(s.behind_nose_m * 1e3)),
    ("area_ahead_fraction", |s| Cell::Number(s.area_ahead_fraction)),
    ("cg_mac_fraction", |s| Cell::Number(s.cg_mac_fraction)),
    ("neutral_point_behind_nose_mm", |s| Cell::Number(s.neutral_behind_nose_m * 1e3)),
    ("neutral_point_mac_fraction", |s| Cell::Number(s.neutral_mac_fraction)),
    ("static_margin_mac_fraction", |s| Cell::Number(s.static_margin)),
    ("trim_speed_mps", |s| glide(s, |g| g.speed_m_s)),
    ("sink_mps", |s| glide(s, |g| g.sink_m_s)),
    ("lift_to_drag", |s| glide(s, |g| g.lift_to_drag)),
    ("throw_speed_mps", |s| Cell::Number(s.throw_speed_m_s)),
    ("distance_m", |s| Cell::Number(s.distance_m)),
    ("time_aloft_s", |s| Cell::Number(s.time_aloft_s)),
    ("steps", |s| folds(s, |f| Cell::Count(f.steps))),
    ("layers_max", |s| folds(s, |f| Cell::Count(f.layers_max))),
    ("layers_at_crease_max", |s| folds(s, |f| Cell::Count(f.crease_layers_max))),
    ("area_ahead_is", |s| Cell::Word(Usual::of(s.area_ahead_fraction).code().to_owned())),
    ("behaviour", |s| Cell::Word(s.behaviour.code().to_owned())),
    ("probability", |s| Cell::Number(s.probability)),
    ("glide_probability", |s| Cell::Number(s.glide_probability)),
];

/// A plane's numbers as a JSON object. Write it flat beside other keys.
pub struct Numbers<'a>(pub &'a Summary);

impl Serialize for Numbers<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(COLUMNS.len()))?;
        for (name, of) in COLUMNS {
            match of(self.0) {
                Cell::Number(v) => map.serialize_entry(name, &v)?,
                Cell::Count(v) => map.serialize_entry(name, &v)?,
                Cell::Word(v) => map.serialize_entry(name, &v)?,
                Cell::Nothing => map.serialize_entry(name, &None::<f64>)?,
            }
        }
        map.end()
    }
}

/// Rows for a spreadsheet (RFC 4180, 2005): the columns given, the numbers of each plane, and at
/// the end why there are none.
pub struct Csv(String);

impl Csv {
    /// With the names of all columns.
    pub fn new(first: &[String]) -> Self {
        let names = first.iter().map(String::as_str).chain(COLUMNS.iter().map(|c| c.0));
        let mut csv = Self(String::new());
        csv.line(names.chain(["error"]).map(|n| Cell::Word(n.to_owned())));
        csv
    }

    /// One plane, or why it is none.
    pub fn row(&mut self, first: Vec<Cell>, plane: Result<&Summary, &str>) {
        let numbers = COLUMNS.iter().map(|c| plane.map_or(Cell::Nothing, c.1));
        let error = plane.err().map_or(Cell::Nothing, |e| Cell::Word(e.to_owned()));
        let cells: Vec<Cell> = first.into_iter().chain(numbers).chain([error]).collect();
        self.line(cells.into_iter());
    }

    /// The text.
    pub fn finish(self) -> String {
        self.0
    }

    fn line(&mut self, cells: impl Iterator<Item = Cell>) {
        let cells: Vec<String> = cells.map(|c| quoted(&plain(&c)).into_owned()).collect();
        self.0 += &cells.join(",");
        self.0 += "\r\n";
    }
}

/// A cell without a unit and without digits that say nothing.
fn plain(cell: &Cell) -> String {
    match cell {
        Cell::Number(v) => {
            let digits = format!("{v:.6}");
            let digits = digits.trim_end_matches('0').trim_end_matches('.');
            if digits == "-0" { "0".to_owned() } else { digits.to_owned() }
        }
        Cell::Count(v) => v.to_string(),
        Cell::Word(v) => v.clone(),
        Cell::Nothing => String::new(),
    }
}

fn quoted(text: &str) -> Cow<'_, str> {
    if text.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\"")).into()
    } else {
        text.into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_quotes_and_lines_are_kept_in_their_cell() {
        let mut csv = Csv::new(&["file".to_owned()]);
        csv.row(vec![Cell::Word("a, \"b\"\nc".to_owned())], Err("no, never"));
        let text = csv.finish();
        let row = text.split_once("\r\n").expect("a heading").1;
        assert!(row.starts_with("\"a, \"\"b\"\"\nc\",,"), "{row}");
        assert!(row.ends_with(",\"no, never\"\r\n"), "{row}");
    }

    #[test]
    fn numbers_are_plain() {
        let say = |v| plain(&Cell::Number(v));
        assert_eq!([say(12.0), say(-1e-9), say(0.123_456_78)], ["12", "0", "0.123457"]);
    }
}
