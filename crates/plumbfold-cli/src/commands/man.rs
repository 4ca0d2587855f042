use std::path::PathBuf;

use clap::CommandFactory;

use crate::commands::Cli;
use crate::error::Error;
use crate::options::Global;
use crate::system::{Overwrite, System};

/// Write manual pages, one for each command
///
/// Examples:
///   plumbfold man man/
///   man ./man/plumbfold-check.1
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Man {
    /// Where to; made if it is not there
    dir: PathBuf,
}

impl Man {
    /// Writes the pages.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        let mut root = Cli::command().disable_help_subcommand(true);
        root.build();
        let commands = root.get_subcommands().filter(|c| !c.is_hide_set());
        let pages: Vec<_> = std::iter::once(&root).chain(commands).cloned().collect();
        for command in &pages {
            let page = clap_mangen::Man::new(command.clone());
            let name = page.get_filename();
            let mut roff = Vec::new();
            page.render(&mut roff)
                .map_err(|e| Error::internal(format!("cannot make the page {name}: {e}")))?;
            system.write(&self.dir.join(name), &roff, Overwrite::Never)?;
        }
        system.message(&format!("{} pages written to {}\n", pages.len(), self.dir.display()));
        Ok(())
    }
}
