//! Outlines and trapezoids of the science as the pictures place them.

use plumbfold::fold::state::{FaceId, Folded};
use plumbfold::numeric::slabs::{self, Cell, Trapezoid, XY};

use crate::fit::Fit;
use crate::svg::{Path, Pt};

/// Corners of a trapezoid on the table, anticlockwise: stations run along x, chords along y.
pub fn corners(t: &Trapezoid) -> [Pt; 4] {
    let [a, b, c, d] = t.corners().map(point);
    [a, d, c, b]
}

/// A place among stations and chords, on the table.
pub fn point(p: XY) -> Pt {
    [p.y, p.x]
}

/// How many layers of a model lie where.
pub fn layer_cells(model: &Folded) -> Vec<Cell> {
    let across = |[x, y]: Pt| XY { x: y, y: x };
    let faces = (0..model.faces.len()).map(|f| outline(model, f).into_iter().map(across).collect());
    slabs::layer_cells(&faces.collect::<Vec<_>>())
}

/// Outline of one face on the table.
pub fn outline(model: &Folded, face: FaceId) -> Vec<Pt> {
    model.table_polygon(face).iter().map(|p| [p.x, p.y]).collect()
}

/// Many trapezoids as one path: in one path shared sides leave no seam.
pub fn path<'t>(shapes: impl IntoIterator<Item = &'t Trapezoid>, fit: &Fit) -> Path {
    shapes.into_iter().fold(Path::new(), |path, t| path.and(&fit.polygon(corners(t))))
}

/// The rim of a set of trapezoids.
pub fn border(shapes: &[Trapezoid]) -> Vec<(Pt, Pt)> {
    slabs::border(shapes).into_iter().map(|[a, b]| (point(a), point(b))).collect()
}
