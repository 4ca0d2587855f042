//! What a filmed path says: the answer of `path`.

use plumbfold_stats::distribution::normal_quantile;
use plumbfold_stats::track::{Known, Track};
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::fixed;

/// The answer of `path`.
#[derive(Serialize, JsonSchema)]
pub struct Filmed {
    /// Points used.
    pub points: usize,
    /// Time from the first to the last, s.
    pub seconds_s: f64,
    /// Speed at release, m/s.
    pub release_speed_mps: Measured,
    /// Climb angle at release, degrees.
    pub release_elevation_deg: Measured,
    /// Metres forward for each metre of height, once the throw is forgotten.
    pub glide_ratio: Measured,
    /// Speed of that glide, m/s.
    pub glide_speed_mps: Measured,
    /// Sinking of that glide, m/s.
    pub sink_mps: Measured,
    /// Period of the swing, s; null where none was seen.
    pub swing_period_s: Option<Measured>,
    /// Rate at which the swing dies, 1/s, negative where it grows; null where none was seen.
    pub swing_damping_per_s: Option<Measured>,
    /// Greatest height of the swing where it is first fitted, m; null where none was seen.
    pub swing_height_m: Option<f64>,
    /// Why no swing is told; null where one is.
    pub no_swing: Option<String>,
    /// Glide and swing are of the path from here on, s after the first point.
    pub settled_from_s: f64,
    /// Scatter of the points about the fit, mm.
    pub scatter_mm: f64,
    /// The predicted flight over the filmed one; null where no plane was named.
    pub predicted: Option<Overlay>,
    /// All that in a few sentences.
    pub said: String,
}

/// A number with its error.
#[derive(Clone, Copy, Serialize, JsonSchema)]
pub struct Measured {
    /// The number.
    pub value: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Its 95 % interval (normal).
    pub interval: [f64; 2],
}

/// The flight predicted for the release that was filmed.
#[derive(Serialize, JsonSchema)]
pub struct Overlay {
    /// Name of the plane.
    pub plane: String,
    /// Mean distance between the two paths at the same time, m.
    pub apart_m: f64,
    /// Greatest, m.
    pub apart_most_m: f64,
    /// Predicted metres forward for each metre of height over the same part of the path; null where
    /// the predicted flight is over before.
    pub glide_ratio: Option<f64>,
}

impl Measured {
    fn new(k: Known, scale: f64) -> Self {
        let (value, sd) = (k.value * scale, k.sd * scale.abs());
        let half = normal_quantile(0.975) * sd;
        Self { value, sd, interval: [value - half, value + half] }
    }

    fn said(&self, decimals: usize, unit: &str) -> String {
        let half = (self.interval[1] - self.interval[0]) / 2.0;
        format!("{} ± {} {unit}", fixed(self.value, decimals), fixed(half, decimals))
            .trim_end()
            .to_owned()
    }
}

impl Filmed {
    /// Of a path and the flight predicted for it.
    pub fn new(track: &Track, predicted: Option<Overlay>) -> Self {
        let one = |k| Measured::new(k, 1.0);
        let swing = track.swing;
        let mut filmed = Self {
            points: track.points.len(),
            seconds_s: track.points.last().map_or(0.0, |p| p.t_s),
            release_speed_mps: one(track.speed_m_s),
            release_elevation_deg: Measured::new(track.elevation_rad, 1f64.to_degrees()),
            glide_ratio: one(track.glide.ratio),
            glide_speed_mps: one(track.glide.speed_m_s),
            sink_mps: one(track.glide.sink_m_s),
            swing_period_s: swing.map(|s| one(s.period_s)),
            swing_damping_per_s: swing.map(|s| one(s.damping_per_s)),
            swing_height_m: swing.map(|s| s.amplitude_m),
            no_swing: track.no_swing.map(str::to_owned),
            settled_from_s: track.settled_from_s,
            scatter_mm: track.rest_m * 1e3,
            predicted,
            said: String::new(),
        };
        filmed.said = filmed.sentences();
        filmed
    }

    fn sentences(&self) -> String {
        let mut said = format!(
            "Released at {}, {}. Then it glides {} m for each metre of height at {}.",
            self.release_speed_mps.said(2, "m/s"),
            self.release_elevation_deg.said(1, "degrees"),
            self.glide_ratio.said(2, ""),
            self.glide_speed_mps.said(2, "m/s")
        );
        match (self.swing_period_s, self.swing_damping_per_s, &self.no_swing) {
            (Some(period), Some(damping), _) => {
                said += &format!(" It swings every {}", period.said(2, "s"));
                let d = damping.value;
                said += &match () {
                    () if damping.interval[0] > 0.0 => {
                        format!(", half dying out in {} s.", fixed(2f64.ln() / d, 1))
                    }
                    () if damping.interval[1] < 0.0 => {
                        format!(", doubling in {} s.", fixed(2f64.ln() / -d, 1))
                    }
                    () => "; whether that dies out cannot be told.".to_owned(),
                };
            }
            (_, _, Some(why)) => said += &format!(" No swing is told: {why}."),
            _ => {}
        }
        if let Some(p) = &self.predicted {
            said += &format!(
                " The flight predicted for {} from this release lies {} m off on the mean, {} m at \
                 most.",
                p.plane,
                fixed(p.apart_m, 2),
                fixed(p.apart_most_m, 2)
            );
        }
        said
    }
}
