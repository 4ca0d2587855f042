//! First and last chord of a surface: what is no chord there, and what goes on beyond it.

use super::{Piece, Stretch, Surface, sort};
use crate::air::plates::{JOINT_M, Side};
use nalgebra::Vector3;

/// A keel ends flush with the wings if it ends this near to them, m: layers stand off their creases
/// by tenths of a millimetre. One that goes on beyond them is a fin, however short.
const FLUSH_M: f64 = 0.5e-3;

/// Finds the ends of all surfaces, and at which of them another one goes on.
pub(super) fn find(all: &mut [Surface]) {
    let whole: Vec<Vec<Piece>> = all.iter().map(|s| s.pieces.clone()).collect();
    for surface in all.iter_mut() {
        surface.trim_slivers();
    }
    mark_joints(all);
    mark_roots(all);
    for (surface, pieces) in all.iter_mut().zip(whole) {
        surface.restore_free_ends(&pieces);
    }
}

impl Surface {
    /// An end that is slanted by less than a hand's error counts as straight: its sliver of a
    /// triangle is left off, because a strip of next to no chord there would cut the surface from
    /// its neighbour.
    fn trim_slivers(&mut self) {
        /// Chord gained per width: an edge within 3 degrees of the flow.
        const STEEP: f64 = 20.0;
        let pieces = &mut self.pieces;
        for (outer, inner) in [(0, 1), (1, 0)] {
            while pieces.len() > 1 {
                let end = if outer == 0 { pieces.first() } else { pieces.last() };
                let Some([low, high]) = end.map(|t| t.y) else { return };
                let chord = |k: usize| {
                    let all = pieces.iter().filter(|t| t.y == [low, high]);
                    all.map(|t| t.front[k] - t.rear[k]).sum::<f64>()
                };
                let width = high - low;
                if width > JOINT_M || chord(inner) - chord(outer) < STEEP * width {
                    break;
                }
                pieces.retain(|t| t.y != [low, high]);
            }
        }
        self.find_ends();
    }

    /// Gives back what was trimmed off an end at which there is no neighbour.
    fn restore_free_ends(&mut self, whole: &[Piece]) {
        let [low, high] = self.ends;
        let [first, last] = self.joined;
        let off = |t: &&Piece| (!first && t.y[1] <= low) || (!last && t.y[0] >= high);
        self.pieces.extend(whole.iter().filter(off));
        sort(&mut self.pieces);
        self.find_ends();
    }

    /// Cuts off what lies beyond a station at the first (0) or last (1) end.
    fn end_at(&mut self, k: usize, y: f64) {
        let beyond = |at: f64| if k == 0 { at < y } else { at > y };
        self.pieces.retain(|t| !beyond(t.y[1 - k]) && t.y[1 - k] != y);
        for t in self.pieces.iter_mut().filter(|t| beyond(t.y[k])) {
            let share = (y - t.y[0]) / (t.y[1] - t.y[0]);
            for edge in [&mut t.rear, &mut t.front] {
                edge[k] = edge[0] + share * (edge[1] - edge[0]);
            }
            t.y[k] = y;
        }
        self.find_ends();
    }

    fn find_ends(&mut self) {
        if let (Some(first), Some(last)) = (self.pieces.first(), self.pieces.last()) {
            self.ends = [first.y[0], last.y[1]];
        }
    }

    /// First or last chord as rear and front end in space.
    fn edge(&self, k: usize) -> Option<[Vector3<f64>; 2]> {
        let chords = self.chords_at(self.ends[k], if k == 0 { 1.0 } else { -1.0 });
        let (front, rear) = (chords.first()?.first()?, chords.last()?.last()?);
        let at = |s: &Stretch, end: usize| self.place(s.part, s.ends[end], self.ends[k]);
        Some([at(rear, 0), at(front, 1)])
    }
}

/// Marks the ends at which another surface, or the mirror image across the plane of symmetry,
/// goes on.
fn mark_joints(all: &mut [Surface]) {
    let edges: Vec<[Option<[Vector3<f64>; 2]>; 2]> =
        all.iter().map(|s| [s.edge(0), s.edge(1)]).collect();
    for i in 0..all.len() {
        for k in 0..2 {
            let Some([rear, front]) = edges[i][k] else { continue };
            let p = (rear + front) / 2.0;
            let on_centre = all[i].side != Side::Centre && p.y.abs() < JOINT_M;
            let meets = |j: usize| {
                let touches = |q: &[Vector3<f64>; 2]| distance(&p, q) < JOINT_M;
                j != i
                    && (edges[j].iter().flatten().any(touches) || all[j].station_of(&p).is_some())
            };
            all[i].joined[k] = on_centre || (0..all.len()).any(meets);
        }
    }
}

/// Marks where wings meet a keel that goes on beyond them as a fin.
fn mark_roots(all: &mut [Surface]) {
    let roots: Vec<[Vector3<f64>; 2]> = all
        .iter()
        .filter(|s| s.side != Side::Centre)
        .flat_map(|s| [0, 1].map(|k| s.edge(k).filter(|_| s.joined[k])))
        .flatten()
        .collect();
    for keel in all.iter_mut().filter(|s| s.side == Side::Centre) {
        for root in &roots {
            let [rear, front] =
                root.map(|p| (p - keel.parts[0].origin).dot(&keel.parts[0].grid[1]));
            let met = keel.station_of(&((root[0] + root[1]) / 2.0));
            let Some(y) = met.filter(|_| (rear - front).abs() < JOINT_M) else { continue };
            let beyond = keel.ends.map(|end| (end - y).abs() > FLUSH_M);
            (0..2).filter(|&k| !beyond[k]).for_each(|k| keel.end_at(k, y));
            if beyond == [true, true] {
                keel.stood_on.push(y);
                (0..2)
                    .filter(|&k| (keel.ends[k] - y).abs() < JOINT_M)
                    .for_each(|k| keel.joined[k] = false);
            }
        }
    }
}

fn distance(p: &Vector3<f64>, [a, b]: &[Vector3<f64>; 2]) -> f64 {
    let ab = b - a;
    let t = ((p - a).dot(&ab) / ab.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (p - a - ab * t).norm()
}
