//! A plane before or after a change, in one sentence.

use plumbfold_view::numbers::Numbers;

/// In one sentence.
pub fn says(n: &Numbers) -> String {
    format!(
        "{} ({:.0} % glide), balance {:.1} mm behind the nose, {:.1} % of the wing ahead",
        n.behaviour.words(),
        n.glide_probability * 100.0,
        n.cg_behind_nose_mm,
        n.area_ahead_fraction * 100.0
    )
}
