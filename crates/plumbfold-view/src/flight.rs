//! Answer of `fly`, and the last part of `check`.

use std::collections::BTreeMap;

use plumbfold::flight::modes::{self, Glide};
use plumbfold::flight::throw::{self, End};
use plumbfold::pipeline::Analysed;
use plumbfold::verdict::assess::{self, OtherThrow};
use plumbfold::verdict::bands::Band;
use serde::Serialize;

/// A plane in the air.
#[derive(Serialize)]
pub struct Fly {
    pub throw: Throw,
    pub trim: Vec<Trim>,
    pub modes: Vec<Mode>,
    pub path: Vec<PathPoint>,
    pub distance_m: f64,
    pub time_aloft_s: f64,
    pub max_height_m: f64,
    /// What ended the flight.
    pub end: &'static str,
    pub verdict: Verdict,
}

/// The throw that was flown.
#[derive(Serialize)]
pub struct Throw {
    pub speed_mps: f64,
    pub elevation_deg: f64,
    pub height_m: f64,
    pub bank_deg: f64,
}

/// A steady glide.
#[derive(Serialize)]
pub struct Trim {
    pub alpha_deg: f64,
    pub speed_mps: f64,
    pub sink_mps: f64,
    pub lift_to_drag: f64,
    pub stable: bool,
    pub glide_angle_deg: f64,
    pub bank_deg: f64,
    pub inverted: bool,
}

/// A mode of motion about one of the glides.
#[derive(Serialize)]
pub struct Mode {
    /// Index in `trim`.
    pub trim: usize,
    pub name: &'static str,
    pub growth_per_s: f64,
    pub period_s: Option<f64>,
    pub damping_ratio: f64,
    pub time_to_half_s: Option<f64>,
    pub time_to_double_s: Option<f64>,
}

/// The plane at one instant: x down the hall, y to the left, z up from the floor.
#[derive(Serialize)]
pub struct PathPoint {
    pub t_s: f64,
    pub x_m: f64,
    pub y_m: f64,
    pub z_m: f64,
    pub speed_mps: f64,
    pub pitch_deg: f64,
    pub bank_deg: f64,
    pub heading_deg: f64,
}

/// What it does, how sure that is, and why.
#[derive(Serialize)]
pub struct Verdict {
    pub behaviour: &'static str,
    /// Of each behaviour; they sum to 1.
    pub probability: BTreeMap<&'static str, f64>,
    pub cause: String,
    /// What was seen, in one sentence.
    pub seen: String,
    pub at_s: f64,
    pub evidence: Vec<Evidence>,
    pub near_edge: bool,
    /// Where the balance point may lie for a glide at this throw.
    pub glides_balanced_mm: Option<[f64; 2]>,
    /// How far the trailing edges may be bent from where they are, up positive.
    pub glides_bent_mm: Option<[f64; 2]>,
    /// At which throw speeds it glides.
    pub glides_thrown_mps: Option<[f64; 2]>,
    pub harder: Other,
    pub gentler: Other,
}

/// A number that decided.
#[derive(Serialize)]
pub struct Evidence {
    pub what: &'static str,
    pub value: f64,
    pub unit: &'static str,
}

/// Another throw.
#[derive(Serialize)]
pub struct Other {
    pub speed_mps: f64,
    pub behaviour: &'static str,
}

impl Fly {
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
            verdict: Verdict::new(&a.verdict),
        }
    }
}

impl Trim {
    fn new(glide: &Glide) -> Self {
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
    fn new(trim: usize, m: &modes::Mode) -> Self {
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
            y_m: at.y,
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
            |o: &OtherThrow| Other { speed_mps: o.speed_m_s, behaviour: o.behaviour.code() };
        let number = |e: &plumbfold::verdict::Evidence| Evidence {
            what: e.what,
            value: e.value,
            unit: e.unit,
        };
        Self {
            behaviour: v.finding.behaviour.code(),
            probability: v.probability.each.iter().map(|(b, p)| (b.code(), *p)).collect(),
            cause: v.cause.clone(),
            seen: v.finding.sentence.clone(),
            at_s: v.finding.at_s,
            evidence: v.finding.evidence.iter().map(number).collect(),
            near_edge: v.near_edge,
            glides_balanced_mm: ends(v.balance, 1e3),
            glides_bent_mm: ends(v.bend, 1e3),
            glides_thrown_mps: ends(v.speed, 1.0),
            harder: other(&v.harder),
            gentler: other(&v.gentler),
        }
    }
}
