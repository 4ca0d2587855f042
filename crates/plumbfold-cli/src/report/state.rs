//! A plane before or after a change, in one sentence and as JSON.

use plumbfold::study::remedy::State;
use serde::Serialize;

/// For other programs.
#[derive(Serialize)]
pub struct Shown {
    behind_nose_mm: f64,
    area_ahead_fraction: f64,
    behaviour: &'static str,
    glide_probability: f64,
    wing_loading_n_m2: f64,
    crease_layers_max: usize,
    throw_speed_mps: f64,
    distance_m: f64,
}

impl Shown {
    /// Of a plane.
    pub fn new(s: &State) -> Self {
        Self {
            behind_nose_mm: s.behind_nose_m * 1e3,
            area_ahead_fraction: s.area_ahead_fraction,
            behaviour: s.behaviour.code(),
            glide_probability: s.glide_probability,
            wing_loading_n_m2: s.wing_loading_n_m2,
            crease_layers_max: s.crease_layers_max,
            throw_speed_mps: s.throw_speed_m_s,
            distance_m: s.distance_m,
        }
    }
}

/// In one sentence.
pub fn says(s: &State) -> String {
    format!(
        "{} ({:.0} % glide), balance {:.1} mm behind the nose, {:.1} % of the wing ahead",
        s.behaviour.words(),
        s.glide_probability * 100.0,
        s.behind_nose_m * 1e3,
        s.area_ahead_fraction * 100.0
    )
}
