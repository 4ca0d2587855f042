//! Cutting faces along a table line, so that the paper can bend there.
//!
//! Kept true: every hinge is one whole edge of the outlines of both its faces, and corners that
//! are one place on the paper are bit for bit equal. A neighbour that is not cut itself gets the
//! new corner in the middle of its edge.

use super::state::{CreaseId, Face, FaceId, Folded, Hinge};
use crate::geom::{SheetPoint, TOLERANCE_M, TableLine};

/// Most faces a model may have. Chosen: twenty times a rich paper plane.
pub const MAX_FACES: usize = 400;

/// A model would be cut into more faces than [`MAX_FACES`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the model would have more than {MAX_FACES} faces")]
pub struct TooManyFaces;

/// One face cut in two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// The part on the right of the line keeps the index of the whole.
    pub right: FaceId,
    /// The part on the left of the line.
    pub left: FaceId,
}

/// Signed distances of all corners of all faces from a table line, positive on its left. Corners
/// within [`TOLERANCE_M`] of the line are on it (exactly 0), and a corner has one answer however
/// many faces share it.
#[derive(Clone, Debug)]
pub struct Sides {
    distance: Vec<f64>,
    starts: Vec<usize>,
}

impl Sides {
    /// Sides of all faces of a model.
    pub fn new(folded: &Folded, line: &TableLine) -> Self {
        let (mut distance, mut starts) = (Vec::new(), Vec::with_capacity(folded.faces.len() + 1));
        let mut doubtful = false;
        for face in &folded.faces {
            starts.push(distance.len());
            distance.extend(face.polygon.iter().map(|&p| {
                let d = line.side(face.placement.apply(p));
                doubtful |= (d.abs() - TOLERANCE_M).abs() < 0.5 * TOLERANCE_M;
                if d.abs() > TOLERANCE_M { d } else { 0.0 }
            }));
        }
        starts.push(distance.len());
        let mut sides = Self { distance, starts };
        if doubtful {
            sides.agree(folded);
        }
        sides
    }

    /// Rounding may put one corner on the line for one face and just off it for its neighbour:
    /// then it is on the line for both.
    fn agree(&mut self, folded: &Folded) {
        let mut changed = true;
        while changed {
            changed = false;
            for hinge in &folded.hinges {
                for end in hinge.ends {
                    let [a, b] = hinge.faces.map(|f| self.corner_index(folded, f, end));
                    let (Some(a), Some(b)) = (a, b) else { continue };
                    if (self.distance[a] == 0.0) != (self.distance[b] == 0.0) {
                        self.distance[a] = 0.0;
                        self.distance[b] = 0.0;
                        changed = true;
                    }
                }
            }
        }
    }

    fn corner_index(&self, folded: &Folded, face: FaceId, p: SheetPoint) -> Option<usize> {
        let at = folded.faces[face].polygon.iter().position(|&q| q == p)?;
        Some(self.starts[face] + at)
    }

    /// Distances of a face's corners, in the order of its outline on the sheet.
    pub fn of(&self, face: FaceId) -> &[f64] {
        &self.distance[self.starts[face]..self.starts[face + 1]]
    }

    /// Whether any part lies on the left.
    pub fn reaches_left(&self, face: FaceId) -> bool {
        self.of(face).iter().any(|&d| d > 0.0)
    }

    /// Whether any part lies on the right.
    pub fn reaches_right(&self, face: FaceId) -> bool {
        self.of(face).iter().any(|&d| d < 0.0)
    }

    /// Whether the line runs through the face.
    pub fn straddles(&self, face: FaceId) -> bool {
        self.reaches_left(face) && self.reaches_right(face)
    }

    /// Distances of a hinge's ends.
    pub fn of_hinge(&self, folded: &Folded, hinge: &Hinge) -> [f64; 2] {
        let face = hinge.faces[0];
        hinge.ends.map(|p| self.corner_index(folded, face, p).map_or(0.0, |i| self.distance[i]))
    }
}

/// Cuts those of `faces` that the line runs through. New parts are appended to the faces and
/// come directly above the rest of their face in the order; `crease` (which must exist) gets the
/// new hinges, which are flat since nothing moves.
///
/// # Errors
/// [`TooManyFaces`] before anything is changed.
pub fn split(
    folded: &mut Folded,
    faces: impl Fn(FaceId) -> bool,
    line: &TableLine,
    crease: CreaseId,
) -> Result<Vec<Cut>, TooManyFaces> {
    let sides = Sides::new(folded, line);
    split_by(folded, faces, line, &sides, crease)
}

/// [`split`] with the sides already known.
pub fn split_by(
    folded: &mut Folded,
    faces: impl Fn(FaceId) -> bool,
    line: &TableLine,
    sides: &Sides,
    crease: CreaseId,
) -> Result<Vec<Cut>, TooManyFaces> {
    let count = folded.faces.len();
    let cut: Vec<FaceId> = (0..count).filter(|&f| faces(f) && sides.straddles(f)).collect();
    if count + cut.len() > MAX_FACES {
        return Err(TooManyFaces);
    }
    // Index of the left part of each face that is cut.
    let mut left_of: Vec<Option<FaceId>> = vec![None; count];
    for (i, &f) in cut.iter().enumerate() {
        left_of[f] = Some(count + i);
    }
    let mut corners = NewCorners::default();
    let mut made = Vec::with_capacity(cut.len());
    let hinge_sides: Vec<[f64; 2]> =
        folded.hinges.iter().map(|h| sides.of_hinge(folded, h)).collect();
    for &f in &cut {
        let (right, left, ends) = halves(&folded.faces[f], sides.of(f), line, &mut corners);
        let whole = &mut folded.faces[f];
        whole.polygon = right;
        let (placement, moved_half) = (whole.placement, whole.moved_half);
        folded.faces.push(Face { polygon: left, placement, moved_half });
        made.push(Hinge { faces: [f, folded.faces.len() - 1], ends, crease });
    }
    share_hinges(folded, &left_of, &hinge_sides, &corners);
    folded.hinges.extend(made);
    let mut order = Vec::with_capacity(folded.faces.len());
    for &f in &folded.order {
        order.push(f);
        order.extend(left_of[f]);
    }
    folded.order = order;
    Ok(cut.iter().enumerate().map(|(i, &right)| Cut { right, left: count + i }).collect())
}

/// Gives every hinge of a face that was cut to the right part, in two where the line crosses it.
fn share_hinges(
    folded: &mut Folded,
    left_of: &[Option<FaceId>],
    hinge_sides: &[[f64; 2]],
    corners: &NewCorners,
) {
    for (i, &[s0, s1]) in hinge_sides.iter().enumerate() {
        let hinge = folded.hinges[i];
        let parts = hinge.faces.map(|f| left_of[f]);
        if parts == [None, None] {
            continue;
        }
        let on_left = [0, 1].map(|k| parts[k].unwrap_or(hinge.faces[k]));
        if s0 * s1 >= 0.0 {
            if s0 + s1 > 0.0 {
                folded.hinges[i].faces = on_left;
            }
            continue;
        }
        let Some(middle) = corners.find(hinge.ends) else { continue };
        for (face, part) in hinge.faces.into_iter().zip(parts) {
            if part.is_none() {
                insert_corner(&mut folded.faces[face].polygon, hinge.ends, middle);
            }
        }
        let (l, r) = if s0 > 0.0 { (0, 1) } else { (1, 0) };
        folded.hinges[i].ends = [hinge.ends[r], middle];
        folded.hinges.push(Hinge { faces: on_left, ends: [middle, hinge.ends[l]], ..hinge });
    }
}

fn insert_corner(polygon: &mut Vec<SheetPoint>, edge: [SheetPoint; 2], p: SheetPoint) {
    let n = polygon.len();
    let is_edge = |i: usize| {
        let (a, b) = (polygon[i], polygon[(i + 1) % n]);
        [a, b] == edge || [b, a] == edge
    };
    if let Some(i) = (0..n).find(|&i| is_edge(i)) {
        polygon.insert(i + 1, p);
    }
}

type Halves = (Vec<SheetPoint>, Vec<SheetPoint>, [SheetPoint; 2]);

/// The right part, the left part and the ends of the cut.
fn halves(face: &Face, sides: &[f64], line: &TableLine, corners: &mut NewCorners) -> Halves {
    let polygon = &face.polygon;
    let n = polygon.len();
    let (mut right, mut left) = (Vec::with_capacity(n + 2), Vec::with_capacity(n + 2));
    let mut on_line: Vec<SheetPoint> = Vec::with_capacity(2);
    for i in 0..n {
        let j = (i + 1) % n;
        let p = polygon[i];
        if sides[i] <= 0.0 {
            right.push(p);
        }
        if sides[i] >= 0.0 {
            left.push(p);
        }
        if sides[i] == 0.0 {
            on_line.push(p);
        }
        if sides[i] * sides[j] < 0.0 {
            let q = corners.at([p, polygon[j]], [sides[i], sides[j]]);
            right.push(q);
            left.push(q);
            on_line.push(q);
        }
    }
    let along = |p: &SheetPoint| line.along(face.placement.apply(*p));
    let by_place = |a: &&SheetPoint, b: &&SheetPoint| along(a).total_cmp(&along(b));
    let first = on_line.iter().min_by(by_place).copied();
    let last = on_line.iter().max_by(by_place).copied();
    let ends = [first, last].map(|p| p.unwrap_or(polygon[0]));
    (right, left, ends)
}

/// Corners made by this cut, by the edge they lie on, so that the two faces of an edge share one.
#[derive(Default)]
struct NewCorners(Vec<([SheetPoint; 2], SheetPoint)>);

impl NewCorners {
    fn find(&self, edge: [SheetPoint; 2]) -> Option<SheetPoint> {
        let [a, b] = edge;
        self.0.iter().find(|(e, _)| *e == [a, b] || *e == [b, a]).map(|(_, p)| *p)
    }
    fn at(&mut self, edge: [SheetPoint; 2], sides: [f64; 2]) -> SheetPoint {
        self.find(edge).unwrap_or_else(|| {
            let p = edge[0].lerp(edge[1], sides[0] / (sides[0] - sides[1]));
            self.0.push((edge, p));
            p
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::state::Crease;
    use crate::geom::{TablePoint, area};
    use crate::paper::Stock;

    fn cut_along(model: &mut Folded, a: (f64, f64), b: (f64, f64), only: Option<FaceId>) {
        let crease = model.creases.len();
        model.creases.push(Crease { name: None, mirrored: false, step: crease, bulge_m: 0.0 });
        let p = |(x, y)| TablePoint::new(x, y);
        let line = TableLine::through(p(a), p(b)).unwrap();
        split(model, |f| only.is_none_or(|o| o == f), &line, crease).unwrap();
    }

    fn sheet() -> Folded {
        Folded::new(&Stock::new(0.2, 0.3, 0.08, None).unwrap())
    }

    fn every_hinge_is_an_edge_of_both(model: &Folded) {
        for hinge in &model.hinges {
            for f in hinge.faces {
                let polygon = &model.faces[f].polygon;
                let n = polygon.len();
                let found = (0..n).any(|i| {
                    let edge = [polygon[i], polygon[(i + 1) % n]];
                    edge == hinge.ends || [edge[1], edge[0]] == hinge.ends
                });
                assert!(found, "{hinge:?} is no edge of {polygon:?}");
            }
        }
    }

    #[test]
    fn crossing_cuts_share_their_corner() {
        let mut model = sheet();
        cut_along(&mut model, (0.0, 0.0), (0.2, 0.3), None);
        cut_along(&mut model, (0.0, 0.3), (0.2, 0.0), None);
        cut_along(&mut model, (0.07, 0.0), (0.11, 0.3), None);
        every_hinge_is_an_edge_of_both(&model);
        assert_eq!(model.faces.len(), 4 + 3);
        let total: f64 = model.faces.iter().map(|f| area(&f.polygon)).sum();
        assert!((total - 0.06).abs() < 1e-15);
        assert_eq!(model.order.len(), model.faces.len());
    }

    #[test]
    fn a_neighbour_left_whole_gets_the_corner() {
        let mut model = sheet();
        cut_along(&mut model, (0.1, 0.0), (0.1, 0.3), None);
        cut_along(&mut model, (0.0, 0.1), (0.2, 0.1), Some(0));
        every_hinge_is_an_edge_of_both(&model);
        assert_eq!(model.faces[1].polygon.len(), 5);
        assert_eq!(model.hinges.len(), 3);
    }
}
