//! The flat folded model. Everything else about it (mountain or valley, layer counts, creases
//! on the sheet) is derived from these few facts.

use crate::numeric::geom::{Placement, SheetPoint, TOLERANCE_M, TablePoint, Vec2, edges};
use crate::paper::Stock;
use smallvec::SmallVec;
use std::sync::Arc;

/// Index of a face in [`Folded::faces`].
pub type FaceId = usize;
/// Index of a crease in [`Folded::creases`].
pub type CreaseId = usize;

/// Corners of a facet, held in place: few have more than six, and a model is copied every step.
pub type Outline = SmallVec<[SheetPoint; 6]>;

/// One convex facet of the paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// Convex outline on the sheet, anticlockwise (printed side up), shared corners exactly shared.
    pub polygon: Outline,
    /// Where it lies on the table. `det() > 0`: printed side up.
    pub placement: Placement,
    /// True for the faces that moved in the last fold of all layers (which makes the model's
    /// near and far halves once it is folded in two).
    pub moved_half: bool,
    /// How far the thickness of the layers displaces it on the table, in thicknesses of paper. Only
    /// [`super::creep`] looks at it: nothing that is folded depends on it.
    pub shift: Vec2,
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
    pub name: Option<Arc<str>>,
    /// Made by the mirrored half of a `both sides` step.
    pub mirrored: bool,
    /// Index of the step (after repeats are written out) that made it.
    pub step: usize,
    /// The largest number of layers it was bent through at one place.
    pub layers: usize,
    /// A crease that bears the same name on the other side, made by an earlier step.
    pub twin: Option<CreaseId>,
}

impl Crease {
    /// A crease that a step makes, without a name.
    pub fn made_by(step: usize) -> Self {
        Self { name: None, mirrored: false, step, layers: 0, twin: None }
    }
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
    /// The printed side of the paper lies down at the start. Where else a side is called printed it
    /// is that which lies up then: mountain and valley are told from it.
    pub printed_down: bool,
}

/// Hinged faces may stand apart on the table by this much before the paper counts as torn: twenty
/// times the snapping distance, since every fold may snap a corner and part its faces by twice that
/// (chosen: room for ten such folds).
pub const HINGE_GAP_M: f64 = 20.0 * TOLERANCE_M;

impl Face {
    /// Whether a place on the paper is on it, outline included.
    pub fn carries(&self, p: SheetPoint) -> bool {
        let inside = |(a, b): (SheetPoint, SheetPoint)| {
            let side = (b - a).cross(p - a);
            side >= 0.0 || side >= -TOLERANCE_M * (b - a).norm()
        };
        edges(&self.polygon).all(inside)
    }
}

impl Hinge {
    /// The face on the other side.
    pub fn other(&self, face: FaceId) -> FaceId {
        if self.faces[0] == face { self.faces[1] } else { self.faces[0] }
    }
}

impl Folded {
    /// The sheet as it lies before the first step. Frames: sheet and table agree.
    pub fn new(stock: &Stock) -> Self {
        let (w, l) = (stock.width_m, stock.length_m);
        let polygon = [(0.0, 0.0), (w, 0.0), (w, l), (0.0, l)];
        let polygon = polygon.map(|(x, y)| SheetPoint::new(x, y)).into_iter().collect();
        Self {
            faces: vec![Face {
                polygon,
                placement: Placement::IDENTITY,
                moved_half: false,
                shift: Vec2::default(),
            }],
            hinges: Vec::new(),
            creases: Vec::new(),
            order: vec![0],
            sheet_m: [w, l],
            printed_down: false,
        }
    }

    /// Whether a face shows the printed side of the paper.
    pub fn shows_print(&self, face: FaceId) -> bool {
        (self.faces[face].placement.det() > 0.0) != self.printed_down
    }

    /// A copy in which so many faces can be cut without moving the others in memory.
    pub fn with_room(&self, cuts: usize) -> Self {
        fn copy<T: Clone>(list: &[T], more: usize) -> Vec<T> {
            let mut copy = Vec::with_capacity(list.len() + more);
            copy.extend_from_slice(list);
            copy
        }
        Self {
            faces: copy(&self.faces, cuts),
            // Each cut is a hinge, and may go through a hinge at either end.
            hinges: copy(&self.hinges, 3 * cuts),
            creases: copy(&self.creases, 1),
            order: self.order.clone(),
            sheet_m: self.sheet_m,
            printed_down: self.printed_down,
        }
    }

    /// Outline of a face on the table, anticlockwise as the folder sees it.
    pub fn table_polygon(&self, face: FaceId) -> Vec<TablePoint> {
        let f = &self.faces[face];
        let mut outline: Vec<_> = f.polygon.iter().map(|&p| f.placement.apply(p)).collect();
        if f.placement.det() < 0.0 {
            outline.reverse();
        }
        outline
    }

    /// Position of each face in [`Folded::order`]: 0 lies on the table.
    pub fn ranks(&self) -> Vec<usize> {
        let mut ranks = vec![0; self.faces.len()];
        for (rank, &face) in self.order.iter().enumerate() {
            ranks[face] = rank;
        }
        ranks
    }

    /// Where a hinge lies on the table.
    pub fn hinge_on_table(&self, hinge: &Hinge) -> [TablePoint; 2] {
        hinge.ends.map(|p| self.faces[hinge.faces[0]].placement.apply(p))
    }

    /// Whether the paper is bent double there, rather than lying flat across the crease.
    pub fn is_folded(&self, hinge: &Hinge) -> bool {
        let [a, b] = hinge.faces.map(|f| self.faces[f].placement.det());
        a * b < 0.0
    }

    /// State of a hinge, seen from the printed side. `ranks` from [`Folded::ranks`].
    pub fn assignment(&self, hinge: &Hinge, ranks: &[usize]) -> Assignment {
        if !self.is_folded(hinge) {
            return Assignment::Flat;
        }
        let [a, b] = hinge.faces;
        let (up, down) = if self.faces[a].placement.det() > 0.0 { (a, b) } else { (b, a) };
        // Printed sides meet exactly when the printed-down face lies on the printed-up one.
        if ranks[down] > ranks[up] { Assignment::Valley } else { Assignment::Mountain }
    }

    /// Faces that carry a place on the paper, edges included, in index order.
    pub fn faces_at(&self, p: SheetPoint) -> impl Iterator<Item = FaceId> + '_ {
        self.faces.iter().enumerate().filter(move |(_, f)| f.carries(p)).map(|(i, _)| i)
    }

    /// What hangs together with some faces across the hinges that `joins` (index and hinge).
    pub fn hanging_together(
        &self,
        start: impl IntoIterator<Item = FaceId>,
        joins: impl Fn(usize, &Hinge) -> bool,
    ) -> Vec<bool> {
        let mut found = vec![false; self.faces.len()];
        let mut fresh: Vec<FaceId> = start.into_iter().collect();
        while let Some(face) = fresh.pop() {
            if std::mem::replace(&mut found[face], true) {
                continue;
            }
            let hinges = self.hinges.iter().enumerate().filter(|(_, h)| h.faces.contains(&face));
            fresh.extend(hinges.filter(|(i, h)| joins(*i, h)).map(|(_, h)| h.other(face)));
        }
        found
    }

    /// Whether it has been folded in two: it has a near and a far half.
    pub fn in_halves(&self) -> bool {
        self.faces.iter().any(|f| f.moved_half)
    }

    /// Where a place on the paper lies on the table; `None` off the paper.
    pub fn on_table(&self, p: SheetPoint) -> Option<TablePoint> {
        self.faces_at(p).next().map(|f| self.faces[f].placement.apply(p))
    }

    /// Creases that bear a name: those of the latest step that gave it, both halves of a
    /// `both sides` step included, in the order they were made.
    pub fn creases_named(&self, name: &str) -> Vec<CreaseId> {
        let bears = |c: &Crease| c.name.as_deref() == Some(name);
        let latest = self.creases.iter().filter(|c| bears(c)).map(|c| c.step).max();
        let of_latest = |c: &Crease| bears(c) && Some(c.step) == latest;
        let twins: Vec<CreaseId> =
            self.creases.iter().filter(|c| of_latest(c)).filter_map(|c| c.twin).collect();
        (0..self.creases.len())
            .filter(|i| of_latest(&self.creases[*i]) || twins.contains(i))
            .collect()
    }
}
