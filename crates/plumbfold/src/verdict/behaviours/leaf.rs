use std::f64::consts::FRAC_PI_4;

use super::super::{Behaviour, Finding, Path};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Leaf,
    reason: "For more than half of the second half of its time the air meets it more than 45 \
             degrees off the nose. Beyond 45 degrees the drag of a plate is more than its lift \
             (the force stands square on the plate), so it drops more than it flies.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let off = |p: &super::super::path::PathPoint| p.off_nose_rad > FRAC_PI_4;
    let half = path.time_s() / 2.0;
    let share = path.share_of_time(half, off);
    if share <= 0.5 {
        return None;
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
