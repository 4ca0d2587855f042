//! A design folded flat: the answer of `fold`.

use plumbfold::fold::exec::StepRecord;
use plumbfold::pipeline::FoldOutcome;
use plumbfold::plane::assembly;
use schemars::JsonSchema;
use serde::Serialize;

use crate::balance::Layers;
use crate::place::line_and_column;

/// A design folded flat.
#[derive(Serialize, JsonSchema)]
pub struct Fold {
    /// Name of the plane.
    pub name: String,
    /// Steps as they were folded, repeats written out.
    pub steps: Vec<Step>,
    /// Width and height of the model on the table, mm.
    pub size_mm: [f64; 2],
    /// Layers of paper.
    pub layers: Layers,
    /// Faces of the model, from the table upwards.
    pub faces: Vec<Face>,
}

/// One step.
#[derive(Serialize, JsonSchema)]
pub struct Step {
    /// Number of the step, from 1.
    pub step: usize,
    /// Line of the text, from 1.
    pub line: usize,
    /// The step as the text says it, in one line.
    pub text: String,
    /// Layers the step bends.
    pub layers_bent: usize,
}

/// One face of the folded model.
#[derive(Serialize, JsonSchema)]
pub struct Face {
    /// Outline on the unfolded sheet, mm: x to the right and y up from its lower left corner.
    pub sheet_mm: Vec<[f64; 2]>,
    /// The same corners on the table, mm: x to the right, y away from the folder.
    pub table_mm: Vec<[f64; 2]>,
    /// The printed side of the paper faces up.
    pub printed_side_up: bool,
}

impl Fold {
    /// From SI, and the text that was folded.
    pub fn new(text: &str, f: &FoldOutcome) -> Self {
        let model = &f.run.folded;
        let mm = |p: plumbfold::numeric::geom::TablePoint| [p.x * 1e3, p.y * 1e3];
        let face = |&id: &usize| {
            let face = &model.faces[id];
            Face {
                sheet_mm: face.polygon.iter().map(|p| [p.x * 1e3, p.y * 1e3]).collect(),
                table_mm: face.polygon.iter().map(|&p| mm(face.placement.apply(p))).collect(),
                printed_side_up: model.shows_print(id),
            }
        };
        let faces: Vec<Face> = model.order.iter().map(face).collect();
        let step = |(i, s): (usize, &StepRecord)| Step {
            step: i + 1,
            line: line_and_column(text, s.span.start).0,
            text: text[s.span.clone()].split_whitespace().collect::<Vec<_>>().join(" "),
            layers_bent: s.layers_bent,
        };
        let extent = |axis: usize| {
            let places = || faces.iter().flat_map(|f| &f.table_mm).map(|p| p[axis]);
            places().fold(f64::MIN, f64::max) - places().fold(f64::MAX, f64::min)
        };
        Self {
            name: assembly::name(&f.design),
            steps: f.run.steps.iter().enumerate().map(step).collect(),
            size_mm: [extent(0), extent(1)],
            layers: Layers::new(f),
            faces,
        }
    }
}
