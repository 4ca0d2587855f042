//! The mirrored half of a `both sides` step: the same words, read left for right.

use crate::fold::refs::mirror_image;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{Placement, SheetPoint, TableLine, TablePoint, Vec2, centroid};

/// How the mirror image of the paper lies on the table beside the paper itself: a motion of the
/// table that turns one into the other. On an open sheet it is a reflection; in a model folded in
/// two along its centre line both halves lie on each other and it leaves every place where it is.
#[derive(Clone, Copy, Debug)]
pub struct Mirror {
    from: Placement,
    to: Placement,
    width_m: f64,
}

impl Mirror {
    /// As seen from a place of the paper; `None` when its mirror image is not on the paper.
    pub fn at(model: &Folded, p: SheetPoint) -> Option<Self> {
        let width_m = model.sheet_m[0];
        let from = model.faces[model.faces_at(p).next()?].placement;
        let q = mirror_image(p, width_m);
        let to = model.faces[model.faces_at(q).next()?].placement;
        Some(Self { from, to, width_m })
    }

    /// As seen from the middle of a face.
    pub fn of_face(model: &Folded, face: FaceId) -> Option<Self> {
        Self::at(model, centroid(&model.faces[face].polygon))
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
        let v = self.from.unturn(d);
        self.to.turn(Vec2::new(-v.x, v.y))
    }

    /// A direction at the mirrored half, seen from the first.
    pub fn direction_back(&self, d: Vec2) -> Vec2 {
        let v = self.to.unturn(d);
        self.from.turn(Vec2::new(-v.x, v.y))
    }

    /// A line at the mirrored half, seen from the first.
    pub fn line_back(&self, l: &TableLine) -> TableLine {
        let at: TablePoint = self.from.apply(mirror_image(self.to.unapply(l.at), self.width_m));
        TableLine { at, dir: self.direction_back(l.dir) }
    }
}
