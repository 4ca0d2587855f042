//! What the notebook holds, record by record: the answers of `log`.

use plumbfold_stats::record::{Cell, Entry, Kind};
use plumbfold_stats::results::Shelf;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};

use crate::said::fixed;

/// What was written.
#[derive(Serialize, JsonSchema)]
pub struct Logged {
    /// The notebook's file.
    pub notebook: String,
    /// Records written, in order.
    pub written: Vec<Noted>,
}

/// The answer of `log list`.
#[derive(Serialize, JsonSchema)]
pub struct Listed {
    /// The notebook's file.
    pub notebook: String,
    /// Records that hold, the oldest first.
    pub records: Vec<Noted>,
    /// Records that hold and are not in the list, because it was cut.
    pub older: usize,
}

/// The answer of `log show`.
#[derive(Serialize, JsonSchema)]
pub struct Shown {
    /// The record.
    pub record: Noted,
    /// It holds: nothing that holds replaces it.
    pub holds: bool,
    /// Records that replaced it or were replaced by it, the oldest first.
    pub history: Vec<Noted>,
    /// Photos of it.
    pub photos: Vec<Noted>,
}

/// The answer of `log import`, `log backup` and `log restore`.
#[derive(Serialize, JsonSchema)]
pub struct Taken {
    /// The file read or written.
    pub file: String,
    /// Records that were new.
    pub new: usize,
    /// Records that were there already.
    pub known: usize,
    /// Columns of a spreadsheet that hold something and were left out.
    pub left_out: Vec<String>,
}

/// The answer of `log next`: what to throw, in this order.
#[derive(Serialize, JsonSchema)]
pub struct Sheet {
    /// Why these throws and this order.
    pub said: String,
    /// Seed of the order.
    pub seed: u64,
    /// The throws.
    pub throws: Vec<ToThrow>,
}

/// A throw to make.
#[derive(Serialize, JsonSchema)]
pub struct ToThrow {
    /// Number, from 1.
    pub number: usize,
    /// Plane and version.
    pub plane: String,
}

/// A record as it is told.
#[derive(Clone, Serialize, JsonSchema)]
pub struct Noted {
    /// Its id; the first digits are enough on the command line.
    pub id: String,
    /// When it was written, UTC.
    pub at: String,
    /// Kind: `version`, `copy`, `balance`, `session`, `throw`, `path`, `photo`, `calibration`,
    /// `look` or `undo`.
    pub kind: &'static str,
    /// The record it replaces; null for none.
    pub replaces: Option<String>,
    /// Its fields by name, those that are known; see the keys of `log export`.
    #[schemars(with = "std::collections::BTreeMap<String, Value>")]
    pub fields: Map<String, Value>,
    /// All that in a line.
    pub said: String,
}

/// Digits of an id that are shown.
pub const ID_SHOWN: usize = 8;

/// The first digits of an id.
pub fn short(id: &str) -> &str {
    id.get(..ID_SHOWN).unwrap_or(id)
}

impl Noted {
    /// Of a record; the notebook's shelf knows the number of the version it names.
    pub fn new(entry: &Entry, shelf: &Shelf) -> Self {
        let kind = entry.record.kind();
        let known = kind.fields().iter().zip(entry.record.cells());
        let fields = known.filter_map(|(name, cell)| {
            let value = match cell {
                Cell::Empty => return None,
                Cell::Number(n) => Value::from(n),
                Cell::Text(text) => Value::from(text),
            };
            Some(((*name).to_owned(), value))
        });
        let fields: Map<String, Value> = fields.collect();
        let of = |key| fields.get(key).and_then(Value::as_str);
        let number = of("plane").zip(of("version")).and_then(|(p, v)| shelf.number(p, v));
        let said = said(kind, &fields, number, entry.replaces.as_deref());
        Self {
            id: entry.id.clone(),
            at: entry.at.clone(),
            kind: kind.word(),
            replaces: entry.replaces.clone(),
            fields,
            said,
        }
    }
}

/// Longest text of a field that a line shows, letters.
const SHOWN: usize = 40;

/// `throw  Halyard  @2 (4d1f09ac)  12.40 m  3.10 s  stalls`
fn said(
    kind: Kind,
    fields: &Map<String, Value>,
    version: Option<usize>,
    replaces: Option<&str>,
) -> String {
    let mut words = vec![kind.word().to_owned()];
    for (name, value) in fields {
        let number = value.as_f64();
        let word = match (name.as_str(), number) {
            ("text" | "points" | "numbers" | "sha256", _) => continue,
            ("distance_m", Some(v)) => format!("{} m", fixed(v, 2)),
            ("time_s", Some(v)) => format!("{} s", fixed(v, 2)),
            ("hand_m", Some(v)) => format!("from {} m", fixed(v, 2)),
            ("top_m", Some(v)) => format!("top {} m", fixed(v, 2)),
            ("behind_nose_mm", Some(v)) => format!("{} mm behind the nose", fixed(v, 1)),
            ("give_or_take_mm", Some(v)) => format!("give or take {} mm", fixed(v, 1)),
            ("mass_g", Some(v)) => format!("{} g", fixed(v, 2)),
            ("temperature_c", Some(v)) => format!("{} C", fixed(v, 1)),
            ("pressure_hpa", Some(v)) => format!("{} hPa", fixed(v, 0)),
            ("humidity_percent", Some(v)) => format!("{} %", fixed(v, 0)),
            ("hall_length_m", Some(v)) => format!("hall {} m", fixed(v, 1)),
            (_, Some(v)) => fixed(v, 0),
            ("session" | "throw", None) => continue,
            ("version", None) => {
                let name = value.as_str().unwrap_or_default();
                version.map_or_else(|| format!("@{name}"), |n| format!("@{n} ({name})"))
            }
            ("ended", None) => format!("ended by {}", value.as_str().unwrap_or_default()),
            (_, None) => {
                let text = value.as_str().unwrap_or_default().replace('\n', " ");
                match text.char_indices().nth(SHOWN) {
                    Some((cut, _)) => format!("{}…", &text[..cut]),
                    None => text,
                }
            }
        };
        words.push(word);
    }
    if let Some(old) = replaces {
        let how = if kind == Kind::Undo { "of" } else { "in place of" };
        words.push(format!("{how} {}", short(old)));
    }
    words.join("  ")
}
