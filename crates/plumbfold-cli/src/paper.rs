//! Files for printers and other machines: which form a name asks for, and writing them.

use std::path::{Path, PathBuf};

use plumbfold_print::booklet::Layout;
use plumbfold_print::page::{Page, Paper};
use plumbfold_print::pdf;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::system::{Overwrite, System};

/// Paper as the command line names it.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum PaperName {
    /// 210 by 297 mm
    A4,
    /// 8.5 by 11 in
    Letter,
}

impl PaperName {
    /// The paper.
    pub fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::LETTER,
        }
    }
}

/// Options of booklets.
#[derive(clap::Args)]
pub struct PageOptions {
    /// Paper of the pages; default that of the designs if it is Letter, else A4
    #[arg(long, value_name = "PAPER")]
    paper: Option<PaperName>,
    /// Steps on a page at most, 2 to 9; default 4
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(2..=9))]
    per_page: Option<u8>,
}

impl PageOptions {
    /// Paper of the pages for planes of these sheets, mm.
    pub fn paper(&self, sheets_mm: impl IntoIterator<Item = [f64; 2]>) -> Paper {
        self.paper.map_or_else(|| Paper::for_sheets(sheets_mm), PaperName::paper)
    }

    /// How steps are laid out.
    pub fn layout(&self) -> Layout {
        self.per_page.map_or_else(Layout::default, |n| Layout::for_steps(usize::from(n)))
    }
}

/// The file to write: the one asked for, or one in `out` named after the design.
pub fn path(asked: Option<&Path>, file: &DesignFile, ending: &str) -> PathBuf {
    let usual = || Path::new("out").join(file.stem() + ending);
    asked.map_or_else(usual, Path::to_owned)
}

/// Ending of a file name, in small letters.
pub fn ending(path: &Path) -> String {
    path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default()
}

/// A name that asks for nothing we write.
pub fn unknown_ending(path: &Path, known: &str) -> Error {
    if path == Path::new("-") {
        return Error::usage("this command does not write to standard output")
            .hint(format!("give a name that ends in {known}"));
    }
    Error::usage(format!("{} does not end in {known}", path.display()))
        .hint("the ending of the name says which to write")
}

/// What these commands give is a file.
///
/// # Errors
/// JSON asked of them.
pub fn no_json(global: &Global) -> Result<(), Error> {
    if global.json {
        return Err(Error::usage(
            "this command writes a file to print or to make from, and no JSON",
        )
        .hint("leave out --json; `check --json` and `fold --json` give the numbers"));
    }
    Ok(())
}

/// Pages as a PDF, and a word about letters of `names` that come out as squares.
///
/// # Errors
/// Pages of ours that cannot be printed are our fault.
pub fn pdf(
    title: &str,
    names: &str,
    pages: &[Page],
    system: &mut System,
) -> Result<Vec<u8>, Error> {
    let missing = pdf::unprintable(names);
    if !missing.is_empty() {
        system.message(&format!("the font of the pages lacks {missing}: printed as squares\n"));
    }
    let failed = |why| Error::internal(format!("drew pages that cannot be printed: {why}"));
    pdf::write(title, pages).map_err(failed)
}

/// Writes a file. One this program made is replaced.
pub fn write(system: &System, path: &Path, bytes: &[u8]) -> Result<(), Error> {
    system.write(path, bytes, Overwrite::Ours)
}
