use std::path::{Path, PathBuf};

use plumbfold::pipeline::Problems;
use plumbfold::study::series::{Along, Variant};
use plumbfold_view::many as view;
use plumbfold_view::numbers::{Numbers, Plane};
use plumbfold_view::picture::in_series;
use plumbfold_view::said::fixed;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::report::Rows;
use crate::report::compare::known;
use crate::report::csv::Csv;
use crate::report::json;
use crate::report::table::Table;
use crate::system::{Overwrite, System};

/// Fold and fly a design with one let in steps, or two against each other
///
/// Values are given as a range with the number of steps (`tip=8mm..40mm/9`), as
/// a list (`tip=8mm,12mm,20mm`), or, for a count, as a range alone
/// (`turns=0..4`); the name alone takes the whole range of the text. A variant
/// that cannot be folded says why, and the rest go on. Pictures: the planes
/// over charts of balance, speed, glide and verdict; for two lets a map of
/// verdicts.
///
/// Examples:
///   plumbfold series designs/halyard.plane --let brow=117mm..130mm/9
///   plumbfold series designs/scow.plane --let turns=0..5 -o turns.png
///   plumbfold series designs/halyard.plane --let tip=6mm,12mm,24mm --let keel --out out
///   plumbfold series designs/halyard.plane --let brow --csv brow.csv
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Series {
    /// Design; `-` is standard input
    file: PathBuf,
    /// A let and its values; give it twice for a grid
    #[arg(long = "let", value_name = "LET=VALUES", required = true)]
    lets: Vec<String>,
    /// Draw charts (two lets: a map) into this file, .svg or .png
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Draw that and all planes in rows into this directory
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Write the numbers for a spreadsheet; `-` is standard output, in place of the table
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

impl Series {
    /// Folds and flies them all; shows, draws and writes what was asked for.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if self.lets.len() > 2 {
            return Err(Error::usage("a series has one let, or two against each other"));
        }
        let file = DesignFile::open(&self.file, global, system)?;
        let along = file.along(&self.lets, system)?;
        if let [a, b] = &along[..]
            && a.dial.name == b.dial.name
        {
            return Err(Error::usage(format!("`{}` cannot change against itself", a.dial.name)));
        }
        let variants = file.series(&self.flight, &along, system)?;
        let name = file.name();
        let asked: usize = along.iter().map(|a| a.values.len()).product();
        let complete = variants.len() == asked;
        if complete {
            self.draw(&file, &name, &along, &variants, system)?;
        }
        if let Some(path) = &self.csv {
            let text = csv(&along, &variants);
            if path == Path::new("-") {
                system.answer(&text)?;
            } else {
                system.write(path, text.as_bytes(), Overwrite::Never)?;
                system.message(&format!("{} written\n", path.display()));
            }
        }
        if global.json {
            let source = (file.source.name.as_str(), file.source.text.as_str());
            json::answer(system, &view::Series::new(&name, &along, &variants, source))?;
        } else if self.csv.as_deref() != Some(Path::new("-")) {
            system.report(&report(&name, &along, &variants))?;
        }
        if !complete {
            let done = variants.len();
            return Err(Error::stopped(format!("{done} of {asked} variants flown, none drawn")));
        }
        if variants.iter().all(|v| v.outcome.is_err()) {
            return Err(Error::input("none of these can be folded and flown").answered());
        }
        Ok(())
    }

    fn draw(
        &self,
        file: &DesignFile,
        name: &str,
        along: &[Along],
        variants: &[Variant<Plane>],
        system: &mut System,
    ) -> Result<(), Error> {
        let mut pictures = Vec::new();
        if self.output.is_some() || self.out.is_some() {
            let chart = in_series::chart(name, along, variants);
            pictures.extend(self.output.iter().map(|path| (path.clone(), chart.clone())));
            if let Some(dir) = &self.out {
                let lets: Vec<&str> = along.iter().map(|a| a.dial.name.as_str()).collect();
                let stem = format!("{}-{}", file.source.stem(), lets.join("-"));
                let what = if along.len() == 1 { "charts" } else { "map" };
                pictures.push((dir.join(format!("{stem}-{what}.svg")), chart));
                let planes = in_series::planes(name, along, variants);
                pictures.push((dir.join(format!("{stem}-planes.svg")), planes));
            }
        }
        for (path, svg) in pictures {
            picture::write(system, &path, &svg)?;
            system.message(&format!("{} drawn\n", path.display()));
        }
        Ok(())
    }
}

fn csv(along: &[Along], variants: &[Variant<Plane>]) -> String {
    let heading = |a: &Along| match a.dial.unit.symbol() {
        "" => a.dial.name.clone(),
        unit => format!("{}_{unit}", a.dial.name),
    };
    let mut csv = Csv::new(&along.iter().map(heading).collect::<Vec<_>>());
    for v in variants {
        let values = v.values.iter().map(|&v| v.into()).collect();
        csv.row(values, v.outcome.as_ref().map(|p| &p.numbers).map_err(why));
    }
    csv.finish()
}

/// Why a variant is none, in one sentence.
fn why(p: &Problems) -> &str {
    p.diagnostics.first().map_or("", |d| &d.message)
}

/// The table.
fn report(name: &str, along: &[Along], variants: &[Variant<Plane>]) -> Rows {
    let named = |a: &Along| format!("{} {}", a.dial.name, a.dial.unit.symbol()).trim().to_owned();
    let numbers = ["balance mm", "ahead %", "margin %", "glide m/s", "L/D", "exactly m", "verdict"];
    let heading = along.iter().map(named).chain(numbers.map(str::to_owned));
    let mut table = Table::new([heading.collect()]);
    for v in variants {
        let values = along.iter().zip(&v.values).map(|(a, &value)| {
            let now = (value - a.dial.value).abs() < 1e-9;
            let value = a.dial.say(value, 2);
            let number = value.split(' ').next().unwrap_or_default().to_owned();
            if now { format!("{number}*") } else { format!("{number} ") }
        });
        let mut cells: Vec<String> = values.collect();
        match &v.outcome {
            Ok(p) => {
                cells.extend(numbers_of(&p.numbers));
                table.row(cells);
            }
            Err(problems) => table.row_with_note(cells, why(problems)),
        }
    }
    let title = format!("{name} {}", in_series::as_they_change(along));
    let mut rows = Rows::titled(&title).gap().table(table);
    let among = |a: &Along| a.values.iter().any(|v| (v - a.dial.value).abs() < 1e-9);
    let said = |a: &Along| match among(a) {
        true => format!("* {} as the design is", a.dial.name),
        false => format!("the design has {} at {}", a.dial.name, a.dial.say(a.dial.value, 2)),
    };
    let said = along.iter().map(said).collect::<Vec<_>>().join("; ");
    rows = rows.gap().paragraph(&format!("{said}; exactly: how far it flies thrown exactly so"));
    rows
}

/// What stands in a row of a table after its name.
fn numbers_of(n: &Numbers) -> Vec<String> {
    vec![
        format!("{:.1}", n.cg_behind_nose_mm),
        format!("{:.1}", n.area_ahead_fraction * 1e2),
        fixed(n.static_margin_mac_fraction * 1e2, 1),
        known(n.trim_speed_mps.map(|v| format!("{v:.2}"))),
        known(n.lift_to_drag.map(|v| format!("{v:.1}"))),
        format!("{:.1}", n.distance_m),
        n.verdict_in_short(),
    ]
}
