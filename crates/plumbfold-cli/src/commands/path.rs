use std::path::PathBuf;

use plumbfold_draw::style::Look;
use plumbfold_stats::record;
use plumbfold_stats::track::{self, Columns, Track};
use plumbfold_stats::typed;
use plumbfold_view::filmed as view;
use plumbfold_view::said::fixed;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::AirOptions;
use crate::notebook_file::{Known, NotebookOption, known_plane, mistyped};
use crate::options::Global;
use crate::picture;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// A filmed path in numbers: release, glide, swing, each with its error
///
/// Takes the table of any tracker: columns of time, place forward and height,
/// and perhaps pitch, named t, x, z (or y) or as --column says. A unit in a
/// column's name, such as `X [mm]`, holds for its numbers; without one they are
/// s and m. Release: a cubic through the first half second. Glide and swing: a
/// straight glide with one dying swing about it, by nonlinear least squares
/// over the rest. Errors count how alike the misses of neighbouring pictures
/// are.
///
/// Examples:
///   plumbfold path film.csv
///   plumbfold path film.csv --column t=frame --rate 60 --unit cm --down
///   plumbfold path film.csv --plane designs/halyard.plane -o film.svg
///   plumbfold path film.csv --keep halyard              (into the notebook, for `calibrate`)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Path {
    /// The tracker's table (CSV); `-` is standard input
    file: PathBuf,
    /// A quantity (t, x, z or pitch) and its column; may be given several times
    #[arg(long = "column", value_name = "WHAT=COLUMN", value_parser = column)]
    columns: Vec<(String, String)>,
    /// Pictures a second, where the time is the number of the picture
    #[arg(long, value_name = "HZ")]
    rate: Option<f64>,
    /// Unit of lengths without one: m, cm, mm, ft or in
    #[arg(long, value_name = "UNIT")]
    unit: Option<String>,
    /// Heights are counted downwards, as in pictures
    #[arg(long)]
    down: bool,
    /// Lay the flight predicted for this design and this release over it
    #[arg(long, value_name = "DESIGN")]
    plane: Option<PathBuf>,
    /// Draw the path into this file, .svg or .png
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Keep the path in the notebook as one of this plane
    #[arg(long, value_name = "PLANE")]
    keep: Option<String>,
    #[command(flatten)]
    air: AirOptions,
    #[command(flatten)]
    notebook: NotebookOption,
}

fn column(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((what @ ("t" | "x" | "z" | "pitch"), name)) if !name.trim().is_empty() => {
            Ok((what.to_owned(), name.trim().to_owned()))
        }
        _ => Err("expected t=…, x=…, z=… or pitch=… with the name of a column".to_owned()),
    }
}

impl Path {
    /// Fits, answers, draws, keeps.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let rate_ok = |r: &f64| *r > 0.0 && *r <= 100_000.0;
        if self.rate.is_some_and(|r| !rate_ok(&r)) {
            return Err(Error::usage("--rate is more than 0 pictures a second"));
        }
        let unit = |u: &String| typed::length_m(&format!("1{u}"), 1.0, 1.0).map_err(mistyped);
        let columns = Columns {
            named: self.columns.clone(),
            rate_hz: self.rate,
            unit_m: self.unit.as_ref().map(unit).transpose()?,
            down: self.down,
        };
        let name = self.file.display().to_string();
        let text = system.read_text(&self.file)?;
        let read = track::read(&text, &columns).and_then(track::analyse);
        let track = read.map_err(|e| {
            let hint = "--column t=…, x=…, z=… name the columns; --rate, --unit and --down tell \
                        how they are counted";
            Error::input(format!("{name}: {e}")).hint(hint)
        })?;
        let predicted = match &self.plane {
            Some(plane) => Some(self.predict(plane, &track, global, system)?),
            None => None,
        };
        let (line, overlay) = predicted.unzip();
        let answer = view::Filmed::new(&track, overlay);
        if let Some(path) = &self.output {
            let look = Look::light("filmed");
            let svg = answer.picture(&look, &track, &line.unwrap_or_default());
            picture::write(system, path, &svg)?;
            system.message(&format!("{} drawn\n", path.display()));
        }
        if let Some(plane) = &self.keep {
            self.store(plane, &track, system)?;
        }
        tell(&answer, || report(&answer), global, system)
    }

    /// The flight of a design from the release that was filmed.
    fn predict(
        &self,
        plane: &std::path::Path,
        track: &Track,
        global: &Global,
        system: &mut System,
    ) -> Result<(Vec<[f64; 2]>, view::Overlay), Error> {
        let file = DesignFile::open(plane, global, system)?;
        let balanced = file.balance(system)?;
        let speed_m_s = track.speed_m_s.value;
        let craft = file.aircraft(&balanced, &self.air.air()?, speed_m_s, system)?;
        view::predicted(&file.name(), &craft, track)
            .map_err(|e| Error::input(format!("{}: {e}", file.source.name)))
    }

    /// Keeps the path in the form that gives back its points exactly.
    fn store(&self, plane: &str, track: &Track, system: &mut System) -> Result<(), Error> {
        let Known { plane, version, .. } = known_plane(&self.notebook, plane)?;
        let path = record::Path {
            version,
            plane,
            throw: None,
            points: track::written(&track.points),
            note: Some(self.file.display().to_string()),
            ..record::Path::default()
        };
        let written = self.notebook.append(vec![(None, path.into())])?;
        for e in &written {
            system.message(&format!("kept as {}\n", plumbfold_view::log::short(&e.id)));
        }
        Ok(())
    }
}

fn report(f: &view::Filmed) -> Rows {
    let said = |m: &view::Measured, decimals: usize, unit: &str| {
        let [low, high] = m.interval.map(|v| fixed(v, decimals));
        // A ratio has its unit once.
        let each = if unit.contains("for each") { String::new() } else { format!(" {unit}") };
        format!("{} {unit} (95 %: {low}{each} to {high}{each})", fixed(m.value, decimals))
    };
    let mut rows = Rows::titled("Filmed path")
        .paragraph(&f.said)
        .gap()
        .row("release", &said(&f.release_speed_mps, 2, "m/s"))
        .row("", &said(&f.release_elevation_deg, 1, "degrees"))
        .row("glide", &said(&f.glide_ratio, 2, "m for each metre of height"))
        .row("", &said(&f.glide_speed_mps, 2, "m/s"))
        .row("sinking", &said(&f.sink_mps, 2, "m/s"));
    if let Some(pitch) = &f.glide_pitch_deg {
        rows = rows.row("pitch", &format!("{}, nose up", said(pitch, 1, "degrees")));
    }
    if let (Some(period), Some(damping)) = (&f.swing_period_s, &f.swing_damping_per_s) {
        rows =
            rows.row("swing", &said(period, 2, "s")).row("damping", &said(damping, 2, "a second"));
    }
    if let Some(glide) = f.predicted.as_ref().and_then(|p| p.glide_ratio) {
        rows = rows.row("predicted", &format!("{} m for each metre of height", fixed(glide, 2)));
    }
    let scatter = format!(
        "{} points over {} s, {} mm about the fit",
        f.points,
        fixed(f.seconds_s, 1),
        fixed(f.scatter_mm, 0)
    );
    rows.row("points", &scatter)
}
