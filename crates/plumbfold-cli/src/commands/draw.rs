use std::path::{Path, PathBuf};

use plumbfold_draw::fit::Size;

use crate::design_file::DesignFile;
use crate::drawing::{self, ROOM, What};
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::system::System;

/// Draw a design as SVG or PNG
///
/// Examples:
///   plumbfold draw designs/halyard.plane --what sheet -o halyard.svg
///   plumbfold draw designs/halyard.plane --what folded --to-step 4 -o step4.png
///   plumbfold draw designs/halyard.plane --what sheet --full-size -o template.svg
///   plumbfold draw designs/halyard.plane --what throw --speed 6 -o throw.png
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Draw {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Which picture
    #[arg(long)]
    what: What,
    /// File to write, .svg or .png; `-` is SVG on standard output; default out/NAME-WHAT.svg
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Stop folding after this step
    #[arg(long, value_name = "N")]
    to_step: Option<usize>,
    /// Draw one millimetre as one millimetre
    #[arg(long)]
    full_size: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Draw {
    /// Draws, writes, says where.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?.stopped_at(self.to_step);
        let size = if self.full_size { Size::Full } else { ROOM };
        let svg = self.what.of_file(&file, &self.flight, size, system)?;
        let path = match &self.output {
            Some(path) if path == Path::new("-") => return system.answer(&picture::marked(&svg)),
            Some(path) => path.clone(),
            None => drawing::default_path(Path::new("out"), &file.source, self.what),
        };
        picture::write(system, &path, &svg)?;
        system.message(&format!("{} drawn\n", path.display()));
        Ok(())
    }
}
