//! What a filmed path says: the answer of `path`, and of a film on the page.

use plumbfold::flight::rigid::{FlightError, GRAVITY_M_S2};
use plumbfold::flight::throw::{Hall, Throw, fly};
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::uncertainty::Perturbation;
use plumbfold_draw::filmed::filmed;
use plumbfold_draw::style::Look;
use plumbfold_stats::distribution::normal_quantile;
use plumbfold_stats::fall::Fall;
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
    /// Pitch of the plane in that glide, nose up, degrees; null where too few points tell it.
    pub glide_pitch_deg: Option<Measured>,
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

/// What something dropped before the camera says of scale, frame rate and level.
#[derive(Serialize, JsonSchema)]
pub struct Dropped {
    /// How it gathers speed, m/s2.
    pub fall_mps2: Measured,
    /// How many times slower than real the film plays, if the scale is right.
    pub slowed: Measured,
    /// How far from downwards it falls, degrees.
    pub leans_deg: Measured,
    /// How far it fell, m.
    pub height_m: f64,
    /// That in a sentence or two.
    pub said: String,
}

impl Dropped {
    /// Of a fall in a film that was taken to play so many times slower.
    pub fn new(fall: &Fall, taken: f64) -> Self {
        let one = |k| Measured::new(k, 1.0);
        let rate = one(fall.fall_m_s2);
        let slowed = Measured::new(fall.slowed, taken);
        let leans_deg = Measured::new(fall.leans_rad, 1f64.to_degrees());
        // A hundredth is nobody's frame rate.
        let fits = slowed.interval[0] <= 1.01 * taken && 0.99 * taken <= slowed.interval[1];
        let mut said = match fits {
            true => format!(
                "It falls as things fall, {}: scale and frame rate fit each other.",
                rate.said(2, "m/s\u{b2}")
            ),
            false => format!(
                "It gathers {} where things that fall gather 9.81. If the scale is right, the film \
                 plays {} times slower than it was taken; if the frame rate is right, lengths come out \
                 {} times as long as they are.",
                rate.said(2, "m/s\u{b2}"),
                slowed.said(2, ""),
                fixed(rate.value / GRAVITY_M_S2, 2)
            ),
        };
        let surely = leans_deg.interval[0] * leans_deg.interval[1] > 0.0;
        if surely && leans_deg.value.abs() > 1.0 {
            said += &format!(
                " It falls {} aside: the picture leans, and a glide is told too steep or too flat by as \
                 much.",
                leans_deg.said(1, "degrees")
            );
        }
        Self { fall_mps2: rate, slowed, leans_deg, height_m: fall.height_m, said }
    }
}

impl Measured {
    fn new(k: Known, scale: f64) -> Self {
        let (value, sd) = (k.value * scale, k.sd * scale.abs());
        let half = normal_quantile(0.975) * sd;
        Self { value, sd, interval: [value - half, value + half] }
    }

    /// Counted the other way.
    fn turned(&self) -> Self {
        let [low, high] = self.interval;
        Self { value: -self.value, sd: self.sd, interval: [-high, -low] }
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
            glide_pitch_deg: track.pitch_rad.map(|p| Measured::new(p, 1f64.to_degrees())),
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

    /// The path, with the predicted line over it where there is one.
    pub fn picture(&self, look: &Look, track: &Track, line: &[[f64; 2]]) -> String {
        let points: Vec<[f64; 2]> = track.points.iter().map(|p| [p.x_m, p.z_m]).collect();
        let title = self.predicted.as_ref().map_or("Filmed path", |p| p.plane.as_str());
        let note = format!(
            "released at {} m/s; glides {} m for each metre of height",
            fixed(self.release_speed_mps.value, 2),
            fixed(self.glide_ratio.value, 2)
        );
        filmed(look, title, &note, &points, line)
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
        if let Some(pitch) = &self.glide_pitch_deg {
            let (way, pitch) = match pitch.value < 0.0 {
                true => ("down", pitch.turned()),
                false => ("up", *pitch),
            };
            said += &format!(" In the glide its nose points {} {way}.", pitch.said(1, "degrees"));
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

/// Time between points of the predicted flight, s.
const EVERY_S: f64 = 0.01;

/// The flight of a plane from the release that was filmed, forward and up in m as the film counts them,
/// as long as it was filmed; and how far both lie apart.
///
/// # Errors
/// A release that no hand makes, or a plane that cannot be flown.
pub fn predicted(
    plane: &str,
    craft: &Aircraft,
    track: &Track,
) -> Result<(Vec<[f64; 2]>, Overlay), FlightError> {
    // Heights may be counted from anywhere; the flight must not end before the film does.
    let lowest = track.points.iter().map(|p| p.z_m).fold(f64::INFINITY, f64::min);
    let first = track.points[0];
    let height_m = (first.z_m - lowest).max(1.0) + 2.0;
    let throw = Throw::straight(track.speed_m_s.value, track.elevation_rad.value, height_m);
    let body = craft.perturbed(&Perturbation::NONE)?;
    let flown = fly(&body, &throw, &Hall::default(), EVERY_S)?;
    let until = track.points[track.points.len() - 1].t_s;
    let line: Vec<[f64; 2]> = flown
        .samples
        .iter()
        .take_while(|s| s.t_s <= until)
        .map(|s| {
            let at = s.motion.position;
            [at.x.hypot(at.y), at.z - height_m + first.z_m]
        })
        .collect();
    let at = |t: f64| line.get((t / EVERY_S).round() as usize).copied();
    let apart: Vec<f64> = track
        .points
        .iter()
        .filter_map(|p| at(p.t_s).map(|[x, z]| (x - p.x_m).hypot(z - p.z_m)))
        .collect();
    let mean = apart.iter().sum::<f64>() / apart.len().max(1) as f64;
    let glide = at(track.settled_from_s).zip(line.last().copied()).and_then(|(a, b)| {
        let (forward, down) = (b[0] - a[0], a[1] - b[1]);
        (down > 0.05).then(|| forward / down)
    });
    let overlay = Overlay {
        plane: plane.to_owned(),
        apart_m: mean,
        apart_most_m: apart.iter().copied().fold(0.0, f64::max),
        glide_ratio: glide,
    };
    Ok((line, overlay))
}
