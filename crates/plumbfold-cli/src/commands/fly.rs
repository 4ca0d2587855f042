use std::path::PathBuf;

use plumbfold_view::flight as view;
use plumbfold_view::sentences::balanced;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::{Amount, Rows, json, verdict};
use crate::system::System;

/// Throw the plane and say what it does, how sure that is, and why
///
/// Still air unless `--wind` or `--gust` says otherwise; the flight ends where
/// it meets a wall or the ceiling of a `--hall`. The plane is thrown as the
/// design says unless told otherwise; the probabilities come from many throws
/// with the balance, the folds, the trim and the hand a little different each
/// time. JSON adds every glide with its modes and the whole path.
///
/// Examples:
///   plumbfold fly designs/halyard.plane
///   plumbfold fly designs/halyard.plane --speed 6 --elevation "10 deg"
///   plumbfold fly designs/halyard.plane --hall 30x12x6m --wind "0.3 m/s from the left"
///   plumbfold fly designs/halyard.plane --gust "1 m/s ahead at 0.5 s for 1 s"
///   plumbfold fly designs/halyard.plane --hall-length 20 --draws 1000 --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Fly {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Tell every steady glide, backward and upside down too
    #[arg(long)]
    full: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Fly {
    /// Flies, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?;
        let (plane, reasons) = file.explained(&self.flight, system)?;
        let answer = view::Fly::new(&plane, &reasons);
        if global.json {
            return json::answer(system, &answer);
        }
        let behind_nose_mm = plane.balanced.mass.behind_nose_m() * 1e3;
        let balanced = balanced(&answer.in_the_air.verdict, behind_nose_mm);
        let rows = verdict::lead(Rows::titled(&answer.name).gap(), &answer.in_the_air)
            .gap()
            .strong_row("balances at", &balanced);
        let amount = if self.full { Amount::Full } else { Amount::Page };
        system.report(&verdict::bands(rows, &answer.in_the_air, amount))
    }
}
