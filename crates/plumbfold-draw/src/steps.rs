//! Folding instructions: the model before each step, the line, the arrow and the sentence.

use plumbfold::fold::state::{Assignment, FaceId, Folded};
use plumbfold::numeric::geom::{TableLine, TablePoint, clip_left};

use crate::arrows::{self, FoldArrow};
use crate::cells::outline;
use crate::fit::{Bounds, Fit};
use crate::frame;
use crate::paper::{bounds, lay};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, wrap};

/// One fold of a step.
#[derive(Clone, Debug, PartialEq)]
pub struct FoldShown {
    /// Where it is folded; the moving part is on its left.
    pub line: TableLine,
    /// How.
    pub kind: FoldArrow,
    /// Faces, before the step, with paper that moves; all faces where this is empty.
    pub moving: Vec<FaceId>,
}

/// A move without a single fold line: a collapse, an unfolding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MoveShown {
    /// Creases that fold, as the folder sees them.
    pub creases: Vec<([TablePoint; 2], Assignment)>,
    /// Places that move, from and to.
    pub ways: Vec<[TablePoint; 2]>,
}

/// What a step does beside folding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Turn {
    /// Turn over, left to right.
    Over,
    /// Rotate on the table, anticlockwise, rad.
    By(f64),
}

/// One step as it is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct StepShown<'a> {
    /// Number.
    pub number: usize,
    /// What the design text says.
    pub says: String,
    /// The model before it.
    pub before: &'a Folded,
    /// Folds made at once; a step on both sides has two.
    pub folds: Vec<FoldShown>,
    /// Anything else that moves.
    pub moves: MoveShown,
    /// Turned?
    pub turn: Option<Turn>,
}

/// Room round the model in a panel for arrows, mm.
const AIR: f64 = 4.0;

/// One step by itself: a thumbnail without words, or a panel with them.
pub fn step(look: &Look, shown: &StepShown<'_>, size: Pt, words: bool) -> String {
    let title = format!("Step {}", shown.number);
    let mut c = Canvas::new(look, size, &title, &shown.says);
    let area = c.frame();
    panel(&mut c, area, shown, words);
    c.finish()
}

/// All steps, row by row, and the finished model at the end.
pub fn instructions(
    look: &Look,
    name: &str,
    steps: &[StepShown<'_>],
    finished: &Folded,
    columns: usize,
) -> String {
    const PANEL: Pt = [56.0, 70.0];
    const GAP: f64 = 8.0;
    let columns = columns.clamp(1, 12);
    let rows = (steps.len() + 1).div_ceil(columns);
    let size = [columns as f64 * (PANEL[0] + GAP) - GAP, rows as f64 * (PANEL[1] + GAP) - GAP];
    let note = format!("{} steps", steps.len());
    let says: Vec<String> = steps.iter().map(|s| format!("{}. {}", s.number, s.says)).collect();
    let (mut c, area) = frame::start(look, name, &note, &says.join("; "), size);
    let place = |i: usize| {
        let (row, column) = (i / columns, i % columns);
        Rect::new(
            area.x + column as f64 * (PANEL[0] + GAP),
            area.y + row as f64 * (PANEL[1] + GAP),
            PANEL[0],
            PANEL[1],
        )
    };
    for (i, s) in steps.iter().enumerate() {
        panel(&mut c, place(i), s, true);
    }
    let last = place(steps.len());
    c.group("finished", |c| {
        c.text([last.x, last.y + 4.0], "Folded", Text::LABEL.strong());
        model(c, finished, Rect::new(last.x, last.y + 6.0, last.w, last.h - 18.0).inset(AIR));
    });
    c.finish()
}

fn model(c: &mut Canvas<'_>, folded: &Folded, into: Rect) -> Fit {
    let fit = Fit::within(&bounds(folded), into);
    lay(c, folded, &fit);
    fit
}

fn panel(c: &mut Canvas<'_>, area: Rect, shown: &StepShown<'_>, words: bool) {
    c.group("step", |c| {
        let into = if words {
            c.text([area.x, area.y + 4.0], &shown.number.to_string(), Text::LABEL.strong());
            let lines = wrap(&shown.says, Text::SMALL, area.w);
            let shown_lines = lines.len().min(3);
            for (i, line) in lines.iter().take(shown_lines).enumerate() {
                let last_of_many = i + 1 == shown_lines && lines.len() > shown_lines;
                let line = if last_of_many { format!("{line} …") } else { line.clone() };
                let y = area.bottom() - 12.0 + 2.75 + i as f64 * 3.7;
                c.text([area.x, y], &line, Text::SMALL.in_ink(Ink::Text));
            }
            Rect::new(area.x, area.y + 5.0, area.w, area.h - 18.5)
        } else {
            area
        };
        // A sign for turning stands above the model.
        let sign = if shown.turn.is_some() { (into.h * 0.25).min(12.0) } else { 0.0 };
        let b = bounds(shown.before).and(reach(shown));
        let air = if words { AIR } else { 2.5 };
        let below = Rect::new(into.x, into.y + sign, into.w, into.h - sign);
        let fit = Fit::within(&b, below.inset(air));
        lay(c, shown.before, &fit);
        for (i, fold) in shown.folds.iter().enumerate() {
            // The mirrored half of a step may lie under the first: near and far half of a model
            // folded in two.
            let same = |o: &FoldShown| {
                o.line.side(fold.line.at).abs() < 1e-6
                    && o.line.dir.cross(fold.line.dir).abs() < 1e-6
            };
            draw_fold(c, shown.before, fold, &fit, shown.folds[..i].iter().any(same));
        }
        draw_moves(c, shown, &fit);
        let sign = [into.x + into.w / 2.0, into.y + sign / 2.0 + 1.0];
        match shown.turn {
            Some(Turn::Over) => arrows::turn_over(c, sign),
            Some(Turn::By(angle)) => arrows::rotate(c, sign, angle),
            None => {}
        }
    });
}

/// What the arrows need beside the model.
fn reach(shown: &StepShown<'_>) -> Bounds {
    let ends = shown.folds.iter().filter_map(|f| ends_of(shown.before, f));
    let ways = shown.moves.ways.iter().flatten().map(|p| [p.x, p.y]);
    Bounds::of(ends.flat_map(|(a, b)| [a, b]).chain(ways).chain([bounds(shown.before).low]))
}

fn taken(model: &Folded, fold: &FoldShown) -> Vec<FaceId> {
    if fold.moving.is_empty() { (0..model.faces.len()).collect() } else { fold.moving.clone() }
}

/// From the place that moves farthest to where it comes to lie.
fn ends_of(model: &Folded, fold: &FoldShown) -> Option<(Pt, Pt)> {
    let line = &fold.line;
    let moving: Vec<TablePoint> = taken(model, fold)
        .into_iter()
        .filter(|&f| f < model.faces.len())
        .flat_map(|f| clip_left(&model.table_polygon(f), line))
        .collect();
    let far = moving.iter().map(|&p| line.side(p)).fold(0.0, f64::max);
    if far <= 0.0 {
        return None;
    }
    // Where a whole edge is farthest, its middle.
    let along = moving.iter().filter(|&&p| line.side(p) > 0.97 * far).map(|&p| line.along(p));
    let (lo, hi) = along.fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(s), b.max(s)));
    let from = line.place((lo + hi) / 2.0) + line.dir.perp() * far;
    let to = line.reflect(from);
    Some(([from.x, from.y], [to.x, to.y]))
}

fn draw_fold(c: &mut Canvas<'_>, model: &Folded, fold: &FoldShown, fit: &Fit, hidden: bool) {
    let spans = taken(model, fold).into_iter().filter(|&f| f < model.faces.len()).filter_map(|f| {
        let touching = on_line(model, f, &fold.line);
        let s = touching.iter().map(|&p| fold.line.along(p));
        let (a, b) = s.fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(s), b.max(s)));
        (b > a).then_some((a, b))
    });
    let (a, b) = spans.fold((f64::MAX, f64::MIN), |x, y| (x.0.min(y.0), x.1.max(y.1)));
    if b > a && !hidden {
        let at = |s: f64| {
            let p = fold.line.place(s);
            fit.at([p.x, p.y])
        };
        let line = Path::segment(at(a), at(b));
        let stroke = match fold.kind {
            FoldArrow::Mountain => Stroke::MOUNTAIN,
            FoldArrow::Valley | FoldArrow::Crease => Stroke::VALLEY,
            FoldArrow::Unfold => Stroke::CREASE,
        };
        let stroke = Stroke { width: weight::BOLD, ..stroke.in_ink(Ink::Edge) };
        c.named_path("fold-line", &line, Paint::stroke(stroke));
    }
    // A crease under a crease needs no second pair of arrow heads.
    let shown = !(hidden && fold.kind == FoldArrow::Crease);
    if let Some((from, to)) = ends_of(model, fold).filter(|_| shown) {
        arrow(c, model, [fit.at(from), fit.at(to)], fit, fold.kind, hidden);
    }
}

/// Bowed away from the middle of the model, where there is less to hide; `other` takes the other
/// side.
fn arrow(
    c: &mut Canvas<'_>,
    model: &Folded,
    [p, q]: [Pt; 2],
    fit: &Fit,
    kind: FoldArrow,
    other: bool,
) {
    // Arrows of narrow bands are drawn longer than they go, or they would be all head.
    const LEAST: f64 = 8.0;
    let middle = [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
    let stretch = (LEAST / (q[0] - p[0]).hypot(q[1] - p[1]).max(1e-6)).max(1.0);
    let [p, q] = [p, q].map(|e: Pt| [0, 1].map(|k| middle[k] + (e[k] - middle[k]) * stretch));
    let b = bounds(model);
    let centre = fit.at([(b.low[0] + b.high[0]) / 2.0, (b.low[1] + b.high[1]) / 2.0]);
    let left = [q[1] - p[1], p[0] - q[0]];
    let outward = left[0] * (middle[0] - centre[0]) + left[1] * (middle[1] - centre[1]) >= 0.0;
    arrows::fold_arrow(c, p, q, if outward == other { -0.28 } else { 0.28 }, kind);
}

fn draw_moves(c: &mut Canvas<'_>, shown: &StepShown<'_>, fit: &Fit) {
    for ([a, b], state) in &shown.moves.creases {
        let stroke = crate::paper::crease_stroke(*state);
        let line = Path::segment(fit.at([a.x, a.y]), fit.at([b.x, b.y]));
        c.path(&line, Paint::stroke(Stroke { width: weight::BOLD, ..stroke }));
    }
    let kind = if shown.moves.creases.is_empty() { FoldArrow::Unfold } else { FoldArrow::Valley };
    for [from, to] in &shown.moves.ways {
        let (p, q) = (fit.at([from.x, from.y]), fit.at([to.x, to.y]));
        arrow(c, shown.before, [p, q], fit, kind, false);
    }
}

/// Corners of a face that lie where the line crosses or touches it.
fn on_line(model: &Folded, face: FaceId, line: &TableLine) -> Vec<TablePoint> {
    let p = outline(model, face);
    let mut out = Vec::new();
    for i in 0..p.len() {
        let a = TablePoint::new(p[i][0], p[i][1]);
        let q = p[(i + 1) % p.len()];
        let b = TablePoint::new(q[0], q[1]);
        let (s, t) = (line.side(a), line.side(b));
        if s.abs() < 1e-8 {
            out.push(a);
        } else if s * t < 0.0 {
            out.push(a.lerp(b, s / (s - t)));
        }
    }
    out
}
