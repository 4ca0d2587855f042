//! Paper lying on the table, and creases on the sheet: what the pictures of folding share.

use std::collections::VecDeque;

use plumbfold::fold::layout::Layout;
use plumbfold::fold::state::{Assignment, CreaseId, Folded, Hinge};
use plumbfold::numeric::geom::{Line, SheetPoint, TablePoint, is_inside};
use plumbfold::numeric::slabs::{Cell, XY};

use crate::cells::{outline, path};
use crate::fit::{Bounds, Fit};
use crate::style::{Hatch, Ink, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt};

/// An existing crease ends this far from where it meets an edge, mm.
const CREASE_GAP: f64 = 1.3;

/// Extent of the model on the table, m.
pub fn bounds(model: &Folded) -> Bounds {
    Bounds::of((0..model.faces.len()).flat_map(|f| outline(model, f)))
}

/// A straight stretch of one crease in one state, as long as it runs on unbroken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CreaseRun {
    /// Which crease.
    pub crease: CreaseId,
    /// State.
    pub state: Assignment,
    /// Ends on the sheet.
    pub ends: [SheetPoint; 2],
}

/// The creases on the unfolded sheet, pieces joined so that dashes run through.
pub fn crease_runs(model: &Folded) -> Vec<CreaseRun> {
    let ranks = model.ranks();
    let mut pieces: Vec<CreaseRun> = model
        .hinges
        .iter()
        .map(|h| CreaseRun { crease: h.crease, state: model.assignment(h, &ranks), ends: h.ends })
        .collect();
    // Joining is repeated pairwise: a run of n pieces is whole after the pass in which each end
    // has found its neighbour.
    let mut i = 0;
    while i < pieces.len() {
        let joined = (i + 1..pieces.len()).find_map(|j| Some((j, join(&pieces[i], &pieces[j])?)));
        match joined {
            Some((j, run)) => {
                pieces[i] = run;
                pieces.swap_remove(j);
            }
            None => i += 1,
        }
    }
    pieces
}

fn join(a: &CreaseRun, b: &CreaseRun) -> Option<CreaseRun> {
    if a.crease != b.crease || a.state != b.state {
        return None;
    }
    for (p, q) in [(0, 0), (0, 1), (1, 0), (1, 1)] {
        if a.ends[p].near(b.ends[q]) {
            let (from, to) = (a.ends[1 - p], b.ends[1 - q]);
            let line = Line::through(from, to)?;
            // A millionth of a metre: pieces of one fold line are collinear to rounding.
            if line.side(a.ends[p]).abs() < 1e-6 && line.along(a.ends[p]) > 0.0 {
                return Some(CreaseRun { ends: [from, to], ..*a });
            }
        }
    }
    None
}

/// The line style of a crease state.
pub fn crease_stroke(state: Assignment) -> Stroke {
    match state {
        Assignment::Mountain => Stroke::MOUNTAIN,
        Assignment::Valley => Stroke::VALLEY,
        Assignment::Flat => Stroke::CREASE,
    }
}

/// The two ends drawn in a little, so that the line does not touch the edges.
pub fn short_of_edges(a: Pt, b: Pt) -> (Pt, Pt) {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]);
    let gap = CREASE_GAP.min(length * 0.2) / length.max(1e-9);
    let at = |t: f64| [a[0] + d[0] * t, a[1] + d[1] * t];
    (at(gap), at(1.0 - gap))
}

/// Faces joined by creases that lie flat: one flap, drawn as one shape.
struct Flap {
    faces: Vec<usize>,
    printed_up: bool,
    /// How many flaps lie under it where most do.
    level: usize,
}

/// Flaps from the table upwards.
fn flaps(model: &Folded) -> Vec<Flap> {
    let n = model.faces.len();
    let mut flap_of: Vec<usize> = (0..n).collect();
    for h in model.hinges.iter().filter(|h| !model.is_folded(h)) {
        let (from, to) = (flap_of[h.faces[0]], flap_of[h.faces[1]]);
        for f in &mut flap_of {
            if *f == from {
                *f = to;
            }
        }
    }
    let layout = Layout::new(model);
    stacked(model, &flap_of, &layout)
        // Woven flaps cannot be piled whole; single faces always can.
        .or_else(|| stacked(model, &(0..n).collect::<Vec<_>>(), &layout))
        .unwrap_or_default()
}

/// Flaps in an order in which each lies on those below it; `None` where they are woven.
fn stacked(model: &Folded, flap_of: &[usize], layout: &Layout) -> Option<Vec<Flap>> {
    let n = flap_of.len();
    let mut above: Vec<Vec<usize>> = vec![Vec::new(); n];
    let mut below = vec![0_usize; n];
    for (k, &upper) in model.order.iter().enumerate() {
        for &lower in &model.order[..k] {
            let (u, l) = (flap_of[upper], flap_of[lower]);
            let new = u != l && !above[l].contains(&u);
            if new && layout.overlap(upper, lower) {
                above[l].push(u);
                below[u] += 1;
            }
        }
    }
    // First come, first drawn, in the order of each flap's lowest face.
    let mut roots: Vec<usize> = Vec::new();
    for &f in &model.order {
        if !roots.contains(&flap_of[f]) {
            roots.push(flap_of[f]);
        }
    }
    let mut level = vec![0; n];
    let mut ready: VecDeque<usize> = roots.iter().copied().filter(|&r| below[r] == 0).collect();
    let mut out = Vec::new();
    while let Some(r) = ready.pop_front() {
        let faces: Vec<usize> = (0..n).filter(|&f| flap_of[f] == r).collect();
        let printed_up = faces.iter().any(|&f| model.shows_print(f));
        out.push(Flap { faces, printed_up, level: level[r] });
        for &u in &above[r] {
            level[u] = level[u].max(level[r] + 1);
            below[u] -= 1;
            if below[u] == 0 {
                ready.push_back(u);
            }
        }
    }
    (out.len() == roots.len()).then_some(out)
}

/// The model as it lies on the table, bottom to top.
pub fn lay(canvas: &mut Canvas<'_>, model: &Folded, fit: &Fit) {
    lay_apart(canvas, model, fit, 0.0);
}

/// All layers together are never drawn farther apart than this, mm.
const APART_MAX: f64 = 2.2;

/// Whether layers are better drawn out to the right: where more of the model's left edge than of its
/// right one is folded, since nothing sticks out of a closed edge.
fn opens_to_the_right(model: &Folded) -> bool {
    const NEAR_SHARE: f64 = 0.03;
    let b = bounds(model);
    let near = NEAR_SHARE * b.width();
    let folded = |x: f64| -> f64 {
        let hinges = model.hinges.iter().filter(|h| model.is_folded(h));
        let ends = hinges.map(|h| model.hinge_on_table(h));
        let along = ends.filter(|e| e.iter().all(|p| (p.x - x).abs() < near));
        along.map(|[p, q]| p.distance(q)).sum()
    };
    folded(b.low[0]) > folded(b.high[0]) + near
}

/// The model with each layer a little down and to the open side of those on it, mm, so that edges
/// that lie on each other can be told apart. The topmost lies where it is. Of a thick stack several
/// layers share a place: drawn one by one their edges would be a dark bar.
pub fn lay_apart(canvas: &mut Canvas<'_>, model: &Folded, fit: &Fit, apart: f64) {
    canvas.group("paper", |c| {
        for (flap, by) in apart_by(model, apart) {
            let width = if by == [0.0; 2] { weight::LINE } else { weight::THIN };
            let fit = &fit.moved(by);
            let shape = flap
                .faces
                .iter()
                .fold(Path::new(), |path, &f| path.and(&fit.polygon(outline(model, f))));
            let (class, ink) =
                if flap.printed_up { ("printed", Ink::Printed) } else { ("plain", Ink::Plain) };
            c.named_path(class, &shape, Paint::fill(ink));
            if flap.printed_up {
                c.pattern(&shape, Hatch::Grain, Ink::EdgeSoft);
            }
            let (creases, edges) = lines_of(model, &flap.faces, fit);
            c.path(&creases, Paint::stroke(Stroke::CREASE));
            c.path(&edges, Paint::stroke(Stroke { width, ..Stroke::EDGE }));
        }
    });
}

/// Flaps from the table upwards, and how far each is drawn from where it lies, mm.
fn apart_by(model: &Folded, apart: f64) -> Vec<(Flap, Pt)> {
    let flaps = flaps(model);
    let highest = flaps.iter().map(|f| f.level).max().unwrap_or(0) as f64;
    let places = if apart > 0.0 { (APART_MAX / apart).floor() } else { 0.0 };
    let share = (places / highest.max(1.0)).min(1.0);
    let aside = if opens_to_the_right(model) { -1.0 } else { 1.0 };
    let by = |flap: Flap| {
        // To the next whole place, or rounding would lift a layer onto the topmost.
        let out = -apart * ((highest - flap.level as f64) * share - 1e-9).ceil().max(0.0);
        (flap, [aside * out + 0.0, -out + 0.0])
    };
    flaps.into_iter().map(by).collect()
}

/// How far the topmost paper at a place of the table is drawn from where it lies, mm.
pub fn drawn_from(model: &Folded, apart: f64, place: TablePoint) -> Pt {
    // On its outline, too.
    const ON_M: f64 = 1e-6;
    let carries = |f: usize| is_inside(&model.table_polygon(f), place, -ON_M);
    let all = apart_by(model, apart);
    let top = all.iter().rev().find(|(flap, _)| flap.faces.iter().any(|&f| carries(f)));
    top.map_or([0.0; 2], |t| t.1)
}

/// Flat creases inside a flap, and its edges: folded ones and those of the sheet.
fn lines_of(model: &Folded, faces: &[usize], fit: &Fit) -> (Path, Path) {
    let (mut creases, mut edges) = (Path::new(), Path::new());
    for &f in faces {
        let face = &model.faces[f];
        let at = |p: SheetPoint| {
            let q = face.placement.apply(p);
            fit.at([q.x, q.y])
        };
        let own: Vec<&Hinge> = model.hinges.iter().filter(|h| h.faces.contains(&f)).collect();
        for i in 0..face.polygon.len() {
            let (a, b) = (face.polygon[i], face.polygon[(i + 1) % face.polygon.len()]);
            if !own.iter().any(|h| runs_along(h, a, b)) {
                edges = edges.and(&Path::segment(at(a), at(b)));
            }
        }
        for h in own {
            let (a, b) = (at(h.ends[0]), at(h.ends[1]));
            if model.is_folded(h) {
                edges = edges.and(&Path::segment(a, b));
            } else if h.faces[0] == f || !faces.contains(&h.faces[0]) {
                let (a, b) = short_of_edges(a, b);
                creases = creases.and(&Path::segment(a, b));
            }
        }
    }
    (creases, edges)
}

/// Does a hinge lie on the edge from `a` to `b`?
fn runs_along(h: &Hinge, a: SheetPoint, b: SheetPoint) -> bool {
    Line::through(a, b).is_some_and(|l| {
        let length = a.distance(b);
        let on =
            |p: SheetPoint| l.side(p).abs() < 1e-7 && (-1e-7..=length + 1e-7).contains(&l.along(p));
        on(h.ends[0]) && on(h.ends[1])
    })
}

/// A shade over the model, darker where more layers lie, as if held against the light.
pub fn shade_by_layers(canvas: &mut Canvas<'_>, cells: &[Cell], fit: &Fit) {
    canvas.group("shade", |c| {
        for layers in 2..=cells.iter().map(|c| c.layers).max().unwrap_or(0) {
            let here = cells.iter().filter(|c| c.layers == layers).map(|c| &c.shape);
            c.path(&path(here, fit), Paint::veil(Ink::Shade, veil(layers)));
        }
    });
}

/// How dark the shade of so many layers is: each layer lets the same part of the light through.
pub fn veil(layers: usize) -> f64 {
    const LET_THROUGH: f64 = 0.93;
    1.0 - LET_THROUGH.powi(layers.saturating_sub(1).min(64) as i32).max(0.35)
}

/// The silhouette of the model as a heavier line.
pub fn silhouette(canvas: &mut Canvas<'_>, cells: &[Cell], fit: &Fit) {
    let shapes: Vec<_> = cells.iter().map(|c| c.shape).collect();
    let line = crate::cells::border(&shapes)
        .into_iter()
        .filter(|&(a, b)| on_outside(cells, a, b))
        .fold(Path::new(), |path, (a, b)| path.and(&Path::segment(fit.at(a), fit.at(b))));
    canvas.path(&line, Paint::stroke(Stroke::solid(Ink::Edge, weight::BOLD)));
}

/// Is one side of this piece of a cell's border bare table?
fn on_outside(cells: &[Cell], a: Pt, b: Pt) -> bool {
    let mid = TablePoint::new((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0);
    let Some(line) = Line::through(TablePoint::new(a[0], a[1]), TablePoint::new(b[0], b[1])) else {
        return false;
    };
    let covered = |p: TablePoint| cells.iter().any(|c| c.shape.contains(XY { x: p.y, y: p.x }));
    // A hundredth of a millimetre to either side; sides of no length are rounding noise of either sign.
    let step = line.dir.perp() * 1e-5;
    !covered(mid + step) || !covered(mid + step * -1.0)
}
