//! The notebook as files: JSON and CSV that give back every record exactly, and spreadsheets of
//! others by the names of their columns.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::credible::sound;
use crate::record::{
    Balance, Calibration, Cell, Copy, Entry, Kept, Kind, Look, Path, Photo, Record, Session, Throw,
    Undo, Version,
};

/// Number of this form of file.
pub const FORM: u32 = 1;

macro_rules! book {
    ($($(#[$doc:meta])* $list:ident: $kind:ident,)*) => {
        /// A notebook, every record of it.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        #[serde(default)]
        pub struct Book {
            /// Number of this form of file.
            pub notebook: u32,
            /// Ids of all records in the order they were written.
            pub order: Vec<String>,
            $($(#[$doc])* pub $list: Vec<Kept<$kind>>,)*
        }

        impl Book {
            /// Of records.
            pub fn new(entries: &[Entry]) -> Self {
                let order = entries.iter().map(|e| e.id.clone()).collect();
                let mut book = Self { notebook: FORM, order, ..Self::default() };
                for e in entries {
                    $(if let Some(kept) = Kept::<$kind>::of(e) { book.$list.push(kept); })*
                }
                book
            }

            /// The records in the order they were written; by their times where that is not said.
            pub fn into_entries(self) -> Vec<Entry> {
                let places = self.order.into_iter().enumerate().map(|(k, id)| (id, k));
                let places: BTreeMap<String, usize> = places.collect();
                let mut entries: Vec<Entry> = Vec::new();
                $(entries.extend(self.$list.into_iter().map(Entry::from));)*
                let place = |e: &Entry| places.get(&e.id).copied().unwrap_or(usize::MAX);
                entries.sort_by(|a, b| (place(a), &a.at).cmp(&(place(b), &b.at)));
                entries
            }
        }
    };
}

book! {
    /// Versions of planes.
    versions: Version,
    /// Folded copies.
    copies: Copy,
    /// Balance measurements.
    balances: Balance,
    /// Sessions.
    sessions: Session,
    /// Throws.
    throws: Throw,
    /// Filmed paths.
    paths: Path,
    /// Photos.
    photos: Photo,
    /// Calibrations.
    calibrations: Calibration,
    /// Looks at whether a change was real.
    looks: Look,
    /// What was taken back.
    undone: Undo,
}

/// Why a file was not taken.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ExchangeError {
    /// It cannot be read at all.
    #[error("{0}")]
    Unreadable(String),
    /// A row of it.
    #[error("line {line}: {problem}")]
    Row {
        /// Line, from 1.
        line: u64,
        /// What is wrong with it.
        problem: String,
    },
    /// A column that was asked for.
    #[error("there is no column `{asked}`; the columns are {}", there.iter().map(|c| format!("`{c}`")).collect::<Vec<_>>().join(" "))]
    NoColumn {
        /// Asked for.
        asked: String,
        /// What there is.
        there: Vec<String>,
    },
}

/// Every record as JSON.
pub fn to_json(entries: &[Entry]) -> String {
    let text = serde_json::to_string_pretty(&Book::new(entries));
    text.expect("numbers and texts can always be written") + "\n"
}

/// Records from JSON.
///
/// # Errors
/// No notebook, one of a newer form, or a record that cannot be.
pub fn from_json(text: &str) -> Result<Vec<Entry>, ExchangeError> {
    let unreadable = |what: String| ExchangeError::Unreadable(what);
    if !text.trim_start().starts_with('{') {
        return Err(unreadable("this JSON is no notebook: it is no object".into()));
    }
    let book: Book = serde_json::from_str(text)
        .map_err(|e| unreadable(format!("this JSON is no notebook: {e}")))?;
    match book.notebook {
        FORM => {}
        0 => return Err(unreadable("this JSON is no notebook: it has no `notebook` key".into())),
        newer => {
            let what = format!(
                "this is a notebook of form {newer}, and this program knows forms up to {FORM}: \
                 use a newer plumbfold"
            );
            return Err(unreadable(what));
        }
    }
    let sound_or_told = |e: Entry| {
        let id = e.id.clone();
        let checked = check(e.record).and_then(|record| sound(Entry { record, ..e }));
        checked.map_err(|p| unreadable(format!("record {id}: {p}")))
    };
    book.into_entries().into_iter().map(sound_or_told).collect()
}

/// A record as it would come back from a table: texts that say nothing are none.
///
/// # Errors
/// A field that is missing.
pub fn check(record: Record) -> Result<Record, String> {
    let cells = record.cells().into_iter().map(|cell| match cell {
        Cell::Text(text) if text.is_empty() => Cell::Empty,
        known => known,
    });
    Record::from_cells(record.kind(), cells.collect())
}

/// Columns that every record has.
const HEAD: [&str; 4] = ["kind", "id", "at", "replaces"];

/// A column of records side by side.
pub struct Column<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its cells are numbers, or empty.
    pub numeric: bool,
    /// What each record has of it.
    pub cells: Vec<Cell>,
}

/// The fields of some kinds side by side, each record with those it has.
pub fn columns(entries: &[Entry], kinds: impl IntoIterator<Item = Kind>) -> Vec<Column<'static>> {
    let mut columns: Vec<Column<'static>> = Vec::new();
    let named = |name, of: &dyn Fn(&Entry) -> Cell| Column {
        name,
        numeric: false,
        cells: entries.iter().map(of).collect(),
    };
    let text = |t: &str| Cell::Text(t.to_owned());
    let [kind, id, at, replaces] = HEAD;
    columns.push(named(kind, &|e| text(e.record.kind().word())));
    columns.push(named(id, &|e| text(&e.id)));
    columns.push(named(at, &|e| text(&e.at)));
    columns.push(named(replaces, &|e| e.replaces.as_deref().map_or(Cell::Empty, text)));
    for (&name, &numeric) in kinds.into_iter().flat_map(|k| k.fields().iter().zip(k.numeric())) {
        if !columns.iter().any(|c| c.name == name) {
            columns.push(Column { name, numeric, cells: vec![Cell::Empty; entries.len()] });
        }
    }
    for (row, e) in entries.iter().enumerate() {
        for (field, cell) in e.record.kind().fields().iter().zip(e.record.cells()) {
            if let Some(column) = columns.iter_mut().find(|c| c.name == *field) {
                column.cells[row] = cell;
            }
        }
    }
    columns
}

/// Records as one table (CSV, RFC 4180, 2005): [`columns`] of the kinds there are.
pub fn to_csv(entries: &[Entry]) -> String {
    let kinds: BTreeSet<Kind> = entries.iter().map(|e| e.record.kind()).collect();
    let columns = columns(entries, kinds);
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory cannot fail, and every row has as many cells as the first.
    let mut put = |cells: Vec<String>| writer.write_record(cells).expect("rows of one length");
    put(columns.iter().map(|c| c.name.to_owned()).collect());
    for row in 0..entries.len() {
        let cell = |c: &Column<'_>| match &c.cells[row] {
            Cell::Number(n) => n.to_string(),
            Cell::Text(text) => text.clone(),
            Cell::Empty => String::new(),
        };
        put(columns.iter().map(cell).collect());
    }
    let bytes = writer.into_inner().expect("memory takes all");
    String::from_utf8(bytes).expect("texts in, text out")
}

/// A table of somebody's, its heading apart.
pub struct Table {
    /// Names of the columns.
    pub heading: Vec<String>,
    /// Rows with their lines in the file.
    pub rows: Vec<(u64, Vec<String>)>,
    /// Numbers have a comma for the point.
    pub decimal_comma: bool,
}

/// Most rows taken from a file.
pub const ROWS_MAX: usize = 1_000_000;

impl Table {
    /// Reads CSV with commas, semicolons or tabs between its cells.
    ///
    /// # Errors
    /// No heading, rows of other lengths, too many rows.
    pub fn read(text: &str) -> Result<Self, ExchangeError> {
        let text = text.trim_start_matches('\u{feff}');
        let first = text.lines().next().unwrap_or_default();
        let count = |c: char| first.matches(c).count();
        let delimiter = [';', '\t', ','].into_iter().max_by_key(|&c| count(c)).unwrap_or(',') as u8;
        let mut reader = csv::ReaderBuilder::new()
            .delimiter(delimiter)
            .has_headers(false)
            .from_reader(text.as_bytes());
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|e| unlike(&e))?;
            let line = record.position().map_or(0, csv::Position::line);
            rows.push((line, record.iter().map(str::to_owned).collect::<Vec<String>>()));
            if rows.len() > ROWS_MAX {
                let problem = format!("more than {ROWS_MAX} rows");
                return Err(ExchangeError::Row { line, problem });
            }
        }
        if rows.is_empty() {
            return Err(ExchangeError::Unreadable("the file is empty".into()));
        }
        // An open quote takes all that follows into one cell.
        if let Some((line, row)) = rows.last()
            && row.last().is_some_and(|cell| cell.contains('\n'))
            && !text.matches('"').count().is_multiple_of(2)
        {
            let problem = "a quote opens and is never closed".to_owned();
            return Err(ExchangeError::Row { line: *line, problem });
        }
        let (_, heading) = rows.remove(0);
        Ok(Self { heading, rows, decimal_comma: delimiter != b',' })
    }

    /// Whether it is a notebook of ours written as a table.
    pub fn is_notebook(&self) -> bool {
        HEAD.iter().all(|h| self.heading.iter().any(|c| c == h))
    }

    /// Place of a column by its name, whatever the case.
    ///
    /// # Errors
    /// There is none.
    pub fn column(&self, asked: &str) -> Result<usize, ExchangeError> {
        let same = |c: &String| c.trim().to_lowercase() == asked.trim().to_lowercase();
        self.heading.iter().position(same).ok_or_else(|| ExchangeError::NoColumn {
            asked: asked.to_owned(),
            there: self.heading.clone(),
        })
    }

    /// The records of a notebook written by [`to_csv`].
    ///
    /// # Errors
    /// The first row that is no record.
    pub fn entries(&self) -> Result<Vec<Entry>, ExchangeError> {
        let [kind, id, at, replaces] = HEAD.map(|h| self.column(h));
        let (kind, id, at, replaces) = (kind?, id?, at?, replaces?);
        let entry = |(line, row): &(u64, Vec<String>)| {
            let fault = |problem| ExchangeError::Row { line: *line, problem };
            let kind = Kind::of_word(&row[kind])
                .ok_or_else(|| fault(format!("`{}` is no kind of record", row[kind])))?;
            if row[id].is_empty() || row[at].is_empty() {
                return Err(fault("a record without id or time".into()));
            }
            let cells = kind.fields().iter().map(|field| {
                let cell = self.heading.iter().position(|c| c == field).map(|k| &row[k]);
                cell.filter(|c| !c.is_empty()).map_or(Cell::Empty, |c| Cell::Text(c.clone()))
            });
            let record = Record::from_cells(kind, cells.collect()).map_err(fault)?;
            let replaces = Some(row[replaces].clone()).filter(|r| !r.is_empty());
            let read = Entry { id: row[id].clone(), at: row[at].clone(), replaces, record };
            sound(read).map_err(fault)
        };
        self.rows.iter().map(entry).collect()
    }
}

fn unlike(e: &csv::Error) -> ExchangeError {
    let line = e.position().map_or(0, csv::Position::line);
    let problem = match e.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("{len} cells where the heading has {expected_len}")
        }
        other => format!("{other:?}"),
    };
    ExchangeError::Row { line, problem }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entries() -> Vec<Entry> {
        let throw = Throw {
            plane: "Scow, \"old\"\nrig".into(),
            distance_m: Some(0.1 + 0.2),
            time_s: Some(1.0 / 3.0),
            note: Some("12".into()),
            ..Throw::default()
        };
        let a = Entry::new("2026-11-01T10:00:00.000Z", None, throw.clone().into(), 0);
        let b = Entry::new("2026-11-01T10:00:00.001Z", Some(a.id.clone()), Undo {}.into(), 0);
        let session = Session { place: "boat hall".into(), ..Session::default() };
        // Written last though it is the oldest, as what is taken in from elsewhere may be.
        let c = Entry::new("2026-10-01T10:00:00.002Z", None, session.into(), 0);
        let same = |k| Entry::new("2026-11-02T10:00:00.000Z", None, throw.clone().into(), k);
        vec![a, b, c, same(2), same(0), same(1)]
    }

    #[test]
    fn json_and_csv_give_back_every_record_exactly() {
        let all = entries();
        assert_eq!(from_json(&to_json(&all)).unwrap(), all);
        let table = Table::read(&to_csv(&all)).unwrap();
        assert!(table.is_notebook());
        assert_eq!(table.entries().unwrap(), all);
    }

    #[test]
    fn what_no_hand_could_write_is_not_taken_in() {
        let all = entries();
        let (json, csv) = (to_json(&all), to_csv(&all));
        for (was, is) in [
            ("0.30000000000000004", "-5"),
            ("0.30000000000000004", "1e300"),
            ("2026-11-01T10:00:00.000Z", "yesterday"),
            ("2026-11-01T10:00:00.000Z", "9999-99-99T10:00:00.000Z"),
        ] {
            assert!(json.contains(was) && csv.contains(was), "{was}");
            assert!(from_json(&json.replace(was, is)).is_err(), "{is}");
            assert!(Table::read(&csv.replace(was, is)).unwrap().entries().is_err(), "{is}");
        }
    }

    #[test]
    fn files_that_are_no_notebook_are_refused_with_a_reason() {
        for (text, word) in [
            ("{}", "no `notebook` key"),
            ("[1]", "no notebook"),
            ("{\"notebook\": 9}", "newer plumbfold"),
            (
                "{\"notebook\":1,\"throws\":[{\"id\":\"a\",\"at\":\"b\",\"replaces\":null,\"plane\":\"\"}]}",
                "empty",
            ),
        ] {
            let e = from_json(text).unwrap_err().to_string();
            assert!(e.contains(word), "{text}: {e}");
        }
        let e = Table::read("a,b\n1\n").err().unwrap();
        assert_eq!(
            e,
            ExchangeError::Row { line: 2, problem: "1 cells where the heading has 2".into() }
        );
        let bad = Table::read("kind,id,at,replaces\nstone,1,2,\n").unwrap();
        assert!(bad.entries().unwrap_err().to_string().contains("line 2: `stone`"));
    }

    #[test]
    fn spreadsheets_with_semicolons_and_tabs_are_read() {
        let table = Table::read("Weite [m];Zeit\n12,4;3,1\n").unwrap();
        assert_eq!(table.rows[0].1, ["12,4", "3,1"]);
        assert!(table.decimal_comma);
        assert_eq!(table.column("zeit").unwrap(), 1);
        assert!(table.column("Höhe").is_err());
    }
}
