//! Which pictures there are, and what each is drawn from.

use std::path::{Path, PathBuf};

use plumbfold::air::Air;
use plumbfold::pipeline::{self, Analysed, Balanced, FoldOutcome};
use plumbfold::plane::assembly;
use plumbfold::verdict::reasons::Reasons;
use plumbfold_draw::fit::Size;
use plumbfold_draw::split::BalanceMarks;
use plumbfold_draw::style::Look;
use plumbfold_draw::{folded, pose, run, sheet, split, steps};
use plumbfold_view::picture::in_the_air;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::system::{Source, System};

/// Largest width and height of a picture, mm: it fits on A4 and on a screen.
pub const ROOM: Size = Size::Within([180.0, 230.0]);

/// Panels in a row of folding instructions: as wide as A4.
const STEP_COLUMNS: usize = 3;

/// A picture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum What {
    /// The unfolded sheet with its creases and step numbers
    Sheet,
    /// The folded model
    Folded,
    /// The number of layers everywhere on the folded model
    Layers,
    /// Every step: the model before it, the fold and what the design says
    Steps,
    /// The plane as it flies: from above, from behind, from the side, at an angle
    Pose,
    /// The wing cut at the balance point, with both shares of the area
    Split,
    /// The throw from the side and from above, the plane drawn along it at equal times
    Throw,
    /// Lift, drag and centre of pressure against incidence, with the balance point
    Curves,
    /// Where it may balance, how it may be bent and how hard it may be thrown
    Bands,
    /// Which throw does what: speed against elevation
    Envelope,
}

/// Where a picture goes unless told otherwise: `out/halyard-sheet.svg`.
pub fn default_path(dir: &Path, source: &Source, what: What) -> PathBuf {
    dir.join(format!("{}-{}.svg", source.stem(), what.word()))
}

/// A model on the table with the text it was folded from.
struct Model<'a> {
    name: String,
    text: &'a str,
    folded: &'a FoldOutcome,
}

/// What a picture is drawn from: the model on the table, the plane in the hand, or in the air.
enum From {
    Model(fn(&Look, &Model<'_>, Size) -> String),
    Plane(fn(&Look, &Balanced, Size) -> String),
    Flight(fn(&Look, &Analysed) -> Result<String, Error>),
    Reasons(fn(&Look, &Analysed, &Reasons) -> String),
}

impl What {
    /// Its word on the command line and in file names.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sheet => "sheet",
            Self::Folded => "folded",
            Self::Layers => "layers",
            Self::Steps => "steps",
            Self::Pose => "pose",
            Self::Split => "split",
            Self::Throw => "throw",
            Self::Curves => "curves",
            Self::Bands => "bands",
            Self::Envelope => "envelope",
        }
    }

    fn from(self) -> From {
        match self {
            Self::Sheet => {
                From::Model(|look, m, size| sheet::sheet(look, &m.name, &m.folded.run.folded, size))
            }
            Self::Folded => From::Model(|look, m, size| {
                folded::folded(look, &m.name, &m.folded.run.folded, size)
            }),
            Self::Layers => From::Model(|look, m, size| {
                folded::layers(look, &m.name, &m.folded.run.folded, size)
            }),
            Self::Steps => From::Model(|look, m, _| {
                let shown = run::shown(&m.folded.run, m.text, &m.folded.values);
                steps::instructions(look, &m.name, &shown, &m.folded.run.folded, STEP_COLUMNS)
            }),
            Self::Pose => From::Plane(|look, plane, size| {
                pose::pose(look, &plane.airframe, Some(plane.mass.cg_m), size)
            }),
            Self::Split => From::Plane(|look, plane, size| {
                let marks = BalanceMarks {
                    cg_behind_nose_m: plane.mass.behind_nose_m(),
                    neutral_behind_nose_m: neutral_behind_nose_m(plane),
                };
                split::split(look, &plane.airframe.name, &plane.planform, marks, size)
            }),
            Self::Throw => From::Flight(|look, a| Ok(in_the_air::throw(look, a))),
            Self::Curves => From::Flight(|look, a| Ok(in_the_air::curves(look, a))),
            Self::Bands => From::Reasons(in_the_air::bands),
            Self::Envelope => From::Flight(|look, a| {
                in_the_air::envelope(look, a).map_err(|e| Error::input(e.to_string()))
            }),
        }
    }

    /// Draws a design, taken no further than the picture needs.
    pub fn of_file(
        self,
        file: &DesignFile,
        flight: &FlightOptions,
        size: Size,
        system: &mut System,
    ) -> Result<String, Error> {
        let look = Look::light(self.word());
        match self.from() {
            From::Model(draw) => {
                Ok(draw(&look, &Model::new(&file.source, &file.fold(system)?), size))
            }
            From::Plane(draw) => Ok(draw(&look, &file.balance(system)?, size)),
            From::Flight(draw) => draw(&look, &file.analyse(flight, system)?),
            From::Reasons(draw) => {
                let (plane, reasons) = file.explained(flight, system)?;
                Ok(draw(&look, &plane, &reasons))
            }
        }
    }

    /// Draws a plane that was flown; none of folds it does not have.
    pub fn of_plane(
        self,
        source: &Source,
        plane: &Analysed,
        reasons: &Reasons,
    ) -> Result<Option<String>, Error> {
        let look = Look::light(self.word());
        match self.from() {
            From::Model(draw) => {
                let folded = plane.balanced.source.folded();
                Ok(folded.map(|f| draw(&look, &Model::new(source, f), ROOM)))
            }
            From::Plane(draw) => Ok(Some(draw(&look, &plane.balanced, ROOM))),
            From::Flight(draw) => draw(&look, plane).map(Some),
            From::Reasons(draw) => Ok(Some(draw(&look, plane, reasons))),
        }
    }
}

/// The neutral point at the throw the design speaks of; none for a plane that cannot be flown.
fn neutral_behind_nose_m(plane: &Balanced) -> Option<f64> {
    let craft = pipeline::aircraft(plane, &Air::indoors(), plane.throw.speed_m_s).ok()?;
    Some(craft.aero.neutral_point_behind_nose_m)
}

impl<'a> Model<'a> {
    fn new(source: &'a Source, folded: &'a FoldOutcome) -> Self {
        Self { name: assembly::name(&folded.design), text: &source.text, folded }
    }
}
