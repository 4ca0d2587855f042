use std::f64::consts::{FRAC_PI_3, PI};

use super::super::{Behaviour, Finding, Path};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Spirals,
    reason: "It turns right round (180 degrees), or comes down turning with more than 60 degrees \
             of bank: there a wing must carry twice the weight to stay up, which a glider cannot \
             do for long, so the turn tightens.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let last = path.last();
    let round = last.turned_rad.abs() > PI;
    let steep = last.bank_rad.abs() > FRAC_PI_3 && last.turned_rad.abs() > PI / 6.0;
    if !round && !steep {
        return None;
    }
    let side = if last.turned_rad > 0.0 { "right" } else { "left" };
    let start = path.points.iter().find(|p| p.turned_rad.abs() > PI / 6.0).unwrap_or(last);
    let (turned, bank) = (last.turned_rad.to_degrees(), last.bank_rad.to_degrees());
    Some(Finding::new(
        Behaviour::Spirals,
        start.t_s,
        &[("turned to the right", turned, "deg"), ("bank at the end", bank, "deg")],
        format!(
            "It turns {:.0} degrees to the {side} and spirals in, banked {:.0} degrees at the end.",
            turned.abs(),
            bank.abs()
        ),
    ))
}
