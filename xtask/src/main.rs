//! Chores of the project. `cargo xtask tidy` checks the layout (and so does `cargo test`);
//! `cargo xtask pages` writes the pages and pictures that follow from the code, and with `--check`
//! only says which of them are stale. `cargo xtask page` makes the bench one HTML file.

mod sources;
mod tidy;
mod pages;
mod one_file;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

const USAGE: &str = "\
Chores of the project.

Usage:
  cargo xtask tidy             does the layout hold? (cargo test asks the same)
  cargo xtask pages            write docs/validation.md, docs/mending.md and the pictures anew
  cargo xtask pages --check    say which of them are not what the code gives
  cargo xtask page             write the bench as one HTML file that needs no server and no network
";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match args[..] {
        ["tidy"] => tidy::faults(&root()).map(|faults| faults.join("\n")),
        ["pages"] => pages::write(&root()).map(|()| String::new()),
        ["pages", "--check"] => pages::stale(&root()).map(|stale| stale.join("\n")),
        ["page"] => one_file::write(&root()).map(|()| String::new()),
        _ => {
            eprint!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(faults) if faults.is_empty() => ExitCode::SUCCESS,
        Ok(faults) => {
            eprintln!("{faults}");
            ExitCode::FAILURE
        }
        Err(why) => {
            eprintln!("error: {why}");
            ExitCode::FAILURE
        }
    }
}

/// The root of the project.
fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().expect("this crate stands in the root of the project").to_owned()
}
