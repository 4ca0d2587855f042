//! Velocity induced by vortices of unit strength: horseshoes (a bound segment from A to B and two
//! legs that run from its ends to infinity aft) and closed rings.

use nalgebra::{Vector3, Vector6};
use std::f64::consts::PI;

/// A bound vortex segment with its two legs: along the plates behind it, then along -x.
#[derive(Clone, Debug, PartialEq)]
pub struct Horseshoe {
    /// Where the circulation enters the bound segment, m.
    pub a: Vector3<f64>,
    /// Where it leaves it, m.
    pub b: Vector3<f64>,
    /// Places at which the leg behind `a`, and that behind `b`, bend before they run straight aft:
    /// creases, and trailing edges of plates that do not lie along x. Mostly none.
    pub bends: [Vec<Vector3<f64>>; 2],
    /// Radius inside which the vortex is smeared, m. Only keeps a chance hit of a leg on a
    /// control point of another surface finite; a hundredth of the panel or less.
    pub core_m: f64,
}

impl Horseshoe {
    /// Velocity at a place per unit circulation, 1/m.
    pub fn velocity_at(&self, p: &Vector3<f64>) -> Vector3<f64> {
        self.velocity_smeared(p, self.core_m)
    }

    /// The same with another core, m.
    pub fn velocity_smeared(&self, p: &Vector3<f64>, core_m: f64) -> Vector3<f64> {
        let core2 = core_m * core_m;
        let mut v = segment(&(p - self.a), &(p - self.b), core2);
        let mut starts = [self.a, self.b];
        for ((start, bends), sign) in starts.iter_mut().zip(&self.bends).zip([-1.0, 1.0]) {
            for next in bends {
                v += segment(&(p - *start), &(p - next), core2) * sign;
                *start = *next;
            }
        }
        let [ra, rb] = starts.map(|start| p - start);
        let (la, lb) = (leg(&ra, core2), leg(&rb, core2));
        v.y += rb.z * lb - ra.z * la;
        v.z += ra.y * la - rb.y * lb;
        v / (4.0 * PI)
    }

    /// The stretches of vortex on the plane itself, each from its start along the direction of the
    /// circulation: the bound segment, and the legs as far as they bend.
    pub fn on_plates(&self) -> impl Iterator<Item = [Vector3<f64>; 2]> + '_ {
        let leg = |k: usize| {
            let starts = std::iter::once([self.a, self.b][k]).chain(self.bends[k].iter().copied());
            starts.zip(&self.bends[k]).map(move |(p, q)| if k == 0 { [*q, p] } else { [p, *q] })
        };
        std::iter::once([self.a, self.b]).chain(leg(0)).chain(leg(1))
    }

    /// Its image in the plane of symmetry, circulation of the same sign for symmetric flow.
    pub fn mirrored(&self) -> Self {
        let image = |bends: &[Vector3<f64>]| bends.iter().map(mirror).collect();
        Self {
            a: mirror(&self.b),
            b: mirror(&self.a),
            bends: [image(&self.bends[1]), image(&self.bends[0])],
            core_m: self.core_m,
        }
    }
}

/// 4 pi times the velocity of a straight vortex of unit strength at the place that lies at `ra` from
/// its start and at `rb` from its end (Katz & Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001,
/// eq. 10.115, written without the difference of nearly equal cosines).
pub fn segment(ra: &Vector3<f64>, rb: &Vector3<f64>, core2: f64) -> Vector3<f64> {
    let (na, nb) = (ra.norm(), rb.norm());
    // The last term only keeps an end of the segment from being nothing over nothing.
    ra.cross(rb) * ((na + nb) / (na * nb * (na * nb + ra.dot(rb) + core2) + 1e-100))
}

/// A leg along d = -x gives d x r / (|r| (|r| - d.r)), and d x r = (0, rz, -ry). Behind the start of
/// the leg |r| - d.r is a difference of near equals; there it is taken as the squared distance from
/// the leg's line over |r| + d.r.
fn leg(r: &Vector3<f64>, core2: f64) -> f64 {
    let n = r.norm();
    let d = if r.x < 0.0 { (r.y * r.y + r.z * r.z) / (n - r.x) } else { n + r.x };
    1.0 / (n * d + core2)
}

/// A closed ring of unit circulation, anticlockwise seen from the tip of its normal.
#[derive(Clone, Debug, PartialEq)]
pub struct Ring {
    /// Corners, m.
    pub corners: [Vector3<f64>; 4],
    /// Where the flow must not cross it.
    pub control: Vector3<f64>,
    /// Its normal.
    pub normal: Vector3<f64>,
}

impl Ring {
    /// Velocity at a place per unit circulation, 1/m.
    pub fn velocity_at(&self, p: &Vector3<f64>) -> Vector3<f64> {
        let c = &self.corners;
        let side = |k: usize| segment(&(p - c[k]), &(p - c[(k + 1) % 4]), CORE2_M2);
        (side(0) + side(1) + side(2) + side(3)) / (4.0 * PI)
    }

    /// Area, m2, and its centre, m.
    pub fn area(&self) -> (f64, Vector3<f64>) {
        let [a, b, c, d] = self.corners;
        let half = |p: Vector3<f64>, q: Vector3<f64>| (p - a).cross(&(q - a)).norm() / 2.0;
        let (first, second) = (half(b, c), half(c, d));
        let area = first + second;
        let middle = (a + b + c) / 3.0 * first + (a + c + d) / 3.0 * second;
        (area, middle / area.max(f64::MIN_POSITIVE))
    }

    /// Its image in the plane of symmetry, circulation of the same sign for symmetric flow.
    pub fn mirrored(&self) -> Self {
        let [a, b, c, d] = self.corners;
        Self {
            corners: [d, c, b, a].map(|p| mirror(&p)),
            control: mirror(&self.control),
            normal: mirror(&self.normal),
        }
    }

    /// What a unit of each motion asks of the flow through the ring at a place on it.
    pub fn asked(&self, at: &Vector3<f64>) -> Vector6<f64> {
        let (n, turn) = (self.normal, at.cross(&self.normal));
        Vector6::new(n.x, n.y, n.z, turn.x, turn.y, turn.z)
    }
}

/// Squared radius inside which a ring's sides are smeared, m2: a chance hit of a side on a control
/// point of another surface stays finite.
const CORE2_M2: f64 = 1e-10;

/// Mirror image of a place or direction in the plane of symmetry y = 0.
pub fn mirror(v: &Vector3<f64>) -> Vector3<f64> {
    Vector3::new(v.x, -v.y, v.z)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn far_behind_a_horseshoe_is_a_pair_of_infinite_vortices() {
        let h = Horseshoe {
            a: Vector3::new(0.0, -1.0, 0.0),
            b: Vector3::new(0.0, 1.0, 0.0),
            bends: [vec![], vec![]],
            core_m: 0.0,
        };
        let v = h.velocity_at(&Vector3::new(-1e5, 0.0, 0.0));
        // Two lines of unit strength at distance 1: 2 / (2 pi), downwards (+z).
        assert_relative_eq!(v.z, 1.0 / PI, max_relative = 1e-8);
        assert!(v.x.abs() < 1e-9 && v.y.abs() < 1e-9);
    }

    #[test]
    fn close_to_a_long_bound_segment_the_field_is_that_of_a_line() {
        let h = Horseshoe {
            a: Vector3::new(0.0, -1e4, 0.0),
            b: Vector3::new(0.0, 1e4, 0.0),
            bends: [vec![], vec![]],
            core_m: 0.0,
        };
        let v = h.velocity_at(&Vector3::new(-0.5, 0.0, 0.0));
        assert_relative_eq!(v.z, 1.0 / PI, max_relative = 1e-3);
        assert!(h.velocity_at(&Vector3::new(0.5, 0.0, 0.0)).z < 0.0, "upwash ahead");
    }

    #[test]
    fn on_the_vortex_itself_the_field_is_finite() {
        let h = Horseshoe {
            a: Vector3::zeros(),
            b: Vector3::new(0.0, 1.0, 0.0),
            bends: [vec![], vec![]],
            core_m: 1e-3,
        };
        for p in [h.a, h.b, Vector3::new(0.0, 0.5, 0.0), Vector3::new(-3.0, 1.0, 0.0)] {
            assert!(h.velocity_at(&p).iter().all(|c| c.is_finite()), "{p}");
        }
    }
}
