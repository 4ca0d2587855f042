//! Slopes of the mean surface: steps where raised layers end, and trailing-edge bends.
//!
//! **Steps.** A stack of layers of height h on one side moves the mean surface by h/2. The air
//! doesn't follow the corner: behind a step down it leaves a bubble some 7 heights long, ahead of
//! a step up one about 1 height long (Eaton & Johnston, AIAA J. 19(9), 1981; Moss & Baker, Aeronaut.
//! Quart. 31, 1980; from memory; a laminar bubble is up to twice as long, which changes the
//! moment by a tenth). The surface the air sees is the ramp over the bubble, and its mean line
//! rises by h/2 over that length. The pressure then is thin-aerofoil theory. How far the bubble
//! spoils that is not known, and is one of the unknowns that a verdict draws.
//!
//! **A slope in a lattice.** A lattice of equal panels smears a short bend over a whole panel. In
//! thin-aerofoil theory a slope at x counts with sqrt(x/(1-x)) in the lift (Glauert 1926; it is
//! the load of the reversed plate); in the lattice the slope of panel j counts with the load of
//! the reversed lattice. Each panel takes the slope that gives the theory's share of lift, so the
//! lift of a bend is right whatever its depth.

use super::lattice::Slopes;
use super::mesh::{Mesh, Run, Strip, chord_cells, chord_points};
use super::plates::Side;
use super::surfaces::Surface;
use crate::plane::airframe::{PanelKind, TrimBend, TrimSurface};
use nalgebra::{DMatrix, DVector};
use std::borrow::Cow;

/// Bubble behind a step down, step heights.
const BUBBLE_BEHIND: f64 = 7.0;
/// Bubble ahead of a step up, step heights.
const BUBBLE_AHEAD: f64 = 1.0;
/// Steepest bend the linear slope is used for, rad; steeper ones separate and gain no more.
const STEEPEST_BEND: f64 = 0.35;

/// Shapes in the order of the lattice's columns after the motions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Steps of raised layers.
    Steps,
    /// The bends given in the design.
    Bends,
    /// A unit slope of the right wing's trailing edge, up.
    Right,
    /// The same on the left.
    Left,
    /// A unit slope of the trailing edges of keel and fins, to the right.
    Rudder,
}

/// All shapes, in column order.
pub const SHAPES: [Shape; 5] =
    [Shape::Steps, Shape::Bends, Shape::Right, Shape::Left, Shape::Rudder];

/// Slopes of all shapes. `depth_m` is how far ahead of the edge the unit bends begin. `reversed`
/// surfaces fly tail first: bends are on their leading edges.
pub fn slopes(
    surfaces: &[Surface],
    mesh: &Mesh,
    trims: &[TrimBend],
    depth_m: f64,
    reversed: bool,
) -> Vec<Slopes> {
    let whole = Cells::of_points(mesh.size.chordwise);
    let of_run = &|run: &Run, strips: &[Strip], shape: Shape| -> Vec<f64> {
        let surface = &surfaces[run.surface];
        // Most runs lie on one plate, and their chords are cut alike.
        let cells = match strips {
            [_] => Cow::Borrowed(&whole),
            _ => Cow::Owned(Cells::new(&run.points, &run.cells)),
        };
        let bend = |surface: TrimSurface, slope: f64, depth: f64| {
            let edge = if reversed { strips.first() } else { strips.last() };
            let sign = edge.map_or(0.0, |s| bend_sign(s, surface));
            bend_cells(run, sign * slope, depth, reversed, &cells)
        };
        match shape {
            Shape::Steps => step_cells(surface, run, strips, &cells),
            Shape::Bends => trims.iter().fold(vec![0.0; cells.len()], |sum, t| {
                let slope =
                    (t.deflection_m / t.depth_m.max(1e-6)).clamp(-STEEPEST_BEND, STEEPEST_BEND);
                sum.iter().zip(bend(t.surface, slope, t.depth_m)).map(|(a, b)| a + b).collect()
            }),
            Shape::Right => bend(TrimSurface::RightWing, 1.0, depth_m),
            Shape::Left => bend(TrimSurface::LeftWing, 1.0, depth_m),
            Shape::Rudder => bend(TrimSurface::Rudder, 1.0, depth_m),
        }
    };
    let sides = if mesh.symmetric { mesh.sides } else { [0; 3] };
    let held = |shape: Shape| {
        mesh.runs.iter().flat_map(move |r| of_run(r, &mesh.strips[r.strips.clone()], shape))
    };
    let image = |shape: Shape| {
        mesh.runs[..sides[0]].iter().flat_map(move |r| {
            let image = &mesh.images[r.surface];
            let strips: Vec<Strip> =
                mesh.strips[r.strips.clone()].iter().map(|s| s.mirrored(image)).collect();
            of_run(&r.mirrored(image, 0, 0), &strips, shape)
        })
    };
    SHAPES
        .iter()
        .map(|&shape| Slopes { held: held(shape).collect(), image: image(shape).collect() })
        .collect()
}

/// How a bend of a surface acts on a strip: 0 when it isn't on it, else the sign along its normal.
fn bend_sign(strip: &Strip, surface: TrimSurface) -> f64 {
    let wing = strip.kind == PanelKind::Wing;
    let right = strip.middle.y > 0.0;
    let hit = match surface {
        TrimSurface::Elevator => wing,
        TrimSurface::RightWing => wing && right,
        TrimSurface::LeftWing => wing && !right,
        TrimSurface::Rudder => !wing,
    };
    let along = if wing { -strip.n.z } else { strip.n.y };
    if hit { along.signum() } else { 0.0 }
}

/// Integral of sqrt(x/(1-x)) from 0.
fn lift_weight(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x.sqrt().asin() - (x * (1.0 - x)).sqrt()
}

/// The panels of a chord: lift weights of the theory at the ends of the part each stands for, and
/// of the lattice.
#[derive(Clone)]
struct Cells {
    bounds: Vec<[f64; 2]>,
    weights: Vec<f64>,
}

impl Cells {
    /// A chord on one plate.
    fn of_points(n: usize) -> Self {
        let points = chord_points(n);
        Self::new(&points, &chord_cells(&points))
    }

    fn new(points: &[[f64; 2]], cells: &[[f64; 2]]) -> Self {
        let n = points.len();
        // Two-dimensional lattice: the lift of a slope at control i is the sum of row i of the
        // inverse, found from the transpose.
        let transpose = DMatrix::from_fn(n, n, |j, i| 1.0 / (points[i][1] - points[j][0]));
        let sums = transpose.lu().solve(&DVector::from_element(n, 1.0));
        let sums = sums.unwrap_or_else(|| DVector::from_element(n, 1.0));
        // Both kinds of weight sum to that of the whole chord, pi/2.
        let scale = std::f64::consts::FRAC_PI_2 / sums.sum();
        let bounds = cells.iter().map(|c| c.map(lift_weight)).collect();
        Self { bounds, weights: sums.iter().map(|w| w * scale).collect() }
    }

    fn len(&self) -> usize {
        self.weights.len()
    }

    /// Adds a constant slope from `a` to `b` (chord fractions from the leading edge).
    fn add_slope(&self, cells: &mut [f64], slope: f64, a: f64, b: f64) {
        let (from, to) = (lift_weight(a), lift_weight(b));
        for ((cell, w), weight) in cells.iter_mut().zip(&self.bounds).zip(&self.weights) {
            *cell += slope * (to.min(w[1]) - from.max(w[0])).max(0.0) / weight;
        }
    }
}

fn bend_cells(run: &Run, slope: f64, depth: f64, reversed: bool, chord: &Cells) -> Vec<f64> {
    let mut cells = vec![0.0; chord.len()];
    if slope != 0.0 {
        let share = (depth / (run.chord_ends[0] - run.chord_ends[1])).clamp(0.0, 1.0);
        match reversed {
            false => chord.add_slope(&mut cells, slope, 1.0 - share, 1.0),
            true => chord.add_slope(&mut cells, -slope, 0.0, share),
        }
    }
    cells
}

/// Heights of the lower and the upper face along a strip: (fraction of the chord where it starts,
/// faces), front to rear.
fn profile(surface: &Surface, strip: &Strip) -> Vec<(f64, [f64; 2])> {
    let [front, rear] = strip.chord_ends;
    let inside = 1e-6 * (surface.ends[1] - surface.ends[0]);
    let y = strip.station_m.clamp(surface.ends[0] + inside, surface.ends[1] - inside);
    let spans: Vec<([f64; 2], [f64; 2])> = surface.parts[strip.part]
        .layers
        .iter()
        .filter_map(|l| {
            let mut x = [f64::MAX, f64::MIN];
            for (i, p) in l.outline.iter().enumerate() {
                let q = l.outline[(i + 1) % l.outline.len()];
                if (p.y - y) * (q.y - y) < 0.0 {
                    let at = p.x + (y - p.y) / (q.y - p.y) * (q.x - p.x);
                    x = [x[0].min(at), x[1].max(at)];
                }
            }
            (x[0] < x[1]).then_some((x, l.faces_m))
        })
        .collect();
    // Hair-wide slips between layers are not steps the air sees.
    let hair = 1e-4 * (front - rear);
    let mut cuts: Vec<f64> =
        spans.iter().flat_map(|s| s.0).filter(|x| rear < *x && *x < front).collect();
    cuts.push(front);
    cuts.push(rear);
    cuts.sort_by(|a, b| b.total_cmp(a));
    cuts.dedup_by(|a, b| *b - *a < hair);
    cuts.windows(2)
        .filter_map(|w| {
            let mid = (w[0] + w[1]) / 2.0;
            let here = spans.iter().filter(|(x, _)| x[0] <= mid && mid <= x[1]);
            let faces =
                here.fold([f64::MAX, f64::MIN], |f, (_, g)| [f[0].min(g[0]), f[1].max(g[1])]);
            (faces[0] <= faces[1]).then_some(((front - w[0]) / (front - rear), faces))
        })
        .collect()
}

fn step_cells(surface: &Surface, run: &Run, strips: &[Strip], chord: &Cells) -> Vec<f64> {
    let mut cells = vec![0.0; chord.len()];
    if surface.side == Side::Centre && surface.kind() != PanelKind::Wing {
        return cells;
    }
    let whole = run.chord_ends[0] - run.chord_ends[1];
    for strip in strips {
        let start = (run.chord_ends[0] - strip.chord_ends[0]) / whole;
        for w in profile(surface, strip).windows(2) {
            let ((_, before), (x, after)) = (w[0], w[1]);
            let x = start + x * strip.chord_m / whole;
            for face in 0..2 {
                let rise = (after[face] - before[face]) / whole;
                if rise.abs() < 1e-9 {
                    continue;
                }
                // The paper ends where the face comes closer to the mean surface.
                let down = (rise > 0.0) == (face == 0);
                let (from, to) = match down {
                    true => (x, x + BUBBLE_BEHIND * rise.abs()),
                    false => (x - BUBBLE_AHEAD * rise.abs(), x),
                };
                // What of the ramp would lie beyond the edges is not there: it takes its share of
                // the rise with it.
                let slope = rise / (2.0 * (to - from));
                chord.add_slope(&mut cells, slope, from.max(0.0), to.min(1.0));
            }
        }
    }
    cells
}

/// Sum of the heights of steps down along a strip, m, for the drag of their bases. The trailing
/// edge itself, one sheet thin, is left out.
pub fn step_heights_m(surface: &Surface, strip: &Strip) -> f64 {
    let profile = profile(surface, strip);
    let thinner =
        |w: &[(f64, [f64; 2])]| (w[1].1[0] - w[0].1[0]).max(0.0) + (w[0].1[1] - w[1].1[1]).max(0.0);
    profile.windows(2).map(thinner).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slope_over_the_whole_chord_keeps_its_lift() {
        let chord = Cells::of_points(6);
        let mut cells = vec![0.0; 6];
        chord.add_slope(&mut cells, 0.3, 0.0, 1.0);
        let lift: f64 = cells.iter().zip(&chord.weights).map(|(c, w)| c * w).sum();
        assert!((lift - 0.3 * std::f64::consts::FRAC_PI_2).abs() < 1e-12);
        assert!(cells.iter().all(|c| (c - 0.3).abs() < 0.1), "{cells:?}");
    }
}
