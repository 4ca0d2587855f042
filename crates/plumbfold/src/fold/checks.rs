//! What every flat model keeps, whatever was folded: one rule a module, each giving all places
//! where it is broken. The engine keeps them by construction; these look again.

mod area;
mod hinges;
mod kawasaki;
mod layers;
mod maekawa;

use super::state::{FaceId, Folded, HINGE_GAP_M, Hinge};
use crate::numeric::geom::{SheetPoint, TablePoint, Vec2};

/// A rule broken.
#[derive(Clone, Debug, PartialEq)]
pub enum Violation {
    /// The faces do not add up to the sheet.
    AreaChanged {
        /// Sum of the faces, m2.
        faces_m2: f64,
        /// The sheet, m2.
        sheet_m2: f64,
    },
    /// Two faces do not agree where their common edge lies.
    HingeParted {
        /// The hinge.
        hinge: usize,
        /// How far apart its two sides lie, m.
        gap_m: f64,
    },
    /// A hinge is no edge of one of its faces.
    HingeIsNoEdge {
        /// The hinge.
        hinge: usize,
        /// The face.
        face: FaceId,
    },
    /// The order does not hold every face once.
    OrderIncomplete,
    /// Kawasaki-Justin (Kawasaki 1989, Justin 1986): round an inner point, every other angle
    /// between folded creases adds up to 180 degrees.
    VertexOpen {
        /// Where, sheet frame.
        at: SheetPoint,
        /// The sum, radians.
        sum_rad: f64,
    },
    /// Maekawa-Justin (Maekawa 1986, Justin 1986): mountains and valleys that meet at an inner
    /// point differ by two.
    MountainsAndValleys {
        /// Where, sheet frame.
        at: SheetPoint,
        /// Mountains there.
        mountains: usize,
        /// Valleys there.
        valleys: usize,
    },
    /// Paper passes through paper.
    LayersCross {
        /// The two faces.
        faces: [FaceId; 2],
        /// Where, table frame.
        at: TablePoint,
    },
}

/// All rules.
pub fn check_all(model: &Folded) -> Vec<Violation> {
    let mut found: Vec<Violation> = area::check(model).into_iter().collect();
    found.extend(hinges::check(model));
    found.extend(kawasaki::check(model));
    found.extend(layers::check(model));
    found.extend(maekawa::check(model));
    found
}

/// Creases shorter than this have no direction that could be checked: their ends may be off by a
/// hundredth of it.
const SHORTEST_M: f64 = 100.0 * HINGE_GAP_M;

/// Corners of faces that lie inside the sheet, each once, where no hinge is too short to have a
/// direction. Nearer to the rim than the hinge gap, a corner may have snapped onto it.
fn inner_points(model: &Folded) -> Vec<SheetPoint> {
    let [w, l] = model.sheet_m;
    let t = HINGE_GAP_M;
    let inner = |p: &SheetPoint| t < p.x && p.x < w - t && t < p.y && p.y < l - t;
    let short = |[a, b]: [SheetPoint; 2]| a.distance(b) <= SHORTEST_M;
    let unclear = |p: &SheetPoint| {
        let mut edges = model.hinges.iter().map(|h| h.ends);
        edges.any(|ends| short(ends) && ends.contains(p))
    };
    let ends = model.hinges.iter().flat_map(|h| h.ends);
    let mut points: Vec<SheetPoint> = ends.filter(inner).collect();
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    points.retain(|p| !unclear(p));
    points
}

/// Hinges folded at an inner point with their directions from it, anticlockwise. Neighbours that
/// part by no more than both may be off at both ends enclose no paper: a pair of such is no crease
/// at all. Also gives the sum of the angles left out with such pairs, radians.
fn folded_round(model: &Folded, at: SheetPoint) -> (Vec<(usize, Vec2)>, f64) {
    let away = |ends: [SheetPoint; 2]| if ends[0] == at { ends[1] - at } else { ends[0] - at };
    let here = |h: &Hinge| h.ends.contains(&at) && model.is_folded(h);
    let hinges = model.hinges.iter().enumerate().filter(|(_, h)| here(h));
    let mut rays: Vec<(usize, Vec2)> = hinges.map(|(i, h)| (i, away(h.ends))).collect();
    rays.sort_by(|(_, a), (_, b)| a.y.atan2(a.x).total_cmp(&b.y.atan2(b.x)));
    let thin = |a: Vec2, b: Vec2| {
        let gap = a.cross(b).abs() / a.norm().max(b.norm());
        a.dot(b) > 0.0 && gap <= 4.0 * HINGE_GAP_M
    };
    let (mut i, mut left_out_rad) = (0, 0.0);
    while rays.len() >= 2 && i < rays.len() {
        let next = (i + 1) % rays.len();
        let [a, b] = [i, next].map(|k| rays[k].1);
        if thin(a, b) {
            left_out_rad += a.cross(b).atan2(a.dot(b)).abs();
            rays.remove(i.max(next));
            rays.remove(i.min(next));
            i = 0;
        } else {
            i += 1;
        }
    }
    (rays, left_out_rad)
}
