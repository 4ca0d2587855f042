//! The fit: the most probable numbers, then weighted draws about them.

use nalgebra::{Cholesky, DMatrix, DVector};
use plumbfold::numeric::sample::Draws;
use rayon::prelude::*;

use super::sessions::{Expected, Short, values};
use super::{
    Calibration, CalibrationError, Evidence, Fitted, Free, Model, N, OF_DAY, Prior, TAPE_M,
    THROWS_LEAST, Thrown, WATCH_S, film, hand, leading, on_day, plane,
};

/// Days simulated for each set of numbers, and throws on each.
const DAYS: usize = 24;
const THROWS: usize = 3;
/// Draws weighted at the end, and how often they are drawn anew, about where those before were worth
/// most, until such a share is worth something.
const DRAWS: usize = 240;
const ROUNDS: u64 = 3;
const WORTH_ENOUGH: f64 = 0.4;
/// Steps of the search and width of its differences, in prior deviations: wide enough that flights,
/// which are followed to 1e-5, and the behaviours of single throws do not shake the slope.
const STEPS: usize = 8;
const WIDTH: f64 = 0.3;
/// A number is told by the data where its margin shrank to this share.
const TOLD: f64 = 0.8;
/// Effective draws below this share: the normal approximation is not to be trusted.
const WORTH_LEAST: f64 = 0.1;

/// Misses in standard deviations, first the priors', then the measurements'; and the logarithm of the
/// determinant of the covariance by which they were counted.
struct Judged {
    misses: Vec<f64>,
    ln_det: f64,
    /// How many of the misses, the last ones, are those of films.
    of_films: usize,
}

struct Fitting<'a, M: Model> {
    model: &'a M,
    evidence: &'a Evidence,
    short: Short,
    prior: Prior,
    /// Standard normal numbers: a day's, then those of each throw on it.
    days: Vec<([f64; OF_DAY], [[f64; 4]; THROWS])>,
}

impl<M: Model> Fitting<'_, M> {
    /// What throws on many days come to: what days differ by, and what throws of a day scatter by, by an
    /// analysis of variance (Snedecor & Cochran, Statistical Methods, 1989, section 13.3). Whether a
    /// plane stalls may hang on the day, so no slope at one place tells what a day does.
    fn simulate(&self, v: &[f64; N]) -> Option<Expected> {
        let thrown = |(day, throws): &([f64; OF_DAY], [[f64; 4]; THROWS])| {
            let (plane, hand) = on_day(v, day);
            let throw = |z: &[f64; 4]| self.model.throw(&plane, &hand, *z);
            let all: Vec<Thrown> = throws.iter().filter_map(throw).collect();
            (all.len() > 1).then(|| all.iter().map(values).collect())
        };
        let days: Vec<Vec<[f64; 2]>> = self.days.iter().filter_map(thrown).collect();
        (days.len() >= DAYS / 2).then(|| Expected::of(&days))
    }

    fn judge(&self, z: &[f64], paths: &DMatrix<f64>) -> Option<Judged> {
        let v = self.prior.at(z);
        let (plane, hand) = (plane(&v), hand(&v));
        let expected = self.simulate(&v)?;
        let (mut misses, mut ln_det) = (z.to_vec(), 0.0);
        let films = &self.evidence.films;
        let (of_throws, ln) = self.short.misses(&expected)?;
        misses.extend(of_throws);
        ln_det += ln;
        let before = misses.len();
        let (of_releases, ln) = film::releases(films, self.model.meant(), &hand)?;
        misses.extend(of_releases);
        ln_det += ln;
        misses.extend(film::misses(films, self.model, &plane, paths)?);
        Some(Judged { of_films: misses.len() - before, misses, ln_det })
    }

    /// The place as it is judged there, and the slope of its misses, by wide central differences.
    fn look(&self, z: &[f64]) -> Option<(DMatrix<f64>, Judged, DMatrix<f64>)> {
        let plane = plane(&self.prior.at(z));
        let paths = film::covariance(&self.evidence.films, self.model, &plane)?;
        let aside = |k: usize, by: f64| {
            let mut near = z.to_vec();
            near[k] += by;
            near
        };
        let column = |k: usize| {
            let at = |by: f64| Some(self.judge(&aside(k, by), &paths)?.misses);
            let (up, down) = (at(WIDTH)?, at(-WIDTH)?);
            Some(up.iter().zip(&down).map(|(u, d)| (u - d) / (2.0 * WIDTH)).collect::<Vec<f64>>())
        };
        let columns: Option<Vec<Vec<f64>>> = (0..N).into_par_iter().map(column).collect();
        let judged = self.judge(z, &paths)?;
        let slope = DMatrix::from_fn(judged.misses.len(), N, {
            let columns = columns?;
            move |r, k| columns[k][r]
        });
        Some((paths, judged, slope))
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
    let [distances, times] = [evidence.distances_m(), evidence.times_s()];
    let throws = distances.len().max(times.len());
    if throws < THROWS_LEAST && evidence.films.is_empty() {
        return Err(CalibrationError::TooFew(throws));
    }
    // Throws of a day stand in columns of their own: the means of days then differ by their scatter as
    // those of independent throws do.
    let numbered = Draws::new(DAYS, OF_DAY + 4 * THROWS, seed);
    let day = |d: usize| {
        let all = numbered.normal(d);
        (leading(&all), std::array::from_fn(|t| leading(&all[OF_DAY + 4 * t..])))
    };
    let fitting = Fitting {
        model,
        evidence,
        short: Short::of(evidence),
        prior: Prior::new(evidence),
        days: (0..DAYS).map(day).collect(),
    };
    let all = STEPS + DRAWS / 20;
    let mut z = vec![0.0; N];
    let (mut paths, mut judged, mut slope) = fitting.look(&z).ok_or(CalibrationError::NoFlight)?;
    let mut damp = 0.0;
    for step in 0..STEPS {
        progress(step, all);
        let gradient = slope.transpose() * DVector::from_column_slice(&judged.misses);
        let mut normal = slope.transpose() * &slope;
        for k in 0..N {
            normal[(k, k)] *= 1.0 + damp;
        }
        let Some(chol) = Cholesky::new(normal) else { break };
        let by = chol.solve(&gradient);
        // No step of more than a deviation and a half: the slope holds near by only.
        let shorten = (1.5 / by.amax()).min(1.0);
        let next: Vec<f64> = z.iter().zip(by.iter()).map(|(z, b)| z - b * shorten).collect();
        match fitting.judge(&next, &paths) {
            Some(better) if square(&better.misses) < square(&judged.misses) => {
                let gained = square(&judged.misses) - square(&better.misses);
                z = next;
                damp /= 4.0;
                (paths, judged, slope) = fitting.look(&z).ok_or(CalibrationError::NoFlight)?;
                if gained < 0.02 {
                    break;
                }
            }
            _ if damp > 100.0 => break,
            _ => damp = (damp * 8.0).max(0.1),
        }
    }
    // Four deviations, of a measurement or of a number from what was known of it, are no chance.
    let worst = judged.misses.iter().enumerate().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    if let Some((k, off)) = worst.filter(|(_, off)| off.abs() > 4.0) {
        let films = judged.misses.len() - judged.of_films;
        let what = match k {
            0 if evidence.balance_aft_m.is_some() => "the measured balance point",
            k if k < N => Free::EVERY[k].words()[0],
            k if k < films => "distance and time of the throws",
            _ => "the filmed paths",
        };
        return Err(CalibrationError::OutOfReach { off: off.abs(), what });
    }
    let normal = slope.transpose() * &slope;
    let covariance = Cholesky::new(normal)
        .ok_or(CalibrationError::Untrusted { worth: 0.0, of: DRAWS })?
        .inverse();
    weighted(&fitting, (&z, &paths), &covariance, (throws, seed), progress)
}

/// A plane and a hand as they may be, on a day of theirs.
struct Drawn {
    /// Numbers in prior deviations.
    z: Vec<f64>,
    /// Bend, speed and elevation of the day, in deviations.
    day: [f64; OF_DAY],
    /// Logarithm of how probable it is at first; the share of it then.
    weight: f64,
}

/// Standard normal numbers of a plane and a hand, and of their day: those of one sequence are
/// independent of each other.
struct Normals(Draws);

impl Normals {
    fn get(&self, i: usize) -> (DVector<f64>, [f64; OF_DAY]) {
        let all = self.0.normal(i);
        (DVector::from_column_slice(&all[..N]), leading(&all[N..]))
    }
}

/// Makes shares of logarithms of how probable draws are; gives how many are worth something.
fn share(drawn: &mut [Drawn]) -> f64 {
    let most = drawn.iter().map(|d| d.weight).fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = drawn.iter().map(|d| (d.weight - most).exp()).collect();
    // No draw counts for more than the root of their number on the mean: a few far out, whose
    // simulated throws came out well by chance, must not decide (Ionides, J. Computational and
    // Graphical Statistics 17, 2008).
    let cap = weights.iter().sum::<f64>() / (weights.len() as f64).sqrt();
    let weights: Vec<f64> = weights.iter().map(|w| w.min(cap)).collect();
    let sum: f64 = weights.iter().sum();
    for (d, w) in drawn.iter_mut().zip(&weights) {
        d.weight = w / sum;
    }
    sum * sum / square(&weights)
}

/// Draws about the most probable numbers, weighted by how probable they are, and drawn anew about where
/// they were worth most (O. Cappé, A. Guillin, J.-M. Marin & C. P. Robert, "Population Monte Carlo", J.
/// Computational and Graphical Statistics 13, 2004).
fn weighted<M: Model>(
    fitting: &Fitting<'_, M>,
    (z, paths): (&[f64], &DMatrix<f64>),
    covariance: &DMatrix<f64>,
    (throws, seed): (usize, u64),
    progress: &dyn Fn(usize, usize),
) -> Result<Calibration, CalibrationError> {
    let untrusted = |worth: f64| CalibrationError::Untrusted { worth, of: DRAWS };
    let (mut centre, mut covariance) = (z.to_vec(), covariance.clone());
    let mut round = 0;
    let (drawn, effective, mean, spread, numbered) = loop {
        let lower = Cholesky::new(covariance.clone()).ok_or_else(|| untrusted(0.0))?.l();
        let numbered = Normals(Draws::new(DRAWS, N + OF_DAY, seed.wrapping_add(1 + round)));
        let mut drawn: Vec<Drawn> = Vec::with_capacity(DRAWS);
        for part in (0..DRAWS).collect::<Vec<usize>>().chunks(20) {
            progress(STEPS + part[0] / 20, STEPS + DRAWS / 20);
            let one = |&i: &usize| {
                let (standard, day) = numbered.get(i);
                let by = &lower * &standard;
                let z: Vec<f64> = by.iter().zip(&centre).map(|(by, z)| z + by).collect();
                let judged = fitting.judge(&z, paths)?;
                // Density wanted over density drawn from.
                let wanted = square(&judged.misses) + judged.ln_det;
                let weight = -0.5 * (wanted - standard.norm_squared());
                Some(Drawn { z, day, weight })
            };
            drawn.extend(part.par_iter().map(one).collect::<Vec<_>>().into_iter().flatten());
        }
        let effective = share(&mut drawn);
        let mean: Vec<f64> =
            (0..N).map(|k| drawn.iter().map(|d| d.z[k] * d.weight).sum()).collect();
        let spread = DMatrix::from_fn(N, N, |a, b| {
            let product = |d: &Drawn| (d.z[a] - mean[a]) * (d.z[b] - mean[b]) * d.weight;
            drawn.iter().map(product).sum::<f64>()
        });
        round += 1;
        if effective >= WORTH_ENOUGH * DRAWS as f64 || round == ROUNDS || !effective.is_finite() {
            break (drawn, effective, mean, spread, numbered);
        }
        // What few draws say of a covariance is held to what was there before.
        let sure = effective / (effective + 2.0 * N as f64);
        covariance = &spread * sure + covariance * (1.0 - sure);
        centre.clone_from(&mean);
    };
    if effective.is_nan() || effective < WORTH_LEAST * DRAWS as f64 {
        return Err(untrusted(effective));
    }
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
    let after = bands(fitting, &drawn);
    let unfitted = |i: usize| {
        let (standard, day) = numbered.get(i);
        Drawn { z: standard.as_slice().to_vec(), day, weight: 1.0 }
    };
    let before = bands(fitting, &(0..DRAWS).map(unfitted).collect::<Vec<_>>());
    let (after, before) = after.zip(before).ok_or_else(|| untrusted(effective))?;
    Ok(Calibration {
        numbers: numbers.collect(),
        covariance: (0..N)
            .map(|a| (0..N).map(|b| spread[(a, b)] * prior.sd[a] * prior.sd[b]).collect())
            .collect(),
        centre: centre.to_vec(),
        throws,
        films: fitting.evidence.films.len(),
        worth: effective / DRAWS as f64,
        distance_band_m: after[0],
        time_band_s: after[1],
        distance_before_m: before[0],
        time_before_s: before[1],
    })
}

/// 80 % bands of single throws on some other day, distances then times: planes and hands as weighted,
/// each on a day of its own and thrown a few times.
fn bands<M: Model>(fitting: &Fitting<'_, M>, drawn: &[Drawn]) -> Option<[[f64; 2]; 2]> {
    let thrown: Vec<(Thrown, f64)> = drawn
        .par_iter()
        .enumerate()
        .flat_map_iter(|(i, d)| {
            let (plane, hand) = on_day(&fitting.prior.at(&d.z), &d.day);
            (0..6).filter_map(move |k| {
                let z = fitting.days[(i * 7 + k * 11) % DAYS].1[(i + k) % THROWS];
                Some((fitting.model.throw(&plane, &hand, z)?, d.weight))
            })
        })
        .collect();
    if thrown.is_empty() {
        return None;
    }
    let of = |value: fn(&Thrown) -> f64, noise: f64| {
        band(thrown.iter().map(|(t, w)| (value(t), *w)).collect(), noise)
    };
    Some([of(|t| t.distance_m, TAPE_M), of(|t| t.time_s, WATCH_S)])
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
