//! How a plane flies: the answer of `fly`, and the last part of `check` and `outline`.

use plumbfold::flight::modes::{self, Glide};
use plumbfold::flight::throw::{self, End};
use plumbfold::pipeline::Analysed;
use plumbfold::verdict::assess::{self, OtherThrow};
use plumbfold::verdict::bands::Band;
use schemars::JsonSchema;
use serde::Serialize;

use crate::behaviour::{Behaviour, Probabilities};

/// The answer of `fly`.
#[derive(Serialize, JsonSchema)]
pub struct Fly {
    /// Name of the plane.
    pub name: String,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub in_the_air: InTheAir,
}

/// A plane in the air.
#[derive(Serialize, JsonSchema)]
pub struct InTheAir {
    /// The throw that was flown.
    pub throw: Throw,
    /// Every steady glide the plane can hold, at any speed.
    pub trim: Vec<Trim>,
    /// Modes of motion about those glides.
    pub modes: Vec<Mode>,
    /// The flight at equal times, from release to end.
    pub path: Vec<PathPoint>,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub flight: Flight,
    /// What it does, how sure that is, and why.
    pub verdict: Verdict,
}

/// One flight in numbers.
#[derive(Serialize, JsonSchema)]
pub struct Flight {
    /// Distance over the floor from hand to end, m.
    pub distance_m: f64,
    /// Time from hand to end, s.
    pub time_aloft_s: f64,
    /// Greatest height of the balance point above the floor, m.
    pub max_height_m: f64,
    /// What ended the flight: `floor`, `far wall`, `side wall`, `ceiling` or `time limit`.
    pub end: &'static str,
    /// Further or longer than hand throws are known to go: do not trust the numbers.
    pub suspect: bool,
}

/// The throw that was flown.
#[derive(Serialize, JsonSchema)]
pub struct Throw {
    /// Speed out of the hand, m/s.
    pub speed_mps: f64,
    /// Slope of the throw, degrees, up positive.
    pub elevation_deg: f64,
    /// Height of the hand above the floor, m.
    pub height_m: f64,
    /// Bank at release, degrees, right wing down positive.
    pub bank_deg: f64,
}

/// A steady glide.
#[derive(Serialize, JsonSchema)]
pub struct Trim {
    /// Incidence, degrees, nose up positive.
    pub alpha_deg: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Rate of descent, m/s, down positive.
    pub sink_mps: f64,
    /// Lift over drag: metres flown for each metre of height.
    pub lift_to_drag: f64,
    /// It returns to this glide after a small disturbance.
    pub stable: bool,
    /// Slope of the path, degrees below the horizon positive.
    pub glide_angle_deg: f64,
    /// Bank, degrees, right wing down positive.
    pub bank_deg: f64,
    /// Held upside down.
    pub inverted: bool,
}

/// A mode of motion about one of the glides.
#[derive(Serialize, JsonSchema)]
pub struct Mode {
    /// Index in `trim`.
    pub trim: usize,
    /// Name of the mode, for example `phugoid`.
    pub name: &'static str,
    /// Rate of growth, 1/s; negative dies out.
    pub growth_per_s: f64,
    /// Period, s; null where nothing swings.
    pub period_s: Option<f64>,
    /// Damping as a fraction of critical; negative grows.
    pub damping_ratio: f64,
    /// Time to half, s; null for one that grows.
    pub time_to_half_s: Option<f64>,
    /// Time to double, s; null for one that dies out.
    pub time_to_double_s: Option<f64>,
}

/// The plane at one instant. The room's origin lies on the floor below the hand.
#[derive(Serialize, JsonSchema)]
pub struct PathPoint {
    /// Time since release, s.
    pub t_s: f64,
    /// Distance down the hall, m.
    pub x_m: f64,
    /// Distance to the side, m, to the right of the thrower positive.
    pub y_m: f64,
    /// Height above the floor, m, up positive.
    pub z_m: f64,
    /// Speed, m/s.
    pub speed_mps: f64,
    /// Pitch, degrees, nose up positive.
    pub pitch_deg: f64,
    /// Bank, degrees, right wing down positive.
    pub bank_deg: f64,
    /// Heading, degrees from the length of the hall, to the right positive.
    pub heading_deg: f64,
}

/// What it does, how sure that is, and why.
#[derive(Serialize, JsonSchema)]
pub struct Verdict {
    /// What it does as designed, thrown as asked.
    pub behaviour: Behaviour,
    /// Probability of each behaviour over many planes and throws a little different.
    pub probability: Probabilities,
    /// Why, in one sentence.
    pub cause: String,
    /// What was seen, in one sentence.
    pub seen: String,
    /// When the behaviour shows, s after release.
    pub at_s: f64,
    /// The numbers that decided.
    pub evidence: Vec<Evidence>,
    /// Another behaviour is nearly as likely.
    pub near_edge: bool,
    /// Balance points that glide at this throw, from and to, mm behind the nose; null for none.
    pub glides_balanced_mm: Option<[f64; 2]>,
    /// How far the trailing edges may be bent from where they are, from and to, mm, up positive;
    /// null for none.
    pub glides_bent_mm: Option<[f64; 2]>,
    /// Throw speeds that glide, from and to, m/s; null for none.
    pub glides_thrown_mps: Option<[f64; 2]>,
    /// A harder throw.
    pub harder: Other,
    /// A gentler throw.
    pub gentler: Other,
}

/// A number that decided.
#[derive(Serialize, JsonSchema)]
pub struct Evidence {
    /// What it is, in words.
    pub what: &'static str,
    /// How much, in `unit`.
    pub value: f64,
    /// Unit of the value; empty for a plain number.
    pub unit: &'static str,
}

/// Another throw.
#[derive(Serialize, JsonSchema)]
pub struct Other {
    /// Speed out of the hand, m/s.
    pub speed_mps: f64,
    /// What the plane then does.
    pub behaviour: Behaviour,
}

impl Fly {
    /// From SI and radians.
    pub fn new(a: &Analysed) -> Self {
        Self { name: a.balanced.airframe.name.clone(), in_the_air: InTheAir::new(a) }
    }
}

impl InTheAir {
    /// From SI and radians.
    pub fn new(a: &Analysed) -> Self {
        let flight = &a.verdict.flight;
        let modes = |(i, glide): (usize, &Glide)| {
            glide.modes.iter().map(|m| Mode::new(i, m)).collect::<Vec<_>>()
        };
        Self {
            throw: Throw {
                speed_mps: a.throw.speed_m_s,
                elevation_deg: a.throw.elevation_rad.to_degrees(),
                height_m: a.throw.height_m,
                bank_deg: a.throw.bank_rad.to_degrees(),
            },
            trim: a.glides.iter().map(Trim::new).collect(),
            modes: a.glides.iter().enumerate().flat_map(modes).collect(),
            path: flight.samples.iter().map(PathPoint::new).collect(),
            flight: Flight::new(flight),
            verdict: Verdict::new(&a.verdict),
        }
    }
}

impl Flight {
    /// Of a flight that was flown.
    pub fn new(flight: &throw::Flight) -> Self {
        Self {
            distance_m: flight.distance_m,
            time_aloft_s: flight.time_aloft_s,
            max_height_m: flight.max_height_m,
            end: match flight.end {
                End::Ground => "floor",
                End::FarWall => "far wall",
                End::SideWall => "side wall",
                End::Ceiling => "ceiling",
                End::TimeLimit => "time limit",
            },
            suspect: flight.suspect(),
        }
    }
}

impl Trim {
    /// From SI and radians.
    pub fn new(glide: &Glide) -> Self {
        let t = &glide.trim;
        Self {
            alpha_deg: t.alpha_rad.to_degrees(),
            speed_mps: t.speed_m_s,
            sink_mps: t.sink_m_s,
            lift_to_drag: t.lift_to_drag,
            stable: glide.stable,
            glide_angle_deg: t.glide_angle_rad.to_degrees(),
            bank_deg: t.bank_rad.to_degrees(),
            inverted: t.inverted,
        }
    }
}

impl Mode {
    /// A mode of the glide with this index.
    pub fn new(trim: usize, m: &modes::Mode) -> Self {
        Self {
            trim,
            name: m.kind.name(),
            growth_per_s: m.growth_per_s,
            period_s: m.period_s(),
            damping_ratio: m.damping_ratio(),
            time_to_half_s: m.time_to_half_s(),
            time_to_double_s: m.time_to_double_s(),
        }
    }
}

impl PathPoint {
    fn new(s: &throw::Sample) -> Self {
        let (bank, pitch, heading) = s.motion.bank_pitch_heading();
        let at = s.motion.position;
        Self {
            t_s: s.t_s,
            x_m: at.x,
            // The room of the flight has y to the left; people and programs get the right.
            y_m: 0.0 - at.y,
            z_m: at.z,
            speed_mps: s.motion.velocity.norm(),
            pitch_deg: pitch.to_degrees(),
            bank_deg: bank.to_degrees(),
            heading_deg: heading.to_degrees(),
        }
    }
}

impl Verdict {
    /// From SI.
    pub fn new(v: &assess::Verdict) -> Self {
        let ends = |band: Option<Band>, unit: f64| band.map(|b| [b.low * unit, b.high * unit]);
        let other =
            |o: &OtherThrow| Other { speed_mps: o.speed_m_s, behaviour: Behaviour(o.behaviour) };
        Self {
            behaviour: Behaviour(v.finding.behaviour),
            probability: Probabilities::new(&v.probability),
            cause: v.cause.clone(),
            seen: v.finding.sentence.clone(),
            at_s: v.finding.at_s,
            evidence: v.finding.evidence.iter().map(Evidence::new).collect(),
            near_edge: v.near_edge,
            glides_balanced_mm: ends(v.balance, 1e3),
            glides_bent_mm: ends(v.bend, 1e3),
            glides_thrown_mps: ends(v.speed, 1.0),
            harder: other(&v.harder),
            gentler: other(&v.gentler),
        }
    }
}

impl Evidence {
    /// As it was found.
    pub fn new(e: &plumbfold::verdict::Evidence) -> Self {
        Self { what: e.what, value: e.value, unit: e.unit }
    }
}
