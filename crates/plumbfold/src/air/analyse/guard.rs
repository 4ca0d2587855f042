//! Whether the model has an answer for a plane: plates of its size bound every load, and air at rest
//! gives no energy. What falls outside is a finding, never a verdict.

use super::Aero;
use crate::air::strips::StripBasis;
use crate::air::{AeroError, AirLoads, plate};
use nalgebra::Vector3;
use std::f64::consts::PI;

/// A plane's lift slope in shares of that of a plate of its aspect ratio. Deltas and dihedral take
/// a fifth away, upright tips add as much; beyond these ends it is the lattice that is wrong.
const LIFT_OF_A_PLATE: [f64; 2] = [0.55, 1.6];
/// Step of the incidences (to 60 degrees) and sideslips at which straight flight nose first is asked
/// for energy, rad.
const STEP_CHECKED_RAD: f64 = std::f64::consts::PI / 12.0;
/// Share of the power of a load that may come out as gain: the model's small terms are not exactly
/// those of one flow.
const GAIN_ALLOWED: f64 = 0.02;

/// Incidences at which the resistance to each motion is bounded, rad.
const RESISTS_AT_RAD: [f64; 3] = [0.0, 0.17, 0.35];
/// The plane's own kinds of motion besides flying on, each with what resists it.
const MOTIONS: [(Vector3<f64>, Vector3<f64>, &str); 5] = [
    (Vector3::new(0.0, 1.0, 0.0), Vector3::new(0.0, 0.0, 0.0), "more or less side force"),
    (Vector3::new(0.0, 0.0, 1.0), Vector3::new(0.0, 0.0, 0.0), "more or less lift"),
    (
        Vector3::new(0.0, 0.0, 0.0),
        Vector3::new(1.0, 0.0, 0.0),
        "more or less resistance to rolling",
    ),
    (
        Vector3::new(0.0, 0.0, 0.0),
        Vector3::new(0.0, 1.0, 0.0),
        "more or less resistance to pitching",
    ),
    (Vector3::new(0.0, 0.0, 0.0), Vector3::new(0.0, 0.0, 1.0), "more or less resistance to yawing"),
];
/// Vortices off side edges lift no more than pi per squared sine (Polhamus 1966; measured plates
/// have two thirds of it).
const EDGE_VORTEX: f64 = PI;
/// Share of a plate's area that counts as facing a motion along it: friction and bends.
const FACING_ANYWAY: f64 = 0.02;

impl Aero {
    /// Asks all that can be asked without knowing the answer.
    ///
    /// # Errors
    /// [`AeroError`]: which bound does not hold.
    pub(super) fn check(&self) -> Result<(), AeroError> {
        let aspect = self.reference.span_m.powi(2) / self.reference.area_m2;
        let plate = plate::lift_slope(aspect);
        let [least, most] = LIFT_OF_A_PLATE;
        if !(least * plate..=most * plate).contains(&self.cl_alpha) {
            return Err(AeroError::LiftBeyondPlate { slope: self.cl_alpha, plate });
        }
        let beyond = |what| Err(AeroError::BeyondPlates { what });
        for degrees in [10.0_f64, 15.0, 20.0, 25.0] {
            let (s, c) = degrees.to_radians().sin_cos();
            let bound = c * (plate * s * c + EDGE_VORTEX * s * s);
            let lift = self.at(&self.strips, degrees.to_radians()).cl - self.cl0;
            if lift.abs() > most * bound + 0.05 {
                return beyond("more lift");
            }
        }
        let ends = self.solved.basis.iter().map(|b| (b.middle.x, b.chord_m / 2.0));
        let (rear, front) =
            ends.fold((f64::MAX, f64::MIN), |(a, b), (x, h)| (a.min(x - h), b.max(x + h)));
        let neutral = self.strips.cg().x - self.static_margin * self.reference.chord_m;
        if !(rear..=front).contains(&neutral) {
            return beyond("a centre of lift further off");
        }
        for alpha in RESISTS_AT_RAD {
            for (velocity, rate, what) in &MOTIONS {
                let (found, bound) = self.resistance(alpha, velocity, rate);
                // A stalled wing may help a roll along; an attached one resists.
                let gains = alpha == 0.0 && found < -GAIN_ALLOWED * bound;
                if gains || found.abs() > most * bound {
                    return beyond(what);
                }
            }
        }
        for (alpha, beta) in (-4..=4).flat_map(|a| [(a, 0), (a, 1)]) {
            let [(sa, ca), (sb, cb)] =
                [alpha, beta].map(|k| (f64::from(k) * STEP_CHECKED_RAD).sin_cos());
            let v = Vector3::new(ca * cb, sb, sa * cb) * self.speed_m_s;
            let force = self.strips.loads(&v, &Vector3::zeros()).0;
            if force.dot(&v) > GAIN_ALLOWED * force.norm() * self.speed_m_s {
                return Err(AeroError::GivesEnergy);
            }
        }
        Ok(())
    }

    /// What resists a small motion besides straight flight at an incidence, and what strip theory
    /// with the lift slope of two dimensions, 2 pi, gives for it.
    fn resistance(&self, alpha: f64, velocity: &Vector3<f64>, rate: &Vector3<f64>) -> (f64, f64) {
        let (sin, cos) = alpha.sin_cos();
        let ahead = Vector3::new(cos, 0.0, sin) * self.speed_m_s;
        let h = 1e-4 * self.speed_m_s;
        let [a, b] = [h, -h].map(|k| {
            let (force, moment) = self.strips.loads(&(ahead + velocity * k), &(rate * k));
            force.dot(velocity) + moment.dot(rate)
        });
        let push = 0.5 * self.solved.frame.air.density_kg_m3 * self.speed_m_s;
        let of_strip = |b: &StripBasis| {
            let met = velocity + rate.cross(&(b.middle - self.strips.cg()));
            let about_middle = (b.axes[1].dot(rate) * b.chord_m).powi(2) / 12.0;
            let through =
                b.axes[2].dot(&met).powi(2) + about_middle + FACING_ANYWAY * met.norm_squared();
            push * b.area_m2 * 2.0 * PI * through
        };
        (-(a - b) / (2.0 * h), self.solved.basis.iter().map(of_strip).sum())
    }
}
