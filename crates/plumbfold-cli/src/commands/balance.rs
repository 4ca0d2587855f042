use std::path::PathBuf;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::report::{balance, json::tell};
use crate::system::System;

/// Say where the folded plane balances
///
/// The balance point, how much of the wing lies ahead of it, the mean
/// aerodynamic chord (MAC), the mass and the layers. `check` says the same and
/// draws it.
///
/// Examples:
///   plumbfold balance designs/halyard.plane
///   plumbfold balance designs/halyard.plane --set "tip=30 mm"
///   plumbfold balance designs/halyard.plane --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Balance {
    /// Design; `-` is standard input
    file: PathBuf,
}

impl Balance {
    /// Folds, weighs, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let balanced = DesignFile::open(&self.file, global, system)?.balance(system)?;
        let numbers = plumbfold_view::balance::Balance::new(&balanced);
        tell(&numbers, || balance::to_text(&balanced, &numbers), global, system)
    }
}
