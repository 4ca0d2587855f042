use std::path::PathBuf;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::report::{fold, json::tell};
use crate::system::System;

/// Fold a design flat and say what each step does
///
/// The layers each step bends tell how hard it is to make; the JSON holds every
/// face of the folded model, from the table upwards.
///
/// Examples:
///   plumbfold fold designs/halyard.plane
///   plumbfold fold designs/halyard.plane --to-step 4 --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Fold {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Stop after this step
    #[arg(long, value_name = "N")]
    to_step: Option<usize>,
}

impl Fold {
    /// Folds and lists.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?.stopped_at(self.to_step);
        let folded = file.fold(system)?;
        let answer = plumbfold_view::fold::Fold::new(&file.source.text, &folded);
        tell(&answer, || fold::to_text(&answer), global, system)
    }
}
