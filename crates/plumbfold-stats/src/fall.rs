//! Something dropped, filmed as the plane is: whether scale and frame rate are what they are taken for.

use nalgebra::{DMatrix, DVector};
use plumbfold::flight::rigid::GRAVITY_M_S2;

use crate::track::{Known, Point, TrackError, linear};

/// Shortest fall that tells anything, m.
const FALL_MIN_M: f64 = 0.2;
/// Something falls where it gathers speed by so many standard deviations.
const SURELY: f64 = 4.0;
/// Fewest pictures of it.
const POINTS_MIN: usize = 8;

/// What a fall says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fall {
    /// How it gathers speed by this scale and these times, m/s2.
    pub fall_m_s2: Known,
    /// How many times slower than real the film plays, if the scale is right.
    pub slowed: Known,
    /// How far from downwards it falls, rad: the picture leans so much.
    pub leans_rad: Known,
    /// How far it fell, m.
    pub height_m: f64,
}

/// Fits a fall: parabolas in time for both ways. `doubted` are the same with one thing it was measured by
/// off by its standard deviation, one way and the other, as for a path. Drag is left out: keys or a ball lose less
/// than a hundredth by it in 1.5 m.
///
/// # Errors
/// Too few pictures, too short a fall, or something that does not fall.
pub fn fall(points: &[Point], doubted: &[Vec<Point>]) -> Result<Fall, TrackError> {
    let n = points.len();
    if n < POINTS_MIN {
        let why = format!("{n} pictures show the fall; it takes {POINTS_MIN}");
        return Err(TrackError::TooLittle(why));
    }
    let ([side, down], [side_sd, down_sd]) = gathering(points).ok_or_else(none)?;
    let height_m = points[0].z_m - points[n - 1].z_m;
    if height_m < FALL_MIN_M || down <= 0.0 {
        return Err(none());
    }
    let [rate, lean] = [down.hypot(side), side.atan2(down)];
    let (mut rate_var, mut lean_var) = (down_sd.powi(2), (side_sd / down).powi(2));
    for ([s, d], _) in doubted.iter().filter_map(|p| gathering(p)) {
        rate_var += (d.hypot(s) - rate).powi(2) / 2.0;
        lean_var += (s.atan2(d) - lean).powi(2) / 2.0;
    }
    // A glide gathers next to nothing.
    if rate < SURELY * rate_var.sqrt() {
        return Err(none());
    }
    let slowed = (GRAVITY_M_S2 / rate).sqrt();
    Ok(Fall {
        fall_m_s2: Known { value: rate, sd: rate_var.sqrt() },
        slowed: Known { value: slowed, sd: slowed * rate_var.sqrt() / rate / 2.0 },
        leans_rad: Known { value: lean, sd: lean_var.sqrt() },
        height_m,
    })
}

fn none() -> TrackError {
    let why = "nothing falls there: drop keys or a ball from as high as you reach, in front of the same \
               camera, and click on it";
    TrackError::TooLittle(why.into())
}

/// Accelerations forward and downward, m/s2, and their standard deviations.
fn gathering(points: &[Point]) -> Option<([f64; 2], [f64; 2])> {
    let n = points.len();
    let span = points[n - 1].t_s - points[0].t_s;
    let design =
        DMatrix::from_fn(n, 3, |i, k| ((points[i].t_s - points[0].t_s) / span).powi(k as i32));
    let of = |value: fn(&Point) -> f64| {
        let fit = linear(&design, &DVector::from_iterator(n, points.iter().map(value)))?;
        let scale = 2.0 / (span * span);
        Some((fit.at[2] * scale, fit.covariance[(2, 2)].sqrt() * scale))
    };
    let ((side, side_sd), (up, up_sd)) = of(|p| p.x_m).zip(of(|p| p.z_m))?;
    Some(([side, -up], [side_sd, up_sd]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Dropped from rest, filmed so many pictures a second and played at 30.
    fn dropped(filmed_hz: f64, scale: f64) -> Vec<Point> {
        let place = |k: usize| {
            let t = k as f64 / filmed_hz;
            let wobble = 0.001 * (k as f64 * 12.9898).sin();
            let z_m = scale * (1.5 - 0.5 * GRAVITY_M_S2 * t * t) + wobble;
            Point { t_s: k as f64 / 30.0, x_m: 0.0, z_m, pitch_rad: None }
        };
        (0..(0.5 * filmed_hz) as usize).map(place).collect()
    }

    #[test]
    fn a_fall_tells_how_much_slower_a_film_plays() {
        for (hz, slowed) in [(30.0, 1.0), (120.0, 4.0), (240.0, 8.0)] {
            let found = fall(&dropped(hz, 1.0), &[]).unwrap();
            assert!((found.slowed.value / slowed - 1.0).abs() < 0.01, "{hz}: {found:?}");
            assert!(found.leans_rad.value.abs() < 0.01);
        }
        // A scale too small by a tenth shows as a fall that is too slow, and in a doubt of the scale.
        let small = fall(&dropped(30.0, 0.9), &[dropped(30.0, 0.99), dropped(30.0, 0.81)]).unwrap();
        assert!((small.fall_m_s2.value / GRAVITY_M_S2 - 0.9).abs() < 0.01);
        assert!((small.fall_m_s2.sd / GRAVITY_M_S2 - 0.09).abs() < 0.01);
    }

    #[test]
    fn what_does_not_fall_is_refused() {
        let mut rising = dropped(30.0, 1.0);
        rising.reverse();
        for p in &mut rising {
            p.t_s = 1.0 - p.t_s;
        }
        assert!(fall(&rising, &[]).is_err());
        let glide = |k: usize| {
            let (t, wobble) = (k as f64 / 30.0, 0.002 * (k as f64 * 12.9898).sin());
            Point { t_s: t, x_m: 3.0 * t, z_m: 2.0 - 0.8 * t + wobble, pitch_rad: None }
        };
        assert!(fall(&(0..40).map(glide).collect::<Vec<_>>(), &[]).is_err());
        assert!(fall(&rising[..3], &[]).unwrap_err().to_string().contains("3 pictures"));
    }
}
