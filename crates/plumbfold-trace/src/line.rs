//! A straight line, or one that bows a little, through points of which some are wrong.

use nalgebra::{Matrix3, Vector2, Vector3};

use crate::polygon::{Pt, cross};

/// A line through points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Middle of its points.
    pub at: Pt,
    /// Along it, unit.
    pub along: Vector2<f64>,
    /// Root mean square distance of its points.
    pub rms: f64,
    /// Share of all points that lie on it.
    pub share: f64,
    /// Number of these points.
    pub count: usize,
    /// How far it bows in its middle over the chord through its ends, to the left of `along`.
    pub bow: f64,
}

impl Line {
    /// Through two points.
    pub fn through(a: Pt, b: Pt) -> Self {
        let at = nalgebra::center(&a, &b);
        Self { at, along: (b - a).normalize(), rms: 0.0, share: 1.0, count: 2, bow: 0.0 }
    }

    /// To the left of it, unit (x right, y down: to its right hand).
    pub fn normal(&self) -> Vector2<f64> {
        Vector2::new(-self.along.y, self.along.x)
    }

    /// Distance of a place, with its side.
    pub fn off(&self, p: Pt) -> f64 {
        self.normal().dot(&(p - self.at))
    }

    /// The place of it nearest to another.
    pub fn foot(&self, p: Pt) -> Pt {
        p - self.normal() * self.off(p)
    }

    /// Where two lines cross; none where they are within a thousandth of parallel.
    pub fn crossing(&self, other: &Self) -> Option<Pt> {
        let d = cross(self.along, other.along);
        let t = cross(other.at - self.at, other.along) / d;
        (d.abs() > 1e-3).then(|| self.at + self.along * t)
    }
}

/// Fits a line by total least squares to those points that lie within `tolerance` of the best
/// bowed line through three of them; the bow is fitted too and told. None for fewer than four
/// points.
pub fn fit(points: &[Pt], tolerance: f64) -> Option<Line> {
    let n = points.len();
    if n < 4 {
        return None;
    }
    let chord = Line::through(points[0], points[n - 1]);
    if !chord.along.x.is_finite() {
        return None;
    }
    let place = |p: Pt| ((p - chord.at).dot(&chord.along), chord.off(p));
    let uv: Vec<(f64, f64)> = points.iter().map(|&p| place(p)).collect();
    let half = uv.iter().map(|p| p.0.abs()).fold(0.0, f64::max).max(1e-9);
    let row = |u: f64| Vector3::new(1.0, u / half, (u / half).powi(2));
    let off = |c: &Vector3<f64>, &(u, v): &(f64, f64)| v - c.dot(&row(u));
    let agree =
        |c: &Vector3<f64>, within: f64| uv.iter().filter(|p| off(c, p).abs() <= within).count();
    // Three points from three thirds of the line; a fixed sequence, so the answer never changes.
    let third = n / 3;
    let mut best = (0, Vector3::zeros());
    let mut seed = 1u64;
    for _ in 0..120 {
        let mut pick = |k: usize| {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let size = if k == 2 { n - 2 * third } else { third };
            uv[k * third + (seed >> 33) as usize % size.max(1)]
        };
        let three = [pick(0), pick(1), pick(2)];
        let m = Matrix3::from_rows(&three.map(|p| row(p.0).transpose()));
        let Some(inverse) = m.try_inverse() else { continue };
        let c = inverse * Vector3::from(three.map(|p| p.1));
        let count = agree(&c, tolerance);
        if count > best.0 {
            best = (count, c);
        }
    }
    let mut bowed = best.1;
    let mut within = tolerance;
    for _ in 0..4 {
        let (mut m, mut b) = (Matrix3::zeros(), Vector3::zeros());
        for p in uv.iter().filter(|p| off(&bowed, p).abs() <= within) {
            m += row(p.0) * row(p.0).transpose();
            b += row(p.0) * p.1;
        }
        if let Some(inverse) = m.try_inverse() {
            bowed = inverse * b;
        }
        // Three standard deviations, from the median distance (0.6745 of one for a normal spread).
        let mut offs: Vec<f64> = uv.iter().map(|p| off(&bowed, p).abs()).collect();
        offs.sort_by(f64::total_cmp);
        within = (3.0 * offs[n / 2] / 0.6745).clamp(0.25 * tolerance, tolerance);
    }
    let on: Vec<Pt> = points
        .iter()
        .zip(&uv)
        .filter(|(_, p)| off(&bowed, p).abs() <= within)
        .map(|(&p, _)| p)
        .collect();
    let rms = {
        let on = uv.iter().map(|p| off(&bowed, p)).filter(|o| o.abs() <= within);
        (on.map(|o| o * o).sum::<f64>() / agree(&bowed, within).max(1) as f64).sqrt()
    };
    let mut line = straight(&on)?;
    if line.along.dot(&chord.along) < 0.0 {
        line.along = -line.along;
    }
    Some(Line { rms, share: on.len() as f64 / n as f64, count: on.len(), bow: -bowed[2], ..line })
}

/// Total least squares through all points.
pub fn straight(points: &[Pt]) -> Option<Line> {
    let n = points.len() as f64;
    if points.len() < 2 {
        return None;
    }
    let at = Pt::from(points.iter().map(|p| p.coords).sum::<Vector2<f64>>() / n);
    let [mut xx, mut yy, mut xy] = [0.0; 3];
    for p in points {
        let d = p - at;
        (xx, yy, xy) = (xx + d.x * d.x, yy + d.y * d.y, xy + d.x * d.y);
    }
    let angle = 0.5 * f64::atan2(2.0 * xy, xx - yy);
    let along = Vector2::new(angle.cos(), angle.sin());
    let line = Line { at, along, rms: 0.0, share: 1.0, count: points.len(), bow: 0.0 };
    let rms = (points.iter().map(|&p| line.off(p).powi(2)).sum::<f64>() / n).sqrt();
    Some(Line { rms, ..line })
}
