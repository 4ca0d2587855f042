//! Which input's scatter matters most: variance-based sensitivity indices.

use std::ops::Range;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};

use rayon::prelude::*;

use super::sample::Draws;

/// First-order and total index of each group of inputs.
#[derive(Clone, Debug, PartialEq)]
pub struct Indices {
    /// Share of the variance a group explains alone.
    pub first: Vec<f64>,
    /// Share it has a hand in, alone or with others.
    pub total: Vec<f64>,
    /// Mean of the output.
    pub mean: f64,
    /// Variance of the output; with none, all indices are zero.
    pub variance: f64,
}

/// What a function gave at the draws the indices are made of: for each pair of draws a and b the
/// value at a, at b, and at a with each group in turn taken from b.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample<T> {
    rows: Vec<Vec<T>>,
    groups: usize,
}

/// Draws the function `base * (groups + 2)` times over the unit cube of as many inputs as the
/// groups hold, a group being a range of inputs that scatter together. The caller maps the cube to
/// its own distributions, usually by inverse cumulative functions.
///
/// Draw k depends on the seed and k only, so the answer is the same for any number of threads.
/// `progress` is told, from any thread, how many pairs of how many are done, and may stop the rest
/// by returning false.
pub fn sample<T: Send>(
    f: impl Fn(&[f64]) -> T + Sync,
    groups: &[Range<usize>],
    base: usize,
    seed: u64,
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> Sample<T> {
    let inputs = groups.iter().map(|g| g.end).max().unwrap_or(0);
    let draws = Draws::new(base, 2 * inputs, seed);
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let pair = |k: usize| {
        if stop.load(Relaxed) {
            return None;
        }
        let both = draws.uniform(k);
        let (a, b) = both.split_at(inputs);
        let mut values = vec![f(a), f(b)];
        values.extend(groups.iter().map(|g| {
            let mut mixed = a.to_vec();
            mixed[g.clone()].copy_from_slice(&b[g.clone()]);
            f(&mixed)
        }));
        if !progress(done.fetch_add(1, Relaxed) + 1, base) {
            stop.store(true, Relaxed);
        }
        Some(values)
    };
    let rows: Vec<Option<Vec<T>>> = (0..base).into_par_iter().map(pair).collect();
    Sample { rows: rows.into_iter().flatten().collect(), groups: groups.len() }
}

impl<T> Sample<T> {
    /// Everything the function gave. Each value is a fair draw; those of one pair are related.
    pub fn values(&self) -> impl Iterator<Item = &T> {
        self.rows.iter().flatten()
    }

    /// Indices of a number of what the function gave. First order by Saltelli et al. 2010
    /// (Computer Physics Communications 181, 259-270, table 2, eq. b), total by Jansen 1999
    /// (ibid., eq. f).
    pub fn indices(&self, number: impl Fn(&T) -> f64) -> Indices {
        let rows: Vec<Vec<f64>> =
            self.rows.iter().map(|r| r.iter().map(&number).collect()).collect();
        let n = rows.len().max(1) as f64;
        let mean = rows.iter().map(|r| r[0] + r[1]).sum::<f64>() / (2.0 * n);
        let variance =
            rows.iter().map(|r| (r[0] - mean).powi(2) + (r[1] - mean).powi(2)).sum::<f64>()
                / (2.0 * n);
        let share = |sum: f64| if variance > 0.0 { sum / n / variance } else { 0.0 };
        let first = (0..self.groups)
            .map(|i| share(rows.iter().map(|r| (r[1] - mean) * (r[2 + i] - r[0])).sum()))
            .collect();
        let total = (0..self.groups)
            .map(|i| share(rows.iter().map(|r| (r[0] - r[2 + i]).powi(2)).sum::<f64>() / 2.0))
            .collect();
        Indices { first, total, mean, variance }
    }
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
        let found = sample(f, &[0..1, 1..2, 2..3], 1 << 15, 3, &|_, _| true).indices(|&y| y);
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
        let found = sample(|_| 3.0, &[0..1, 1..2], 64, 1, &|_, _| true).indices(|&y| y);
        assert_eq!(found.first, [0.0, 0.0]);
        assert_eq!(found.variance, 0.0);
    }

    /// A group explains what its inputs explain together: of x0 x1 + x2 over the unit cube the
    /// product has variance 1/9 - 1/16 = 7/144 and the sum's other part 1/12 = 12/144.
    #[test]
    fn inputs_in_a_group_count_together() {
        let f = |u: &[f64]| u[0] * u[1] + u[2];
        let found = sample(f, &[0..2, 2..3], 1 << 14, 5, &|_, _| true).indices(|&y| y);
        for (got, want) in found.first.iter().chain(&found.total).zip([7.0, 12.0, 7.0, 12.0]) {
            assert!((got - want / 19.0).abs() < 0.02, "{found:?}");
        }
    }

    #[test]
    fn the_caller_can_stop_it() {
        let some = sample(|_| 0.0, &[0..1, 1..2], 1000, 1, &|done, _| done < 10);
        assert!((10..1000).contains(&some.rows.len()));
    }
}
