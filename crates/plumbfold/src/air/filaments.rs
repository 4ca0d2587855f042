//! The vortices of a mesh seen from one place.
//!
//! A leg runs over the vortices behind its own, and neighbours share the legs between them. So the
//! legs are held as lines, one for each place where runs begin or end, and what a line does from
//! each of its corners to far aft is added up from behind, once for all the vortices that leave
//! along it.

use super::influence::{Seen, leg, mirror, segment};
use super::mesh::{Home, Run, VortexPanel};
use super::plates::Side;
use nalgebra::Vector3;
use std::f64::consts::PI;
use std::ops::Range;

/// Corners of two lines nearer than this are one, m: far below any core.
pub(super) const SAME_M: f64 = 1e-12;

/// Legs that lie on one another, from the foremost vortex to far aft.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    corners: Range<usize>,
    home: Home,
    cores_m: [f64; 2],
}

/// A bound segment between corners of two lines.
#[derive(Clone, Debug, PartialEq)]
struct Bound {
    ends: [usize; 2],
    home: Home,
    cores_m: [f64; 2],
}

/// All vortices of the held panels.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Filaments {
    corners: Vec<Vector3<f64>>,
    lines: Vec<Line>,
    bound: Vec<Bound>,
}

impl Filaments {
    /// Of the panels of runs, in their order.
    pub fn of(runs: &[Run], panels: &[VortexPanel]) -> Self {
        let mut all = Self::default();
        for run in runs {
            all.add(&panels[run.panels.clone()]);
        }
        all
    }

    /// The panels of one run, front one first.
    fn add(&mut self, panels: &[VortexPanel]) {
        let ends = [0, 1].map(|end| self.line(panels, end));
        self.bound.extend(panels.iter().enumerate().map(|(k, p)| Bound {
            ends: [ends[0][k], ends[1][k]],
            home: p.home,
            cores_m: p.cores_m,
        }));
    }

    /// The corners at which the vortices of a run leave along one of its ends.
    fn line(&mut self, panels: &[VortexPanel], end: usize) -> Vec<usize> {
        let (mut corners, mut starts) = (Vec::new(), Vec::new());
        for (k, p) in panels.iter().enumerate() {
            starts.push(corners.len());
            corners.push(if end == 0 { p.vortex.a } else { p.vortex.b });
            let bends = &p.vortex.bends[end];
            let later = panels.get(k + 1).map_or(0, |next| next.vortex.bends[end].len());
            corners.extend(&bends[..bends.len().saturating_sub(later)]);
        }
        let Some(home) = panels.first().map(|p| p.home) else { return starts };
        let least = |k: usize| panels.iter().map(|p| p.cores_m[k]).fold(f64::MAX, f64::min);
        let cores_m = [least(0), least(1)];
        let same = |l: &&mut Line| {
            let theirs = &self.corners[l.corners.clone()];
            l.home == home
                && theirs.len() == corners.len()
                && theirs.iter().zip(&corners).all(|(p, q)| (p - q).norm() < SAME_M)
        };
        let first = match self.lines.iter_mut().rev().find(same) {
            Some(line) => {
                line.cores_m = [0, 1].map(|k| line.cores_m[k].min(cores_m[k]));
                line.corners.start
            }
            None => {
                let first = self.corners.len();
                self.corners.extend(corners);
                self.lines.push(Line { corners: first..self.corners.len(), home, cores_m });
                first
            }
        };
        starts.iter().map(|k| first + k).collect()
    }

    /// Ready to be asked at many places.
    pub fn asked(&self) -> Asked<'_> {
        Asked { filaments: self, seen: vec![], aft: vec![], velocities: vec![] }
    }
}

/// Filaments, and the room to work in.
pub struct Asked<'a> {
    filaments: &'a Filaments,
    seen: Vec<Seen>,
    aft: Vec<Vector3<f64>>,
    velocities: Vec<Vector3<f64>>,
}

impl Asked<'_> {
    /// Velocity at a place on a surface per unit circulation of every panel, 1/m.
    pub fn at(&mut self, place: &Vector3<f64>, home: Home) -> &[Vector3<f64>] {
        let all = self.filaments;
        self.look(place, &all.lines, &all.bound, |of, cores_m| {
            let elsewhere = home.0 != of.0 && home.1 == of.1;
            cores_m[usize::from(elsewhere)]
        })
    }

    /// The same of the images of the panels in the plane of symmetry, in which there are `sides`.
    pub fn images_at(&mut self, place: &Vector3<f64>, sides: usize) -> &[Vector3<f64>] {
        let all = self.filaments;
        let bound = &all.bound[..sides];
        let lines = all.lines.partition_point(|l| l.home.1 != Side::Centre);
        self.look(&mirror(place), &all.lines[..lines], bound, |_, cores_m| cores_m[0]);
        for v in &mut self.velocities {
            v.y = -v.y;
        }
        &self.velocities
    }

    fn look(
        &mut self,
        place: &Vector3<f64>,
        lines: &[Line],
        bound: &[Bound],
        core_m: impl Fn(&Home, &[f64; 2]) -> f64,
    ) -> &[Vector3<f64>] {
        let corners = lines.last().map_or(0, |l| l.corners.end);
        self.seen.clear();
        self.seen.extend(self.filaments.corners[..corners].iter().map(|c| Seen::new(place - c)));
        self.aft.resize(corners, Vector3::zeros());
        for line in lines {
            let core2 = core_m(&line.home, &line.cores_m).powi(2);
            let aft = self.aft[line.corners.clone()].iter_mut();
            let mut last: Option<(&Seen, Vector3<f64>)> = None;
            for (aft, seen) in aft.zip(&self.seen[line.corners.clone()]).rev() {
                *aft = match last {
                    None => leg(seen, core2),
                    Some((next, behind)) => behind + segment(seen, next, core2),
                };
                last = Some((seen, *aft));
            }
        }
        const SHARE: f64 = 1.0 / (4.0 * PI);
        self.velocities.clear();
        self.velocities.extend(bound.iter().map(|b| {
            let [from, to] = b.ends;
            let core2 = core_m(&b.home, &b.cores_m).powi(2);
            let own = segment(&self.seen[from], &self.seen[to], core2);
            (own + self.aft[to] - self.aft[from]) * SHARE
        }));
        &self.velocities
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::influence::Horseshoe;
    use crate::air::mesh::{Mesh, MeshSize};
    use crate::air::shapes::{self, Halves};
    use crate::air::surfaces::surfaces;
    use crate::plane::airframe::PanelKind;
    use approx::assert_relative_eq;

    /// One horseshoe without a core.
    fn alone(vortex: Horseshoe) -> Filaments {
        let panel = VortexPanel {
            vortex,
            control: Vector3::zeros(),
            normal: Vector3::z(),
            forward: Vector3::x(),
            cores_m: [0.0; 2],
            home: HOME,
        };
        let mut all = Filaments::default();
        all.add(&[panel]);
        all
    }

    const HOME: Home = (0, Side::Right);

    fn straight(half: f64) -> Filaments {
        let end = |y: f64| Vector3::new(0.0, y, 0.0);
        alone(Horseshoe { a: end(-half), b: end(half), bends: [vec![], vec![]] })
    }

    fn at(all: &Filaments, x: f64, y: f64, z: f64) -> Vector3<f64> {
        all.asked().at(&Vector3::new(x, y, z), HOME)[0]
    }

    #[test]
    fn far_behind_a_horseshoe_is_a_pair_of_infinite_vortices() {
        let v = at(&straight(1.0), -1e5, 0.0, 0.0);
        // Two lines of unit strength at distance 1: 2 / (2 pi), downwards (+z).
        assert_relative_eq!(v.z, 1.0 / PI, max_relative = 1e-8);
        assert!(v.x.abs() < 1e-9 && v.y.abs() < 1e-9);
    }

    #[test]
    fn close_to_a_long_bound_segment_the_field_is_that_of_a_line() {
        let long = straight(1e4);
        assert_relative_eq!(at(&long, -0.5, 0.0, 0.0).z, 1.0 / PI, max_relative = 1e-3);
        assert!(at(&long, 0.5, 0.0, 0.0).z < 0.0, "upwash ahead");
    }

    #[test]
    fn on_the_vortex_itself_the_field_is_finite() {
        let all = straight(0.5);
        for (x, y) in [(0.0, -0.5), (0.0, 0.5), (0.0, 0.0), (-3.0, 0.5)] {
            assert!(at(&all, x, y, 0.0).iter().all(|c| c.is_finite()), "{x} {y}");
        }
    }

    #[test]
    fn a_leg_that_bends_onto_its_own_line_is_a_straight_one() {
        let end = |x: f64, y: f64| Vector3::new(x, y, 0.0);
        let bends = [-0.5, 0.5].map(|y| vec![end(-0.2, y), end(-0.7, y)]);
        let bent = alone(Horseshoe { a: end(0.0, -0.5), b: end(0.0, 0.5), bends });
        for (x, y, z) in [(0.3, 0.1, 0.0), (-0.4, 0.2, 0.1), (-2.0, 0.7, -0.3)] {
            assert_relative_eq!(
                at(&bent, x, y, z),
                at(&straight(0.5), x, y, z),
                max_relative = 1e-12
            );
        }
    }

    #[test]
    fn shared_legs_do_what_each_vortex_would_do_alone() {
        let wing =
            Halves { root_m: 0.2, tip_m: 0.1, span_m: 0.2, tip_behind_m: 0.05, dihedral_rad: 0.2 };
        let keel = shapes::upright("keel", PanelKind::Keel, [0.0, -0.2], [0.0, 0.03], 0.0);
        let plane = shapes::airframe("plane", [wing.panels(), vec![keel]].concat());
        let mesh = Mesh::new(&surfaces(&plane).unwrap(), MeshSize::ORDINARY).unwrap();
        let together = Filaments::of(&mesh.runs, &mesh.panels);
        assert!(together.lines.len() < mesh.runs.len() + 4, "{}", together.lines.len());
        let mut asked = together.asked();
        for place in [Vector3::new(-0.1, 0.04, 0.02), Vector3::new(-0.3, 0.0, -0.05)] {
            for (j, p) in mesh.panels.iter().enumerate() {
                let alone = |v: Horseshoe| alone(v).asked().at(&place, HOME)[0];
                let (own, image) = (alone(p.vortex.clone()), alone(p.vortex.mirrored()));
                // Their cores are half a hundredth of a panel wide.
                let near = |found: Vector3<f64>, expected: Vector3<f64>| {
                    (found - expected).norm() < 1e-3 * expected.norm()
                };
                assert!(near(asked.at(&place, p.home)[j], own), "{j}");
                let images = asked.images_at(&place, mesh.sides[2]);
                assert!(images.get(j).is_none_or(|v| near(*v, image)), "{j}");
            }
        }
    }
}
