//! Throws in short: what they come to over all sessions, and how they scatter within each.

use nalgebra::{Cholesky, DMatrix, DVector};

use super::{Evidence, THROWS_LEAST};
use crate::sample::{mean, variance};

/// Means and scatter of distance and time; what was measured too seldom is left out.
pub(super) struct Short {
    /// Which of the two are there.
    there: Vec<usize>,
    means: [f64; 2],
    /// Standard deviations within the sessions, and their degrees of freedom.
    within: [f64; 2],
    freedom: [f64; 2],
    /// The covariance of the means in those of single throws, and in those of single days.
    throws: [[f64; 2]; 2],
    days: [[f64; 2]; 2],
}

/// The same of simulated throws.
pub(super) struct Expected {
    /// Means.
    pub means: [f64; 2],
    /// Covariance of single throws.
    pub covariance: [[f64; 2]; 2],
    /// How many times less surely their scatter is known than that of normal numbers, at least 1: some
    /// stall, or dive, and fall far short.
    pub tails: [f64; 2],
    /// How many were simulated.
    pub simulated: f64,
}

impl Short {
    /// Of what was measured.
    pub fn of(evidence: &Evidence) -> Self {
        let all = [evidence.distances_m(), evidence.times_s()];
        let n = [0, 1].map(|k| all[k].len() as f64);
        let (mut squares, mut freedom) = ([0.0; 2], [0.0; 2]);
        let (mut both, mut days) = (0.0, [[0.0; 2]; 2]);
        for session in &evidence.sessions {
            let of = |k: usize| session.iter().filter_map(|t| t[k]).collect::<Vec<f64>>();
            let own = [of(0), of(1)];
            for k in (0..2).filter(|&k| own[k].len() > 1) {
                let f = own[k].len() as f64 - 1.0;
                squares[k] += f * variance(&own[k]);
                freedom[k] += f;
            }
            both += session.iter().filter(|t| t[0].is_some() && t[1].is_some()).count() as f64;
            for (a, row) in days.iter_mut().enumerate() {
                for (b, day) in row.iter_mut().enumerate() {
                    *day += own[a].len() as f64 / n[a] * (own[b].len() as f64 / n[b]);
                }
            }
        }
        let cross = both / (n[0] * n[1]);
        Self {
            there: (0..2).filter(|&k| n[k] >= THROWS_LEAST as f64 && freedom[k] > 0.0).collect(),
            means: [0, 1].map(|k| mean(&all[k])),
            within: [0, 1].map(|k| (squares[k] / freedom[k]).sqrt().max(1e-6)),
            freedom,
            throws: [[1.0 / n[0], cross], [cross, 1.0 / n[1]]],
            days,
        }
    }

    /// Misses in standard deviations, and the logarithm of the determinant of their covariance: means
    /// first, then scatters. `day` is the covariance that one day off has on the means.
    pub fn misses(&self, e: &Expected, day: &[[f64; 2]; 2]) -> Option<(Vec<f64>, f64)> {
        let m = self.there.len();
        let own = |k: usize| e.covariance[k][k].sqrt();
        let off: Vec<f64> = self.there.iter().map(|&k| self.means[k] - e.means[k]).collect();
        let covariance = DMatrix::from_fn(m, m, |i, j| {
            let (a, b) = (self.there[i], self.there[j]);
            // The simulated mean is not exact either.
            let single = self.throws[a][b] + 1.0 / e.simulated;
            e.covariance[a][b] * single + day[a][b] * self.days[a][b]
        });
        let (mut out, mut ln_det) = whitened(&off, covariance)?;
        // The logarithm of a standard deviation of normal numbers has a variance of 1/(2(n - 1)), of others
        // (kurtosis - 1)/2 times that (Kendall & Stuart, The Advanced Theory of Statistics 1, 1977, section
        // 10.9); two of them hang together by the square of how the values do.
        let off: Vec<f64> = self.there.iter().map(|&k| (self.within[k] / own(k)).ln()).collect();
        let covariance = DMatrix::from_fn(m, m, |i, j| {
            let (a, b) = (self.there[i], self.there[j]);
            let alike = (e.covariance[a][b] / (own(a) * own(b))).powi(2).min(1.0);
            let (more, together) = (
                self.freedom[a].max(self.freedom[b]),
                if a == b {
                    1.0
                } else {
                    self.throws[0][1] / self.throws[0][0].max(self.throws[1][1])
                },
            );
            let tails = (e.tails[a] * e.tails[b]).sqrt();
            alike * tails * (0.5 * together.min(1.0) / more + 0.5 / (e.simulated - 1.0))
        });
        let (scatters, more) = whitened(&off, covariance)?;
        out.extend(scatters);
        ln_det += more;
        Some((out, ln_det))
    }
}

/// Misses that hang together, made independent and counted in standard deviations; and the logarithm
/// of the determinant of their covariance.
pub(super) fn whitened(off: &[f64], covariance: DMatrix<f64>) -> Option<(Vec<f64>, f64)> {
    if off.is_empty() {
        return Some((Vec::new(), 0.0));
    }
    let lower = Cholesky::new(covariance)?.unpack();
    let ln_det = 2.0 * lower.diagonal().iter().map(|d| d.ln()).sum::<f64>();
    let out = lower.solve_lower_triangular(&DVector::from_column_slice(off))?;
    Some((out.as_slice().to_vec(), ln_det))
}
