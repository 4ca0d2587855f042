//! The lattice carried by strips, for motion in time at any attitude.
//!
//! Every strip sees its own local velocity. With u, w, t the components of that velocity along the
//! chord, through the strip and along the span, U its size and s = w/U the sine of its incidence:
//!
//! ```text
//! N = rho/2 S { f [ (|u| - t tan sweep) W + Kv w |w| ] + (1 - f) [ CNs(s) U^2 + |u| W_rot ] }
//! ```
//!
//! * W is the wash of the lattice: linear in the six components of the plane's motion, one row of
//!   coefficients a strip, so small motions give the lattice's own loads exactly, with all damping
//!   and cross derivatives. Flight tail first has its own lattice (the plane reversed).
//! * Kv, edge vortices. Their w is that of the incidence that would load the strip as the motion
//!   does: what makes the edge's singularity is the load, not the place (a rolling slender wing has
//!   half the suction that its tip speed would give). CNs, separated flow; f goes from 1 to 0 over the stall window in s^2.
//!   All in `plate`.
//! * W_rot, the wash of turning about the strip's own middle, keeps its circulation after stall,
//!   as in the falling-plate models (Andersen, Pesavento & Wang 2005; Li et al. 2022).
//! * In sideslip the strip's own trailing vortices meet a sideways stream and give a rolling
//!   couple (the lift leans to the windward edge).
//! * Friction acts along the local velocity in the strip's plane.

use super::AirLoads;
use super::plate::{STALL_SIGMA_RAD, StallWindow};
use crate::air::Air;
use nalgebra::{Matrix6, Vector3, Vector6};

/// Coefficients of a strip for flight in one direction (nose first or tail first).
#[derive(Clone, Debug, PartialEq)]
pub struct Attached {
    /// Wash per component of the motion of the datum origin (u v w p q r), the shape of the plane
    /// (steps, bends) included in the first.
    pub wash: [f64; 6],
    /// The same for the moment about mid-chord, nose-up, per chord.
    pub moment: [f64; 6],
    /// Wash of each of the unit shapes per forward speed.
    pub shape_wash: Vec<f64>,
    /// Its moment.
    pub shape_moment: Vec<f64>,
    /// Vortex normal-force coefficient and its arm ahead of mid-chord in chords.
    pub vortex: [f64; 2],
    /// Centre of pressure shift of the bubble per squared sine, chords ahead (negative nose first).
    pub bubble: f64,
    /// dx/ds of the edge the flow leaves, seen flying forward.
    pub edge_slope: f64,
    /// Stall window.
    pub stall: StallWindow,
}

/// Everything a strip has that no adjustment changes.
#[derive(Clone, Debug, PartialEq)]
pub struct StripBasis {
    /// Mid-chord, datum frame, m.
    pub middle: Vector3<f64>,
    /// Forward, spanwise, normal.
    pub axes: [Vector3<f64>; 3],
    /// Chord, m.
    pub chord_m: f64,
    /// Area, m2.
    pub area_m2: f64,
    /// Friction coefficient of the strip times root of speed, (m/s)^1/2.
    pub friction: f64,
    /// Pressure drag coefficient of thick edges.
    pub edge_drag: f64,
    /// Nose first, tail first.
    pub attached: [Attached; 2],
}

/// What an uncertain or mended plane has different; changes nothing in the lattice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Adjustments {
    /// Centre of gravity, datum frame, m.
    pub cg: Vector3<f64>,
    /// Added pitching moment coefficient (on planform area and mean aerodynamic chord), nose-up.
    pub delta_cm0: f64,
    /// Factor on friction.
    pub friction_scale: f64,
    /// Shift of the stall window, rad.
    pub stall_shift_rad: f64,
    /// Factor on the effect of steps of raised layers.
    pub step_scale: f64,
    /// Factor on the travel of the centre of pressure by the leading-edge bubble.
    pub travel_scale: f64,
    /// Extra slope of the right wing's trailing edge, up, rad.
    pub right_rad: f64,
    /// Extra slope of the left wing's trailing edge, up, rad.
    pub left_rad: f64,
    /// Extra slope of keel and fin trailing edges, to the right, rad.
    pub rudder_rad: f64,
}

impl Adjustments {
    /// The plane as designed, balanced at a place.
    pub fn at(cg: Vector3<f64>) -> Self {
        Self {
            cg,
            delta_cm0: 0.0,
            friction_scale: 1.0,
            stall_shift_rad: 0.0,
            step_scale: 1.0,
            travel_scale: 1.0,
            right_rad: 0.0,
            left_rad: 0.0,
            rudder_rad: 0.0,
        }
    }
    /// One standard deviation of [`Adjustments::stall_shift_rad`].
    pub const STALL_SIGMA_RAD: f64 = STALL_SIGMA_RAD;
}

/// One direction of flight of one strip, ready to fly.
#[derive(Clone, Debug, PartialEq)]
struct Flow {
    wash: [f64; 6],
    moment: [f64; 6],
    turning: f64,
    /// Incidence velocity per wash, or 0 where an incidence in pitch does not load the strip.
    per_wash: f64,
    vortex: [f64; 2],
    bubble: f64,
    edge_slope: f64,
    stall: f64,
    stall_slope: f64,
    direction: f64,
}

/// One strip, ready to fly; everything times half the density.
#[derive(Clone, Debug, PartialEq)]
struct Blade {
    at: Vector3<f64>,
    e: Vector3<f64>,
    s: Vector3<f64>,
    n: Vector3<f64>,
    chord: f64,
    area: f64,
    friction: f64,
    edge: f64,
    flow: [Flow; 2],
}

/// A plane made of strips. See the module's documentation for the law.
#[derive(Clone, Debug, PartialEq)]
pub struct StripModel {
    blades: Vec<Blade>,
    cg: Vector3<f64>,
    broadside: f64,
    pitch: f64,
    added_mass: Matrix6<f64>,
}

/// What the strips share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripFrame {
    /// Planform area, m2, and mean aerodynamic chord, m, of coefficients.
    pub reference: [f64; 2],
    /// Drag coefficient broadside to the stream.
    pub broadside: f64,
    /// Share of strip theory that the added mass is.
    pub added_mass_share: f64,
    /// The air.
    pub air: Air,
}

/// Chord fractions ahead of and behind mid-chord at which separated flow is sampled: there a plate
/// turning about its middle has the damping of strip theory, the cube root of 1/32.
const SAMPLE: f64 = 0.315;

impl StripModel {
    /// Puts adjusted strips together.
    pub fn new(strips: &[StripBasis], frame: &StripFrame, adjust: &Adjustments) -> Self {
        let half_rho = 0.5 * frame.air.density_kg_m3;
        let blades = strips
            .iter()
            .map(|b| Blade {
                at: b.middle - adjust.cg,
                e: b.axes[0],
                s: b.axes[1],
                n: b.axes[2],
                chord: b.chord_m,
                area: half_rho * b.area_m2,
                friction: half_rho * b.area_m2 * b.friction * adjust.friction_scale.max(0.0),
                edge: half_rho * b.area_m2 * b.edge_drag,
                flow: [0, 1].map(|k| flow(b, &b.attached[k], [1.0, -1.0][k], adjust)),
            })
            .collect();
        Self {
            blades,
            cg: adjust.cg,
            broadside: frame.broadside,
            pitch: half_rho * frame.reference[0] * frame.reference[1] * adjust.delta_cm0,
            added_mass: added_mass(strips, frame, &adjust.cg),
        }
    }

    /// Centre of gravity about which moments are, datum frame, m.
    pub fn cg(&self) -> Vector3<f64> {
        self.cg
    }

    /// Number of strips.
    pub fn len(&self) -> usize {
        self.blades.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.blades.is_empty()
    }
}

fn flow(b: &StripBasis, a: &Attached, direction: f64, adjust: &Adjustments) -> Flow {
    let (mut wash, mut moment) = (a.wash, a.moment);
    let extra =
        [adjust.step_scale - 1.0, 0.0, adjust.right_rad, adjust.left_rad, adjust.rudder_rad];
    for (k, x) in extra.iter().enumerate() {
        wash[0] += x * a.shape_wash[k];
        moment[0] += x * a.shape_moment[k];
    }
    // Turning about the strip's own middle: the datum origin then moves with -s x middle.
    let origin = -b.axes[1].cross(&b.middle);
    let turn = [origin.x, origin.y, origin.z, b.axes[1].x, b.axes[1].y, b.axes[1].z];
    // Fins and keels carry next to nothing in pitch, and have no edge vortices in this model.
    let per_wash = if a.wash[2].abs() > 1e-3 { 1.0 / a.wash[2] } else { 0.0 };
    let [start, end] = a.stall.squared_sines(adjust.stall_shift_rad);
    Flow {
        turning: wash.iter().zip(turn).map(|(g, m)| g * m).sum(),
        wash,
        moment,
        per_wash,
        vortex: a.vortex,
        bubble: a.bubble * adjust.travel_scale,
        edge_slope: a.edge_slope,
        stall: start,
        stall_slope: 1.0 / (end - start),
        direction,
    }
}

impl AirLoads for StripModel {
    fn loads(&self, velocity: &Vector3<f64>, rate: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let origin = velocity - rate.cross(&self.cg);
        let motion = [origin.x, origin.y, origin.z, rate.x, rate.y, rate.z];
        let root_speed = velocity.norm().sqrt();
        let mut force = Vector3::zeros();
        let mut torque = Vector3::new(0.0, self.pitch * velocity.x * velocity.x, 0.0);
        for b in &self.blades {
            let v = velocity + rate.cross(&b.at);
            let (u, t, w) = (v.dot(&b.e), v.dot(&b.s), -v.dot(&b.n));
            let (turn, speed) = (rate.dot(&b.s), u.abs());
            let a = &b.flow[usize::from(u < 0.0)];
            let in_plane2 = u * u + t * t;
            let s2 = w * w / (in_plane2 + w * w + f64::MIN_POSITIVE);
            let x = ((s2 - a.stall) * a.stall_slope).clamp(0.0, 1.0);
            let gone = x * x * (3.0 - 2.0 * x);
            let f = 1.0 - gone;
            let (mut wash, mut couple) = (0.0, 0.0);
            for ((m, g), c) in motion.iter().zip(&a.wash).zip(&a.moment) {
                wash += g * m;
                couple += c * m;
            }
            let edge = (wash - a.wash[0] * motion[0] - a.turning * turn) * a.per_wash;
            let vortex = f * a.vortex[0] * edge * edge.abs();
            let attached = f * (speed - t * a.edge_slope) * wash;
            let mut normal = attached + vortex;
            let mut pitch =
                f * speed * couple + a.vortex[1] * vortex + a.bubble * s2 * (attached + vortex);
            let roll = t * f * (a.direction * couple + 0.5 * wash);
            if gone > 0.0 {
                let size = (in_plane2 + w * w).sqrt();
                // Rayleigh's arm, in shares of the two samples.
                let lean = 0.5 / SAMPLE * 0.75 * u / (4.0 * size + std::f64::consts::PI * w.abs());
                for (side, share) in [(1.0, 0.5 + lean), (-1.0, 0.5 - lean)] {
                    let wl = w - side * SAMPLE * b.chord * turn;
                    let ul = (in_plane2 + wl * wl).sqrt();
                    let press = self.broadside * wl * ul * ul
                        / (0.56 * ul + 0.44 * wl.abs() + f64::MIN_POSITIVE);
                    normal += gone * share * press;
                    pitch += gone * share * side * SAMPLE * press;
                }
                normal += gone * speed * a.turning * turn;
            }
            let drag = b.friction * root_speed;
            let push =
                b.n * (b.area * normal) - b.e * (u * (drag + b.edge * speed)) - b.s * (t * drag);
            force += push;
            let arm = b.area * b.chord;
            torque += b.at.cross(&push) + b.s * (arm * pitch) - b.e * (arm * roll);
        }
        (force, torque)
    }

    fn added_mass(&self) -> Matrix6<f64> {
        self.added_mass
    }
}

/// Added mass of flat strips moving broadside, pi/4 rho c^2 a width, and turning about mid-chord,
/// pi/128 rho c^4 (Lamb, Hydrodynamics, art. 71), less the loss round the ends (`plate`).
fn added_mass(strips: &[StripBasis], frame: &StripFrame, cg: &Vector3<f64>) -> Matrix6<f64> {
    let mut sum = Matrix6::zeros();
    let rho = frame.air.density_kg_m3 * frame.added_mass_share * std::f64::consts::PI;
    for b in strips {
        let [_, s, n] = b.axes;
        let mass = rho / 4.0 * b.area_m2 * b.chord_m;
        let moment = (b.middle - cg).cross(&n);
        let push = Vector6::new(n.x, n.y, n.z, moment.x, moment.y, moment.z);
        let turn = Vector6::new(0.0, 0.0, 0.0, s.x, s.y, s.z);
        sum += push * push.transpose() * mass;
        sum += turn * turn.transpose() * (mass * b.chord_m * b.chord_m / 32.0);
    }
    sum
}
