use std::path::PathBuf;

use plumbfold_view::air as view;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::{AirOptions, speed};
use crate::options::Global;
use crate::report::{air, json::tell};
use crate::system::System;

/// Say what the air does to the plane
///
/// Lift, drag and centre of pressure from -10 to 90 degrees, the neutral point,
/// and the derivatives of turning and sideslip.
///
/// Examples:
///   plumbfold aero designs/halyard.plane
///   plumbfold aero designs/halyard.plane --speed 6 --json
///   plumbfold aero designs/halyard.plane --altitude 1500
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Aero {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Speed, m/s, instead of the design's throw
    #[arg(long, value_name = "SPEED", value_parser = speed, allow_hyphen_values = true)]
    speed: Option<f64>,
    #[command(flatten)]
    air: AirOptions,
}

impl Aero {
    /// Solves the lattice, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let air = self.air.air()?;
        let file = DesignFile::open(&self.file, global, system)?;
        let plane = file.balance(system)?;
        let speed = self.speed.unwrap_or(plane.throw.speed_m_s);
        let aircraft = file.aircraft(&plane, &air, speed, system)?;
        let name = plane.airframe.name.clone();
        let answer =
            view::Aero { name, air: view::Air::new(&aircraft, &plane, speed, air.density_kg_m3) };
        tell(&answer, || air::to_text(&answer, plane.mass.behind_nose_m() * 1e3), global, system)
    }
}
