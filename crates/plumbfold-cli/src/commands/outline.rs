use std::path::{Path, PathBuf};

use plumbfold::design::begin::Shape;
use plumbfold_trace::words;
use plumbfold_view::outline as view;
use plumbfold_view::trace::outlined;

use crate::commands::trace::ToldOptions;
use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::measured::mm;
use crate::options::Global;
use crate::paper::ending;
use crate::report::{Amount, json::tell, page};
use crate::system::{Form, Overwrite, Source, System};

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
/// Or let it be written: half widths at stations behind the nose (--stations), a table of points
/// (.csv: right of the middle, behind the nose; of the right half), or a drawing (.svg, its first
/// path, in mm), each with --balance, go into the file named by -o. `plumbfold trace` makes one from
/// a photo.
///
/// Examples:
///   plumbfold outline found.plane
///   plumbfold outline found.plane --speed 5 --json
///   plumbfold outline --stations "0=8 30=28 120=95 150=95" --balance 70 --mass 5g -o found.plane
///   plumbfold outline points.csv --balance 70 --mass 5g -o found.plane
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Outline {
    /// Plane with an `outline` line (`-` is standard input), or points as .csv or .svg
    #[arg(required_unless_present = "stations")]
    file: Option<PathBuf>,
    /// Half widths at stations behind the nose, mm, from nose to tail
    #[arg(long, value_name = "STATION=WIDTH …", value_parser = words::stations, conflicts_with = "file",
          requires = "balance")]
    stations: Option<Corners>,
    /// Balance point behind the nose, mm
    #[arg(long, value_name = "MM", value_parser = mm)]
    balance: Option<f64>,
    /// The points go all round the plane, not round its right half
    #[arg(long)]
    whole: bool,
    /// Write the plane as a design text
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    told: ToldOptions,
    /// Tell all there is
    #[arg(long)]
    full: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

/// A point so far left of the middle is not of the right half, mm.
const LEFT_MM: f64 = 1.0;

/// Corners of a half, mm: right of the middle, behind the nose.
type Corners = Vec<[f64; 2]>;

impl Outline {
    /// Points of the right half, or all round the plane where that is said.
    fn right_half(&self, corners: Corners) -> Result<Corners, String> {
        let left = corners.iter().map(|c| c[0]).fold(f64::MAX, f64::min);
        match !self.whole && left < -LEFT_MM {
            true => Err(format!(
                "a point lies {} mm left of the middle: say --whole for points all round the plane, or \
                 give those of its right half alone",
                -left
            )),
            false => Ok(corners),
        }
    }

    /// The design text made of typed points, written where asked; none for a file that is one.
    fn written(&self, system: &System) -> Result<Option<Source>, Error> {
        let ending = self.file.as_deref().map(ending).unwrap_or_default();
        let wrong = |file: &Path, why: String| Error::input(format!("{}: {why}", file.display()));
        let shape = match (&self.stations, &self.file) {
            (Some(corners), _) => (Shape::Corners(corners.clone()), true),
            (None, Some(file)) if ending == "csv" || ending == "svg" => {
                let text = system.read_design(file)?.text;
                match ending.as_str() {
                    "csv" => words::table(&text)
                        .and_then(|c| self.right_half(c))
                        .map(|c| (Shape::Corners(c), !self.whole)),
                    _ => words::svg_path(&text).map(|d| (Shape::Path(d), !self.whole)),
                }
                .map_err(|why| wrong(file, why))?
            }
            _ if self.output.is_some() || self.balance.is_some() => {
                return Err(Error::usage("only points are written: the file is a plane already")
                    .hint("change its `measured` line, or leave out -o and --balance"));
            }
            _ => return Ok(None),
        };
        let Some(balance) = self.balance else {
            return Err(Error::usage("points say nothing of where the plane balances")
                .hint("measure it and give --balance, such as --balance 80"));
        };
        let named = self.file.as_deref().or(self.output.as_deref());
        let told = self.told.told(named.unwrap_or(Path::new("Measured")));
        let text = outlined(&told, Vec::new(), shape, balance).text();
        if let Some(path) = &self.output {
            system.write(path, text.as_bytes(), Overwrite::Never)?;
        }
        let name =
            self.output.as_deref().or(self.file.as_deref()).unwrap_or(Path::new("--stations"));
        Ok(Some(Source { name: name.display().to_string(), text, form: Form::default() }))
    }

    /// Weighs, flies, answers.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let file = match self.written(system)? {
            Some(source) => DesignFile::of(source, global)?,
            None => {
                DesignFile::open(self.file.as_deref().unwrap_or(Path::new("-")), global, system)?
            }
        };
        let (plane, reasons) = file.explained(&self.flight, system)?;
        if plane.balanced.source.folded().is_some() {
            return Err(Error::input(format!("{} has no `outline` line", file.source.name))
                .hint("`plumbfold check` takes designs with folds; `plumbfold help outline` shows the form"));
        }
        let answer = view::Outline::new(&plane, &reasons, &self.flight.conditions()?.air);
        let amount = if self.full { Amount::Full } else { Amount::Page };
        let report = || page::page(&plane.balanced, &answer.balance, &answer.in_the_air, amount);
        tell(&answer, report, global, system)
    }
}
