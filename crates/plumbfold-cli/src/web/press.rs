//! What the page can have printed, made from the text that came with the question.

use plumbfold::pipeline::{self, Balanced, Problems, Settings, ThrowChange};
use plumbfold::verdict::aircraft::Conditions;
use plumbfold_print::booklet::{Layout, Lesson};
use plumbfold_print::page::Page;
use plumbfold_print::solid::{self, Form};
use plumbfold_print::template::{Sides, Template};
use plumbfold_print::{card, model, pdf};
use serde::Deserialize;

use crate::paper::PaperName;

/// What the page asks.
#[derive(Deserialize)]
pub struct Question {
    /// The design text.
    text: String,
    what: What,
    /// Paper of the pages; without, that of the sheet if printers take it.
    paper: Option<PaperName>,
}

/// Things to print.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Template,
    Steps,
    Card,
    Stl,
    Glb,
}

/// The media type and the file.
///
/// # Errors
/// Why there is none, in words: mistakes of the text, or a plane without folds.
pub fn press(question: &Question) -> Result<(&'static str, Vec<u8>), String> {
    let Question { text, what, .. } = question;
    let settings = Settings::default();
    let told = |p: Problems| p.with_advice(text, &settings).to_string();
    let plane = pipeline::balance(text, &settings).map_err(told)?;
    let pages = match what {
        What::Stl | What::Glb => {
            // An outline says nothing of the thickness.
            plane.source.folded().ok_or(NO_FOLDS)?;
            let meshes = solid::meshes(&plane.airframe, Form::Solid);
            return Ok(match what {
                What::Stl => ("model/stl", model::stl(&meshes)),
                _ => ("model/gltf-binary", model::glb(&plane.airframe.name, &meshes)),
            });
        }
        What::Template => template(question, &plane)?,
        What::Steps => {
            let folded = plane.source.folded().ok_or(NO_FOLDS)?;
            let lesson = Lesson::new(folded, &plane, text);
            let paper = PaperName::for_sheet(question.paper, folded_mm(&plane));
            lesson.pages(paper, Layout::for_steps(6), "d", 1)
        }
        What::Card => {
            let paper = PaperName::for_sheet(question.paper, folded_mm(&plane));
            let (change, conditions) = (ThrowChange::default(), Conditions::default());
            let flown = pipeline::analyse_balanced(plane.clone(), &change, &conditions);
            let flown = flown.map_err(told)?;
            vec![card::page(&flown, &flown.reasons(&conditions), paper)]
        }
    };
    let bytes = pdf::write(&plane.airframe.name, &pages).map_err(|e| e.to_string())?;
    Ok(("application/pdf", bytes))
}

const NO_FOLDS: &str = "a plane given by its outline has no folds to print";

fn template(question: &Question, plane: &Balanced) -> Result<Vec<Page>, String> {
    let folded = plane.source.folded().ok_or(NO_FOLDS)?;
    let sheet = Template::new(folded, plane).map_err(|d| d.to_string())?;
    let paper = PaperName::for_sheet(question.paper, sheet.sheet_mm());
    Ok(sheet.pages(Some(paper), Sides::AsNeeded))
}

/// Size of the sheet, mm; none is no size at all.
fn folded_mm(plane: &Balanced) -> [f64; 2] {
    plane.source.folded().map_or([0.0; 2], |f| f.run.sheet.sheet_m.map(|m| m * 1e3))
}
