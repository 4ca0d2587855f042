mod svg;

use std::path::{Path, PathBuf};

use kurbo::{BezPath, PathEl};
use plumbfold::design::begin::Shape;
use plumbfold_trace::words;
use plumbfold_view::outline as view;
use plumbfold_view::said::fixed;
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
/// A plane somebody folded already: lay it flat, measure its corners from the
/// nose (to the right, and back), weigh it, balance it on an edge, and write
/// that down:
///
///   plane Found
///   outline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (0 mm, 200 mm), mirrored
///   measured mass 5 g, balance 97 mm, dihedral 8 deg, keel 20 mm
///   trim elevator up 1 mm, 10 mm deep
///   throw 4 m/s, level, from 1.6 m
///
/// The outline may be path data of SVG in mm: `outline path M 0 0 L 80 180 V
/// 200 H 0 mirrored`. `check`, `balance`, `aero`, `fly` and `draw` take such a
/// file too.
///
/// Or let it be written: half widths at stations behind the nose (--stations),
/// a table of points (.csv: right of the middle, behind the nose; of the right
/// half), or a drawing (.svg, its one path, in mm; of the right half, its inner
/// side at 0), each with --balance, go into the file named by -o. `plumbfold
/// trace` makes one from a photo.
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
    #[arg(long, value_name = "MM", value_parser = mm, allow_negative_numbers = true)]
    balance: Option<f64>,
    /// The points go all round the plane, not round its right half
    #[arg(long, conflicts_with = "stations")]
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

/// A point so far left of the middle is not of the right half, mm; so far right of it an inner side is
/// not the middle.
const OFF_MM: f64 = 1.0;
/// Farther off no plane is drawn, mm; its design text tells.
const FAR_MM: f64 = 1e4;
/// Curves are drawn to this by straight lines, mm.
const CURVE_MM: f64 = 0.05;
/// No plane of a sheet in use is wider: its units may not be mm (the longer side of A3 is 420 mm, which
/// folded is less).
const WIDE_MM: f64 = 350.0;

/// Corners of a half, mm: right of the middle, behind the nose.
type Corners = Vec<[f64; 2]>;

/// Corners of a shape, curves as short lines; none where it cannot be read, which its design text tells.
fn points(shape: &Shape) -> Corners {
    match shape {
        Shape::Corners(corners) => corners.clone(),
        Shape::Path(data) => {
            let mut out = Vec::new();
            let path = BezPath::from_svg(data).unwrap_or_default();
            let bounds = path.control_box();
            if ![bounds.x0, bounds.x1, bounds.y0, bounds.y1].iter().all(|mm| mm.abs() < FAR_MM) {
                return Vec::new();
            }
            kurbo::flatten(path.elements().iter().copied(), CURVE_MM, |e| {
                if let PathEl::MoveTo(p) | PathEl::LineTo(p) = e {
                    out.push([p.x, p.y]);
                }
            });
            out
        }
    }
}

impl Outline {
    /// Points of the right half that begin in the middle, or all round the plane where that is said:
    /// these are moved so that their own middle is that of the plane.
    fn placed(&self, shape: Shape, system: &mut System) -> Result<Shape, String> {
        let corners = points(&shape);
        let rights = || corners.iter().map(|c| c[0]);
        let (low, high) = (rights().fold(f64::MAX, f64::min), rights().fold(f64::MIN, f64::max));
        let middle = f64::midpoint(low, high);
        if self.whole {
            if middle.abs() <= OFF_MM || corners.is_empty() {
                return Ok(shape);
            }
            system.message(&format!(
                "the middle of the plane is taken {} mm right of 0, half way between its wing tips\n",
                fixed(middle, 1)
            ));
            return Ok(Shape::Corners(corners.iter().map(|[x, y]| [x - middle, *y]).collect()));
        }
        if low < -OFF_MM {
            return Err(format!(
                "a point lies {} mm left of the middle: say --whole for points all round the plane, or \
                 give those of its right half alone",
                fixed(-low, 1)
            ));
        }
        let near = |p: [f64; 2]| corners.iter().any(|q| (q[0] - p[0]).hypot(q[1] - p[1]) < OFF_MM);
        if low > OFF_MM && high - low > OFF_MM {
            if corners.len() > 3 && corners.iter().all(|[x, y]| near([2.0 * middle - x, *y])) {
                return Err(format!(
                    "all points lie right of 0, alike on both sides of {} mm: for points all round the \
                     plane say --whole",
                    fixed(middle, 1)
                ));
            }
            let ends = [corners.first(), corners.last()].into_iter().flatten();
            if ends.into_iter().all(|c| c[0] - low < OFF_MM) {
                return Err(format!(
                    "its inner side lies {low} mm right of 0, where the middle of the plane is: take {low} \
                     mm from all places to the right; or, where these are half widths, add the middle of \
                     nose and tail, at 0",
                    low = fixed(low, 1)
                ));
            }
        }
        Ok(shape)
    }

    /// The design text made of typed points, written where asked; none for a file that is one.
    fn written(&self, system: &mut System) -> Result<Option<Source>, Error> {
        let ending = self.file.as_deref().map(ending).unwrap_or_default();
        let wrong = |file: &Path, why: String| Error::input(format!("{}: {why}", file.display()));
        let shape = match (&self.stations, &self.file) {
            (Some(corners), _) => (Shape::Corners(corners.clone()), true),
            (None, Some(file)) if ending == "csv" || ending == "svg" => {
                let text = system.read_design(file)?.text;
                match ending.as_str() {
                    "csv" => words::table(&text).map(Shape::Corners),
                    _ => svg::path(&text).map(|drawn| {
                        let half = if self.whole { 0.5 } else { 1.0 };
                        let corners = points(&Shape::Path(drawn.data.clone()));
                        let wide = corners.iter().any(|c| 2.0 * half * c[0].abs() > WIDE_MM);
                        if !drawn.in_mm && wide {
                            system.message(
                                "the drawing does not say how large a unit is; it is taken as 1 mm, which \
                                 makes a very large plane\n",
                            );
                        }
                        Shape::Path(drawn.data)
                    }),
                }
                .and_then(|shape| self.placed(shape, system))
                .map(|shape| (shape, !self.whole))
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
