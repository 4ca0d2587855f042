//! What the thickness of the layers does to a folded model: it displaces paper, and nothing else.
//!
//! The ideal model, of paper without thickness, decides every face, hinge, layer and count, and
//! which folds can be made. Thickness comes after:
//!
//! ```text
//!            ideal crease          A bend of n layers of thickness t stands out beyond its ideal
//!     ____________|_               crease by (1 - pi/4) n t. Where the next fold is brought to
//!     ____________|_)  stands out  that edge, its crease lies a little beside the ideal one, and
//!                                  the paper that moves lands twice as far from its ideal place.
//! ```
//! So each face has one displacement on the table ([`Face::shift`], in thicknesses of paper), which
//! later folds carry along. It is found by reading the words of the step a second time, on paper as
//! it lies with its thickness. Where two faces are displaced by different amounts the bend between
//! them lies half way ([`outlines`]): the one gains the strip of paper that the other gives, so that
//! nothing tears or overlaps, and area is kept but for the square of the displacement.

use super::state::{Crease, Face, FaceId, Folded, Hinge};
use crate::numeric::geom::{TableLine, TablePoint, Vec2};
use std::f64::consts::FRAC_PI_4;

/// Thickness of the paper on which a step is read again, m: displacements are in proportion to it,
/// so any small one serves. Chosen: so thin that a line whose pieces part by fifty layers still
/// counts as straight, and a thousand times what rounding does on a sheet.
pub(crate) const PROBE_M: f64 = crate::numeric::geom::TOLERANCE_M;

/// How far a bend stands out beyond its ideal crease, in thicknesses of paper. Derived: the middle
/// surface of `n` layers of thickness `t` runs round a half circle of length pi n t / 2 where the
/// ideal one has none, so the paper reaches (pi/4 - 1/2) n t less far, while its outer skin lies
/// n t / 2 beyond the middle; together (1 - pi/4) n t.
pub fn stand_out(crease: &Crease) -> f64 {
    (1.0 - FRAC_PI_4) * crease.layers as f64
}

/// The model as it lies when a layer is as thick as [`PROBE_M`].
pub(crate) fn probe(model: &Folded) -> Folded {
    let mut thick = model.clone();
    for face in &mut thick.faces {
        face.placement = face.placement.shifted(face.shift * PROBE_M);
    }
    thick
}

/// How far thickness pushes the paper that a fold brings to a place, in thicknesses: the crease is
/// one line without thickness, and another on paper as thick as [`PROBE_M`]. Where that is further
/// than `layers` of paper could push, the words mean another crease on thick paper, which thickness
/// may not choose: then there is no push.
pub(crate) fn push(line: &TableLine, thick: &TableLine, landed: TablePoint, layers: usize) -> Vec2 {
    let push = (thick.reflect(line.reflect(landed)) - landed) * (1.0 / PROBE_M);
    if push.norm() <= MOST_PUSH * layers as f64 { push } else { Vec2::default() }
}

/// Most that a fold may be pushed for each layer of the model, in thicknesses. Chosen: a bend of
/// all layers stands out a fifth of them and is doubled by the fold; edges that meet at ten degrees
/// make six times that of it.
const MOST_PUSH: f64 = 3.0;

impl Face {
    /// The face turned over about a table line, displacement and all.
    pub(crate) fn turn_over(&mut self, line: &TableLine) {
        self.placement = self.placement.reflected(line);
        self.shift = line.dir * (2.0 * line.dir.dot(self.shift)) - self.shift;
    }
}

/// Displacement of the bend along a hinge: half way between its two faces, in thicknesses.
pub fn of_hinge(model: &Folded, hinge: &Hinge) -> Vec2 {
    let [a, b] = hinge.faces.map(|f| model.faces[f].shift);
    (a + b) * 0.5
}

/// Outlines of all faces on the table with layers of some thickness, in the order of their corners
/// on the sheet. Each is shifted as a whole, and its bent edges run where the bends lie; only
/// slivers narrower than that, and the bends along them, keep their shape.
pub fn outlines(model: &Folded, thickness_m: f64) -> Vec<Vec<TablePoint>> {
    let shifted = |face: &Face| -> Vec<TablePoint> {
        let placement = face.placement.shifted(face.shift * thickness_m);
        face.polygon.iter().map(|&p| placement.apply(p)).collect()
    };
    let shifted: Vec<Vec<TablePoint>> = model.faces.iter().map(shifted).collect();
    if thickness_m == 0.0 {
        return shifted;
    }
    let mut stiff = vec![false; model.faces.len()];
    // Every round but the last finds another sliver.
    loop {
        let mut out: Vec<Vec<f64>> = shifted.iter().map(|o| vec![0.0; o.len()]).collect();
        for hinge in model.hinges.iter().filter(|h| !h.faces.iter().any(|&f| stiff[f])) {
            for f in hinge.faces {
                if let Some((i, by)) = edge_out(model, hinge, f) {
                    out[f][i] = by * thickness_m;
                }
            }
        }
        let outline = |f: FaceId| {
            if out[f].iter().all(|&by| by == 0.0) {
                return Some(shifted[f].clone());
            }
            moved_edges(&shifted[f], &out[f], model.faces[f].placement.det())
        };
        let moved: Vec<Option<Vec<TablePoint>>> = (0..shifted.len()).map(outline).collect();
        if moved.iter().all(Option::is_some) {
            return moved.into_iter().flatten().collect();
        }
        moved.iter().zip(&mut stiff).filter(|(m, _)| m.is_none()).for_each(|(_, s)| *s = true);
    }
}

/// Which edge of a face's outline a hinge is, and how far the bend lies outside it, in thicknesses.
fn edge_out(model: &Folded, hinge: &Hinge, f: FaceId) -> Option<(usize, f64)> {
    let face = &model.faces[f];
    let away = of_hinge(model, hinge) - face.shift;
    let n = face.polygon.len();
    let i = (0..n).find(|&i| {
        hinge.ends.contains(&face.polygon[i]) && hinge.ends.contains(&face.polygon[(i + 1) % n])
    })?;
    let along = face.polygon[(i + 1) % n] - face.polygon[i];
    let outwards = face.placement.turn(-along.perp().unit()?);
    Some((i, outwards.dot(away)))
}

/// A convex outline (anticlockwise where `sense` is positive) with each edge moved outwards. `None`
/// where that turns it inside out: slivers narrower than the displacement keep their shape.
fn moved_edges(outline: &[TablePoint], out: &[f64], sense: f64) -> Option<Vec<TablePoint>> {
    let n = outline.len();
    let outwards = |i: usize| (outline[(i + 1) % n] - outline[i]).unit().map(|d| -d.perp() * sense);
    let normals = (0..n).map(outwards).collect::<Option<Vec<Vec2>>>()?;
    let corner = |i: usize| {
        let before = (i + n - 1) % n;
        let ([m, k], [a, b]) = ([before, i].map(|e| normals[e]), [before, i].map(|e| out[e]));
        let sine = m.cross(k);
        // Edges that run on nearly straight share their corner, half way.
        let by = if sine.abs() < STRAIGHT_ON {
            (m + k) * ((a + b) / 4.0)
        } else {
            Vec2::new(a * k.y - b * m.y, b * m.x - a * k.x) * (1.0 / sine)
        };
        outline[i] + by
    };
    let moved: Vec<TablePoint> = (0..n).map(corner).collect();
    let turns = |i: usize| {
        let [p, q, r] = [i, i + 1, i + 2].map(|k| moved[k % n]);
        (q - p).cross(r - q) * sense
    };
    let slack = STRAIGHT_ON * STRAIGHT_ON * 1e-6;
    (0..n).all(|i| turns(i) > -slack).then_some(moved)
}

/// Sine of the angle below which two edges count as one straight edge with a corner in it (chosen:
/// ten degrees, so that a corner moves by no more than six times what its edges do).
const STRAIGHT_ON: f64 = 0.17;
