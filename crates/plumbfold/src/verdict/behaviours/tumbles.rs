use std::f64::consts::TAU;

use super::super::{Behaviour, Finding, Path};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Tumbles,
    reason: "The air meets it from every side in turn: its incidence goes once round the whole \
             circle. A loop is not tumbling, because there the plane follows its own path.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let (mut low, mut high) = (path.first(), path.first());
    for p in &path.points {
        if p.incidence_rad < low.incidence_rad {
            low = p;
        }
        if p.incidence_rad > high.incidence_rad {
            high = p;
        }
        let turned = high.incidence_rad - low.incidence_rad;
        if turned >= TAU {
            let all = path.points.iter().map(|p| p.incidence_rad);
            let turns = (all.clone().fold(f64::MIN, f64::max) - all.fold(f64::MAX, f64::min)) / TAU;
            return Some(Finding::new(
                Behaviour::Tumbles,
                p.t_s,
                &[("turns head over heels", turns, ""), ("first turn done after", p.t_s, "s")],
                format!(
                    "It goes head over heels {turns:.1} times on the way down, the first time \
                     within {:.1} s.",
                    p.t_s
                ),
            ));
        }
    }
    None
}
