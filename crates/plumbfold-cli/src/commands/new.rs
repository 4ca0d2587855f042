use std::path::{Path, PathBuf};

use plumbfold::design::ast::SheetDecl;
use plumbfold::design::begin::the_paper;
use plumbfold::design::edit::{self, Edit};

use crate::error::Error;
use crate::options::Global;
use crate::system::{Overwrite, System};

/// Write a commented design to start from
///
/// Examples:
///   plumbfold new my.plane
///   plumbfold new -             (to standard output)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct New {
    /// File to write; `-` is standard output
    file: PathBuf,
    /// The paper, as a design says it, such as `Letter upright, 20 lb`
    #[arg(long, value_name = "SHEET", value_parser = the_paper)]
    sheet: Option<SheetDecl>,
}

/// The design a new user changes first.
pub const STARTER: &str = include_str!("starter.plane");

impl New {
    /// The starter on the paper asked for.
    fn text(&self) -> Result<String, Error> {
        let edits: Vec<Edit> = self.sheet.iter().cloned().map(Edit::Sheet).collect();
        edit::apply(STARTER, &edits).map_err(|e| Error::usage(e.to_string()))
    }

    /// Writes the starter.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        let text = self.text()?;
        if self.file == Path::new("-") {
            return system.answer(&text);
        }
        system.write(&self.file, text.as_bytes(), Overwrite::Never)?;
        system.message(&format!(
            "{name} written. Now: plumbfold check {name}\n",
            name = self.file.display()
        ));
        Ok(())
    }
}
