//! A balanced plane in the air, as the bench shows it.

use std::collections::BTreeMap;

use plumbfold::air::Air;
use plumbfold::flight::modes::{self, Glide, ModeKind};
use plumbfold::flight::throw::{Flight, Hall, Throw, fly};
use plumbfold::plane::airframe::Airframe;
use plumbfold::plane::mass::MassProperties;
use plumbfold::verdict::aircraft::{Aircraft, AnalysisError, Conditions};
use plumbfold::verdict::assess::Verdict;
use plumbfold::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation};
use plumbfold::verdict::{Behaviour, Finding, Path, judge};
use plumbfold_draw::path::{self, Remark, ThrowPicture};
use plumbfold_draw::style::Look;
use serde::Serialize;

use super::analyse::Depth;

/// What flies.
pub struct Plane<'a> {
    /// Panels.
    pub airframe: &'a Airframe,
    /// Mass and balance.
    pub mass: &'a MassProperties,
    /// How it is thrown.
    pub throw: Throw,
}

/// One flight, and with [`Depth::Full`] how sure it is.
pub struct Flown {
    craft: Aircraft,
    glides: Vec<Glide>,
    flight: Flight,
    finding: Finding,
    verdict: Option<Verdict>,
}

impl Flown {
    /// Flies it.
    pub fn new(plane: &Plane<'_>, depth: Depth) -> Result<Self, AnalysisError> {
        let throw = &plane.throw;
        let craft = Aircraft::new(plane.airframe, plane.mass, &Air::indoors(), throw.speed_m_s)?;
        let body = craft.perturbed(&Perturbation::NONE)?;
        let glides = modes::glides(&body);
        let verdict = match depth {
            Depth::Quick => None,
            Depth::Full => Some(craft.verdict(throw, &Conditions::default())?),
        };
        let (flight, finding) = match &verdict {
            Some(v) => (v.flight.clone(), v.finding.clone()),
            None => {
                let flight = fly(&body, throw, &Hall::default(), JUDGED_EVERY_S)?;
                let finding = judge(&Path::new(&flight));
                (flight, finding)
            }
        };
        Ok(Self { craft, glides, flight, finding, verdict })
    }

    /// What it does.
    pub fn behaviour(&self) -> Behaviour {
        self.finding.behaviour
    }

    /// Neutral point at small incidence.
    pub fn neutral_behind_nose_m(&self) -> f64 {
        self.craft.aero.neutral_point_behind_nose_m
    }

    /// Numbers beside the balance.
    pub fn numbers(&self) -> FlownNumbers {
        let glide = modes::settled(&self.glides);
        let phugoid = glide.and_then(|g| {
            let mode = g.modes.iter().find(|m| m.kind == ModeKind::Phugoid)?;
            Some(Wave { period_s: mode.period_s()?, damping_ratio: mode.damping_ratio() })
        });
        FlownNumbers {
            aero: AeroShown {
                neutral_point_behind_nose_mm: self.neutral_behind_nose_m() * 1e3,
                static_margin_mac_fraction: self.craft.aero.static_margin,
            },
            flight: FlightShown {
                distance_m: self.flight.distance_m,
                time_aloft_s: self.flight.time_aloft_s,
                max_height_m: self.flight.max_height_m,
            },
            glide: glide.map(|g| GlideShown {
                speed_mps: g.trim.speed_m_s,
                sink_mps: g.trim.sink_m_s,
                lift_to_drag: g.trim.lift_to_drag,
            }),
            phugoid,
        }
    }

    /// The verdict, with as much behind it as was computed.
    pub fn verdict(&self) -> VerdictShown {
        let evidence = self.finding.evidence.iter().map(|e| {
            let places = if e.value.abs() < 10.0 { 2 } else { 1 };
            format!("{}: {:.places$} {}", e.what, e.value, e.unit).trim_end().to_owned()
        });
        let mut evidence: Vec<String> = evidence.collect();
        let v = self.verdict.as_ref();
        if let Some(v) = v {
            let mm = |m: f64| m * 1e3;
            if let Some(b) = v.balance {
                evidence.push(format!(
                    "At this throw it glides when it balances {:.1} to {:.1} mm behind the nose; it balances {:.1} mm behind.",
                    mm(b.low), mm(b.high), mm(self.craft.mass.behind_nose_m())
                ));
            }
            if let Some(b) = v.bend {
                evidence.push(format!(
                    "It glides with the trailing edge bent {:+.1} to {:+.1} mm from where it is.",
                    mm(b.low),
                    mm(b.high)
                ));
            }
            if let Some(b) = v.speed {
                evidence
                    .push(format!("It glides when thrown at {:.1} to {:.1} m/s.", b.low, b.high));
            }
            for (other, how) in [(&v.harder, "harder"), (&v.gentler, "more gently")] {
                let (speed, words) = (other.speed_m_s, other.behaviour.words());
                evidence.push(format!("Thrown {how}, at {speed:.1} m/s, it {words}."));
            }
        }
        VerdictShown {
            behaviour: self.behaviour().code(),
            cause: v.map_or_else(|| self.finding.sentence.clone(), |v| v.cause.clone()),
            probability: v
                .map(|v| v.probability.each.iter().map(|(b, p)| (b.code(), *p)).collect()),
            evidence,
        }
    }

    /// Side view and view from above.
    pub fn picture(&self, plane: &Plane<'_>) -> String {
        let words = self.finding.behaviour.words();
        let remarks = [Remark { t_s: self.finding.at_s, says: words }];
        let picture = ThrowPicture {
            flight: &self.flight.samples,
            airframe: plane.airframe,
            cg: plane.mass.cg_m,
            remarks: &remarks,
            says: words,
        };
        path::throw(&Look::page("hall"), &plane.airframe.name, &picture)
    }

    /// For moving the plane along its path.
    pub fn path(&self) -> PathShown {
        let round = |v: f64| (v * 1e3).round() / 1e3;
        let samples = self.flight.samples.iter().map(|s| {
            let nose = s.motion.attitude * nalgebra::Vector3::x();
            let pitch = nose.z.atan2(nose.x).to_degrees();
            [round(s.t_s), round(s.motion.position.x), round(s.motion.position.z), pitch.round()]
        });
        PathShown { samples: samples.collect() }
    }
}

/// Numbers of [`Flown`].
#[derive(Serialize)]
pub struct FlownNumbers {
    aero: AeroShown,
    flight: FlightShown,
    glide: Option<GlideShown>,
    phugoid: Option<Wave>,
}

#[derive(Serialize)]
struct AeroShown {
    neutral_point_behind_nose_mm: f64,
    static_margin_mac_fraction: f64,
}

#[derive(Serialize)]
struct FlightShown {
    distance_m: f64,
    time_aloft_s: f64,
    max_height_m: f64,
}

#[derive(Serialize)]
struct GlideShown {
    speed_mps: f64,
    sink_mps: f64,
    lift_to_drag: f64,
}

#[derive(Serialize)]
struct Wave {
    period_s: f64,
    damping_ratio: f64,
}

/// The verdict.
#[derive(Serialize)]
pub struct VerdictShown {
    behaviour: &'static str,
    cause: String,
    probability: Option<BTreeMap<&'static str, f64>>,
    evidence: Vec<String>,
}

/// Time s, distance m, height m, and direction of the nose in the side view, degrees above level.
#[derive(Serialize)]
pub struct PathShown {
    samples: Vec<[f64; 4]>,
}
