//! What was thrown and measured, record by record.

mod throw;
mod records;
mod undo;
mod list;
mod exchange;
mod next;

use plumbfold_stats::record::{Entry, Record};
use plumbfold_view::log::{Logged, Noted, short};

use crate::error::Error;
use crate::notebook_file::NotebookOption;
use crate::options::Global;
use crate::report::json;
use crate::system::System;

/// Keep what was thrown and measured: throws, balance, sessions, copies, photos
///
/// The notebook is one file. Nothing in it is ever changed or lost: a
/// correction is a new record, and `undo` takes one back. `plumbfold log throw`
/// alone asks for what it needs.
///
/// Examples:
///   plumbfold log throw halyard 12.4m 3.1s stalled
///   plumbfold log throw designs/halyard.plane 12.4m from 1.8m firm --note "into the draught"
///   plumbfold log plane designs/halyard.plane             (its text is kept as a version)
///   plumbfold log session "boat hall" --thrower Pim --temperature 18
///   plumbfold log balance halyard 83mm --mass 4.9g
///   plumbfold log undo
///   plumbfold log list --plane halyard
///   plumbfold log next halyard@1 halyard@2 --throws 10    (a sheet in random order)
///   plumbfold log import throws.csv --plane halyard --column "distance=Weite"
///   plumbfold log export --csv > notebook.csv
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Log {
    #[command(flatten)]
    notebook: NotebookOption,
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    Throw(throw::Throw),
    Session(records::Session),
    Plane(records::Plane),
    Copy(records::Copy),
    Balance(records::Balance),
    Photo(records::Photo),
    Undo(undo::Undo),
    Correct(undo::Correct),
    List(list::List),
    Show(list::Show),
    Next(next::Next),
    Export(exchange::Export),
    Import(exchange::Import),
    Backup(exchange::Backup),
    Restore(exchange::Restore),
}

impl Log {
    /// Writes, or shows.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let call = &mut Call { book: &self.notebook, global, system };
        match &self.what {
            What::Throw(what) => what.run(call),
            What::Session(what) => what.run(call),
            What::Plane(what) => what.run(call),
            What::Copy(what) => what.run(call),
            What::Balance(what) => what.run(call),
            What::Photo(what) => what.run(call),
            What::Undo(what) => what.run(call),
            What::Correct(what) => what.run(call),
            What::List(what) => what.run(call),
            What::Show(what) => what.run(call),
            What::Next(what) => what.run(call),
            What::Export(what) => what.run(call),
            What::Import(what) => what.run(call),
            What::Backup(what) => what.run(call),
            What::Restore(what) => what.run(call),
        }
    }
}

/// What each of these commands works with.
struct Call<'a> {
    book: &'a NotebookOption,
    global: &'a Global,
    system: &'a mut System,
}

impl Call<'_> {
    /// Writes a new record and says so.
    fn keep(&mut self, record: impl Into<Record>) -> Result<(), Error> {
        self.write(vec![(None, record.into())]).map(drop)
    }

    /// Writes records, each with the id of the one it replaces, and says so.
    fn write(&mut self, records: Vec<(Option<String>, Record)>) -> Result<Vec<Entry>, Error> {
        let entries = self.book.append(records)?;
        self.tell(&entries)?;
        Ok(entries)
    }

    /// Says what was written.
    fn tell(&mut self, entries: &[Entry]) -> Result<(), Error> {
        let shelf = self.book.shelf()?;
        let written: Vec<Noted> = entries.iter().map(|e| Noted::new(e, &shelf)).collect();
        let line = |n: &Noted| format!("{}  {}\n", short(&n.id), n.said);
        let lines = written.iter().map(line).collect::<String>();
        let notebook = self.book.path()?.display().to_string();
        self.answer(&Logged { notebook, written }, &lines)
    }

    /// Answers, in JSON where that was asked for.
    fn answer(&mut self, value: &impl serde::Serialize, text: &str) -> Result<(), Error> {
        match self.global.json {
            true => json::answer(self.system, value),
            false => {
                let units = self.global.units();
                let told = text.split('\n').map(|line| units.told(line)).collect::<Vec<_>>();
                self.system.answer(&told.join("\n"))
            }
        }
    }
}

/// The record whose id begins so.
fn find<'a>(entries: &'a [Entry], asked: &str) -> Result<&'a Entry, Error> {
    let asked = asked.trim().to_lowercase();
    let found: Vec<&Entry> = entries.iter().filter(|e| e.id.starts_with(&asked)).collect();
    match found[..] {
        [one] if !asked.is_empty() => Ok(one),
        [] => Err(Error::usage(format!("no record's id begins with `{asked}`"))
            .hint("`plumbfold log list` shows the ids")),
        _ => Err(Error::usage(format!("{} ids begin with `{asked}`", found.len()))
            .hint("give more of its letters")),
    }
}
