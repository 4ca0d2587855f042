//! An invented flat plate for tests: four strips along the chord, normal force by local incidence,
//! so it glides, stalls, flutters and tumbles after a fashion. Nothing about it is published.

use nalgebra::{Matrix3, Matrix6, Vector3};

use crate::air::AirLoads;

use super::rigid::{Body, kirchhoff_loads};

/// The plate: 140 mm chord, 210 mm span, 5 g.
#[derive(Clone, Copy, Debug, Default)]
pub struct Plate {
    /// Balance point behind the leading edge, m.
    pub balance_m: f64,
    /// Nose-up moment coefficient at zero lift.
    pub cm0: f64,
    /// Rolling moment coefficient.
    pub roll: f64,
}

const CHORD: f64 = 0.14;
const SPAN: f64 = 0.21;
const RHO: f64 = 1.2;

impl Plate {
    pub fn body(self) -> Body<Self> {
        let m = 0.005;
        let inertia = Vector3::new(SPAN * SPAN, CHORD * CHORD, SPAN * SPAN + CHORD * CHORD);
        Body::new(m, Matrix3::from_diagonal(&(inertia * m / 12.0)), self).expect("a plate")
    }
}

impl AirLoads for Plate {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let speed = v.norm();
        if speed == 0.0 && w.norm() == 0.0 {
            return (Vector3::zeros(), Vector3::zeros());
        }
        // Velocity of the middle of the plate.
        let middle = self.balance_m - CHORD / 2.0;
        let z = v.z - w.y * middle;
        let flow = v.x.hypot(z).max(1e-9);
        let (c, s) = (v.x / flow, z / flow);
        let q = RHO / 2.0 * flow * flow * CHORD * SPAN;
        let alpha = s.abs().atan2(c.abs());
        let attached = (1.0 - ((alpha - 0.45) / 0.1).tanh()) / 2.0;
        let cn_attached = 2.1 * s.abs() * c.abs() + 1.7 * s * s;
        let cn_separated = 1.2 * s.abs() / (0.56 + 0.44 * s.abs());
        let cn = (attached * cn_attached + (1.0 - attached) * cn_separated) * s.signum();
        // Centre of pressure ahead of the middle (in the direction of motion), in chords.
        let lead = attached * (0.3 - 0.5 * alpha * alpha).max(0.0)
            + (1.0 - attached) * 0.75 * c.abs() / (4.0 + 3.1 * s.abs());
        let normal = q * cn;
        let arm = lead * CHORD * c.signum() + middle;
        let damping = RHO * CHORD.powi(3) * SPAN * 0.15 * (flow + w.y.abs() * CHORD / 2.0);
        let yaw = v.y / speed.max(1e-9);
        let moment = Vector3::new(
            q * SPAN * (self.roll * c - 0.12 * yaw)
                - 0.05 * RHO * SPAN.powi(4) * CHORD / 2.0 * flow * w.x / SPAN * 2.0,
            q * CHORD * self.cm0 * c * c.abs() + normal * arm - damping * w.y,
            q * SPAN * 0.06 * yaw - 2e-6 * flow * w.z,
        );
        (Vector3::new(-0.02 * q * c, -0.3 * q * yaw, -normal), moment)
    }
    fn added_mass(&self) -> Matrix6<f64> {
        let mut a = Matrix6::zeros();
        let m = 0.68 * std::f64::consts::FRAC_PI_4 * RHO * CHORD * CHORD * SPAN;
        let r = CHORD / 2.0 - self.balance_m;
        a[(2, 2)] = m;
        a[(2, 4)] = m * r;
        a[(4, 2)] = m * r;
        a[(4, 4)] = m * r * r + m * CHORD * CHORD / 32.0;
        a
    }
}

#[test]
fn air_takes_energy_out_of_a_straight_plate() {
    let plate = Plate { balance_m: 0.04, ..Plate::default() };
    for i in 0..36 {
        let a = f64::from(i) * 0.1745;
        let v = Vector3::new(a.cos(), 0.0, a.sin()) * 4.0;
        let (f, _) = plate.loads(&v, &Vector3::zeros());
        assert!(f.dot(&v) < 0.0, "{a}");
        let (kf, km) = kirchhoff_loads(&plate.added_mass(), &v, &Vector3::y());
        assert!((kf.dot(&v) + km.y).abs() < 1e-12);
    }
}
