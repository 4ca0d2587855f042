//! Doubts that no scatter of the points shows: of the scale, of what is level.

use nalgebra::Complex;

use super::release::RELEASE_S;
use super::{Glide, Known, Point, Track};

impl Track {
    /// The same with wider errors. `others` are the same path as it would be were one thing it was measured
    /// by off by its standard deviation, for each thing one way and the other: what that makes of the
    /// release and of the glide, by how it turns and stretches the way between their ends, is added in
    /// squares.
    #[must_use]
    pub fn doubted(mut self, others: &[Vec<Point>]) -> Self {
        let points = &self.points;
        let last = points.len() - 1;
        let released = points.iter().rposition(|p| p.t_s <= RELEASE_S).unwrap_or(last).max(1);
        let settled = points.iter().position(|p| p.t_s >= self.settled_from_s).unwrap_or(0);
        let way = |p: &[Point], from: usize, to: usize| {
            Complex::new(p[to].x_m - p[from].x_m, p[to].z_m - p[from].z_m)
        };
        let Glide { ratio, speed_m_s, sink_m_s } = self.glide;
        let glide = Complex::new(ratio.value * sink_m_s.value, -sink_m_s.value);
        let mut wider = [0.0; 7];
        for other in others.iter().filter(|o| o.len() == points.len()) {
            let changed = |from, to| way(other, from, to) / way(points, from, to);
            let (early, late) = (changed(0, released), changed(settled, last));
            let then = glide * late;
            let off = [
                self.speed_m_s.value * (early.norm() - 1.0),
                early.arg(),
                then.re / -then.im - ratio.value,
                speed_m_s.value * (late.norm() - 1.0),
                -then.im - sink_m_s.value,
                late.arg(),
                late.norm() - 1.0,
            ];
            for (sum, off) in wider.iter_mut().zip(off).filter(|(_, off)| off.is_finite()) {
                *sum += off * off / 2.0;
            }
        }
        let add = |known: &mut Known, square: f64| known.sd = (known.sd.powi(2) + square).sqrt();
        add(&mut self.speed_m_s, wider[0]);
        add(&mut self.elevation_rad, wider[1]);
        add(&mut self.glide.ratio, wider[2]);
        add(&mut self.glide.speed_m_s, wider[3]);
        add(&mut self.glide.sink_m_s, wider[4]);
        if let Some(pitch) = &mut self.pitch_rad {
            add(pitch, wider[5]);
        }
        self.level_sd_rad = Some(wider[5].sqrt());
        self.scale_sd = Some(wider[6].sqrt());
        self
    }
}
