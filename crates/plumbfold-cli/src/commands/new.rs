use std::path::{Path, PathBuf};

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
    /// Write over a file that is there
    #[arg(long)]
    force: bool,
}

/// The design a new user changes first.
pub const STARTER: &str = include_str!("starter.plane");

impl New {
    /// Writes the starter.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        if self.file == Path::new("-") {
            return system.answer(STARTER);
        }
        let overwrite = if self.force { Overwrite::Yes } else { Overwrite::Never };
        system.write(&self.file, STARTER.as_bytes(), overwrite)?;
        system.message(&format!(
            "{name} written. Now: plumbfold check {name}\n",
            name = self.file.display()
        ));
        Ok(())
    }
}
