//! Answers as other programs read them. Key names and units are a promise: mm, mm2, g, degrees,
//! m/s, fractions. The structs are filled by hand from the types of the science, which promise
//! nothing about JSON.

use plumbfold::design::diagnostic::{Diagnostic, Severity};
use plumbfold::fold::exec::StepRecord;
use plumbfold::pipeline::{Balanced, FoldOutcome};
use plumbfold::rig;
use serde::Serialize;

use super::diagnostics::place;
use crate::error::Error;
use crate::world::{Source, World};

/// Raised when a key changes its meaning or goes; new keys do not raise it.
const SCHEMA: u32 = 1;

/// Every answer, with the schema first.
#[derive(Serialize)]
struct Answer<'a, T> {
    schema: u32,
    #[serde(flatten)]
    answer: &'a T,
}

/// Prints one answer.
pub fn answer(world: &mut World, answer: &impl Serialize) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(&Answer { schema: SCHEMA, answer })
        .map_err(|e| Error::internal(format!("cannot write the answer as JSON: {e}")))?;
    world.answer(&(text + "\n"))
}

/// Mistakes in place of an answer.
#[derive(Serialize)]
pub struct Mistakes {
    /// In the order of the text.
    pub errors: Vec<Mistake>,
}

/// One mistake or warning.
#[derive(Debug, Serialize)]
pub struct Mistake {
    #[serde(flatten)]
    place: Option<TextPlace>,
    severity: &'static str,
    code: &'static str,
    message: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
}

/// Where in a file; lines and columns from 1.
#[derive(Debug, Serialize)]
struct TextPlace {
    file: String,
    line: usize,
    column: usize,
}

impl Mistake {
    /// A mistake that stands nowhere in a text.
    pub fn placeless(code: &'static str, message: String, help: Option<String>) -> Self {
        Self { place: None, severity: "error", code, message, help }
    }

    /// From what a stage reports.
    pub fn new(source: &Source, d: &Diagnostic) -> Self {
        let (line, column) = place(&source.text, d.span.start);
        Self {
            place: Some(TextPlace { file: source.name.clone(), line, column }),
            severity: match d.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            code: d.code,
            message: d.message.clone(),
            help: d.help.clone(),
        }
    }
}

/// Answer of `balance`, and the first part of `check`.
#[derive(Serialize)]
pub struct Balance {
    pub name: String,
    pub mass_g: f64,
    pub cg: Place,
    pub planform: Planform,
    pub area_ahead_fraction: f64,
    pub cg_mac_fraction: f64,
    pub quarter_area_behind_nose_mm: f64,
    pub inertia_g_mm2: Inertia,
    pub layers: Layers,
}

/// Centre of gravity.
#[derive(Serialize)]
pub struct Place {
    pub behind_nose_mm: f64,
    pub above_keel_mm: f64,
}

/// The wing seen from above.
#[derive(Serialize)]
pub struct Planform {
    pub area_mm2: f64,
    pub span_mm: f64,
    pub aspect_ratio: f64,
    pub mean_chord_mm: f64,
    pub mac_mm: f64,
    pub mac_le_behind_nose_mm: f64,
}

/// Moments of inertia about the centre of gravity, body axes; `xz` is the product of inertia
/// (the integral of x z dm).
#[derive(Serialize)]
pub struct Inertia {
    pub xx: f64,
    pub yy: f64,
    pub zz: f64,
    pub xz: f64,
}

/// Layers of paper.
#[derive(Serialize)]
pub struct Layers {
    /// Thickest place.
    pub max: usize,
    /// Most layers that one crease bends.
    pub at_crease_max: usize,
}

impl Balance {
    /// From SI and radians to the units of the contract.
    pub fn new(b: &Balanced) -> Self {
        let (m, p) = (&b.mass, &b.planform);
        let [mm, mm2, g_mm2] = [1e3, 1e6, 1e9];
        let i = &m.inertia_kg_m2;
        Self {
            name: b.airframe.name.clone(),
            mass_g: m.mass_kg * 1e3,
            cg: Place {
                behind_nose_mm: m.behind_nose_m() * mm,
                above_keel_mm: m.above_keel_m() * mm,
            },
            planform: Planform {
                area_mm2: p.area_m2 * mm2,
                span_mm: p.span_m * mm,
                aspect_ratio: p.aspect_ratio,
                mean_chord_mm: p.mean_chord_m * mm,
                mac_mm: p.mac_m * mm,
                mac_le_behind_nose_mm: p.mac_le_behind_nose_m * mm,
            },
            area_ahead_fraction: b.area_ahead_fraction,
            cg_mac_fraction: b.cg_mac_fraction,
            quarter_area_behind_nose_mm: p.quarter_area_behind_nose_m * mm,
            inertia_g_mm2: Inertia {
                xx: i.m11 * g_mm2,
                yy: i.m22 * g_mm2,
                zz: i.m33 * g_mm2,
                xz: -i.m13 * g_mm2,
            },
            layers: Layers { max: b.layers_max, at_crease_max: b.folded.crease_layers_max() },
        }
    }
}

/// Answer of `fold`.
#[derive(Serialize)]
pub struct Fold {
    pub name: String,
    pub steps: Vec<Step>,
    /// Width and height on the table.
    pub size_mm: [f64; 2],
    pub layers: Layers,
    /// From the table upwards.
    pub faces: Vec<Face>,
}

/// One step, repeats written out.
#[derive(Serialize)]
pub struct Step {
    pub step: usize,
    /// Line of the text.
    pub line: usize,
    pub text: String,
    pub layers_bent: usize,
}

/// One face of the folded model.
#[derive(Serialize)]
pub struct Face {
    /// Outline on the unfolded sheet.
    pub sheet_mm: Vec<[f64; 2]>,
    /// The same corners on the table.
    pub table_mm: Vec<[f64; 2]>,
    pub printed_side_up: bool,
}

impl Fold {
    /// From SI.
    pub fn new(source: &Source, f: &FoldOutcome) -> Self {
        let model = &f.run.folded;
        let face = |&id: &usize| {
            let face = &model.faces[id];
            Face {
                sheet_mm: face.polygon.iter().map(|p| [p.x * 1e3, p.y * 1e3]).collect(),
                table_mm: model.table_polygon(id).iter().map(|p| [p.x * 1e3, p.y * 1e3]).collect(),
                printed_side_up: face.placement.det() > 0.0,
            }
        };
        let faces: Vec<Face> = model.order.iter().map(face).collect();
        let step = |(i, s): (usize, &StepRecord)| Step {
            step: i + 1,
            line: place(&source.text, s.span.start).0,
            text: source.text[s.span.clone()].split_whitespace().collect::<Vec<_>>().join(" "),
            layers_bent: s.passes.iter().map(|p| p.layers_bent).max().unwrap_or(0),
        };
        let extent = |axis: usize| {
            let places = || faces.iter().flat_map(|f| &f.table_mm).map(|p| p[axis]);
            places().fold(f64::MIN, f64::max) - places().fold(f64::MAX, f64::min)
        };
        Self {
            name: rig::name(&f.design),
            steps: f.run.steps.iter().enumerate().map(step).collect(),
            size_mm: [extent(0), extent(1)],
            layers: Layers { max: f.layers_max(), at_crease_max: f.crease_layers_max() },
            faces,
        }
    }
}
