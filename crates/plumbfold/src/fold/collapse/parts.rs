//! The parts of a creased model that turn against each other: what reverse folds, squashes, petals
//! and sinks set up alike.

use super::cut::Creased;
use super::{CollapseError, Plan};
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::TablePoint;

/// A number for each face, 0 for what stays.
pub struct Parts<'a> {
    model: &'a Folded,
    part: Vec<usize>,
}

impl Creased {
    /// Numbers the faces by the face they are part of and where their middle lies.
    pub fn parts(&self, number: impl Fn(FaceId, TablePoint) -> usize) -> Parts<'_> {
        let faces = 0..self.model.faces.len();
        let part = faces.map(|f| number(self.origin[f], self.middle(f))).collect();
        Parts { model: &self.model, part }
    }
}

impl Parts<'_> {
    /// The part of a face.
    pub fn of(&self, face: FaceId) -> usize {
        self.part[face]
    }

    /// The plan in which each part turns against its neighbours.
    ///
    /// # Errors
    /// [`CollapseError::Unfit`] where nothing would stay.
    pub fn plan(&self) -> Result<Plan, CollapseError> {
        Plan::turning(self.model, &self.part)
    }

    /// The faces of some parts, from the table upwards.
    pub fn layers(&self, of: impl Fn(usize) -> bool) -> Vec<FaceId> {
        self.model.order.iter().copied().filter(|&f| of(self.part[f])).collect()
    }

    /// The same of one part that is turned over.
    pub fn turned_over(&self, part: usize) -> Vec<FaceId> {
        let mut layers = self.layers(|p| p == part);
        layers.reverse();
        layers
    }

    /// Pairs of hinged faces whose parts, the lower one's first, are as asked.
    pub fn hinged(&self, lower_upper: impl Fn(usize, usize) -> bool) -> Vec<[FaceId; 2]> {
        let pairs = self.model.hinges.iter().flat_map(|h| {
            let [x, y] = h.faces;
            [[x, y], [y, x]]
        });
        pairs.filter(|&[f, g]| lower_upper(self.part[f], self.part[g])).collect()
    }
}
