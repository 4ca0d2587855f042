//! Places and lines of the paper as somebody sees them on the table now.

use std::collections::HashMap;

use plumbfold::design::ast::{LineRef, MarkTarget, Name, PointRef, Spanned};
use plumbfold::design::eval::Values;
use plumbfold::fold::exec::FoldRun;
use plumbfold::fold::refs::{LaidLine, Meaning, Names, Refs};
use plumbfold::fold::state::{CreaseId, Folded};
use plumbfold::numeric::geom::{SheetPoint, TablePoint};
use plumbfold_draw::fit::Bounds;
use plumbfold_draw::paper::bounds;

use super::Dot;
use crate::guides::layers_at;

/// Two things nearer than this share of the model's size lie at one place for the eye.
const NEAR_SHARE: f64 = 0.02;

/// The same of the narrow side of a slender model.
const SLENDER_SHARE: f64 = 0.12;

/// Two places nearer than this bear one letter, m.
pub(super) const SAME_M: f64 = 1e-4;

/// What names stand for before a step: creases by the latest step that named them, marks as they
/// were made.
pub fn names_at<'a>(
    run: &FoldRun,
    step: usize,
    marks: impl Iterator<Item = &'a (&'a Name, &'a MarkTarget)>,
) -> Names {
    let before = run.before(step);
    let mut names = run.names.clone();
    for (name, target) in marks {
        if let MarkTarget::Line(Spanned { node: LineRef::Edge(side), .. }) = target {
            names.give(&name.node, Meaning::Edge(*side));
        }
    }
    for crease in &before.creases {
        let Some(name) = crease.name.as_deref() else { continue };
        let own = before.creases_named(name);
        let half = |mirrored: bool| {
            let own = own.iter().filter(|&&c| before.creases[c].mirrored == mirrored);
            own.copied().collect::<Vec<CreaseId>>()
        };
        names.give(name, Meaning::Creases([half(false), half(true)]));
    }
    names
}

/// Letters of marks, from the first on; they keep them from step to step.
const OF_MARKS: &str = "ABCDEFGHIJKLMNO";
/// Letters of other places, for one step.
const OF_PLACES: &str = "PQRSTUVWXYZ";

/// The letter with a number, from 0; small letters follow the capitals.
fn numbered(capitals: &str, i: usize) -> char {
    let all = capitals.chars().chain(capitals.chars().map(|c| c.to_ascii_lowercase()));
    all.cycle().nth(i).unwrap_or('?')
}

/// A mark that is made on the paper: what it stands for, and its letter.
#[derive(Clone, Copy)]
pub struct Mark<'a> {
    target: &'a PointRef,
    letter: Option<char>,
}

/// What a text marks, by its names: places, and lines between places, which no paper shows.
#[derive(Default)]
pub struct Marks<'a> {
    places: HashMap<&'a str, Mark<'a>>,
    lines: HashMap<&'a str, &'a Spanned<LineRef>>,
}

/// The marks of a text. Places that lie where the paper shows nothing are made by
/// hand and lettered in the order of the text; the others are corners and crossings anyway.
pub fn marks<'a>(all: impl Iterator<Item = (&'a Name, &'a MarkTarget)>) -> Marks<'a> {
    let mut out = Marks::default();
    let mut lettered = 0;
    for (name, target) in all {
        let target = match target {
            MarkTarget::Point(Spanned { node: target, .. }) => target,
            MarkTarget::Line(line) => {
                if matches!(line.node, LineRef::Join(..)) {
                    out.lines.insert(&name.node, line);
                }
                continue;
            }
        };
        let made = matches!(target, PointRef::Along { .. } | PointRef::Sheet(..));
        out.places.entry(name.node.as_str()).or_insert_with(|| {
            let letter = made.then(|| numbered(OF_MARKS, lettered));
            lettered += usize::from(made);
            Mark { target, letter }
        });
    }
    out
}

/// A place that is spoken of and that nothing on the paper shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToFind {
    /// Its letter.
    pub letter: char,
    /// That of a mark, which it keeps.
    pub is_mark: bool,
    /// Where on the sheet.
    pub at: SheetPoint,
    /// Where it lies before the step.
    pub on_table: TablePoint,
    /// Which sides of its own paper are seen there, the printed one first: none under other paper.
    pub shows: [bool; 2],
}

/// Gives places letters and words.
pub struct Places<'a> {
    pub(super) refs: Refs<'a>,
    bounds: Bounds,
    dots: Vec<Dot>,
    marks: &'a Marks<'a>,
    to_measure: Vec<ToFind>,
}

impl<'a> Places<'a> {
    pub fn new(
        model: &'a Folded,
        names: &'a Names,
        values: &'a Values,
        marks: &'a Marks<'a>,
    ) -> Self {
        let (refs, bounds) = (Refs::new(model, names, values), bounds(model));
        Self { refs, bounds, dots: Vec::new(), marks, to_measure: Vec::new() }
    }

    pub fn model(&self) -> &Folded {
        self.refs.model
    }

    pub fn dots(self) -> Vec<Dot> {
        self.dots
    }

    fn near(&self) -> f64 {
        let sides = [self.bounds.width(), self.bounds.height()];
        // Both sides of a slender strip are near each other; they are two places all the same.
        let slender = SLENDER_SHARE * sides[0].min(sides[1]);
        (NEAR_SHARE * sides[0].max(sides[1])).min(slender)
    }

    fn middle_x(&self) -> f64 {
        (self.bounds.low[0] + self.bounds.high[0]) / 2.0
    }

    /// Places with letters so far.
    pub fn lettered(&self) -> Vec<TablePoint> {
        self.dots.iter().map(|d| d.at).collect()
    }

    /// Letters given so far.
    pub fn letters(&self) -> Vec<char> {
        self.dots.iter().map(|d| d.letter).collect()
    }

    /// Whether nothing of the model shows where it lies.
    pub fn is_nameless(&self, p: &Spanned<PointRef>) -> bool {
        ["the place", "the corner", "the mark"].contains(&self.bare(p).as_str())
    }

    /// Whether a letter stands there.
    pub fn is_lettered(&self, at: TablePoint) -> bool {
        self.dots.iter().any(|d| d.at.distance(at) < SAME_M)
    }

    /// Places spoken of that nothing on the paper shows, and no length said before.
    pub fn to_measure(&self) -> Vec<ToFind> {
        self.to_measure.clone()
    }

    /// Whether a place must be measured out where it is spoken of: one given by its coordinates, or
    /// along a line in the middle of a step. Marks along lines are measured when they are made.
    fn is_to_be_measured(&self, p: &PointRef) -> bool {
        match p {
            PointRef::Named(name) => {
                let mark = self.marks.places.get(name.node.as_str());
                mark.is_some_and(|m| matches!(m.target, PointRef::Sheet(..)))
            }
            PointRef::Along { .. } | PointRef::Sheet(..) => true,
            _ => false,
        }
    }

    pub fn at(&self, p: &Spanned<PointRef>) -> Option<TablePoint> {
        self.refs.place(p).ok().map(|p| p.table)
    }

    /// Which place of the paper it is.
    pub fn on_sheet(&self, p: &Spanned<PointRef>) -> Option<SheetPoint> {
        self.refs.place(p).ok()?.sheet
    }

    /// Whether a place lies on an edge of the sheet.
    pub fn on_an_edge(&self, p: &Spanned<PointRef>) -> bool {
        let [w, h] = self.refs.model.sheet_m;
        let is = |a: f64, b: f64| (a - b).abs() < SAME_M;
        self.on_sheet(p).is_some_and(|p| is(p.x, 0.0) || is(p.x, w) || is(p.y, 0.0) || is(p.y, h))
    }

    /// Whether a place lies on the upright middle of the model.
    pub fn in_the_middle(&self, p: &Spanned<PointRef>) -> bool {
        self.at(p).is_some_and(|p| (p.x - self.middle_x()).abs() < 1e-6)
    }

    /// The letter, in brackets, of a mark that is being made and whose length is said with it.
    pub fn letter_of_mark(&mut self, name: &Name) -> Option<String> {
        let known = self.to_measure.len();
        let letter = self.letter(&PointRef::Named(name.clone()).into());
        self.to_measure.truncate(known);
        letter
    }

    /// A letter for a place, in brackets: the one it has, or the next.
    pub fn letter(&mut self, p: &Spanned<PointRef>) -> Option<String> {
        let at = self.at(p)?;
        let words = self.bare(p);
        let shown = words.contains("mark") || words.contains("place");
        let measured = |m: &&Mark<'_>| matches!(m.target, PointRef::Along { .. });
        let mark = match &p.node {
            // What became a corner is no mark, unless its length was measured out.
            PointRef::Named(name) => self.marks.places.get(name.node.as_str()),
            _ => None,
        };
        let mark = mark.filter(|m| shown || measured(m)).and_then(|m| m.letter);
        let (said, letter, is_new) = self.dot(at, mark, self.on_sheet(p));
        if let (true, true, true, Some(on_sheet)) =
            (is_new, shown, self.is_to_be_measured(&p.node), self.on_sheet(p))
        {
            self.to_measure.push(ToFind {
                letter,
                is_mark: mark.is_some(),
                at: on_sheet,
                on_table: at,
                shows: if self.is_covered(p) { [false; 2] } else { self.shows(on_sheet) },
            });
        }
        Some(said)
    }

    /// A letter for a place of the sheet, as [`Self::letter`].
    pub fn letter_on_sheet(&mut self, at: SheetPoint) -> String {
        let model = self.refs.model;
        let face = model.faces_at(at).next();
        let on_table = face.map(|f| model.faces[f].placement.apply(at));
        on_table.map_or(String::new(), |table| self.dot(table, None, Some(at)).0)
    }

    /// Two lines that one sentence speaks of: where they would be called the same, each has a
    /// letter at its middle.
    pub fn two_lines(&mut self, a: &Spanned<LineRef>, b: &Spanned<LineRef>) -> [String; 2] {
        let said = [self.line(a), self.line(b)];
        if said[0] != said[1] {
            return said;
        }
        let middles = [a, b].map(|l| {
            let laid = self.refs.line(l).ok().as_ref().and_then(ends);
            laid.map(|[p, q]| p.lerp(q, 0.5))
        });
        let [p, q] = middles.map(|m| m.map_or(String::new(), |at| self.dot(at, None, None).0));
        [format!("{}{p}", said[0]), format!("{}{q}", said[1])]
    }

    /// The letter at a place on the table, in brackets, and whether it is new: that of the mark
    /// there, or the next.
    fn dot(
        &mut self,
        at: TablePoint,
        mark: Option<char>,
        on_sheet: Option<SheetPoint>,
    ) -> (String, char, bool) {
        let known = self.dots.iter().find(|d| d.at.distance(at) < SAME_M).map(|d| d.letter);
        let others = self.dots.iter().filter(|d| !d.is_mark).count();
        let letter = known.or(mark).unwrap_or_else(|| numbered(OF_PLACES, others));
        if known.is_none() {
            let shows = on_sheet.map_or([false; 2], |p| self.shows(p));
            self.dots.push(Dot { letter, at, is_mark: mark.is_some(), shows });
        }
        (format!(" ({letter})"), letter, known.is_none())
    }

    /// Whether other paper lies over a place.
    pub fn is_covered(&self, p: &Spanned<PointRef>) -> bool {
        let model = self.refs.model;
        let Some((at, sheet)) = self.at(p).zip(self.on_sheet(p)) else { return false };
        let ranks = model.ranks();
        let own = model.faces_at(sheet).map(|f| ranks[f]).max();
        layers_at(model, at).any(|rank| Some(rank) > own)
    }

    /// Which sides of the sheet lie up at a place of it, the printed one first: both on a fold.
    fn shows(&self, at: SheetPoint) -> [bool; 2] {
        let model = self.refs.model;
        let up = |printed: bool| {
            model.faces_at(at).any(|f| (model.faces[f].placement.det() > 0.0) == printed)
        };
        [up(true), up(false)]
    }

    /// A place with its letter: `the top left corner (A)`.
    pub fn point(&mut self, p: &Spanned<PointRef>) -> String {
        let letter = self.letter(p).unwrap_or_default();
        format!("{}{letter}", self.bare(p))
    }

    /// A place without its letter.
    pub fn bare(&self, p: &Spanned<PointRef>) -> String {
        let Some(at) = self.at(p) else { return "the marked place".to_owned() };
        let (b, near) = (&self.bounds, self.near());
        let is = |a: f64, b: f64| (a - b).abs() < near;
        let [left, right] = [is(at.x, b.low[0]), is(at.x, b.high[0])];
        let [bottom, top] = [is(at.y, b.low[1]), is(at.y, b.high[1])];
        let middle = is(at.x, self.middle_x());
        let alone = |same: &dyn Fn(TablePoint) -> bool| {
            let model = self.refs.model;
            let corners = (0..model.faces.len()).flat_map(|f| model.table_polygon(f));
            corners.filter(|&p| same(p)).all(|p| p.distance(at) < near)
        };
        let corner = matches!(p.node, PointRef::Corner(..));
        let words = match (left, right, bottom, top) {
            (_, _, _, true) if alone(&|p| is(p.y, b.high[1])) => "the point at the top",
            (_, _, true, _) if alone(&|p| is(p.y, b.low[1])) => "the point at the bottom",
            (true, _, _, true) => "the top left corner",
            (_, true, _, true) => "the top right corner",
            (true, _, true, _) => "the bottom left corner",
            (_, true, true, _) => "the bottom right corner",
            (true, ..) if alone(&|p| is(p.x, b.low[0])) => "the corner on the left",
            (_, true, ..) if alone(&|p| is(p.x, b.high[0])) => "the corner on the right",
            (_, _, _, true) if middle => "the middle of the top edge",
            (_, _, true, _) if middle => "the middle of the bottom edge",
            (_, _, _, true) if corner => "the corner at the top",
            (_, _, true, _) if corner => "the corner at the bottom",
            (true, ..) if corner => "the corner on the left",
            (_, true, ..) if corner => "the corner on the right",
            (true, ..) => "the mark on the left edge",
            (_, true, ..) => "the mark on the right edge",
            (_, _, _, true) => "the mark on the top edge",
            (_, _, true, _) => "the mark on the bottom edge",
            _ => match &p.node {
                PointRef::Corner(..) => "the corner",
                PointRef::EdgeMiddle(_) if middle => "the tip in the middle",
                PointRef::Named(_) => "the mark",
                _ if middle => "the place on the middle line",
                _ => "the place",
            },
        };
        words.to_owned()
    }

    /// A line: `the middle line`, `the slanted folded edge on the left`.
    pub fn line(&mut self, l: &Spanned<LineRef>) -> String {
        let lines = &self.marks.lines;
        let marked = match &l.node {
            LineRef::Named(name) => lines.get(name.node.as_str()).copied(),
            _ => None,
        };
        if let LineRef::Join(p, q) = &marked.unwrap_or(l).node {
            return format!("the line from {} to {}", self.point(p), self.point(q));
        }
        let laid = self.refs.line(l).ok();
        let laid = laid.or_else(|| self.refs.lines(l).ok()?.into_iter().next());
        let Some(laid) = laid else { return "the marked line".to_owned() };
        let Some([a, b]) = ends(&laid) else { return "the marked line".to_owned() };
        let kind = self.kind(l);
        let (bb, near) = (&self.bounds, self.near());
        let is = |a: f64, b: f64| (a - b).abs() < near;
        let (dx, dy) = ((b.x - a.x).abs(), (b.y - a.y).abs());
        let centre = a.lerp(b, 0.5);
        let aside = if is(centre.x, self.middle_x()) {
            ""
        } else if centre.x < self.middle_x() {
            " on the left"
        } else {
            " on the right"
        };
        let middle_y = (bb.low[1] + bb.high[1]) / 2.0;
        if dx < 0.03 * dy {
            match () {
                () if is(a.x, bb.low[0]) => kind.at("left", "on the left"),
                () if is(a.x, bb.high[0]) => kind.at("right", "on the right"),
                () if is(a.x, self.middle_x()) && kind == Kind::Crease => {
                    "the middle line".to_owned()
                }
                () if is(a.x, self.middle_x()) => format!("the {kind} in the middle"),
                () => format!("the upright {kind}{aside}"),
            }
        } else if dy < 0.03 * dx {
            match () {
                () if is(a.y, bb.high[1]) => kind.at("top", "at the top"),
                () if is(a.y, bb.low[1]) => kind.at("bottom", "at the bottom"),
                () if is(a.y, middle_y) && kind == Kind::Crease => {
                    "the level middle line".to_owned()
                }
                () => format!("the level {kind}"),
            }
        } else {
            format!("the slanted {kind}{aside}")
        }
    }

    fn kind(&self, l: &Spanned<LineRef>) -> Kind {
        let model = self.refs.model;
        if self.refs.is_edge(l).unwrap_or(false) {
            return Kind::Edge;
        }
        let hinges = self.refs.hinges(l).unwrap_or_default();
        let folded = hinges.iter().filter(|&&h| model.is_folded(&model.hinges[h])).count();
        if 2 * folded > hinges.len() { Kind::FoldedEdge } else { Kind::Crease }
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Edge,
    FoldedEdge,
    Crease,
}

impl Kind {
    /// An edge of the sheet has its side as a name; of a folded one it is said where it lies.
    fn at(self, side: &str, place: &str) -> String {
        match self {
            Self::Edge => format!("the {side} edge"),
            _ => format!("the {self} {place}"),
        }
    }
}

impl std::fmt::Display for Kind {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Edge => "edge",
            Self::FoldedEdge => "folded edge",
            Self::Crease => "crease",
        })
    }
}

pub(super) fn ends(laid: &LaidLine) -> Option<[TablePoint; 2]> {
    let along = laid.pieces.iter().flat_map(|p| p.table).map(|p| laid.line.along(p));
    let (low, high) = along.fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(s), b.max(s)));
    (high > low).then(|| [laid.line.place(low), laid.line.place(high)])
}
