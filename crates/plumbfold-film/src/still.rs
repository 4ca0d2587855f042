//! What stands still behind everything that moves.

use crate::film::Film;

/// Pictures whose median is the background: a plane is at one place in few of them.
const SAMPLES: usize = 15;
/// A dot differs where it is so many standard deviations off its usual value.
const DEVIATIONS: f64 = 5.0;
/// Least difference that counts, grey levels: what a decoder makes of a flat wall (measured).
const LEVELS_MIN: f64 = 7.0;
/// Standard deviations to a median absolute one, for a normal spread.
const MAD: f64 = 1.4826;

/// A slope of the background that shows whether it moves, grey levels a dot, and how many it takes.
const EDGE_LEVELS: f64 = 12.0;
const EDGES_MIN: usize = 100;

/// The background and how much each of its dots wavers.
pub struct Still {
    width: usize,
    grey: Vec<u8>,
    /// Difference from which on a dot is something else.
    from: Vec<u8>,
}

/// A picture against the background.
pub struct Difference {
    /// Grey levels brighter than the background.
    pub brighter: Vec<i16>,
}

impl Still {
    /// Medians over pictures spread over the whole film.
    pub fn of(film: &Film<'_>) -> Self {
        let n = film.count();
        let count = SAMPLES.min(n);
        let pictures: Vec<&[u8]> =
            (0..count).map(|k| film.picture(k * (n - 1) / (count - 1).max(1))).collect();
        let [width, height] = film.size();
        let mut grey = Vec::with_capacity(width * height);
        let mut wavers = Vec::with_capacity(width * height);
        let mut values = vec![0u8; count];
        for i in 0..width * height {
            for (v, p) in values.iter_mut().zip(&pictures) {
                *v = p[i];
            }
            values.sort_unstable();
            let middle = values[count / 2];
            grey.push(middle);
            for v in &mut values {
                *v = v.abs_diff(middle);
            }
            values.sort_unstable();
            wavers.push(values[count / 2]);
        }
        let mut sorted = wavers.clone();
        sorted.sort_unstable();
        let usual = f64::from(sorted[sorted.len() / 2]);
        // A median of few values is rough: that of the neighbourhood of all dots is a floor.
        let threshold = |w: &u8| {
            let sd = MAD * f64::from(*w).max(usual);
            (DEVIATIONS * sd).clamp(LEVELS_MIN, 255.0) as u8
        };
        Self { width, grey, from: wavers.iter().map(threshold).collect() }
    }

    /// What a picture shows beyond the background. Lamps that flicker make a whole picture brighter:
    /// that is taken out.
    pub fn difference(&self, picture: &[u8]) -> Difference {
        let mut ratio: Vec<f32> = (0..picture.len())
            .step_by(31)
            .filter(|&i| self.grey[i] > 20)
            .map(|i| f32::from(picture[i]) / f32::from(self.grey[i]))
            .collect();
        ratio.sort_by(f32::total_cmp);
        let light = ratio.get(ratio.len() / 2).copied().unwrap_or(1.0).clamp(0.5, 2.0);
        let off = |(p, b): (&u8, &u8)| (f32::from(*p) - light * f32::from(*b)).round() as i16;
        Difference { brighter: picture.iter().zip(&self.grey).map(off).collect() }
    }

    /// Whether a dot is something else than the background.
    pub fn differs(&self, difference: &Difference, at: usize) -> bool {
        difference.brighter[at].unsigned_abs() > u16::from(self.from[at])
    }

    /// How far the whole picture lies from where the background was, dots: the camera moved. From
    /// slopes of the background (B. D. Lucas and T. Kanade, "An iterative image registration technique
    /// with an application to stereo vision", 1981).
    pub fn moved_dots(&self, difference: &Difference) -> f64 {
        let (mut xx, mut xy, mut yy, mut xt, mut yt) = (0.0, 0.0, 0.0, 0.0, 0.0);
        let mut edges = 0;
        let height = self.grey.len() / self.width;
        for y in (1..height - 1).step_by(3) {
            for x in (1..self.width - 1).step_by(3) {
                let i = y * self.width + x;
                let d = f64::from(difference.brighter[i]);
                let g = |j: usize| f64::from(self.grey[j]);
                let gx = (g(i + 1) - g(i - 1)) / 2.0;
                let gy = (g(i + self.width) - g(i - self.width)) / 2.0;
                // What is large is a thing that moves, and a slope as small as noise tells nothing.
                if d.abs() > 40.0 || gx.hypot(gy) < EDGE_LEVELS {
                    continue;
                }
                edges += 1;
                xx += gx * gx;
                xy += gx * gy;
                yy += gy * gy;
                xt += gx * d;
                yt += gy * d;
            }
        }
        let det = xx * yy - xy * xy;
        if edges < EDGES_MIN || det < 1e-3 * (xx + yy).powi(2) || det <= 0.0 {
            return 0.0;
        }
        let (dx, dy) = ((yy * xt - xy * yt) / det, (xx * yt - xy * xt) / det);
        dx.hypot(dy)
    }
}
