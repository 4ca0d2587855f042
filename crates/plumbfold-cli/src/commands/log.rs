//! What was thrown and measured, record by record.

mod throw;
mod records;
mod undo;
mod list;
mod exchange;
mod next;

use plumbfold_stats::record::{Entry, Record};
use plumbfold_view::log::{Logged, Noted};

use crate::error::Error;
use crate::notebook_file::NotebookOption;
use crate::options::Global;
use crate::report::json;
use crate::system::System;

/// Keep what was thrown and measured: throws, balance, sessions, copies, photos
///
/// The notebook is one file. Nothing in it is ever changed or lost: a correction is a new record,
/// and `undo` takes one back. `plumbfold log throw` alone asks for what it needs.
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
        let book = &self.notebook;
        match &self.what {
            What::Throw(what) => what.run(book, global, system),
            What::Session(what) => what.run(book, global, system),
            What::Plane(what) => what.run(book, global, system),
            What::Copy(what) => what.run(book, global, system),
            What::Balance(what) => what.run(book, global, system),
            What::Photo(what) => what.run(book, global, system),
            What::Undo(what) => what.run(book, global, system),
            What::Correct(what) => what.run(book, global, system),
            What::List(what) => what.run(book, global, system),
            What::Show(what) => what.run(book, global, system),
            What::Next(what) => what.run(book, global, system),
            What::Export(what) => what.run(book, global, system),
            What::Import(what) => what.run(book, global, system),
            What::Backup(what) => what.run(book, global, system),
            What::Restore(what) => what.run(book, global, system),
        }
    }
}

/// Writes records and says so.
fn write(
    book: &NotebookOption,
    records: Vec<(Option<String>, Record)>,
    global: &Global,
    system: &mut System,
) -> Result<Vec<Entry>, Error> {
    let entries = book.append(records)?;
    tell(book, &entries, global, system)?;
    Ok(entries)
}

/// Says what was written.
fn tell(
    book: &NotebookOption,
    entries: &[Entry],
    global: &Global,
    system: &mut System,
) -> Result<(), Error> {
    let notebook = book.path()?.display().to_string();
    let written: Vec<Noted> = entries.iter().map(Noted::new).collect();
    if global.json {
        return json::answer(system, &Logged { notebook, written });
    }
    let lines =
        written.iter().map(|n| format!("{}  {}\n", plumbfold_view::log::short(&n.id), n.said));
    system.answer(&lines.collect::<String>())
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
