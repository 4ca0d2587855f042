use std::path::PathBuf;

use plumbfold_print::card;
use plumbfold_print::page::Paper;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::paper::{self, PaperName};
use crate::system::System;

/// Print a flight card: one page to pin up beside the line
///
/// The plane, where it balances, how it is trimmed and thrown, what it will do
/// and how sure that is, what to do when it dives, stalls or turns, and a table
/// for ten throws.
///
/// Examples:
///   plumbfold card designs/halyard.plane -o halyard-card.pdf
///   plumbfold card designs/gaff.plane --speed 5 --paper letter -o gaff-card.pdf
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Card {
    /// Design; `-` is standard input
    file: PathBuf,
    /// File to write, .pdf; default out/NAME-card.pdf
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Paper of the page; default that of the design if it is Letter, else A4
    #[arg(long, value_name = "PAPER")]
    paper: Option<PaperName>,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Card {
    /// Folds, flies, writes.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        paper::no_json(global)?;
        let file = DesignFile::open(&self.file, global, system)?;
        let path = paper::path(self.output.as_deref(), &file, "-card.pdf");
        if paper::ending(&path) != "pdf" {
            return Err(paper::unknown_ending(&path, ".pdf"));
        }
        let (flown, reasons) = file.explained(&self.flight, system)?;
        let title = format!("{}: flight card", flown.balanced.airframe.name);
        let sheet = flown.balanced.source.folded().map(|f| f.run.sheet.sheet_m.map(|m| m * 1e3));
        let paper = self.paper.map_or_else(|| Paper::for_sheets(sheet), PaperName::paper);
        let page = card::page(&flown, &reasons, paper, global.units());
        let bytes = paper::pdf(&title, &title, &[page], system)?;
        paper::write(system, &path, &bytes)?;
        system.message(&format!("{} written\n", path.display()));
        Ok(())
    }
}
