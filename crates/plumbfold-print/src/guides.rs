//! Marks that show after a fold whether it is true: where an edge comes to lie on the paper under
//! it, a line, and a finer one a millimetre to either side; and a tick across the edge, half of it
//! on either paper, which is whole only where the edge has not slid along itself.

use plumbfold::fold::exec::{FoldRun, StepKind};
use plumbfold::fold::state::{FaceId, Folded, Hinge};
use plumbfold::numeric::geom::{SheetPoint, TablePoint, edges, is_inside};

use crate::surface::Mark;

/// Where an edge should lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Guide {
    /// A stretch of its line, on the paper under it.
    pub line: Mark,
    /// Two halves of a tick that meet at the edge: on the paper under it, and on its own.
    pub tick: [Mark; 2],
}

impl Guide {
    /// Everything printed for it.
    pub fn marks(&self) -> [&Mark; 3] {
        let [under, over] = &self.tick;
        [&self.line, under, over]
    }
}

/// Edges shorter than this get no mark, m.
const LEAST_M: f64 = 25e-3;
/// Length of a mark, m.
const LENGTH_M: f64 = 12e-3;
/// On either side of the edge the paper under it must reach this far, m.
const ROOM_M: f64 = 3e-3;
/// Marks nearer to each other than this say the same, m.
const APART_M: f64 = 2e-3;

/// The marks of every fold that stays folded.
pub fn of(run: &FoldRun) -> Vec<Guide> {
    let mut out: Vec<Guide> = Vec::new();
    for (i, step) in run.steps.iter().enumerate() {
        let folds = matches!(step.kind, StepKind::Fold(_) | StepKind::Collapse);
        if !folds || step.passes.iter().all(|p| p.valley.is_none()) {
            continue;
        }
        let creases: Vec<usize> = step.passes.iter().flat_map(|p| p.creases.clone()).collect();
        for guide in landed(run.before(i), &step.after, &creases) {
            let middle = |g: &Guide| g.line.ends[0].lerp(g.line.ends[1], 0.5);
            let near = |o: &Guide| {
                o.line.printed == guide.line.printed && middle(o).distance(middle(&guide)) < APART_M
            };
            if !out.iter().any(near) {
                out.push(guide);
            }
        }
    }
    out
}

fn landed(before: &Folded, after: &Folded, creases: &[usize]) -> Vec<Guide> {
    let ranks = after.ranks();
    let outlines: Vec<Vec<TablePoint>> =
        (0..after.faces.len()).map(|f| after.table_polygon(f)).collect();
    let top = |p: TablePoint| {
        let here = (0..outlines.len()).filter(|&f| inside(&outlines[f], p));
        here.max_by_key(|&f| ranks[f])
    };
    let mut out = Vec::new();
    for f in (0..after.faces.len()).filter(|&f| moved(before, after, f)) {
        let face = &after.faces[f];
        for (a, b) in edges(&face.polygon) {
            let joined = |h: &&Hinge| {
                h.faces.contains(&f)
                    && (creases.contains(&h.crease) || !after.is_folded(h))
                    && on(h, a.lerp(b, 0.5))
            };
            if a.distance(b) < LEAST_M || after.hinges.iter().any(|h| joined(&h)) {
                continue;
            }
            let (p, q) = (face.placement.apply(a), face.placement.apply(b));
            let Some(along) = (q - p).unit() else { continue };
            let middle = p.lerp(q, 0.5);
            // Outwards: the face is anticlockwise on the sheet, and may lie turned over.
            let out_of = along.perp() * if face.placement.det() > 0.0 { -1.0 } else { 1.0 };
            let place = |out: f64| middle + out_of * out;
            let Some(under) = top(place(ROOM_M)) else { continue };
            let seen = top(place(-ROOM_M)) == Some(f);
            if !seen || under == f || !inside(&outlines[under], place(-ROOM_M)) {
                continue;
            }
            let mark = |face: FaceId, ends: [TablePoint; 2]| {
                let placement = &after.faces[face].placement;
                let printed = placement.det() > 0.0;
                Mark { ends: ends.map(|p| placement.unapply(p)), printed }
            };
            let end = |sign: f64| middle + along * (sign * LENGTH_M / 2.0);
            out.push(Guide {
                line: mark(under, [end(-1.0), end(1.0)]),
                tick: [mark(under, [middle, place(ROOM_M)]), mark(f, [place(-ROOM_M), middle])],
            });
        }
    }
    out
}

/// Whether a face lies elsewhere than the paper it is made of did.
fn moved(before: &Folded, after: &Folded, face: FaceId) -> bool {
    let f = &after.faces[face];
    let at = plumbfold::numeric::geom::centroid(&f.polygon);
    before.faces_at(at).next().is_some_and(|old| !before.faces[old].placement.near(&f.placement))
}

fn on(hinge: &Hinge, p: SheetPoint) -> bool {
    let [a, b] = hinge.ends;
    (a.distance(p) + p.distance(b) - a.distance(b)).abs() < 1e-6
}

/// Whether a place lies inside a convex outline, off its edges.
fn inside(outline: &[TablePoint], p: TablePoint) -> bool {
    is_inside(outline, p, 1e-7)
}

/// How high the paper lies that covers a place of the table: the ranks of its faces.
pub(crate) fn layers_at(model: &Folded, at: TablePoint) -> impl Iterator<Item = usize> {
    let ranks = model.ranks();
    (0..model.faces.len())
        .filter(move |&f| inside(&model.table_polygon(f), at))
        .map(move |f| ranks[f])
}
