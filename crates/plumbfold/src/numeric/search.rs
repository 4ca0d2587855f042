//! Root finding and bounded global search: the small methods the remedies stand on.
//!
//! Both are deterministic: the same function, bounds and seed give the same answer.

use rand::RngExt;
use rand_pcg::Pcg64;
use rayon::prelude::*;

/// A root, or why there is none.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the messages say it")]
pub enum RootError {
    #[error("the function has the same sign at both ends ({at_lower:.4e} and {at_upper:.4e})")]
    SameSign { at_lower: f64, at_upper: f64 },
    #[error("the function gave no number at {at}")]
    NotANumber { at: f64 },
}

/// Steps after which a bracketed root is as good as it gets: bisection alone needs some sixty.
const ROOT_STEPS: usize = 200;

/// The root of a continuous function between two places where it has different signs, to within
/// `tolerance` in the argument (Brent, Algorithms for Minimization without Derivatives, 1973,
/// ch. 4).
///
/// # Errors
/// [`RootError`] when the bracket holds no change of sign or the function stops being a number.
pub fn root(
    mut f: impl FnMut(f64) -> f64,
    lower: f64,
    upper: f64,
    tolerance: f64,
) -> Result<f64, RootError> {
    let mut value = |x: f64| {
        let y = f(x);
        if y.is_nan() { Err(RootError::NotANumber { at: x }) } else { Ok(y) }
    };
    let (mut a, mut b) = (lower, upper);
    let (mut fa, mut fb) = (value(a)?, value(b)?);
    if fa * fb > 0.0 {
        return Err(RootError::SameSign { at_lower: fa, at_upper: fb });
    }
    let (mut c, mut fc) = (a, fa);
    let (mut d, mut e) = (b - a, b - a);
    for _ in 0..ROOT_STEPS {
        if fb * fc > 0.0 {
            (c, fc) = (a, fa);
            d = b - a;
            e = d;
        }
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let slack = 2.0 * f64::EPSILON * b.abs() + tolerance / 2.0;
        let half = (c - b) / 2.0;
        if half.abs() <= slack || fb == 0.0 {
            break;
        }
        if e.abs() >= slack && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (
                    s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)),
                    (q - 1.0) * (r - 1.0) * (s - 1.0),
                )
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * half * q - (slack * q).abs()).min((e * q).abs()) {
                e = d;
                d = p / q;
            } else {
                d = half;
                e = half;
            }
        } else {
            d = half;
            e = half;
        }
        (a, fa) = (b, fb);
        b += if d.abs() > slack { d } else { slack.copysign(half) };
        fb = value(b)?;
    }
    Ok(b)
}

/// How a global search is run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchConfig {
    /// Members of the population; ten for each dimension is usual (Storn & Price 1997).
    pub population: usize,
    /// Most generations.
    pub generations: usize,
    /// Stop when the values of the population differ by less than this.
    pub spread: f64,
    /// Seed of the random numbers.
    pub seed: u64,
}

/// Why a search stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The population has drawn together.
    Converged,
    /// The generations allowed were used up.
    Generations,
    /// The caller asked to stop.
    Asked,
}

/// The best place found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Where.
    pub at: Vec<f64>,
    /// Value there.
    pub value: f64,
    /// Function values computed.
    pub evaluations: usize,
    /// Why the search stopped.
    pub stop: Stop,
}

/// Least value of a function within bounds by differential evolution, rand/1/bin with dithered
/// weight (Storn & Price 1997, J. Global Optimization 11, 341-359). A value that is not a number
/// counts as worst. `progress` sees the generation and the best so far and may stop the search.
///
/// The trial points of a generation are drawn first and computed in parallel, so the answer does
/// not depend on the number of threads.
pub fn minimise(
    f: impl Fn(&[f64]) -> f64 + Sync,
    bounds: &[(f64, f64)],
    config: SearchConfig,
    mut progress: impl FnMut(usize, &[f64], f64) -> bool,
) -> Found {
    // Crossover rate and weights: the middle of the ranges Storn & Price recommend (0.5 to 1).
    const CROSSOVER: f64 = 0.9;
    const WEIGHTS: (f64, f64) = (0.5, 1.0);
    let n = config.population.max(4);
    let mut rng = Pcg64::new(u128::from(config.seed), 0);
    let value = |x: &Vec<f64>| Some(f(x)).filter(|v| !v.is_nan()).unwrap_or(f64::INFINITY);
    let mut people: Vec<Vec<f64>> = (0..n)
        .map(|_| bounds.iter().map(|&(a, b)| a + (b - a) * rng.random::<f64>()).collect())
        .collect();
    let mut values: Vec<f64> = people.par_iter().map(value).collect();
    let mut evaluations = n;
    let mut stop = Stop::Generations;
    for generation in 0..config.generations {
        let best = least(&values);
        if !progress(generation, &people[best], values[best]) {
            stop = Stop::Asked;
            break;
        }
        let worst = values.iter().copied().fold(f64::MIN, f64::max);
        if worst - values[best] < config.spread {
            stop = Stop::Converged;
            break;
        }
        let weight = WEIGHTS.0 + (WEIGHTS.1 - WEIGHTS.0) * rng.random::<f64>();
        let trials: Vec<Vec<f64>> = (0..n)
            .map(|i| {
                let [p, q, r] = three_others(i, n, &mut rng);
                let always = rng.random_range(0..bounds.len().max(1));
                (0..bounds.len())
                    .map(|k| {
                        if k != always && rng.random::<f64>() >= CROSSOVER {
                            return people[i][k];
                        }
                        let (a, b) = bounds[k];
                        let x = people[p][k] + weight * (people[q][k] - people[r][k]);
                        // A step over the edge lands half way between the old place and the edge,
                        // so that answers on the edge can still be reached.
                        if x < a {
                            (people[i][k] + a) / 2.0
                        } else if x > b {
                            (people[i][k] + b) / 2.0
                        } else {
                            x
                        }
                    })
                    .collect()
            })
            .collect();
        let trial_values: Vec<f64> = trials.par_iter().map(value).collect();
        evaluations += n;
        for (i, (x, v)) in trials.into_iter().zip(trial_values).enumerate() {
            if v <= values[i] {
                (people[i], values[i]) = (x, v);
            }
        }
    }
    let best = least(&values);
    Found { at: people.swap_remove(best), value: values[best], evaluations, stop }
}

fn least(values: &[f64]) -> usize {
    (0..values.len()).min_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap_or(0)
}

fn three_others(i: usize, n: usize, rng: &mut Pcg64) -> [usize; 3] {
    let mut picked = [i; 3];
    for k in 0..3 {
        picked[k] = loop {
            let j = rng.random_range(0..n);
            if j != i && !picked[..k].contains(&j) {
                break j;
            }
        };
    }
    picked
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    const CONFIG: SearchConfig =
        SearchConfig { population: 40, generations: 400, spread: 1e-12, seed: 7 };

    #[test]
    fn planted_roots() {
        for planted in [-0.9, 0.0, 0.3, 2.999] {
            let x = root(|x| (x - planted) * (1.0 + x * x), -1.0, 3.0, 1e-13).unwrap();
            assert!((x - planted).abs() < 1e-12, "{x} for {planted}");
        }
        assert!(matches!(root(|x| x * x + 1.0, -1.0, 1.0, 1e-9), Err(RootError::SameSign { .. })));
        assert!(matches!(root(|_| f64::NAN, -1.0, 1.0, 1e-9), Err(RootError::NotANumber { .. })));
    }

    /// Branin's function has three equal minima of 0.397887 (Dixon & Szego, Towards Global
    /// Optimisation 2, 1978; value from memory).
    #[test]
    fn branin() {
        let f = |x: &[f64]| {
            let (b, c, t) = (5.1 / (4.0 * PI * PI), 5.0 / PI, 1.0 / (8.0 * PI));
            (x[1] - b * x[0] * x[0] + c * x[0] - 6.0).powi(2) + 10.0 * (1.0 - t) * x[0].cos() + 10.0
        };
        let found = minimise(f, &[(-5.0, 10.0), (0.0, 15.0)], CONFIG, |_, _, _| true);
        assert!((found.value - 0.397_887).abs() < 1e-6, "{found:?}");
        let minima = [(-PI, 12.275), (PI, 2.275), (9.424_78, 2.475)];
        assert!(
            minima.iter().any(|m| (found.at[0] - m.0).hypot(found.at[1] - m.1) < 1e-3),
            "{found:?}"
        );
    }

    /// Rosenbrock's valley: minimum 0 at (1, 1) (Rosenbrock 1960, Computer J. 3, 175).
    #[test]
    fn rosenbrock() {
        let f = |x: &[f64]| 100.0 * (x[1] - x[0] * x[0]).powi(2) + (1.0 - x[0]).powi(2);
        let found = minimise(f, &[(-2.0, 2.0), (-1.0, 3.0)], CONFIG, |_, _, _| true);
        assert!((found.at[0] - 1.0).abs() < 1e-4 && (found.at[1] - 1.0).abs() < 1e-4, "{found:?}");
    }

    #[test]
    fn an_answer_on_the_edge_is_reached_and_the_seed_decides_the_rest() {
        let f = |x: &[f64]| x[0] + x[1].abs();
        let a = minimise(f, &[(2.0, 5.0), (-1.0, 1.0)], CONFIG, |_, _, _| true);
        let b = minimise(f, &[(2.0, 5.0), (-1.0, 1.0)], CONFIG, |_, _, _| true);
        assert!((a.at[0] - 2.0).abs() < 1e-6);
        assert_eq!(a, b);
    }

    #[test]
    fn the_caller_can_stop_it() {
        let found = minimise(|x| x[0] * x[0], &[(-1.0, 1.0)], CONFIG, |g, _, _| g < 3);
        assert_eq!(found.stop, Stop::Asked);
        assert_eq!(found.evaluations, 40 * 4);
    }
}
