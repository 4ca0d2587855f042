use std::path::{Path, PathBuf};

use plumbfold::design::ast::Unit;
use plumbfold::design::defaults::THROW_SPEED_M_S;
use plumbfold::pipeline::{self, Settings};
use plumbfold_draw::photo::Photo as Over;
use plumbfold_draw::style::Look;
use plumbfold_trace::ask::{Ask, Balanced, Edit, Reference, Spot};
use plumbfold_trace::balance::{EDGE_SD_MM, Support};
use plumbfold_trace::error::{ByHand, TraceError};
use plumbfold_trace::photo::Photo;
use plumbfold_trace::polygon::Pt;
use plumbfold_trace::shares::Measured;
use plumbfold_trace::trace::Stage;
use plumbfold_trace::view::Lens;
use plumbfold_trace::{Seen, trace_seen, words};
use plumbfold_view::picture::traced::{traced, unfinished};
use plumbfold_view::said::fixed;
use plumbfold_view::trace::{A4_SHEET_G, Told, Trace as Answer};

use crate::error::Error;
use crate::flight_options::{between, speed};
use crate::interrupt;
use crate::measured::{mm, sheet, within};
use crate::options::Global;
use crate::picture;
use crate::progress;
use crate::report::{json, trace as report};
use crate::system::{Overwrite, System};

/// Measure a plane somebody folded, from a photo
///
/// Lay the plane flat on a sheet of known size (a coloured or dark one for a
/// white plane), with some table all round, and take the photo from above. The
/// sheet's corners give the scale and take out the slant; its edges straighten
/// the lens. Everything found is drawn over the photo by
/// --overlay, also where the rest fails, and each piece of it can be said by hand instead. The photo stays on this machine.
///
/// Places are `410,322` in dots of the upright photo (right, down), or `120
/// mm,40 mm` on the sheet, from its corner at the top left. The text written by
/// -o is a plane for every other command.
///
/// Where it balances no photo shows. Lay the plane over a ruler's edge, mark
/// where the edge leaves the paper on both sides, and give both marks: one line
/// is enough for a symmetric plane, three tell how sure it is. Or hang it from
/// a pin (--plumb), or weigh it on two supports (--scale).
///
/// Examples:
///   plumbfold trace gull.jpg --overlay gull.png
///   plumbfold trace gull.jpg --balance-line "410,640 980,655" --mass 4.9g -o gull.plane
///   plumbfold trace gull.jpg --sheet Letter --move 12=103,40 --drop 7 -o gull.plane
///   plumbfold trace gull.jpg --scale "2.9 g at 40 mm" --scale "2.1 g at 160 mm"
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Trace {
    /// JPEG, PNG or WebP
    photo: PathBuf,
    /// Write the plane as a design text
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Draw what was found over the photo, .svg or .png
    #[arg(long, value_name = "FILE")]
    overlay: Option<PathBuf>,
    #[command(flatten)]
    scale: ScaleOptions,
    #[command(flatten)]
    found: FoundOptions,
    #[command(flatten)]
    balance: BalanceOptions,
    #[command(flatten)]
    told: ToldOptions,
}

/// What gives the scale.
#[derive(clap::Args)]
#[command(next_help_heading = "Scale")]
struct ScaleOptions {
    /// The sheet the plane lies on: A4, Letter, … or its sides, such as 300x400mm
    #[arg(long, value_name = "SHEET", value_parser = sheet, default_value = "A4", conflicts_with_all = ["marks", "ruler"])]
    sheet: [f64; 2],
    /// No sheet, but four marks or more at known places, mm; of a grid of them, the lens as well:
    /// "90,80=0,0 900,90=200,0 880,700=200,150 95,690=0,150"
    #[arg(long, value_name = "DOT=PLACE …", value_parser = words::marks, conflicts_with_all = ["ruler", "corners"])]
    marks: Option<Reference>,
    /// No sheet, but a ruler, seen straight from above: "90,80 900,90 = 200 mm"
    #[arg(long, value_name = "DOT DOT = LENGTH", value_parser = words::ruler, conflicts_with = "corners")]
    ruler: Option<Reference>,
    /// Corners of the sheet, in dots, in order round it
    #[arg(long, value_name = "DOT DOT DOT DOT", value_parser = words::corners)]
    corners: Option<[Pt; 4]>,
    /// Distortion of the lens: k1 or k1,k2 of r (1 + k1 r2 + k2 r4), r in half diagonals of the photo;
    /// 0 for none. Without it straight lines, a grid of marks or the sheet's edges tell
    #[arg(long, value_name = "K1[,K2]", value_parser = words::lens, allow_hyphen_values = true)]
    lens: Option<Lens>,
    /// Dots along something straight, such as a ruler's edge or a line of squared paper, from one end to
    /// the other; the lens is taken so that it comes straight. May be given several times
    #[arg(long, value_name = "DOT DOT DOT …", value_parser = words::straight, conflicts_with = "lens")]
    straight: Vec<Dots>,
}

/// Dots along a line.
type Dots = Vec<Pt>;

/// Places round something.
type Places = Vec<Spot>;

/// Corrections of what was found.
#[derive(clap::Args)]
#[command(next_help_heading = "Corrections")]
struct FoundOptions {
    /// How much the plane differs from the paper, in units of L*a*b* (a just visible step is 2)
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    threshold: Option<f64>,
    /// Corners of the plane, in order round it, where the photo shows it too faintly: nothing is looked
    /// for then. Give or take 0.4 mm, as a hand marks them
    #[arg(long, value_name = "PLACE PLACE PLACE …", value_parser = words::outline, conflicts_with = "threshold")]
    outline: Option<Places>,
    /// A place near the nose
    #[arg(long, value_name = "PLACE", value_parser = words::spot, conflicts_with = "axis")]
    nose: Option<Spot>,
    /// The line of symmetry, from nose to tail
    #[arg(long, value_name = "PLACE PLACE", value_parser = words::two_spots)]
    axis: Option<(Spot, Spot)>,
    /// The photo shows the underside, so left and right change places
    #[arg(long)]
    underside: bool,
    /// Move a point of the outline; may be given several times, as the next two
    #[arg(long = "move", value_name = "N=PLACE", value_parser = words::moved)]
    moves: Vec<Edit>,
    /// Add a point after another
    #[arg(long = "add", value_name = "N=PLACE", value_parser = words::added)]
    adds: Vec<Edit>,
    /// Drop a point
    #[arg(long = "drop", value_name = "N")]
    drops: Vec<usize>,
}

/// Where it balances.
#[derive(clap::Args)]
#[command(next_help_heading = "Balance")]
struct BalanceOptions {
    /// Balanced over an edge that runs through two places; may be given several times
    #[arg(long = "balance-line", value_name = "PLACE PLACE", value_parser = words::balance_line)]
    lines: Vec<Balanced>,
    /// Hung from a place, the plumb line through another: "hang 410,300 through 600,900"
    #[arg(long = "plumb", value_name = "hang PLACE through PLACE", value_parser = words::plumb)]
    plumbs: Vec<Balanced>,
    /// A scale under one of two supports, twice: "2.9 g at 40 mm" behind the nose
    #[arg(long = "scale", value_name = "MASS at MM", value_parser = words::support, allow_hyphen_values = true)]
    supports: Vec<Support>,
    /// Balance point already known, mm behind the nose
    #[arg(long = "balance", value_name = "MM", value_parser = mm, allow_negative_numbers = true)]
    known: Option<f64>,
    /// How surely you balance on an edge, mm
    #[arg(long, value_name = "MM", value_parser = within, allow_negative_numbers = true, default_value_t = EDGE_SD_MM)]
    within: f64,
}

/// What no photo shows.
#[derive(clap::Args)]
#[command(next_help_heading = "The plane")]
pub struct ToldOptions {
    /// Name; that of the file without it
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// Mass, g; without it that of one sheet of A4, 80 g/m2
    #[arg(long, value_name = "MASS", value_parser = mass, allow_negative_numbers = true)]
    mass: Option<f64>,
    /// Slope of the wings in flight, degrees
    #[arg(long, value_name = "ANGLE", value_parser = dihedral, default_value_t = 0.0, allow_hyphen_values = true)]
    dihedral: f64,
    /// Depth of the keel under the wings, mm, measured by ruler: lying flat it is out of sight. Without
    /// it none is taken
    #[arg(long, value_name = "MM", value_parser = mm, allow_negative_numbers = true)]
    keel: Option<f64>,
    /// Speed of the throw written into the text, m/s
    #[arg(long = "throw", value_name = "SPEED", value_parser = speed, default_value_t = THROW_SPEED_M_S)]
    throw: f64,
}

fn mass(text: &str) -> Result<f64, String> {
    // From a scrap of tissue to a plane of card; as a design text takes it.
    between(text, Unit::Gram, [0.1e-3, 100e-3]).map(|kg| kg * 1e3)
}

fn dihedral(text: &str) -> Result<f64, String> {
    let steepest = 45f64.to_radians();
    between(text, Unit::Deg, [-steepest, steepest]).map(f64::to_degrees)
}

impl ToldOptions {
    /// With the name of a file where none is said.
    pub fn told(&self, file: &Path) -> Told {
        let stem = || file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        Told {
            name: self.name.clone().unwrap_or_else(stem),
            mass_g: self.mass.unwrap_or(A4_SHEET_G),
            weighed: self.mass.is_some(),
            dihedral_deg: self.dihedral,
            keel_mm: self.keel,
            speed_m_s: self.throw,
        }
    }
}

/// How much two scales may differ from a third, of the mass (common practice, no source).
const SCALES_SHARE: f64 = 0.05;

/// Longer side of the photo inside a picture, dots: sharp on a page and a few hundred kB.
const OVERLAY_DOTS: u32 = 1600;

impl Trace {
    fn ask(&self) -> Result<Ask, Error> {
        let reference = self.scale.marks.as_ref().or(self.scale.ruler.as_ref()).cloned();
        let mut ask = Ask::of(reference.unwrap_or(Reference::Sheet(self.scale.sheet)));
        ask.corners = self.scale.corners;
        ask.lens = self.scale.lens;
        ask.straight.clone_from(&self.scale.straight);
        ask.outline.clone_from(&self.found.outline);
        ask.threshold = self.found.threshold;
        ask.nose = self.found.nose;
        ask.axis = self.found.axis;
        ask.underside = self.found.underside;
        ask.edits = [self.found.moves.as_slice(), &self.found.adds].concat();
        ask.edits.extend(self.found.drops.iter().map(|&n| Edit::Drop(n)));
        ask.edge_sd_mm = self.balance.within;
        ask.balance = [self.balance.lines.as_slice(), &self.balance.plumbs].concat();
        match self.balance.supports.as_slice() {
            [] => {}
            [a, b] => ask.balance.push(Balanced::Weighed([*a, *b])),
            _ => return Err(two_supports()),
        }
        if let Some(value) = self.balance.known {
            ask.balance.push(Balanced::Known(Measured { value, sd: self.balance.within }));
        }
        Ok(ask)
    }

    /// What two scales carry together is the mass of the plane.
    fn weighed(&self, told: Told) -> Result<Told, Error> {
        let [a, b] = self.balance.supports.as_slice() else { return Ok(told) };
        let carried_g = a.mass_g + b.mass_g;
        let unsure_g = a.half_digit_g + b.half_digit_g;
        if told.weighed && (told.mass_g - carried_g).abs() > unsure_g + SCALES_SHARE * carried_g {
            let (said, carried) = (fixed(told.mass_g, 2), fixed(carried_g, 2));
            return Err(Error::usage(format!(
                "--mass says {said} g, and the two scales carry {carried} g together"
            ))
            .hint("weigh it again, or leave out --mass: it is taken from the scales"));
        }
        Ok(if told.weighed { told } else { Told { mass_g: carried_g, weighed: true, ..told } })
    }

    /// An error of a photo, with the picture of what was found of it all the same.
    fn shown(
        &self,
        system: &System,
        photo: &Photo,
        seen: &Seen,
        error: Error,
        why: &TraceError,
    ) -> Error {
        let Some(path) = self.overlay.as_ref().filter(|_| *why != TraceError::Stopped) else {
            return error;
        };
        let jpeg = photo.jpeg(OVERLAY_DOTS);
        let [w, h] = photo.size();
        let over = Over { jpeg: &jpeg, size: [w, h] };
        let title = self.photo.file_stem().unwrap_or_default().to_string_lossy();
        let drawn =
            unfinished(&Look::light("traced"), &title, &format!("not measured: {why}"), seen, over);
        match picture::write(system, path, &drawn) {
            Ok(()) => error.hint(format!("{} shows how far it went", path.display())),
            Err(unwritten) => unwritten,
        }
    }

    /// Measures, writes, draws, tells.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let ask = self.ask()?;
        for path in [&self.overlay, &self.output].into_iter().flatten() {
            if system.same_file(path, &self.photo) {
                return Err(Error::usage(format!("{} is the photo itself", path.display()))
                    .hint("give the file that is written another name"));
            }
        }
        let (name, bytes) = system.read_picture(&self.photo)?;
        interrupt::listen();
        let bar = progress::spinner("looking at the photo");
        let go_on = |stage: Stage| {
            bar.set_message(match stage {
                Stage::Sheet => "looking for the sheet",
                Stage::Plane => "looking for the plane",
                Stage::Edges => "following its edges",
                Stage::Numbers => "measuring",
            });
            !interrupt::asked()
        };
        let mut seen = Seen::default();
        let photo = Photo::decode(&bytes).map_err(|e| refused(&name, &e))?;
        let found = trace_seen(&photo, &ask, &go_on, &mut seen);
        bar.finish_and_clear();
        let found = match found {
            Ok(found) => found,
            Err(e) => return Err(self.shown(system, &photo, &seen, refused(&name, &e), &e)),
        };
        let told = self.weighed(self.told.told(&self.photo))?;
        let answer = Answer::new(&name, &found, &told);
        // What was said of it may not fit what the photo shows: told now, not by the next command.
        pipeline::balance(&answer.text, &Settings::default()).map_err(|problems| {
            let first = problems.diagnostics.first();
            let why = first.map_or_else(|| problems.to_string(), |d| d.message.clone());
            Error::input(format!("{name}: {why}"))
                .hint("--keel, --dihedral, --mass and the balance say what no photo shows")
        })?;
        if let Some(path) = &self.overlay {
            let jpeg = photo.jpeg(OVERLAY_DOTS);
            let drawn = traced(&Look::light("traced"), &told.name, &found, &ask, &jpeg);
            picture::write(system, path, &drawn)?;
        }
        if let Some(path) = &self.output {
            system.write(path, answer.text.as_bytes(), Overwrite::Never)?;
        }
        if global.json {
            return json::answer(system, &answer);
        }
        system.report(&report::to_text(&told, &answer))?;
        for path in [&self.overlay, &self.output].into_iter().flatten() {
            system.message(&format!("{} written\n", path.display()));
        }
        Ok(())
    }
}

/// Weighing takes two readings.
pub fn two_supports() -> Error {
    Error::usage("--scale is given twice, once for each of the two supports")
        .hint("such as --scale \"2.9 g at 40 mm\" --scale \"2.1 g at 160 mm\"")
}

fn refused(name: &str, e: &TraceError) -> Error {
    if *e == TraceError::Stopped {
        return Error::stopped("nothing was written");
    }
    let options = e.by_hand().map(|by_hand| match by_hand {
        ByHand::Corners => {
            "where that is not it, give the corners of the sheet, in order round it: --corners \"90,80 \
             1500,90 1490,1100 95,1090\""
        }
        ByHand::Outline => {
            "or say how much it differs from the paper, such as --threshold 4, or give its corners: \
             --outline \"410,322 640,500 410,690\""
        }
        ByHand::Axis => {
            "if the outline that --overlay draws is right all the same, say its line of symmetry with --axis"
        }
        ByHand::Nose => "--nose says where the nose is",
    });
    let error = Error::input(format!("{name}: {e}"));
    [e.help(), options].into_iter().flatten().fold(error, Error::hint)
}
