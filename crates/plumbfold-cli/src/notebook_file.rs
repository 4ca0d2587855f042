//! Where the notebook is, and opening it.

use std::path::PathBuf;

use plumbfold_notebook::{Notebook, NotebookError};
use plumbfold_stats::record::{Entry, Record, holding};
use plumbfold_stats::results::Shelf;
use plumbfold_stats::typed::Mistyped;

use crate::error::Error;
use crate::system;

/// The notebook of a command.
#[derive(clap::Args)]
#[command(next_help_heading = "Notebook")]
pub struct NotebookOption {
    /// The notebook's file, instead of $PLUMBFOLD_NOTEBOOK or that in the standard data folder
    #[arg(long, global = true, value_name = "FILE")]
    notebook: Option<PathBuf>,
}

impl NotebookOption {
    /// Its file: as named, as the environment says, or at the standard place.
    pub fn path(&self) -> Result<PathBuf, Error> {
        let named = self.notebook.clone().or_else(system::notebook_path);
        named.ok_or_else(|| {
            Error::usage("nothing says where the notebook is, and there is no home folder")
                .hint("give --notebook FILE")
        })
    }

    /// Opens it for reading.
    pub fn read(&self) -> Result<Notebook, Error> {
        Notebook::read(&self.path()?).map_err(told)
    }

    /// Opens it for writing; made where there is none.
    pub fn write(&self) -> Result<Notebook, Error> {
        Notebook::write(&self.path()?).map_err(told)
    }

    /// Everything that was ever recorded.
    pub fn entries(&self) -> Result<Vec<Entry>, Error> {
        self.read()?.entries().map_err(told)
    }

    /// The same, or nothing where there is no notebook yet.
    pub fn entries_if_any(&self) -> Result<Vec<Entry>, Error> {
        match Notebook::read(&self.path()?) {
            Err(NotebookError::Missing { .. }) => Ok(Vec::new()),
            other => other.and_then(|b| b.entries()).map_err(told),
        }
    }

    /// What holds, sorted for questions.
    pub fn shelf(&self) -> Result<Shelf, Error> {
        Ok(Shelf::new(&holding(&self.entries()?)))
    }

    /// Writes records.
    pub fn append(&self, records: Vec<(Option<String>, Record)>) -> Result<Vec<Entry>, Error> {
        self.write()?.append(records).map_err(told)
    }
}

/// What is wrong with a notebook, with a way out.
pub fn told(e: NotebookError) -> Error {
    let hint = match &e {
        NotebookError::Missing { .. } => {
            Some("`plumbfold log throw halyard 12.4m 3.1s` begins one; --notebook names another")
        }
        NotebookError::Newer { .. } => Some("use the newer plumbfold, or another --notebook FILE"),
        NotebookError::Foreign { .. } => Some("name a notebook of plumbfold, or a new file"),
        NotebookError::Full { .. } => Some("make room and write it again"),
        NotebookError::ReadOnly { .. } => Some("--notebook FILE names one that can be written"),
        _ => None,
    };
    let error = Error::input(e.to_string());
    match hint {
        Some(hint) => error.hint(hint),
        None => error,
    }
}

/// What was mistyped, with what helps.
pub fn mistyped(m: Mistyped) -> Error {
    Error::usage(m.message).hint(m.help)
}
