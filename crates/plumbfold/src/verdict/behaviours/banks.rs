use std::f64::consts::FRAC_PI_6;

use super::super::{Behaviour, Finding, Path};
use super::Rule;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Banks,
    reason: "Its track ends more than 30 degrees off the throw: it lands further aside than half \
             as far as it flew ahead, which no thrower calls straight.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let last = path.last();
    if last.turned_rad.abs() <= FRAC_PI_6 {
        return None;
    }
    let side = if last.turned_rad > 0.0 { "right" } else { "left" };
    // Wind carries a plane aside whichever way it leans.
    let goes = if last.turned_rad * last.bank_rad < 0.0 { "drifts" } else { "banks" };
    let start = path.points.iter().find(|p| p.turned_rad.abs() > FRAC_PI_6 / 3.0).unwrap_or(last);
    let (turned, bank) = (last.turned_rad.to_degrees(), last.bank_rad.to_degrees());
    Some(Finding::new(
        Behaviour::Banks,
        start.t_s,
        &[("turned to the right", turned, "deg"), ("bank at the end", bank, "deg")],
        format!("It {goes} off to the {side} and lands {:.0} degrees off the throw.", turned.abs()),
    ))
}
