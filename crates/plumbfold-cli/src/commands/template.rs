use std::path::PathBuf;

use plumbfold_print::dxf;
use plumbfold_print::page::Paper;
use plumbfold_print::template::{Side, Sides, Template as Sheet};

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::options::Global;
use crate::paper::{self, PaperName};
use crate::picture;
use crate::system::System;

/// Print the sheet at 1:1: creases, step numbers, balance mark, bends
///
/// PDF is for printing: at actual size, both sides where a fold is seen on the
/// back, with bars of 100 mm and 4 in to measure. A sheet larger than the paper
/// comes in tiles with crosses to join them by. SVG is one side of the sheet;
/// DXF is for cutters and plotters.
///
/// Examples:
///   plumbfold template designs/halyard.plane -o halyard.pdf
///   plumbfold template designs/gaff.plane --paper a4 -o gaff.pdf
///   plumbfold template designs/halyard.plane --side back -o halyard-back.svg
///   plumbfold template designs/halyard.plane -o halyard.dxf
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Template {
    /// Design; `-` is standard input
    file: PathBuf,
    /// File to write, .pdf, .svg or .dxf; default out/NAME-template.pdf
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Paper in the printer; default the sheet itself if it is A4 or Letter, else A4
    #[arg(long, value_name = "PAPER")]
    paper: Option<PaperName>,
    /// Which sides: the back is left out where no fold is seen on it
    #[arg(long, value_name = "SIDE", default_value = "auto")]
    side: SideName,
    /// Print short lines where edges come to lie, with finer ones 1 mm to either side and ticks that
    /// join across the edge
    #[arg(long)]
    guides: bool,
}

/// Sides of the sheet.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum SideName {
    /// The back where it is needed
    Auto,
    /// The front alone
    Front,
    /// The back alone (SVG)
    Back,
    /// Both (PDF)
    Both,
}

impl Template {
    /// Folds, draws, writes.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        paper::no_json(global)?;
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.balance(system)?;
        let folded = file.folded(&plane, system)?;
        let sheet =
            Sheet::new(folded, &plane, global.units()).map_err(|d| file.wrong(&d, system))?;
        let sheet = if self.guides { sheet.guided(&folded.run) } else { sheet };
        if self.guides && sheet.guides.is_empty() {
            system.message("no guides: no edge comes to lie on paper that shows beside it\n");
        }
        let path = paper::path(self.output.as_deref(), &file, "-template.pdf");
        let mut pages = String::new();
        let bytes = match paper::ending(&path).as_str() {
            "svg" | "dxf" if self.paper.is_some() => {
                return Err(Error::usage("an SVG or DXF is the sheet itself, on no paper")
                    .hint("leave out --paper, or write a .pdf, which is laid out in tiles"));
            }
            "pdf" => {
                let sides = match self.side {
                    SideName::Auto => Sides::AsNeeded,
                    SideName::Front => Sides::Front,
                    SideName::Both => Sides::Both,
                    SideName::Back => {
                        return Err(Error::usage("a PDF holds the front, or both sides")
                            .hint("give `--side both`, or write the back as .svg"));
                    }
                };
                let paper =
                    self.paper.map_or_else(|| Paper::for_sheet(sheet.sheet_mm()), PaperName::paper);
                let all = sheet.pages(Some(paper), sides);
                pages = match all.len() {
                    1 => String::new(),
                    n => format!(": {n} pages"),
                };
                paper::pdf(&sheet.name, &sheet.name, &all, system)?
            }
            "svg" => {
                let side = match self.side {
                    SideName::Auto | SideName::Front => Side::Front,
                    SideName::Back => Side::Back,
                    SideName::Both => {
                        return Err(Error::usage("an SVG holds one side")
                            .hint("give `--side front`, then `--side back`, or write a .pdf"));
                    }
                };
                picture::marked(&sheet.svg(side)).into_bytes()
            }
            "dxf" if matches!(self.side, SideName::Back | SideName::Both) => {
                return Err(Error::usage("a DXF holds the front alone")
                    .hint("leave out --side, or write the back as .svg"));
            }
            "dxf" => dxf::write(&sheet).into_bytes(),
            _ => return Err(paper::unknown_ending(&path, ".pdf, .svg or .dxf")),
        };
        paper::write(system, &path, &bytes)?;
        system.message(&format!("{} written{pages}\n", path.display()));
        Ok(())
    }
}
