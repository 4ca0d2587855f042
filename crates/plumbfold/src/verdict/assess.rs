//! The whole verdict: behaviour, how sure, the bands round the plane as it is, and why.

use rayon::prelude::*;

use crate::air::AirLoads;
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{Flight, Hall, SPEED_MAX_M_S, Throw, fly};

use super::bands::{Band, Search, band};
use super::uncertainty::{JUDGED_EVERY_S, Perturbation, Probabilities, Uncertainty, probabilities};
use super::{Behaviour, Finding, Path, judge};

/// How far the balance point is moved either way, and how fine, m.
const BALANCE_REACH_M: f64 = 0.040;
const BALANCE_STEP_M: f64 = 0.001;
/// How far the trailing edge is bent either way, and how fine, m.
const BEND_REACH_M: f64 = 0.004;
const BEND_STEP_M: f64 = 0.0002;
/// Throw speeds looked at, m/s: from a gentle push to a firm throw.
const SPEED_LEAST_M_S: f64 = 1.5;
const SPEED_MOST_M_S: f64 = 12.0;
const SPEED_STEP_M_S: f64 = 0.25;
/// Edges are found to this share of a step.
const EDGE_SHARE: f64 = 1.0 / 16.0;

/// A harder and a gentler throw, as multiples of the speed.
const HARDER: f64 = 1.35;
const GENTLER: f64 = 0.7;

/// A verdict is near an edge when the likeliest behaviour has less than this probability.
const SURE: f64 = 0.65;

/// What is asked about a plane.
#[derive(Clone, Copy, Debug)]
pub struct Question<'a> {
    /// The throw it is meant for.
    pub throw: &'a Throw,
    /// The room.
    pub hall: &'a Hall,
    /// Balance point behind the nose, m.
    pub balance_behind_nose_m: f64,
    /// Whether the plane has a trailing edge to bend.
    pub bendable: bool,
    /// What is not known.
    pub uncertainty: &'a Uncertainty,
    /// Flights behind the probabilities, and their seed.
    pub draws: (usize, u64),
}

/// What a plane does at another throw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherThrow {
    /// Its speed, m/s.
    pub speed_m_s: f64,
    /// What the plane does.
    pub behaviour: Behaviour,
}

/// How a plane flies, how sure that is, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// The flight of the plane as designed, thrown as asked.
    pub flight: Flight,
    /// What that flight was.
    pub finding: Finding,
    /// How probable each behaviour is.
    pub probability: Probabilities,
    /// Balance points that glide at this throw, m behind the nose: the band round the plane's own
    /// or the nearest one.
    pub balance: Option<Band>,
    /// Trailing-edge bends that glide, m, up positive, from the plane as it is.
    pub bend: Option<Band>,
    /// Throw speeds that glide, m/s.
    pub speed: Option<Band>,
    /// A harder throw.
    pub harder: OtherThrow,
    /// A gentler throw.
    pub gentler: OtherThrow,
    /// Whether another behaviour is nearly as likely.
    pub near_edge: bool,
    /// Why, in the trade's words.
    pub cause: String,
}

/// Flies a plane every way the verdict needs. `model` gives the plane for a perturbation.
///
/// # Errors
/// A throw outside the limits, or a plane that cannot be flown ([`FlightError`]).
pub fn assess<A: AirLoads>(
    model: &(impl Fn(&Perturbation) -> Result<Body<A>, FlightError> + Sync),
    question: &Question<'_>,
) -> Result<Verdict, FlightError> {
    let Question { throw, hall, balance_behind_nose_m: balance, .. } = *question;
    let nominal = Perturbation::NONE;
    let flight = fly(&model(&nominal)?, throw, hall, JUDGED_EVERY_S)?;
    let finding = judge(&Path::new(&flight));
    let behaves = |plane: &Perturbation, throw: &Throw| {
        let flight = fly(&model(plane).ok()?, throw, hall, JUDGED_EVERY_S).ok()?;
        Some(judge(&Path::new(&flight)).behaviour)
    };
    let probability = probabilities(model, throw, hall, question.uncertainty, question.draws)?;

    let search = |at: f64, least: f64, most: f64, step: f64| Search {
        at,
        least,
        most,
        step,
        resolution: step * EDGE_SHARE,
    };
    let least = (balance - BALANCE_REACH_M).max(0.0).min(balance);
    let balance_band =
        band(&search(balance, least, balance + BALANCE_REACH_M, BALANCE_STEP_M), |x| {
            behaves(&Perturbation { balance_aft_m: x - balance, ..nominal }, throw)
        });
    let bend = question.bendable.then(|| {
        band(&search(0.0, -BEND_REACH_M, BEND_REACH_M, BEND_STEP_M), |bend_m| {
            behaves(&Perturbation { bend_m, ..nominal }, throw)
        })
    });
    let v = throw.speed_m_s;
    let (slow, fast) = (v.min(SPEED_LEAST_M_S), v.max(SPEED_MOST_M_S));
    let speed = band(&search(v, slow, fast, SPEED_STEP_M_S), |speed_m_s| {
        behaves(&nominal, &Throw { speed_m_s, ..*throw })
    });
    let others: Vec<OtherThrow> = [HARDER, GENTLER]
        .into_par_iter()
        .map(|k| {
            let speed_m_s = (k * v).min(SPEED_MAX_M_S);
            let behaviour = behaves(&nominal, &Throw { speed_m_s, ..*throw });
            OtherThrow { speed_m_s, behaviour: behaviour.unwrap_or(finding.behaviour) }
        })
        .collect();
    let (harder, gentler) = (others[0], others[1]);
    let unsure = question.uncertainty.balance_against_pressure_m();
    let room_m = balance_band.map(|b| b.margin(balance).abs());
    let near_edge = near_edge(probability.likeliest(), finding.behaviour, room_m, unsure);
    let mut verdict = Verdict {
        flight,
        finding,
        probability,
        balance: balance_band,
        bend: bend.flatten(),
        speed,
        harder,
        gentler,
        near_edge,
        cause: String::new(),
    };
    verdict.cause = cause(&verdict, question);
    Ok(verdict)
}

/// Whether another behaviour is nearly as likely as the one found: the draws say so, or the balance
/// point lies nearer to the edge of its band than it is known.
fn near_edge(
    (likeliest, probability): (Behaviour, f64),
    found: Behaviour,
    room_m: Option<f64>,
    unsure_m: f64,
) -> bool {
    probability < SURE || likeliest != found || room_m.is_some_and(|room| room < unsure_m)
}

/// The cause as a sentence.
fn cause(v: &Verdict, question: &Question<'_>) -> String {
    use Behaviour::{Banks, Glides, Spirals};
    let balance = question.balance_behind_nose_m;
    let behaviour = v.finding.behaviour;
    if matches!(behaviour, Banks | Spirals) {
        return if question.throw.bank_rad.abs() > 0.05 {
            "it was thrown with a bank and does not level out".to_owned()
        } else {
            "one wing carries more than the other: look for a twist, a bend or a wing folded \
             wider than its twin"
                .to_owned()
        };
    }
    let side = |aft: f64| if aft > 0.0 { "back" } else { "forward" };
    match v.balance {
        Some(b) if behaviour == Glides => match (b.below, b.above) {
            (None, None) => "the balance point suits this throw with room to spare".to_owned(),
            _ => {
                let forward = b.below.map(|w| (balance - b.low, "forward", w));
                let back = b.above.map(|w| (b.high - balance, "back", w));
                let near = match (forward, back) {
                    (Some(f), Some(a)) => Some(if f.0 < a.0 { f } else { a }),
                    (f, a) => f.or(a),
                };
                near.map_or_else(String::new, |(room, way, then)| {
                    format!(
                        "the balance point suits this throw; {:.0} mm further {way} it {}",
                        (room * 1e3).max(0.0),
                        then.words()
                    )
                })
            }
        },
        Some(b) => {
            let aft = b.outside_by(balance);
            format!(
                "centre of gravity {:.0} mm too far {} for this throw",
                (aft.abs() * 1e3).max(1.0),
                side(aft)
            )
        }
        None => match v.speed {
            Some(s) if s.low > question.throw.speed_m_s => {
                format!("thrown too gently: it needs {:.1} m/s", s.low)
            }
            Some(s) => format!("thrown too hard: it glides up to {:.1} m/s", s.high),
            None => "no balance point within reach makes it glide at this throw".to_owned(),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_verdict_is_near_an_edge_on_either_ground() {
        use Behaviour::{Dives, Glides};
        let near = |p, found, room| near_edge((Glides, p), found, room, 1.6e-3);
        assert!(near(0.64, Glides, None) && !near(0.66, Glides, None), "how probable");
        assert!(near(0.9, Dives, None), "the likeliest is another one");
        assert!(near(0.9, Glides, Some(1.5e-3)) && !near(0.9, Glides, Some(1.7e-3)), "how far");
    }
}
