//! Paper in the hand: the places and edges a fold can be named by as the model lies now, and
//! what one more fold would do.

use plumbfold::design::ast::{Design, LineRef, MarkTarget, PointRef, Side, Spanned, Step};
use plumbfold::design::eval::{self, Values};
use plumbfold::design::print;
use plumbfold::fold::exec::{self, FoldRun};
use plumbfold::fold::refs::Refs;
use plumbfold::fold::state::{FaceId, Folded};
use plumbfold::numeric::geom::{TablePoint, centroid};
use plumbfold::pipeline::{self, Reading, Settings};
use serde::{Deserialize, Serialize};

use crate::change::{self, Change};

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
    /// Steps of the text already folded.
    step: usize,
    /// Fold this next.
    line: Option<String>,
}

/// The answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    before: Paper,
    #[serde(skip_serializing_if = "Option::is_none")]
    after: Option<Paper>,
    /// Why the fold cannot be made.
    #[serde(skip_serializing_if = "Option::is_none")]
    problem: Option<String>,
    /// Balance of the finished plane with the fold in it, where it can still be finished.
    #[serde(skip_serializing_if = "Option::is_none")]
    balance: Option<Balance>,
}

#[derive(Debug, Serialize)]
struct Balance {
    behind_nose_mm: f64,
    area_ahead_fraction: f64,
}

/// The model on the table, mm.
#[derive(Debug, Serialize)]
struct Paper {
    /// From the table upwards.
    faces: Vec<FaceShown>,
    /// Creases lying flat.
    creases: Vec<[[f64; 2]; 2]>,
    spots: Vec<Spot>,
    lines: Vec<Line>,
}

#[derive(Debug, Serialize)]
struct FaceShown {
    points: Vec<[f64; 2]>,
    /// Printed side up.
    up: bool,
    moved: bool,
    /// Table to sheet: `x' = a x + b y + e`, `y' = c x + d y + f` as `[a, b, c, d, e, f]`.
    to_sheet: [f64; 6],
}

/// A place with its name in the language.
#[derive(Debug, Serialize)]
struct Spot {
    at: [f64; 2],
    words: String,
    /// Corner or middle of an edge: the places folds hinge at.
    plain: bool,
}

/// An edge or crease with its name.
#[derive(Debug, Serialize)]
struct Line {
    a: [f64; 2],
    b: [f64; 2],
    words: String,
}

/// Most named lines offered.
const LINES_MAX: usize = 40;
/// Most places offered.
const SPOTS_MAX: usize = 200;

/// Answers a question.
///
/// # Errors
/// The text cannot be folded so far; the sentence says why.
pub fn fold_by_hand(question: &Question) -> Result<Answer, String> {
    let now = SoFar::new(&question.text, question.step)?;
    let mut answer = Answer { before: now.paper(None), after: None, problem: None, balance: None };
    let Some(line) = &question.line else { return Ok(answer) };
    let add = Change::AddStep { after: Some(question.step), line: line.clone() };
    let text = match change::apply(&question.text, &add) {
        Ok(text) => text,
        Err(why) => return Ok(Answer { problem: Some(why), ..answer }),
    };
    match SoFar::new(&text, question.step + 1) {
        Err(why) => answer.problem = Some(why),
        Ok(next) => {
            answer.after = Some(next.paper(Some(&now.run.folded)));
            answer.balance = pipeline::balance(&text, &Settings::default()).ok().map(|b| Balance {
                behind_nose_mm: b.mass.behind_nose_m() * 1e3,
                area_ahead_fraction: b.area_ahead_fraction,
            });
        }
    }
    Ok(answer)
}

/// A design folded as far as a step of its text.
struct SoFar {
    design: Design,
    values: Values,
    run: FoldRun,
}

impl SoFar {
    fn new(text: &str, step: usize) -> Result<Self, String> {
        let Reading { mut design, values, diagnostics } =
            pipeline::read(text, &Settings::default());
        let why =
            || diagnostics.first().map_or("the text has a mistake", |d| &d.message).to_owned();
        let values = values.ok_or_else(why)?;
        design.steps.truncate(step);
        let stock = eval::stock(&design, &values).map_err(|d| d.message)?;
        let run = exec::run(&design, &stock, &values).map_err(|e| e.diagnostic().message)?;
        Ok(Self { design, values, run })
    }

    /// As it lies now; faces that lie elsewhere than in `before` are marked.
    fn paper(&self, before: Option<&Folded>) -> Paper {
        let model = &self.run.folded;
        let faces = model.order.iter().map(|&f| FaceShown::new(model, f, before)).collect();
        let flat = model.hinges.iter().filter(|h| !model.is_folded(h));
        let creases = flat.map(|h| model.hinge_on_table(h).map(mm)).collect();
        let lines = self.lines();
        Paper {
            faces,
            creases,
            spots: self.spots(&lines),
            lines: lines.into_iter().map(|l| l.1).collect(),
        }
    }

    fn refs(&self) -> Refs<'_> {
        let (model, names) = (&self.run.folded, &self.run.names);
        Refs {
            model,
            names,
            values: &self.values,
            axis: plumbfold::fold::axis::Axis::upright(model.sheet_m),
            mirrored: false,
            slipped: false,
            among: None,
            thickness_m: 0.0,
        }
    }

    /// Edges and named creases that are one straight line on the table, so that a fold can be
    /// named by them.
    fn lines(&self) -> Vec<(LineRef, Line)> {
        let edges = SIDES.map(LineRef::Edge);
        let mut names = Vec::new();
        collect_names(&self.design.steps, &mut names);
        let named = names.into_iter().map(|n| LineRef::Named(n.into()));
        let refs = self.refs();
        edges
            .into_iter()
            .chain(named)
            .take(LINES_MAX)
            .filter_map(|line| {
                let laid = refs.line(&line.clone().into()).ok()?;
                let ends = laid.pieces.iter().flat_map(|p| p.table).map(|p| laid.line.along(p));
                let (low, high) = ends.fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(s), b.max(s)));
                let [a, b] = [low, high].map(|s| mm(laid.line.place(s)));
                let words = print::line(&line);
                (high > low).then_some((line, Line { a, b, words }))
            })
            .collect()
    }

    /// Corners, middles of edges, and places where named lines cross.
    fn spots(&self, lines: &[(LineRef, Line)]) -> Vec<Spot> {
        let refs = self.refs();
        let spot = |place: PointRef, plain| {
            let words = print::place(&place);
            let at = mm(refs.place(&place.into()).ok()?.table);
            Some(Spot { at, words, plain })
        };
        let [top, bottom, left, right] = SIDES;
        let corners = [(top, left), (top, right), (bottom, left), (bottom, right)];
        let corners = corners.map(|(end, side)| PointRef::Corner(end, side));
        let plain = corners.into_iter().chain(SIDES.map(PointRef::EdgeMiddle));
        let mut spots: Vec<Spot> = plain.filter_map(|place| spot(place, true)).collect();
        for (i, (first, one)) in lines.iter().enumerate() {
            for (second, other) in &lines[i + 1..] {
                let crossing = PointRef::Crossing(first.clone().into(), second.clone().into());
                let Some(new) = spot(crossing, false) else { continue };
                let near = |s: &Spot| (s.at[0] - new.at[0]).hypot(s.at[1] - new.at[1]) < NEAR_MM;
                if one.holds(new.at) && other.holds(new.at) && !spots.iter().any(near) {
                    spots.push(new);
                }
            }
        }
        spots.truncate(SPOTS_MAX);
        spots
    }
}

/// Places nearer than this are one to the hand.
const NEAR_MM: f64 = 0.5;

const SIDES: [Side; 4] = [Side::Top, Side::Bottom, Side::Left, Side::Right];

/// Names of creases and marked lines, each once.
fn collect_names(steps: &[Spanned<Step>], names: &mut Vec<String>) {
    for step in steps {
        let name = match &step.node {
            Step::Fold(fold) => fold.call.as_ref(),
            Step::Roll(roll) => roll.call.as_ref(),
            Step::Collapse(collapse) => collapse.call.as_ref(),
            Step::Mark(name, MarkTarget::Line(_)) => Some(name),
            Step::Repeat(_, inner) => {
                collect_names(inner, names);
                None
            }
            _ => None,
        };
        if let Some(name) = name.filter(|n| !names.contains(&n.node)) {
            names.push(name.node.clone());
        }
    }
}

impl Line {
    /// Does a place on the endless line lie on this stretch of it?
    fn holds(&self, p: [f64; 2]) -> bool {
        let along = |q: [f64; 2]| {
            (q[0] - self.a[0]) * (self.b[0] - self.a[0])
                + (q[1] - self.a[1]) * (self.b[1] - self.a[1])
        };
        (-1e-6..=along(self.b) + 1e-6).contains(&along(p))
    }
}

impl FaceShown {
    fn new(model: &Folded, face: FaceId, before: Option<&Folded>) -> Self {
        let f = &model.faces[face];
        let middle = centroid(&f.polygon);
        let moved = before.is_some_and(|b| {
            b.faces_at(middle).next().is_none_or(|old| !b.faces[old].placement.near(&f.placement))
        });
        let [origin, right, up] = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]
            .map(|(x, y)| f.placement.unapply(TablePoint::new(x, y)));
        let (r, u) = (right - origin, up - origin);
        Self {
            points: model.table_polygon(face).into_iter().map(mm).collect(),
            up: f.placement.det() > 0.0,
            moved,
            to_sheet: [r.x, u.x, r.y, u.y, origin.x * 1e3, origin.y * 1e3],
        }
    }
}

fn mm(p: TablePoint) -> [f64; 2] {
    [p.x, p.y].map(|v| (v * 1e6).round() / 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(text: &str, step: usize, line: Option<&str>) -> Result<Answer, String> {
        fold_by_hand(&Question { text: text.to_owned(), step, line: line.map(str::to_owned) })
    }
    const SHEET: &str = "plane T\nsheet A4 upright, 80 g/m2\n";
    const HALVED: &str = "plane T\nsheet A4 upright, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n";

    #[test]
    fn a_plain_sheet_offers_its_corners_middles_and_edges() {
        let paper = ask(SHEET, 0, None).unwrap().before;
        assert_eq!(paper.lines.len(), 4);
        assert_eq!(paper.spots.len(), 8);
        let top = paper.spots.iter().find(|s| s.words == "top middle").unwrap();
        assert_eq!(top.at, [105.0, 297.0]);
        assert_eq!(paper.faces.len(), 1);
    }

    #[test]
    fn every_place_and_line_offered_can_be_said_in_the_text() {
        let paper = ask(HALVED, 1, None).unwrap().before;
        assert!(paper.lines.iter().any(|l| l.words == "centre"));
        for spot in &paper.spots {
            let line = format!("mark spot = {}", spot.words);
            let answer = ask(HALVED, 1, Some(&line)).unwrap();
            assert_eq!(answer.problem, None, "{line}");
        }
        for l in &paper.lines {
            let line = format!("mark side = {}", l.words);
            assert_eq!(ask(HALVED, 1, Some(&line)).unwrap().problem, None, "{line}");
        }
    }

    #[test]
    fn a_fold_is_tried_without_changing_the_text() {
        let line = "valley top left corner onto centre, hinged at top middle";
        let answer = ask(HALVED, 1, Some(line)).unwrap();
        let after = answer.after.unwrap();
        let moved = after.faces.iter().filter(|f| f.moved).count();
        assert!(moved >= 1 && moved < after.faces.len());
        assert!(answer.balance.is_some());
        assert!(answer.problem.is_none());
    }

    #[test]
    fn what_cannot_be_folded_says_why() {
        let answer = ask(HALVED, 1, Some("valley top edge onto top edge")).unwrap();
        assert!(answer.after.is_none());
        assert!(answer.problem.is_some_and(|p| !p.is_empty()));
        assert!(ask("plane T\nsheet A4 upright\nvally", 0, None).is_err());
    }
}
