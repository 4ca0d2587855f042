//! Air that moves through the room, everywhere alike: a steady draught and gusts.
//!
//! A plane is followed in the frame that moves with the air. A steady wind is then nothing but
//! another motion at release and a floor that slides by. In a gust that frame is accelerated, so
//! that gravity is lessened by the acceleration of the air; the air that a plane carries along is
//! already at rest in that frame, and paper displaces no air worth counting (its push in
//! accelerated air is left out: a thousandth of the weight).

use std::f64::consts::TAU;

use nalgebra::Vector3;

/// Fastest wind and strongest gust accepted, m/s: a fresh breeze, in which nobody throws paper.
pub const WIND_MAX_M_S: f64 = 10.0;
/// Shortest and longest gust accepted, and the latest, s.
pub const GUST_S: [f64; 2] = [0.05, 30.0];

/// A gust that swells and dies as 1 - cos, the shape of the discrete gusts of CS 25.341 (a) (2) and
/// 14 CFR 25.341 (from memory), here in time and over the whole plane at once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Gust {
    /// At its strongest, room frame, m/s.
    pub peak_m_s: [f64; 3],
    /// When it begins, s after release.
    pub begins_s: f64,
    /// How long it lasts, s; without a length it is none.
    pub lasts_s: f64,
}

impl Gust {
    /// Share of the peak, its integral, s, and its derivative, 1/s.
    fn share(&self, t_s: f64) -> [f64; 3] {
        let (t, lasts) = (t_s - self.begins_s, self.lasts_s);
        if !(t > 0.0 && lasts > 0.0) {
            return [0.0; 3];
        }
        if t >= lasts {
            return [0.0, lasts / 2.0, 0.0];
        }
        let phase = TAU * t / lasts;
        let grown = (t - lasts / TAU * phase.sin()) / 2.0;
        [(1.0 - phase.cos()) / 2.0, grown, TAU / lasts * phase.sin() / 2.0]
    }
}

/// How the air moves, room frame: x down the hall, y to the left, z up.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wind {
    /// All the time, m/s.
    pub steady_m_s: [f64; 3],
    /// And now and then.
    pub gusts: [Gust; 2],
}

impl Wind {
    /// Air at rest.
    pub const STILL: Self = Self {
        steady_m_s: [0.0; 3],
        gusts: [Gust { peak_m_s: [0.0; 3], begins_s: 0.0, lasts_s: 0.0 }; 2],
    };

    /// It never changes.
    pub fn is_steady(&self) -> bool {
        self.gusts.iter().all(|g| g.lasts_s <= 0.0 || g.peak_m_s == [0.0; 3])
    }

    fn gusts(&self, t_s: f64, which: usize) -> Vector3<f64> {
        self.gusts.iter().map(|g| Vector3::from(g.peak_m_s) * g.share(t_s)[which]).sum()
    }

    /// How fast the air moves, m/s.
    pub fn velocity(&self, t_s: f64) -> Vector3<f64> {
        Vector3::from(self.steady_m_s) + self.gusts(t_s, 0)
    }

    /// How far it has moved since release, m.
    pub fn moved(&self, t_s: f64) -> Vector3<f64> {
        Vector3::from(self.steady_m_s) * t_s + self.gusts(t_s, 1)
    }

    /// How fast it changes, m/s2.
    pub fn acceleration(&self, t_s: f64) -> Vector3<f64> {
        self.gusts(t_s, 2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gust_reaches_its_peak_half_way_and_moves_the_air_by_half_its_length() {
        let gust = Gust { peak_m_s: [0.8, 0.0, -0.2], begins_s: 0.5, lasts_s: 2.0 };
        let wind = Wind { steady_m_s: [-0.3, 0.1, 0.0], gusts: [gust, Gust::default()] };
        assert_eq!(wind.velocity(0.5), Vector3::new(-0.3, 0.1, 0.0));
        assert!((wind.velocity(1.5) - Vector3::new(0.5, 0.1, -0.2)).norm() < 1e-12);
        let all = Vector3::new(-0.9, 0.3, 0.0) + Vector3::new(0.8, 0.0, -0.2);
        assert!((wind.moved(3.0) - all).norm() < 1e-12, "{}", wind.moved(3.0));
        for t in [0.7, 1.1, 1.5, 2.2, 2.49, 3.0] {
            let h = 1e-5;
            let speed = (wind.moved(t + h) - wind.moved(t - h)) / (2.0 * h);
            let rate = (wind.velocity(t + h) - wind.velocity(t - h)) / (2.0 * h);
            assert!((speed - wind.velocity(t)).norm() < 1e-8, "{t}");
            assert!((rate - wind.acceleration(t)).norm() < 1e-8, "{t}");
        }
        assert!(Wind::STILL.is_steady() && !wind.is_steady());
    }
}
