//! How a plane flies: the answer of `fly`, and the last part of `check` and `outline`.

use plumbfold::air::flex::Flexing;
use plumbfold::flight::modes::{self, Glide};
use plumbfold::flight::throw::{self, End};
use plumbfold::pipeline::{Analysed, Balanced};
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::assess;
use plumbfold::verdict::bands::Band;
use plumbfold::verdict::reasons::{Looked, OtherThrow, Reasons};
use schemars::JsonSchema;
use serde::Serialize;

use crate::behaviour::{self, Behaviour, Probabilities};
use crate::stability;

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
    /// The room and the air in it.
    pub room: Room,
    /// Every steady glide the plane can hold, at any speed.
    pub trim: Vec<Trim>,
    /// Index in `trim` of the one it settles to; null without one.
    pub settles_to: Option<usize>,
    /// How far the wing tips would rise at that glide's incidence at the speed of the throw, mm:
    /// the most it asks of the wings before it slows down; null without such a glide.
    pub tip_rise_thrown_mm: Option<f64>,
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
    /// What ended the flight: `floor`, `far wall`, `side wall`, `ceiling`, or `still up` where it was
    /// not followed to its end: beyond 30 s, or sooner where it flutters very fast.
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
    /// The path of the hand to the right of the nose, degrees.
    pub sideslip_deg: f64,
    /// Turn at release, degrees per second, nose to the right positive.
    pub turn_deg_per_s: f64,
}

/// The room and the air in it.
#[derive(Serialize, JsonSchema)]
pub struct Room {
    /// From the hand to the far wall, m; null where it is open.
    pub far_wall_m: Option<f64>,
    /// From the hand to either side wall, m; null where it is open.
    pub side_walls_m: Option<f64>,
    /// Height of the ceiling, m; null where it is open.
    pub ceiling_m: Option<f64>,
    /// Steady wind: down the hall and to the right positive, m/s.
    pub wind_mps: [f64; 2],
    /// Gusts.
    pub gusts: Vec<Gust>,
}

/// A gust that swells and dies as 1 - cos.
#[derive(Serialize, JsonSchema)]
pub struct Gust {
    /// At its strongest: down the hall and to the right positive, m/s.
    pub peak_mps: [f64; 2],
    /// When it begins, s after release.
    pub begins_s: f64,
    /// How long it lasts, s.
    pub lasts_s: f64,
}

impl Room {
    /// From the room of the flight.
    pub fn new(hall: &throw::Hall) -> Self {
        // The room of the flight has y to the left; people and programs get the right.
        let level = |v: [f64; 3]| [v[0], 0.0 - v[1]];
        let gusts = hall.wind.gusts.iter().filter(|g| g.lasts_s > 0.0);
        Self {
            far_wall_m: hall.length_m,
            side_walls_m: hall.half_width_m,
            ceiling_m: hall.ceiling_m,
            wind_mps: level(hall.wind.steady_m_s),
            gusts: gusts
                .map(|g| Gust {
                    peak_mps: level(g.peak_m_s),
                    begins_s: g.begins_s,
                    lasts_s: g.lasts_s,
                })
                .collect(),
        }
    }
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
    /// What becomes of a small knock, against the length of the flight, in words.
    pub knocks: String,
    /// Neutral point behind the balance point at this incidence, as a fraction of the mean
    /// aerodynamic chord; positive is stable; null where there is next to no lift.
    pub static_margin_mac_fraction: Option<f64>,
    /// How far the wing tips rise there above where they are without load, mm; by the grain of the
    /// sheet 0.7 to 1.4 times as far. Null without a wing that bends.
    pub tip_rise_mm: Option<f64>,
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
    /// Speed through the air, m/s.
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
    /// What is said first, in words.
    pub headline: String,
    /// What it most often does over many planes and throws a little different.
    pub behaviour: Behaviour,
    /// What it does next often, where that has less than two in three: the plane is on the edge
    /// between the two; null elsewhere.
    pub or: Option<Behaviour>,
    /// Probability of each behaviour over those planes and throws.
    pub probability: Probabilities,
    /// Flights behind the probabilities.
    pub draws: usize,
    /// Why, in one sentence.
    pub cause: String,
    /// What the plane does exactly as designed, thrown exactly as asked.
    pub exactly: Exactly,
    /// Balance points at which gliding is what it most often does, from and to, mm behind the
    /// nose; null for none.
    pub glides_balanced_mm: Option<[f64; 2]>,
    /// What it does just beyond either end of them; null where the range looked at ends first, or
    /// without one.
    pub beyond_balanced: [Option<Behaviour>; 2],
    /// Shares of the wing area ahead of those balance points; null for none.
    pub glides_area_ahead: Option<[f64; 2]>,
    /// How far the trailing edges may be bent from where they are, from and to, mm, up positive;
    /// null for none.
    pub glides_bent_mm: Option<[f64; 2]>,
    /// As `beyond_balanced`.
    pub beyond_bent: [Option<Behaviour>; 2],
    /// Throw speeds that glide, from and to, m/s; null for none.
    pub glides_thrown_mps: Option<[f64; 2]>,
    /// As `beyond_balanced`.
    pub beyond_thrown: [Option<Behaviour>; 2],
    /// A harder throw.
    pub harder: Other,
    /// A gentler throw.
    pub gentler: Other,
    /// Bands that were not looked for to the end since flights here are long, and are null for that:
    /// `balance`, `bend`, `speed`.
    pub left_out: Vec<&'static str>,
}

/// One flight of the plane exactly as designed, thrown exactly as asked.
#[derive(Serialize, JsonSchema)]
pub struct Exactly {
    /// What it does.
    pub behaviour: Behaviour,
    /// What was seen, in one sentence.
    pub seen: String,
    /// When the behaviour shows, s after release.
    pub at_s: f64,
    /// The numbers that decided.
    pub evidence: Vec<Evidence>,
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
    /// What the plane then most often does.
    pub behaviour: Behaviour,
}

impl Fly {
    /// From SI and radians.
    pub fn new(a: &Analysed, reasons: &Reasons) -> Self {
        Self { name: a.balanced.airframe.name.clone(), in_the_air: InTheAir::new(a, reasons) }
    }
}

impl InTheAir {
    /// From SI and radians.
    pub fn new(a: &Analysed, reasons: &Reasons) -> Self {
        let flight = &a.verdict.flight;
        let modes = |(i, glide): (usize, &Glide)| {
            glide.modes.iter().map(|m| Mode::new(i, m)).collect::<Vec<_>>()
        };
        let settled = modes::settled(&a.glides);
        let flexing = a.aircraft.aero.flexing(&a.balanced.airframe);
        let rise = |alpha_rad: f64, speed_m_s: f64| {
            tip_rise_mm(&a.aircraft, &flexing, (alpha_rad, speed_m_s))
        };
        let trim = |g: &Glide| Trim {
            tip_rise_mm: rise(g.trim.alpha_rad, g.trim.speed_m_s),
            ..Trim::new(g, &a.aircraft, flight.time_aloft_s)
        };
        Self {
            throw: Throw {
                speed_mps: a.throw.speed_m_s,
                elevation_deg: degrees(a.throw.elevation_rad),
                height_m: a.throw.height_m,
                bank_deg: degrees(a.throw.bank_rad),
                sideslip_deg: degrees(a.throw.sideslip_rad),
                turn_deg_per_s: degrees(a.throw.yaw_rate_rad_s),
            },
            room: Room::new(&flight.hall),
            trim: a.glides.iter().map(trim).collect(),
            settles_to: settled.and_then(|s| a.glides.iter().position(|g| std::ptr::eq(g, s))),
            tip_rise_thrown_mm: settled.and_then(|s| rise(s.trim.alpha_rad, a.throw.speed_m_s)),
            modes: a.glides.iter().enumerate().flat_map(modes).collect(),
            path: flight.samples.iter().map(PathPoint::new).collect(),
            flight: Flight::new(flight),
            verdict: Verdict::new(&a.verdict, reasons, &a.balanced),
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
                End::StillUp => "still up",
            },
            suspect: flight.suspect(),
        }
    }
}

/// Most that the tips may rise for the bending of thin plates to hold, in half spans: beyond it a
/// wing folds up rather than bends, and nothing is told.
const RISE_MOST: f64 = 0.25;

/// At an incidence, rad, and a speed, m/s.
fn tip_rise_mm(aircraft: &Aircraft, flexing: &Flexing, at: (f64, f64)) -> Option<f64> {
    let rise = aircraft.aero.tip_rise_m(flexing, at, aircraft.mass.mass_kg);
    let most_m = RISE_MOST * aircraft.aero.reference.span_m / 2.0;
    rise.filter(|m| (0.0..=most_m).contains(m)).map(|m| m * 1e3)
}

impl Trim {
    /// From SI and radians; `flight_s` is the length of the flight its knocks are seen in. How the
    /// wings bend there is left to be found by who tells it.
    pub fn new(glide: &Glide, aircraft: &Aircraft, flight_s: f64) -> Self {
        let t = &glide.trim;
        Self {
            alpha_deg: degrees(t.alpha_rad),
            speed_mps: t.speed_m_s,
            sink_mps: t.sink_m_s,
            lift_to_drag: t.lift_to_drag,
            stable: glide.stable,
            knocks: stability::words(glide, flight_s),
            static_margin_mac_fraction: aircraft
                .aero
                .static_margin_at(&aircraft.aero.strips, t.alpha_rad),
            tip_rise_mm: None,
            glide_angle_deg: degrees(t.glide_angle_rad),
            bank_deg: degrees(t.bank_rad),
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
            pitch_deg: degrees(pitch),
            bank_deg: degrees(bank),
            heading_deg: degrees(heading),
        }
    }
}

impl Verdict {
    /// From SI.
    pub fn new(v: &assess::Verdict, r: &Reasons, plane: &Balanced) -> Self {
        let ends = |band: Option<Band>, unit: f64| band.map(|b| [b.low * unit, b.high * unit]);
        let beyond = |band: Option<Band>| {
            [band.and_then(|b| b.below), band.and_then(|b| b.above)].map(|b| b.map(Behaviour))
        };
        let other =
            |o: &OtherThrow| Other { speed_mps: o.speed_m_s, behaviour: Behaviour(o.behaviour) };
        let headline = v.headline();
        let shares = |b: Band| [b.low, b.high].map(|m| plane.planform.fraction_ahead(m));
        let mut said = Self {
            headline: String::new(),
            behaviour: Behaviour(headline.behaviour),
            or: headline.or.map(Behaviour),
            probability: Probabilities::new(&v.probability),
            draws: v.probability.draws,
            cause: r.cause.clone(),
            exactly: Exactly::new(&v.finding),
            glides_balanced_mm: ends(r.balance, 1e3),
            beyond_balanced: beyond(r.balance),
            glides_area_ahead: r.balance.map(shares),
            glides_bent_mm: ends(r.bend, 1e3),
            beyond_bent: beyond(r.bend),
            glides_thrown_mps: ends(r.speed, 1.0),
            beyond_thrown: beyond(r.speed),
            harder: other(&r.harder),
            gentler: other(&r.gentler),
            left_out: r.left_out.iter().copied().map(left_out).collect(),
        };
        let or = said.or.map(|or| (or, said.probability.of(or)));
        said.headline = behaviour::headline(said.behaviour, headline.share, or);
        said
    }
}

fn left_out(which: Looked) -> &'static str {
    match which {
        Looked::Balance => "balance",
        Looked::Bend => "bend",
        Looked::Speed => "speed",
    }
}

impl Exactly {
    /// As it was found.
    pub fn new(f: &plumbfold::verdict::Finding) -> Self {
        Self {
            behaviour: Behaviour(f.behaviour),
            seen: f.sentence.clone(),
            at_s: f.at_s,
            evidence: f.evidence.iter().map(Evidence::new).collect(),
        }
    }

    /// The sentence about it: `Thrown exactly so, it glides 6.1 m in 2.2 s.`
    pub fn said(&self) -> String {
        match self.seen.strip_prefix("It ") {
            Some(rest) => format!("Thrown exactly so, it {rest}"),
            None => format!("Thrown exactly so: {}", self.seen),
        }
    }
}

impl Evidence {
    /// As it was found.
    pub fn new(e: &plumbfold::verdict::Evidence) -> Self {
        Self { what: e.what, value: e.value, unit: e.unit }
    }
}
/// An angle as JSON has it: no minus before nothing.
fn degrees(rad: f64) -> f64 {
    rad.to_degrees() + 0.0
}
