//! A throw by hand and the flight that follows.

use std::f64::consts::PI;
use std::ops::ControlFlow;

use nalgebra::Vector3;

use crate::air::AirLoads;

use super::ode::{self, Accuracy, Cost};
use super::rigid::{Body, FlightError, Motion, STATE_SIZE, attitude};

/// Fastest throw accepted, m/s. A hand throws a ball at some 40 m/s; paper is slower.
pub const SPEED_MAX_M_S: f64 = 50.0;
/// Slowest release accepted, m/s: dropping.
pub const SPEED_MIN_M_S: f64 = 0.0;
/// Highest release accepted, m: a balcony of a large hall.
pub const HEIGHT_MAX_M: f64 = 100.0;
/// Fastest release rates accepted, rad/s.
pub const RATE_MAX_RAD_S: f64 = 100.0;

/// A flight longer than this is cut off; see [`Flight::suspect`].
pub const TIME_LIMIT_S: f64 = 60.0;

/// Still-air flights from a hand beyond these distances and times have hardly been made
/// (88.3 m in 2022 and 29.2 s are about the furthest and longest reported; the second from
/// memory): a prediction beyond them says more about the model than about the plane.
pub const BELIEVABLE_DISTANCE_M: f64 = 90.0;
/// See [`BELIEVABLE_DISTANCE_M`].
pub const BELIEVABLE_TIME_S: f64 = 30.0;

/// Error a step may add: 1e-5 of each number keeps a landing place to about a millimetre in ten
/// metres, far inside any hand's repeatability.
pub const FLIGHT_ACCURACY: Accuracy = Accuracy { relative: 1e-5, absolute: 1e-5, step_max_s: 0.25 };

/// Energy a flight in still air may seem to gain, as a share of what it was thrown with, and of its
/// weight times a metre for one that is dropped from the floor: steps and the strips' law for
/// turning plates are not exact.
pub const ENERGY_ALLOWED: f64 = 0.02;

/// How the plane leaves the hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Throw {
    /// Speed, m/s.
    pub speed_m_s: f64,
    /// Climb angle of the hand's path, rad.
    pub elevation_rad: f64,
    /// Height of the hand above the floor, m.
    pub height_m: f64,
    /// Bank at release, positive right wing down, rad.
    pub bank_rad: f64,
    /// Keel above the hand's path, rad. Zero by default: the hand holds the keel and pushes along
    /// it, so the plane leaves pointing the way it moves.
    pub incidence_rad: f64,
    /// Nose-up rate at release, rad/s; zero for a straight push, positive for a flick.
    pub pitch_rate_rad_s: f64,
}

impl Throw {
    /// A straight push along the keel, wings level.
    pub const fn straight(speed_m_s: f64, elevation_rad: f64, height_m: f64) -> Self {
        Self {
            speed_m_s,
            elevation_rad,
            height_m,
            bank_rad: 0.0,
            incidence_rad: 0.0,
            pitch_rate_rad_s: 0.0,
        }
    }

    /// The motion at release. Elevation, then incidence about the level wing line, then bank about
    /// the path, so a banked throw still leaves along the hand's path.
    ///
    /// # Errors
    /// [`FlightError::Throw`] for numbers outside the limits of this module.
    pub fn release(&self) -> Result<Motion, FlightError> {
        let within = |what, value: f64, least: f64, most: f64| {
            // Written so that a value that is not a number fails.
            if least <= value && value <= most {
                Ok(())
            } else {
                Err(FlightError::Throw { what, value, least, most })
            }
        };
        within("speed (m/s)", self.speed_m_s, SPEED_MIN_M_S, SPEED_MAX_M_S)?;
        within("elevation (rad)", self.elevation_rad, -PI / 2.0, PI / 2.0)?;
        within("height (m)", self.height_m, 0.0, HEIGHT_MAX_M)?;
        within("bank (rad)", self.bank_rad, -PI, PI)?;
        within("incidence (rad)", self.incidence_rad, -PI / 2.0, PI / 2.0)?;
        within("pitch rate (rad/s)", self.pitch_rate_rad_s, -RATE_MAX_RAD_S, RATE_MAX_RAD_S)?;
        let path = attitude(self.bank_rad, self.elevation_rad, 0.0);
        let body = path * nalgebra::UnitQuaternion::from_euler_angles(0.0, self.incidence_rad, 0.0);
        let room = path * Vector3::x() * self.speed_m_s;
        Ok(Motion {
            position: Vector3::new(0.0, 0.0, self.height_m),
            attitude: body,
            velocity: body.inverse_transform_vector(&room),
            rate: Vector3::new(0.0, self.pitch_rate_rad_s, 0.0),
        })
    }
}

/// The room. `None` is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hall {
    /// Distance from the hand to the far wall, m.
    pub length_m: Option<f64>,
    /// Distance to each side wall, m.
    pub half_width_m: Option<f64>,
    /// Height of the ceiling, m.
    pub ceiling_m: Option<f64>,
}

/// What ended a flight.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The balance point reached the floor.
    Ground,
    /// It hit the far wall.
    FarWall,
    /// It hit a side wall.
    SideWall,
    /// It hit the ceiling.
    Ceiling,
    /// It was still up after [`TIME_LIMIT_S`].
    TimeLimit,
}

/// The plane at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Time since release, s.
    pub t_s: f64,
    /// Where and how it moves.
    pub motion: Motion,
}

/// A flight from hand to floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Flight {
    /// At equal times from release on; the last sample is the end itself.
    pub samples: Vec<Sample>,
    /// What ended it.
    pub end: End,
    /// Distance over the floor from hand to end, m.
    pub distance_m: f64,
    /// Time aloft, s.
    pub time_aloft_s: f64,
    /// Greatest height of the balance point above the floor, m (exact to the step's dense output).
    pub max_height_m: f64,
    /// What the integration cost.
    pub cost: Cost,
}

impl Flight {
    /// Further or longer than still-air flights from a hand are known to go: not to be believed.
    pub fn suspect(&self) -> bool {
        self.distance_m > BELIEVABLE_DISTANCE_M || self.time_aloft_s > BELIEVABLE_TIME_S
    }
    /// The plane as it leaves the hand.
    pub fn release(&self) -> &Sample {
        self.samples.first().expect("a flight holds its release and its end")
    }
    /// The plane as it ends.
    pub fn last(&self) -> &Sample {
        self.samples.last().expect("a flight holds its release and its end")
    }
}

/// Flies a throw. `sample_every_s` is the time between samples (0.02 s suits pictures; at least
/// one millisecond is used).
///
/// # Errors
/// A throw outside the limits, or loads that cannot be followed ([`FlightError`]).
pub fn fly<A: AirLoads>(
    body: &Body<A>,
    throw: &Throw,
    hall: &Hall,
    sample_every_s: f64,
) -> Result<Flight, FlightError> {
    fly_from(body, &throw.release()?, hall, sample_every_s)
}

/// Flies on from any motion; see [`fly`].
///
/// # Errors
/// Loads that cannot be followed ([`FlightError::Motion`]).
pub fn fly_from<A: AirLoads>(
    body: &Body<A>,
    release: &Motion,
    hall: &Hall,
    sample_every_s: f64,
) -> Result<Flight, FlightError> {
    let every = sample_every_s.clamp(1e-3, TIME_LIMIT_S);
    let start = release.to_state();
    let mut samples = vec![Sample { t_s: 0.0, motion: *release }];
    let mut top = release.position.z;
    let mut stop: Option<(f64, End)> = None;
    let most = body.energy_j(release) * (1.0 + ENERGY_ALLOWED) + ENERGY_ALLOWED * body.weight_n();
    let mut gains = false;
    let cost = ode::integrate(
        |_, s| body.derivative(s),
        (0.0, start),
        TIME_LIMIT_S,
        &FLIGHT_ACCURACY,
        |step| {
            gains = body.energy_j(&Motion::from_state(&step.at(step.to_s()))) > most;
            if gains {
                return ControlFlow::Break(());
            }
            stop = first_contact(step, hall);
            let until = stop.map_or(step.to_s(), |(t, _)| t);
            loop {
                let t_s = samples.len() as f64 * every;
                if t_s >= until {
                    break;
                }
                samples.push(Sample { t_s, motion: Motion::from_state(&step.at(t_s)) });
            }
            top = top.max(highest(step, until));
            if stop.is_some() {
                samples.push(Sample { t_s: until, motion: Motion::from_state(&step.at(until)) });
                return ControlFlow::Break(());
            }
            if step.to_s() >= TIME_LIMIT_S {
                samples.push(Sample { t_s: until, motion: Motion::from_state(&step.at(until)) });
            }
            ControlFlow::Continue(())
        },
    )?;
    if gains {
        return Err(FlightError::GainsEnergy);
    }
    let (_, end) = stop.unwrap_or((TIME_LIMIT_S, End::TimeLimit));
    let last = *samples.last().expect("the release is always there");
    let run = last.motion.position - release.position;
    Ok(Flight {
        end,
        distance_m: run.x.hypot(run.y),
        time_aloft_s: last.t_s,
        max_height_m: top,
        cost,
        samples,
    })
}

/// Earliest contact within a step.
fn first_contact(step: &ode::Step<STATE_SIZE>, hall: &Hall) -> Option<(f64, End)> {
    type Gap<'a> = &'a dyn Fn(&ode::State<STATE_SIZE>) -> f64;
    let (length, half, ceiling) = (hall.length_m, hall.half_width_m, hall.ceiling_m);
    let gaps: [(Gap<'_>, End); 4] = [
        (&|s| s[2], End::Ground),
        (&|s| length.map_or(1.0, |l| l - s[0]), End::FarWall),
        (&|s| half.map_or(1.0, |h| h - s[1].abs()), End::SideWall),
        (&|s| ceiling.map_or(1.0, |c| c - s[2]), End::Ceiling),
    ];
    let contact = |gap: Gap<'_>| {
        // A throw that starts at a surface and goes into it never has a gap that closes.
        let inside = || (gap(&step.at(step.to_s())) < 0.0).then_some(step.from_s);
        step.first_fall_to_zero(gap).or_else(inside)
    };
    gaps.iter()
        .filter_map(|(gap, end)| Some((contact(gap)?, *end)))
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Greatest height within a step up to a time: at its ends, or where the climb turns to descent.
fn highest(step: &ode::Step<STATE_SIZE>, until_s: f64) -> f64 {
    let ends = step.at(step.from_s)[2].max(step.at(until_s)[2]);
    let climb = |s: &ode::State<STATE_SIZE>| Motion::from_state(s).room_velocity().z;
    match step.first_fall_to_zero(climb) {
        Some(t) if t < until_s => ends.max(step.at(t)[2]),
        _ => ends,
    }
}

#[cfg(test)]
mod tests;
