//! A balanced plane in the air, as the bench shows it.

use plumbfold::air::Air;
use plumbfold::flight::modes::{self, Glide, ModeKind};
use plumbfold::flight::throw::{Flight, Hall, Throw, fly};
use plumbfold::pipeline::Balanced;
use plumbfold::verdict::aircraft::{Aircraft, AnalysisError, Conditions};
use plumbfold::verdict::assess::Verdict;
use plumbfold::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation};
use plumbfold::verdict::{Finding, Path, judge};
use plumbfold_draw::style::Look;
use serde::Serialize;

use super::Depth;
use crate::air::Stability;
use crate::behaviour::{Behaviour, Probabilities};
use crate::flight::{self as view, Mode, Trim};
use crate::picture::in_the_air;

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
    pub fn new(plane: &Balanced, depth: Depth) -> Result<Self, AnalysisError> {
        let throw = &Throw::from(plane.throw);
        let craft = Aircraft::new(&plane.airframe, &plane.mass, &Air::indoors(), throw.speed_m_s)?;
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
        Behaviour(self.finding.behaviour)
    }

    /// Neutral point at small incidence.
    pub fn neutral_behind_nose_m(&self) -> f64 {
        self.craft.aero.neutral_point_behind_nose_m
    }

    /// Numbers beside the balance.
    pub fn numbers(&self, plane: &Balanced) -> FlownNumbers {
        let glide = modes::settled(&self.glides);
        let phugoid = glide.and_then(|g| g.modes.iter().find(|m| m.kind == ModeKind::Phugoid));
        FlownNumbers {
            aero: Stability::new(&self.craft, plane),
            flight: view::Flight::new(&self.flight),
            glide: glide.map(Trim::new),
            // A phugoid that no longer swings is no wave.
            phugoid: phugoid.filter(|m| m.period_s().is_some()).map(|m| Mode::new(0, m)),
        }
    }

    /// The verdict, with as much behind it as was computed.
    pub fn verdict(&self) -> VerdictShown {
        let seen = self.finding.evidence.iter().map(|e| {
            let places = if e.value.abs() < 10.0 { 2 } else { 1 };
            format!("{}: {:.places$} {}", e.what, e.value, e.unit).trim_end().to_owned()
        });
        let v = self.verdict.as_ref().map(view::Verdict::new);
        let more = v.as_ref().map(|v| self.reasons(v));
        VerdictShown {
            behaviour: Behaviour(self.finding.behaviour),
            cause: v.as_ref().map_or_else(|| self.finding.sentence.clone(), |v| v.cause.clone()),
            probability: v.as_ref().map(|v| v.probability),
            evidence: seen.chain(more.unwrap_or_default()).collect(),
        }
    }

    /// What else it would do, in sentences.
    fn reasons(&self, v: &view::Verdict) -> Vec<String> {
        let mut said = Vec::new();
        if let Some([low, high]) = v.glides_balanced_mm {
            let at = self.craft.mass.behind_nose_m() * 1e3;
            said.push(format!(
                "At this throw it glides when it balances {low:.1} to {high:.1} mm behind the \
                 nose; it balances {at:.1} mm behind."
            ));
        }
        if let Some([low, high]) = v.glides_bent_mm {
            said.push(format!(
                "It glides with the trailing edge bent {low:+.1} to {high:+.1} mm from where it is."
            ));
        }
        if let Some([low, high]) = v.glides_thrown_mps {
            said.push(format!("It glides when thrown at {low:.1} to {high:.1} m/s."));
        }
        for (other, how) in [(&v.harder, "harder"), (&v.gentler, "more gently")] {
            let (speed, words) = (other.speed_mps, other.behaviour.words());
            said.push(format!("Thrown {how}, at {speed:.1} m/s, it {words}."));
        }
        said
    }

    /// Side view and view from above.
    pub fn picture(&self, plane: &Balanced) -> String {
        let (look, words) = (Look::page("hall"), self.finding.behaviour.words());
        let (airframe, cg) = (&plane.airframe, plane.mass.cg_m);
        in_the_air::flight(&look, airframe, cg, &self.flight, &self.finding, words)
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
    aero: Stability,
    flight: view::Flight,
    glide: Option<Trim>,
    phugoid: Option<Mode>,
}

/// The verdict.
#[derive(Serialize)]
pub struct VerdictShown {
    behaviour: Behaviour,
    cause: String,
    probability: Option<Probabilities>,
    evidence: Vec<String>,
}

/// Time s, distance m, height m, and direction of the nose in the side view, degrees above level.
#[derive(Serialize)]
pub struct PathShown {
    samples: Vec<[f64; 4]>,
}
