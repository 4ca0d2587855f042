//! How many layers lie where: the folded model cut into trapezoids of one layer count, by the
//! same slab decomposition as the planform (Preparata & Shamos 1985, sec. 2.2).

use plumbfold::fold::state::{FaceId, Folded};
use plumbfold::plane::planform::slabs::Trapezoid;

use crate::fit::Fit;
use crate::svg::{Path, Pt};

/// Stations closer than this are one, m.
const STATION_M: f64 = 1e-9;

/// A piece of the model under which the number of layers is the same. Stations run along table x
/// (`y` of the trapezoid), chords along table y (`rear` to `front`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Outline.
    pub shape: Trapezoid,
    /// Layers.
    pub layers: usize,
}

/// Corners of a trapezoid on the table, anticlockwise.
pub fn corners(t: &Trapezoid) -> [Pt; 4] {
    [[t.y[0], t.rear[0]], [t.y[1], t.rear[1]], [t.y[1], t.front[1]], [t.y[0], t.front[0]]]
}

/// Outlines of all faces on the table.
pub fn faces_on_table(model: &Folded) -> Vec<Vec<Pt>> {
    (0..model.faces.len()).map(|f| outline(model, f)).collect()
}

/// Outline of one face on the table.
pub fn outline(model: &Folded, face: FaceId) -> Vec<Pt> {
    model.table_polygon(face).iter().map(|p| [p.x, p.y]).collect()
}

/// The layer-count map of convex outlines.
pub fn layer_cells(polygons: &[Vec<Pt>]) -> Vec<Cell> {
    let mut stations: Vec<f64> = polygons.iter().flatten().map(|p| p[0]).collect();
    let edges: Vec<(Pt, Pt)> = polygons
        .iter()
        .flat_map(|p| (0..p.len()).map(move |i| (p[i], p[(i + 1) % p.len()])))
        .collect();
    for (i, a) in edges.iter().enumerate() {
        stations.extend(edges[..i].iter().filter_map(|b| crossing(a, b)));
    }
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|a, b| *a - *b < STATION_M);
    let mut cells: Vec<Cell> = Vec::new();
    // Cells that end at the present station and may be continued by the next slab.
    let mut open: Vec<usize> = Vec::new();
    for w in stations.windows(2) {
        let mut ends: Vec<([f64; 2], i32)> = Vec::new();
        for p in polygons {
            if let Some((rear, front)) = chord(p, w) {
                ends.push((rear, 1));
                ends.push((front, -1));
            }
        }
        ends.sort_by(|a, b| (a.0[0] + a.0[1]).total_cmp(&(b.0[0] + b.0[1])));
        let (mut layers, mut next) = (0, Vec::new());
        let mut rear = [0.0; 2];
        let mut i = 0;
        while i < ends.len() {
            let here = ends[i].0;
            let mut change = 0;
            while i < ends.len()
                && ends[i].0[0] + ends[i].0[1] - here[0] - here[1] < 2.0 * STATION_M
            {
                change += ends[i].1;
                i += 1;
            }
            if change == 0 {
                continue;
            }
            if layers > 0 {
                let shape = Trapezoid { y: [w[0], w[1]], rear, front: here };
                next.push(add(&mut cells, &open, Cell { shape, layers: layers as usize }));
            }
            layers += change;
            rear = here;
        }
        open = next;
    }
    cells
}

/// Lengthens a cell of the last slab where the new one carries on its straight edges; the number
/// of the cell.
fn add(cells: &mut Vec<Cell>, open: &[usize], new: Cell) -> usize {
    let carries_on = |old: &Cell| {
        let (o, n) = (&old.shape, &new.shape);
        let same = |a: [f64; 2], b: [f64; 2]| {
            let slope = |e: [f64; 2], y: [f64; 2]| (e[1] - e[0]) / (y[1] - y[0]);
            (a[1] - b[0]).abs() < STATION_M && (slope(a, o.y) - slope(b, n.y)).abs() < 1e-6
        };
        old.layers == new.layers && same(o.rear, n.rear) && same(o.front, n.front)
    };
    if let Some(&k) = open.iter().find(|&&k| carries_on(&cells[k])) {
        let (old, n) = (&mut cells[k].shape, new.shape);
        (old.y[1], old.rear[1], old.front[1]) = (n.y[1], n.rear[1], n.front[1]);
        return k;
    }
    cells.push(new);
    cells.len() - 1
}

fn crossing((a, b): &(Pt, Pt), (c, d): &(Pt, Pt)) -> Option<f64> {
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let det = u[0] * v[1] - u[1] * v[0];
    if det.abs() < 1e-15 {
        return None;
    }
    let w = [c[0] - a[0], c[1] - a[1]];
    let s = (w[0] * v[1] - w[1] * v[0]) / det;
    let t = (w[0] * u[1] - w[1] * u[0]) / det;
    ((0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t)).then(|| a[0] + u[0] * s)
}

/// Lower and upper end of a convex outline at the two sides of a slab, if it covers the slab.
fn chord(p: &[Pt], w: &[f64]) -> Option<([f64; 2], [f64; 2])> {
    let mid = (w[0] + w[1]) / 2.0;
    let mut found: Vec<[f64; 2]> = Vec::with_capacity(2);
    for i in 0..p.len() {
        let (a, b) = (p[i], p[(i + 1) % p.len()]);
        let (lo, hi) = (a[0].min(b[0]), a[0].max(b[0]));
        if lo < mid && mid < hi {
            let at = |x: f64| a[1] + (b[1] - a[1]) * ((x - a[0]) / (b[0] - a[0]));
            found.push([at(w[0]), at(w[1])]);
        }
    }
    let [a, b] = found.try_into().ok()?;
    Some(if a[0] + a[1] <= b[0] + b[1] { (a, b) } else { (b, a) })
}

/// Many trapezoids as one path: in one path shared sides leave no seam.
pub fn path<'t>(shapes: impl IntoIterator<Item = &'t Trapezoid>, fit: &Fit) -> Path {
    shapes.into_iter().fold(Path::new(), |path, t| path.and(&fit.polygon(corners(t))))
}

/// The outline of a set of trapezoids: their slanted sides, and those parts of their upright
/// sides that no neighbour shares.
pub fn border(shapes: &[Trapezoid]) -> Vec<(Pt, Pt)> {
    let mut out = Vec::new();
    let mut sides: Vec<(f64, [f64; 2])> = Vec::new();
    for t in shapes {
        out.push(([t.y[0], t.rear[0]], [t.y[1], t.rear[1]]));
        out.push(([t.y[0], t.front[0]], [t.y[1], t.front[1]]));
        sides.push((t.y[0], [t.rear[0], t.front[0]]));
        sides.push((t.y[1], [t.rear[1], t.front[1]]));
    }
    sides.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut i = 0;
    while i < sides.len() {
        let station = sides[i].0;
        let mut ends = Vec::new();
        while i < sides.len() && sides[i].0 - station < 2.0 * STATION_M {
            ends.extend(sides[i].1);
            i += 1;
        }
        // Covered once is outline, covered from both sides is inside: parity of the sorted ends.
        ends.sort_by(f64::total_cmp);
        for pair in ends.chunks_exact(2) {
            if pair[1] - pair[0] > 2.0 * STATION_M {
                out.push(([station, pair[0]], [station, pair[1]]));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, a: f64) -> Vec<Pt> {
        vec![[x, y], [x + a, y], [x + a, y + a], [x, y + a]]
    }

    fn area_of(cells: &[Cell], layers: usize) -> f64 {
        cells.iter().filter(|c| c.layers == layers).map(|c| c.shape.area()).sum()
    }

    #[test]
    fn two_overlapping_squares() {
        let cells = layer_cells(&[square(0.0, 0.0, 2.0), square(1.0, 1.0, 2.0)]);
        assert!((area_of(&cells, 1) - 6.0).abs() < 1e-9, "{cells:?}");
        assert!((area_of(&cells, 2) - 1.0).abs() < 1e-9, "{cells:?}");
    }

    #[test]
    fn layers_times_area_is_the_paper() {
        let tri = vec![[0.1, 0.1], [2.2, 0.4], [0.7, 1.9]];
        let polygons = [square(0.0, 0.0, 2.0), tri, square(0.5, -0.5, 1.0)];
        let cells = layer_cells(&polygons);
        let paper: f64 = cells.iter().map(|c| c.layers as f64 * c.shape.area()).sum();
        let tri_area = 0.5 * (2.1 * 1.8 - 0.6 * 0.3);
        assert!((paper - (4.0 + 1.0 + tri_area)).abs() < 1e-9, "{paper}");
    }

    #[test]
    fn a_square_in_two_slabs_has_the_outline_of_a_square() {
        let t = |a: f64, b: f64| Trapezoid { y: [a, b], rear: [0.0; 2], front: [1.0; 2] };
        let length: f64 = border(&[t(0.0, 0.4), t(0.4, 1.0)])
            .iter()
            .map(|(a, b)| (b[0] - a[0]).hypot(b[1] - a[1]))
            .sum();
        assert!((length - 4.0).abs() < 1e-12, "{length}");
    }
}
