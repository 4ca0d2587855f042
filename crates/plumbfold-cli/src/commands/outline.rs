use std::path::PathBuf;

use plumbfold_view::outline as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::{Amount, json, page};
use crate::system::System;

/// Balance and fly a finished plane given by its outline
///
/// A plane somebody folded already: lay it flat, measure its corners from the nose (to the right,
/// and back), weigh it, balance it on an edge, and write that down:
///
///   plane Found
///   outline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (0 mm, 200 mm), mirrored
///   measured mass 5 g, balance 97 mm, dihedral 8 deg, keel 20 mm
///   trim elevator up 1 mm, 10 mm deep
///   throw 4 m/s, level, from 1.6 m
///
/// The outline may be path data of SVG in mm: `outline path M 0 0 L 80 180 V 200 H 0 mirrored`.
/// `check`, `balance`, `aero`, `fly` and `draw` take such a file too.
///
/// Examples:
///   plumbfold outline found.plane
///   plumbfold outline found.plane --speed 5 --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Outline {
    /// Plane with an `outline` line; `-` is standard input
    file: PathBuf,
    /// Tell all there is
    #[arg(long)]
    full: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Outline {
    /// Weighs, flies, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, system)?;
        let (plane, reasons) = file.explained(&self.flight, system)?;
        if plane.balanced.source.folded().is_some() {
            return Err(Error::input(format!("{} has no `outline` line", file.source.name))
                .hint("`plumbfold check` takes designs with folds; `plumbfold help outline` shows the form"));
        }
        let answer = view::Outline::new(&plane, &reasons, &self.flight.conditions()?.air);
        if global.json {
            return json::answer(system, &answer);
        }
        let amount = if self.full { Amount::Full } else { Amount::Page };
        system.report(&page::page(&plane.balanced, &answer.balance, &answer.in_the_air, amount))
    }
}
