//! The flat folded model. Everything else about it (mountain or valley, layer counts, creases
//! on the sheet) is derived from these few facts.

use crate::geom::{Placement, SheetPoint};

/// Index of a face in [`Folded::faces`].
pub type FaceId = usize;
/// Index of a crease in [`Folded::creases`].
pub type CreaseId = usize;

/// One convex facet of the paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// Convex outline on the sheet, anticlockwise (printed side up), shared corners exactly shared.
    pub polygon: Vec<SheetPoint>,
    /// Where it lies on the table. `det() > 0`: printed side up.
    pub placement: Placement,
    /// True for the faces that moved in the last fold of all layers (which makes the model's
    /// near and far halves once it is folded in two).
    pub moved_half: bool,
}

/// Two faces joined along a crease. Flat when both lie on opposite sides of it with the same
/// placement, folded when their placements are mirror images.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hinge {
    /// The two faces.
    pub faces: [FaceId; 2],
    /// The shared edge on the sheet.
    pub ends: [SheetPoint; 2],
    /// The crease it belongs to.
    pub crease: CreaseId,
}

/// A crease as made by one line of the design text; it may run through many layers.
#[derive(Clone, Debug, PartialEq)]
pub struct Crease {
    /// Name given with `call it`, if any.
    pub name: Option<String>,
    /// Made by the mirrored half of a `both sides` step.
    pub mirrored: bool,
    /// Index of the step (after repeats are written out) that made it.
    pub step: usize,
    /// How far the bend stands out beyond the ideal crease because the layers have thickness, m.
    pub bulge_m: f64,
}

/// Mountain or valley as seen from the printed side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Assignment {
    /// The printed sides end up outside.
    Mountain,
    /// The printed sides end up facing each other.
    Valley,
    /// Creased, but lying flat now.
    Flat,
}

/// The flat model on the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Folded {
    /// Facets.
    pub faces: Vec<Face>,
    /// Joints between facets.
    pub hinges: Vec<Hinge>,
    /// Creases by the step that made them.
    pub creases: Vec<Crease>,
    /// All faces from the table upwards. A linear order: models whose layers are woven in a ring
    /// (each flap over the next, all round) cannot be written this way and are refused.
    pub order: Vec<FaceId>,
    /// Sheet width and length, m.
    pub sheet_m: [f64; 2],
}
