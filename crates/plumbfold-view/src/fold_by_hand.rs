//! Paper in the hand: the places and edges a fold can be named by as the model lies now, and
//! what one more fold would do.

mod drag;

use plumbfold::design::ast::{
    Design, FoldLine, FoldStep, FoldVerb, LineRef, MarkTarget, PointRef, Side, Spanned, Step,
};
use plumbfold::design::edit::{self, Edit};
use plumbfold::design::eval::{self, Values};
use plumbfold::design::print;
use plumbfold::fold::exec::{self, FoldRun};
use plumbfold::fold::refs::Refs;
use plumbfold::fold::state::{FaceId, Folded};
use plumbfold::numeric::geom::{TableLine, TablePoint, centroid};
use plumbfold::pipeline::{self, Reading, Settings};
use serde::{Deserialize, Serialize};

use crate::change::{CENTRE, with_let};
use drag::Drag;

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
    /// Steps of the text already folded.
    step: usize,
    /// Fold this next.
    drag: Option<Drag>,
    /// Or do this, a step in words.
    line: Option<String>,
    /// A let that it needs.
    needs: Option<String>,
}

/// The answer.
#[derive(Debug, Serialize)]
pub struct Answer {
    before: Paper,
    /// The step that the drag means.
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<String>,
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
    usual: Vec<Usual>,
    /// Whether keel and wings can be opened as a hand opens them.
    opens: bool,
}

/// A step that needs no dragging.
#[derive(Clone, Copy, Debug, Serialize)]
struct Usual {
    /// Which.
    key: &'static str,
    /// In words.
    line: &'static str,
    /// A let that it needs.
    needs: Option<&'static str>,
    /// Whether there is what it folds along.
    possible: bool,
}

/// Steps that need no dragging; the first two fold along the crease called [`CENTRE`].
const USUAL: [Usual; 5] = {
    const KEEL: &str = "let keel = 20 mm, from 10 mm to 40 mm  # depth of the keel under the wings";
    const fn usual(key: &'static str, line: &'static str, needs: Option<&'static str>) -> Usual {
        Usual { key, line, needs, possible: true }
    }
    [
        usual("half", "mountain along centre", None),
        usual(
            "wings",
            "valley near half parallel to centre, keel from it, both sides, call it wing",
            Some(KEEL),
        ),
        usual("over", "turn over", None),
        usual("turn", "rotate 90 deg", None),
        usual("undo", "unfold", None),
    ]
};

#[derive(Debug, Serialize)]
struct FaceShown {
    points: Vec<[f64; 2]>,
    /// Printed side up.
    up: bool,
    moved: bool,
    /// Table to sheet: `x' = a x + b y + e`, `y' = c x + d y + f` as `[a, b, c, d, e, f]`.
    #[serde(skip)]
    to_sheet: [f64; 6],
}

/// A place with its name in the language.
#[derive(Debug, Serialize)]
struct Spot {
    at: [f64; 2],
    words: String,
    #[serde(skip)]
    place: PointRef,
    /// Corner or middle of an edge: the places folds hinge at.
    #[serde(skip)]
    plain: bool,
}

/// An edge or crease with its name.
#[derive(Debug, Serialize)]
struct Line {
    a: [f64; 2],
    b: [f64; 2],
    words: String,
    #[serde(skip)]
    line: LineRef,
    /// The endless line, mm, from `a` towards `b`.
    #[serde(skip)]
    laid: TableLine,
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
    let text = match &question.needs {
        Some(line) => with_let(&question.text, line)?,
        None => question.text.clone(),
    };
    let now = SoFar::new(&text, question.step)?;
    let before = now.paper(None);
    let next = match (&question.line, &question.drag) {
        (Some(line), _) => edit::read_step(&text, question.step, line).map(Some),
        (None, Some(drag)) => Ok(drag.fold(&before).map(|fold| {
            let call = Some(now.name_for(&fold, &text).into());
            FoldStep { call, ..fold }.into()
        })),
        (None, None) => Ok(None),
    };
    let mut answer = Answer { before, line: None, after: None, problem: None, balance: None };
    let next = match next {
        Ok(Some(next)) => next,
        Ok(None) => return Ok(answer),
        Err(why) => return Ok(Answer { problem: Some(why.to_string()), ..answer }),
    };
    answer.line = Some(print::step(&next));
    let add = Edit::AddSteps { after: question.step, steps: vec![next] };
    let text = match edit::apply(&text, &[add]) {
        Ok(text) => text,
        Err(why) => return Ok(Answer { problem: Some(why.to_string()), ..answer }),
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
        let halved = lines.iter().any(|l| l.words == CENTRE);
        let usual = USUAL.map(|u| Usual { possible: halved || !u.line.contains(CENTRE), ..u });
        let opens = self.design.pose.is_none() && halved;
        Paper { faces, creases, spots: self.spots(&lines), lines, usual: usual.to_vec(), opens }
    }

    /// A name no word of the text has yet, so that the crease can be folded by afterwards: `centre`
    /// for the one across which left and right are alike, else a number.
    fn name_for(&self, fold: &FoldStep, text: &str) -> String {
        use LineRef::Edge;
        let used = |name: &str| text.split(|c: char| !c.is_alphanumeric()).any(|w| w == name);
        let halves = match &fold.line.node {
            FoldLine::LineOntoLine(a, b) => matches!(
                (&a.node, &b.node),
                (Edge(Side::Left), Edge(Side::Right)) | (Edge(Side::Right), Edge(Side::Left))
            ),
            _ => false,
        };
        if halves && !used(CENTRE) {
            return CENTRE.to_owned();
        }
        let kind = if fold.verb == FoldVerb::Crease { "line" } else { "fold" };
        let names = (1..).map(|n| format!("{kind}{n}"));
        names.into_iter().find(|name| !used(name)).unwrap_or_default()
    }

    fn refs(&self) -> Refs<'_> {
        self.run.refs(&self.values)
    }

    /// Edges and named creases that are one straight line on the table, so that a fold can be
    /// named by them.
    fn lines(&self) -> Vec<Line> {
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
                let (words, laid) = (print::line(&line), TableLine::through(place(a), place(b))?);
                Some(Line { a, b, words, line, laid })
            })
            .collect()
    }

    /// Corners, middles of edges, and places where named lines cross.
    fn spots(&self, lines: &[Line]) -> Vec<Spot> {
        let refs = self.refs();
        let spot = |place: PointRef, plain| {
            let words = print::place(&place);
            let at = mm(refs.place(&place.clone().into()).ok()?.table);
            Some(Spot { at, words, place, plain })
        };
        let [top, bottom, left, right] = SIDES;
        let corners = [(top, left), (top, right), (bottom, left), (bottom, right)];
        let corners = corners.map(|(end, side)| PointRef::Corner(end, side));
        let plain = corners.into_iter().chain(SIDES.map(PointRef::EdgeMiddle));
        let mut spots: Vec<Spot> = plain.filter_map(|place| spot(place, true)).collect();
        for (i, one) in lines.iter().enumerate() {
            for other in &lines[i + 1..] {
                let both = [one, other].map(|l| l.line.clone().into());
                let [first, second] = both;
                let crossing = PointRef::Crossing(first, second);
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
        (-1e-6..=self.length() + 1e-6).contains(&self.laid.along(place(p)))
    }

    fn length(&self) -> f64 {
        self.laid.along(place(self.b))
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
            up: model.shows_print(face),
            moved,
            to_sheet: [r.x, u.x, r.y, u.y, origin.x * 1e3, origin.y * 1e3],
        }
    }
}

/// A place of the table, in mm as the page has it.
fn place([x, y]: [f64; 2]) -> TablePoint {
    TablePoint::new(x, y)
}

fn mm(p: TablePoint) -> [f64; 2] {
    [p.x, p.y].map(|v| (v * 1e6).round() / 1e3)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ask(text: &str, step: usize, drag: Option<&str>) -> Result<Answer, String> {
        let drag = drag.map(|json| serde_json::from_str(json).unwrap());
        fold_by_hand(&Question { text: text.to_owned(), step, drag, line: None, needs: None })
    }
    fn drag(from: &str, onto: &str) -> String {
        format!(r#"{{"from": {from}, "onto": {onto}, "as": "valley"}}"#)
    }
    fn spot(words: &str) -> String {
        format!(r#"{{"kind": "spot", "words": "{words}"}}"#)
    }
    fn edge(words: &str) -> String {
        format!(r#"{{"kind": "line", "words": "{words}"}}"#)
    }
    fn free(x: f64, y: f64) -> String {
        format!(r#"{{"kind": "free", "at": [{x}, {y}]}}"#)
    }
    /// The line that a drag means.
    fn said(text: &str, step: usize, from: &str, onto: &str) -> String {
        let line = ask(text, step, Some(&drag(from, onto))).unwrap().line.unwrap_or_default();
        line.split(", call it").next().unwrap_or_default().to_owned()
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
        let said = paper.spots.iter().map(|s| &s.words).chain(paper.lines.iter().map(|l| &l.words));
        for words in said {
            let text = format!("{HALVED}mark it = {words}\n");
            assert!(SoFar::new(&text, 2).is_ok(), "{words}");
        }
    }

    #[test]
    fn a_drag_is_said_as_a_folder_would() {
        let corner = spot("top left corner");
        let onto = |to: &str| said(HALVED, 1, &corner, to);
        assert_eq!(onto(&spot("bottom middle")), "valley top left corner onto bottom middle");
        let swung = "valley top left corner onto centre, hinged at top middle";
        assert_eq!(onto(&edge("centre")), swung);
        // 105 mm from the top middle, down the centre line.
        assert_eq!(onto(&free(105.5, 192.4)), swung);
        assert_eq!(onto(&free(3.0, 250.0)), "valley top left corner back by 47 mm along left edge");
        assert_eq!(onto(&free(60.0, 200.04)), "valley top left corner onto (60 mm, 200 mm)");
        let left = |to: &str| said(HALVED, 1, &edge("left edge"), to);
        assert_eq!(left(&edge("centre")), "valley left edge onto centre");
        let over = "valley parallel to left edge, 20 mm from it, moving left edge";
        assert_eq!(left(&free(40.0, 100.0)), over);
        assert_eq!(left(&free(0.5, 100.0)), "", "too short to mean anything");
        assert_eq!(left(&spot("top middle")), "");
    }

    #[test]
    fn layers_and_sides_are_said_too() {
        let (from, onto) = (spot("top left corner"), edge("centre"));
        let json = format!(
            r#"{{"from": {from}, "onto": {onto}, "as": "mountain", "layers": "top", "both": true}}"#
        );
        let line = ask(HALVED, 1, Some(&json)).unwrap().line.unwrap();
        assert_eq!(
            line,
            "mountain top layer top left corner onto centre, hinged at top middle, both sides, \
             call it fold1"
        );
    }

    #[test]
    fn folds_get_names_that_are_offered_to_fold_by() {
        let centre = drag(&edge("left edge"), &edge("right edge")).replace("valley", "crease");
        let line = ask(SHEET, 0, Some(&centre)).unwrap().line.unwrap();
        assert_eq!(line, "crease left edge onto right edge, call it centre");
        let text = format!("{SHEET}{line}\n");
        let corner = drag(&spot("top left corner"), &edge("centre"));
        let json = corner.replacen(r#""as""#, r#""both": true, "as""#, 1);
        let line = ask(&text, 1, Some(&json)).unwrap().line.unwrap();
        assert!(line.ends_with("both sides, call it fold1"), "{line}");
        let text = format!("{text}{line}\n");
        // The slanted edge that came of it.
        let slanted = drag(&edge("fold1"), &edge("centre"));
        let json = slanted.replacen(r#""as""#, r#""both": true, "as""#, 1);
        let answer = ask(&text, 2, Some(&json)).unwrap();
        assert_eq!(answer.line.unwrap(), "valley fold1 onto centre, both sides, call it fold2");
        assert!(answer.after.is_some(), "{:?}", answer.problem);
    }

    #[test]
    fn a_move_in_words_is_tried_too() {
        let ask = |line: &str| {
            let (text, line) = (HALVED.to_owned(), Some(line.to_owned()));
            fold_by_hand(&Question { text, step: 1, drag: None, line, needs: None }).unwrap()
        };
        let half = ask("mountain along centre");
        assert!(half.after.is_some() && half.problem.is_none());
        assert!(ask("turn over").after.is_some());
        assert!(ask("mountain along nothing").problem.is_some());
    }

    #[test]
    fn a_fold_is_tried_without_changing_the_text() {
        let drag = drag(&spot("top left corner"), &edge("centre"));
        let answer = ask(HALVED, 1, Some(&drag)).unwrap();
        let after = answer.after.unwrap();
        let moved = after.faces.iter().filter(|f| f.moved).count();
        assert!(moved >= 1 && moved < after.faces.len());
        assert!(answer.balance.is_some());
        assert!(answer.problem.is_none());
    }

    #[test]
    fn what_cannot_be_folded_says_why() {
        let drag = drag(&edge("top edge"), &edge("top edge"));
        let answer = ask(HALVED, 1, Some(&drag)).unwrap();
        assert!(answer.after.is_none());
        assert!(answer.problem.is_some_and(|p| !p.is_empty()));
        assert!(ask("plane T\nsheet A4 upright\nvally", 0, None).is_err());
    }
}
