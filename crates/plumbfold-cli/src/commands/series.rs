use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use plumbfold::pipeline::Problems;
use plumbfold::study::series::{Along, Variant};
use plumbfold::study::summary::Summary;
use serde::Serialize;

use crate::design_file::DesignFile;
use crate::drawing::in_series;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::Global;
use crate::picture;
use crate::report::json;
use crate::report::numbers::{Cell, Csv, Numbers};
use crate::report::table::Table;
use crate::report::{Rows, verdict};
use crate::world::{Overwrite, World};
use plumbfold_view::mistake::Mistake;

/// Fold and fly a design with one let in steps, or two against each other
///
/// Values are given as a range with the number of steps (`tip=8mm..40mm/9`), as a list
/// (`tip=8mm,12mm,20mm`), or, for a count, as a range alone (`turns=0..4`); the name alone takes
/// the whole range of the text. A variant that cannot be folded says why, and the rest go on.
/// Pictures: the planes over charts of balance, speed, glide and verdict; for two lets a map of
/// verdicts.
///
/// Examples:
///   plumbfold series designs/halyard.plane --let brow=106mm..130mm/9
///   plumbfold series designs/scow.plane --let turns=0..5 -o turns.png
///   plumbfold series designs/halyard.plane --let tip=6mm,12mm,24mm --let keel --draw out
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
    draw: Option<PathBuf>,
    /// Write the numbers for a spreadsheet; `-` is standard output, in place of the table
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    csv: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

/// The answer for other programs.
#[derive(Serialize)]
struct Answer<'a> {
    name: &'a str,
    lets: Vec<ShownLet<'a>>,
    variants: Vec<ShownVariant<'a>>,
}

#[derive(Serialize)]
struct ShownLet<'a> {
    name: &'a str,
    unit: &'static str,
    now: f64,
    values: &'a [f64],
}

#[derive(Serialize)]
struct ShownVariant<'a> {
    values: BTreeMap<&'a str, f64>,
    plane: Option<Numbers<'a>>,
    errors: Vec<Mistake>,
}

impl Series {
    /// Folds and flies them all; shows, draws and writes what was asked for.
    pub fn run(&self, global: &Global, world: &mut World) -> Result<(), Error> {
        if self.lets.len() > 2 {
            return Err(Error::usage("a series has one let, or two against each other"));
        }
        let file = DesignFile::open(&self.file, global, world)?;
        let along = file.along(&self.lets, world)?;
        if let [a, b] = &along[..]
            && a.dial.name == b.dial.name
        {
            return Err(Error::usage(format!("`{}` cannot change against itself", a.dial.name)));
        }
        let variants = file.series(&self.flight, &along, world)?;
        let name = file.name();
        let asked: usize = along.iter().map(|a| a.values.len()).product();
        let complete = variants.len() == asked;
        if complete {
            self.draw(&file, &name, &along, &variants, world)?;
        }
        if let Some(path) = &self.csv {
            let text = csv(&along, &variants);
            if path == Path::new("-") {
                world.answer(&text)?;
            } else {
                world.write(path, text.as_bytes(), self.overwrite())?;
                world.message(&format!("{} written\n", path.display()));
            }
        }
        if global.json {
            json::answer(world, &Answer::new(&name, &along, &variants, &file))?;
        } else if self.csv.as_deref() != Some(Path::new("-")) {
            world.answer(&report(&name, &along, &variants))?;
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

    fn overwrite(&self) -> Overwrite {
        if self.force { Overwrite::Yes } else { Overwrite::Never }
    }

    fn draw(
        &self,
        file: &DesignFile,
        name: &str,
        along: &[Along],
        variants: &[Variant<Summary>],
        world: &mut World,
    ) -> Result<(), Error> {
        let mut pictures = Vec::new();
        if self.output.is_some() || self.draw.is_some() {
            let chart = in_series::chart(name, along, variants);
            pictures.extend(self.output.iter().map(|path| (path.clone(), chart.clone())));
            if let Some(dir) = &self.draw {
                let lets: Vec<&str> = along.iter().map(|a| a.dial.name.as_str()).collect();
                let stem = format!("{}-{}", file.source.stem(), lets.join("-"));
                let what = if along.len() == 1 { "charts" } else { "map" };
                pictures.push((dir.join(format!("{stem}-{what}.svg")), chart));
                let planes = in_series::planes(name, along, variants);
                pictures.push((dir.join(format!("{stem}-planes.svg")), planes));
            }
        }
        for (path, svg) in pictures {
            picture::write(world, &path, &svg, self.force)?;
            world.message(&format!("{} drawn\n", path.display()));
        }
        Ok(())
    }
}

impl<'a> Answer<'a> {
    fn new(
        name: &'a str,
        along: &'a [Along],
        variants: &'a [Variant<Summary>],
        file: &DesignFile,
    ) -> Self {
        let shown_let = |a: &'a Along| ShownLet {
            name: &a.dial.name,
            unit: a.dial.unit.symbol(),
            now: a.dial.value,
            values: &a.values,
        };
        let shown = |v: &'a Variant<Summary>| ShownVariant {
            values: along.iter().map(|a| a.dial.name.as_str()).zip(v.values.clone()).collect(),
            plane: v.outcome.as_ref().ok().map(Numbers),
            errors: v
                .outcome
                .as_ref()
                .err()
                .map_or_else(Vec::new, |p| file.mistakes(&p.diagnostics)),
        };
        Self {
            name,
            lets: along.iter().map(shown_let).collect(),
            variants: variants.iter().map(shown).collect(),
        }
    }
}

fn csv(along: &[Along], variants: &[Variant<Summary>]) -> String {
    let heading = |a: &Along| match a.dial.unit.symbol() {
        "" => a.dial.name.clone(),
        unit => format!("{}_{unit}", a.dial.name),
    };
    let mut csv = Csv::new(&along.iter().map(heading).collect::<Vec<_>>());
    for v in variants {
        let values = v.values.iter().map(|&v| Cell::Number(v)).collect();
        csv.row(values, v.outcome.as_ref().map_err(why));
    }
    csv.finish()
}

/// Why a variant is none, in one sentence.
fn why(p: &Problems) -> &str {
    p.diagnostics.first().map_or("", |d| &d.message)
}

/// The table.
fn report(name: &str, along: &[Along], variants: &[Variant<Summary>]) -> String {
    let named = |a: &Along| format!("{} {}", a.dial.name, a.dial.unit.symbol()).trim().to_owned();
    let numbers = ["balance mm", "ahead %", "margin %", "trim m/s", "L/D", "flies m", "verdict"];
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
            Ok(s) => {
                cells.extend(numbers_of(s));
                table.row(cells);
            }
            Err(problems) => table.row_with_note(cells, why(problems)),
        }
    }
    let title = format!("{name} {}", in_series::as_they_change(along));
    let mut rows = Rows::titled(&title).gap().lines(table.lines());
    let among = |a: &Along| a.values.iter().any(|v| (v - a.dial.value).abs() < 1e-9);
    let said = |a: &Along| match among(a) {
        true => format!("* {} as the design is", a.dial.name),
        false => format!("the design has {} at {}", a.dial.name, a.dial.say(a.dial.value, 2)),
    };
    rows = rows.gap().paragraph(&along.iter().map(said).collect::<Vec<_>>().join("; "));
    rows.finish()
}

/// What stands in a row of a table after its name.
fn numbers_of(s: &Summary) -> Vec<String> {
    let glide = |of: fn(&plumbfold::study::summary::Steady) -> f64, decimals: usize| {
        s.glide.as_ref().map_or("–".to_owned(), |g| format!("{:.decimals$}", of(g)))
    };
    vec![
        format!("{:.1}", s.behind_nose_m * 1e3),
        format!("{:.1}", s.area_ahead_fraction * 1e2),
        format!("{:.1}", s.static_margin * 1e2),
        glide(|g| g.speed_m_s, 2),
        glide(|g| g.lift_to_drag, 1),
        format!("{:.1}", s.distance_m),
        verdict::short(s.behaviour, s.probability),
    ]
}
