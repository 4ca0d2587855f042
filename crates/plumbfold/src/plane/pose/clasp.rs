//! Whether other paper clasps a posed crease shut.
//!
//! ```text
//!    ______________________ )   far side of the keel, folded over the edge of both
//!      __________________ ) )   near side of the keel, folded over
//!      __________________|| |   near side        to open, the near side must rise off the far
//!    _____________________|_|   far side         one, and its hem must sink into it
//! ```
//! While creases begin to open, every stack turns a little about lines of the table, so that the
//! height of each stack above its neighbour is linear in how fast the creases open. Layers that lie
//! on each other may part and may not sink into each other: linear limits on those speeds. Creases
//! that can begin to open do, and stacks that have parted are in each other's way no more; what
//! can never begin is clasped. A stack of stacks opens from the outside in, so only woven ones are
//! looked at.

use super::clusters::{Clusters, HEM_M, is_scrap};
use super::{HingeAngle, Placed, PoseError, STRAIGHT, hinge_on_table};
use crate::fold::layout::Layout;
use crate::fold::state::{CreaseId, FaceId, Folded, Hinge};
use crate::numeric::cone::nearest_allowed;
use crate::numeric::geom::{
    SheetPoint, TableLine, TablePoint, Vec2, clip_left, edges, intersect_convex,
};
use nalgebra::{DVector, Point3};

/// Speeds and heights below this share of the wish are none (rounding).
const STILL: f64 = 1e-6;

/// Refuses a posed crease that other paper clasps shut.
pub(super) fn check(
    folded: &Folded,
    angles: &[HingeAngle],
    clusters: &Clusters,
    placed: &[Placed],
) -> Result<(), PoseError> {
    if opens_from_outside(folded, clusters) {
        return Ok(());
    }
    let opening = Opening::new(folded, clusters, placed);
    let limits = limits(folded, clusters, &opening);
    // Stacks that have not parted yet bear one number.
    let mut together = vec![0; clusters.count];
    loop {
        let near: Vec<&Limit> =
            limits.iter().filter(|l| together[l.stacks[0]] == together[l.stacks[1]]).collect();
        let rows: Vec<DVector<f64>> = near.iter().map(|l| l.row.clone()).collect();
        let shut = opening.hinges.iter().filter(|h| together[h.stacks[0]] == together[h.stacks[1]]);
        let shut: Vec<&Posed> = shut.collect();
        let (mut motion, mut clasped) = (DVector::zeros(opening.unknowns), None);
        for hinge in &shut {
            let Some((speeds, held)) = nearest_allowed(&rows, &hinge.wish) else { return Ok(()) };
            if speeds.norm() > STILL {
                motion += speeds;
            } else {
                let faces = held.iter().flat_map(|&k| near[k].faces).collect::<Vec<_>>();
                clasped = clasped.or(Some((hinge.item, faces)));
            }
        }
        let Some((item, faces)) = clasped else { return Ok(()) };
        let parted = opening.parted(&motion, &together);
        if parted == together {
            let HingeAngle { crease, span, .. } = &angles[item];
            let (crease, span) = (crease.clone(), span.clone());
            let by = latest(folded, clusters, &faces);
            return Err(PoseError::Clasped { crease, by, span });
        }
        together = parted;
    }
}

/// Whether no stack has another's layers between its own, and none reaches over its own creases.
fn opens_from_outside(folded: &Folded, clusters: &Clusters) -> bool {
    let mut seen = vec![false; clusters.count];
    let stacks = folded.order.iter().map(|&f| clusters.of_face[f]);
    let mut last = None;
    let mut begun = stacks.filter(|&c| last.replace(c) != Some(c));
    !begun.any(|c| std::mem::replace(&mut seen[c], true)) && !reach_over(folded, clusters)
}

/// Whether some stack reaches over a crease it hangs on.
fn reach_over(folded: &Folded, clusters: &Clusters) -> bool {
    let mut looked = Vec::new();
    clusters.posed.iter().any(|&(h, _)| {
        let hinge = &folded.hinges[h];
        let stacks = hinge.faces.map(|f| clusters.of_face[f]);
        if stacks[0] == stacks[1] || looked.contains(&stacks) {
            return false;
        }
        looked.push(stacks);
        let (at, _, towards) = hinge_on_table(folded, hinge);
        folded.faces.iter().zip(&clusters.of_face).any(|(face, stack)| {
            let k = stacks.iter().position(|s| s == stack);
            let over = |k: usize| {
                let out = |&p: &SheetPoint| (face.placement.apply(p).to_vec() - at).dot(towards[k]);
                face.polygon.iter().any(|p| out(p) < -HEM_M)
            };
            k.is_some_and(over)
        })
    })
}

/// The crease folded last of those within a stack that bend some faces.
fn latest(folded: &Folded, clusters: &Clusters, faces: &[FaceId]) -> Option<CreaseId> {
    let within = |h: &&Hinge| clusters.of_face[h.faces[0]] == clusters.of_face[h.faces[1]];
    let hinges = folded.hinges.iter().filter(|h| folded.is_folded(h)).filter(within);
    let around = hinges.filter(|h| h.faces.iter().any(|f| faces.contains(f)));
    around.map(|h| h.crease).max_by_key(|&c| folded.creases[c].step)
}

/// A height on the table: at x = y = 0, and what it gains with x and y.
type Plane = [f64; 3];

/// A posed hinge between two stacks.
struct Posed {
    item: usize,
    stacks: [usize; 2],
    /// The speed at which it opens, of length 1.
    wish: DVector<f64>,
}

/// The first motion of every stack, linear in so many speeds.
struct Opening {
    unknowns: usize,
    /// Of each stack, one height for each speed.
    planes: Vec<Vec<Plane>>,
    hinges: Vec<Posed>,
}

impl Opening {
    fn new(folded: &Folded, clusters: &Clusters, placed: &[Placed]) -> Self {
        let length = |h: usize| folded.hinges[h].ends[0].distance(folded.hinges[h].ends[1]);
        let stacks = |h: usize| folded.hinges[h].faces.map(|f| clusters.of_face[f]);
        let mut posed = clusters.posed.clone();
        posed.retain(|&(h, _)| stacks(h)[0] != stacks(h)[1]);
        posed.sort_by(|a, b| length(b.0).total_cmp(&length(a.0)));
        // Each stack follows another through the longest hinge there is.
        let mut planes: Vec<Option<Vec<Plane>>> = vec![None; clusters.count];
        if let Some(first) = planes.first_mut() {
            *first = Some(Vec::new());
        }
        let next = |planes: &[Option<Vec<Plane>>]| {
            posed.iter().find_map(|&(h, _)| match stacks(h).map(|c| planes[c].is_some()) {
                [true, false] => Some((h, 1)),
                [false, true] => Some((h, 0)),
                _ => None,
            })
        };
        let mut unknowns = 0;
        while let Some((h, child)) = next(&planes) {
            let mut plane = planes[stacks(h)[1 - child]].clone().unwrap_or_default();
            if let Some((at, towards, rises)) = opens(folded, clusters, placed, h, child) {
                plane.resize(unknowns, Plane::default());
                plane.push([-at.dot(towards), towards.x, towards.y].map(|k| k * rises));
                unknowns += 1;
            }
            planes[stacks(h)[child]] = Some(plane);
        }
        let planes: Vec<Vec<Plane>> = planes
            .into_iter()
            .map(|plane| {
                let mut plane = plane.unwrap_or_default();
                plane.resize(unknowns, Plane::default());
                plane
            })
            .collect();
        let mut opening = Self { unknowns, planes, hinges: Vec::new() };
        for (h, item) in posed {
            if let Some((at, towards, rises)) = opens(folded, clusters, placed, h, 1) {
                let [a, b] = stacks(h);
                let beside = at + towards;
                let wish = opening.rise([a, b], TablePoint::new(beside.x, beside.y)) * rises;
                if wish.norm() > STILL {
                    opening.hinges.push(Posed { item, stacks: [a, b], wish: wish.normalize() });
                }
            }
        }
        opening
    }

    /// The height at which the second stack lies above the first, at a place.
    fn rise(&self, [below, above]: [usize; 2], p: TablePoint) -> DVector<f64> {
        let height = |c: usize, k: usize| {
            let [z, x, y] = self.planes[c][k];
            z + x * p.x + y * p.y
        };
        DVector::from_fn(self.unknowns, |k, _| height(above, k) - height(below, k))
    }

    /// Stacks that lay together and still do after a motion.
    fn parted(&self, motion: &DVector<f64>, together: &[usize]) -> Vec<usize> {
        let places = [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)].map(|(x, y)| TablePoint::new(x, y));
        let alike = |a: usize, b: usize| {
            let apart = |p: &TablePoint| self.rise([a, b], *p).dot(motion).abs() > STILL;
            together[a] == together[b] && !places.iter().any(apart)
        };
        (0..together.len()).map(|c| (0..c).find(|&d| alike(d, c)).unwrap_or(c)).collect()
    }
}

/// A place on the table line of a posed hinge, the direction towards one of its two sides, and
/// whether that side rises (1) or sinks (-1) as it opens; nothing where it does not open.
fn opens(
    folded: &Folded,
    clusters: &Clusters,
    placed: &[Placed],
    h: usize,
    child: usize,
) -> Option<(Vec2, Vec2, f64)> {
    let hinge = &folded.hinges[h];
    let (at, _, towards) = hinge_on_table(folded, hinge);
    let [parent, own] = [1 - child, child].map(|k| placed[clusters.of_face[hinge.faces[k]]]);
    let turned = parent.to_datum.inverse() * own.to_datum;
    if turned.rotation.angle() < STRAIGHT {
        return None;
    }
    let rises = if folded.is_folded(hinge) {
        let rank = folded.ranks();
        if rank[hinge.faces[child]] > rank[hinge.faces[1 - child]] { 1.0 } else { -1.0 }
    } else {
        let beside = at + towards[child];
        (turned * Point3::new(beside.x, beside.y, 0.0)).z.signum()
    };
    Some((at, towards[child], rises))
}

/// Two stacks where a layer of the second lies on one of the first.
struct Limit {
    stacks: [usize; 2],
    faces: [FaceId; 2],
    /// The height between them, of length 1, which may not shrink.
    row: DVector<f64>,
}

/// Where two layers lie on each other, but for a rim of half the width of what crumples.
fn shared(a: &[TablePoint], b: &[TablePoint]) -> Vec<TablePoint> {
    let whole = intersect_convex(a, b);
    let rims = edges(&whole).filter_map(|(p, q)| TableLine::through(p, q));
    rims.fold(whole.clone(), |inner, rim| {
        let within = TableLine { at: rim.at + rim.dir.perp() * (HEM_M / 2.0), ..rim };
        clip_left(&inner, &within)
    })
}

fn limits(folded: &Folded, clusters: &Clusters, opening: &Opening) -> Vec<Limit> {
    let layout = Layout::new(folded);
    let mut limits = Vec::new();
    let faces = folded.order.iter().copied().filter(|&f| !is_scrap(layout.outline(f)));
    let faces: Vec<FaceId> = faces.collect();
    for (i, &g) in faces.iter().enumerate() {
        for &f in &faces[..i] {
            let stacks = [f, g].map(|f| clusters.of_face[f]);
            if stacks[0] == stacks[1] || !layout.bounds(f).overlaps(&layout.bounds(g)) {
                continue;
            }
            let shared = shared(layout.outline(f), layout.outline(g));
            let rows = shared.iter().map(|&p| opening.rise(stacks, p));
            let rows = rows.filter_map(|row| row.try_normalize(STILL));
            limits.extend(rows.map(|row| Limit { stacks, faces: [f, g], row }));
        }
    }
    limits
}

#[cfg(test)]
mod tests;
