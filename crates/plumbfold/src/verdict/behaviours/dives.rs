use super::super::{Behaviour, Finding, Path};
use super::Rule;

/// Steeper than this on landing is no glide, rad (30.5 degrees, 1.7 to one): paper gliders glide at
/// 3 to 7 to one (8 to 18 degrees), so this is nearly twice the slope of the poorest.
const STEEP_RAD: f64 = 30.5 * std::f64::consts::PI / 180.0;
/// The end of the flight that is looked at, as a share of its time.
const END_SHARE: f64 = 0.25;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Dives,
    reason: "Over the last quarter of its time it comes down steeper than 30.5 degrees, nose first: \
             1.7 m for each metre of height, nearly twice the slope of a poor glider.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let slope = path.descent_rad(END_SHARE);
    if slope <= STEEP_RAD {
        return None;
    }
    let last = path.last();
    let start = path.points.iter().find(|p| -p.slope_rad > STEEP_RAD).unwrap_or(last);
    Some(Finding::new(
        Behaviour::Dives,
        start.t_s,
        &[
            ("slope at the end", slope.to_degrees(), "deg"),
            ("speed at the end", last.speed_m_s, "m/s"),
            ("distance", path.distance_m, "m"),
        ],
        format!(
            "It noses down after {:.1} s and dives at {:.0} degrees, {:.1} m from the hand.",
            start.t_s,
            slope.to_degrees(),
            path.distance_m
        ),
    ))
}
