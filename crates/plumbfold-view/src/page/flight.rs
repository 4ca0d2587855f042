//! A balanced plane in the air, as the bench shows it.

use plumbfold::air::Air;
use plumbfold::flight::modes::{self, Glide, ModeKind};
use plumbfold::flight::rigid::FlightError;
use plumbfold::flight::throw::{Flight, Hall, Throw, fly};
use plumbfold::pipeline::{self, Balanced, Problems};
use plumbfold::verdict::aircraft::{Aircraft, Conditions, Wanted};
use plumbfold::verdict::assess::Verdict;
use plumbfold::verdict::reasons::Reasons;
use plumbfold::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation};
use plumbfold::verdict::{Finding, Path, judge};
use plumbfold_draw::style::Look;
use serde::Serialize;

use super::Depth;
use crate::air::Stability;
use crate::behaviour::{Behaviour, Probabilities};
use crate::flight::{self as view, Mode, Trim};
use crate::picture::in_the_air;
use crate::said::fixed;
use crate::sentences;

/// One flight; counted, how sure it is; in full, why too.
pub struct Flown {
    craft: Aircraft,
    glides: Vec<Glide>,
    flight: Flight,
    finding: Finding,
    verdict: Option<Verdict>,
    reasons: Option<Reasons>,
}

impl Flown {
    /// Flies it, as long as that is wanted.
    ///
    /// # Errors
    /// Why it cannot be flown, as the program tells it.
    pub fn new(plane: &Balanced, depth: Depth, wanted: Wanted<'_>) -> Result<Self, Problems> {
        let craft = pipeline::aircraft(plane, &Air::indoors(), plane.throw.speed_m_s)?;
        Self::of(craft, plane, depth, wanted).map_err(|e| pipeline::cannot_fly(plane, e.into()))
    }

    fn of(
        craft: Aircraft,
        plane: &Balanced,
        depth: Depth,
        wanted: Wanted<'_>,
    ) -> Result<Self, FlightError> {
        let (throw, conditions) = (&Throw::from(plane.throw), &Conditions::default());
        let body = craft.perturbed(&Perturbation::NONE)?;
        let glides = modes::glides(&body);
        let verdict = match depth {
            Depth::Quick => None,
            Depth::Counted | Depth::Full => Some(craft.verdict_while(throw, conditions, wanted)?),
        };
        let why =
            |v: &Verdict| craft.reasons_while(v, throw, &plane.airframe.trims, conditions, wanted);
        let reasons = verdict.as_ref().filter(|_| depth == Depth::Full).map(why);
        let (flight, finding) = match &verdict {
            Some(v) => (v.flight.clone(), v.finding.clone()),
            None => {
                let flight = fly(&body, throw, &Hall::default(), JUDGED_EVERY_S)?;
                let finding = judge(&Path::new(&flight));
                (flight, finding)
            }
        };
        Ok(Self { craft, glides, flight, finding, verdict, reasons })
    }

    /// What it most often does, where that was counted; else what it does thrown exactly so.
    pub fn behaviour(&self) -> Behaviour {
        let counted = self.verdict.as_ref().map(|v| v.headline().behaviour);
        Behaviour(counted.unwrap_or(self.finding.behaviour))
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
            glide: glide.map(|g| Trim::new(g, &self.craft, self.flight.time_aloft_s)),
            // A phugoid that no longer swings is no wave.
            phugoid: phugoid.filter(|m| m.period_s().is_some()).map(|m| Mode::new(0, m)),
        }
    }

    /// The verdict, with as much behind it as was computed.
    pub fn verdict(&self, plane: &Balanced) -> VerdictShown {
        let exactly = view::Exactly::new(&self.finding);
        let seen = exactly.evidence.iter().map(|e| {
            let places = if e.value.abs() < 10.0 { 2 } else { 1 };
            format!("{}: {} {}", e.what, fixed(e.value, places), e.unit).trim_end().to_owned()
        });
        let mut evidence = vec![exactly.said()];
        evidence.extend(seen);
        let full = self.verdict.as_ref().zip(self.reasons.as_ref());
        let full = full.map(|(v, r)| view::Verdict::new(v, r, plane));
        if let Some(v) = &full {
            let bands = sentences::bands(v).into_iter().map(|band| format!("it glides {band}"));
            evidence.splice(0..0, bands);
            let balanced = sentences::balanced(v, self.craft.mass.behind_nose_m() * 1e3);
            evidence.insert(0, format!("it balances {balanced}"));
            evidence.push(sentences::other_throws(v));
        }
        let headline = self.verdict.as_ref().map(Verdict::headline);
        VerdictShown {
            behaviour: self.behaviour(),
            or: headline.and_then(|h| h.or).map(Behaviour),
            exactly: Behaviour(self.finding.behaviour),
            cause: full.as_ref().map_or_else(|| exactly.said(), |v| v.cause.clone()),
            probability: self.verdict.as_ref().map(|v| Probabilities::new(&v.probability)),
            evidence,
        }
    }

    /// Side view and view from above, in a frame of so many mm.
    pub fn picture(&self, plane: &Balanced, frame: Option<[f64; 2]>) -> String {
        let words = view::Exactly::new(&self.finding).said();
        let (airframe, cg) = (&plane.airframe, plane.mass.cg_m);
        let look = Look::page("hall");
        in_the_air::flight(&look, airframe, cg, &self.flight, &self.finding, &words, frame)
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
    /// What it most often does; with no probability, what it does thrown exactly so.
    behaviour: Behaviour,
    or: Option<Behaviour>,
    exactly: Behaviour,
    cause: String,
    probability: Option<Probabilities>,
    evidence: Vec<String>,
}

/// Time s, distance m, height m, and direction of the nose in the side view, degrees above level.
#[derive(Serialize)]
pub struct PathShown {
    samples: Vec<[f64; 4]>,
}
