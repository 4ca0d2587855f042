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
//!   couple (the lift leans to the windward edge), and a force where the strip is joined to a plate
//!   at an angle, on which its last leg does not push it. The stream is what the motion brings less
//!   what all other vortices take of it: under a wing at incidence the air runs along the wing.
//! * The load on a bent edge acts along that edge's normal, so a bend has its drag.
//! * Friction acts along the local velocity in the strip's plane.

use super::AirLoads;
use super::added_mass::moved_to;
use super::induced::loading_motion;
use super::plate::{STALL_SIGMA_RAD, StallWindow};
use crate::air::Air;
use nalgebra::{Matrix6, Vector3};

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
    /// Forward push on the plane's own bends and on each unit bend, per wash of each motion and
    /// each shape: a bent edge is pushed along its own normal, not along the strip's.
    pub tilt: [[f64; 11]; 4],
    /// Vortex normal-force coefficient and its arm ahead of mid-chord in chords.
    pub vortex: [f64; 2],
    /// Centre of pressure shift of the bubble per squared sine, chords ahead (negative nose first).
    pub bubble: f64,
    /// The stream from aside at the trailing legs, less what the plane's vortices take of it, per
    /// component of the motion: the mean of both ends (for the rolling couple) and the difference
    /// (for the force), where a leg shared with the plate the strip is joined to counts for neither.
    pub aside: [[f64; 6]; 2],
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

/// Rows of a linear map from the motion of the centre of gravity (u v w p q r) to four numbers;
/// stored column by column so that the four are worked out side by side.
type Map = [[f64; 4]; 6];

/// The numbers of a map.
fn apply<const N: usize>(map: &[[f64; N]; 6], motion: &[f64; 6]) -> [f64; N] {
    let mut out = [0.0; N];
    for (column, m) in map.iter().zip(motion) {
        for (o, c) in out.iter_mut().zip(column) {
            *o += c * m;
        }
    }
    out
}

/// One direction of flight of one strip, ready to fly.
#[derive(Clone, Debug, PartialEq)]
struct Flow {
    /// To the wash, the moment about mid-chord, the incidence velocity of the edge vortices, the
    /// wash that pushes forward on bent edges, and the stream from aside at the legs (see
    /// [`Attached::aside`]).
    map: [[f64; 6]; 6],
    turning: f64,
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
    /// To the velocity along e, along s and against n, and the turning about s. Its columns are
    /// also the axes (first three) and their moments about the centre of gravity (last three).
    map: Map,
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
    /// Added mass about the origin for unit density.
    pub added_mass: Matrix6<f64>,
    /// The air.
    pub air: Air,
}

/// Chord fractions ahead of and behind mid-chord at which separated flow is sampled: there a plate
/// turning about its middle has the damping of strip theory, the cube root of 1/32.
const SAMPLE: f64 = 0.315;

/// Where the load on trailing legs acts, chords ahead of mid-chord: they run from the quarter
/// point, where the load of a plate is, to the trailing edge.
const LEG_MIDDLE: f64 = -0.125;

/// Strips whose wash per incidence velocity is less (two dimensions: 2 pi) stand in the shadow of
/// others and have no edge vortices.
const LEAST_LOADED: f64 = 0.1;

impl StripModel {
    /// Puts adjusted strips together.
    pub fn new(strips: &[StripBasis], frame: &StripFrame, adjust: &Adjustments) -> Self {
        let half_rho = 0.5 * frame.air.density_kg_m3;
        let blades = strips
            .iter()
            .map(|b| Blade {
                map: axes_map(b, &adjust.cg),
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
            added_mass: moved_to(&frame.added_mass, &adjust.cg) * frame.air.density_kg_m3,
        }
    }

    /// Centre of gravity about which moments are, air axes, m.
    pub fn cg(&self) -> Vector3<f64> {
        self.cg
    }

    /// Normal force, N, and nose-up couple about mid-chord, N m, of each strip in straight flight.
    pub fn strip_loads(&self, velocity: &Vector3<f64>) -> Vec<[f64; 2]> {
        let motion = [velocity.x, velocity.y, velocity.z, 0.0, 0.0, 0.0];
        let root_speed = velocity.norm().sqrt();
        let of = |b: &Blade| {
            let mut load = [0.0; 6];
            b.add_load(&motion, self.broadside, root_speed, &mut load);
            // Along e, s and against n; then what these forces alone turn about s.
            let along: [f64; 3] =
                std::array::from_fn(|j| (0..3).map(|k| load[k] * b.map[k][j]).sum());
            let about_s = |j: usize| (0..3).map(|k| b.map[k + 3][j] * b.map[k][1]).sum::<f64>();
            let turned: f64 = (0..3).map(|j| along[j] * about_s(j)).sum();
            let whole: f64 = (0..3).map(|k| load[k + 3] * b.map[k][1]).sum();
            [-along[2], whole - turned]
        };
        self.blades.iter().map(of).collect()
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

fn axes_map(b: &StripBasis, cg: &Vector3<f64>) -> Map {
    let arm = b.middle - cg;
    let [e, s, n] = b.axes;
    let moments = [e, s, -n].map(|axis| arm.cross(&axis));
    let mut map = [[0.0; 4]; 6];
    for k in 0..3 {
        map[k] = [e[k], s[k], -n[k], 0.0];
        map[k + 3] = [moments[0][k], moments[1][k], moments[2][k], s[k]];
    }
    map
}

fn flow(b: &StripBasis, a: &Attached, direction: f64, adjust: &Adjustments) -> Flow {
    let (mut wash, mut moment) = (a.wash, a.moment);
    let extra =
        [adjust.step_scale - 1.0, 0.0, adjust.right_rad, adjust.left_rad, adjust.rudder_rad];
    for (k, x) in extra.iter().enumerate() {
        wash[0] += x * a.shape_wash[k];
        moment[0] += x * a.shape_moment[k];
    }
    let s = b.axes[1];
    // Turning about the strip's own middle: the datum origin then moves with -s x middle.
    let origin = -s.cross(&b.middle);
    let turn = [origin.x, origin.y, origin.z, s.x, s.y, s.z];
    let turning: f64 = wash.iter().zip(turn).map(|(g, m)| g * m).sum();
    let [side, up] = loading_motion(&b.axes[2]);
    let loading = (side * a.wash[1] + up * a.wash[2]).abs();
    let per_wash = if loading > LEAST_LOADED { 1.0 / loading } else { 0.0 };
    // The coefficients are for the motion of the datum origin, v - w x cg.
    let about_cg = |g: &[f64; 6]| -> [f64; 6] {
        let push = Vector3::new(g[0], g[1], g[2]);
        let spin = Vector3::new(g[3], g[4], g[5]) + push.cross(&adjust.cg);
        [push.x, push.y, push.z, spin.x, spin.y, spin.z]
    };
    let mut edge = [0.0, wash[1], wash[2], wash[3], wash[4], wash[5]].map(|g| g * per_wash);
    for k in 0..3 {
        edge[k + 3] -= turning * per_wash * s[k];
    }
    // Tilt of each bend times the load of each motion and shape; the plane's own bends are there
    // once, the unit bends as often as they are asked for.
    let mut tilt = [0.0; 6];
    for (row, how_much) in a.tilt.iter().zip([1.0, extra[2], extra[3], extra[4]]) {
        for k in 0..6 {
            tilt[k] += how_much * row[k];
        }
        let shapes = row[6..].iter().zip([adjust.step_scale, 1.0, extra[2], extra[3], extra[4]]);
        tilt[0] += how_much * shapes.map(|(g, x)| g * x).sum::<f64>();
    }
    let rows = [&wash, &moment, &edge, &tilt, &a.aside[0], &a.aside[1]].map(about_cg);
    let mut map = [[0.0; 6]; 6];
    for (k, column) in map.iter_mut().enumerate() {
        *column = rows.map(|row| row[k]);
    }
    let [start, end] = a.stall.squared_sines(adjust.stall_shift_rad);
    Flow {
        map,
        turning,
        vortex: a.vortex,
        bubble: a.bubble * adjust.travel_scale,
        edge_slope: a.edge_slope,
        stall: start,
        stall_slope: 1.0 / (end - start),
        direction,
    }
}

impl Blade {
    /// Normal force and moment about mid-chord in separated flow, per area and chord.
    fn separated(&self, [u, t, w, turn]: [f64; 4], broadside: f64) -> [f64; 2] {
        let in_plane2 = u * u + t * t;
        let size = (in_plane2 + w * w).sqrt();
        // Rayleigh's arm, in shares of the two samples.
        let lean = 0.5 / SAMPLE * 0.75 * u
            / (4.0 * size + std::f64::consts::PI * w.abs() + f64::MIN_POSITIVE);
        let mut sum = [0.0; 2];
        for (side, share) in [(SAMPLE, 0.5 + lean), (-SAMPLE, 0.5 - lean)] {
            let wl = w - side * self.chord * turn;
            let ul = (in_plane2 + wl * wl).sqrt();
            let scale = 0.56 * ul + 0.44 * wl.abs() + f64::MIN_POSITIVE;
            let press = share * broadside * wl * ul * ul / scale;
            sum = [sum[0] + press, sum[1] + side * press];
        }
        sum
    }

    /// Adds the load of one strip to force and moment.
    fn add_load(&self, motion: &[f64; 6], broadside: f64, root_speed: f64, load: &mut [f64; 6]) {
        let local = apply(&self.map, motion);
        let [u, t, w, turn] = local;
        let a = &self.flow[usize::from(u < 0.0)];
        let [wash, couple, edge, tilt, aside, parting] = apply(&a.map, motion);
        let speed = u.abs();
        let size2 = u * u + t * t + w * w;
        let s2 = w * w / (size2 + f64::MIN_POSITIVE);
        let x = ((s2 - a.stall) * a.stall_slope).clamp(0.0, 1.0);
        let gone = x * x * (3.0 - 2.0 * x);
        let f = 1.0 - gone;
        // No incidence is more than broadside.
        let vortex = f * a.vortex[0] * (edge * edge).min(size2).copysign(edge);
        // A stream from so far aside that the trailing edge leads carries no load off it.
        let leaving = (speed - t * a.edge_slope).max(0.0);
        let attached = f * leaving * wash + vortex;
        // Circulation times length of the legs.
        let legs = f * (a.direction * couple + 0.5 * wash);
        let across = parting * legs;
        let mut normal = attached + across;
        let mut pitch = f * speed * couple
            + a.vortex[1] * vortex
            + a.bubble * s2 * attached
            + a.direction * LEG_MIDDLE * across;
        let roll = aside * legs;
        if gone > 0.0 {
            let [press, moment] = self.separated(local, broadside);
            normal += gone * (press + speed * a.turning * turn);
            pitch += gone * moment;
        }
        let drag = self.friction * root_speed;
        let forward = self.area * f * speed * tilt - u * (drag + self.edge * speed);
        let along = [forward, -t * drag, -self.area * normal];
        let arm = self.area * self.chord;
        let couples = [-arm * roll, arm * pitch];
        for (sum, axes) in load.iter_mut().zip(&self.map) {
            *sum += axes[0] * along[0] + axes[1] * along[1] + axes[2] * along[2];
        }
        for (sum, axes) in load[3..].iter_mut().zip(&self.map) {
            *sum += axes[0] * couples[0] + axes[1] * couples[1];
        }
    }
}

impl AirLoads for StripModel {
    fn loads(&self, velocity: &Vector3<f64>, rate: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let motion = [velocity.x, velocity.y, velocity.z, rate.x, rate.y, rate.z];
        let root_speed = velocity.norm().sqrt();
        let mut load = [0.0, 0.0, 0.0, 0.0, self.pitch * velocity.x * velocity.x, 0.0];
        for b in &self.blades {
            b.add_load(&motion, self.broadside, root_speed, &mut load);
        }
        (Vector3::new(load[0], load[1], load[2]), Vector3::new(load[3], load[4], load[5]))
    }

    fn added_mass(&self) -> Matrix6<f64> {
        self.added_mass
    }
}
