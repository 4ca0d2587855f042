//! What throws, balance measurements and filmed paths make of the model's free numbers.
//!
//! The free numbers are those the verdict draws at random because nobody knows them (plane: balance
//! against the centre of pressure, bends, friction, stall, steps, travel) and those of the hand:
//! how fast and how steeply it really throws, and how it scatters. Their present uncertainties are
//! the priors. Fitted are mean and scatter of distance and time (a summary each, so that no single
//! throw rules), filmed paths with their releases, and a measured balance point, by least squares of
//! their misses in standard deviations: the most probable numbers (Gelman et al., Bayesian Data
//! Analysis, 2013, section 4.1), with the normal approximation round them. Draws from that
//! approximation are then weighted by how probable they really are (importance sampling, the same,
//! section 10.4): the share of them that is worth something tells how good it is.
//!
//! Hand and plane are not the same on every day: throws of one session hang together beyond what
//! single throws scatter by (random effects: the same, section 5.4). How far a day may be off is said
//! in `DAY`; it bounds what one session can tell, and widens the band of the next one.

mod sessions;
mod film;
mod fit;
pub mod flown;
pub mod gather;
pub mod teach;

use nalgebra::{Cholesky, DMatrix};
use plumbfold::study::why::SPEED_UNKNOWN;
use plumbfold::verdict::uncertainty::{Found, JOINT, Joint, Perturbation, Uncertainty};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use film::Film;
pub use fit::calibrate;

/// A hand at release: throws as it happens to make them, drawn from standard normal numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// Speed as a multiple of what is meant.
    pub speed: f64,
    /// How much more steeply than meant, rad.
    pub elevation_rad: f64,
    /// Scatter of the speed, as a share.
    pub speed_scatter: f64,
    /// Scatter of the elevation, rad.
    pub elevation_scatter_rad: f64,
}

/// One simulated throw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thrown {
    /// Distance, m.
    pub distance_m: f64,
    /// Time aloft, s.
    pub time_s: f64,
}

/// The model that is fitted.
pub trait Model: Sync {
    /// A throw of a plane that differs so from the design, by a hand, with four standard normal
    /// numbers for what a throw scatters by: speed, elevation, bank, incidence. None where it cannot
    /// be flown.
    fn throw(&self, plane: &Perturbation, hand: &Hand, z: [f64; 4]) -> Option<Thrown>;
    /// Speed, m/s, and elevation, rad, that are meant.
    fn meant(&self) -> [f64; 2];
    /// Where a plane that differs so is at these times, s, after it was released with a speed, m/s, a
    /// climb angle, rad, and an incidence, rad: m forward and up of there. None where it cannot be flown,
    /// or falls so far before, m.
    fn path(
        &self,
        plane: &Perturbation,
        release: [f64; 3],
        times_s: &[f64],
        fall_m: f64,
    ) -> Option<Vec<[f64; 2]>>;
}

/// Throws of one session: distance, m, and time aloft, s, where they were measured.
pub type Session = Vec<[Option<f64>; 2]>;

/// What was measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// Throws, session by session.
    pub sessions: Vec<Session>,
    /// Balance point further aft than the design's, m, and its standard deviation.
    pub balance_aft_m: Option<(f64, f64)>,
    /// Filmed throws.
    pub films: Vec<Film>,
}

impl Evidence {
    /// Every distance, m.
    pub fn distances_m(&self) -> Vec<f64> {
        self.measured(0)
    }

    /// Every time aloft, s.
    pub fn times_s(&self) -> Vec<f64> {
        self.measured(1)
    }

    /// Scatter of the distances within sessions, as a share of their mean.
    pub fn scatter(&self) -> Option<f64> {
        let of = |s: &Session| s.iter().filter_map(|t| t[0]).collect::<Vec<f64>>();
        let sessions: Vec<Vec<f64>> =
            self.sessions.iter().map(of).filter(|s| s.len() > 1).collect();
        let freedom = |s: &Vec<f64>| s.len() as f64 - 1.0;
        let squares: f64 = sessions.iter().map(|s| freedom(s) * crate::sample::variance(s)).sum();
        let all: f64 = sessions.iter().map(freedom).sum();
        (all > 0.0).then(|| (squares / all).sqrt() / crate::sample::mean(&self.distances_m()))
    }

    fn measured(&self, k: usize) -> Vec<f64> {
        self.sessions.iter().flatten().filter_map(|t| t[k]).collect()
    }
}

/// How far one day may be off the others, one standard deviation each.
pub(crate) struct Day {
    /// Speed of the hand, as a share.
    pub speed: f64,
    /// Its elevation, rad.
    pub elevation_rad: f64,
    /// Both trailing edges, m: paper that has become damp, or was straightened.
    pub bend_m: f64,
}

/// Half of what single throws of a practised hand scatter by, and of what a plane may be warped
/// unseen (guessed: nothing measured is known to us).
pub(crate) const DAY: Day = Day { speed: 0.035, elevation_rad: 0.026, bend_m: 0.12e-3 };

/// A free number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Free {
    /// Balance point against the centre of pressure.
    Balance,
    /// Both trailing edges.
    Bend,
    /// Right edge against left.
    Twist,
    /// Friction.
    Friction,
    /// Stall.
    Stall,
    /// Steps of raised layers.
    Steps,
    /// Travel of the centre of pressure.
    Travel,
    /// Speed of the hand against what is meant.
    Speed,
    /// Elevation of the hand against what is meant.
    Elevation,
    /// Scatter of its speed.
    SpeedScatter,
    /// Scatter of its elevation.
    ElevationScatter,
}

impl Free {
    /// All, in the order of [`Joint`], then the scatters.
    pub const EVERY: [Self; 11] = [
        Self::Balance,
        Self::Bend,
        Self::Twist,
        Self::Friction,
        Self::Stall,
        Self::Steps,
        Self::Travel,
        Self::Speed,
        Self::Elevation,
        Self::SpeedScatter,
        Self::ElevationScatter,
    ];

    /// What it is, and in which unit it is told.
    pub const fn words(self) -> [&'static str; 2] {
        match self {
            Self::Balance => ["balance point against the centre of pressure, aft", "mm"],
            Self::Bend => ["trailing edges up", "mm"],
            Self::Twist => ["right trailing edge up, left down", "mm"],
            Self::Friction => ["friction, times", ""],
            Self::Stall => ["stall later by", "deg"],
            Self::Steps => ["effect of raised layers, times", ""],
            Self::Travel => ["travel of the centre of pressure, times", ""],
            Self::Speed => ["speed of the hand against what is meant, times", ""],
            Self::Elevation => ["hand throws more steeply than meant by", "deg"],
            Self::SpeedScatter => ["scatter of the hand's speed", "%"],
            Self::ElevationScatter => ["scatter of the hand's slope", "deg"],
        }
    }

    /// In the unit it is told, from the number fitted.
    pub fn told(self, value: f64) -> f64 {
        match self {
            Self::Balance | Self::Bend | Self::Twist => value * 1e3,
            Self::Stall | Self::Elevation => value.to_degrees(),
            Self::Friction | Self::Steps | Self::Travel | Self::Speed => value.exp(),
            Self::SpeedScatter => value.exp() * 100.0,
            Self::ElevationScatter => value.exp().to_degrees(),
        }
    }
}

const N: usize = Free::EVERY.len();

/// The same of the elevation, rad (5 degrees, guessed).
const ELEVATION_UNKNOWN_RAD: f64 = 0.087;
/// How far a hand's scatter may be from a practised one's: a factor of 1.6 (guessed).
const SCATTER_UNKNOWN: f64 = 0.5;
/// A tape laid on the floor, m, and a stopwatch in a hand, s: one standard deviation of one throw
/// (guessed; a reaction time is some 0.2 s and differs by a tenth).
const TAPE_M: f64 = 0.05;
const WATCH_S: f64 = 0.1;

/// Fewest measured throws that say something of a mean and a scatter; a film says something alone.
pub const THROWS_LEAST: usize = 5;

/// Prior means and standard deviations.
struct Prior {
    mean: [f64; N],
    sd: [f64; N],
}

impl Prior {
    fn new(evidence: &Evidence) -> Self {
        let u = Uncertainty::CAREFUL;
        let (aft, own) = evidence.balance_aft_m.unwrap_or((0.0, u.balance_m));
        Self {
            mean: [aft, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, u.speed.ln(), u.elevation_rad.ln()],
            sd: [
                own.hypot(u.pressure_centre_m),
                u.warp_m,
                u.twist_m,
                u.friction,
                u.stall_rad,
                u.steps,
                u.travel,
                SPEED_UNKNOWN,
                ELEVATION_UNKNOWN_RAD,
                SCATTER_UNKNOWN,
                SCATTER_UNKNOWN,
            ],
        }
    }

    /// The numbers from standard ones.
    fn at(&self, z: &[f64]) -> [f64; N] {
        std::array::from_fn(|k| self.mean[k] + self.sd[k] * z[k])
    }
}

fn plane(v: &[f64; N]) -> Perturbation {
    Perturbation {
        balance_aft_m: v[0],
        bend_m: v[1],
        twist_m: v[2],
        friction: v[3].exp(),
        stall_rad: v[4],
        steps: v[5].exp(),
        travel: v[6].exp(),
    }
}

fn hand(v: &[f64; N]) -> Hand {
    Hand {
        speed: v[7].exp(),
        elevation_rad: v[8],
        speed_scatter: v[9].exp(),
        elevation_scatter_rad: v[10].exp(),
    }
}

/// Numbers that are another each day.
const OF_DAY: usize = 3;

/// The first of some numbers.
fn leading<const K: usize>(all: &[f64]) -> [f64; K] {
    std::array::from_fn(|k| all[k])
}

/// A plane and a hand on a day of theirs, by standard normal numbers: bend, speed, elevation.
fn on_day(v: &[f64; N], day: &[f64; OF_DAY]) -> (Perturbation, Hand) {
    let (mut plane, mut hand) = (plane(v), hand(v));
    plane.bend_m += DAY.bend_m * day[0];
    hand.speed *= (DAY.speed * day[1]).exp();
    hand.elevation_rad += DAY.elevation_rad * day[2];
    (plane, hand)
}

/// A free number as fitted.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fitted {
    /// What it is.
    pub what: String,
    /// Unit of the numbers; empty for a multiple.
    pub unit: String,
    /// Before.
    pub before: f64,
    /// Most probable now.
    pub now: f64,
    /// 80 % interval now.
    pub interval: [f64; 2],
    /// What its margin is now, as a share of what it was.
    pub margin: f64,
    /// The measurements tell it; where not, it stands about as it did.
    pub told: bool,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Calibration {
    /// Most probable numbers, in the order of [`Free::EVERY`].
    pub centre: Vec<f64>,
    /// Their covariance, row by row.
    pub covariance: Vec<Vec<f64>>,
    /// Each number in words.
    pub numbers: Vec<Fitted>,
    /// Measured throws behind it.
    pub throws: usize,
    /// Filmed paths behind it.
    #[serde(default)]
    pub films: usize,
    /// Share of the weighted draws that is worth something: near 1 where the approximation holds.
    pub worth: f64,
    /// 80 % band of single throws, m, and of their times, s.
    pub distance_band_m: [f64; 2],
    /// See `distance_band_m`.
    pub time_band_s: [f64; 2],
    /// The same before anything was fitted.
    pub distance_before_m: [f64; 2],
    /// See `distance_before_m`.
    pub time_before_s: [f64; 2],
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CalibrationError {
    /// Too few throws.
    #[error("too few measured throws: {0}; it takes at least {THROWS_LEAST}, or a filmed one")]
    TooFew(usize),
    /// The design does not fly.
    #[error("too few of the design's own throws can be flown to compare with")]
    NoFlight,
    /// No numbers near the priors do what was measured.
    #[error(
        "the model cannot do what was measured: at the nearest it comes, {what} is {off:.1} \
         standard deviations off; is it this plane, thrown as the design says?"
    )]
    OutOfReach {
        /// What does not fit.
        what: &'static str,
        /// How far off.
        off: f64,
    },
    /// The approximation is bad.
    #[error(
        "the fit is not to be trusted: only {worth:.0} of {of} draws near it are worth anything; \
         more throws or a filmed path may mend that"
    )]
    Untrusted {
        /// Worth.
        worth: f64,
        /// Draws.
        of: usize,
    },
}

impl Calibration {
    /// What the verdict then counts with.
    pub fn found(&self) -> Option<(Found, Uncertainty)> {
        let v: [f64; N] = self.centre.clone().try_into().ok()?;
        if v.iter().any(|v| !v.is_finite()) || self.covariance.iter().any(|r| r.len() != N) {
            return None;
        }
        // The next throw is made on some other day.
        let of_day = |k: usize| if k == 1 { DAY.bend_m * DAY.bend_m } else { 0.0 };
        let joint = DMatrix::from_fn(JOINT, JOINT, |a, b| {
            self.covariance[a][b] + if a == b { of_day(a) } else { 0.0 }
        });
        let lower = Cholesky::new(joint)?.l();
        let rows: Joint = std::array::from_fn(|a| std::array::from_fn(|b| lower[(a, b)]));
        let sd = |k: usize| (self.covariance[k][k] + of_day(k)).sqrt();
        let hand = hand(&v);
        let uncertainty = Uncertainty {
            balance_m: sd(0),
            pressure_centre_m: 0.0,
            warp_m: sd(1),
            twist_m: sd(2),
            friction: sd(3),
            stall_rad: sd(4),
            steps: sd(5),
            travel: sd(6),
            speed: hand.speed_scatter.hypot(DAY.speed),
            elevation_rad: hand.elevation_scatter_rad.hypot(DAY.elevation_rad),
            joint: Some(rows),
            ..Uncertainty::CAREFUL
        };
        let found =
            Found { plane: plane(&v), speed: hand.speed, elevation_rad: hand.elevation_rad };
        Some((found, uncertainty))
    }

    /// How many of some throws lie inside the 80 % band, of how many measured.
    pub fn inside(values: &[f64], [low, high]: [f64; 2]) -> [usize; 2] {
        let inside = values.iter().filter(|v| low <= **v && **v <= high).count();
        [inside, values.len()]
    }
}

#[cfg(test)]
mod tests;
