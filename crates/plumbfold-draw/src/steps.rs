//! Folding instructions: the model before each step, the line, the arrow and the sentence.

mod detail;

use plumbfold::fold::state::{Assignment, FaceId, Folded};
use plumbfold::numeric::geom::{TableLine, TablePoint, clip_left, edges};

use crate::arrows::{self, FoldArrow};
use crate::cells::outline;
use crate::fit::{Bounds, Fit, Size};
use crate::frame;
use crate::paper::{bounds, drawn_from, lay, lay_apart};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, wrap};

pub use detail::Detail;

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
    /// Creases that fold under other paper.
    pub hidden: Vec<[TablePoint; 2]>,
    /// Edges of paper that moved and then lies under other paper.
    pub tucked: Vec<[TablePoint; 2]>,
    /// Places that move, from and to.
    pub ways: Vec<[TablePoint; 2]>,
    /// How they move.
    pub arrow: FoldArrow,
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
    /// Places the words speak of, with their letters.
    pub places: Vec<(char, TablePoint)>,
    /// How far each layer is drawn from the one under it, mm.
    pub apart: f64,
}

/// Room round the model in a panel for arrows, mm.
const AIR: f64 = 4.0;
/// The same where there are no words.
const BARE: f64 = 4.0;

/// The model before and after a step side by side, so that paper keeps its size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Scale of both, mm per m.
    scale: f64,
    /// Size of each picture, mm.
    pub sizes: [Pt; 2],
}

impl Pair {
    /// As large as both fit beside each other into so much room, mm.
    pub fn within(shown: &StepShown<'_>, after: &Folded, room: Pt) -> Self {
        let models = [shown_bounds(shown), bounds(after)];
        let [width, height] =
            models.iter().fold([0.0, 0.0_f64], |[w, h], b| [w + b.width(), h.max(b.height())]);
        let sign = sign_room(Rect::new(0.0, 0.0, room[0], room[1]), shown);
        let free = [room[0] - 4.0 * BARE, room[1] - sign - 2.0 * BARE];
        let scale = (free[0] / width.max(1e-6)).min(free[1] / height.max(1e-6)).max(1e-3);
        let high = height * scale + sign + 2.0 * BARE;
        Self { scale, sizes: models.map(|b| [b.width() * scale + 2.0 * BARE, high]) }
    }

    /// The model before, with what is done to it.
    pub fn before(&self, look: &Look, shown: &StepShown<'_>) -> String {
        let title = format!("Step {}", shown.number);
        let mut c = Canvas::new(look, self.sizes[0], &title, &shown.says);
        let area = c.frame();
        panel(&mut c, area, shown, None, Some(self.scale));
        c.finish()
    }

    /// The model after.
    pub fn after(&self, look: &Look, shown: &StepShown<'_>, after: &Folded) -> String {
        let title = format!("After step {}", shown.number);
        let mut c = Canvas::new(look, self.sizes[1], &title, "");
        let fit = Fit::centred(&bounds(after), self.scale, drawing(c.frame(), shown, BARE));
        lay_apart(&mut c, after, &fit, shown.apart);
        draw_tucked(&mut c, shown, &fit);
        c.finish()
    }
}

/// Where paper that was pushed in lies now, under the other.
fn draw_tucked(c: &mut Canvas<'_>, shown: &StepShown<'_>, fit: &Fit) {
    if shown.moves.arrow == FoldArrow::Push {
        let segments = shown.moves.tucked.iter().map(|e| e.map(|p| fit.at([p.x, p.y])));
        let path = segments.fold(Path::new(), |path, [a, b]| path.and(&Path::segment(a, b)));
        c.named_path("tucked", &path, Paint::stroke(Stroke::HIDDEN));
    }
}

/// All steps, row by row, and the finished model at the end.
pub fn instructions(
    look: &Look,
    name: &str,
    steps: &[StepShown<'_>],
    finished: &Folded,
    columns: usize,
) -> String {
    // Every panel has room for the longest caption.
    let more = steps.iter().map(|s| more_lines(&s.says, WIDTH)).fold(0.0, f64::max);
    let panel_size: Pt = [WIDTH, 70.0 + more];
    const WIDTH: f64 = 56.0;
    const GAP: f64 = 8.0;
    let columns = columns.clamp(1, 12);
    let rows = (steps.len() + 1).div_ceil(columns);
    let [w, h] = panel_size;
    let size = [columns as f64 * (w + GAP) - GAP, rows as f64 * (h + GAP) - GAP];
    let note = format!("{} steps", steps.len());
    let says: Vec<String> = steps.iter().map(|s| format!("{}. {}", s.number, s.says)).collect();
    let (mut c, area) = frame::start(look, name, &note, &says.join("; "), size);
    let place = |i: usize| {
        let (row, column) = (i / columns, i % columns);
        Rect::new(area.x + column as f64 * (w + GAP), area.y + row as f64 * (h + GAP), w, h)
    };
    // One scale for all, so that paper does not seem to grow as it is folded.
    let inside = inside(place(0), more);
    let scale = |b: Bounds, into: Rect| Fit::scale_of(&b, Size::Within([into.w, into.h]));
    let each = steps.iter().map(|s| scale(shown_bounds(s), drawing(inside, s, AIR)));
    let scale = each.fold(scale(bounds(finished), inside.inset(AIR)), f64::min);
    for (i, s) in steps.iter().enumerate() {
        panel(&mut c, place(i), s, Some(more), Some(scale));
    }
    let last = place(steps.len());
    c.group("finished", |c| {
        c.text([last.x, last.y + 4.0], "Folded", Text::LABEL.strong());
        let into = Rect::new(last.x, last.y + 6.0, last.w, last.h - 18.0 - more).inset(AIR);
        lay(c, finished, &Fit::centred(&bounds(finished), scale, into));
    });
    c.finish()
}

/// What of a panel with words is left for the model.
fn inside(area: Rect, more: f64) -> Rect {
    Rect::new(area.x, area.y + 5.0, area.w, area.h - 18.5 - more)
}

/// Where the model is drawn: a sign for turning stands above it.
fn drawing(into: Rect, shown: &StepShown<'_>, air: f64) -> Rect {
    let sign = sign_room(into, shown);
    Rect::new(into.x, into.y + sign, into.w, into.h - sign).inset(air)
}

fn sign_room(into: Rect, shown: &StepShown<'_>) -> f64 {
    if shown.turn.is_some() { (into.h * 0.25).min(12.0) } else { 0.0 }
}

/// Everything drawn of a step.
fn shown_bounds(shown: &StepShown<'_>) -> Bounds {
    bounds(shown.before).and(reach(shown))
}

const LINE_HEIGHT: f64 = 3.7;
/// Lines of a caption for which every panel has room.
const LINES: usize = 3;

/// Room that a caption needs beyond that, mm.
fn more_lines(says: &str, width: f64) -> f64 {
    wrap(says, Text::SMALL, width).len().saturating_sub(LINES) as f64 * LINE_HEIGHT
}

/// One step. With words it has the given room for captions beyond the usual, mm; the scale follows
/// from the panel alone where it is not given.
fn panel(
    c: &mut Canvas<'_>,
    area: Rect,
    shown: &StepShown<'_>,
    words: Option<f64>,
    scale: Option<f64>,
) {
    c.group("step", |c| {
        let into = if let Some(more) = words {
            c.text([area.x, area.y + 4.0], &shown.number.to_string(), Text::LABEL.strong());
            for (i, line) in wrap(&shown.says, Text::SMALL, area.w).iter().enumerate() {
                let y = area.bottom() - 12.0 - more + 2.75 + i as f64 * LINE_HEIGHT;
                c.text([area.x, y], line, Text::SMALL.in_ink(Ink::Text));
            }
            inside(area, more)
        } else {
            area
        };
        let (sign, b) = (sign_room(into, shown), shown_bounds(shown));
        let below = drawing(into, shown, if words.is_some() { AIR } else { BARE });
        let fit = match scale {
            Some(scale) => Fit::centred(&b, scale, below),
            None => Fit::within(&b, below),
        };
        lay_apart(c, shown.before, &fit, shown.apart);
        draw_folds(c, shown, &fit);
        draw_moves(c, shown, &fit);
        draw_places(c, shown, &fit);
        let sign = [into.x + into.w / 2.0, into.y + sign / 2.0 + 1.0];
        match shown.turn {
            Some(Turn::Over) => arrows::turn_over(c, sign),
            Some(Turn::By(angle)) => arrows::rotate(c, sign, angle),
            None => {}
        }
    });
}

impl FoldShown {
    /// The mirrored half of a step may lie under the first: near and far half of a model folded in
    /// two.
    fn is_along(&self, other: &Self) -> bool {
        self.line.side(other.line.at).abs() < 1e-6
            && self.line.dir.cross(other.line.dir).abs() < 1e-6
    }
}

impl StepShown<'_> {
    /// The folds that are drawn, and whether each is made once more on the half behind.
    fn drawn(&self) -> impl Iterator<Item = (&FoldShown, bool)> {
        self.folds.iter().enumerate().filter_map(|(i, fold)| {
            let (before, after) = (&self.folds[..i], &self.folds[i + 1..]);
            let along = |others: &[FoldShown]| others.iter().any(|o| o.is_along(fold));
            (!along(before)).then(|| (fold, along(after)))
        })
    }

    /// Whether a fold is made once more on the half behind.
    pub fn is_repeated_behind(&self) -> bool {
        self.drawn().any(|(_, again)| again)
    }
}

fn draw_folds(c: &mut Canvas<'_>, shown: &StepShown<'_>, fit: &Fit) {
    for (fold, again) in shown.drawn() {
        draw_fold(c, shown.before, fold, fit, again);
    }
}

/// A dot on each place, its letter outside the middle of the model.
fn draw_places(c: &mut Canvas<'_>, shown: &StepShown<'_>, fit: &Fit) {
    if shown.places.is_empty() {
        return;
    }
    let b = bounds(shown.before);
    let centre = fit.at([(b.low[0] + b.high[0]) / 2.0, (b.low[1] + b.high[1]) / 2.0]);
    c.group("places", |c| {
        for (letter, place) in &shown.places {
            let drawn = fit.moved(drawn_from(shown.before, shown.apart, *place));
            let p = drawn.at([place.x, place.y]);
            // Outside stands the wedge of a push that begins there.
            let pushed = shown.moves.arrow == FoldArrow::Push
                && shown.moves.ways.iter().any(|[from, _]| from.distance(*place) < 1e-6);
            let way = if pushed { -1.0 } else { 1.0 };
            let out = |k: usize| if p[k] < centre[k] - 0.5 { -way } else { way };
            c.path(&Path::circle(p, 0.9), Paint::both(Ink::Plain, Stroke::ARROW));
            let at = [p[0] + 2.6 * out(0), p[1] + 1.6 * out(1)];
            let style = Text::SMALL.in_ink(Ink::Text).strong().centred().halo();
            c.text(at, &letter.to_string(), style);
        }
    });
}

/// Room that the wedge of a push takes outside the model, of the model's height.
const PUSH_SHARE: f64 = 0.08;

/// How far an arrow bows out, of its length.
const BOW: f64 = 0.17;

/// What the arrows need beside the model.
fn reach(shown: &StepShown<'_>) -> Bounds {
    let ends = shown.folds.iter().filter_map(|f| ends_of(shown.before, f));
    let pushed = shown.moves.arrow == FoldArrow::Push;
    let room = if pushed { PUSH_SHARE * bounds(shown.before).height() } else { 0.0 };
    let ways = shown.moves.ways.iter().flat_map(|&[from, to]| {
        let back = (from - to) * (room / from.distance(to).max(1e-9));
        // Arrows bow away from the middle of the model.
        let b = bounds(shown.before);
        let aside = (to - from).perp() * BOW;
        let middle = from.lerp(to, 0.5);
        let centre = TablePoint::new((b.low[0] + b.high[0]) / 2.0, (b.low[1] + b.high[1]) / 2.0);
        let outward = aside.dot(middle - centre) >= 0.0;
        [from + back, to, middle + if outward { aside } else { aside * -1.0 }]
    });
    let ways = ways.map(|p| [p.x, p.y]);
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

fn draw_fold(c: &mut Canvas<'_>, model: &Folded, fold: &FoldShown, fit: &Fit, again: bool) {
    let spans = taken(model, fold).into_iter().filter(|&f| f < model.faces.len()).filter_map(|f| {
        let touching = on_line(model, f, &fold.line);
        let s = touching.iter().map(|&p| fold.line.along(p));
        let (a, b) = s.fold((f64::MAX, f64::MIN), |(a, b), s| (a.min(s), b.max(s)));
        (b > a).then_some((a, b))
    });
    let (a, b) = spans.fold((f64::MAX, f64::MIN), |x, y| (x.0.min(y.0), x.1.max(y.1)));
    if b > a {
        let at = |s: f64| {
            let p = fold.line.place(s);
            fit.at([p.x, p.y])
        };
        let stroke = match fold.kind {
            FoldArrow::Mountain => Stroke::MOUNTAIN,
            FoldArrow::Valley | FoldArrow::Crease | FoldArrow::Tuck | FoldArrow::Push => {
                Stroke::VALLEY
            }
            FoldArrow::Unfold => Stroke::CREASE,
        };
        let stroke = Stroke { width: weight::BOLD, ..stroke.in_ink(Ink::Edge) };
        let [mut p, mut q] = [at(a), at(b)];
        if creased_there(model, &fold.line) {
            // Beside the old line, on the side that moves, or its gaps would show the old one.
            let d = [q[0] - p[0], q[1] - p[1]];
            let l = d[0].hypot(d[1]).max(1e-9);
            let out = [d[1] / l * BESIDE, -d[0] / l * BESIDE];
            [p, q] = [p, q].map(|e: Pt| [e[0] + out[0], e[1] + out[1]]);
        } else if edge_there(model, &fold.line) {
            // A rim, or the edge would fill the gaps.
            let rim = Stroke::solid(Ink::Plain, weight::BOLD + 0.7);
            c.path(&Path::segment(p, q), Paint::stroke(rim));
        }
        dashed(c, p, q, stroke);
    }
    if let Some((from, to)) = ends_of(model, fold) {
        arrow(c, model, [fit.at(from), fit.at(to)], fit, fold.kind, again);
    }
}

/// How far beside an old crease a fold along it is drawn, mm.
const BESIDE: f64 = 0.45;

/// Whether a flat crease that can be seen runs where a fold is made.
fn creased_there(model: &Folded, line: &TableLine) -> bool {
    model
        .hinges
        .iter()
        .filter(|h| !model.is_folded(h))
        .any(|h| model.hinge_on_table(h).iter().all(|&p| line.side(p).abs() < 1e-6))
}

/// Whether an edge of paper lies where a fold is made: within a millimetre, since layers drawn apart
/// and creep move it a little.
fn edge_there(model: &Folded, line: &TableLine) -> bool {
    const NEAR_M: f64 = 1e-3;
    const LEAST_M: f64 = 10e-3;
    (0..model.faces.len()).any(|f| {
        let outline = model.table_polygon(f);
        edges(&outline).any(|(a, b)| {
            a.distance(b) > LEAST_M && line.side(a).abs() < NEAR_M && line.side(b).abs() < NEAR_M
        })
    })
}

/// A line in its style. One too short for its dashes has them drawn closer, so that a whole
/// period shows and the style can be told.
fn dashed(c: &mut Canvas<'_>, p: Pt, q: Pt, stroke: Stroke) {
    let period: f64 = stroke.dash.iter().sum();
    let length = (q[0] - p[0]).hypot(q[1] - p[1]);
    let least = period + stroke.dash.first().copied().unwrap_or(0.0);
    if stroke.dash.is_empty() || length >= least {
        c.named_path("fold-line", &Path::segment(p, q), Paint::stroke(stroke));
        return;
    }
    let at = |s: f64| [0, 1].map(|k| p[k] + (q[k] - p[k]) * (s / least).min(1.0));
    let (mut s, mut path) = (0.0, Path::new());
    for (i, dash) in stroke.dash.iter().chain(stroke.dash.first()).enumerate() {
        if i % 2 == 0 {
            path = path.to(at(s)).line(at(s + dash));
        }
        s += dash;
    }
    c.named_path("fold-line", &path, Paint::stroke(Stroke::solid(stroke.ink, stroke.width)));
}

/// Bowed away from the middle of the model, where there is less to hide; `other` takes the other
/// side.
fn arrow(
    c: &mut Canvas<'_>,
    model: &Folded,
    [p, q]: [Pt; 2],
    fit: &Fit,
    kind: FoldArrow,
    again: bool,
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
    let bow = if outward { 0.28 } else { -0.28 };
    arrows::fold_arrow(c, p, q, bow, kind);
    if again {
        arrows::repeat(c, p, q, bow);
    }
}

fn draw_moves(c: &mut Canvas<'_>, shown: &StepShown<'_>, fit: &Fit) {
    for [a, b] in &shown.moves.hidden {
        let line = Path::segment(fit.at([a.x, a.y]), fit.at([b.x, b.y]));
        c.path(&line, Paint::stroke(Stroke { width: weight::BOLD, ..Stroke::HIDDEN }));
    }
    for ([a, b], state) in &shown.moves.creases {
        let stroke = crate::paper::crease_stroke(*state);
        let line = Path::segment(fit.at([a.x, a.y]), fit.at([b.x, b.y]));
        c.path(&line, Paint::stroke(Stroke { width: weight::BOLD, ..stroke }));
    }
    for [from, to] in &shown.moves.ways {
        let (p, q) = (fit.at([from.x, from.y]), fit.at([to.x, to.y]));
        arrow(c, shown.before, [p, q], fit, shown.moves.arrow, false);
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
