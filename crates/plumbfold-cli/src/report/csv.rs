//! Planes as rows for a spreadsheet, under the names their numbers have in JSON.

use std::borrow::Cow;

use plumbfold_view::numbers::Numbers;
use serde_json::Value;

/// Rows for a spreadsheet (RFC 4180, 2005): the columns given, the numbers of each plane, and at
/// the end why there are none.
pub struct Csv(String);

impl Csv {
    /// With the names of all columns.
    pub fn new(first: &[String]) -> Self {
        let names = first.iter().cloned().chain(Numbers::keys()).chain(["error".to_owned()]);
        let mut csv = Self(String::new());
        csv.line(names.map(Value::String));
        csv
    }

    /// One plane, or why it is none.
    pub fn row(&mut self, first: Vec<Value>, plane: Result<&Numbers, &str>) {
        let object = plane.ok().and_then(|n| serde_json::to_value(n).ok());
        let numbers = Numbers::keys()
            .into_iter()
            .map(|key| object.as_ref().and_then(|o| o.get(&key)).cloned().unwrap_or_default());
        let error = plane.err().map_or(Value::Null, Value::from);
        let cells: Vec<Value> = first.into_iter().chain(numbers).chain([error]).collect();
        self.line(cells.into_iter());
    }

    /// The text.
    pub fn finish(self) -> String {
        self.0
    }

    fn line(&mut self, cells: impl Iterator<Item = Value>) {
        let cells: Vec<String> = cells.map(|c| quoted(&plain(&c)).into_owned()).collect();
        self.0 += &cells.join(",");
        self.0 += "\r\n";
    }
}

/// A cell without a unit and without digits that say nothing.
fn plain(cell: &Value) -> String {
    match cell {
        Value::Number(v) if v.is_f64() => {
            let digits = format!("{:.6}", v.as_f64().unwrap_or_default());
            let digits = digits.trim_end_matches('0').trim_end_matches('.');
            if digits == "-0" { "0".to_owned() } else { digits.to_owned() }
        }
        Value::Null => String::new(),
        Value::String(v) => v.clone(),
        other => other.to_string(),
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
        csv.row(vec!["a, \"b\"\nc".into()], Err("no, never"));
        let text = csv.finish();
        let row = text.split_once("\r\n").expect("a heading").1;
        assert!(row.starts_with("\"a, \"\"b\"\"\nc\",,"), "{row}");
        assert!(row.ends_with(",\"no, never\"\r\n"), "{row}");
    }

    #[test]
    fn numbers_are_plain() {
        let say = |v: f64| plain(&v.into());
        assert_eq!([say(12.0), say(-1e-9), say(0.123_456_78)], ["12", "0", "0.123457"]);
    }
}
