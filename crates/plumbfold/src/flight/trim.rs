//! Every steady glide of a plane.
//!
//! At each incidence there is one speed at which the air carries the weight; which way is down
//! then follows from the load, and so does the slope of the path. What is left to be zero is the
//! pitching moment, so the whole circle of incidence is scanned for its zeros. A plane that is not
//! quite symmetric ends up in a wide steady turn; it is solved for from the straight glide.

use std::f64::consts::PI;

use nalgebra::{Matrix6, Vector3, Vector6};

use crate::air::AirLoads;
use crate::numeric::search::root;

use super::rigid::{Body, GRAVITY_M_S2, Motion};

/// Incidences looked at: fine where the flow is attached and zeros may lie close together, coarse
/// beyond. Two zeros between neighbouring places are missed together.
const FINE_STEP_RAD: f64 = PI / 180.0 / 4.0;
const FINE_TO_RAD: f64 = PI / 6.0;
const COARSE_STEP_RAD: f64 = PI / 180.0;

/// Speed is solved to this share; loads go nearly with its square, so it takes a few rounds. For
/// the scan, which only asks for the sign of the moment, the rough one is enough.
const SPEED_TOLERANCE: f64 = 1e-13;
const ROUGH_SPEED_TOLERANCE: f64 = 1e-4;
const SPEED_ROUNDS: usize = 60;
/// Where the search for the first speed starts, m/s.
const SPEED_GUESS_M_S: f64 = 3.0;

/// Side loads below this share of weight (and weight times radius of gyration) are symmetric.
const SYMMETRIC: f64 = 1e-9;
/// Rounds of Newton's method for the steady turn.
const TURN_ROUNDS: usize = 40;
/// Accelerations that count as none, as a share of gravity.
const STEADY: f64 = 1e-9;

/// One steady glide.
#[derive(Clone, Debug, PartialEq)]
pub struct Trim {
    /// Angle of attack, rad, -pi to pi.
    pub alpha_rad: f64,
    /// Sideslip, rad; wind from the right positive.
    pub beta_rad: f64,
    /// Speed, m/s.
    pub speed_m_s: f64,
    /// Sink speed, m/s.
    pub sink_m_s: f64,
    /// Slope of the path below level, rad.
    pub glide_angle_rad: f64,
    /// Distance over height lost (lift over drag when straight).
    pub lift_to_drag: f64,
    /// On its back.
    pub inverted: bool,
    /// Bank, right wing down, rad.
    pub bank_rad: f64,
    /// Turn, to the right positive, rad/s.
    pub turn_rate_rad_s: f64,
    /// A small change of incidence turns it back: the slope of the pitching moment.
    pub statically_stable: bool,
    /// All loads are balanced. False where a twisted plane has no steady turn near this glide.
    pub balanced: bool,
    /// Velocity in the body frame, m/s.
    pub velocity: Vector3<f64>,
    /// Angular rate in the body frame, rad/s.
    pub rate: Vector3<f64>,
    /// Direction of gravity in the body frame.
    pub down: Vector3<f64>,
}

impl Trim {
    /// Level flight along the body's x axis, for loads that are given about it.
    pub fn level(speed_m_s: f64) -> Self {
        Self {
            alpha_rad: 0.0,
            beta_rad: 0.0,
            speed_m_s,
            sink_m_s: 0.0,
            glide_angle_rad: 0.0,
            lift_to_drag: f64::INFINITY,
            inverted: false,
            bank_rad: 0.0,
            turn_rate_rad_s: 0.0,
            statically_stable: true,
            balanced: true,
            velocity: Vector3::x() * speed_m_s,
            rate: Vector3::zeros(),
            down: Vector3::z(),
        }
    }
    /// The motion of this glide at a place in the room, heading down the hall.
    pub fn motion(&self, position: Vector3<f64>) -> Motion {
        // Body axes of the room's directions: x is the horizontal part of the velocity.
        let z = -self.down;
        let along = self.velocity - z * self.velocity.dot(&z);
        let x = along.try_normalize(1e-9).unwrap_or_else(|| Vector3::y().cross(&z).normalize());
        let room =
            nalgebra::Matrix3::from_rows(&[x.transpose(), z.cross(&x).transpose(), z.transpose()]);
        let attitude = nalgebra::UnitQuaternion::from_matrix(&room);
        Motion { position, attitude, velocity: self.velocity, rate: self.rate }
    }
}

/// Every steady glide, in order of incidence. Empty when there is none.
pub fn trims<A: AirLoads>(body: &Body<A>) -> Vec<Trim> {
    let places = incidences();
    let moment = |alpha: f64| carried(body, alpha).map(|c| c.moment.y);
    let mut guess = SPEED_GUESS_M_S;
    let mut scanned = |alpha: f64| {
        let c = carried_from(body, alpha, guess, ROUGH_SPEED_TOLERANCE)?;
        guess = c.velocity.norm();
        Some(c.moment.y)
    };
    let found: Vec<Option<f64>> = places.iter().map(|&a| scanned(a)).collect();
    let largest = found.iter().flatten().fold(0.0_f64, |m, x| m.max(x.abs()));
    // Rounding is no moment: a symmetric plate edge-on must not lose its zero to it.
    let found =
        found.into_iter().map(|m| m.map(|x| if x.abs() < 1e-12 * largest { 0.0 } else { x }));
    let found: Vec<Option<f64>> = found.collect();
    let mut out = Vec::new();
    for (a, m) in places.windows(2).zip(found.windows(2)) {
        let (Some(m0), Some(m1)) = (m[0], m[1]) else { continue };
        if m0 != 0.0 && m0.signum() == m1.signum() && m1 != 0.0 || m1 == 0.0 {
            // A zero exactly on a place belongs to the interval it opens.
            continue;
        }
        let at = |alpha| moment(alpha).unwrap_or(f64::NAN);
        let root = if m0 == 0.0 { Some(a[0]) } else { root(at, a[0], a[1], 0.0).ok() };
        let Some(alpha) = root else { continue };
        if let Some(c) = carried(body, alpha)
            // A jump through zero is no balance.
            && c.moment.y.abs() <= 1e-6 * largest
        {
            out.extend(glide(body, alpha, &c));
        }
    }
    out
}

fn incidences() -> Vec<f64> {
    let mut out = vec![-PI];
    let mut push_to = |from: f64, to: f64, step: f64| {
        let n = ((to - from) / step).round() as usize;
        out.extend((1..=n).map(|i| from + (to - from) * i as f64 / n as f64));
    };
    push_to(-PI, -FINE_TO_RAD, COARSE_STEP_RAD);
    push_to(-FINE_TO_RAD, FINE_TO_RAD, FINE_STEP_RAD);
    push_to(FINE_TO_RAD, PI, COARSE_STEP_RAD);
    out
}

/// The plane held at an incidence, as fast as the air must go to carry it.
struct Carried {
    velocity: Vector3<f64>,
    force: Vector3<f64>,
    moment: Vector3<f64>,
}

fn carried<A: AirLoads>(body: &Body<A>, alpha: f64) -> Option<Carried> {
    carried_from(body, alpha, SPEED_GUESS_M_S, SPEED_TOLERANCE)
}

fn carried_from<A: AirLoads>(
    body: &Body<A>,
    alpha: f64,
    guess_m_s: f64,
    tolerance: f64,
) -> Option<Carried> {
    let ahead = Vector3::new(alpha.cos(), 0.0, alpha.sin());
    let weight = body.weight_n();
    let mut speed = guess_m_s;
    for _ in 0..SPEED_ROUNDS {
        let velocity = ahead * speed;
        let (force, moment) = body.air().loads(&velocity, &Vector3::zeros());
        let carries = force.x.hypot(force.z);
        let next = speed * (weight / carries).sqrt();
        if !next.is_finite() {
            return None;
        }
        if (next / speed - 1.0).abs() < tolerance {
            return Some(Carried { velocity, force, moment });
        }
        speed = next;
    }
    None
}

fn glide<A: AirLoads>(body: &Body<A>, alpha: f64, c: &Carried) -> Option<Trim> {
    let load = Vector3::new(c.force.x, 0.0, c.force.z);
    let down = -load.try_normalize(0.0)?;
    let slope = {
        let d = 1e-4;
        let at = |a: f64| carried(body, a).map(|c| c.moment.y);
        at(alpha + d)? - at(alpha - d)?
    };
    let straight = describe(&c.velocity, &Vector3::zeros(), &down, slope < 0.0, true)?;
    let arm = radius_of_gyration(body);
    let sideways = c.force.y.abs().max(c.moment.x.abs().max(c.moment.z.abs()) / arm);
    if sideways <= SYMMETRIC * body.weight_n() {
        return Some(straight);
    }
    let turning = steady_turn(body, &straight)
        .and_then(|(v, w, d)| describe(&v, &w, &d, straight.statically_stable, true));
    Some(turning.unwrap_or(Trim { balanced: false, ..straight }))
}

fn describe(
    velocity: &Vector3<f64>,
    rate: &Vector3<f64>,
    down: &Vector3<f64>,
    statically_stable: bool,
    balanced: bool,
) -> Option<Trim> {
    let speed = velocity.norm();
    let sink = velocity.dot(down);
    // Air cannot feed energy into a steady glide: loads that claim so are not a glide.
    if sink.is_nan() || sink <= 0.0 {
        return None;
    }
    let forward = (speed * speed - sink * sink).max(0.0).sqrt();
    Some(Trim {
        alpha_rad: velocity.z.atan2(velocity.x),
        beta_rad: (velocity.y / speed).asin(),
        speed_m_s: speed,
        sink_m_s: sink,
        glide_angle_rad: sink.atan2(forward),
        lift_to_drag: forward / sink,
        inverted: down.z < 0.0,
        bank_rad: down.y.atan2(down.z),
        turn_rate_rad_s: rate.dot(down),
        statically_stable,
        balanced,
        velocity: *velocity,
        rate: *rate,
        down: *down,
    })
}

/// Mean radius of gyration, m: the length scale of the plane's moments.
pub(super) fn radius_of_gyration<A: AirLoads>(body: &Body<A>) -> f64 {
    (body.inertia_kg_m2().trace() / (2.0 * body.mass_kg())).sqrt()
}

/// Velocity, rate and direction of gravity of the steady turn near a straight glide, by Newton's
/// method on the six accelerations. Unknowns: the velocity, two tilts of gravity, the turn rate.
fn steady_turn<A: AirLoads>(
    body: &Body<A>,
    straight: &Trim,
) -> Option<(Vector3<f64>, Vector3<f64>, Vector3<f64>)> {
    let arm = radius_of_gyration(body);
    let v0 = straight.speed_m_s;
    let side = Vector3::y();
    let ahead = side.cross(&straight.down);
    let unpack = |x: &Vector6<f64>| {
        let v = straight.velocity + Vector3::new(x[0], x[1], x[2]) * v0;
        let down = (straight.down + ahead * x[3] + side * x[4]).normalize();
        (v, down * (x[5] * GRAVITY_M_S2 / v0), down)
    };
    let residual = |x: &Vector6<f64>| {
        let (v, w, down) = unpack(x);
        let a = body.acceleration(&v, &w, &down) / GRAVITY_M_S2;
        Vector6::new(a[0], a[1], a[2], a[3] * arm, a[4] * arm, a[5] * arm)
    };
    let mut x = Vector6::zeros();
    let mut r = residual(&x);
    for _ in 0..TURN_ROUNDS {
        if r.amax() < STEADY {
            let (v, w, down) = unpack(&x);
            // Beyond a right angle of bank it is another kind of motion, not this glide turned.
            return (down.z * straight.down.z > 0.0).then_some((v, w, down));
        }
        let mut jacobian = Matrix6::zeros();
        for i in 0..6 {
            let mut d = Vector6::zeros();
            d[i] = 1e-6;
            jacobian.set_column(i, &((residual(&(x + d)) - residual(&(x - d))) / 2e-6));
        }
        let step = jacobian.lu().solve(&r)?;
        // Halve the step until it helps, so that a far start cannot run away.
        let mut share = 1.0;
        loop {
            let trial = x - step * share;
            let at = residual(&trial);
            if at.norm() < r.norm() {
                (x, r) = (trial, at);
                break;
            }
            share /= 2.0;
            if share < 1e-6 {
                return None;
            }
        }
    }
    None
}

#[cfg(test)]
mod tests;
