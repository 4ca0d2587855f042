//! Which throws would teach most about a plane and a hand.

use nalgebra::{Cholesky, DMatrix, DVector};
use plumbfold::numeric::sample::Draws;
use rayon::prelude::*;

use super::{
    Calibration, Evidence, Hand, Model, N, OF_DAY, Prior, TAPE_M, WATCH_S, leading, on_day,
};
use crate::sample::{mean, variance};

/// A throw that could be made, and what it would teach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lesson {
    /// Speed as a multiple of what is meant.
    pub speed: f64,
    /// More steeply than meant by, rad.
    pub elevation_rad: f64,
    /// Information in so many throws about everything that is unknown, bits.
    pub bits: f64,
}

/// Planes and hands as they might be, and throws of each on each of two days.
const PLANES: usize = 40;
const THROWS: usize = 8;

/// Throws that could be made: gentle, as meant and firm; level and steep.
pub const CANDIDATES: [[f64; 2]; 6] =
    [[0.8, 0.0], [1.0, 0.0], [1.3, 0.0], [0.8, 0.17], [1.0, 0.17], [1.3, 0.17]];

/// What `count` throws of each kind would teach, the most first: planes and hands are drawn as they
/// might be, by the priors or by what was fitted; what their mean distances and times differ by,
/// against what single throws scatter and what is another each day, is what one session can teach (for
/// normal numbers the information
/// is half the logarithm of one plus that ratio: Lindley, Annals of Mathematical Statistics 27, 1956).
pub fn lessons<M: Model>(
    model: &M,
    fitted: Option<&Calibration>,
    count: usize,
    seed: u64,
) -> Vec<Lesson> {
    let people = people(fitted, seed);
    let numbered = Draws::new(THROWS, 4, seed.wrapping_add(2));
    let scatter: Vec<Vec<f64>> = (0..THROWS).map(|i| numbered.normal(i)).collect();
    let days = Draws::new(PLANES, 2 * OF_DAY, seed.wrapping_add(3));
    let lesson = |&[speed, elevation_rad]: &[f64; 2]| {
        // Mean and variance of distance and time on one day.
        let of = |v: &[f64; N], day: &[f64; OF_DAY]| -> Option<[[f64; 2]; 2]> {
            let (plane, own) = on_day(v, day);
            let hand = Hand {
                speed: own.speed * speed,
                elevation_rad: own.elevation_rad + elevation_rad,
                ..own
            };
            let flown = scatter.iter().filter_map(|z| {
                let t = model.throw(&plane, &hand, [z[0], z[1], z[2], z[3]])?;
                Some([t.distance_m, t.time_s])
            });
            let flown: Vec<[f64; 2]> = flown.collect();
            let each = |k: usize| flown.iter().map(|t| t[k]).collect::<Vec<f64>>();
            (flown.len() > THROWS / 2).then(|| [0, 1].map(|k| [mean(&each(k)), variance(&each(k))]))
        };
        let both = |(i, v): (usize, &[f64; N])| {
            let day = days.normal(i);
            Some([of(v, &leading(&day))?, of(v, &leading(&day[OF_DAY..]))?])
        };
        let all: Vec<[[[f64; 2]; 2]; 2]> = people.par_iter().enumerate().filter_map(both).collect();
        // Distance and time say partly the same: what the better of them says is counted.
        let bits = [(0, TAPE_M), (1, WATCH_S)].map(|(k, own)| {
            if all.len() < 3 {
                return 0.0;
            }
            let of = |f: &dyn Fn(f64, f64) -> f64, at: usize| {
                all.iter().map(|d| f(d[0][k][at], d[1][k][at])).collect::<Vec<f64>>()
            };
            let within = mean(&of(&|a, b| f64::midpoint(a, b), 1));
            // Half the mean square of the difference of two days is the variance of one; the throws of
            // both are the same ones, so that their scatter is not in it.
            let day = mean(&of(&|a, b| 0.5 * (a - b).powi(2), 0));
            let between = variance(&of(&|a, b| f64::midpoint(a, b), 0)) - day / 2.0;
            let unsure = (within + own * own) / count as f64 + day;
            0.5 * (1.0 + (between - within / THROWS as f64).max(0.0) / unsure).log2()
        });
        Lesson { speed, elevation_rad, bits: bits[0].max(bits[1]) }
    };
    let mut lessons: Vec<Lesson> = CANDIDATES.iter().map(lesson).collect();
    lessons.sort_by(|a, b| b.bits.total_cmp(&a.bits));
    lessons
}

fn people(fitted: Option<&Calibration>, seed: u64) -> Vec<[f64; N]> {
    let draws = Draws::new(PLANES, N, seed);
    let prior = Prior::new(&Evidence::default());
    let joint = fitted.and_then(|c| {
        let covariance = DMatrix::from_fn(N, N, |a, b| c.covariance[a][b]);
        let centre: [f64; N] = c.centre.clone().try_into().ok()?;
        Some((Cholesky::new(covariance)?.l(), centre))
    });
    let one = |i: usize| {
        let z = draws.normal(i);
        match &joint {
            Some((lower, centre)) => {
                let by = lower * DVector::from_column_slice(&z);
                std::array::from_fn(|k| centre[k] + by[k])
            }
            None => prior.at(&z),
        }
    };
    (0..PLANES).map(one).collect()
}
