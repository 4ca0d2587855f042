use clap::CommandFactory;
use clap_complete::Shell;

use crate::commands::Cli;
use crate::error::Error;
use crate::options::Global;
use crate::system::System;

/// Print completions for a shell
///
/// Examples:
///   plumbfold completions bash > ~/.local/share/bash-completion/completions/plumbfold
///   plumbfold completions fish > ~/.config/fish/completions/plumbfold.fish
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Completions {
    /// Which shell
    shell: Shell,
}

impl Completions {
    /// Prints the script.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Cli::command(), "plumbfold", &mut script);
        system.answer_bytes(&script)
    }
}
