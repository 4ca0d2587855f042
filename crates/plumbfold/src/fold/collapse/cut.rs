//! Creasing some layers of a model without moving them.

use super::{Call, CollapseError};
use crate::fold::split::{Sides, split_by};
use crate::fold::state::{Crease, CreaseId, FaceId, Folded};
use crate::geom::{TableLine, TablePoint, centroid, clip_segment};

/// A model with new creases, still lying as before.
#[derive(Clone, Debug)]
pub struct Creased {
    /// The model.
    pub model: Folded,
    /// For each face, the face of the model before that it is part of.
    pub origin: Vec<FaceId>,
}

impl Creased {
    /// No new crease yet.
    pub fn new(model: &Folded) -> Self {
        Self { model: model.clone(), origin: (0..model.faces.len()).collect() }
    }

    /// Creases layers (told by the face they are part of) along a table line; with `span`, only
    /// faces that the piece between these places runs through.
    pub fn along(
        &mut self,
        line: &TableLine,
        span: Option<[TablePoint; 2]>,
        takes_part: impl Fn(FaceId) -> bool,
        call: &Call,
    ) -> Result<CreaseId, CollapseError> {
        let crease = self.model.creases.len();
        self.model.creases.push(Crease {
            name: call.name.clone(),
            mirrored: call.mirrored,
            step: call.step,
            bulge_m: 0.0,
        });
        let wanted: Vec<bool> = (0..self.model.faces.len())
            .map(|f| {
                takes_part(self.origin[f])
                    && span.is_none_or(|[a, b]| {
                        clip_segment(a, b, &self.model.table_polygon(f)).is_some()
                    })
            })
            .collect();
        let sides = Sides::new(&self.model, line);
        for cut in split_by(&mut self.model, |f| wanted[f], line, &sides, crease)? {
            debug_assert_eq!(cut.left, self.origin.len());
            self.origin.push(self.origin[cut.right]);
        }
        Ok(crease)
    }

    /// Middle of a face on the table.
    pub fn middle(&self, face: FaceId) -> TablePoint {
        centroid(&self.model.table_polygon(face))
    }
}
