//! The fit: the most probable numbers, then weighted draws about them.

use nalgebra::{Cholesky, DMatrix, DVector};
use plumbfold::numeric::sample::Draws;
use rayon::prelude::*;

use super::{
    Calibration, CalibrationError, Evidence, Fitted, Free, Model, N, Prior, TAPE_M, THROWS_LEAST,
    Thrown, WATCH_S, hand, plane,
};

/// Throws simulated for each set of numbers.
const THROWS: usize = 48;
/// Draws weighted at the end.
const DRAWS: usize = 240;
/// Steps of the search and width of its differences, in prior deviations: wide enough that flights,
/// which are followed to 1e-5, and the behaviours of single throws do not shake the slope.
const STEPS: usize = 8;
const WIDTH: f64 = 0.3;
/// A number is told by the data where its margin shrank to this share.
const TOLD: f64 = 0.8;
/// Effective draws below this share: the normal approximation is not to be trusted.
const WORTH_LEAST: f64 = 0.1;

/// Mean and standard deviation of simulated throws.
struct Simulated {
    distance: [f64; 2],
    time: [f64; 2],
    throws: Vec<Thrown>,
}

struct Fitting<'a, M: Model> {
    model: &'a M,
    evidence: &'a Evidence,
    prior: Prior,
    draws: Vec<[f64; 4]>,
}

impl<M: Model> Fitting<'_, M> {
    fn simulate(&self, v: &[f64; N]) -> Option<Simulated> {
        let (plane, hand) = (plane(v), hand(v));
        let throws: Vec<Thrown> =
            self.draws.iter().filter_map(|z| self.model.throw(&plane, &hand, *z)).collect();
        if throws.len() < self.draws.len() / 2 {
            return None;
        }
        let of = |value: fn(&Thrown) -> f64, own: f64| {
            let all: Vec<f64> = throws.iter().map(value).collect();
            [crate::sample::mean(&all), (crate::sample::variance(&all) + own * own).sqrt()]
        };
        Some(Simulated {
            distance: of(|t| t.distance_m, TAPE_M),
            time: of(|t| t.time_s, WATCH_S),
            throws,
        })
    }

    /// Misses in standard deviations: first the priors', then the measurements'.
    fn misses(&self, z: &[f64]) -> Option<Vec<f64>> {
        let v = self.prior.at(z);
        let simulated = self.simulate(&v)?;
        let mut out = z.to_vec();
        let e = self.evidence;
        for (seen, [mean, sd]) in
            [(&e.distances_m, simulated.distance), (&e.times_s, simulated.time)]
        {
            if seen.len() < THROWS_LEAST {
                continue;
            }
            let n = seen.len() as f64;
            // The simulated mean is not exact either.
            let se = sd * (1.0 / n + 1.0 / THROWS as f64).sqrt();
            out.push((crate::sample::mean(seen) - mean) / se);
            // The logarithm of a standard deviation has a deviation of 1/sqrt(2(n - 1)).
            let own = crate::sample::variance(seen).sqrt().max(1e-6);
            let se = (0.5 / (n - 1.0) + 0.5 / (THROWS as f64 - 1.0)).sqrt();
            out.push((own / sd).ln() / se);
        }
        let [speed, elevation] = self.model.meant();
        let hand = hand(&v);
        for (seen, sd) in &e.speeds_m_s {
            let (mean, scatter) = (speed * hand.speed, speed * hand.speed * hand.speed_scatter);
            out.push((seen - mean) / scatter.hypot(*sd));
        }
        for (seen, sd) in &e.elevations_rad {
            let mean = elevation + hand.elevation_rad;
            out.push((seen - mean) / hand.elevation_scatter_rad.hypot(*sd));
        }
        Some(out)
    }

    /// The slope of the misses, by wide central differences.
    fn slope(&self, z: &[f64], rows: usize) -> Option<DMatrix<f64>> {
        let column = |k: usize| {
            let moved = |by: f64| {
                let mut near = z.to_vec();
                near[k] += by;
                self.misses(&near)
            };
            let (up, down) = (moved(WIDTH)?, moved(-WIDTH)?);
            Some(up.iter().zip(&down).map(|(u, d)| (u - d) / (2.0 * WIDTH)).collect::<Vec<f64>>())
        };
        let columns: Option<Vec<Vec<f64>>> = (0..N).into_par_iter().map(column).collect();
        Some(DMatrix::from_fn(rows, N, {
            let columns = columns?;
            move |r, k| columns[k][r]
        }))
    }
}

fn square(v: &[f64]) -> f64 {
    v.iter().map(|r| r * r).sum()
}

/// Fits the free numbers. `progress` is told how much of how much is done.
///
/// # Errors
/// Too few throws, a plane that does not fly, measurements out of the model's reach, or a fit that
/// is not to be trusted.
pub fn calibrate<M: Model>(
    model: &M,
    evidence: &Evidence,
    seed: u64,
    progress: &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrationError> {
    let throws = evidence.distances_m.len().max(evidence.times_s.len());
    if throws < THROWS_LEAST {
        return Err(CalibrationError::TooFew(throws));
    }
    let numbered = Draws::new(THROWS, 4, seed);
    let draws = (0..THROWS).map(|i| {
        let z = numbered.normal(i);
        [z[0], z[1], z[2], z[3]]
    });
    let fitting = Fitting { model, evidence, prior: Prior::new(evidence), draws: draws.collect() };
    let before =
        fitting.simulate(&fitting.prior.at(&[0.0; N])).ok_or(CalibrationError::NoFlight)?;
    let all = STEPS + DRAWS / 20;
    let mut z = vec![0.0; N];
    let mut misses = fitting.misses(&z).ok_or(CalibrationError::NoFlight)?;
    let mut slope = fitting.slope(&z, misses.len()).ok_or(CalibrationError::NoFlight)?;
    let mut damp = 0.0;
    for step in 0..STEPS {
        progress(step, all);
        let gradient = slope.transpose() * DVector::from_column_slice(&misses);
        let mut normal = slope.transpose() * &slope;
        for k in 0..N {
            normal[(k, k)] *= 1.0 + damp;
        }
        let Some(chol) = Cholesky::new(normal) else { break };
        let by = chol.solve(&gradient);
        // No step of more than a deviation and a half: the slope holds near by only.
        let shorten = (1.5 / by.amax()).min(1.0);
        let next: Vec<f64> = z.iter().zip(by.iter()).map(|(z, b)| z - b * shorten).collect();
        match fitting.misses(&next) {
            Some(better) if square(&better) < square(&misses) => {
                let gained = square(&misses) - square(&better);
                (z, misses) = (next, better);
                damp /= 4.0;
                if gained < 0.02 {
                    break;
                }
                slope = fitting.slope(&z, misses.len()).ok_or(CalibrationError::NoFlight)?;
            }
            _ if damp > 100.0 => break,
            _ => damp = (damp * 8.0).max(0.1),
        }
    }
    // More than three deviations beyond what so many misses come to by chance is no chance.
    let rest = misses[N..].iter().fold(0.0_f64, |m, r| m.max(r.abs()));
    if rest > 4.0 {
        return Err(CalibrationError::OutOfReach { off: rest });
    }
    let normal = slope.transpose() * &slope;
    let covariance = Cholesky::new(normal)
        .ok_or(CalibrationError::Untrusted { worth: 0.0, of: DRAWS })?
        .inverse();
    weighted(&fitting, &z, &covariance, (throws, &before, seed), progress)
}

/// Draws about the most probable numbers, weighted by how probable they are.
fn weighted<M: Model>(
    fitting: &Fitting<'_, M>,
    z: &[f64],
    covariance: &DMatrix<f64>,
    (throws, before, seed): (usize, &Simulated, u64),
    progress: &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrationError> {
    let untrusted = |worth: f64| CalibrationError::Untrusted { worth, of: DRAWS };
    let lower = Cholesky::new(covariance.clone()).ok_or_else(|| untrusted(0.0))?.l();
    let numbered = Draws::new(DRAWS, N, seed.wrapping_add(1));
    let mut drawn: Vec<(Vec<f64>, f64)> = Vec::with_capacity(DRAWS);
    for part in (0..DRAWS).collect::<Vec<usize>>().chunks(20) {
        progress(STEPS + part[0] / 20, STEPS + DRAWS / 20);
        let one = |&i: &usize| {
            let standard = DVector::from_vec(numbered.normal(i));
            let at: Vec<f64> = (&lower * &standard).iter().zip(z).map(|(by, z)| z + by).collect();
            let misses = fitting.misses(&at)?;
            // Density wanted over density drawn from.
            let weight = -0.5 * (square(&misses) - standard.norm_squared());
            Some((at, weight))
        };
        drawn.extend(part.par_iter().map(one).collect::<Vec<_>>().into_iter().flatten());
    }
    let most = drawn.iter().map(|d| d.1).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = drawn.iter().map(|d| (d.1 - most).exp()).collect();
    // No draw counts for more than the root of their number on the mean: a few far out, whose
    // simulated throws came out well by chance, must not decide (Ionides, J. Computational and
    // Graphical Statistics 17, 2008).
    let cap = weights.iter().sum::<f64>() / (weights.len() as f64).sqrt();
    let weights: Vec<f64> = weights.iter().map(|w| w.min(cap)).collect();
    let sum: f64 = weights.iter().sum();
    let effective = sum * sum / square(&weights);
    if effective.is_nan() || effective < WORTH_LEAST * DRAWS as f64 {
        return Err(untrusted(effective));
    }
    let weights: Vec<f64> = weights.iter().map(|w| w / sum).collect();
    let mean: Vec<f64> =
        (0..N).map(|k| drawn.iter().zip(&weights).map(|((z, _), w)| z[k] * w).sum()).collect();
    let spread = DMatrix::from_fn(N, N, |a, b| {
        let product = |(z, _): &(Vec<f64>, f64)| (z[a] - mean[a]) * (z[b] - mean[b]);
        drawn.iter().zip(&weights).map(|(d, w)| product(d) * w).sum::<f64>()
    });
    let prior = &fitting.prior;
    let centre = prior.at(&mean);
    let numbers = Free::EVERY.iter().enumerate().map(|(k, free)| {
        let margin = spread[(k, k)].sqrt();
        let [what, unit] = free.words().map(str::to_owned);
        // 80 % of a normal number lie within 1.2816 deviations.
        let half = 1.2816 * margin * prior.sd[k];
        Fitted {
            what,
            unit,
            before: free.told(prior.mean[k]),
            now: free.told(centre[k]),
            interval: [free.told(centre[k] - half), free.told(centre[k] + half)],
            margin,
            told: margin < TOLD,
        }
    });
    let (distance, time) = bands(fitting, &drawn, &weights).ok_or_else(|| untrusted(effective))?;
    let own = |value: fn(&Thrown) -> f64, noise: f64| {
        let all: Vec<f64> = before.throws.iter().map(value).collect();
        band(all.iter().map(|v| (*v, 1.0)).collect(), noise)
    };
    Ok(Calibration {
        numbers: numbers.collect(),
        covariance: (0..N)
            .map(|a| (0..N).map(|b| spread[(a, b)] * prior.sd[a] * prior.sd[b]).collect())
            .collect(),
        centre: centre.to_vec(),
        throws,
        worth: effective / DRAWS as f64,
        distance_band_m: distance,
        time_band_s: time,
        distance_before_m: own(|t| t.distance_m, TAPE_M),
        time_before_s: own(|t| t.time_s, WATCH_S),
    })
}

/// 80 % bands of single throws: planes and hands as weighted, each thrown a few times.
fn bands<M: Model>(
    fitting: &Fitting<'_, M>,
    drawn: &[(Vec<f64>, f64)],
    weights: &[f64],
) -> Option<([f64; 2], [f64; 2])> {
    let thrown: Vec<(Thrown, f64)> = drawn
        .par_iter()
        .zip(weights)
        .enumerate()
        .flat_map_iter(|(i, ((z, _), w))| {
            let v = fitting.prior.at(z);
            let (plane, hand) = (plane(&v), hand(&v));
            (0..6).filter_map(move |k| {
                let z = fitting.draws[(i * 7 + k * 11) % THROWS];
                Some((fitting.model.throw(&plane, &hand, z)?, *w))
            })
        })
        .collect();
    if thrown.is_empty() {
        return None;
    }
    let of = |value: fn(&Thrown) -> f64, noise: f64| {
        band(thrown.iter().map(|(t, w)| (value(t), *w)).collect(), noise)
    };
    Some((of(|t| t.distance_m, TAPE_M), of(|t| t.time_s, WATCH_S)))
}

/// The middle 80 % of weighted values, widened for the tape or the watch.
fn band(mut values: Vec<(f64, f64)>, noise: f64) -> [f64; 2] {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all: f64 = values.iter().map(|v| v.1).sum();
    let at = |share: f64| {
        let mut sum = 0.0;
        let found = values.iter().find(|v| {
            sum += v.1;
            sum >= share * all
        });
        found.or(values.last()).map_or(f64::NAN, |v| v.0)
    };
    let (low, middle, high) = (at(0.1), at(0.5), at(0.9));
    let wider = |edge: f64| (edge - middle).hypot(1.2816 * noise);
    [middle - wider(low), middle + wider(high)]
}
