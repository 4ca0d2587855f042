//! Cutting faces along a table line, so that the paper can bend there.
//!
//! Kept true: every hinge is one whole edge of the outlines of both its faces, and corners that
//! are one place on the paper are bit for bit equal. A neighbour that is not cut itself gets the
//! new corner in the middle of its edge.

use super::layout::Layout;
use super::state::{CreaseId, Face, FaceId, Folded, HINGE_GAP_M, Hinge, Outline};
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine, TablePoint};

/// Most faces a model may have. Chosen: two hundred times a rich paper plane.
pub const MAX_FACES: usize = 4000;

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

/// Corners at such distances from a line may be found on different sides of it by different faces:
/// above rounding, and up to what hinged faces may part, fivefold.
const DOUBTFUL_M: std::ops::Range<f64> = 1e-3 * TOLERANCE_M..5.0 * HINGE_GAP_M;

/// Signed distances of all corners of all faces from a table line, positive on its left. Corners
/// within [`TOLERANCE_M`] of the line are on it (exactly 0), and a corner has one answer however
/// many faces share it.
#[derive(Clone, Debug)]
pub struct Sides {
    distance: Vec<f64>,
    starts: Vec<usize>,
    /// On which sides, left and right, each face has paper.
    reach: Vec<[bool; 2]>,
}

impl Sides {
    /// Sides of all faces of a model, which lies as laid out.
    pub fn new(folded: &Folded, layout: &Layout, line: &TableLine) -> Self {
        let mut distance = Vec::with_capacity(layout.corners().len());
        let mut starts = Vec::with_capacity(folded.faces.len() + 1);
        let mut doubtful = false;
        let mut side = |&p: &TablePoint| {
            let d = line.side(p);
            doubtful |= DOUBTFUL_M.contains(&d.abs());
            if d.abs() > TOLERANCE_M { d } else { 0.0 }
        };
        for face in 0..folded.faces.len() {
            starts.push(distance.len());
            let outline = layout.outline(face).iter();
            // In the order of the outline on the sheet.
            match layout.is_turned(face) {
                false => distance.extend(outline.map(&mut side)),
                true => distance.extend(outline.rev().map(&mut side)),
            }
        }
        starts.push(distance.len());
        let mut sides = Self { distance, starts, reach: Vec::new() };
        while doubtful && (sides.disagree(folded) || sides.needles(folded)) {}
        sides.reach = (0..folded.faces.len()).map(|f| reach(sides.of(f))).collect();
        sides
    }

    /// Where the two ends of a cut would be one place, the tip beyond it has no width: it lies on
    /// the line.
    fn needles(&mut self, folded: &Folded) -> bool {
        let mut changed = false;
        for face in 0..folded.faces.len() {
            if reach(self.of(face)) != [true, true] {
                continue;
            }
            let polygon = &folded.faces[face].polygon;
            let run = LeftRun::of(self.of(face));
            let [a, b] = run.ends.map(|e| e.place(polygon, self.of(face)));
            if a == b {
                let deepest =
                    |sign: f64| self.of(face).iter().fold(0.0, |m, d| f64::max(m, sign * d));
                let tip = if deepest(1.0) < deepest(-1.0) { 1.0 } else { -1.0 };
                let range = self.starts[face]..self.starts[face + 1];
                self.distance[range].iter_mut().filter(|d| **d * tip > 0.0).for_each(|d| *d = 0.0);
                changed = true;
            }
        }
        changed
    }

    /// Neighbours may place a common corner differently, by rounding and by what has snapped
    /// before: where one has it on the line and the other beside it, it is on the line for both.
    /// Every pass puts corners on the line and none off it, so this ends.
    fn disagree(&mut self, folded: &Folded) -> bool {
        let mut changed = false;
        for hinge in &folded.hinges {
            for end in hinge.ends {
                let [a, b] = hinge.faces.map(|f| self.corner_index(folded, f, end));
                let (Some(a), Some(b)) = (a, b) else { continue };
                let (d, e) = (self.distance[a], self.distance[b]);
                if d * e <= 0.0 && d != e {
                    (self.distance[a], self.distance[b]) = (0.0, 0.0);
                    changed = true;
                }
            }
        }
        changed
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
        self.reach[face][0]
    }

    /// Whether any part lies on the right.
    pub fn reaches_right(&self, face: FaceId) -> bool {
        self.reach[face][1]
    }

    /// Whether the line runs through the face.
    pub fn straddles(&self, face: FaceId) -> bool {
        self.reach[face] == [true, true]
    }

    /// Distances of a hinge's ends.
    pub fn of_hinge(&self, folded: &Folded, hinge: &Hinge) -> [f64; 2] {
        let face = hinge.faces[0];
        hinge.ends.map(|p| self.corner_index(folded, face, p).map_or(0.0, |i| self.distance[i]))
    }

    /// Whether a hinge has a piece on the left.
    pub fn hinge_reaches_left(&self, folded: &Folded, hinge: &Hinge) -> bool {
        self.of_hinge(folded, hinge).iter().any(|&d| d > 0.0)
    }
}

/// Whether an outline has paper on the left, and on the right.
fn reach(sides: &[f64]) -> [bool; 2] {
    sides.iter().fold([false; 2], |[left, right], &d| [left | (d > 0.0), right | (d < 0.0)])
}

/// Cuts those of `faces` that a line runs through, told by their [`Sides`] of it. New parts are appended to the faces and
/// come directly above the rest of their face in the order; `crease` (which must exist) gets the
/// new hinges, which are flat since nothing moves.
///
/// # Errors
/// [`TooManyFaces`] before anything is changed.
pub fn split(
    folded: &mut Folded,
    faces: impl Fn(FaceId) -> bool,
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
    let mut corners = NewCorners(Vec::with_capacity(2 * cut.len()));
    let mut made = Vec::with_capacity(cut.len());
    for &f in &cut {
        let whole = &mut folded.faces[f];
        let (right, left, ends) = halves(&whole.polygon, sides.of(f), &mut corners);
        whole.polygon = right;
        let Face { placement, moved_half, shift, .. } = *whole;
        folded.faces.push(Face { polygon: left, placement, moved_half, shift });
        made.push(Hinge { faces: [f, folded.faces.len() - 1], ends, crease });
    }
    for i in 0..folded.hinges.len() {
        share_hinge(folded, i, &left_of, &corners);
    }
    folded.hinges.extend(made);
    let mut order = Vec::with_capacity(folded.faces.len());
    for &f in &folded.order {
        order.push(f);
        order.extend(left_of[f]);
    }
    folded.order = order;
    Ok(cut.iter().enumerate().map(|(i, &right)| Cut { right, left: count + i }).collect())
}

/// Gives a hinge of a face that was cut to the right part, in two where the cut goes through it.
fn share_hinge(folded: &mut Folded, i: usize, left_of: &[Option<FaceId>], corners: &NewCorners) {
    let hinge = folded.hinges[i];
    let [a, b] = hinge.faces;
    if left_of[a].is_none() && left_of[b].is_none() {
        return;
    }
    // The part of a face that has the whole edge, where the cut does not go through it.
    let whole = hinge.faces.map(|f| match left_of[f] {
        None => Some(f),
        Some(left) => [f, left].into_iter().find(|&p| edge_at(folded, p, hinge.ends).is_some()),
    });
    if let [Some(a), Some(b)] = whole {
        folded.hinges[i].faces = [a, b];
        return;
    }
    // The parts that hold an end of it.
    let parts_at = |end: SheetPoint| {
        [0, 1].map(|k| {
            let f = hinge.faces[k];
            let holds = |p: &FaceId| folded.faces[*p].polygon.contains(&end);
            whole[k].or_else(|| left_of[f].filter(holds)).unwrap_or(f)
        })
    };
    let [first, second] = hinge.ends.map(parts_at);
    folded.hinges[i].faces = first;
    let Some(middle) = corners.find(hinge.ends) else { return };
    for p in whole.into_iter().flatten() {
        if let Some(at) = edge_at(folded, p, hinge.ends) {
            folded.faces[p].polygon.insert(at + 1, middle);
        }
    }
    folded.hinges[i].ends = [hinge.ends[0], middle];
    folded.hinges.push(Hinge { faces: second, ends: [middle, hinge.ends[1]], ..hinge });
}

/// Index of the corner where an edge of a face's outline begins, whichever way it runs.
fn edge_at(folded: &Folded, face: FaceId, edge: [SheetPoint; 2]) -> Option<usize> {
    let polygon = &folded.faces[face].polygon;
    let at = polygon.iter().position(|&p| p == edge[0])?;
    let last = polygon.len() - 1;
    let before = if at == 0 { last } else { at - 1 };
    let after = if at == last { 0 } else { at + 1 };
    match edge[1] {
        end if polygon[after] == end => Some(at),
        end if polygon[before] == end => Some(before),
        _ => None,
    }
}

type Halves = (Outline, Outline, [SheetPoint; 2]);

/// The right part, the left part and the ends of the cut.
fn halves(polygon: &[SheetPoint], sides: &[f64], corners: &mut NewCorners) -> Halves {
    let n = polygon.len();
    let run = LeftRun::of(sides);
    let ends = run.ends.map(|e| match e {
        CutEnd::Corner(i) => polygon[i],
        CutEnd::Edge(i, j) => corners.at([polygon[i], polygon[j]], || e.place(polygon, sides)),
    });
    let (mut left, mut right) = (Outline::new(), Outline::new());
    left.push(ends[0]);
    right.push(ends[1]);
    let mut corner = run.start;
    for k in 0..n {
        let part = if k < run.count { &mut left } else { &mut right };
        part.push(polygon[corner]);
        corner = if corner + 1 == n { 0 } else { corner + 1 };
    }
    left.push(ends[1]);
    right.push(ends[0]);
    // Corners that serve as ends of the cut are there already.
    right.dedup();
    if right.first() == right.last() {
        right.pop();
    }
    (right, left, ends)
}

/// The corners of an outline that go to the left part: one run from the leftmost corner both ways
/// up to the line. All else is the right part, so that the two make up the whole even where
/// several corners have snapped onto the line.
struct LeftRun {
    start: usize,
    count: usize,
    /// Before the first corner, after the last.
    ends: [CutEnd; 2],
}

#[derive(Clone, Copy)]
enum CutEnd {
    /// A corner on the line.
    Corner(usize),
    /// Between two corners, the first on the left.
    Edge(usize, usize),
}

impl CutEnd {
    fn place(self, polygon: &[SheetPoint], sides: &[f64]) -> SheetPoint {
        match self {
            Self::Corner(i) => polygon[i],
            Self::Edge(i, j) => polygon[i].lerp(polygon[j], sides[i] / (sides[i] - sides[j])),
        }
    }
}

impl LeftRun {
    fn of(sides: &[f64]) -> Self {
        let n = sides.len();
        let leftmost = (0..n).max_by(|&i, &j| sides[i].total_cmp(&sides[j])).unwrap_or(0);
        let (behind, first) = Self::reach(sides, leftmost, |i| if i == 0 { n - 1 } else { i - 1 });
        let (ahead, last) = Self::reach(sides, leftmost, |i| if i + 1 == n { 0 } else { i + 1 });
        let start = if leftmost < behind { leftmost + n - behind } else { leftmost - behind };
        Self { start, count: behind + ahead + 1, ends: [first, last] }
    }

    /// How many corners beyond a first one the run goes on, and its end. Corners on the line
    /// between others on its left belong to the run.
    fn reach(sides: &[f64], first: usize, step: impl Fn(usize) -> usize) -> (usize, CutEnd) {
        let (mut last, mut count, mut i) = (first, 0, first);
        for k in 1..sides.len() {
            i = step(i);
            if sides[i] < 0.0 {
                break;
            }
            if sides[i] > 0.0 {
                (last, count) = (i, k);
            }
        }
        let next = step(last);
        let end = if sides[next] == 0.0 { CutEnd::Corner(next) } else { CutEnd::Edge(last, next) };
        (count, end)
    }
}

/// Corners made by this cut, by the edge they lie on, so that the two faces of an edge share one.
struct NewCorners(Vec<([SheetPoint; 2], SheetPoint)>);

impl NewCorners {
    fn find(&self, edge: [SheetPoint; 2]) -> Option<SheetPoint> {
        let [a, b] = edge;
        self.0.iter().find(|(e, _)| *e == [a, b] || *e == [b, a]).map(|(_, p)| *p)
    }
    fn at(&mut self, edge: [SheetPoint; 2], place: impl Fn() -> SheetPoint) -> SheetPoint {
        self.find(edge).unwrap_or_else(|| {
            let p = place();
            self.0.push((edge, p));
            p
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::state::Crease;
    use crate::numeric::geom::area;
    use crate::paper::Stock;

    fn cut_along(model: &mut Folded, a: (f64, f64), b: (f64, f64), only: Option<FaceId>) {
        let crease = model.creases.len();
        model.creases.push(Crease::made_by(crease));
        let p = |(x, y)| TablePoint::new(x, y);
        let line = TableLine::through(p(a), p(b)).unwrap();
        let sides = Sides::new(model, &Layout::new(model), &line);
        split(model, |f| only.is_none_or(|o| o == f), &sides, crease).unwrap();
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
