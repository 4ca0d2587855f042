//! The program `plumbfold`: arguments, files and the terminal around the science.

mod commands;
mod calibrated;
mod config;
mod design_file;
mod drawing;
mod error;
mod flight_options;
mod flown;
mod interrupt;
mod measured;
mod notebook_file;
mod options;
mod paper;
mod picture;
mod progress;
mod report;
mod web;
mod whole_file;
mod terminal;
mod system;

use std::process::ExitCode;

use clap::Parser;
use clap::error::{ContextKind, ContextValue};
use plumbfold_view::mistake::Mistakes;

use crate::commands::Cli;
use crate::error::Error;
use crate::report::json;
use crate::system::System;

/// Folding makes and drops thousands of short lists; this one hands them out quickest (see
/// docs/decisions.md).
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// What was typed, with what is saved.
fn command_line() -> Result<Cli, Error> {
    let mut args = std::env::args_os().collect();
    if let Some((file, saved)) = system::saved_options()? {
        args = config::with_saved(args, &saved, &file)?;
    }
    Cli::try_parse_from(args).map_err(|e| {
        let Some(ContextValue::String(name)) = e.get(ContextKind::InvalidSubcommand) else {
            e.exit()
        };
        if !name.ends_with(".plane") && !std::path::Path::new(name).exists() {
            e.exit()
        }
        let path = std::path::Path::new(name);
        let (what, files) = match path.is_dir() {
            true => ("folder", path.join("*.plane").display().to_string()),
            false => ("file", name.clone()),
        };
        let message = format!("{name} is a {what}, and nothing says what to do with it");
        Error::usage(message).hint(format!("plumbfold check {files}"))
    })
}

fn main() -> ExitCode {
    let cli = match command_line() {
        Ok(cli) => cli,
        Err(e) => {
            System::new(anstream::ColorChoice::Auto).message(&e.to_text());
            return ExitCode::from(e.exit_code());
        }
    };
    let mut system = System::new(cli.global.color_choice())
        .telling(cli.global.units())
        .forcing(cli.global.force);
    let done = cli.command.run(&cli.global, &mut system);
    let untold = system.counted_with();
    match done {
        Ok(()) => {
            // Where files or a table were the answer, it is told beside it.
            for c in untold {
                system.message(&format!("{} calibrated {}\n", c.plane, c.said));
            }
            ExitCode::SUCCESS
        }
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
