//! Throws in short: what they come to over all sessions, and how they scatter within each.

use nalgebra::{Cholesky, DMatrix, DVector, Matrix2, SymmetricEigen};

use super::{Evidence, TAPE_M, THROWS_LEAST, Thrown, WATCH_S};
use crate::sample::{mean, variance};

/// Means and scatter of distance and time; what was measured too seldom is left out.
pub(super) struct Short {
    /// Which of the two are there.
    there: Vec<usize>,
    means: [f64; 2],
    /// Standard deviations within the sessions, and their degrees of freedom.
    within: [f64; 2],
    freedom: [f64; 2],
    /// Variance of what the readings were rounded by.
    rounded: [f64; 2],
    /// The covariance of the means in those of single throws, and in those of single days.
    throws: [[f64; 2]; 2],
    days: [[f64; 2]; 2],
}

/// Longest tails that so few throws can show.
const TAILS_MOST: f64 = 10.0;

/// The step that readings were rounded to, in their unit; zero where none is seen.
fn step(values: &[f64]) -> f64 {
    let fits = |step: &f64| values.iter().all(|v| (v / step - (v / step).round()).abs() < 1e-6);
    [1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01].into_iter().find(fits).unwrap_or(0.0)
}

/// The same of simulated throws.
pub(super) struct Expected {
    /// Means over all days.
    pub means: [f64; 2],
    /// Covariance of single throws of one day.
    pub within: [[f64; 2]; 2],
    /// Covariance of what a day is off.
    pub days: [[f64; 2]; 2],
    /// How many times less surely their scatter is known than that of normal numbers, at least 1: some
    /// stall, or dive, and fall far short, and on some days more than on others.
    pub tails: [f64; 2],
    /// How many throws were simulated, on how many days.
    pub simulated: [f64; 2],
}

/// Distance and time.
pub(super) fn values(t: &Thrown) -> [f64; 2] {
    [t.distance_m, t.time_s]
}

impl Expected {
    /// Of throws, at least two on each of at least two days: distance, m, and time, s.
    pub fn of(days: &[Vec<[f64; 2]>]) -> Self {
        let each = |day: &Vec<[f64; 2]>| {
            [0, 1].map(|k| mean(&day.iter().map(|t| t[k]).collect::<Vec<f64>>()))
        };
        let middles: Vec<[f64; 2]> = days.iter().map(each).collect();
        let off: Vec<[f64; 2]> = (days.iter().zip(&middles))
            .flat_map(|(day, m)| day.iter().map(|t| [t[0] - m[0], t[1] - m[1]]))
            .collect();
        let (d, n) = (days.len() as f64, off.len() as f64);
        let means = each(&middles);
        let table = |of: &dyn Fn(usize, usize) -> f64| [0, 1].map(|a| [0, 1].map(|b| of(a, b)));
        let within = table(&|a, b| off.iter().map(|o| o[a] * o[b]).sum::<f64>() / (n - d));
        // Means of days differ by their throws too.
        let between = table(&|a, b| {
            let product = |m: &[f64; 2]| (m[a] - means[a]) * (m[b] - means[b]);
            middles.iter().map(product).sum::<f64>() / (d - 1.0) - within[a][b] * d / n
        });
        // Of sums of squares about the mean of t throws, this share of an excess over normal numbers is
        // left (independent numbers, cumulants added).
        let t = n / d;
        let left = ((t - 1.0).powi(4) + t - 1.0) / (t * t * (t - 1.0).powi(2));
        let own = [TAPE_M, WATCH_S].map(|v| v * v);
        let tails = [0, 1].map(|k| {
            let moment = |power: i32| off.iter().map(|o| o[k].powi(power)).sum::<f64>() / n;
            let excess = (moment(4) / moment(2).powi(2).max(1e-12) - 3.0) / left;
            // The tape's and the watch's own scatter is normal and makes them shorter.
            let own = within[k][k] / (within[k][k] + own[k]);
            (1.0 + 0.5 * excess * own * own).clamp(1.0, TAILS_MOST)
        });
        Self {
            means,
            within: table(&|a, b| within[a][b] + if a == b { own[a] } else { 0.0 }),
            days: possible(between),
            tails,
            simulated: [n, d],
        }
    }
}

/// The nearest that can be a covariance: an estimate by differences may be none.
fn possible(c: [[f64; 2]; 2]) -> [[f64; 2]; 2] {
    let SymmetricEigen { eigenvalues, eigenvectors } =
        SymmetricEigen::new(Matrix2::new(c[0][0], c[0][1], c[1][0], c[1][1]));
    let mended = eigenvectors * Matrix2::from_diagonal(&eigenvalues.map(|v| v.max(0.0)));
    (mended * eigenvectors.transpose()).transpose().into()
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
        // Rounded evenly to a step d, a reading is off by d/sqrt(12).
        let rounded = [0, 1].map(|k| step(&all[k]).powi(2) / 12.0);
        Self {
            there: (0..2).filter(|&k| n[k] >= THROWS_LEAST as f64 && freedom[k] > 0.0).collect(),
            means: [0, 1].map(|k| mean(&all[k])),
            // Readings that are all alike say only that they scatter by less than a step.
            within: [0, 1].map(|k| (squares[k] / freedom[k]).max(rounded[k]).sqrt().max(1e-6)),
            rounded,
            freedom,
            throws: [[1.0 / n[0], cross], [cross, 1.0 / n[1]]],
            days,
        }
    }

    /// Misses in standard deviations, and the logarithm of the determinant of their covariance: means
    /// first, then scatters.
    pub fn misses(&self, e: &Expected) -> Option<(Vec<f64>, f64)> {
        let m = self.there.len();
        let own = |k: usize| (e.within[k][k] + self.rounded[k]).sqrt();
        let off: Vec<f64> = self.there.iter().map(|&k| self.means[k] - e.means[k]).collect();
        let covariance = DMatrix::from_fn(m, m, |i, j| {
            let (a, b) = (self.there[i], self.there[j]);
            // The simulated mean is not exact either.
            let [single, day] = e.simulated.map(f64::recip);
            let rounded = if a == b { self.rounded[a] } else { 0.0 };
            e.within[a][b] * (self.throws[a][b] + single)
                + e.days[a][b] * (self.days[a][b] + day)
                + rounded
        });
        let (mut out, mut ln_det) = whitened(&off, covariance)?;
        // The logarithm of a standard deviation of normal numbers has a variance of 1/(2(n - 1)), of others
        // (kurtosis - 1)/2 times that (Kendall & Stuart, The Advanced Theory of Statistics 1, 1977, section
        // 10.9); two of them hang together by the square of how the values do.
        let off: Vec<f64> = self.there.iter().map(|&k| (self.within[k] / own(k)).ln()).collect();
        let covariance = DMatrix::from_fn(m, m, |i, j| {
            let (a, b) = (self.there[i], self.there[j]);
            let alike = (e.within[a][b] / (own(a) * own(b))).powi(2).min(1.0);
            let (more, together) = (
                self.freedom[a].max(self.freedom[b]),
                if a == b {
                    1.0
                } else {
                    self.throws[0][1] / self.throws[0][0].max(self.throws[1][1])
                },
            );
            let tails = (e.tails[a] * e.tails[b]).sqrt();
            alike
                * tails
                * (0.5 * together.min(1.0) / more + 0.5 / (e.simulated[0] - e.simulated[1]))
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

#[cfg(test)]
mod tests {
    use super::*;

    /// One-way analysis of variance by hand: days of 1 and 3, and of 5 and 7 metres.
    #[test]
    fn what_days_differ_by_is_told_from_what_throws_scatter_by() {
        let day = |a: f64, b: f64| vec![[a, 2.0 * a], [b, 2.0 * b]];
        let e = Expected::of(&[day(1.0, 3.0), day(5.0, 7.0)]);
        assert_eq!((e.means, e.simulated), ([4.0, 8.0], [4.0, 2.0]));
        // Squares within the days: 2 of each; means of 2 and 6 differ by 8, of which throws make 1.
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a} for {b}");
        near(e.within[0][0], 2.0 + TAPE_M * TAPE_M);
        near(e.within[0][1], 4.0);
        near(e.days[0][0], 7.0);
        near(e.days[0][1], 14.0);
        // Days nearer to each other than their throws let expect are all alike.
        let alike = Expected::of(&[day(1.0, 3.0), day(1.0, 3.0)]);
        assert!(alike.days.iter().flatten().all(|v| v.abs() < 1e-12), "{:?}", alike.days);
    }

    #[test]
    fn readings_are_known_to_the_step_they_were_rounded_to() {
        for (values, wanted) in [
            (&[2.0, 2.0, 2.0][..], 1.0),
            (&[1.9, 2.1, 2.0], 0.1),
            (&[1.95, 2.1], 0.05),
            (&[1.234, 2.1], 0.0),
        ] {
            assert_eq!(step(values), wanted, "{values:?}");
        }
        let throws = [4.9, 5.0, 5.3, 5.1, 5.2, 5.1].map(|d| [Some(d), Some(2.0)]).to_vec();
        let short = Short::of(&Evidence { sessions: vec![throws], ..Evidence::default() });
        let day = |t: f64| vec![[5.0, t], [5.3, t + 0.1], [5.1, t - 0.1]];
        let e = Expected::of(&[day(1.9), day(2.0), day(2.1)]);
        let (misses, _) = short.misses(&e).unwrap();
        // 2 s to the whole second is no steadier than a hand.
        assert!(misses.iter().all(|m| m.abs() < 2.0), "{misses:?}");
    }

    #[test]
    fn a_few_that_fall_short_make_the_scatter_less_sure() {
        let even: Vec<Vec<[f64; 2]>> =
            (0..24).map(|_| vec![[5.0, 2.0], [5.2, 2.1], [5.4, 2.2]]).collect();
        let mut uneven = even.clone();
        for day in uneven.iter_mut().step_by(8) {
            day[1] = [2.0, 1.0];
        }
        assert_eq!(Expected::of(&even).tails[0], 1.0);
        assert!(Expected::of(&uneven).tails[0] > 2.0);
    }
}
