use super::super::{Behaviour, Finding, Path};
use super::Rule;

/// Incidence beyond which a plate no longer gains lift, rad (25 degrees): the flat plate of aspect
/// ratio 1 of Pelletier & Mueller (J. Aircraft 37(5), 2000) carries most at 25 degrees; slender
/// plates go somewhat higher, wide ones stall earlier.
const STALLED_RAD: f64 = 25.0 * std::f64::consts::PI / 180.0;
/// A shorter look at a high incidence is a wobble, s. Guessed: a tenth of a second is about a
/// plane's own length of flight.
const SPELL_S: f64 = 0.1;
/// Climb above the hand that a thrower notices, m. Guessed: a hand's breadth or two.
const CLIMB_M: f64 = 0.15;
/// Left with less than this share of its speed at the top it carries less than 40 % of its weight
/// there at the incidence of the throw (lift goes with the square of the speed).
const SLOW: f64 = 0.63;

/// Steeper than this after the top it falls rather than glides, rad (35 degrees): twice the slope of
/// the poorest paper glider.
const STEEP_RAD: f64 = 35.0 * std::f64::consts::PI / 180.0;

pub(super) const RULE: Rule = Rule {
    behaviour: Behaviour::Stalls,
    reason: "It flies first, then meets the air at more than 25 degrees for longer than a wobble; \
             or it climbs, has less than 63 % of its speed left at the top and comes down steeper \
             than it could glide.",
    judge,
};

fn judge(path: &Path) -> Option<Finding> {
    let stalled = path.first_spell(SPELL_S, |p| p.off_level_rad > STALLED_RAD);
    let (first, top) = (path.first(), path.top());
    let left = top.speed_m_s / first.speed_m_s.max(f64::MIN_POSITIVE);
    let drops_after_top = path.points.iter().any(|p| p.t_s > top.t_s && -p.slope_rad > STEEP_RAD);
    let swooped = path.climb_m > CLIMB_M && left < SLOW && drops_after_top;
    let at = match stalled {
        Some(p) => p,
        None if swooped => top,
        None => return None,
    };
    let worst = path.points.iter().map(|p| p.off_level_rad).fold(0.0, f64::max).to_degrees();
    let slowest = path.points.iter().map(|p| p.speed_m_s).fold(f64::INFINITY, f64::min);
    let sentence = if path.climb_m > CLIMB_M {
        format!(
            "It climbs {:.1} m above the hand, runs out of speed ({slowest:.1} m/s) and stalls.",
            path.climb_m
        )
    } else {
        format!("It noses up to {worst:.0} degrees of incidence after {:.1} s and stalls.", at.t_s)
    };
    Some(Finding::new(
        Behaviour::Stalls,
        at.t_s,
        &[
            ("climb above the hand", path.climb_m, "m"),
            ("greatest incidence", worst, "deg"),
            ("least speed", slowest, "m/s"),
        ],
        sentence,
    ))
}
