//! The program `plumbfold`: arguments, files and the terminal around the science.

mod commands;
mod design_file;
mod drawing;
mod error;
mod flight_options;
mod interrupt;
mod options;
mod paper;
mod picture;
mod progress;
mod report;
mod web;
mod system;

use std::process::ExitCode;

use clap::Parser;
use plumbfold_view::mistake::Mistakes;

use crate::commands::Cli;
use crate::report::json;
use crate::system::System;

/// Folding makes and drops thousands of short lists; this one hands them out quickest (see
/// docs/decisions.md).
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let cli = Cli::parse();
    let mut system = System::new(cli.global.color_choice());
    match cli.command.run(&cli.global, &mut system) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            system.message(&e.to_text());
            let code = e.exit_code();
            if cli.global.json && !e.answered {
                // The exit code tells that it failed even where this cannot be written.
                let _ = json::answer(&mut system, &Mistakes { errors: e.into_mistakes() });
            }
            ExitCode::from(code)
        }
    }
}
