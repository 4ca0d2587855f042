//! A step in the words of somebody who folds beside you: what is brought onto what, where the fold
//! runs, which layers, and what follows. Made from the step and from the model it is made on,
//! never from the design's own names, which only its author knows.

mod collapses;
mod layers;
mod listed;
mod measuring;
mod places;

use plumbfold::design::ast::*;
use plumbfold::design::eval::Values;
use plumbfold::fold::exec::{FoldRun, StepKind, StepRecord};
use plumbfold::numeric::geom::{SheetPoint, TablePoint, Vec2, edges};
use plumbfold::pipeline::FoldOutcome;
use plumbfold_draw::text::decimals;
use plumbfold_draw::units::Units;

use layers::only;
use listed::{Later, Listed, once_more};
use measuring::{for_later, measured};
use places::{Places, ToFind};

/// Paper whose middle lies nearer to a fold than this is a sliver left over from layers that meet
/// there, which no hand takes or leaves, m.
const BESIDE_M: f64 = 0.5e-3;

/// A mark this near to a fold lies on it, m.
const ON_FOLD_M: f64 = 0.1e-3;

/// A place pointed at in the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Dot {
    /// Its letter.
    pub letter: char,
    /// Where it lies before the step.
    pub at: TablePoint,
    /// A mark made by hand, whose letter it keeps in all steps.
    pub is_mark: bool,
    /// Which sides of the sheet lie up there, the printed one first.
    pub shows: [bool; 2],
}

/// What is said of a step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Said {
    /// What is measured out before the fold.
    pub measuring: Vec<String>,
    /// What is folded, and how.
    pub sentences: Vec<String>,
    /// Places they speak of.
    pub dots: Vec<Dot>,
    /// Places measured out before the step, on the sheet.
    pub marked: Vec<SheetPoint>,
    /// Places spoken of that nothing on the paper shows.
    to_find: Vec<ToFind>,
    /// Lengths by which the fold itself is placed.
    pub lengths: usize,
    /// Angles that no edge or crease shows.
    pub angles: usize,
    /// The corners that a move of several creases is about, before it.
    pub tips: Vec<TablePoint>,
    /// A corner is pushed in between layers.
    pub pushed: bool,
}

impl Said {
    /// As one paragraph.
    pub fn text(&self) -> String {
        self.paragraphs().join(" ")
    }

    /// First what is measured, then what is folded.
    pub fn paragraphs(&self) -> Vec<String> {
        let both = [&self.measuring, &self.sentences];
        both.into_iter().filter(|p| !p.is_empty()).map(|p| p.join(" ")).collect()
    }
}

/// What is said of every step of a run.
pub fn steps(outcome: &FoldOutcome, units: Units) -> Vec<Said> {
    let mut listed = Listed::default();
    listed.walk(&outcome.design.steps);
    let marks = places::marks(listed.made.iter().copied());
    let run = &outcome.run;
    let values = &outcome.values;
    let all = |later: &Later| -> Vec<Said> {
        let told = Told { listed: &listed, marks: &marks, later, values, units };
        let records = run.steps.iter().enumerate();
        records.map(|(i, record)| one(&told, run, i, record)).collect()
    };
    // Only when all is said is it known which marks both sides must show, and both halves.
    let first = all(&Later::default());
    let later = Later::of(&first, run);
    let mut said = if later.is_none() { first } else { all(&later) };
    // What was measured before and can still be seen is not measured again.
    let mut known: Vec<(char, [bool; 2])> = Vec::new();
    for (i, said) in said.iter_mut().enumerate() {
        for place in std::mem::take(&mut said.to_find) {
            let seen = known.iter().any(|(letter, shows)| {
                *letter == place.letter && (0..2).any(|side| shows[side] && place.shows[side])
            });
            if seen && place.is_mark {
                continue;
            }
            said.measuring.push(measured(place.letter, place.on_table, run.before(i), units));
            said.marked.push(place.at);
            known.push((place.letter, place.shows));
        }
    }
    said
}

/// What holds for all steps.
struct Told<'a> {
    listed: &'a Listed<'a>,
    marks: &'a places::Marks<'a>,
    later: &'a Later,
    values: &'a Values,
    units: Units,
}

fn one(told: &Told<'_>, run: &FoldRun, i: usize, record: &StepRecord) -> Said {
    let &Told { listed, marks, later, values, units } = told;
    let start = record.span.start;
    let Some(&step) = listed.steps.get(&start) else { return Said::default() };
    let names = places::names_at(run, i, listed.made.iter());
    let first_time = i == 0 || run.steps[i - 1].span.start != start;
    let mut speaker = Speaker {
        places: Places::new(run.before(i), &names, values, marks),
        values,
        units,
        record,
        later,
        first_time,
        made: listed.made_before(start),
        marked: Vec::new(),
        lengths: 0,
        angles: 0,
    };
    let mut measuring = Vec::new();
    for &mark in listed.marks.get(&start).into_iter().flatten().filter(|_| first_time) {
        measuring.extend(speaker.mark(mark, step));
    }
    let marks = speaker.places.letters();
    let mut sentences = speaker.step(step);
    if let (false, Some(first)) = (first_time, sentences.first_mut()) {
        *first = once_more(first);
    }
    measuring.extend(for_later(&marks, later, &sentences));
    let tips = match step {
        Step::Collapse(collapse) => collapses::tips(&collapse.kind, &speaker.places),
        _ => Vec::new(),
    };
    let Speaker { places, marked, lengths, angles, .. } = speaker;
    let pushed = matches!(step, Step::Collapse(collapse) if collapses::is_pushed(&collapse.kind));
    let to_find = places.to_measure();
    Said {
        measuring,
        sentences,
        dots: places.dots(),
        marked,
        to_find,
        lengths,
        angles,
        tips,
        pushed,
    }
}

struct Speaker<'a> {
    places: Places<'a>,
    values: &'a Values,
    units: Units,
    record: &'a StepRecord,
    later: &'a Later,
    /// The step is no repetition of the one before it.
    first_time: bool,
    /// Places marked so far, and whether on both sides.
    made: Vec<(Spanned<PointRef>, bool)>,
    marked: Vec<SheetPoint>,
    lengths: usize,
    angles: usize,
}

impl Speaker<'_> {
    fn length(&mut self, e: &Spanned<Expr>) -> String {
        self.lengths += 1;
        self.units.length(self.values.length(e).unwrap_or(0.0))
    }

    fn step(&mut self, step: &Step) -> Vec<String> {
        match step {
            Step::Fold(fold) => self.fold(fold),
            Step::Roll(roll) => self.roll(roll),
            Step::Unfold(_) => vec!["Open that fold again.".to_owned()],
            Step::UnfoldAll => vec!["Open everything: back to the flat sheet.".to_owned()],
            Step::Refold(name) => {
                let line = LineRef::Named(name.clone()).into();
                vec![format!("Fold {} again, the way it was.", self.places.line(&line))]
            }
            Step::TurnOver => {
                vec!["Turn the paper over, from left to right, like the page of a book.".to_owned()]
            }
            Step::Rotate(angle) => {
                let angle = self.values.angle(angle).unwrap_or(0.0).to_degrees();
                let way = if angle < 0.0 { "clockwise" } else { "anticlockwise" };
                vec![format!("Turn the paper on the table, {}° {way}.", decimals(angle.abs(), 1))]
            }
            Step::Collapse(collapse) => self.collapse(collapse),
            Step::Mark(..) | Step::Repeat(..) => Vec::new(),
        }
    }

    fn fold(&mut self, fold: &FoldStep) -> Vec<String> {
        let clause = self.clause(fold);
        let behind = match fold.verb {
            FoldVerb::Mountain if !clause.contains("behind") => " behind",
            _ => "",
        };
        let end = match fold.verb {
            FoldVerb::Crease => ", crease, and open it again.",
            _ => ", and crease.",
        };
        let mut out = vec![format!("{clause}{behind}{end}")];
        match &fold.layers.node {
            Layers::All => out.push("Take all layers together.".to_owned()),
            Layers::Top(n) | Layers::Bottom(n) => {
                let n = self.values.count(n).unwrap_or(1);
                out.push(only(matches!(fold.layers.node, Layers::Bottom(_)), n));
            }
            Layers::FlapAt(p) => {
                let place = self.places.point(p);
                // Of a model folded in two either half has one.
                let which = if self.is_folded_in_two() { "front flap, the one" } else { "flap" };
                out.push(format!("Take only the {which} with {place}."));
            }
            Layers::Default => out.extend(self.not_all(fold.verb)),
            half @ (Layers::NearHalf | Layers::FarHalf) => {
                let far = matches!(half, Layers::FarHalf);
                let half = if far { "the back half" } else { "the front half" };
                if !out[0].contains(half) {
                    out.push(format!("Take only {half}."));
                }
            }
        }
        match fold.place.as_ref().map(|p| &p.node) {
            Some(Place::Inside) => out.push("It goes inside, between the layers.".to_owned()),
            Some(Place::Under(p)) => {
                out.push(format!("It goes under the flap with {}.", self.places.point(p)));
            }
            Some(Place::Over(p)) => {
                out.push(format!("It goes over the flap with {}.", self.places.point(p)));
            }
            None => {}
        }
        out.extend(again(fold.sides, fold.layers.node.are_halves() || self.is_folded_in_two()));
        out
    }

    /// Whether the mirrored half of the step lies under the first, as in a model folded in two.
    fn is_folded_in_two(&self) -> bool {
        matches!(&self.record.passes[..], [first, .., last]
            if last.mirrored && first.line.side(last.line.at).abs() < ON_FOLD_M
                && first.line.dir.cross(last.line.dir).abs() < 1e-6)
    }

    /// What is folded where, without its end.
    fn clause(&mut self, fold: &FoldStep) -> String {
        let part = self.part(&fold.layers.node);
        let mountain = fold.verb == FoldVerb::Mountain;
        let way = if mountain { "behind".to_owned() } else { self.way() };
        let bring = if mountain { "Fold" } else { "Bring" };
        match &fold.line.node {
            FoldLine::Along(l) => {
                let line = self.places.line(l);
                if self.halves() && mountain {
                    format!("Fold the model in half along {line}, {part} going behind")
                } else if self.halves() {
                    format!("Fold the model in half {way} along {line}")
                } else {
                    format!("Fold {part} {way} along {line}")
                }
            }
            FoldLine::InHalf { .. } => format!("Fold the model in half {way}"),
            FoldLine::Through(p, q) => {
                let (p, q) = (self.places.point(p), self.places.point(q));
                format!("Fold {part} {way}, along the line from {p} to {q}")
            }
            FoldLine::PointOntoPoint(p, q) => {
                let (p, q) = (self.places.point(p), self.places.point(q));
                format!("{bring} {p} to {q}")
            }
            FoldLine::LineOntoLine(l, m) => {
                let (l, m) = (self.places.line(l), self.places.line(m));
                if l == m {
                    // Two layers of one line, or lines that look alike.
                    format!("Fold {part} {way}, {l} exactly onto the other")
                } else {
                    let behind = if mountain { " behind," } else { "" };
                    format!("{bring} {l}{behind} exactly to {m}")
                }
            }
            FoldLine::Perpendicular(l, p) => {
                let (p, l) = (self.places.point(p), self.places.line(l));
                let also = self.also_on_the_fold();
                format!("Fold {part} {way}, straight across through {p}{also}, square to {l}")
            }
            FoldLine::PointOntoLine { point, onto, hinge } => {
                let (p, h) = (self.places.point(point), self.places.point(hinge));
                let onto = self.places.line(onto);
                format!("{bring} {p} to {onto}, with the fold starting at {h}")
            }
            FoldLine::TwoPointsOntoLines([(p, l), (q, m)]) => {
                let (p, l) = (self.places.point(p), self.places.line(l));
                let (q, m) = (self.places.point(q), self.places.line(m));
                format!("{bring} {p} to {l} and {q} to {m}, both at once")
            }
            FoldLine::PointOntoLinePerpendicular { point, onto, square_to } => {
                let p = self.places.point(point);
                let (onto, square) = (self.places.line(onto), self.places.line(square_to));
                format!("{bring} {p} to {onto}, with the fold square to {square}")
            }
            FoldLine::Parallel(l, by, _) => {
                let (line, by) = (self.places.line(l), self.length(by));
                let from = if line.starts_with("the line") { "beside" } else { "from" };
                let edge = if self.on_an_edge() {
                    // Nothing is left to measure.
                    self.lengths -= 1;
                    ", where an edge lies already"
                } else {
                    ""
                };
                format!(
                    "Fold {part} {way}, so that the fold runs {by} {from} {line} all along{edge}"
                )
            }
            FoldLine::Over(l, by) => {
                let (line, by) = (self.places.line(l), self.length(by));
                format!("Fold over a strip {by} wide along {line}")
            }
            FoldLine::AtAngle(angle, l, p) => {
                let (p, slant) = (self.places.point(p), self.slant(angle, l));
                format!("Fold {part} {way} from {p}, {slant}")
            }
            FoldLine::Back(p, by, l) => {
                let (p, line, by) = (self.places.point(p), self.places.line(l), self.length(by));
                let way = if mountain { "behind" } else { way.as_str() };
                format!("Fold {p} {way} along {line}, until it lies {by} from where it was")
            }
        }
    }

    /// How a fold leans to a line: the smaller of the two angles between them, as a set square
    /// shows it; the picture says to which side.
    fn slant(&mut self, angle: &Spanned<Expr>, line: &Spanned<LineRef>) -> String {
        let line = self.places.line(line);
        let degrees = self.values.angle(angle).unwrap_or(0.0).to_degrees().abs() % 180.0;
        let degrees = degrees.min(180.0 - degrees);
        match decimals(degrees, 1).as_str() {
            "0" => format!("in the direction of {line}"),
            "90" => format!("square to {line}"),
            told => {
                self.angles += 1;
                format!("at {told}° to {line}, leaning as in the picture")
            }
        }
    }

    /// Other marks made before that the fold runs through, so that none is measured for nothing.
    fn also_on_the_fold(&mut self) -> String {
        let Some(line) = self.record.passes.first().map(|p| p.line) else { return String::new() };
        let mut also = String::new();
        for (mark, twice) in std::mem::take(&mut self.made) {
            let Some(at) = self.places.at(&mark).filter(|at| line.side(*at).abs() < ON_FOLD_M)
            else {
                continue;
            };
            if self.places.is_lettered(at) {
                continue;
            }
            also += &format!(" and {}", self.places.point(&mark));
            if twice && !self.places.in_the_middle(&mark) {
                also += " and its like on the other side";
            }
        }
        also
    }

    /// Whether an edge of paper, raw or folded, lies on the table along the fold.
    fn on_an_edge(&self) -> bool {
        let Some(pass) = self.record.passes.first() else { return false };
        let model = self.places.model();
        let near = |p: TablePoint| pass.line.side(p).abs() < BESIDE_M;
        let creased = |f: usize| {
            let own = model.hinges.iter().filter(|h| h.faces.contains(&f) && !model.is_folded(h));
            own.into_iter().any(|h| model.hinge_on_table(h).into_iter().all(near))
        };
        (0..model.faces.len())
            .filter(|&f| !creased(f))
            .any(|f| edges(&model.table_polygon(f)).any(|(a, b)| near(a) && near(b)))
    }

    /// Whether about half of the model moves.
    fn halves(&self) -> bool {
        let area: f64 = self.places.model().sheet_m.iter().product();
        self.record.passes.first().is_some_and(|p| (0.45..0.55).contains(&(p.moved_m2 / area)))
    }

    /// Towards where the moving paper lies, seen from the fold.
    fn outward(&self) -> Vec2 {
        self.record.passes.first().map_or(Vec2::new(0.0, 1.0), |p| p.line.dir.perp())
    }

    fn way(&self) -> String {
        let out = self.outward();
        let way = match (out.x.abs() > 2.0 * out.y.abs(), out.y.abs() > 2.0 * out.x.abs()) {
            (true, _) if out.x > 0.0 => "over to the left",
            (true, _) => "over to the right",
            (_, true) if out.y > 0.0 => "down",
            (_, true) => "up",
            _ => "over",
        };
        way.to_owned()
    }

    fn part(&self, layers: &Layers) -> String {
        let half = match layers {
            Layers::NearHalf => Some("the front half"),
            Layers::FarHalf => Some("the back half"),
            _ => None,
        };
        if let Some(half) = half.filter(|_| self.halves()) {
            return half.to_owned();
        }
        let out = self.outward();
        let side = match (out.x.abs() > 2.0 * out.y.abs(), out.y.abs() > 2.0 * out.x.abs()) {
            (true, _) if out.x > 0.0 && self.halves() => "right half",
            (true, _) if self.halves() => "left half",
            (true, _) if out.x > 0.0 => "right part",
            (true, _) => "left part",
            (_, true) if out.y > 0.0 => "top",
            (_, true) => "bottom",
            _ if out.y > 0.0 => "upper corner",
            _ => "lower corner",
        };
        half.map_or(format!("the {side}"), |half| format!("the {side} of {half}"))
    }

    fn roll(&mut self, roll: &Roll) -> Vec<String> {
        let by = self.length(&roll.by);
        let way = match (roll.pleated, self.record.kind) {
            (true, StepKind::Fold(FoldVerb::Mountain)) => "behind",
            _ => "over",
        };
        let edge = match self.first_time {
            true => self.places.line(&roll.edge),
            false => "the edge just made".to_owned(),
        };
        vec![format!("Fold the strip {way} along {edge}, {by} wide, and crease.")]
    }

    /// Where the crease of a reverse fold and the like runs.
    fn crease(&mut self, line: &Spanned<FoldLine>) -> String {
        match &line.node {
            FoldLine::Along(l) => format!("along {}", self.places.line(l)),
            FoldLine::Through(p, q) => {
                let (p, q) = (self.places.point(p), self.places.point(q));
                format!("along the line from {p} to {q}")
            }
            FoldLine::Parallel(l, by, _) => {
                let (line, by) = (self.places.line(l), self.length(by));
                format!("{by} from {line}")
            }
            FoldLine::Perpendicular(l, p) => {
                let (p, line) = (self.places.point(p), self.places.line(l));
                format!("through {p}, square to {line}")
            }
            FoldLine::AtAngle(angle, l, p) => {
                let (p, slant) = (self.places.point(p), self.slant(angle, l));
                format!("from {p}, {slant}")
            }
            _ => "along the line in the picture".to_owned(),
        }
    }
}

fn again(sides: Sides, halves: bool) -> Option<String> {
    match (sides, halves) {
        (Sides::One, _) => None,
        (Sides::Both, false) => Some("Do the same on the other side.".to_owned()),
        (Sides::Both, true) | (Sides::Behind, _) => {
            Some("Turn over, do the same with the half behind, and turn back.".to_owned())
        }
    }
}
