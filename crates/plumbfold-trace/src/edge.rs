//! One edge between two shades, found to a fraction of a dot along many short lines across it.

use nalgebra::Vector2;

use crate::photo::Photo;
use crate::polygon::Pt;

/// An edge met on a line across it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Met {
    /// Place along the line from its middle, dots.
    pub at: f64,
    /// How much the shade changes there, in light along the given direction, for each dot.
    pub strength: f64,
    /// Standard deviation of the blur across it, dots.
    pub blur: f64,
}

/// Shades along a line through a dot: so many dots each way, in steps.
pub struct Across {
    values: Vec<[f32; 3]>,
    step: f64,
}

impl Across {
    /// Read from the photo; `way` is a unit vector.
    pub fn read(photo: &Photo, middle: Pt, way: Vector2<f64>, reach: f64, step: f64) -> Self {
        let n = (reach / step).ceil() as i32;
        let values = (-n..=n).map(|i| photo.light(middle + way * (f64::from(i) * step))).collect();
        Self { values, step }
    }

    /// The same with light told by its logarithm and its grey part held down: a shadow, which darkens
    /// all channels by one factor, all but vanishes, and a change of colour stays. Where edges are
    /// blurred they lie a little towards the dark side of their place, so this finds them, and
    /// light itself tells where they are.
    pub fn shadowless(&self, grey: f32) -> Self {
        // A hundredth of full light is as dark as print gets; it keeps noise in the dark small.
        let log = |v: &[f32; 3]| {
            let l = v.map(|c| (c.max(0.0) + 0.01).ln());
            let mean = l.iter().sum::<f32>() / 3.0;
            l.map(|c| c - (1.0 - grey) * mean)
        };
        Self { values: self.values.iter().map(log).collect(), step: self.step }
    }

    /// Mean shades of the first and last of it, a share of its length each.
    pub fn ends(&self, share: f64) -> [[f32; 3]; 2] {
        let n = ((self.values.len() as f64 * share) as usize).max(1);
        let mean = |part: &[[f32; 3]]| {
            std::array::from_fn(|c| part.iter().map(|v| v[c]).sum::<f32>() / part.len() as f32)
        };
        [mean(&self.values[..n]), mean(&self.values[self.values.len() - n..])]
    }

    /// The strongest change towards a direction of shade, nearer ones preferred: at `reach` from
    /// the middle an edge counts half.
    pub fn edge(&self, toward: [f32; 3]) -> Option<Met> {
        let n = self.values.len();
        let shade: Vec<f64> = self
            .values
            .iter()
            .map(|v| f64::from(v[0] * toward[0] + v[1] * toward[1] + v[2] * toward[2]))
            .collect();
        // Change over a window of about two dots, which tames the noise of single dots.
        let wide = ((1.0 / self.step).round() as usize).max(1);
        if n < 2 * wide + 3 {
            return None;
        }
        let slope: Vec<f64> = (wide..n - wide)
            .map(|i| (shade[i + wide] - shade[i - wide]) / (2.0 * wide as f64 * self.step))
            .collect();
        let middle = (slope.len() - 1) as f64 / 2.0;
        let liked = |i: usize| slope[i] * (1.0 - 0.5 * ((i as f64 - middle) / middle).powi(2));
        let top = (0..slope.len()).max_by(|&a, &b| liked(a).total_cmp(&liked(b)))?;
        let peak = slope[top];
        if peak.is_nan() || peak <= 0.0 {
            return None;
        }
        // The centre of what rises over a third of the peak around it.
        let floor = peak / 3.0;
        let from = (0..top).rev().find(|&i| slope[i] < floor).map_or(0, |i| i + 1);
        let to = (top..slope.len()).find(|&i| slope[i] < floor).unwrap_or(slope.len());
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for (i, s) in slope.iter().enumerate().take(to).skip(from) {
            let weight = s - floor;
            let x = (i as f64 - middle) * self.step;
            (sum, first, second) = (sum + weight, first + weight * x, second + weight * x * x);
        }
        let at = first / sum;
        // A bell cut at a third of its height, with the cut taken off, keeps 0.38 of its variance;
        // the window itself adds a third of its half width squared.
        let window = (wide as f64 * self.step).powi(2) / 3.0;
        let blur = ((second / sum - at * at).max(0.0) / 0.38 - window).max(0.0).sqrt();
        (sum > 0.0).then_some(Met { at, strength: peak, blur })
    }
}

/// Direction from one shade to another, unit, and its length.
pub fn toward(from: [f32; 3], to: [f32; 3]) -> ([f32; 3], f32) {
    let d: [f32; 3] = std::array::from_fn(|c| to[c] - from[c]);
    let length = d.iter().map(|v| v * v).sum::<f32>().sqrt();
    (d.map(|v| v / length.max(1e-6)), length)
}
