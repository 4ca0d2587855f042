//! The flow that the vortices of a plane make at one another.

use super::filaments::{Asked, SAME_M};
use super::lattice::{Lattice, MOTIONS};
use super::mesh::{Home, Run, VortexPanel};
use super::plates::Side;
use crate::plane::airframe::PanelKind;
use nalgebra::Vector3;
use std::array::from_fn;

/// Induced flow at the vortices of the held half.
pub struct InducedFlow {
    /// Along its panel's normal at the middle of each bound segment, in the [`loading_motion`] of
    /// its run.
    pub bound: Vec<f64>,
    /// At the legs of each run, at both ends of it.
    pub legs: Vec<[Vec<Leg>; 2]>,
}

/// The stretch of a leg from one vortex of a run to the next one, or to the trailing edge.
#[derive(Clone, Copy)]
pub struct Leg {
    /// Aft along it, m.
    pub along: Vector3<f64>,
    /// Flow along its panel's normal, likewise; none where it could not be asked.
    pub through: Option<f64>,
    /// Flow along the span of a keel for a unit of each of the motions u v w p q r.
    pub across: [f64; MOTIONS],
}

/// Shares of v and w in the unit motion that loads a plate: along its normal, w for wings, v for
/// keels and fins, between the two for what leans.
pub fn loading_motion(normal: &Vector3<f64>) -> [f64; 2] {
    let size = normal.y.hypot(normal.z).max(f64::MIN_POSITIVE);
    [normal.y / size, normal.z / size]
}

/// Whether what its vortices take of a stream from aside is asked for.
pub fn is_keel(lattice: &Lattice, run: &Run) -> bool {
    lattice.panels[run.panels.start].home.1 == Side::Centre
        && lattice.strips[run.strips.start].kind != PanelKind::Wing
}

/// Sum over all panels, held ones and images, of what each does along a direction at a place times
/// how strong it is.
fn flow<const N: usize>(
    asked: &mut Asked<'_>,
    (place, home): (&Vector3<f64>, Home),
    along: &Vector3<f64>,
    strengths: (&[[f64; N]], &[[f64; N]]),
) -> [f64; N] {
    let mut sum = [0.0; N];
    let mut add = |velocities: &[Vector3<f64>], strengths: &[[f64; N]]| {
        for (v, strength) in velocities.iter().zip(strengths) {
            let v = along.dot(v);
            for (s, g) in sum.iter_mut().zip(strength) {
                *s += v * g;
            }
        }
    };
    add(asked.at(place, home), strengths.0);
    if !strengths.1.is_empty() {
        add(asked.images_at(place, strengths.1.len()), strengths.1);
    }
    sum
}

impl InducedFlow {
    /// Works it out.
    pub fn of(lattice: &Lattice) -> Self {
        let runs = &lattice.runs[..lattice.held_runs];
        let held = runs.iter().map(|r| r.panels.len()).sum();
        let circulation: Vec<[f64; MOTIONS]> =
            (0..lattice.panels.len()).map(|j| from_fn(|k| lattice.circulation[(j, k)])).collect();
        let mut asked = lattice.filaments.asked();
        let mut bound = Vec::with_capacity(held);
        let mut legs: Vec<[Vec<Leg>; 2]> = Vec::with_capacity(runs.len());
        let mut loaded: ([f64; 2], Vec<[f64; 1]>) = ([0.0; 2], Vec::new());
        for (i, run) in runs.iter().enumerate() {
            let front = &lattice.strips[run.strips.start];
            let motion = loading_motion(&front.n);
            if loaded.0 != motion || loaded.1.is_empty() {
                let load = |c: &[f64; MOTIONS]| [motion[0] * c[1] + motion[1] * c[2]];
                loaded = (motion, circulation.iter().map(load).collect());
            }
            let loads = loaded.1.split_at(held);
            let panels = &lattice.panels[run.panels.clone()];
            bound.extend(panels.iter().map(|p| {
                let middle = (p.vortex.a + p.vortex.b) / 2.0;
                flow(&mut asked, (&middle, p.home), &p.normal, loads)[0]
            }));
            let keel = is_keel(lattice, run);
            let both = [0, 1].map(|end| {
                // Neighbours on a plate share the legs between them.
                let beside = neighbour(runs, i, 0).filter(|_| end == 0).zip(legs.last());
                let shared = beside.filter(|(o, _)| {
                    let theirs = &lattice.panels[o.panels.clone()];
                    let apart = |(p, q): (&VortexPanel, &VortexPanel)| {
                        (p.vortex.b - q.vortex.a).norm() > SAME_M || p.normal != q.normal
                    };
                    theirs.len() == panels.len() && !theirs.iter().zip(panels).any(apart)
                });
                if let Some((_, legs)) = shared {
                    return legs[1].clone();
                }
                let met = beside_alike(runs, i, end) && (keel || carries(runs, i, end));
                let leg = |(p, [along, at]): (&VortexPanel, [Vector3<f64>; 2])| {
                    let through = met.then(|| flow(&mut asked, (&at, p.home), &p.normal, loads)[0]);
                    let each = circulation.split_at(held);
                    let across = match keel && met {
                        true => flow(&mut asked, (&at, p.home), &front.s, each),
                        false => [0.0; MOTIONS],
                    };
                    Leg { along, through, across }
                };
                panels.iter().zip(leg_places(lattice, run, end)).map(leg).collect()
            });
            legs.push(both);
        }
        Self { bound, legs }
    }
}

/// Whether a leg is pushed at all: a free edge, or a plate goes on beyond it.
fn carries(runs: &[Run], i: usize, end: usize) -> bool {
    runs[i].free[end] || neighbour(runs, i, end).is_some()
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
