use std::path::PathBuf;

use plumbfold_print::booklet::Lesson;
use plumbfold_print::collection;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::paper::{self, PageOptions};
use crate::progress;
use crate::system::System;

/// Print folding instructions of several designs, with a page of contents
///
/// Examples:
///   plumbfold booklet designs/*.plane -o booklet.pdf
///   plumbfold booklet designs/gaff.plane designs/scow.plane --paper letter -o two.pdf
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Booklet {
    /// Designs, in the order of the booklet
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// File to write, .pdf
    #[arg(short, long, value_name = "FILE", default_value = "out/booklet.pdf")]
    output: PathBuf,
    #[command(flatten)]
    pages: PageOptions,
}

impl Booklet {
    /// Folds them all, draws, writes. A design that cannot be folded stops it: a booklet with
    /// pages missing is worse than none.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        paper::no_json(global)?;
        if paper::ending(&self.output) != "pdf" {
            return Err(paper::unknown_ending(&self.output, ".pdf"));
        }
        let bar = progress::bar("designs folded");
        let mut planes = Vec::new();
        for (i, path) in self.files.iter().enumerate() {
            progress::at(&bar, i, self.files.len());
            let file = DesignFile::open(path, global, system)?;
            let plane = file.balance(system)?;
            planes.push((file, plane));
        }
        bar.finish_and_clear();
        let mut lessons = Vec::new();
        for (file, plane) in &planes {
            lessons.push(Lesson::new(
                file.folded(plane, system)?,
                plane,
                &file.source.text,
                global.units(),
            ));
        }
        let layout = self.pages.layout();
        let paper = self.pages.paper(lessons.iter().map(Lesson::sheet_mm));
        let pages = collection::pages(&lessons, paper, layout);
        let names: String = lessons.iter().map(|l| l.name.as_str()).collect();
        let bytes = paper::pdf(collection::TITLE, &names, &pages, system)?;
        paper::write(system, &self.output, &bytes)?;
        system.message(&format!("{}: {} pages written\n", self.output.display(), pages.len()));
        Ok(())
    }
}
