//! The mirrored half of a `both sides` step: the same words, read left for right.

use crate::fold::axis::Axis;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{
    Placement, SheetPoint, TOLERANCE_M, TableLine, TablePoint, Vec2, centroid,
};

/// Lines are compared so far either side of the place they are given by, m (chosen: a hand).
const APART_M: f64 = 0.1;

/// How the mirror image of the paper lies on the table beside the paper itself: a motion of the
/// table that turns one into the other. On an open sheet it is a reflection; in a model folded in
/// two along its centre line both halves lie on each other and it leaves every place where it is.
#[derive(Clone, Copy, Debug)]
pub struct Mirror {
    from: Placement,
    to: Placement,
    axis: Axis,
}

impl Mirror {
    /// As seen from a place of the paper; `None` when its mirror image is not on the paper.
    pub fn at(model: &Folded, p: SheetPoint, axis: Axis) -> Option<Self> {
        let from = model.faces[model.faces_at(p).next()?].placement;
        let to = model.faces[model.faces_at(axis.image(p)).next()?].placement;
        Some(Self { from, to, axis })
    }

    /// As seen from the middle of a face.
    pub fn of_face(model: &Folded, face: FaceId, axis: Axis) -> Option<Self> {
        Self::at(model, centroid(&model.faces[face].polygon), axis)
    }

    /// The mirror image lies the other way up: what is a valley for the one is a mountain for the
    /// other, and top is bottom.
    pub fn other_way_up(&self) -> bool {
        self.from.det() * self.to.det() < 0.0
    }

    /// Whether turning senses (anticlockwise) are reversed.
    pub fn reverses_angles(&self) -> bool {
        !self.other_way_up()
    }

    /// A direction of the table carried to the mirrored half.
    pub fn direction(&self, d: Vec2) -> Vec2 {
        self.to.turn(self.axis.turned(self.from.unturn(d)))
    }

    /// A direction at the mirrored half, seen from the first.
    pub fn direction_back(&self, d: Vec2) -> Vec2 {
        self.from.turn(self.axis.turned(self.to.unturn(d)))
    }

    /// Whether a fold along a line, of what lies to its left, is the same fold again when mirrored.
    pub fn is_its_own_image(&self, l: &TableLine) -> bool {
        !self.other_way_up() && self.same_side(l, l) && self.are_images(l, l, TOLERANCE_M)
    }

    /// Whether a line at the mirrored half is the image of the first one, within so much.
    pub fn are_images(&self, first: &TableLine, mirrored: &TableLine, within_m: f64) -> bool {
        let image = self.line_back(mirrored);
        [-APART_M, APART_M].iter().all(|&s| first.side(image.place(s)).abs() < within_m)
    }

    /// Whether what moves at the mirrored half lies, as its image does, on the side of the first.
    pub fn same_side(&self, first: &TableLine, mirrored: &TableLine) -> bool {
        // Left is right in a mirror, unless the paper there lies the other way up.
        let along = self.line_back(mirrored).dir.dot(first.dir);
        if self.other_way_up() { along > 0.0 } else { along < 0.0 }
    }

    /// A line at the mirrored half, seen from the first.
    pub fn line_back(&self, l: &TableLine) -> TableLine {
        let at: TablePoint = self.from.apply(self.axis.image(self.to.unapply(l.at)));
        TableLine { at, dir: self.direction_back(l.dir) }
    }
}
