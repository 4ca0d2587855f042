//! One design text to everything the bench shows of it.

use std::sync::Arc;

use nalgebra::{Point3, Vector3};
use plumbfold::design::ast::{Design, Span};
use plumbfold::design::diagnostic::Diagnostic;
use plumbfold::flight::rigid::FlightError;
use plumbfold::fold::error::FoldError;
use plumbfold::fold::exec::FoldRun;
use plumbfold::fold::state::Folded;
use plumbfold::pipeline::{self, Balanced, FoldOutcome, Settings};
use plumbfold::plane::airframe::Airframe;
use plumbfold::verdict::aircraft::Wanted;
use plumbfold_draw::style::Look;
use plumbfold_draw::{folded, sheet, split};
use serde::{Deserialize, Serialize};

use super::Depth;
use super::flight::{Flown, FlownNumbers, PathShown, VerdictShown};
use super::stage::{Place, Stage, framed};
use crate::balance;
use crate::change::{self, Change};
use crate::controls::Controls;
use crate::mistake::severity;
use crate::picture;
use crate::place::{line_and_column, utf16};

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    /// The design text.
    pub text: String,
    /// First change the text so.
    pub change: Option<Change>,
    /// Show the model after so many steps of the text; the finished one without.
    pub step: Option<usize>,
    /// How much to compute.
    #[serde(default)]
    pub depth: Depth,
    /// What lies on the table.
    #[serde(default)]
    pub show: Show,
    /// The picture that is looked at; the others are small.
    #[serde(default)]
    pub stage: Option<Stage>,
}

/// What lies on the table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Show {
    /// The sheet with its creases.
    #[default]
    Sheet,
    /// The model as it looks.
    Folded,
    /// Layer counts.
    Layers,
}

/// The answer.
#[derive(Serialize)]
pub struct Answer {
    text: String,
    depth: Depth,
    name: String,
    diagnostics: Vec<Mark>,
    controls: Option<Controls>,
    #[serde(skip_serializing_if = "Option::is_none")]
    steps: Option<Vec<StepShown>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    sheet_thumb: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    numbers: Option<Numbers>,
    pictures: Pictures,
    #[serde(skip_serializing_if = "Option::is_none")]
    panels: Option<Vec<PanelShown>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    balance_at: Option<[f64; 3]>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    ballast_at: Vec<[f64; 3]>,
    verdict: Option<VerdictShown>,
    flight_path: Option<PathShown>,
}

/// Every number of the bench.
#[derive(Serialize)]
pub struct Numbers {
    #[serde(flatten)]
    balance: balance::Balance,
    #[serde(flatten)]
    flown: Option<FlownNumbers>,
}

impl Numbers {
    /// All that can be said of a plane.
    pub fn new(b: &Balanced, flown: Option<&Flown>) -> Self {
        Self { balance: balance::Balance::new(b), flown: flown.map(|f| f.numbers(b)) }
    }
}

/// SVG texts.
#[derive(Debug, Default, Serialize)]
pub struct Pictures {
    table: Option<String>,
    edge: Option<String>,
    hall: Option<String>,
}

/// A mistake and its place, counted as JavaScript counts: UTF-16 units.
#[derive(Debug, Serialize)]
pub struct Mark {
    severity: &'static str,
    from: usize,
    to: usize,
    line: usize,
    message: String,
    label: String,
    help: Option<String>,
}

/// One line of folding.
#[derive(Debug, Serialize)]
pub struct StepShown {
    /// Numbers of its folds, from 1, as the printed steps have them: one, the first and last of
    /// several, or none for a mark.
    folds: Option<[usize; 2]>,
    from: usize,
    to: usize,
    words: String,
    picture: Option<String>,
    failed: bool,
}

/// A rigid panel, datum frame, mm.
#[derive(Debug, Serialize)]
pub struct PanelShown {
    normal: [f64; 3],
    /// Outline of each layer.
    sheets: Vec<Vec<[f64; 3]>>,
}

/// Answers a question, as long as that is wanted. Only a change that makes no sense is an error: a design with mistakes is
/// an answer that tells of them.
pub fn analyse(question: &Question, wanted: Wanted<'_>) -> Result<Answer, String> {
    let text = match &question.change {
        Some(change) => change::apply(&question.text, change)?,
        None => question.text.clone(),
    };
    let reading = pipeline::read(&text, &Settings::default());
    let controls = reading.values.as_ref().map(|v| Controls::new(&reading.design, v));
    let mut answer = Answer {
        name: plumbfold::plane::assembly::name(&reading.design),
        depth: question.depth,
        diagnostics: Vec::new(),
        controls,
        steps: None,
        sheet_thumb: None,
        numbers: None,
        pictures: Pictures::default(),
        panels: None,
        balance_at: None,
        ballast_at: Vec::new(),
        verdict: None,
        flight_path: None,
        text: String::new(),
    };
    let mark = |ds: &[Diagnostic]| ds.iter().map(|d| Mark::new(d, &text)).collect::<Vec<_>>();
    let balanced = pipeline::source(&text, &Settings::default()).and_then(|source| {
        if let Some(folded) = source.folded() {
            answer.show_folds(folded, &text, question);
        }
        pipeline::balance_source(source)
    });
    match balanced {
        Err(problems) => {
            let problems = problems.with_advice(&text, &Settings::default());
            answer.diagnostics = mark(&problems.diagnostics);
            let draw = |error: &FoldError| picture::mistake(&Look::page("table"), &text, error);
            answer.pictures.table = problems.fold.as_deref().map(draw);
        }
        Ok(balanced) => {
            answer.diagnostics = mark(balanced.source.warnings());
            answer.show(&balanced, question, wanted);
            if !wanted() {
                return Err(FlightError::Unwanted.to_string());
            }
        }
    }
    answer.text = text;
    Ok(answer)
}

impl Answer {
    /// A picture of it.
    pub fn picture(&self, place: Place) -> Option<&str> {
        let Pictures { table, edge, hall } = &self.pictures;
        match place {
            Place::Table => table.as_deref(),
            Place::Edge => edge.as_deref(),
            Place::Hall => hall.as_deref(),
            Place::Posed => None,
        }
    }

    fn show_folds(&mut self, outcome: &FoldOutcome, text: &str, question: &Question) {
        let models = step_models(&outcome.design, &outcome.run);
        let shown = question.step.and_then(|n| match n {
            0 => Some(&outcome.run.sheet),
            n => models.get(n - 1).map(|m| &m.model),
        });
        let shown = shown.unwrap_or(&outcome.run.folded);
        let frame = Stage::frame(question.stage, Place::Table);
        self.pictures.table = Some(table_picture(question.show, &self.name, shown, frame));
        self.sheet_thumb = Some(thumbnail(0, &outcome.run.sheet));
        let steps = models.iter().enumerate();
        self.steps = Some(steps.map(|(i, step)| StepShown::new(text, i + 1, step)).collect());
    }

    fn show(&mut self, b: &Balanced, question: &Question, wanted: Wanted<'_>) {
        let mm = |v: &Vector3<f64>| [v.x, v.y, v.z].map(|m| (m * 1e5).round() / 100.0);
        self.panels = Some(panels(&b.airframe));
        self.balance_at = Some(mm(&b.mass.cg_m));
        // The first of an outline is what makes it weigh and balance as measured: nobody sees it.
        let unseen = usize::from(b.source.folded().is_none());
        let seen = b.airframe.point_masses.iter().skip(unseen);
        self.ballast_at = seen.map(|m| mm(&m.at)).collect();
        let flown = Flown::new(b, self.depth, wanted)
            .map_err(|why| {
                // It folds and balances, so it is shown; that it cannot be flown is a warning.
                let marks = why.diagnostics.iter().map(|d| Mark::new(d, &question.text));
                self.diagnostics.extend(marks.map(|m| Mark { severity: "warning", ..m }));
            })
            .ok();
        self.pictures.edge = Some(edge_picture(
            &self.name,
            b,
            flown.as_ref(),
            Stage::frame(question.stage, Place::Edge),
        ));
        if let Some(flown) = &flown {
            self.pictures.hall = Some(flown.picture(b, Stage::frame(question.stage, Place::Hall)));
            self.verdict = Some(flown.verdict(b));
            self.flight_path = Some(flown.path());
        }
        self.numbers = Some(Numbers::new(b, flown.as_ref()));
    }
}

fn edge_picture(
    name: &str,
    b: &Balanced,
    flown: Option<&Flown>,
    frame: Option<[f64; 2]>,
) -> String {
    let marks = split::BalanceMarks {
        cg_behind_nose_m: b.mass.behind_nose_m(),
        neutral_behind_nose_m: flown.map(Flown::neutral_behind_nose_m),
    };
    let look = Look::page("edge");
    framed(frame, [86.0, 60.0], |size| split::split(&look, name, &b.planform, marks, size))
}

/// A step of the text, and what comes of it.
pub struct StepModel {
    /// Where it stands.
    pub span: Span,
    /// Number of its first fold, from 1, and of its last; none of a mark.
    pub folds: Option<[usize; 2]>,
    /// The model after it.
    pub model: Arc<Folded>,
}

/// What comes of each step of the text; a repeat is one step of several folds, and a mark changes
/// nothing.
pub fn step_models(design: &Design, run: &FoldRun) -> Vec<StepModel> {
    let mut now = run.sheet.clone();
    let mut records = run.steps.iter().peekable();
    let mut done = 0;
    let mut models = Vec::with_capacity(design.steps.len());
    for step in &design.steps {
        let inside = |s: &Span| step.span.start <= s.start && s.end <= step.span.end;
        let before = done;
        while let Some(record) = records.next_if(|r| inside(&r.span)) {
            now = record.after.clone();
            done += 1;
        }
        let folds = (done > before).then_some([before + 1, done]);
        models.push(StepModel { span: step.span.clone(), folds, model: now.clone() });
    }
    models
}

fn table_picture(show: Show, name: &str, model: &Folded, frame: Option<[f64; 2]>) -> String {
    let look = Look::page("table");
    framed(frame, [74.0, 90.0], |size| match show {
        Show::Sheet => sheet::sheet(&look, name, model, size),
        Show::Folded => folded::folded(&look, name, model, size),
        Show::Layers => folded::layers(&look, name, model, size),
    })
}

/// Small picture of a model, mm.
const THUMBNAIL: [f64; 2] = [34.0, 34.0];

/// Small picture of a model; `n` keeps ids on the page apart.
pub fn thumbnail(n: usize, model: &Folded) -> String {
    folded::thumbnail(&Look::page(&format!("step-{n}")), "", model, THUMBNAIL)
}

impl StepShown {
    fn new(text: &str, n: usize, StepModel { span, folds, model }: &StepModel) -> Self {
        let words = said(text.get(span.clone()).unwrap_or_default());
        Self {
            folds: *folds,
            from: utf16(text, span.start),
            to: utf16(text, span.end),
            words,
            picture: Some(thumbnail(n, model)),
            failed: false,
        }
    }
}

/// A step in one line: without comments, continuations and the blanks that line words up.
fn said(step: &str) -> String {
    let joined = step.replace("\\\n", " ").replace("\\\r\n", " ");
    let lines = joined.lines().map(|l| l.split('#').next().unwrap_or_default());
    let lines = lines.map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "));
    lines.filter(|l| !l.is_empty() && l != "end").collect::<Vec<_>>().join(": ")
}

impl Mark {
    fn new(d: &Diagnostic, text: &str) -> Self {
        Self {
            severity: severity(d.severity),
            from: utf16(text, d.span.start),
            to: utf16(text, d.span.end),
            line: line_and_column(text, d.span.start).0,
            message: d.message.clone(),
            label: d.label.clone(),
            help: d.help.clone(),
        }
    }
}

fn panels(airframe: &Airframe) -> Vec<PanelShown> {
    airframe
        .panels
        .iter()
        .map(|panel| {
            let normal = panel.placement.rotation * Vector3::z();
            let sheets = panel.laminae.iter().map(|l| {
                l.polygon
                    .iter()
                    .map(|&[u, v]| {
                        let p = panel.placement * Point3::new(u, v, l.height_m);
                        // Layers stand a tenth of a mm apart: keep ten times finer.
                        [p.x, p.y, p.z].map(|m| (m * 1e6).round() / 1e3)
                    })
                    .collect()
            });
            PanelShown { normal: [normal.x, normal.y, normal.z], sheets: sheets.collect() }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(text: &str, step: Option<usize>) -> Answer {
        let (text, show) = (text.to_owned(), Show::Folded);
        analyse(
            &Question { text, change: None, step, depth: Depth::Quick, show, stage: None },
            &|| true,
        )
        .unwrap()
    }
    const SCOW: &str = include_str!("../../../../designs/scow.plane");

    #[test]
    fn a_design_is_shown_whole() {
        let a = ask(SCOW, None);
        assert!(a.diagnostics.is_empty() && a.numbers.is_some() && a.verdict.is_some());
        assert!(
            a.pictures.table.is_some() && a.pictures.edge.is_some() && a.pictures.hall.is_some()
        );
        assert!(a.steps.is_some_and(|s| s.iter().all(|s| s.picture.is_some())));
        assert!(a.panels.is_some_and(|p| p.len() >= 4));
        assert_eq!(a.text, SCOW);
    }

    #[test]
    fn an_answer_that_nobody_waits_for_is_given_up() {
        use std::sync::atomic::{AtomicUsize, Ordering};
        const FLIGHTS: usize = 3;
        let asked = AtomicUsize::new(0);
        let wanted = || asked.fetch_add(1, Ordering::Relaxed) < FLIGHTS;
        let (text, show) = (SCOW.to_owned(), Show::Folded);
        let depth = Depth::Full;
        let q = Question { text, change: None, step: None, depth, show, stage: None };
        assert!(analyse(&q, &wanted).is_err());
        // Each of the two hundred asks once and is not flown; the reasons are not begun.
        let asked = asked.load(Ordering::Relaxed);
        assert!(asked < 260, "asked {asked} times");
    }

    #[test]
    fn every_step_has_its_own_picture() {
        let (before, after) = (ask(SCOW, Some(0)), ask(SCOW, Some(1)));
        assert_ne!(before.pictures.table, after.pictures.table);
        // A step past the end is the finished plane.
        assert_eq!(ask(SCOW, Some(99)).pictures.table, ask(SCOW, None).pictures.table);
    }

    #[test]
    fn a_mistake_is_an_answer_with_its_place_as_javascript_counts() {
        let text = format!("# \u{1F6E9} glide day\n{}", SCOW.replace("mountain", "mountian"));
        let a = ask(&text, None);
        assert!(a.numbers.is_none());
        let mark = a.diagnostics.iter().find(|d| d.severity == "error").unwrap();
        let utf16: Vec<u16> = text.encode_utf16().collect();
        assert_eq!(String::from_utf16_lossy(&utf16[mark.from..mark.to]), "mountian");
    }

    #[test]
    fn a_fold_that_cannot_be_made_is_drawn() {
        let step = "valley top edge onto top edge, call it leading";
        let text = SCOW.replace("valley top edge onto bottom edge, call it leading", step);
        let a = ask(&text, None);
        assert!(a.numbers.is_none() && !a.diagnostics.is_empty());
        assert!(a.pictures.table.is_some_and(|p| p.contains("<svg")));
        assert!(a.pictures.edge.is_none());
    }

    #[test]
    fn a_step_is_said_in_one_line() {
        assert_eq!(
            said("repeat n times  # so often\n  valley  a onto b\nend"),
            "repeat n times: valley a onto b"
        );
        assert_eq!(said("inside reverse p \\\n  along q"), "inside reverse p along q");
    }
}
