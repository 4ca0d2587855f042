//! Bodies whose motion is published or known in closed form. The checks fly them instead of a
//! paper plane.

use nalgebra::{Matrix3, Matrix6, Vector3};

use crate::air::AirLoads;

use super::rigid::{Body, FlightError, GRAVITY_M_S2, kirchhoff_loads};

/// A compact body with a drag area and nothing else; zero area gives a ballistic point.
#[derive(Clone, Copy, Debug)]
pub struct Ball {
    /// rho Cd S / 2, kg/m.
    pub drag_kg_m: f64,
}

impl AirLoads for Ball {
    fn loads(&self, v: &Vector3<f64>, _: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        (v * (-self.drag_kg_m * v.norm()), Vector3::zeros())
    }
    fn added_mass(&self) -> Matrix6<f64> {
        Matrix6::zeros()
    }
}

/// A body in ideal fluid: added mass and no other load.
#[derive(Clone, Debug)]
pub struct Ideal {
    /// Added mass about the centre of gravity.
    pub added_mass: Matrix6<f64>,
}

impl AirLoads for Ideal {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        kirchhoff_loads(&self.added_mass, v, w)
    }
    fn added_mass(&self) -> Matrix6<f64> {
        self.added_mass
    }
}

/// An aeroplane whose lift and drag go with the square of the speed and never with incidence:
/// Lanchester's idealisation (*Aerodonetics*, 1908), with a pitching moment that turns it into its
/// path.
#[derive(Clone, Copy, Debug)]
pub struct Lanchester {
    /// Speed of the steady glide, m/s.
    pub speed_m_s: f64,
    /// Lift over drag.
    pub lift_to_drag: f64,
    /// Held level by a thrust along the path that equals the drag of the steady flight; otherwise
    /// it glides.
    pub thrust: bool,
}

impl Lanchester {
    const MASS_KG: f64 = 0.005;
    /// Any inertia will do, since nothing depends on incidence.
    const INERTIA_KG_M2: f64 = 5e-6;
    /// Frequency with which it swings into its path, rad/s: fast against any phugoid.
    const SWING_RAD_S: f64 = 60.0;

    /// Ready to fly.
    ///
    /// # Errors
    /// As [`Body::new`].
    pub fn body(self) -> Result<Body<Self>, FlightError> {
        Body::new(Self::MASS_KG, Matrix3::identity() * Self::INERTIA_KG_M2, self)
    }
}

impl AirLoads for Lanchester {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let speed = v.norm();
        if speed == 0.0 {
            return (Vector3::zeros(), Vector3::zeros());
        }
        let weight = Self::MASS_KG * GRAVITY_M_S2;
        // Level, the lift alone carries the weight; in a glide, lift and drag together do.
        let (carried_by, thrust) = if self.thrust {
            (self.lift_to_drag, weight / self.lift_to_drag)
        } else {
            (self.lift_to_drag.hypot(1.0), 0.0)
        };
        let drag = weight / carried_by * (speed / self.speed_m_s).powi(2);
        // Lift at right angles to the path in the plane of symmetry.
        let along = v / speed;
        let lift = along.cross(&Vector3::y()) * -self.lift_to_drag * drag;
        let force = lift + along * (thrust - drag);
        let k = Self::SWING_RAD_S;
        let moment = Vector3::new(
            -k * w.x,
            -k * k * v.z.atan2(v.x) - k * w.y,
            k * k * v.y / speed - k * w.z,
        ) * Self::INERTIA_KG_M2;
        (force, moment)
    }
    fn added_mass(&self) -> Matrix6<f64> {
        Matrix6::zeros()
    }
}

/// The falling card of Andersen, Pesavento & Wang (J. Fluid Mech. 541, 2005, 91-104), their
/// dimensionless equations in units of one second and one kilogram of added mass. Length follows
/// from the weight being one unit of force: `L = g I* x 1 s2`. Their x' axis is body x and their
/// y' axis is body -z; sideways motion is left out.
#[derive(Clone, Copy, Debug)]
pub struct FallingCard {
    /// Dimensionless moment of inertia I*: mass of the card over the air it carries along.
    pub inertia_ratio: f64,
}

impl FallingCard {
    const CT: f64 = 1.2;
    const CR: f64 = std::f64::consts::PI;
    const A: f64 = 1.4;
    const B: f64 = 1.0;
    const MU1: f64 = 0.2;
    const MU2: f64 = 0.2;

    /// Speed at which it falls edge-on in their units: `sqrt(pi / (A - B))`.
    pub fn edge_on_speed() -> f64 {
        (std::f64::consts::PI / (Self::A - Self::B)).sqrt()
    }
    /// Speed at which it falls flat: `sqrt(pi / (A + B))`.
    pub fn broadside_speed() -> f64 {
        (std::f64::consts::PI / (Self::A + Self::B)).sqrt()
    }
    /// Metres to their unit of length (and, with seconds, of speed).
    pub fn length_m(&self) -> f64 {
        GRAVITY_M_S2 * self.inertia_ratio
    }
    /// Ready to fall.
    ///
    /// # Errors
    /// As [`Body::new`].
    pub fn body(self) -> Result<Body<Self>, FlightError> {
        let inertia = self.inertia_ratio / 4.0 * self.length_m().powi(2);
        Body::new(self.inertia_ratio, Matrix3::identity() * inertia, self)
    }
}

impl AirLoads for FallingCard {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let unit = self.length_m();
        let (vx, vy, rate) = (v.x / unit, -v.z / unit, w.y);
        let speed = vx.hypot(vy);
        let per_speed = if speed > 0.0 { 1.0 / speed } else { 0.0 };
        let pi = std::f64::consts::PI;
        let circulation = 2.0 / pi * (Self::CR * rate - Self::CT * vx * vy * per_speed);
        let skew = (vx * vx - vy * vy) * per_speed * per_speed;
        let drag = (Self::A - Self::B * skew) * speed / pi;
        let x = -circulation * vy - drag * vx;
        let y = circulation * vx - drag * vy;
        let pitch = -(Self::MU1 + Self::MU2 * rate.abs()) * rate;
        let (f, m) = kirchhoff_loads(&self.added_mass(), v, w);
        (f + Vector3::new(x, 0.0, -y) * unit, m + Vector3::new(0.0, pitch * unit * unit, 0.0))
    }
    fn added_mass(&self) -> Matrix6<f64> {
        let mut a = Matrix6::zeros();
        a[(2, 2)] = 1.0;
        a[(4, 4)] = self.length_m().powi(2) / 8.0;
        a
    }
}

/// An aeroplane given by the derivatives of its loads about level flight.
#[derive(Clone, Debug)]
pub struct Linear {
    /// Speed of level flight, m/s.
    pub speed_m_s: f64,
    /// Mass, kg.
    pub mass_kg: f64,
    /// Inertia, kg m2.
    pub inertia_kg_m2: Matrix3<f64>,
    /// Rows X Y Z L M N, columns u v w p q r, SI.
    pub derivatives: Matrix6<f64>,
    /// Pitching moment per rate of change of w, kg m.
    pub moment_per_w_dot: f64,
}

impl Linear {
    /// Ready to fly.
    ///
    /// # Errors
    /// As [`Body::new`].
    pub fn body(self) -> Result<Body<Self>, FlightError> {
        Body::new(self.mass_kg, self.inertia_kg_m2, self)
    }

    /// The general-aviation aeroplane of Nelson, *Flight Stability and Automatic Control* (1989),
    /// appendix B (geometry and derivatives as quoted in public data files; the aeroplane's
    /// longitudinal derivatives as printed, the lateral ones built from its coefficients).
    pub fn general_aviation() -> Self {
        let (foot, slug): (f64, f64) = (0.3048, 14.593_902_937);
        let (u0, rho, s, b) = (176.0, 0.002378, 184.0, 33.4);
        let (weight_lb, g) = (2750.0, 32.2);
        let (ix, iy, iz) = (1048.0, 3000.0, 3530.0);
        let m = weight_lb / g;
        let q = 0.5 * rho * u0 * u0;
        let mut d = Matrix6::zeros();
        // 1/s and 1/(ft s), times mass or inertia.
        let (xu, xw, zu, zw) = (-0.0451, 0.0361, -0.370, -2.024);
        let (mw, mw_dot, mq) = (-0.0500, -0.00517, -2.077);
        d[(0, 0)] = xu * m;
        d[(0, 2)] = xw * m;
        d[(2, 0)] = zu * m;
        d[(2, 2)] = zw * m;
        d[(4, 2)] = mw * iy;
        d[(4, 4)] = mq * iy;
        let (cyb, clb, cnb) = (-0.564, -0.074, 0.071);
        let (clp, cnp, clr, cnr) = (-0.410, -0.0575, 0.107, -0.125);
        d[(1, 1)] = q * s * cyb / u0;
        d[(3, 1)] = q * s * b * clb / u0;
        d[(5, 1)] = q * s * b * cnb / u0;
        let rate = q * s * b * b / (2.0 * u0);
        d[(3, 3)] = rate * clp;
        d[(5, 3)] = rate * cnp;
        d[(3, 5)] = rate * clr;
        d[(5, 5)] = rate * cnr;
        // slug/s, slug ft/s and slug ft2/s to SI.
        for i in 0..6 {
            for j in 0..6 {
                d[(i, j)] *= slug * foot.powi(i32::from(i >= 3) + i32::from(j >= 3));
            }
        }
        Self {
            speed_m_s: u0 * foot,
            mass_kg: m * slug,
            inertia_kg_m2: Matrix3::from_diagonal(&Vector3::new(ix, iy, iz)) * (slug * foot * foot),
            derivatives: d,
            moment_per_w_dot: mw_dot * iy * slug * foot,
        }
    }
}

impl AirLoads for Linear {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let dv = v - Vector3::x() * self.speed_m_s;
        let d = self.derivatives * nalgebra::Vector6::new(dv.x, dv.y, dv.z, w.x, w.y, w.z);
        let lift = Vector3::z() * (-self.mass_kg * GRAVITY_M_S2);
        (lift + Vector3::new(d[0], d[1], d[2]), Vector3::new(d[3], d[4], d[5]))
    }
    fn added_mass(&self) -> Matrix6<f64> {
        let mut a = Matrix6::zeros();
        a[(4, 2)] = -self.moment_per_w_dot;
        a
    }
}
