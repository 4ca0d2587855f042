//! What is not known of a plane, a throw and the model, and what that does to the verdict.

use std::f64::consts::TAU;

use rayon::prelude::*;

use crate::air::AirLoads;
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{FLIGHT_ACCURACY, Hall, Throw, fly};
use crate::numeric::sample::Draws;

use super::headline::{Probabilities, Seen};
use super::shown;

/// Flights behind a verdict unless asked otherwise: a share of one half is then known to 3.5 %.
pub const DRAWS: usize = 200;
/// Most flights behind one verdict.
pub const DRAWS_MAX: usize = 100_000;

/// Time between samples of a flight that is only judged, s.
pub const JUDGED_EVERY_S: f64 = 0.02;

/// How one flown plane differs from the plane as designed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Perturbation {
    /// Balance point further aft, m.
    pub balance_aft_m: f64,
    /// Both trailing edges bent up, m at the edge over the ordinary depth of a bend.
    pub bend_m: f64,
    /// Right trailing edge bent up and left one down, m.
    pub twist_m: f64,
    /// Friction as a multiple.
    pub friction: f64,
    /// Stall later by this much incidence, rad.
    pub stall_rad: f64,
    /// Effect of raised layers as a multiple.
    pub steps: f64,
    /// Travel of the centre of pressure with incidence as a multiple.
    pub travel: f64,
}

impl Perturbation {
    /// The plane as designed.
    pub const NONE: Self = Self {
        balance_aft_m: 0.0,
        bend_m: 0.0,
        twist_m: 0.0,
        friction: 1.0,
        stall_rad: 0.0,
        steps: 1.0,
        travel: 1.0,
    };

    /// This one and another together.
    #[must_use]
    pub fn and(&self, other: &Self) -> Self {
        Self {
            balance_aft_m: self.balance_aft_m + other.balance_aft_m,
            bend_m: self.bend_m + other.bend_m,
            twist_m: self.twist_m + other.twist_m,
            friction: self.friction * other.friction,
            stall_rad: self.stall_rad + other.stall_rad,
            steps: self.steps * other.steps,
            travel: self.travel * other.travel,
        }
    }
}

/// What measurements made of a plane and of the hand that throws it, where the most probable of it
/// stands; how far off that may be stands in [`Uncertainty`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// The plane against the one designed.
    pub plane: Perturbation,
    /// Speed of the hand as a multiple of what is meant.
    pub speed: f64,
    /// How much more steeply the hand throws than is meant, rad.
    pub elevation_rad: f64,
}

impl Found {
    /// Nothing was measured: the plane as designed, the throw as meant.
    pub const NOTHING: Self = Self { plane: Perturbation::NONE, speed: 1.0, elevation_rad: 0.0 };

    /// The throw this hand makes where another is meant.
    pub fn thrown(&self, meant: Throw) -> Throw {
        Throw {
            speed_m_s: meant.speed_m_s * self.speed,
            elevation_rad: meant.elevation_rad + self.elevation_rad,
            ..meant
        }
    }
}

/// Unknown numbers that hang together once throws were fitted: a lower triangle that turns
/// standard normal numbers into balance m, bend m, twist m, ln friction, stall rad, ln steps,
/// ln travel, ln speed of the hand and its elevation rad.
pub type Joint = [[f64; JOINT]; JOINT];

/// See [`Joint`].
pub const JOINT: usize = 9;

/// One standard deviation of everything that is not known. Where a size comes from is said beside
/// it; a measured plane can bring its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Uncertainty {
    /// Balance point, m: folds placed half a millimetre off move about half the paper by as much.
    pub balance_m: f64,
    /// Centre of pressure of the model, m: lattice and measured plates of low aspect ratio agree
    /// to about 1 % of the chord where both exist (guessed for the rest).
    pub pressure_centre_m: f64,
    /// Warp: how far a trailing edge that looks flat stands up or down, m. A quarter of a
    /// millimetre over the last centimetre is hardly seen (guessed); by Glauert's flap formula it
    /// changes the pitching moment coefficient by about 0.005 at aspect ratio 1 to 2.
    pub warp_m: f64,
    /// The same as a difference between the wings, m: seen better, because the two edges can be
    /// held against each other (guessed).
    pub twist_m: f64,
    /// Friction, as a share: measured drag at zero lift of thin plates is 1 to 2 times laminar.
    pub friction: f64,
    /// Stall, rad: published stalls of plates of aspect ratio 1 lie from 25 to 40 degrees.
    pub stall_rad: f64,
    /// Effect of raised layers, as a share: bubbles behind steps are 6 to 7 step heights long in
    /// published data, their pressures spread more.
    pub steps: f64,
    /// Travel of the centre of pressure, as a share: the weakest part of the model.
    pub travel: f64,
    /// Speed of the throw, as a share: Lanchester's seven launches of one model (Aerodynamics,
    /// 1907, section 243) scatter by 7 % in distance.
    pub speed: f64,
    /// Elevation of the throw, rad (3 degrees, guessed).
    pub elevation_rad: f64,
    /// Bank at release, rad (3 degrees, guessed).
    pub bank_rad: f64,
    /// Keel against the path of the hand, rad (2 degrees, guessed).
    pub incidence_rad: f64,
    /// How plane and hand hang together where throws were fitted; then the sizes of the plane above
    /// are its margins, and those of the throw the scatter from throw to throw.
    pub joint: Option<Joint>,
}

impl Uncertainty {
    /// A careful folder and a practised hand.
    pub const CAREFUL: Self = Self {
        balance_m: 0.5e-3,
        pressure_centre_m: 1.5e-3,
        warp_m: 0.25e-3,
        twist_m: 0.1e-3,
        friction: 0.2,
        stall_rad: 4.0 * TAU / 360.0,
        steps: 0.4,
        travel: 0.2,
        speed: 0.07,
        elevation_rad: 3.0 * TAU / 360.0,
        bank_rad: 3.0 * TAU / 360.0,
        incidence_rad: 2.0 * TAU / 360.0,
        joint: None,
    };
    /// Nothing is unknown.
    pub const NONE: Self = Self {
        balance_m: 0.0,
        pressure_centre_m: 0.0,
        warp_m: 0.0,
        twist_m: 0.0,
        friction: 0.0,
        stall_rad: 0.0,
        steps: 0.0,
        travel: 0.0,
        speed: 0.0,
        elevation_rad: 0.0,
        bank_rad: 0.0,
        incidence_rad: 0.0,
        joint: None,
    };

    /// Balance point and centre of pressure together, m: what a balance band is compared with.
    pub fn balance_against_pressure_m(&self) -> f64 {
        self.balance_m.hypot(self.pressure_centre_m)
    }

    /// Planes as they might be and throws as they might be made, the same for the same seed.
    pub fn draws(&self, throw: &Throw, count: usize, seed: u64) -> Vec<(Perturbation, Throw)> {
        let more = if self.joint.is_some() { JOINT - PLANE } else { 0 };
        let draws = Draws::new(count, DIMENSIONS + more, seed);
        (0..count).map(|i| self.sample(throw, &draws.normal(i))).collect()
    }

    /// A plane and a throw from standard normal numbers.
    fn sample(&self, throw: &Throw, z: &[f64]) -> (Perturbation, Throw) {
        if let Some(joint) = &self.joint {
            return self.sample_joint(joint, throw, z);
        }
        let plane = Perturbation {
            balance_aft_m: self.balance_m * z[0] + self.pressure_centre_m * z[1],
            bend_m: self.warp_m * z[2],
            twist_m: self.twist_m * z[3],
            friction: (self.friction * z[4]).exp(),
            stall_rad: self.stall_rad * z[5],
            steps: (self.steps * z[6]).exp(),
            travel: (self.travel * z[7]).exp(),
        };
        (plane, self.scattered(throw, &z[8..]))
    }

    /// The same where throws were fitted: what the plane is and how the hand throws hang together.
    fn sample_joint(&self, joint: &Joint, throw: &Throw, z: &[f64]) -> (Perturbation, Throw) {
        // The throw's scatter keeps its places among the draws; the plane's eight and what comes
        // after the throw make the nine.
        let own = |k: usize| if k < PLANE { z[k] } else { z[DIMENSIONS + k - PLANE] };
        let v: [f64; JOINT] = std::array::from_fn(|r| (0..=r).map(|k| joint[r][k] * own(k)).sum());
        let plane = Perturbation {
            balance_aft_m: v[0],
            bend_m: v[1],
            twist_m: v[2],
            friction: v[3].exp(),
            stall_rad: v[4],
            steps: v[5].exp(),
            travel: v[6].exp(),
        };
        let hand = Found { plane, speed: v[7].exp(), elevation_rad: v[8] };
        (plane, self.scattered(&hand.thrown(*throw), &z[PLANE..]))
    }

    /// A throw as the hand happens to make it.
    fn scattered(&self, throw: &Throw, z: &[f64]) -> Throw {
        within_limits(&Throw {
            speed_m_s: throw.speed_m_s * (self.speed * z[0]).exp(),
            elevation_rad: throw.elevation_rad + self.elevation_rad * z[1],
            bank_rad: throw.bank_rad + self.bank_rad * z[2],
            incidence_rad: throw.incidence_rad + self.incidence_rad * z[3],
            ..*throw
        })
    }
}

/// Unknown numbers of the plane among those of one flight.
const PLANE: usize = 8;

/// Unknown numbers of one flight.
const DIMENSIONS: usize = 12;

/// Flights of the stages in which draws are flown: the next stage only while it is not decided.
const STAGES: [usize; 4] = [12, 24, 48, 96];

/// Flies the plane `draws` times, each time as it might really be and really be thrown, and counts
/// what it does. `model` gives the plane for a perturbation. The same seed gives the same answer
/// on any number of threads.
///
/// # Errors
/// That of the first draw that cannot be flown.
pub fn probabilities<A: AirLoads>(
    model: &(impl Fn(&Perturbation) -> Result<Body<A>, FlightError> + Sync),
    throw: &Throw,
    hall: &Hall,
    uncertainty: &Uncertainty,
    (draws, seed): (usize, u64),
) -> Result<Probabilities, FlightError> {
    throw.release()?;
    let draws = uncertainty.draws(throw, draws.clamp(1, DRAWS_MAX), seed);
    in_stages(&draws, &|plane, thrown| once(&model(plane)?, thrown, hall), &|_| false)
}

/// What one flight was. One that cannot be followed is unknown, and so is one that has not shown
/// what it is.
///
/// # Errors
/// A throw that cannot be made.
pub fn once<A: AirLoads>(body: &Body<A>, throw: &Throw, hall: &Hall) -> Result<Seen, FlightError> {
    match fly(body, throw, hall, JUDGED_EVERY_S) {
        Ok(flight) => Ok(Seen { behaviour: shown(&flight), steps: flight.cost.steps() }),
        Err(FlightError::Motion(_) | FlightError::GainsEnergy) => {
            Ok(Seen { behaviour: None, steps: FLIGHT_ACCURACY.steps_max })
        }
        Err(e) => Err(e),
    }
}

/// Counts what planes and throws do, stage by stage until it is `decided` or all are flown. The
/// stages are the first of the same draws, so that a count that went to the end is the count of
/// [`probabilities`].
///
/// # Errors
/// That of the first draw that cannot be flown.
pub fn in_stages<E: Send>(
    draws: &[(Perturbation, Throw)],
    behaves: &(impl Fn(&Perturbation, &Throw) -> Result<Seen, E> + Sync),
    decided: &impl Fn(&Probabilities) -> bool,
) -> Result<Probabilities, E> {
    let mut flown: Vec<Seen> = Vec::with_capacity(draws.len());
    for end in STAGES.into_iter().filter(|&n| n < draws.len()).chain([draws.len()]) {
        let stage: Vec<Result<Seen, E>> =
            draws[flown.len()..end].par_iter().map(|(p, t)| behaves(p, t)).collect();
        for seen in stage {
            flown.push(seen?);
        }
        let counted = Probabilities::counted(&flown);
        if end == draws.len() || decided(&counted) {
            return Ok(counted);
        }
    }
    Ok(Probabilities::counted(&flown))
}

/// A throw near the limits may be drawn beyond them; it is then the throw at the limit.
pub(crate) fn within_limits(throw: &Throw) -> Throw {
    use crate::flight::throw::SPEED_MAX_M_S;
    let right = TAU / 4.0;
    Throw {
        speed_m_s: throw.speed_m_s.min(SPEED_MAX_M_S),
        elevation_rad: throw.elevation_rad.clamp(-right, right),
        bank_rad: throw.bank_rad.clamp(-2.0 * right, 2.0 * right),
        incidence_rad: throw.incidence_rad.clamp(-right, right),
        ..*throw
    }
}
