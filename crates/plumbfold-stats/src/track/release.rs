//! Speed and climb angle at the first point.

use nalgebra::{DMatrix, DVector, Vector2};

use super::{Known, Linear, POINTS_MIN, Point, TrackError, linear};

/// The curve through the release takes at most this long, s: a plane's acceleration turns round in about
/// half of that (a fast swing of paper planes takes 0.5 to 1.5 s).
pub(super) const RELEASE_S: f64 = 0.5;
/// Degrees of that curve: a third cannot follow a fast swing, and a fifth follows the scatter.
const DEGREES: [usize; 2] = [3, 4];

/// From curves through the first half second. How sharply they may bend is told by the points: the
/// degree of the least corrected information criterion (C. M. Hurvich and C.-L. Tsai, "Regression and
/// time series model selection in small samples", Biometrika 76, 1989). Half of what the other degree
/// says otherwise counts as an error too: scatter of neighbours that hang together can look like a bend.
pub(super) fn release(points: &[Point]) -> Result<(Known, Known), TrackError> {
    let until = RELEASE_S.min(points[points.len() - 1].t_s / 2.0);
    let n = points.iter().take_while(|p| p.t_s <= until).count().max(POINTS_MIN).min(points.len());
    let early = &points[..n];
    let [third, fourth] = DEGREES.map(|degree| curve(early, degree));
    let ((v, cov, _), (other, ..)) = match (third, fourth) {
        (Some(a), Some(b)) if b.2 < a.2 => (b, a),
        (Some(a), Some(b)) => (a, b),
        (Some(a), None) => (a, a),
        _ => return Err(TrackError::TooLittle("the release cannot be fitted".into())),
    };
    let speed = v.norm();
    if speed < 0.05 {
        return Err(TrackError::TooLittle("it hardly moves at the beginning".into()));
    }
    let (along, off) = (v / speed, (other - v) / 2.0);
    let across = Vector2::new(-along.y, along.x);
    let sd = |way: Vector2<f64>| (way.component_mul(&way).dot(&cov) + off.dot(&way).powi(2)).sqrt();
    let climb = Known { value: v.y.atan2(v.x), sd: sd(across) / speed };
    Ok((Known { value: speed, sd: sd(along) }, climb))
}

/// Velocity at the beginning of a curve of such a degree, its variances, and the criterion.
fn curve(early: &[Point], degree: usize) -> Option<(Vector2<f64>, Vector2<f64>, f64)> {
    let n = early.len();
    let span = early[n - 1].t_s;
    let design = DMatrix::from_fn(n, degree + 1, |i, k| (early[i].t_s / span).powi(k as i32));
    let of = |value: fn(&Point) -> f64| {
        linear(&design, &DVector::from_iterator(n, early.iter().map(value)))
    };
    let (x, z): (Linear, Linear) = of(|p| p.x_m).zip(of(|p| p.z_m))?;
    let (values, free) = (2.0 * n as f64, 2.0 * (degree + 1) as f64 + 1.0);
    let worth = values * ((x.rss + z.rss) / values).ln()
        + 2.0 * free * values / (values - free - 1.0).max(1.0);
    let velocity = Vector2::new(x.at[1], z.at[1]) / span;
    let variances = Vector2::new(x.covariance[(1, 1)], z.covariance[(1, 1)]) / (span * span);
    Some((velocity, variances, worth))
}
