//! What the page can have printed, made from the text that came with the question.

use plumbfold::pipeline::{self, Balanced, Problems, Settings, ThrowChange};
use plumbfold::verdict::aircraft::Conditions;
use plumbfold_draw::units::Units;
use plumbfold_print::booklet::{Cautions, Layout, Lesson};
use plumbfold_print::page::{Page, Paper};
use plumbfold_print::solid::{self, Form};
use plumbfold_print::template::{Side, Sides, Template};
use plumbfold_print::{card, dxf, html, model, pdf};
use serde::Deserialize;

/// What the page asks.
#[derive(Deserialize)]
pub struct Question {
    /// The design text.
    text: String,
    what: What,
    /// The reader thinks in inches.
    #[serde(default)]
    inch: bool,
}

/// Things to print.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Template,
    Steps,
    Card,
    Svg,
    Dxf,
    /// All of it in one file for a browser.
    Page,
    Stl,
    Glb,
}

/// The media type and the file.
///
/// # Errors
/// Why there is none, in words: mistakes of the text, or a plane without folds.
pub fn press(question: &Question) -> Result<(&'static str, Vec<u8>), String> {
    let Question { text, what, inch } = question;
    let units = if *inch { Units::Inch } else { Units::Mm };
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
        What::Svg => {
            let svg = template(&plane, units)?.svg(Side::Front);
            return Ok(("image/svg+xml", svg.into_bytes()));
        }
        What::Dxf => {
            let drawing = dxf::write(&template(&plane, units)?);
            return Ok(("image/vnd.dxf", drawing.into_bytes()));
        }
        What::Template => {
            let sheet = template(&plane, units)?;
            sheet.pages(Some(Paper::for_sheet(sheet.sheet_mm())), Sides::AsNeeded)
        }
        What::Steps => {
            let folded = plane.source.folded().ok_or(NO_FOLDS)?;
            let lesson = Lesson::new(folded, &plane, text, units);
            let paper = Paper::for_sheet(lesson.sheet_mm());
            lesson.pages(paper, Layout::for_steps(4), "d", 1, Cautions::Here)
        }
        What::Card => vec![flight_card(&plane, units).map_err(told)?],
        What::Page => {
            let lesson = plane.source.folded().map(|f| Lesson::new(f, &plane, text, units));
            let card = flight_card(&plane, units).map_err(told)?;
            let page = html::plane(&plane.airframe.name, &card, lesson.as_ref(), text);
            return Ok(("text/html", page.into_bytes()));
        }
    };
    let bytes = pdf::write(&plane.airframe.name, &pages).map_err(|e| e.to_string())?;
    Ok(("application/pdf", bytes))
}

const NO_FOLDS: &str = "a plane given by its outline has no folds to print";

fn flight_card(plane: &Balanced, units: Units) -> Result<Page, Problems> {
    let conditions = Conditions::default();
    let flown = pipeline::analyse_balanced(plane.clone(), &ThrowChange::default(), &conditions)?;
    let paper = Paper::for_sheet(folded_mm(plane));
    Ok(card::page(&flown, &flown.reasons(&conditions), paper, units))
}

fn template(plane: &Balanced, units: Units) -> Result<Template<'_>, String> {
    let folded = plane.source.folded().ok_or(NO_FOLDS)?;
    Template::new(folded, plane, units).map_err(|d| d.to_string())
}

/// Size of the sheet, mm; none is no size at all.
fn folded_mm(plane: &Balanced) -> [f64; 2] {
    plane.source.folded().map_or([0.0; 2], |f| f.run.sheet.sheet_m.map(|m| m * 1e3))
}
