use std::path::PathBuf;

use serde::Serialize;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::report::{balance, json, verdict};
use crate::world::World;

/// Balance and fly a finished plane given by its outline
///
/// A plane somebody folded already: lay it flat, measure its corners from the nose (to the right,
/// and back), weigh it, balance it on an edge, and write that down:
///
///   plane Found
///   outline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (0 mm, 200 mm), mirrored
///   measured mass 5 g, balance 118 mm, dihedral 8 deg, keel 20 mm
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
    #[command(flatten)]
    flight: FlightOptions,
}

#[derive(Serialize)]
struct Answer {
    #[serde(flatten)]
    balance: plumbfold_view::balance::Balance,
    #[serde(flatten)]
    aero: plumbfold_view::air::Aero,
    #[serde(flatten)]
    flight: plumbfold_view::flight::Fly,
}

impl Outline {
    /// Weighs, flies, answers.
    pub fn run(&self, global: &Global, world: &mut World) -> Result<(), Error> {
        let file = DesignFile::open(&self.file, global, world)?;
        let plane = file.analyse(&self.flight, world)?;
        if plane.balanced.folded.design.outline.is_none() {
            return Err(Error::input(format!("{} has no `outline` line", file.source.name))
                .hint("`plumbfold check` takes designs with folds; `plumbfold help outline` shows the form"));
        }
        let numbers = plumbfold_view::balance::Balance::new(&plane.balanced);
        if global.json {
            let air = self.flight.conditions()?.air.density_kg_m3;
            let (name, speed) = (&plane.balanced.airframe.name, plane.throw.speed_m_s);
            let aero = plumbfold_view::air::Aero::new(
                name,
                &plane.aircraft,
                &plane.balanced.planform,
                speed,
                air,
            );
            let flight = plumbfold_view::flight::Fly::new(&plane);
            return json::answer(world, &Answer { balance: numbers, aero, flight });
        }
        let rows = verdict::add(balance::to_text(&plane.balanced, &numbers).gap(), &plane);
        world.answer(&rows.finish())
    }
}
