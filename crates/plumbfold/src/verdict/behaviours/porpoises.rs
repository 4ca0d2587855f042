use super::super::{Behaviour, Finding, Path};
use super::Rule;

/// Smaller swings of the slope are not seen as porpoising, rad (10 degrees, guessed).
const SWING_RAD: f64 = 10.0 * std::f64::consts::PI / 180.0;
/// A swing that keeps at least this share of the first does not settle: a phugoid in a glide keeps
/// 43 % from one swing to the next at lift over drag 4 and 57 % at 6 (damping ratio
/// `3 sin(slope) / (2 sqrt 2)`).
const KEPT: f64 = 0.8;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Porpoises,
    reason: "Its path swings up and down at least one and a half times by 10 degrees or more, \
             and the last swing is at least 80 % of the first: a swing that damps as an ordinary \
             glider's does loses half of itself each time.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let turns = path.swings(SWING_RAD);
    // The first stretch runs from the release, which is no turning point.
    let sizes: Vec<f64> = turns.windows(2).skip(1).map(|w| (w[1].1 - w[0].1).abs()).collect();
    let (&first, &last) = (sizes.first()?, sizes.last()?);
    if sizes.len() < 2 || last < KEPT * first {
        return None;
    }
    let period = 2.0 * (turns[turns.len() - 1].0 - turns[1].0) / sizes.len() as f64;
    Some(Finding::new(
        Behaviour::Porpoises,
        turns[1].0,
        &[
            ("swings", sizes.len() as f64, ""),
            ("first swing of the slope", first.to_degrees(), "deg"),
            ("last swing of the slope", last.to_degrees(), "deg"),
            ("period", period, "s"),
        ],
        format!("It porpoises: up and down every {period:.1} s without settling."),
    ))
}
