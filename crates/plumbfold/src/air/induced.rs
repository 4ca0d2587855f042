//! The flow that the vortices of a plane make at one another.

use super::lattice::Lattice;
use super::mesh::{Home, Run};
use nalgebra::Vector3;

/// Induced velocity for a unit of each of the motions u v w p q r.
pub type Velocities = [Vector3<f64>; 6];

/// Induced flow at the vortices of the held half.
pub struct InducedFlow {
    /// At the middle of each bound segment.
    pub bound: Vec<Velocities>,
    /// At the legs of each run, at both ends of it.
    pub legs: Vec<[Vec<Leg>; 2]>,
}

/// The stretch of a leg from one vortex of a run to the next one, or to the trailing edge.
#[derive(Clone, Copy)]
pub struct Leg {
    /// Aft along it, m.
    pub along: Vector3<f64>,
    /// Where the flow was taken, m.
    pub at: Vector3<f64>,
    /// The flow there.
    pub flow: Velocities,
}

impl InducedFlow {
    /// Works it out.
    pub fn of(lattice: &Lattice) -> Self {
        let at = |p: &Vector3<f64>, home: Home| -> Velocities {
            let mut sum = [Vector3::zeros(); 6];
            for (j, panel) in lattice.panels.iter().enumerate() {
                let v = panel.velocity_at(p, home);
                for (k, s) in sum.iter_mut().enumerate() {
                    *s += v * lattice.circulation[(j, k)];
                }
            }
            sum
        };
        let held = &lattice.runs[..lattice.held_runs];
        let panels = held.iter().map(|r| r.panels.len()).sum();
        let bound = lattice.panels[..panels]
            .iter()
            .map(|p| at(&((p.vortex.a + p.vortex.b) / 2.0), p.home))
            .collect();
        let mut legs: Vec<[Vec<Leg>; 2]> = Vec::with_capacity(held.len());
        for (i, run) in held.iter().enumerate() {
            let places = [0, 1].map(|end| leg_places(lattice, run, end));
            // Neighbours share the legs between them.
            let shared = |end: usize, places: &[[Vector3<f64>; 2]]| -> Option<Vec<Leg>> {
                let before = legs.last().filter(|_| end == 0)?;
                let same = before[1].len() == places.len()
                    && before[1].iter().zip(places).all(|(l, p)| (l.at - p[1]).norm() < 1e-12);
                same.then(|| before[1].clone())
            };
            let home = lattice.panels[run.panels.start].home;
            let both = [0, 1].map(|end| {
                shared(end, &places[end]).unwrap_or_else(|| {
                    let met = beside_alike(held, i, end);
                    let flow =
                        |p: &Vector3<f64>| if met { at(p, home) } else { [Vector3::zeros(); 6] };
                    let leg =
                        |p: &[Vector3<f64>; 2]| Leg { along: p[0], at: p[1], flow: flow(&p[1]) };
                    places[end].iter().map(leg).collect()
                })
            });
            legs.push(both);
        }
        Self { bound, legs }
    }
}

/// Whether the flow at a run's leg can be asked for: where a neighbour is cut differently its
/// vortices may end beside any place of the leg. (Between two strips of a plate it is no loss: the
/// flow follows the plate.)
fn beside_alike(runs: &[Run], i: usize, end: usize) -> bool {
    let run = &runs[i];
    neighbour(runs, i, end).is_none_or(|o| {
        o.points.len() == run.points.len()
            && o.points.iter().zip(&run.points).all(|(p, q)| (p[0] - q[0]).abs() < 0.01)
    })
}

/// The run beside another one on the same surface.
pub fn neighbour(runs: &[Run], i: usize, end: usize) -> Option<&Run> {
    let run = &runs[i];
    let k = if end == 0 { i.checked_sub(1)? } else { i + 1 };
    runs.get(k).filter(|o| o.surface == run.surface && (o.station_m > run.station_m) == (end == 1))
}

/// Direction with length of each stretch of a leg, and the place on it at which the flow is known
/// best: the station of the control point; on a leg that bends, a place ahead of the bend.
fn leg_places(lattice: &Lattice, run: &Run, end: usize) -> Vec<[Vector3<f64>; 2]> {
    let panels = &lattice.panels[run.panels.clone()];
    let start = |k: usize| if end == 0 { panels[k].vortex.a } else { panels[k].vortex.b };
    let chord: f64 = lattice.strips[run.strips.clone()].iter().map(|s| s.chord_m).sum();
    (0..panels.len())
        .map(|k| {
            let (p, bends) = (start(k), &panels[k].vortex.bends[end]);
            let straight = p - panels[k].forward * ((1.0 - run.points[k][0]) * chord);
            let Some(next) = run.points.get(k + 1) else {
                let edge = bends.first().copied().unwrap_or(straight);
                return [edge - p, p.lerp(&edge, 0.5)];
            };
            let q = start(k + 1);
            let crossed = bends.len() != panels[k + 1].vortex.bends[end].len();
            let [vortex, control] = run.points[k];
            let at = match bends.first() {
                Some(crease) if crossed => p.lerp(crease, 0.5),
                _ => p.lerp(&q, (control - vortex) / (next[0] - vortex)),
            };
            [q - p, at]
        })
        .collect()
}
