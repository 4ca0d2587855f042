//! Every face as it lies on the table, laid out once for a step's many questions about overlap.

use super::state::{FaceId, Folded};
use crate::numeric::geom::{TOLERANCE_M, TableLine, TablePoint, clip_left_into, overlap_convex};

/// Outlines on the table, anticlockwise, with their boxes.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    corners: Vec<TablePoint>,
    /// Where each face begins, and whether it lies the other way up.
    starts: Vec<(usize, bool)>,
    boxes: Vec<Box2>,
}

/// Upright box: least x, least y, greatest x, greatest y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box2([f64; 4]);

impl Box2 {
    const EMPTY: Self = Self([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY]);

    /// Around some places.
    pub fn around(points: &[TablePoint]) -> Self {
        // Places are finite, so that plain comparisons do, and are quicker than `f64::min`.
        let (least, most) = (|a, b| if b < a { b } else { a }, |a, b| if b > a { b } else { a });
        points.iter().fold(Self::EMPTY, |Self([x0, y0, x1, y1]), p| {
            Self([least(x0, p.x), least(y0, p.y), most(x1, p.x), most(y1, p.y)])
        })
    }
    /// Around both.
    pub fn join(self, o: Self) -> Self {
        let (a, b) = (self.0, o.0);
        Self([a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])
    }
    /// Whether two boxes share more than their rims.
    pub fn overlaps(&self, o: &Self) -> bool {
        let (a, b, t) = (self.0, o.0, TOLERANCE_M);
        a[0] + t < b[2] && b[0] + t < a[2] && a[1] + t < b[3] && b[1] + t < a[3]
    }
    /// Whether two boxes come within the tolerance of each other.
    pub fn touches(&self, o: &Self) -> bool {
        let (a, b, t) = (self.0, o.0, TOLERANCE_M);
        a[0] <= b[2] + t && b[0] <= a[2] + t && a[1] <= b[3] + t && b[1] <= a[3] + t
    }
    /// Middle.
    pub fn middle(&self) -> TablePoint {
        TablePoint::new((self.0[0] + self.0[2]) / 2.0, (self.0[1] + self.0[3]) / 2.0)
    }
    /// Corners, anticlockwise from the lower left.
    pub fn corners(&self) -> [TablePoint; 4] {
        let [x0, y0, x1, y1] = self.0;
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|(x, y)| TablePoint::new(x, y))
    }
}

impl Layout {
    /// All faces of a model.
    pub fn new(folded: &Folded) -> Self {
        let corners = folded.faces.iter().map(|f| f.polygon.len()).sum();
        let mut layout = Self::with_room(folded.faces.len(), corners);
        for face in &folded.faces {
            layout.push(|corners| {
                corners.extend(face.polygon.iter().map(|&p| face.placement.apply(p)));
                face.placement.det() < 0.0
            });
        }
        layout
    }

    /// The part of every face on the left of a line; faces wholly on its right are empty. `reach`
    /// says on which sides, left and right, a face has paper.
    pub fn left_of(&self, line: &TableLine, reach: impl Fn(FaceId) -> [bool; 2]) -> Self {
        let mut layout = Self::with_room(self.len(), self.corners.len() + self.len());
        for face in 0..self.len() {
            let outline = self.outline(face);
            layout.push(|corners| {
                match reach(face) {
                    [false, _] => {}
                    [true, false] => corners.extend_from_slice(outline),
                    [true, true] => clip_left_into(outline, line, corners),
                }
                false
            });
        }
        layout
    }

    fn with_room(faces: usize, corners: usize) -> Self {
        Self {
            corners: Vec::with_capacity(corners),
            starts: Vec::with_capacity(faces),
            boxes: Vec::with_capacity(faces),
        }
    }

    fn push(&mut self, fill: impl FnOnce(&mut Vec<TablePoint>) -> bool) {
        let start = self.corners.len();
        let turned = fill(&mut self.corners);
        self.starts.push((start, turned));
        if turned {
            self.corners[start..].reverse();
        }
        self.boxes.push(Box2::around(&self.corners[start..]));
    }

    /// Number of faces.
    pub fn len(&self) -> usize {
        self.starts.len()
    }

    /// Whether there is no face.
    pub fn is_empty(&self) -> bool {
        self.starts.is_empty()
    }

    /// Outline of a face, anticlockwise.
    pub fn outline(&self, face: FaceId) -> &[TablePoint] {
        let end = self.starts.get(face + 1).map_or(self.corners.len(), |next| next.0);
        &self.corners[self.starts[face].0..end]
    }

    /// Whether a face lies the other way up, so that its outline on the sheet runs the other way.
    pub fn is_turned(&self, face: FaceId) -> bool {
        self.starts[face].1
    }

    /// Corners of all faces.
    pub fn corners(&self) -> &[TablePoint] {
        &self.corners
    }

    /// Box of a face.
    pub fn bounds(&self, face: FaceId) -> Box2 {
        self.boxes[face]
    }

    /// Box of the model.
    pub fn model_bounds(&self) -> Box2 {
        self.boxes.iter().fold(Box2::EMPTY, |all, &b| all.join(b))
    }

    /// Do two faces share area on the table?
    pub fn overlap(&self, a: FaceId, b: FaceId) -> bool {
        self.boxes[a].overlaps(&self.boxes[b]) && overlap_convex(self.outline(a), self.outline(b))
    }
}
