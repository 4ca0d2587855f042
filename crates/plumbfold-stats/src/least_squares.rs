//! Nonlinear least squares with errors: Levenberg and Marquardt's method as MINPACK has it (J. J.
//! Moré, Lecture Notes in Mathematics 630, 1978), from the crate `rmpfit`.

use nalgebra::DMatrix;
use rmpfit::{MPConfig, MPFitter, MPMaxFev, MPPar, MPResult, MPSide};

/// A fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The parameters.
    pub at: Vec<f64>,
    /// Sum of the squared residuals.
    pub rss: f64,
    /// Degrees of freedom: points less parameters.
    pub freedom: f64,
    /// Covariance of the parameters: residual variance times the inverse of J'J.
    pub covariance: DMatrix<f64>,
}

/// Why there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitError {
    /// As many parameters as points, or more.
    #[error("too few points for a fit")]
    TooFew,
    /// It wandered off.
    #[error("the fit did not settle")]
    Unsettled,
    /// Two parameters do the same.
    #[error("the points do not tell the parameters apart")]
    Singular,
}

impl Fit {
    /// Standard deviation of the residuals.
    pub fn residual_sd(&self) -> f64 {
        (self.rss / self.freedom).sqrt()
    }

    /// Standard deviation of a parameter.
    pub fn sd(&self, k: usize) -> f64 {
        self.covariance[(k, k)].sqrt()
    }

    /// Standard deviation of something with this gradient in the parameters.
    pub fn sd_of(&self, gradient: &[f64]) -> f64 {
        let g = nalgebra::DVector::from_column_slice(gradient);
        (g.transpose() * &self.covariance * &g)[(0, 0)].max(0.0).sqrt()
    }
}

struct Problem<'a> {
    residuals: &'a dyn Fn(&[f64], &mut [f64]),
    points: usize,
    parameters: Vec<MPPar>,
    config: MPConfig,
}

impl MPFitter for Problem<'_> {
    fn eval(&mut self, at: &[f64], deviates: &mut [f64]) -> MPResult<()> {
        (self.residuals)(at, deviates);
        // A place without an answer is a bad place, from which the search turns back.
        for d in deviates.iter_mut().filter(|d| !d.is_finite()) {
            *d = 1e150;
        }
        Ok(())
    }

    fn number_of_points(&self) -> usize {
        self.points
    }

    fn config(&self) -> &MPConfig {
        &self.config
    }

    fn parameters(&self) -> &[MPPar] {
        &self.parameters
    }
}

/// Least squares of `points` residuals from a start. `residuals` writes them for a set of
/// parameters. Each search is begun again where it stopped until it stays there, since a step
/// bound that shrank early can hold one up.
///
/// # Errors
/// Too few points, a search that does not settle, parameters that cannot be told apart.
pub fn fit(
    start: &[f64],
    points: usize,
    residuals: &dyn Fn(&[f64], &mut [f64]),
) -> Result<Fit, FitError> {
    const AGAIN: usize = 8;
    if points <= start.len() {
        return Err(FitError::TooFew);
    }
    let central = || MPPar { side: MPSide::Both, ..MPPar::new() };
    let parameters = start.iter().map(|_| central()).collect();
    let config = MPConfig {
        ftol: 1e-14,
        xtol: 1e-14,
        gtol: 1e-14,
        max_iter: 2000,
        max_fev: MPMaxFev::Limited(20_000),
        ..MPConfig::new()
    };
    let mut problem = Problem { residuals, points, parameters, config };
    let mut at = start.to_vec();
    let rss_at = |at: &[f64]| {
        let mut r = vec![0.0; points];
        residuals(at, &mut r);
        r.iter().map(|r| r * r).sum::<f64>()
    };
    let mut before = f64::INFINITY;
    for _ in 0..AGAIN {
        problem.mpfit(&mut at).map_err(|_| FitError::Unsettled)?;
        let rss = rss_at(&at);
        if !rss.is_finite() {
            return Err(FitError::Unsettled);
        }
        if before - rss <= 1e-12 * rss {
            break;
        }
        before = rss;
    }
    let rss = rss_at(&at);
    let freedom = (points - start.len()) as f64;
    let inverse = inverse_normal(&at, points, residuals).ok_or(FitError::Singular)?;
    Ok(Fit { at, rss, freedom, covariance: inverse * (rss / freedom) })
}

/// The inverse of J'J by the singular values of J with its columns scaled to length one; none where
/// they tell that parameters do the same.
fn inverse_normal(
    at: &[f64],
    points: usize,
    residuals: &dyn Fn(&[f64], &mut [f64]),
) -> Option<DMatrix<f64>> {
    const LEAST: f64 = 1e-12;
    let n = at.len();
    let mut j = DMatrix::zeros(points, n);
    let (mut up, mut down) = (vec![0.0; points], vec![0.0; points]);
    for k in 0..n {
        let h = f64::EPSILON.cbrt() * at[k].abs().max(1e-8);
        let mut near = at.to_vec();
        near[k] = at[k] + h;
        residuals(&near, &mut up);
        near[k] = at[k] - h;
        residuals(&near, &mut down);
        for i in 0..points {
            j[(i, k)] = (up[i] - down[i]) / (2.0 * h);
        }
    }
    let lengths: Vec<f64> = (0..n).map(|k| j.column(k).norm()).collect();
    if lengths.iter().any(|l| !l.is_finite() || *l <= 0.0) {
        return None;
    }
    for (k, l) in lengths.iter().enumerate() {
        j.column_mut(k).scale_mut(1.0 / l);
    }
    let svd = j.svd(false, true);
    let v = svd.v_t?.transpose();
    let s = svd.singular_values;
    if s.min() < LEAST * s.max() {
        return None;
    }
    let d = DMatrix::from_diagonal(&s.map(|s| 1.0 / (s * s)));
    let inverse = &v * d * v.transpose();
    Some(DMatrix::from_fn(n, n, |a, b| inverse[(a, b)] / (lengths[a] * lengths[b])))
}
