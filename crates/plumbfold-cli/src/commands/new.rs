use std::path::{Path, PathBuf};

use plumbfold::design::parser;

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
    #[arg(long, value_name = "SHEET", value_parser = sheet)]
    sheet: Option<String>,
}

/// The line of a design that says the paper; in one line, or it would say more.
fn sheet(text: &str) -> Result<String, String> {
    let (design, mistakes) = parser::parse(&format!("sheet {text}"));
    match mistakes.into_iter().find(|d| d.is_error()) {
        _ if text.contains('\n') => Err("must be one line".to_owned()),
        Some(mistake) => Err(mistake.message),
        None if design.sheet.is_some() => Ok(text.to_owned()),
        None => Err("expected a paper such as `A4 upright, 80 g/m2`".to_owned()),
    }
}

/// The design a new user changes first.
pub const STARTER: &str = include_str!("starter.plane");

impl New {
    /// The starter on the paper asked for.
    fn text(&self) -> String {
        let paper = |line: &str| match &self.sheet {
            Some(sheet) if line.starts_with("sheet ") => format!("sheet {sheet}\n"),
            _ => line.to_owned(),
        };
        STARTER.split_inclusive('\n').map(paper).collect()
    }

    /// Writes the starter.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        let text = self.text();
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
