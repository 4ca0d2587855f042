//! Probabilities and quantiles of the distributions that tests and intervals use.

use statrs::distribution::{Binomial, ChiSquared, ContinuousCDF, DiscreteCDF, Normal, StudentsT};
use statrs::function::gamma::ln_gamma;

/// Probability that Student's t with `freedom` degrees of freedom is at least as far from zero.
pub fn t_two_sided(t: f64, freedom: f64) -> f64 {
    let Ok(d) = StudentsT::new(0.0, 1.0, freedom) else { return f64::NAN };
    (2.0 * d.cdf(-t.abs())).min(1.0)
}

/// The t that a share `p` of all do not exceed.
pub fn t_quantile(p: f64, freedom: f64) -> f64 {
    let Ok(d) = StudentsT::new(0.0, 1.0, freedom) else { return f64::NAN };
    d.inverse_cdf(p)
}

/// The standard normal number that a share `p` of all do not exceed.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// Share of standard normal numbers that do not exceed `z`.
pub fn normal_cdf(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// The chi squared that a share `p` of all do not exceed.
pub fn chi_squared_quantile(p: f64, freedom: f64) -> f64 {
    ChiSquared::new(freedom).map_or(f64::NAN, |d| d.inverse_cdf(p))
}

/// Probability of at most `k` in `n`, each with probability `p`.
pub fn binomial_cdf(k: u64, n: u64, p: f64) -> f64 {
    Binomial::new(p, n).map_or(f64::NAN, |d| d.cdf(k))
}

/// Steps of the integral in [`power`]; its error is then below 1e-9.
const STEPS: usize = 2000;

/// Power of a two-sided t test at level `alpha`: the probability that |T| exceeds its critical
/// value where T is noncentral t with `freedom` degrees of freedom and noncentrality `delta`.
/// T is (Z + delta) / s with s^2 chi squared over its freedom (Johnson, Kotz & Balakrishnan,
/// Continuous Univariate Distributions 2, 1995, chapter 31), integrated over s by Simpson's rule.
pub fn power(delta: f64, freedom: f64, alpha: f64) -> f64 {
    let critical = t_quantile(1.0 - alpha / 2.0, freedom);
    let density = |s: f64| {
        // Of s where freedom * s^2 is chi squared.
        let ln = (freedom / 2.0).ln() * (freedom / 2.0) + 2f64.ln() - ln_gamma(freedom / 2.0)
            + (freedom - 1.0) * s.ln()
            - freedom * s * s / 2.0;
        ln.exp()
    };
    let beyond = |s: f64| normal_cdf(delta - critical * s) + normal_cdf(-delta - critical * s);
    // s lies about 1 with a deviation of 1/sqrt(2 freedom).
    let spread = 12.0 / (2.0 * freedom).sqrt();
    let (low, high) = ((1.0 - spread).max(1e-9), 1.0 + spread);
    let h = (high - low) / STEPS as f64;
    let value = |k: usize| {
        let s = low + h * k as f64;
        density(s) * beyond(s)
    };
    let weight = |k: usize| {
        if k == 0 || k == STEPS {
            1.0
        } else if k % 2 == 1 {
            4.0
        } else {
            2.0
        }
    };
    let sum: f64 = (0..=STEPS).map(|k| weight(k) * value(k)).sum();
    (sum * h / 3.0).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Student's t: 2.571 at 5 and 2.228 at 10 degrees of freedom for 95 % both sides (table in any
    /// textbook; Box, Hunter & Hunter, Statistics for Experimenters, 1978, table B1).
    #[test]
    fn quantiles_are_those_of_the_tables() {
        for (freedom, t) in [(5.0, 2.570_582), (10.0, 2.228_139), (30.0, 2.042_272)] {
            assert!((t_quantile(0.975, freedom) - t).abs() < 1e-5);
            assert!((t_two_sided(t, freedom) - 0.05).abs() < 1e-6);
        }
        assert!((chi_squared_quantile(0.95, 10.0) - 18.307).abs() < 1e-3);
        assert!((normal_quantile(0.975) - 1.959_964).abs() < 1e-6);
    }

    /// Two groups of 64 find half a standard deviation with a power of 0.80 (Cohen, Statistical
    /// Power Analysis for the Behavioral Sciences, 1988, table 2.4.1: n = 64); of 26 find 0.8.
    #[test]
    fn power_is_that_of_cohens_table() {
        let of = |d: f64, n: f64| power(d * (n / 2.0).sqrt(), 2.0 * n - 2.0, 0.05);
        assert!((of(0.5, 64.0) - 0.80).abs() < 0.005 && of(0.5, 63.0) < 0.80);
        assert!(of(0.8, 26.0) > 0.80 && of(0.8, 25.0) < 0.80);
        assert!((of(0.0, 20.0) - 0.05).abs() < 1e-6, "no effect is found at the level itself");
        assert!((of(5.0, 100.0) - 1.0).abs() < 1e-9);
        assert!(power(3.0, 1.0, 0.05) > 0.05);
    }
}
