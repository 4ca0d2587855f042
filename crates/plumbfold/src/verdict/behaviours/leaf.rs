use std::f64::consts::{FRAC_PI_4, PI};

use super::super::{Behaviour, Finding, Path};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Leaf,
    reason: "For more than half of the second half of its time the air meets it more than 45 \
             degrees off the nose. Beyond 45 degrees the drag of a plate is more than its lift \
             (the force stands square on the plate), so it drops more than it flies. Or it mushes: \
             for three quarters of its time the air meets it more than 20 degrees off the nose, \
             and it comes down steeper than 25 degrees.",
    judge,
};

/// A stalled plane that sinks nose up: incidence at which plates of aspect ratio 1 to 2 have left
/// the first regime of lift (Torres & Mueller 2004: 13 to 28 degrees, second-hand).
const MUSHING_RAD: f64 = 20.0 * PI / 180.0;
/// Slope of a plane that drops rather than glides (common practice, no source).
const DROPPING_RAD: f64 = 25.0 * PI / 180.0;

/// Down with the nose up, from near the hand on.
fn mushes(path: &Path) -> Option<Finding> {
    let off = |p: &super::super::path::PathPoint| p.off_nose_rad > MUSHING_RAD;
    let quarter = path.time_s() / 4.0;
    let (share, slope) = (path.share_of_time(quarter, off), path.descent_rad(0.75));
    if share <= 0.75 || slope <= DROPPING_RAD {
        return None;
    }
    let start = path.points.iter().find(|p| off(p)).unwrap_or(path.last());
    Some(Finding::new(
        Behaviour::Leaf,
        start.t_s,
        &[
            ("time with the air more than 20 deg off the nose", share * 100.0, "%"),
            ("slope", slope.to_degrees(), "deg"),
            ("distance", path.distance_m, "m"),
        ],
        format!(
            "It mushes: nose up it drops at {:.0} degrees, {:.1} m from the hand.",
            slope.to_degrees(),
            path.distance_m
        ),
    ))
}

fn judge(path: &Path) -> Option<Finding> {
    let off = |p: &super::super::path::PathPoint| p.off_nose_rad > FRAC_PI_4;
    let half = path.time_s() / 2.0;
    let share = path.share_of_time(half, off);
    if share <= 0.5 {
        return mushes(path);
    }
    let start = path.points.iter().find(|p| off(p)).unwrap_or(path.last());
    // Sideways or backwards as often as forwards: it rocks to and fro.
    let sides = path.points.iter().filter(|p| off(p)).map(|p| p.incidence_rad.sin().signum());
    let rocking = sides.clone().any(|s| s > 0.0) && sides.into_iter().any(|s| s < 0.0);
    let how = if rocking { "fluttering to and fro" } else { "flat, with no forward way" };
    Some(Finding::new(
        Behaviour::Leaf,
        start.t_s,
        &[
            ("time with the air more than 45 deg off the nose", share * 100.0, "%"),
            ("distance", path.distance_m, "m"),
            ("time aloft", path.time_s(), "s"),
        ],
        format!("It loses its way after {:.1} s and drops like a leaf, {how}.", start.t_s),
    ))
}
