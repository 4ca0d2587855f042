//! Edge suction of the lattice at a unit motion along each plate's normal (incidence for wings,
//! sideslip for keel and fins), which on sharp edges becomes vortex lift (Polhamus, NASA TN D-3767,
//! 1966; side edges: Lamar, NASA TR R-428, 1974).
//!
//! In-plane force of a vortex is density times circulation times the normal flow at it, turned by
//! 90 degrees. On a flat surface the flow is tangent everywhere but at the edges, so what remains
//! of the sum along the chord is leading-edge thrust, and across it side-edge suction.

use super::induced::{InducedFlow, loading_motion, neighbour};
use super::lattice::Lattice;
use super::mesh::{Run, VortexPanel, as_one};
use super::plate::smoothstep;

/// Suction of one strip at its [`loading_motion`], divided by density and speed squared.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Suction {
    /// Thrust of its leading edge, m2.
    pub thrust_m2: f64,
    /// Suction of its free side edge, m2.
    pub side_m2: f64,
    /// Where the side suction acts, behind the leading edge in chords.
    pub side_at: f64,
}

/// Suction of every strip at its [`loading_motion`]. That of a run belongs to its front strip.
pub fn suction(lattice: &Lattice, flow: &InducedFlow) -> Vec<Suction> {
    let mut all = vec![Suction::default(); lattice.strips.len()];
    let held = &lattice.runs[..lattice.held_runs];
    let mut across = vec![Across::default(); held.len()];
    for (i, run) in held.iter().enumerate() {
        let front = &lattice.strips[run.strips.start];
        let [side, up] = loading_motion(&front.n);
        // Normal flow: what the motion brings and what the vortices induce.
        let normal =
            |p: &VortexPanel, induced: f64| induced - (side * p.normal.y + up * p.normal.z);
        let panels = &lattice.panels[run.panels.clone()];
        let gamma: Vec<f64> = run
            .panels
            .clone()
            .map(|j| side * lattice.circulation[(j, 1)] + up * lattice.circulation[(j, 2)])
            .collect();
        for ((p, g), v) in panels.iter().zip(&gamma).zip(&flow.bound[run.panels.clone()]) {
            all[run.strips.start].thrust_m2 += normal(p, *v) * g * front.width_m;
        }
        for (end, sign) in [(0, -1.0), (1, 1.0)] {
            let beside = neighbour(held, i, end);
            let even =
                beside.map_or(1.0, |o| even(front.width_m, lattice.strips[o.strips.start].width_m));
            let mut carried = 0.0;
            let mut force = [0.0; 2];
            for (j, (leg, p)) in flow.legs[i][end].iter().zip(panels).enumerate() {
                carried += gamma[j];
                // A leg that could not be asked lies between two strips of a plate: tangent flow.
                // So does one beside a narrow strip, whose two legs push each other about.
                let through = even * leg.through.map_or(0.0, |v| normal(p, v));
                let f = sign * carried * through * leg.along.norm();
                let [vortex, control] = run.points[j];
                let last = j + 1 == panels.len();
                let behind = if last { (vortex + 1.0) / 2.0 } else { control };
                force = [force[0] + f, force[1] + f * behind];
            }
            // At a corner between two plates the neighbour's leg, which we don't add, cancels it.
            let goes_on = |o: &Run| as_one(&lattice.strips[o.strips.start].n, &front.n);
            let share = if run.free[end] { 1.0 } else { beside.map_or(0.0, goes_on) };
            across[i].at_ends[end] = share * force[0];
            if run.free[end] {
                across[i].free[0] += force[0];
                across[i].free[1] += force[1];
            }
        }
    }
    assign_side_suction(lattice, &across, &mut all);
    // The left half of a symmetric plane is the image of the right.
    for (image, run) in lattice.runs[held.len()..].iter().zip(held) {
        for (to, from) in image.strips.clone().zip(run.strips.clone()) {
            all[to] = all[from];
        }
    }
    all
}

/// How far what two neighbours' leg is pushed counts: not beside a strip of a twentieth of the
/// other's width, wholly from a third on (chosen).
fn even(a: f64, b: f64) -> f64 {
    smoothstep((a.min(b) / a.max(b) - 0.05) / 0.3)
}

/// Spanwise force of a run.
#[derive(Clone, Copy, Default)]
struct Across {
    /// On its legs at either end, as far as they count.
    at_ends: [f64; 2],
    /// On those at free edges, and the same times the share of the chord ahead of where it acts.
    free: [f64; 2],
}

/// What remains of the spanwise force of a plate, and of those that go on from it as [`as_one`],
/// after its swept leading edge is accounted for belongs to its free side edge.
fn assign_side_suction(lattice: &Lattice, across: &[Across], all: &mut [Suction]) {
    let runs = &lattice.runs[..across.len()];
    let front = |i: usize| runs[i].strips.start;
    let mut start = 0;
    for group in runs.chunk_by(|a, b| a.surface == b.surface) {
        let range = start..start + group.len();
        start = range.end;
        let edges: Vec<(usize, usize)> = range
            .clone()
            .flat_map(|i| [(i, 0), (i, 1)])
            .filter(|&(i, end)| runs[i].free[end] && across[i].free[0] != 0.0)
            .collect();
        for &(i, end) in &edges {
            let sign = if end == 0 { -1.0 } else { 1.0 };
            // With two free ends each takes the half of the plate that is nearer to it. A leg goes
            // whole to one of them: what it does to those of a narrow run beside it cancels.
            let nearer = |at: f64| {
                edges.iter().all(|&(j, _)| {
                    let d = |j: usize| (at - runs[j].station_m).abs();
                    d(i) <= d(j)
                })
            };
            let rest: f64 = range
                .clone()
                .map(|k| {
                    let (strip, thrust) = (&lattice.strips[front(k)], all[front(k)].thrust_m2);
                    let half = strip.width_m / 2.0;
                    let at = |from_middle: f64| f64::from(nearer(runs[k].station_m + from_middle));
                    as_one(&strip.n, &lattice.strips[front(i)].n)
                        * (at(-half) * across[k].at_ends[0]
                            + at(half) * across[k].at_ends[1]
                            + at(0.0) * thrust * strip.edge_slopes[0])
                })
                .sum();
            let share = edges.iter().filter(|e| runs[e.0].station_m == runs[i].station_m).count();
            all[front(i)].side_m2 += (sign * rest).max(0.0) / share.max(1) as f64;
            all[front(i)].side_at = (across[i].free[1] / across[i].free[0]).clamp(0.0, 1.0);
        }
    }
}
