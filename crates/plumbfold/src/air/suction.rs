//! Edge suction of the lattice at unit incidence (wings) or unit sideslip (keel and fins), which on sharp edges becomes vortex lift
//! (Polhamus, NASA TN D-3767, 1966; side edges: Lamar, NASA TR R-428, 1974).
//!
//! In-plane force of a vortex is density times circulation times the normal flow at it, turned by
//! 90 degrees. On a flat surface the flow is tangent everywhere but at the edges, so what remains
//! of the sum along the chord is leading-edge thrust, and across it side-edge suction.

use super::lattice::Lattice;
use super::mesh::Strip;
use crate::plane::airframe::PanelKind;
use nalgebra::Vector3;

/// Suction of one strip at unit incidence, divided by density and speed squared.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Suction {
    /// Thrust of its leading edge, m2.
    pub thrust_m2: f64,
    /// Suction of its free side edge, m2.
    pub side_m2: f64,
    /// Where the side suction acts, behind the leading edge in chords.
    pub side_at: f64,
}

/// Component of the motion that loads a kind of surface: w for wings, v for keels and fins.
pub fn loading_motion(kind: PanelKind) -> usize {
    if kind == PanelKind::Wing { 2 } else { 1 }
}

/// Suction of every strip at unit speed of its [`loading_motion`].
pub fn suction(lattice: &Lattice) -> Vec<Suction> {
    let motion = |k: usize| lattice.circulations(&[0.0, f64::from(k == 1), f64::from(k == 2)]);
    let circulations = [motion(1), motion(2)];
    let mut all = vec![Suction::default(); lattice.strips.len()];
    // Normal flow at a place: what the motion brings and what the vortices induce.
    let normal = |at: &Vector3<f64>, n: &Vector3<f64>, k: usize| {
        -n[k] + lattice.induced(&circulations[k - 1], at).dot(n)
    };
    let half = lattice.held_strips;
    let mut across = vec![[0.0; 3]; half];
    let mut last_edge: Option<(Vector3<f64>, Vec<f64>)> = None;
    for (i, strip) in lattice.strips[..half].iter().enumerate() {
        let k = loading_motion(strip.kind);
        let circulation = &circulations[k - 1];
        let n = lattice.chordwise;
        let panels = &lattice.panels[strip.first..strip.first + n];
        let gamma = &circulation[strip.first..strip.first + n];
        for (p, g) in panels.iter().zip(gamma) {
            let middle = (p.vortex.a + p.vortex.b) / 2.0;
            all[i].thrust_m2 += normal(&middle, &strip.n, k) * g * strip.width_m;
        }
        let legs = |end: usize| -> (Vec<Vector3<f64>>, f64) {
            let place = |j: usize| if end == 0 { panels[j].vortex.a } else { panels[j].vortex.b };
            let front = place(0);
            let last = place(n - 1);
            let step =
                if n > 1 { (front - last) / (n as f64 - 1.0) } else { strip.e * strip.chord_m };
            // Middle of the leg behind each vortex up to the next one, or to the edge.
            let mids = (0..n).map(|j| place(j) - step * if j + 1 < n { 0.5 } else { 0.375 });
            (mids.collect(), step.norm())
        };
        for end in 0..2 {
            let (mids, step) = legs(end);
            let flow = match &last_edge {
                Some((at, flow)) if end == 0 && (at - mids[0]).norm() < 1e-12 => flow.clone(),
                _ => mids.iter().map(|m| normal(m, &strip.n, k)).collect(),
            };
            let sign = if end == 0 { -1.0 } else { 1.0 };
            let mut carried = 0.0;
            let mut force = [0.0; 2];
            for j in 0..n {
                carried += gamma[j];
                let length = if j + 1 < n { step } else { 0.75 * step };
                let f = sign * carried * flow[j] * length;
                let behind = (j as f64 + if j + 1 < n { 0.75 } else { 0.625 }) / n as f64;
                force = [force[0] + f, force[1] + f * behind];
            }
            if !joined_edge(lattice, i, end) {
                across[i][0] += force[0];
            }
            if strip.free[end] {
                across[i][1] += force[0];
                across[i][2] += force[1];
            }
            last_edge = (end == 1).then_some((mids[0], flow));
        }
    }
    assign_side_suction(lattice, &across, &mut all);
    // The left half of a symmetric plane is the image of the right.
    let held_sides = lattice.strips.len() - half;
    for k in 0..held_sides {
        all[half + k] = all[k];
    }
    all
}

/// Whether a strip's edge is the joined end of its surface: there the neighbour's leg, which we
/// don't add, cancels it.
fn joined_edge(lattice: &Lattice, i: usize, end: usize) -> bool {
    let s: &Strip = &lattice.strips[i];
    let neighbour = if end == 0 { i.checked_sub(1) } else { Some(i + 1) };
    let same = neighbour
        .and_then(|k| lattice.strips.get(k))
        .is_some_and(|o| o.surface == s.surface && (o.station_m > s.station_m) == (end == 1));
    !same && !s.free[end]
}

/// What remains of the spanwise force of a surface after its swept leading edge is accounted for
/// belongs to its free side edge.
fn assign_side_suction(lattice: &Lattice, across: &[[f64; 3]], all: &mut [Suction]) {
    let strips = &lattice.strips[..across.len()];
    let mut start = 0;
    for group in strips.chunk_by(|a, b| a.surface == b.surface) {
        let range = start..start + group.len();
        start = range.end;
        let edges: Vec<(usize, usize)> = range
            .clone()
            .flat_map(|i| [(i, 0), (i, 1)])
            .filter(|&(i, end)| strips[i].free[end] && across[i][1] != 0.0)
            .collect();
        for &(i, end) in &edges {
            let sign = if end == 0 { -1.0 } else { 1.0 };
            // With two free ends each takes the half of the surface that is nearer to it.
            let nearer = |k: &usize| {
                edges.iter().all(|&(j, _)| {
                    let d = |j: usize| (strips[*k].station_m - strips[j].station_m).abs();
                    d(i) <= d(j)
                })
            };
            let rest: f64 = range
                .clone()
                .filter(nearer)
                .map(|k| across[k][0] + all[k].thrust_m2 * strips[k].edge_slopes[0])
                .sum();
            let share =
                edges.iter().filter(|e| strips[e.0].station_m == strips[i].station_m).count();
            all[i].side_m2 += (sign * rest).max(0.0) / share.max(1) as f64;
            all[i].side_at = (across[i][2] / across[i][1]).clamp(0.0, 1.0);
        }
    }
}
