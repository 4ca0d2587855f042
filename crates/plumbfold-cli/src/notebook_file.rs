//! Where the notebook is, and opening it.

use std::path::PathBuf;

use plumbfold_notebook::{Notebook, NotebookError};
use plumbfold_stats::record::{Entry, Kind, Record, holding};
use plumbfold_stats::results::{Shelf, at_version, running};
use plumbfold_stats::typed::{self, Mistyped, alike};

use crate::error::Error;
use crate::system;

/// A throw belongs to a session begun at most so long ago.
pub const SESSION_HOURS: u32 = 12;

/// The notebook of a command.
#[derive(Clone, clap::Args)]
#[command(next_help_heading = "Notebook")]
pub struct NotebookOption {
    /// The notebook's file, instead of $PLUMBFOLD_NOTEBOOK or that in the standard data folder
    #[arg(long, global = true, value_name = "FILE")]
    notebook: Option<PathBuf>,
}

impl NotebookOption {
    /// That of a file.
    #[cfg(test)]
    pub fn at(file: &str) -> Self {
        Self { notebook: Some(file.into()) }
    }

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
        let path = self.path()?;
        // One that was begun and never written to, or is being begun by another program.
        if path.metadata().is_ok_and(|m| m.is_file() && m.len() == 0) {
            return Ok(Vec::new());
        }
        match Notebook::read(&path) {
            Err(NotebookError::Missing { .. }) => Ok(Vec::new()),
            other => other.and_then(|b| b.entries()).map_err(told),
        }
    }

    /// What holds, sorted for questions.
    pub fn shelf(&self) -> Result<Shelf, Error> {
        Ok(Shelf::new(&holding(&self.entries()?)))
    }

    /// The session that was begun last, if not too long ago.
    pub fn session(&self, holding: &[&Entry]) -> Result<Option<String>, Error> {
        if !holding.iter().any(|e| e.record.kind() == Kind::Session) {
            return Ok(None);
        }
        let since = self.read()?.hours_ago(SESSION_HOURS).map_err(told)?;
        Ok(running(holding, &since).map(|e| e.id.clone()))
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
        NotebookError::Sqlite { .. } => Some(
            "if the file is damaged: put it aside, and `plumbfold log restore BACKUP` makes a new one",
        ),
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

/// What a name on the command line means.
pub struct Known {
    /// The plane as the notebook spells it.
    pub plane: String,
    /// Its newest version, or the one named after an `@`.
    pub version: Option<String>,
    /// The folded copy named.
    pub copy: Option<String>,
}

/// The plane, version or copy of this name; a name that is not known is a new plane's.
pub fn known_plane(book: &NotebookOption, asked: &str) -> Result<Known, Error> {
    let entries = book.entries_if_any()?;
    let shelf = Shelf::new(&holding(&entries));
    if asked.ends_with(".plane") || asked.contains(['/', '\\']) {
        return Err(Error::usage(format!(
            "`{asked}` is a file; here a plane is called by its name"
        ))
        .hint("such as `halyard`, or `halyard@2` for its second version"));
    }
    let (name, version) = at_version(asked);
    let copy = shelf.copies.iter().find(|c| alike(&c.0, name));
    let called = copy.map_or(name, |c| c.1.as_str());
    let copy = copy.map(|c| c.0.clone());
    match shelf.planes.iter().find(|p| alike(p, called)) {
        Some(plane) => {
            let found = match version {
                Some(version) => Some(shelf.known_version(plane, version).map_err(mistyped)?),
                None => shelf.newest(plane),
            };
            let version = found.map(|v| v.record.version.clone());
            Ok(Known { plane: plane.clone(), version, copy })
        }
        None => match typed::nearest(name, shelf.planes.iter().map(String::as_str)) {
            Some(like) => Err(Error::usage(format!("nothing is called `{name}`; is it `{like}`?"))
                .hint("`plumbfold log plane FILE` begins a new plane")),
            None => {
                if let Some(version) = version {
                    shelf.known_version(name, version).map_err(mistyped)?;
                }
                Ok(Known { plane: name.to_owned(), version: None, copy: None })
            }
        },
    }
}
