//! What the page can have printed, made from the text that came with the question.

use plumbfold::pipeline::{self, Balanced, Problems, Settings, ThrowChange};
use plumbfold::plane::assembly;
use plumbfold::verdict::aircraft::Conditions;
use plumbfold_draw::units::Units;
use plumbfold_print::booklet::{Layout, Lesson};
use plumbfold_print::page::{Page, Paper};
use plumbfold_print::solid::{self, Form};
use plumbfold_print::template::{Side, Sides, Template};
use plumbfold_print::{card, collection, dxf, html, model, pdf};
use serde::Deserialize;

/// What the page asks.
#[derive(Deserialize)]
pub struct Question {
    /// The design text.
    text: String,
    what: What,
    /// Texts of the other planes of a booklet.
    #[serde(default)]
    more: Vec<String>,
    /// What the printer takes; that of the sheet where it is not said.
    paper: Option<PaperName>,
    /// Steps on a page at most.
    per_page: Option<usize>,
    /// Lines where edges come to lie, on the sheet.
    #[serde(default)]
    guides: bool,
    /// The reader thinks in inches.
    #[serde(default)]
    inch: bool,
}

/// Paper as the page names it.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum PaperName {
    A4,
    Letter,
}

/// Things to print.
#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "snake_case")]
enum What {
    Template,
    Steps,
    /// The steps of this plane and of others, with contents.
    Booklet,
    Card,
    Svg,
    /// The back of the sheet, as seen from behind.
    SvgBack,
    Dxf,
    /// The steps for a browser.
    Html,
    /// All of it in one file for a browser.
    Page,
    Stl,
    Obj,
    Glb,
}

/// The media type and the file.
///
/// # Errors
/// Why there is none, in words: mistakes of the text, or a plane without folds.
pub fn press(question: &Question) -> Result<(&'static str, Vec<u8>), String> {
    let Question { text, what, more, paper, per_page, guides, inch } = question;
    let units = if *inch { Units::Inch } else { Units::Mm };
    let settings = Settings::default();
    let told = |p: Problems| p.with_advice(text, &settings).to_string();
    let plane = pipeline::balance(text, &settings).map_err(told)?;
    let paper = |own: Paper| match paper {
        Some(PaperName::A4) => Paper::A4,
        Some(PaperName::Letter) => Paper::LETTER,
        None => own,
    };
    let layout = per_page.map_or_else(Layout::default, Layout::for_steps);
    let sheet = || {
        let folded = plane.source.folded().ok_or(NO_FOLDS)?;
        let sheet = Template::new(folded, &plane, units).map_err(|d| d.to_string())?;
        Ok::<_, String>(if *guides { sheet.guided(&folded.run) } else { sheet })
    };
    let mut title = plane.airframe.name.clone();
    let pages = match what {
        What::Stl | What::Obj | What::Glb => {
            // An outline says nothing of the thickness.
            plane.source.folded().ok_or(NO_FOLDS)?;
            let meshes = solid::meshes(&plane.airframe, Form::Solid);
            return Ok(match what {
                What::Stl => ("model/stl", model::stl(&meshes)),
                What::Obj => ("model/obj", model::obj(&title, &meshes).into_bytes()),
                _ => ("model/gltf-binary", model::glb(&title, &meshes)),
            });
        }
        What::Svg | What::SvgBack => {
            let side = if matches!(what, What::Svg) { Side::Front } else { Side::Back };
            let svg = sheet()?.svg(side);
            return Ok(("image/svg+xml", svg.into_bytes()));
        }
        What::Dxf => {
            let drawing = dxf::write(&sheet()?);
            return Ok(("image/vnd.dxf", drawing.into_bytes()));
        }
        What::Html => {
            let page = html::write(&lesson(&plane, text, units)?);
            return Ok(("text/html", page.into_bytes()));
        }
        What::Template => {
            let sheet = sheet()?;
            sheet.pages(Some(paper(Paper::for_sheet(sheet.sheet_mm()))), Sides::AsNeeded)
        }
        What::Steps => {
            let lesson = lesson(&plane, text, units)?;
            let paper = paper(Paper::for_sheet(lesson.sheet_mm()));
            lesson.pages(paper, layout, "d", 1)
        }
        What::Booklet if more.len() > OTHERS_MAX => {
            return Err(format!(
                "a booklet here holds {OTHERS_MAX} planes beside this one at most"
            ));
        }
        What::Booklet => {
            let others = more.iter().map(|text| {
                let name = || assembly::name(&pipeline::read(text, &settings).design);
                let plane = pipeline::balance(text, &settings);
                plane.map_err(|p| format!("{}: {}", name(), p.with_advice(text, &settings)))
            });
            let planes = std::iter::once(Ok(plane)).chain(others).collect::<Result<Vec<_>, _>>()?;
            let texts = std::iter::once(text).chain(more);
            let lessons = planes.iter().zip(texts).map(|(plane, text)| {
                lesson(plane, text, units).map_err(|why| format!("{}: {why}", plane.airframe.name))
            });
            let lessons = lessons.collect::<Result<Vec<_>, _>>()?;
            let paper = paper(Paper::for_sheets(lessons.iter().map(Lesson::sheet_mm)));
            title = collection::TITLE.to_owned();
            collection::pages(&lessons, paper, layout)
        }
        What::Card => vec![flight_card(&plane, paper, units).map_err(told)?],
        What::Page => {
            let lesson = plane.source.folded().map(|f| Lesson::new(f, &plane, text, units));
            let card = flight_card(&plane, paper, units).map_err(told)?;
            let page = html::plane(&title, &card, lesson.as_ref(), text);
            return Ok(("text/html", page.into_bytes()));
        }
    };
    let bytes = pdf::write(&title, &pages).map_err(|e| e.to_string())?;
    Ok(("application/pdf", bytes))
}

/// Most planes of a booklet beside the one on the page: some seconds of work.
const OTHERS_MAX: usize = 60;

const NO_FOLDS: &str = "a plane given by its outline has no folds to print";

fn lesson<'a>(plane: &'a Balanced, text: &str, units: Units) -> Result<Lesson<'a>, String> {
    Ok(Lesson::new(plane.source.folded().ok_or(NO_FOLDS)?, plane, text, units))
}

fn flight_card(
    plane: &Balanced,
    paper: impl Fn(Paper) -> Paper,
    units: Units,
) -> Result<Page, Problems> {
    let conditions = Conditions::default();
    let flown = pipeline::analyse_balanced(plane.clone(), &ThrowChange::default(), &conditions)?;
    let paper = paper(Paper::for_sheet(folded_mm(plane)));
    Ok(card::page(&flown, &flown.reasons(&conditions), paper, units))
}

/// Size of the sheet, mm; none is no size at all.
fn folded_mm(plane: &Balanced) -> [f64; 2] {
    plane.source.folded().map_or([0.0; 2], |f| f.run.sheet.sheet_m.map(|m| m * 1e3))
}
