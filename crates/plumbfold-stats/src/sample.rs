//! What some numbers say: mean, median, spread, and how well each is known.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::distribution::{binomial_cdf, chi_squared_quantile, t_quantile};

/// Share of such intervals that hold the truth.
pub const COVERAGE: f64 = 0.95;

/// A sample in numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Summary {
    /// How many.
    pub count: usize,
    /// Mean.
    pub mean: f64,
    /// Median.
    pub median: f64,
    /// Standard deviation; null for fewer than two.
    pub sd: Option<f64>,
    /// Standard deviation as a share of the mean; null where that is zero.
    pub sd_fraction: Option<f64>,
    /// Least.
    pub least: f64,
    /// Greatest.
    pub greatest: f64,
    /// 95 % interval of the mean by Student's t; null for fewer than two.
    pub mean_interval: Option<[f64; 2]>,
    /// 95 % interval of the median by order statistics; null for fewer than six.
    pub median_interval: Option<[f64; 2]>,
    /// 95 % interval of the standard deviation by chi squared, which is right for scatter that is
    /// about normal; null for fewer than two.
    pub sd_interval: Option<[f64; 2]>,
}

/// Mean.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Variance with n - 1, by two passes (Chan, Golub & LeVeque, The American Statistician 37, 1983):
/// the second sum takes out what rounding left of the mean.
pub fn variance(values: &[f64]) -> f64 {
    let (n, m) = (values.len() as f64, mean(values));
    let (square, rest) = values.iter().fold((0.0, 0.0), |(s, r), v| {
        let d = v - m;
        (s + d * d, r + d)
    });
    (square - rest * rest / n) / (n - 1.0)
}

fn median(sorted: &[f64]) -> f64 {
    let n = sorted.len();
    if n % 2 == 1 { sorted[n / 2] } else { (sorted[n / 2 - 1] + sorted[n / 2]) / 2.0 }
}

/// Places in the sorted sample between which the median lies with at least [`COVERAGE`] (Conover,
/// Practical Nonparametric Statistics, 1999, section 3.2: the sign test turned round).
fn median_places(n: usize) -> Option<[usize; 2]> {
    // The largest k with P(X <= k) <= 2.5 % for X ~ B(n, 1/2); then the (k+1)th from either end.
    let most = (1.0 - COVERAGE) / 2.0;
    let fits = |k: &usize| binomial_cdf(*k as u64, n as u64, 0.5) <= most;
    // The binomial's distribution grows with k, so the edge is found by halving.
    let (mut low, mut high) = (0, n / 2);
    if n == 0 || !fits(&0) {
        return None;
    }
    while high - low > 1 {
        let middle = usize::midpoint(low, high);
        if fits(&middle) { low = middle } else { high = middle }
    }
    Some([low, n - 1 - low])
}

impl Summary {
    /// Of finite numbers; none of none.
    pub fn of(values: &[f64]) -> Option<Self> {
        let mut sorted: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
        sorted.sort_by(f64::total_cmp);
        let (&least, &greatest) = (sorted.first()?, sorted.last()?);
        let n = sorted.len();
        let (m, freedom) = (mean(&sorted), n as f64 - 1.0);
        let sd = (n > 1).then(|| variance(&sorted).max(0.0).sqrt());
        let half =
            |sd: f64| t_quantile(f64::midpoint(1.0, COVERAGE), freedom) * sd / (n as f64).sqrt();
        let tail = (1.0 - COVERAGE) / 2.0;
        let of_sd = |sd: f64| {
            let edge = |p| sd * (freedom / chi_squared_quantile(p, freedom)).sqrt();
            [edge(1.0 - tail), edge(tail)]
        };
        Some(Self {
            count: n,
            mean: m,
            median: median(&sorted),
            sd,
            sd_fraction: sd.map(|s| s / m).filter(|f| f.is_finite()),
            least,
            greatest,
            mean_interval: sd.map(|s| [m - half(s), m + half(s)]),
            median_interval: median_places(n).map(|[a, b]| [sorted[a], sorted[b]]),
            sd_interval: sd.map(of_sd),
        })
    }
}

/// A straight line through values against 1, 2, 3 …: its slope with a 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Line {
    /// Value at zero.
    pub start: f64,
    /// Change a step.
    pub slope: f64,
    /// Standard deviation of the slope.
    pub slope_sd: f64,
    /// Standard deviation of the value at zero.
    pub start_sd: f64,
    /// Standard deviation about the line.
    pub rest_sd: f64,
    /// Degrees of freedom.
    pub freedom: f64,
}

impl Line {
    /// By least squares; none through fewer than three places.
    pub fn through(x: &[f64], y: &[f64]) -> Option<Self> {
        let n = x.len().min(y.len());
        if n < 3 {
            return None;
        }
        let (mx, my) = (mean(&x[..n]), mean(&y[..n]));
        let (sxx, sxy) = x
            .iter()
            .zip(y)
            .fold((0.0, 0.0), |(a, b), (x, y)| (a + (x - mx).powi(2), b + (x - mx) * (y - my)));
        if sxx <= 0.0 {
            return None;
        }
        let slope = sxy / sxx;
        let rest: f64 = x.iter().zip(y).map(|(x, y)| (y - my - slope * (x - mx)).powi(2)).sum();
        let freedom = n as f64 - 2.0;
        let rest_sd = (rest / freedom).sqrt();
        Some(Self {
            start: my - slope * mx,
            slope,
            slope_sd: rest_sd / sxx.sqrt(),
            start_sd: rest_sd * (1.0 / n as f64 + mx * mx / sxx).sqrt(),
            rest_sd,
            freedom,
        })
    }

    /// 95 % interval of the slope.
    pub fn slope_interval(&self) -> [f64; 2] {
        let half = t_quantile(f64::midpoint(1.0, COVERAGE), self.freedom) * self.slope_sd;
        [self.slope - half, self.slope + half]
    }
}
