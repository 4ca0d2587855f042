//! Vortices of unit strength, horseshoes (a bound segment from A to B and two legs that run from its
//! ends to infinity aft) and closed rings, and the velocity that straight pieces of them induce.

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
}

impl Horseshoe {
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
        }
    }
}

/// A place as seen from a corner of a vortex.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// From the corner to the place, m.
    r: Vector3<f64>,
    /// How far, m.
    distance_m: f64,
}

impl Seen {
    /// From the corner to the place, m.
    pub fn new(r: Vector3<f64>) -> Self {
        Self { distance_m: r.norm(), r }
    }
}

/// 4 pi times the velocity of a straight vortex of unit strength at a place seen from its start and
/// from its end (Katz & Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001, eq. 10.115, written without
/// the difference of nearly equal cosines). `core2`: the squared radius inside which it is smeared.
pub fn segment(from: &Seen, to: &Seen, core2: f64) -> Vector3<f64> {
    let (na, nb) = (from.distance_m, to.distance_m);
    // The last term only keeps an end of the segment from being nothing over nothing.
    from.r.cross(&to.r) * ((na + nb) / (na * nb * (na * nb + from.r.dot(&to.r) + core2) + 1e-100))
}

/// The same of a leg from a corner to infinity along d = -x: d x r / (|r| (|r| - d.r)), and
/// d x r = (0, rz, -ry). Behind the corner |r| - d.r is a difference of near equals; there it is
/// taken as the squared distance from the leg's line over |r| + d.r.
pub fn leg(from: &Seen, core2: f64) -> Vector3<f64> {
    let (r, n) = (from.r, from.distance_m);
    let d = if r.x < 0.0 { (r.y * r.y + r.z * r.z) / (n - r.x) } else { n + r.x };
    let strength = 1.0 / (n * d + core2 + 1e-100);
    Vector3::new(0.0, r.z * strength, -r.y * strength)
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
        let seen = self.corners.map(|c| Seen::new(p - c));
        let side = |k: usize| segment(&seen[k], &seen[(k + 1) % 4], CORE2_M2);
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
