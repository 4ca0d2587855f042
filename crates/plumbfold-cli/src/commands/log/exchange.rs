use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

use plumbfold_notebook::{Notebook, NotebookError};
use plumbfold_stats::exchange::{Book, Table, from_json, to_csv};
use plumbfold_stats::parquet::to_parquet;
use plumbfold_stats::record::{Entry, Kind, Record, holding};
use plumbfold_stats::results::{Shelf, at_version};
use plumbfold_stats::typed::{Mapped, alike, day_of, throws_of};
use plumbfold_view::log::{Taken, short};

use super::Call;
use crate::error::Error;
use crate::notebook_file::{NotebookOption, SESSION_HOURS, mistyped, told};
use crate::report::json;
use crate::system::Overwrite;

/// Write every record, as JSON (--json) or as one table (--csv); both give back all exactly
///
/// --parquet writes the same table with its types into a file, for data tools.
#[derive(clap::Args)]
pub struct Export {
    /// One table, for spreadsheets
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    /// One table as a Parquet file, for data tools
    #[arg(long, value_name = "FILE", conflicts_with_all = ["csv", "json"])]
    parquet: Option<PathBuf>,
    /// Throws that hold only, with the columns they have
    #[arg(long)]
    throws: bool,
}

impl Export {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        if !self.csv && !call.global.json && self.parquet.is_none() {
            return Err(Error::usage("in which form?").hint("--csv, --json or --parquet FILE"));
        }
        let mut entries = call.book.entries()?;
        if self.throws {
            // What they replaced is not among them.
            let alone = |e: &Entry| Entry { replaces: None, ..e.clone() };
            let holds = holding(&entries).into_iter();
            entries = holds.filter(|e| e.record.kind() == Kind::Throw).map(alone).collect();
        }
        if let Some(file) = &self.parquet {
            call.system.write(file, &to_parquet(&entries), Overwrite::Never)?;
            let told = format!("{}: {} records\n", file.display(), entries.len());
            call.system.message(&told);
            return Ok(());
        }
        match self.csv {
            true => call.system.answer(&to_csv(&entries)),
            false => json::answer(call.system, &Book::new(&entries)),
        }
    }
}

/// Take in what `log export` wrote, or throws from a spreadsheet's CSV
///
/// Records already here are left as they are. A column named plane, distance,
/// time, did, hand, top, style, ended, trim, note, session or thrower is taken
/// by its name; --column names others, and what is left out is told. Rows with
/// the same words under session (a date, a place) are of one session; a date
/// such as 2026-11-30 or 30.11.2026 is the day it was. A unit in the name of a
/// column, such as `Weite [cm]` or `distance (ft)`, holds for its numbers;
/// without one they are m and s.
///
/// Examples:
///   plumbfold log import notebook.json
///   plumbfold log import throws.csv --plane halyard --column "distance=Weite"
///   plumbfold log import throws.csv --column session=Datum --column thrower=Wer
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Import {
    /// The file; `-` is standard input
    file: PathBuf,
    /// A field and the column that holds it; may be given several times
    #[arg(long = "column", value_name = "FIELD=COLUMN", value_parser = mapped)]
    columns: Vec<Mapped>,
    /// The plane, where no column names it
    #[arg(long, value_name = "PLANE")]
    plane: Option<String>,
    /// Take them in though a file with the same throws was taken in before
    #[arg(long)]
    again: bool,
}

fn mapped(text: &str) -> Result<Mapped, String> {
    match text.split_once('=') {
        Some((field, column)) if !field.trim().is_empty() && !column.trim().is_empty() => {
            Ok(Mapped { field: field.trim().to_owned(), column: column.trim().to_owned() })
        }
        _ => Err("expected FIELD=COLUMN, such as distance=Weite".to_owned()),
    }
}

impl Import {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let text = call.system.read_text(&self.file)?;
        let name = self.file.display().to_string();
        let wrong = |e: &dyn std::fmt::Display| Error::input(format!("{name}: {e}"));
        let taken = if text.trim_start().starts_with(['{', '[']) {
            merged(call.book, &from_json(&text).map_err(|e| wrong(&e))?)?
        } else {
            let table = Table::read(&text).map_err(|e| wrong(&e))?;
            match table.is_notebook() {
                true => merged(call.book, &table.entries().map_err(|e| wrong(&e))?)?,
                false => self.throws(&table, &name, call.book)?,
            }
        };
        let taken = Taken { file: name.clone(), ..taken };
        call.answer(&taken, &told_of(&taken))
    }

    /// Throws of a spreadsheet, marked with the file they came from, so that a second import of the
    /// same is noticed.
    fn throws(&self, table: &Table, file: &str, book: &NotebookOption) -> Result<Taken, Error> {
        let read = throws_of(table, &self.columns, self.plane.as_deref()).map_err(|m| {
            let e = mistyped(m);
            Error { message: format!("{file}: {}", e.message), ..e }
        })?;
        let entries = book.entries_if_any()?;
        let holding = holding(&entries);
        let shelf = Shelf::new(&holding);
        let session = book.session(&holding)?;
        let mut open = book.write()?;
        let now = open.hours_ago(0).map_err(told)?;
        // A session of a spreadsheet is over: what is thrown next is none of it.
        let over = open.hours_ago(SESSION_HOURS).map_err(told)?;
        let begun = read.sessions.into_iter().enumerate().map(|(n, s)| {
            let day = day_of(&s.place).map(|day| format!("{day}T12:00:00.000Z"));
            let at = day.filter(|day| *day < over).unwrap_or_else(|| over.clone());
            Entry::new(&at, None, s.into(), n)
        });
        let begun: Vec<Entry> = begun.collect();
        let mut records: Vec<(String, Record)> = Vec::new();
        for (mut throw, of) in read.throws {
            // Which text was thrown is known where it is said, or where there is one only.
            let (name, version) = at_version(&throw.plane);
            let plane = shelf.planes.iter().find(|p| alike(p, name)).cloned();
            throw.version = match (&plane, version) {
                (Some(plane), Some(version)) => {
                    let known = shelf.known_version(plane, version).map_err(mistyped)?;
                    Some(known.record.version.clone())
                }
                (Some(plane), None) => shelf.only_version(plane).map(str::to_owned),
                (None, Some(version)) => {
                    let why = format!("{file}: `{}`: the notebook has no {name}", throw.plane);
                    return Err(Error::input(why).hint(format!(
                        "`plumbfold log plane FILE` keeps its text as version {version} first"
                    )));
                }
                (None, None) => None,
            };
            throw.plane = plane.unwrap_or_else(|| throw.plane.clone());
            let of = of.map(|k| &begun[k]);
            throw.session = of.map_or_else(|| session.clone(), |s| Some(s.id.clone()));
            records.push((of.map_or(&now, |s| &s.at).clone(), throw.into()));
        }
        let bare = |r: &Record| match r {
            Record::Throw(t) => {
                let t = t.clone();
                Some(format!(
                    "{:?}",
                    plumbfold_stats::record::Throw { session: None, version: None, ..t }
                ))
            }
            _ => None,
        };
        let there: BTreeSet<String> = holding.iter().filter_map(|e| bare(&e.record)).collect();
        let same = records.iter().filter_map(|r| bare(&r.1)).filter(|t| there.contains(t)).count();
        if same == records.len() && same > 0 && !self.again {
            return Err(Error::input(format!(
                "all {same} throws of {file} are in the notebook already"
            ))
            .hint("--again takes them in as further throws"));
        }
        let new = records.len();
        let thrown = records.into_iter().enumerate();
        let thrown = thrown.map(|(n, (at, r))| Entry::new(&at, None, r, n));
        let all: Vec<Entry> = begun.into_iter().chain(thrown).collect();
        open.merge(&all).map_err(told)?;
        Ok(Taken { file: file.to_owned(), new, known: 0, left_out: read.left_out })
    }
}

fn merged(book: &NotebookOption, entries: &[Entry]) -> Result<Taken, Error> {
    let there = book.entries_if_any()?;
    let there: BTreeMap<&str, &Record> = there.iter().map(|e| (&*e.id, &e.record)).collect();
    let other = |e: &&Entry| there.get(&*e.id).is_some_and(|known| **known != e.record);
    if let Some(e) = entries.iter().find(other) {
        let id = short(&e.id);
        return Err(Error::input(format!("the record {id} is here already and says otherwise"))
            .hint(format!(
                "`plumbfold log correct {id} …` corrects what is here; nothing was taken in"
            )));
    }
    // What cannot be taken in begins no notebook.
    let own: BTreeSet<&str> = entries.iter().map(|e| e.id.as_str()).collect();
    let here = |id: &str| there.contains_key(id) || own.contains(id);
    if let Some(id) = entries.iter().filter_map(|e| e.replaces.as_deref()).find(|id| !here(id)) {
        let id = short(id);
        return Err(Error::input(format!(
            "a record corrects or takes back the record {id}, which is neither in it nor here"
        ))
        .hint("import a whole export: `plumbfold log export --json` or --csv without --throws"));
    }
    let merged = book.write()?.merge(entries).map_err(told)?;
    Ok(Taken { file: String::new(), new: merged.new, known: merged.known, left_out: Vec::new() })
}

fn told_of(taken: &Taken) -> String {
    let mut told = format!("{}: {} new, {} there already\n", taken.file, taken.new, taken.known);
    if !taken.left_out.is_empty() {
        told += &format!(
            "left out: {}; --column FIELD=COLUMN takes what is a field of a throw\n",
            taken.left_out.join(", ")
        );
    }
    told
}

/// Write a copy of the notebook; no file is written over
#[derive(clap::Args)]
pub struct Backup {
    /// The new file
    file: PathBuf,
}

impl Backup {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let open = call.book.read()?;
        open.backup(&self.file).map_err(told)?;
        let file = self.file.display().to_string();
        let known = open.entries().map_err(told)?.len();
        let text = format!("{file}: {known} records\n");
        call.answer(&Taken { file, new: 0, known, left_out: Vec::new() }, &text)
    }
}

/// Bring back what a backup holds and the notebook does not; nothing is lost
#[derive(clap::Args)]
pub struct Restore {
    /// The backup
    file: PathBuf,
}

impl Restore {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let saved = Notebook::read(&self.file).map_err(|e| match e {
            NotebookError::Missing { .. } => Error::input(e.to_string())
                .hint("name a file that `plumbfold log backup FILE` wrote"),
            NotebookError::Foreign { .. } => Error::input(e.to_string()).hint(
                "name a file that `plumbfold log backup FILE` wrote; `plumbfold log import FILE` \
                 takes JSON and tables",
            ),
            e => told(e),
        })?;
        let entries = saved.entries().map_err(told)?;
        let taken = Taken { file: self.file.display().to_string(), ..merged(call.book, &entries)? };
        call.answer(&taken, &told_of(&taken))
    }
}
