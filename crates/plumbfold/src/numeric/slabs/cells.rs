//! How many outlines lie on one another where, and the rim of what they cover.

use super::{Trapezoid, XY, chord, stations};
use crate::numeric::geom::TOLERANCE_M;

/// A piece of the plane over which the number of layers is the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Outline.
    pub shape: Trapezoid,
    /// Layers, one at least.
    pub layers: usize,
}

/// The layer-count map of convex outlines (either winding).
pub fn layer_cells(polygons: &[Vec<XY>]) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    // Cells that end at the present station and may be continued by the next slab.
    let mut open: Vec<usize> = Vec::new();
    for w in stations(polygons).windows(2) {
        let mut ends: Vec<([f64; 2], i32)> = Vec::new();
        for (rear, front) in polygons.iter().filter_map(|p| chord(p, w)) {
            ends.push((rear, 1));
            ends.push((front, -1));
        }
        // No edges cross inside the slab, so comparing the middles is enough.
        let middle = |end: &[f64; 2]| (end[0] + end[1]) / 2.0;
        ends.sort_by(|a, b| middle(&a.0).total_cmp(&middle(&b.0)));
        let (mut layers, mut next) = (0, Vec::new());
        let mut rear = [0.0; 2];
        let mut i = 0;
        while i < ends.len() {
            let here = ends[i].0;
            let mut change = 0;
            while i < ends.len() && middle(&ends[i].0) - middle(&here) < TOLERANCE_M {
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
    /// Slopes that differ by less than this are one: a tenth of a micrometre over a handbreadth.
    const STRAIGHT: f64 = 1e-6;
    let carries_on = |old: &Cell| {
        let (o, n) = (&old.shape, &new.shape);
        let same = |a: [f64; 2], b: [f64; 2]| {
            let slope = |e: [f64; 2], y: [f64; 2]| (e[1] - e[0]) / (y[1] - y[0]);
            (a[1] - b[0]).abs() < TOLERANCE_M && (slope(a, o.y) - slope(b, n.y)).abs() < STRAIGHT
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

/// The rim of a set of trapezoids that do not overlap: their slanted sides, and those parts of
/// their sides along stations that no neighbour shares.
pub fn border(shapes: &[Trapezoid]) -> Vec<[XY; 2]> {
    let mut out = Vec::new();
    let mut sides: Vec<(f64, [f64; 2])> = Vec::new();
    for t in shapes {
        let [a, b, c, d] = t.corners();
        out.extend([[a, d], [b, c]]);
        sides.extend([(t.y[0], [t.rear[0], t.front[0]]), (t.y[1], [t.rear[1], t.front[1]])]);
    }
    sides.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut i = 0;
    while i < sides.len() {
        let station = sides[i].0;
        let mut ends = Vec::new();
        while i < sides.len() && sides[i].0 - station < 2.0 * TOLERANCE_M {
            ends.extend(sides[i].1);
            i += 1;
        }
        // Covered once is rim, covered from both sides is inside: parity of the sorted ends.
        ends.sort_by(f64::total_cmp);
        for pair in ends.chunks_exact(2) {
            if pair[1] - pair[0] > 2.0 * TOLERANCE_M {
                out.push([pair[0], pair[1]].map(|x| XY { x, y: station }));
            }
        }
    }
    out
}
