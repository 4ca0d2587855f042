//! Records of what was done and measured. A record is made once and never changed: one that
//! corrects another, or takes it back, is a new record that names it.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

mod cell;

pub use cell::Cell;
use cell::Field;

macro_rules! records {
    ($($(#[$doc:meta])* $kind:ident $word:literal {
        $($(#[$field_doc:meta])* $field:ident: $type:ty,)*
    })*) => {
        $($(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
        pub struct $kind { $($(#[$field_doc])* pub $field: $type,)* })*

        /// What a record can be of.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Kind { $($(#[$doc])* $kind,)* }

        impl Kind {
            /// Every kind, what others name first.
            pub const EVERY: &'static [Self] = &[$(Self::$kind),*];
            /// Its word, which is also the name of its table.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$kind => $word,)* }
            }
            /// Names of its fields.
            pub const fn fields(self) -> &'static [&'static str] {
                match self { $(Self::$kind => &[$(stringify!($field)),*],)* }
            }
            /// Which of them are numbers.
            pub const fn numeric(self) -> &'static [bool] {
                match self { $(Self::$kind => &[$(<$type as Field>::NUMERIC),*],)* }
            }
        }

        /// What was recorded.
        #[derive(Clone, Debug, PartialEq)]
        #[allow(missing_docs, reason = "each is documented at its own type")]
        pub enum Record { $($kind($kind),)* }

        impl Record {
            /// Of which kind.
            pub const fn kind(&self) -> Kind {
                match self { $(Self::$kind(_) => Kind::$kind,)* }
            }
            /// Its fields in the order of [`Kind::fields`].
            pub fn cells(&self) -> Vec<Cell> {
                match self { $(Self::$kind(_r) => vec![$(_r.$field.to_cell()),*],)* }
            }
            /// From its fields in the order of [`Kind::fields`].
            ///
            /// # Errors
            /// A field that is missing or of the wrong type, in a sentence.
            pub fn from_cells(kind: Kind, cells: Vec<Cell>) -> Result<Self, String> {
                let mut _cells = cells.into_iter();
                match kind {
                    $(Kind::$kind => Ok(Self::$kind($kind {
                        $($field: Field::from_cell(_cells.next().unwrap_or(Cell::Empty)).map_err(
                            |e| format!(concat!($word, ": `", stringify!($field), "` {}"), e))?,)*
                    })),)*
                }
            }
        }

        $(impl From<$kind> for Record {
            fn from(record: $kind) -> Self { Self::$kind(record) }
        })*

        $(impl Kept<$kind> {
            /// An entry of this kind, with who it is.
            pub fn of(entry: &Entry) -> Option<Self> {
                match &entry.record {
                    Record::$kind(record) => Some(Self {
                        id: entry.id.clone(),
                        at: entry.at.clone(),
                        replaces: entry.replaces.clone(),
                        record: record.clone(),
                    }),
                    _ => None,
                }
            }
        }

        impl From<Kept<$kind>> for Entry {
            fn from(k: Kept<$kind>) -> Self {
                Self { id: k.id, at: k.at, replaces: k.replaces, record: k.record.into() }
            }
        })*
    };
}

records! {
    /// A version of a plane: its text. The same text is the same version.
    Version "version" {
        /// Name of the plane.
        plane: String,
        /// The first digits of the SHA-256 of the text.
        version: String,
        /// The design text.
        text: String,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// One folded copy of a plane.
    Copy "copy" {
        /// Its name, such as `halyard-2`.
        copy: String,
        /// Name of the plane.
        plane: String,
        /// Version it was folded from.
        version: Option<String>,
        /// The paper.
        paper: Option<String>,
        /// Who folded it.
        by: Option<String>,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// Where a real plane was found to balance, and what it weighs.
    Balance "balance" {
        /// Name of the plane.
        plane: String,
        /// Version of its text.
        version: Option<String>,
        /// Copy measured.
        copy: Option<String>,
        /// Balance point behind the nose, mm.
        behind_nose_mm: f64,
        /// How far off that may be (one standard deviation), mm.
        give_or_take_mm: Option<f64>,
        /// Mass, g.
        mass_g: Option<f64>,
        /// How it was found, such as `knife edge`.
        method: Option<String>,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// An hour in a hall: what throws one after another have in common.
    Session "session" {
        /// Where.
        place: String,
        /// Who throws.
        thrower: Option<String>,
        /// Temperature of the air, degrees Celsius.
        temperature_c: Option<f64>,
        /// Pressure of the air, hPa.
        pressure_hpa: Option<f64>,
        /// Relative humidity, per cent.
        humidity_percent: Option<f64>,
        /// From the line to the far wall, m.
        hall_length_m: Option<f64>,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// One throw.
    Throw "throw" {
        /// Name of the plane.
        plane: String,
        /// Version of its text.
        version: Option<String>,
        /// Copy thrown.
        copy: Option<String>,
        /// The session's record.
        session: Option<String>,
        /// Distance over the floor from hand to landing, m.
        distance_m: Option<f64>,
        /// Time aloft, s.
        time_s: Option<f64>,
        /// Height of the hand above the floor, m.
        hand_m: Option<f64>,
        /// Greatest height above the floor, m.
        top_m: Option<f64>,
        /// How it was thrown: `gentle`, `level`, `firm`, `hard`, `steep`.
        style: Option<String>,
        /// What it did, in the words of the verdict, such as `stalls`.
        did: Option<String>,
        /// What ended it other than the floor: `wall`, `ceiling`, `person`.
        ended: Option<String>,
        /// How it was trimmed, such as `edges 1 mm up`.
        trim: Option<String>,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// A filmed path.
    Path "path" {
        /// Name of the plane.
        plane: String,
        /// Version of its text.
        version: Option<String>,
        /// The throw's record.
        throw: Option<String>,
        /// The points: CSV with `t_s,x_m,z_m` and perhaps `pitch_deg`.
        points: String,
        /// Anything worth keeping.
        note: Option<String>,
        /// How far off the film's scale may be (one standard deviation), per cent.
        scale_sd_percent: Option<f64>,
        /// How far off its level may be, degrees.
        level_sd_deg: Option<f64>,
    }
    /// A photo, by reference: the file stays where it is.
    Photo "photo" {
        /// What it shows: a plane, a copy or a record.
        of: String,
        /// The file.
        file: String,
        /// SHA-256 of its bytes, by which it is known again.
        sha256: Option<String>,
        /// Anything worth keeping.
        note: Option<String>,
    }
    /// What measurements made of the model's free numbers.
    Calibration "calibration" {
        /// Name of the plane.
        plane: String,
        /// Version of its text.
        version: Option<String>,
        /// The numbers, as JSON.
        numbers: String,
        /// Anything worth keeping.
        note: Option<String>,
        /// Fitted to throws by this hand only.
        thrower: Option<String>,
        /// Fitted to throws of this copy only.
        copy: Option<String>,
        /// Fitted to throws of copies of this paper only.
        paper: Option<String>,
    }
    /// A look at whether a change was real: looking often makes luck look real.
    Look "look" {
        /// One side.
        a: String,
        /// The other.
        b: String,
        /// Throws of the one.
        throws_a: f64,
        /// Throws of the other.
        throws_b: f64,
        /// What was compared: `distance` or `time`.
        of: String,
    }
    /// Takes back the record it replaces.
    Undo "undo" {}
}

impl Kind {
    /// The kind of this word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::EVERY.iter().copied().find(|k| k.word() == word)
    }
}

/// A record as it is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Who it is, in every notebook.
    pub id: String,
    /// When it was written, UTC, such as `2026-11-30T09:30:12.123Z`.
    pub at: String,
    /// The record it corrects or takes back.
    pub replaces: Option<String>,
    /// What was recorded.
    pub record: Record,
}

/// A record of one kind as it is kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[schemars(rename = "Kept{T}")]
pub struct Kept<T> {
    /// Who it is, in every notebook.
    pub id: String,
    /// When it was written, UTC.
    pub at: String,
    /// The record it corrects or takes back; null for none.
    pub replaces: Option<String>,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub record: T,
}

/// Digits of an id: 64 bits, so that no two of a million records meet.
const ID_DIGITS: usize = 16;
/// Digits by which a version is named.
pub const VERSION_DIGITS: usize = 12;

/// SHA-256 in hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

/// The name of a version: of its text without a byte-order mark and with line ends of one kind, so
/// that an editor's habits make no new version.
pub fn version_of(text: &str) -> String {
    let plain = text.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let mut name = sha256(plain.as_bytes());
    name.truncate(VERSION_DIGITS);
    name
}

impl Entry {
    /// A record written at a time. `again` tells apart equal records of one moment.
    pub fn new(at: &str, replaces: Option<String>, record: Record, again: usize) -> Self {
        let mut said = format!("{at}\n{}\n{again}\n", record.kind().word());
        said += replaces.as_deref().unwrap_or_default();
        for cell in record.cells() {
            said.push('\u{1f}');
            match cell {
                Cell::Empty => said.push('-'),
                Cell::Number(n) => said += &format!("n{:016x}", n.to_bits()),
                Cell::Text(text) => said += &format!("t{text}"),
            }
        }
        let mut id = sha256(said.as_bytes());
        id.truncate(ID_DIGITS);
        Self { id, at: at.to_owned(), replaces, record }
    }
}

/// The records that hold: neither corrected nor taken back. Taking back a correction brings back
/// what it corrected, and taking that back again the correction. Records that take each other back
/// in a ring, which only a forged file can say, do nothing.
pub fn holding(entries: &[Entry]) -> Vec<&Entry> {
    let is_undo = |e: &&Entry| e.record.kind() == Kind::Undo;
    let (undos, others): (Vec<&Entry>, Vec<&Entry>) = entries.iter().partition(is_undo);
    let taken_back = taken_back(&undos);
    let in_force = |e: &&&Entry| !taken_back.contains(e.id.as_str());
    // A correction that was itself corrected still stands for what it corrected.
    let corrected: BTreeSet<&str> =
        others.iter().filter(in_force).filter_map(|e| e.replaces.as_deref()).collect();
    let holds =
        |e: &&Entry| !taken_back.contains(e.id.as_str()) && !corrected.contains(e.id.as_str());
    entries.iter().filter(holds).collect()
}

/// Ids of what is taken back, settled from the last undo of each chain backwards, without
/// recursion: a chain may be as long as the notebook.
fn taken_back<'a>(undos: &[&'a Entry]) -> BTreeSet<&'a str> {
    let target: BTreeMap<&str, &str> =
        undos.iter().filter_map(|u| Some((u.id.as_str(), u.replaces.as_deref()?))).collect();
    let mut unsettled: BTreeMap<&str, usize> = target.keys().map(|id| (*id, 0)).collect();
    for old in target.values() {
        if let Some(n) = unsettled.get_mut(old) {
            *n += 1;
        }
    }
    let mut ready: Vec<&str> = unsettled.iter().filter(|u| *u.1 == 0).map(|u| *u.0).collect();
    let mut taken_back = BTreeSet::new();
    while let Some(id) = ready.pop() {
        let old = target[id];
        if !taken_back.contains(id) {
            taken_back.insert(old);
        }
        if let Some(n) = unsettled.get_mut(old) {
            *n -= 1;
            if *n == 0 {
                ready.push(old);
            }
        }
    }
    taken_back
}

#[cfg(test)]
mod tests {
    use super::*;

    fn throw(n: f64) -> Record {
        Throw { plane: "Scow".into(), distance_m: Some(n), ..Throw::default() }.into()
    }

    fn entry(name: &str, replaces: Option<&str>, record: Record) -> Entry {
        Entry { id: name.into(), at: name.into(), replaces: replaces.map(str::to_owned), record }
    }

    fn names(entries: &[Entry]) -> Vec<&str> {
        holding(entries).iter().map(|e| e.id.as_str()).collect()
    }

    #[test]
    fn what_is_taken_back_no_longer_holds_and_taking_that_back_restores_it() {
        let mut all = vec![entry("a", None, throw(5.0)), entry("b", None, throw(6.0))];
        all.push(entry("c", Some("a"), throw(5.5)));
        assert_eq!(names(&all), ["b", "c"]);
        all.push(entry("d", Some("c"), Undo {}.into()));
        assert_eq!(names(&all), ["a", "b", "d"]);
        all.push(entry("e", Some("d"), Undo {}.into()));
        assert_eq!(names(&all), ["b", "c", "e"]);
        all.push(entry("f", Some("c"), throw(5.6)));
        assert_eq!(names(&all), ["b", "e", "f"], "a stays corrected");
    }

    #[test]
    fn a_ring_does_nothing_and_a_long_chain_needs_no_stack() {
        let ring = [entry("a", Some("b"), Undo {}.into()), entry("b", Some("a"), Undo {}.into())];
        assert_eq!(names(&ring), ["a", "b"]);
        let chain: Vec<Entry> = (0..100_000)
            .map(|k: usize| {
                let old = k.checked_sub(1).map(|k| k.to_string());
                entry(&k.to_string(), old.as_deref(), throw(k as f64))
            })
            .collect();
        assert_eq!(names(&chain).len(), 1);
        assert_eq!(names(&chain)[0], "99999");
        let undone = chain.iter().map(|e| match e.replaces {
            Some(_) => Entry { record: Undo {}.into(), ..e.clone() },
            None => e.clone(),
        });
        let undone: Vec<Entry> = undone.collect();
        // Of 99 999 undos every other one is taken back; the first, and so the throw, too.
        assert_eq!(names(&undone).len(), 50_000);
        assert!(!names(&undone).contains(&"0"));
    }

    #[test]
    fn the_same_text_is_the_same_version_whatever_the_editor_does_to_its_line_ends() {
        let unix = version_of("plane Scow\nsheet A4\n");
        assert_eq!(unix, version_of("\u{feff}plane Scow\r\nsheet A4\r\n"));
        assert_ne!(unix, version_of("plane Scow\nsheet A5\n"));
        // FIPS 180-4's example: SHA-256 of "abc".
        assert!(sha256(b"abc").starts_with("ba7816bf8f01cfea414140de5dae2223"));
    }

    #[test]
    fn cells_give_the_record_back() {
        let all: [Record; 3] = [
            throw(0.1 + 0.2),
            Undo {}.into(),
            Session { place: "hall, \"north\"".into(), ..Session::default() }.into(),
        ];
        for record in all {
            let back = Record::from_cells(record.kind(), record.cells()).unwrap();
            assert_eq!(back, record);
        }
        let wrong =
            vec![Cell::Text("Scow".into()), Cell::Empty, Cell::Empty, Cell::Text("x".into())];
        let e = Record::from_cells(Kind::Balance, wrong).unwrap_err();
        assert!(e.contains("behind_nose_mm") && e.contains("no number"), "{e}");
        assert!(Record::from_cells(Kind::Balance, vec![]).is_err());
    }

    #[test]
    fn equal_records_of_one_moment_are_told_apart() {
        let one = Entry::new("t", None, throw(5.0), 0);
        assert_eq!(one, Entry::new("t", None, throw(5.0), 0));
        assert_ne!(one.id, Entry::new("t", None, throw(5.0), 1).id);
        assert_ne!(one.id, Entry::new("t", None, throw(5.0f64.next_up()), 0).id);
    }
}
