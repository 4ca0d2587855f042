use std::path::PathBuf;

use plumbfold_print::booklet::Lesson;
use plumbfold_print::html;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::paper::{self, PageOptions};
use crate::system::System;

/// Print folding instructions: every step before and after, and what to do
///
/// The pictures are the real folded states; the words are made from the steps,
/// in the order of the hands. Where a length can be found by folding alone, the
/// first page says how. The last page has the finishing touches and the
/// cautions.
///
/// Examples:
///   plumbfold steps designs/halyard.plane -o halyard-steps.pdf
///   plumbfold steps designs/tiller.plane --per-page 4 --paper letter -o tiller.pdf
///   plumbfold steps designs/scow.plane -o scow.html
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Steps {
    /// Design; `-` is standard input
    file: PathBuf,
    /// File to write, .pdf or .html; default out/NAME-steps.pdf
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    pages: PageOptions,
}

impl Steps {
    /// Folds, draws, writes.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        paper::no_json(global)?;
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.balance(system)?;
        let folded = file.folded(&plane, system)?;
        let lesson = Lesson::new(folded, &plane, &file.source.text, global.units());
        let path = paper::path(self.output.as_deref(), &file, "-steps.pdf");
        let bytes = match paper::ending(&path).as_str() {
            "pdf" => {
                let layout = self.pages.layout();
                let paper = self.pages.paper([lesson.sheet_mm()]);
                let pages = lesson.pages(paper, layout, "d", 1);
                let title = format!("{}: folding steps", lesson.name);
                paper::pdf(&title, &title, &pages, system)?
            }
            "html" => html::write(&lesson).into_bytes(),
            _ => return Err(paper::unknown_ending(&path, ".pdf or .html")),
        };
        paper::write(system, &path, &bytes)?;
        system.message(&format!("{} written\n", path.display()));
        Ok(())
    }
}
