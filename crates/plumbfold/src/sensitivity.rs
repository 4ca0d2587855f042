//! Which input's scatter matters most: variance-based sensitivity indices.

use rand::RngExt;
use rand_pcg::Pcg64;
use rayon::prelude::*;

/// First-order and total index of each input.
#[derive(Clone, Debug, PartialEq)]
pub struct Indices {
    /// Share of the variance an input explains alone.
    pub first: Vec<f64>,
    /// Share it has a hand in, alone or with others.
    pub total: Vec<f64>,
    /// Mean of the output.
    pub mean: f64,
    /// Variance of the output; with none, all indices are zero.
    pub variance: f64,
}

/// Sensitivity indices of `f` over the unit cube by `base` pairs of draws, costing
/// `base * (inputs + 2)` values. The caller maps the unit cube to its own distributions (usually
/// by inverse cumulative functions).
///
/// First order by Saltelli et al. 2010 (Computer Physics Communications 181, 259-270, table 2,
/// eq. b), total by Jansen 1999 (ibid., eq. f). Draw k depends on the seed and k only, so the
/// answer is the same for any number of threads.
pub fn indices(f: impl Fn(&[f64]) -> f64 + Sync, inputs: usize, base: usize, seed: u64) -> Indices {
    let rows: Vec<Vec<f64>> = (0..base)
        .into_par_iter()
        .map(|k| {
            let mut rng = Pcg64::new(u128::from(seed), k as u128);
            let a: Vec<f64> = (0..inputs).map(|_| rng.random()).collect();
            let b: Vec<f64> = (0..inputs).map(|_| rng.random()).collect();
            let mut values = vec![f(&a), f(&b)];
            values.extend((0..inputs).map(|i| {
                let mut mixed = a.clone();
                mixed[i] = b[i];
                f(&mixed)
            }));
            values
        })
        .collect();
    // Sums run in the order of the draws, not of the threads.
    let n = rows.len().max(1) as f64;
    let mean = rows.iter().map(|r| r[0] + r[1]).sum::<f64>() / (2.0 * n);
    let variance =
        rows.iter().map(|r| (r[0] - mean).powi(2) + (r[1] - mean).powi(2)).sum::<f64>() / (2.0 * n);
    let share = |sum: f64| if variance > 0.0 { sum / n / variance } else { 0.0 };
    let first = (0..inputs)
        .map(|i| share(rows.iter().map(|r| (r[1] - mean) * (r[2 + i] - r[0])).sum()))
        .collect();
    let total = (0..inputs)
        .map(|i| share(rows.iter().map(|r| (r[0] - r[2 + i]).powi(2)).sum::<f64>() / 2.0))
        .collect();
    Indices { first, total, mean, variance }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Ishigami's function with a = 7, b = 0.1: S = 0.3139, 0.4424, 0; T = 0.5576, 0.4424,
    /// 0.2437 (Ishigami & Homma 1990; closed form in Saltelli et al., Global Sensitivity
    /// Analysis, 2008; recomputed here from that form).
    #[test]
    fn ishigami() {
        let (a, b) = (7.0, 0.1);
        let f = |u: &[f64]| {
            let x: Vec<f64> = u.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
            x[0].sin() + a * x[1].sin().powi(2) + b * x[2].powi(4) * x[0].sin()
        };
        let v1 = (1.0 + b * PI.powi(4) / 5.0).powi(2) / 2.0;
        let v2 = a * a / 8.0;
        let v13 = b * b * PI.powi(8) * 8.0 / 225.0;
        let v = v1 + v2 + v13;
        let found = indices(f, 3, 1 << 15, 3);
        for (got, want) in found.first.iter().zip([v1 / v, v2 / v, 0.0]) {
            assert!((got - want).abs() < 0.02, "{found:?}");
        }
        for (got, want) in found.total.iter().zip([(v1 + v13) / v, v2 / v, v13 / v]) {
            assert!((got - want).abs() < 0.02, "{found:?}");
        }
        assert!((v1 / v - 0.3139).abs() < 1e-4 && (v13 / v - 0.2437).abs() < 1e-4);
    }

    #[test]
    fn an_output_that_never_changes_blames_nobody() {
        let found = indices(|_| 3.0, 2, 64, 1);
        assert_eq!(found.first, [0.0, 0.0]);
        assert_eq!(found.variance, 0.0);
    }
}
