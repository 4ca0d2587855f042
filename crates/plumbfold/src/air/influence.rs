//! Velocity induced by a horseshoe vortex of unit strength: a bound segment from A to B and two
//! straight legs that run from its ends to infinity aft.

use nalgebra::Vector3;
use std::f64::consts::PI;

/// A bound vortex segment with its two legs along -x.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Horseshoe {
    /// Where the circulation enters the bound segment, m.
    pub a: Vector3<f64>,
    /// Where it leaves it, m.
    pub b: Vector3<f64>,
    /// Radius inside which the vortex is smeared, m. Only keeps a chance hit of a leg on a
    /// control point of another surface finite; a hundredth of the panel or less.
    pub core_m: f64,
}

impl Horseshoe {
    /// Velocity at a place per unit circulation, 1/m (Katz & Plotkin, Low-Speed Aerodynamics,
    /// 2nd ed. 2001, eq. 10.115, written without the difference of nearly equal cosines).
    pub fn velocity_at(&self, p: &Vector3<f64>) -> Vector3<f64> {
        let (ra, rb) = (p - self.a, p - self.b);
        let (na, nb) = (ra.norm(), rb.norm());
        let core2 = self.core_m * self.core_m;
        let bound = (na + nb) / (na * nb * (na * nb + ra.dot(&rb)) + core2 * core2);
        // A leg along d = -x gives d x r / (|r| (|r| - d.r)), and d x r = (0, rz, -ry). Behind the
        // start of the leg |r| - d.r is a difference of near equals; there it is taken as the
        // squared distance from the leg's line over |r| + d.r.
        let leg = |r: &Vector3<f64>, n: f64| {
            let d = if r.x < 0.0 { (r.y * r.y + r.z * r.z) / (n - r.x) } else { n + r.x };
            1.0 / (n * d + core2)
        };
        let (la, lb) = (leg(&ra, na), leg(&rb, nb));
        let cross = ra.cross(&rb) * bound;
        Vector3::new(cross.x, cross.y + rb.z * lb - ra.z * la, cross.z - rb.y * lb + ra.y * la)
            / (4.0 * PI)
    }
}

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
            core_m: 0.0,
        };
        let v = h.velocity_at(&Vector3::new(-0.5, 0.0, 0.0));
        assert_relative_eq!(v.z, 1.0 / PI, max_relative = 1e-3);
        assert!(h.velocity_at(&Vector3::new(0.5, 0.0, 0.0)).z < 0.0, "upwash ahead");
    }

    #[test]
    fn on_the_vortex_itself_the_field_is_finite() {
        let h = Horseshoe { a: Vector3::zeros(), b: Vector3::new(0.0, 1.0, 0.0), core_m: 1e-3 };
        for p in [h.a, h.b, Vector3::new(0.0, 0.5, 0.0), Vector3::new(-3.0, 1.0, 0.0)] {
            assert!(h.velocity_at(&p).iter().all(|c| c.is_finite()), "{p}");
        }
    }
}
