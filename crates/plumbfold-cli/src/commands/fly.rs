use std::path::PathBuf;

use plumbfold_view::flight as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::{Rows, json, verdict};
use crate::system::System;

/// Throw the plane and say what it does, how sure that is, and why
///
/// Still air. The plane is thrown as the design says unless told otherwise; the probabilities
/// come from many throws with the balance, the folds, the trim and the hand a little different
/// each time. JSON adds every glide with its modes and the whole path.
///
/// Examples:
///   plumbfold fly designs/halyard.plane
///   plumbfold fly designs/halyard.plane --speed 6 --elevation "10 deg"
///   plumbfold fly designs/halyard.plane --hall-length 20 --draws 1000 --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Fly {
    /// Design; `-` is standard input
    file: PathBuf,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Fly {
    /// Flies, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.analyse(&self.flight, system)?;
        let answer = view::Fly::new(&plane);
        if global.json {
            return json::answer(system, &answer);
        }
        let rows = Rows::titled(&answer.name).gap();
        let behind_nose_mm = plane.balanced.mass.behind_nose_m() * 1e3;
        system.answer(&verdict::add(rows, &answer.in_the_air, behind_nose_mm).finish())
    }
}
