//! A throw by hand and the flight that follows.

use std::f64::consts::PI;
use std::ops::ControlFlow;

use nalgebra::Vector3;

use crate::air::AirLoads;

use super::ode::{self, Accuracy, Cost, OdeError};
use super::rigid::{Body, FlightError, GRAVITY_M_S2, Motion, STATE_SIZE, attitude};
use super::wind::Wind;

pub use crate::design::eval::{HEIGHT_MAX_M, SPEED_MAX_M_S};

/// Slowest release accepted, m/s: dropping.
pub const SPEED_MIN_M_S: f64 = 0.0;
/// Fastest release rates accepted, rad/s.
pub const RATE_MAX_RAD_S: f64 = 100.0;

/// Still-air flights from a hand beyond these distances and times have hardly been made
/// (88.3 m in 2022 and 29.2 s are about the furthest and longest reported; the second from
/// memory): a prediction beyond them says more about the model than about the plane.
pub const BELIEVABLE_DISTANCE_M: f64 = 90.0;
/// See [`BELIEVABLE_DISTANCE_M`].
pub const BELIEVABLE_TIME_S: f64 = 30.0;

/// A flight is followed so long; what flies on is still up.
pub const TIME_LIMIT_S: f64 = BELIEVABLE_TIME_S;

/// Error a step may add: 1e-5 of each number keeps a landing place to about a millimetre in ten
/// metres, far inside any hand's repeatability. An ordinary throw takes 30 to 70 steps; a thousand
/// are ten seconds of a scrap of paper that flutters a hundred times a second (measured).
pub const FLIGHT_ACCURACY: Accuracy =
    Accuracy { relative: 1e-5, absolute: 1e-5, step_max_s: 0.25, steps_max: 1000 };

/// A flight whose steps run out sooner than this was not followed, s: too little of it was seen to
/// say what it was. Chosen.
const FOLLOWED_LEAST_S: f64 = 0.5;

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
    /// The path of the hand to the right of the nose, rad: the air comes from the right.
    pub sideslip_rad: f64,
    /// Nose-right rate at release, rad/s.
    pub yaw_rate_rad_s: f64,
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
            sideslip_rad: 0.0,
            yaw_rate_rad_s: 0.0,
        }
    }

    /// The motion at release. Elevation, then bank about the path, then sideslip and incidence
    /// about the plane's own axes, so a banked throw still leaves along the hand's path.
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
        within("sideslip (rad)", self.sideslip_rad, -PI / 2.0, PI / 2.0)?;
        within("yaw rate (rad/s)", self.yaw_rate_rad_s, -RATE_MAX_RAD_S, RATE_MAX_RAD_S)?;
        let path = attitude(self.bank_rad, self.elevation_rad, 0.0);
        let body = path
            * nalgebra::UnitQuaternion::from_euler_angles(
                0.0,
                self.incidence_rad,
                -self.sideslip_rad,
            );
        let room = path * Vector3::x() * self.speed_m_s;
        Ok(Motion {
            position: Vector3::new(0.0, 0.0, self.height_m),
            attitude: body,
            velocity: body.inverse_transform_vector(&room),
            rate: Vector3::new(0.0, self.pitch_rate_rad_s, self.yaw_rate_rad_s),
        })
    }
}

/// What the caller changes about the throw a design is meant for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ThrowChange {
    /// Speed, m/s.
    pub speed_m_s: Option<f64>,
    /// Climb angle, rad.
    pub elevation_rad: Option<f64>,
    /// Height of the hand, m.
    pub height_m: Option<f64>,
    /// See [`Throw::sideslip_rad`]; a text does not say it.
    pub sideslip_rad: f64,
    /// See [`Throw::yaw_rate_rad_s`]; a text does not say it.
    pub yaw_rate_rad_s: f64,
}

impl ThrowChange {
    /// What is left of it once it was written into the text as far as it can be.
    #[must_use]
    pub fn unwritten(&self) -> Self {
        let Self { sideslip_rad, yaw_rate_rad_s, .. } = *self;
        Self { sideslip_rad, yaw_rate_rad_s, ..Self::default() }
    }

    /// The throw with the changes made.
    pub fn apply(&self, throw: Throw) -> Throw {
        Throw {
            speed_m_s: self.speed_m_s.unwrap_or(throw.speed_m_s),
            elevation_rad: self.elevation_rad.unwrap_or(throw.elevation_rad),
            height_m: self.height_m.unwrap_or(throw.height_m),
            sideslip_rad: throw.sideslip_rad + self.sideslip_rad,
            yaw_rate_rad_s: throw.yaw_rate_rad_s + self.yaw_rate_rad_s,
            ..throw
        }
    }
}

/// The room and the air in it. `None` is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hall {
    /// Distance from the hand to the far wall, m.
    pub length_m: Option<f64>,
    /// Distance to each side wall, m.
    pub half_width_m: Option<f64>,
    /// Height of the ceiling, m.
    pub ceiling_m: Option<f64>,
    /// How the air moves.
    pub wind: Wind,
}

impl Hall {
    /// No walls, still air.
    pub const OPEN: Self =
        Self { length_m: None, half_width_m: None, ceiling_m: None, wind: Wind::STILL };
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
    /// It was still up when it was followed no longer: after [`TIME_LIMIT_S`], or sooner where it
    /// flutters so fast that the steps of [`FLIGHT_ACCURACY`] ran out.
    StillUp,
}

/// The plane at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Time since release, s.
    pub t_s: f64,
    /// Where it is in the room, and how it moves through the air.
    pub motion: Motion,
    /// How the air moves there, room frame, m/s.
    pub wind_m_s: Vector3<f64>,
}

impl Sample {
    /// How it moves over the floor, room frame, m/s.
    pub fn room_velocity(&self) -> Vector3<f64> {
        self.motion.room_velocity() + self.wind_m_s
    }
}

/// A flight from hand to floor.
#[derive(Clone, Debug, PartialEq)]
pub struct Flight {
    /// The room it was flown in.
    pub hall: Hall,
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
        self.distance_m > BELIEVABLE_DISTANCE_M || self.time_aloft_s >= BELIEVABLE_TIME_S
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

/// Flies on from any motion over the floor; see [`fly`].
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
    let wind = hall.wind;
    // In the frame of the air, see `wind`.
    let against = release.attitude.inverse_transform_vector(&wind.velocity(0.0));
    let start = Motion { velocity: release.velocity - against, ..*release };
    let mut samples = vec![hall.sample(0.0, &start.to_state())];
    let mut top = release.position.z;
    let mut stop: Option<(f64, End)> = None;
    let mut reached = (0.0, start.to_state());
    // In a gust the air does work on what it carries.
    let most = match wind.is_steady() {
        true => body.energy_j(&start) * (1.0 + ENERGY_ALLOWED) + ENERGY_ALLOWED * body.weight_n(),
        false => f64::INFINITY,
    };
    let mut gains = false;
    let down = |t_s: f64| -Vector3::z() - wind.acceleration(t_s) / GRAVITY_M_S2;
    let run = ode::integrate(
        |t_s, s| body.derivative_with(s, &down(t_s)),
        (0.0, start.to_state()),
        TIME_LIMIT_S,
        &FLIGHT_ACCURACY,
        |step| {
            reached = (step.to_s(), step.at(step.to_s()));
            gains = body.energy_j(&Motion::from_state(&reached.1)) > most;
            if gains {
                return ControlFlow::Break(());
            }
            stop = hall.first_contact(step);
            let until = stop.map_or(step.to_s(), |(t, _)| t);
            loop {
                let t_s = samples.len() as f64 * every;
                if t_s >= until {
                    break;
                }
                samples.push(hall.sample(t_s, &step.at(t_s)));
            }
            top = top.max(hall.highest(step, until));
            if stop.is_some() {
                reached = (until, step.at(until));
                return ControlFlow::Break(());
            }
            ControlFlow::Continue(())
        },
    );
    if gains {
        return Err(FlightError::GainsEnergy);
    }
    let cost = match run {
        Ok(cost) => cost,
        Err(OdeError::TooManySteps { t_s, cost }) if t_s >= FOLLOWED_LEAST_S => cost,
        Err(e) => return Err(e.into()),
    };
    let last = hall.sample(reached.0, &reached.1);
    samples.push(last);
    let run = last.motion.position - release.position;
    Ok(Flight {
        hall: *hall,
        end: stop.map_or(End::StillUp, |(_, end)| end),
        distance_m: run.x.hypot(run.y),
        time_aloft_s: last.t_s,
        max_height_m: top,
        cost,
        samples,
    })
}

/// A hall as it is met by what is followed in the frame of its air.
impl Hall {
    fn sample(&self, t_s: f64, state: &ode::State<STATE_SIZE>) -> Sample {
        let mut motion = Motion::from_state(state);
        motion.position += self.wind.moved(t_s);
        Sample { t_s, motion, wind_m_s: self.wind.velocity(t_s) }
    }

    fn place(&self, t_s: f64, s: &ode::State<STATE_SIZE>) -> Vector3<f64> {
        Vector3::new(s[0], s[1], s[2]) + self.wind.moved(t_s)
    }

    /// Earliest contact within a step.
    fn first_contact(&self, step: &ode::Step<STATE_SIZE>) -> Option<(f64, End)> {
        type Gap<'a> = &'a dyn Fn(Vector3<f64>) -> f64;
        let Hall { length_m: length, half_width_m: half, ceiling_m: ceiling, .. } = *self;
        let gaps: [(Gap<'_>, End); 4] = [
            (&|p| p.z, End::Ground),
            (&|p| length.map_or(1.0, |l| l - p.x), End::FarWall),
            (&|p| half.map_or(1.0, |h| h - p.y.abs()), End::SideWall),
            (&|p| ceiling.map_or(1.0, |c| c - p.z), End::Ceiling),
        ];
        let contact = |gap: Gap<'_>| {
            let at = |t_s: f64, s: &ode::State<STATE_SIZE>| gap(self.place(t_s, s));
            // A throw that starts at a surface and goes into it never has a gap that closes.
            let inside = || (at(step.to_s(), &step.at(step.to_s())) < 0.0).then_some(step.from_s);
            step.first_fall_to_zero(at).or_else(inside)
        };
        gaps.iter()
            .filter_map(|(gap, end)| Some((contact(gap)?, *end)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Greatest height within a step up to a time: at its ends, or where the climb turns to
    /// descent.
    fn highest(&self, step: &ode::Step<STATE_SIZE>, until_s: f64) -> f64 {
        let height = |t_s: f64| self.place(t_s, &step.at(t_s)).z;
        let ends = height(step.from_s).max(height(until_s));
        let climb = |t_s: f64, s: &ode::State<STATE_SIZE>| {
            (Motion::from_state(s).room_velocity() + self.wind.velocity(t_s)).z
        };
        match step.first_fall_to_zero(climb) {
            Some(t) if t < until_s => ends.max(height(t)),
            _ => ends,
        }
    }
}

#[cfg(test)]
mod tests;
