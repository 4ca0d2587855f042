//! Why a plane does what it does: the bands of balance, bend and speed in which it glides, how far
//! it is from their edges, and the cause in the trade's words.
//!
//! A place lies in a band where gliding is the likeliest of the same draws that give the
//! headline, so that band, headline and cause cannot disagree.

use std::cell::Cell;

use crate::air::AirLoads;
use crate::flight::rigid::{Body, FlightError};
use crate::flight::throw::{Hall, SPEED_MAX_M_S, Throw};
use crate::flight::wind::Wind;
use crate::plane::airframe::{TrimBend, TrimSurface};

use super::Behaviour;
use super::assess::Verdict;
use super::bands::{Band, Search, band};
use super::uncertainty::{DRAWS, Perturbation, Uncertainty, in_stages, once};

/// How far the balance point is moved either way, and how fine, m.
const BALANCE_REACH_M: f64 = 0.040;
const BALANCE_STEP_M: f64 = 0.002;
/// How far the trailing edge is bent either way, and how fine, m.
const BEND_REACH_M: f64 = 0.003;
const BEND_STEP_M: f64 = 0.000_25;
/// Throw speeds looked at, m/s: from a gentle push to a firm throw.
const SPEED_LEAST_M_S: f64 = 1.5;
const SPEED_MOST_M_S: f64 = 12.0;
const SPEED_STEP_M_S: f64 = 0.5;
/// Edges are found to this share of a step.
const EDGE_SHARE: f64 = 0.25;

/// A harder and a gentler throw, as multiples of the speed.
const HARDER: f64 = 1.35;
const GENTLER: f64 = 0.7;

/// Steps of flights spent on each question, at most, for each [`DRAWS`] flights of the verdict: some
/// five seconds of one processor (measured), six times what an ordinary throw takes. What flutters,
/// or is up for half a minute, takes more, and what was not looked at then is told.
const STEPS: usize = 600_000;

/// What the reasons are sought for.
#[derive(Clone, Copy, Debug)]
pub struct Sought<'a> {
    /// The throw.
    pub throw: &'a Throw,
    /// The room.
    pub hall: &'a Hall,
    /// Balance point behind the nose, m.
    pub balance_behind_nose_m: f64,
    /// Bends of the trailing edges that the design states.
    pub bends: &'a [TrimBend],
    /// What is not known.
    pub uncertainty: &'a Uncertainty,
    /// Flights behind each place looked at, at most, and their seed: those of the verdict.
    pub draws: (usize, u64),
}

/// What a plane most often does at another throw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OtherThrow {
    /// Its speed, m/s.
    pub speed_m_s: f64,
    /// What the plane does.
    pub behaviour: Behaviour,
}

/// What is changed on the way to an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The balance point moves forward.
    Forward,
    /// It moves back.
    Back,
    /// The trailing edges go down.
    Down,
    /// They go up.
    Up,
    /// It is thrown more gently.
    Gentler,
    /// It is thrown harder.
    Harder,
}

/// An edge of a band: what changes beyond it, and how far off it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// What leads there.
    pub way: Way,
    /// How far, m or m/s.
    pub room: f64,
    /// How far, in standard deviations of what is not known.
    pub deviations: f64,
    /// What the plane most often does beyond.
    pub then: Behaviour,
}

/// A band that is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looked {
    /// That of the balance point.
    Balance,
    /// That of the bend.
    Bend,
    /// That of the speed.
    Speed,
}

/// Why a plane does what it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Reasons {
    /// Balance points that glide at this throw, m behind the nose: the band round the plane's own
    /// or the nearest one.
    pub balance: Option<Band>,
    /// Trailing-edge bends that glide, m, up positive, from the plane as it is.
    pub bend: Option<Band>,
    /// Throw speeds that glide, m/s.
    pub speed: Option<Band>,
    /// Bands that were not looked for to the end, since flights here are too long; they are then
    /// not known.
    pub left_out: Vec<Looked>,
    /// A harder throw.
    pub harder: OtherThrow,
    /// A gentler throw.
    pub gentler: OtherThrow,
    /// What it most often does in still air, thrown by a hand that is not askew; nothing where that
    /// is the throw asked for.
    pub undisturbed: Option<Behaviour>,
    /// Edges of the bands the plane lies in, the nearest first in standard deviations.
    pub edges: Vec<Edge>,
    /// Why, in the trade's words, without a full stop.
    pub cause: String,
}

/// Flies a plane every way its reasons need. `model` gives the plane for a perturbation.
pub fn reasons<A: AirLoads>(
    model: &(impl Fn(&Perturbation) -> Result<Body<A>, FlightError> + Sync),
    verdict: &Verdict,
    sought: &Sought<'_>,
) -> Reasons {
    let Sought { throw, hall, uncertainty, balance_behind_nose_m: balance, .. } = *sought;
    let (count, seed) = sought.draws;
    let draws = uncertainty.draws(throw, count, seed);
    let headline = verdict.headline().behaviour;
    // What it most often does with something changed; stopped when gliding is plainly the
    // likeliest, or plainly not.
    let left = Cell::new(STEPS * (count / DRAWS).max(1));
    let likeliest_in = |hall: &Hall, change: &(dyn Fn(&mut Perturbation, &mut Throw) + Sync)| {
        if left.get() == 0 {
            return None;
        }
        let one = |p: &Perturbation, t: &Throw| {
            let (mut plane, mut thrown) = (*p, *t);
            change(&mut plane, &mut thrown);
            once(&model(&plane)?, &thrown, hall)
        };
        let decided = |p: &super::headline::Probabilities| p.decided(Behaviour::Glides);
        let counted = in_stages(&draws, &one, &decided).ok()?;
        left.set(left.get().saturating_sub(counted.steps));
        Some(counted.likeliest().0)
    };
    let likeliest =
        |change: &(dyn Fn(&mut Perturbation, &mut Throw) + Sync)| likeliest_in(hall, change);
    let mut left_out = Vec::new();
    let mut known = |band: Option<Band>, which: Looked| {
        if left.get() > 0 {
            return band;
        }
        left_out.push(which);
        None
    };
    let search = |at: f64, least: f64, most: f64, step: f64| Search {
        at,
        least,
        most,
        step,
        resolution: step * EDGE_SHARE,
    };
    let at_balance = |x: f64| match x == balance {
        true => Some(headline),
        false => likeliest(&|p, _| p.balance_aft_m += x - balance),
    };
    let v = throw.speed_m_s;
    let at_speed = |x: f64| match x == v {
        true => Some(headline),
        false => likeliest(&|_, t| t.speed_m_s = (t.speed_m_s * x / v).min(SPEED_MAX_M_S)),
    };
    let other = |k: f64| {
        let speed_m_s = (k * v).min(SPEED_MAX_M_S);
        let behaviour = if v > 0.0 { at_speed(speed_m_s) } else { None };
        OtherThrow { speed_m_s, behaviour: behaviour.unwrap_or(headline) }
    };
    let (harder, gentler) = (other(HARDER), other(GENTLER));
    let calm = Hall { wind: Wind::STILL, ..*hall };
    let undisturbed = (!disturbances(throw, hall).is_empty())
        .then(|| likeliest_in(&calm, &|_, t| steady(t, throw)))
        .flatten();
    let least = (balance - BALANCE_REACH_M).max(0.0).min(balance);
    let balance_band =
        band(&search(balance, least, balance + BALANCE_REACH_M, BALANCE_STEP_M), at_balance);
    let balance_band = known(balance_band, Looked::Balance);
    let at_bend = |x: f64| match x == 0.0 {
        true => Some(headline),
        false => likeliest(&|p, _| p.bend_m += x),
    };
    let (slow, fast) = (v.min(SPEED_LEAST_M_S), v.max(SPEED_MOST_M_S));
    let speeds = search(v, slow, fast, SPEED_STEP_M_S);
    let speed = if v > 0.0 { band(&speeds, at_speed) } else { None };
    let speed = speed.map(|b| {
        let glides = |o: &&OtherThrow| o.behaviour == Behaviour::Glides;
        let both = [harder, gentler];
        both.iter().filter(glides).fold(b, |b, o| b.reaching(o.speed_m_s, speeds.resolution))
    });
    let speed = known(speed, Looked::Speed);
    let bend = band(&search(0.0, -BEND_REACH_M, BEND_REACH_M, BEND_STEP_M), at_bend);
    let bend = known(bend, Looked::Bend);
    let mut edges = Vec::new();
    let sigma = uncertainty.balance_against_pressure_m();
    edges.extend(edges_of(balance_band, balance, [Way::Forward, Way::Back], sigma));
    edges.extend(edges_of(bend, 0.0, [Way::Down, Way::Up], uncertainty.warp_m));
    edges.extend(edges_of(speed, v, [Way::Gentler, Way::Harder], uncertainty.speed * v));
    edges.sort_by(|a, b| a.deviations.total_cmp(&b.deviations));
    let mut reasons = Reasons {
        balance: balance_band,
        bend,
        speed,
        left_out,
        harder,
        gentler,
        undisturbed,
        edges,
        cause: String::new(),
    };
    reasons.cause = cause(&reasons, verdict, sought);
    reasons
}

/// The edges of a band that holds the plane.
fn edges_of(band: Option<Band>, at: f64, [down, up]: [Way; 2], sigma: f64) -> Vec<Edge> {
    let Some(band) = band.filter(|b| b.holds(at)) else { return Vec::new() };
    [(down, at - band.low, band.below), (up, band.high - at, band.above)]
        .into_iter()
        .filter_map(|(way, room, then)| {
            let deviations = room / sigma.max(f64::MIN_POSITIVE);
            Some(Edge { way, room, deviations, then: then? })
        })
        .collect()
}

/// An edge further off than this is not worth a word, in standard deviations.
const NEAR: f64 = 3.0;

impl Edge {
    /// `4 mm further back it climbs and stalls`
    pub fn words(&self, throw_speed_m_s: f64) -> String {
        let mm = |least: f64, decimals: usize| match self.room * 1e3 {
            room if room < least => format!("less than {least} mm"),
            room => format!("{room:.decimals$} mm"),
        };
        let then = self.then.words();
        match self.way {
            Way::Forward => format!("{} further forward it {then}", mm(1.0, 0)),
            Way::Back => format!("{} further back it {then}", mm(1.0, 0)),
            Way::Down => format!("with the trailing edges {} lower it {then}", mm(0.1, 1)),
            Way::Up => format!("with the trailing edges {} higher it {then}", mm(0.1, 1)),
            Way::Gentler => {
                format!("thrown at {:.1} m/s it {then}", throw_speed_m_s - self.room)
            }
            Way::Harder => format!("thrown at {:.1} m/s it {then}", throw_speed_m_s + self.room),
        }
    }
}

/// A throw steeper than this is no glider's, rad (20 degrees, chosen).
const STEEP_RAD: f64 = 0.35;

/// What was asked for that is neither the plane's nor an even throw's: moving air, a hand askew.
fn disturbances(throw: &Throw, hall: &Hall) -> Vec<&'static str> {
    [
        (hall.wind.steady_m_s != [0.0; 3], "the wind"),
        (!hall.wind.is_steady(), "the gust"),
        (throw.bank_rad != 0.0, "the bank it is thrown with"),
        (throw.sideslip_rad != 0.0, "the hand that goes to one side"),
        (throw.yaw_rate_rad_s != 0.0, "the turn at release"),
        (throw.elevation_rad.abs() > STEEP_RAD, "the steep throw"),
    ]
    .into_iter()
    .filter_map(|(is, words)| is.then_some(words))
    .collect()
}

/// A throw as the hand happens to make it, without what `asked` has of a hand askew.
fn steady(thrown: &mut Throw, asked: &Throw) {
    thrown.bank_rad -= asked.bank_rad;
    thrown.sideslip_rad -= asked.sideslip_rad;
    thrown.yaw_rate_rad_s -= asked.yaw_rate_rad_s;
    if asked.elevation_rad.abs() > STEEP_RAD {
        thrown.elevation_rad -= asked.elevation_rad;
    }
}

/// The cause as a sentence.
fn cause(r: &Reasons, verdict: &Verdict, sought: &Sought<'_>) -> String {
    use Behaviour::{Banks, Glides, Spirals};
    let headline = verdict.headline();
    let turns = |b: Behaviour| matches!(b, Banks | Spirals);
    let speed = sought.throw.speed_m_s;
    match r.undisturbed {
        Some(calm) if calm != headline.behaviour && headline.behaviour != Glides => {
            let (all, then) = (disturbances(sought.throw, sought.hall), calm.words());
            return match &all[..] {
                [one] => format!("{one} does that: without it the plane most often {then}"),
                _ => format!(
                    "{} do that: without them the plane most often {then}",
                    all.join(" and ")
                ),
            };
        }
        _ => {}
    }
    // A plane that would glide balanced elsewhere is told so, whatever else turns it, but for edges
    // that the design itself bends unevenly: nothing else is sure to be there.
    let sigma = sought.uncertainty.balance_against_pressure_m();
    let off = r.balance.map_or(0.0, |b| b.outside_by(sought.balance_behind_nose_m).abs());
    if turns(headline.behaviour) && (off <= sigma || uneven(sought.bends).is_some()) {
        return turning(verdict, sought);
    }
    if headline.behaviour != Glides {
        return off_balance(r, sought);
    }
    let suits = "the balance point suits this throw";
    match headline.or {
        None => match r.edges.iter().find(|e| e.deviations < NEAR) {
            None => format!("{suits} with room to spare"),
            Some(edge) => format!("{suits}; {}", edge.words(speed)),
        },
        Some(or) if turns(or) => format!("{suits}, but {}", turning(verdict, sought)),
        Some(or) => {
            let to_it = || r.edges.iter().filter(|e| e.then == or);
            match to_it().next().or_else(|| r.edges.first()) {
                Some(edge) => format!("it glides only just: {}", edge.words(speed)),
                None => "it glides only just".to_owned(),
            }
        }
    }
}

/// The first bend of the design that is not the same on both sides.
fn uneven(bends: &[TrimBend]) -> Option<&TrimBend> {
    bends.iter().find(|b| b.surface != TrimSurface::Elevator && b.deflection_m != 0.0)
}

/// What an uneven bend does. Which way a wing's bend turns the plane is not known: see
/// `study::raised_edge`.
fn bent(bend: &TrimBend) -> String {
    let wing = |side: &str| {
        format!(
            "the {side} wing's trailing edge is bent and turns it; which way is not sure: folders \
             see planes turn towards a raised edge, and here the keel pulls the other way"
        )
    };
    match bend.surface {
        TrimSurface::LeftWing => wing("left"),
        TrimSurface::RightWing => wing("right"),
        TrimSurface::Rudder | TrimSurface::Elevator => {
            "the keel's trailing edge is bent and turns it".to_owned()
        }
    }
}

/// Why it turns.
fn turning(verdict: &Verdict, sought: &Sought<'_>) -> String {
    if let Some(bend) = uneven(sought.bends) {
        return bent(bend);
    }
    if matches!(verdict.finding.behaviour, Behaviour::Banks | Behaviour::Spirals) {
        return "one wing carries more than the other: look for a twist, a bend or a wing folded \
                wider than its twin"
            .to_owned();
    }
    format!(
        "nothing rights it: wings {:.1} mm uneven at the trailing edge, or a hand that tilts {:.0} \
         degrees, are enough to turn it off",
        sought.uncertainty.twist_m * 1e3,
        sought.uncertainty.bank_rad.to_degrees()
    )
}

/// Why it neither glides nor turns: the balance or the throw, whichever is fewer standard
/// deviations off.
fn off_balance(r: &Reasons, sought: &Sought<'_>) -> String {
    let (balance, speed) = (sought.balance_behind_nose_m, sought.throw.speed_m_s);
    let off = |band: Option<Band>, at: f64, sigma: f64| {
        band.map(|b| b.outside_by(at)).map(|off| (off, off.abs() / sigma.max(f64::MIN_POSITIVE)))
    };
    let u = sought.uncertainty;
    let balance_off = off(r.balance, balance, u.balance_against_pressure_m());
    let speed_off = off(r.speed, speed, u.speed * speed);
    match (balance_off, speed_off, r.speed, r.bend) {
        (Some((aft, size)), thrown, ..) if thrown.is_none_or(|t| size <= t.1) => {
            let mm = match aft.abs() * 1e3 {
                less if less < 1.0 => "less than 1 mm".to_owned(),
                mm => format!("{mm:.0} mm"),
            };
            let side = if aft > 0.0 { "back" } else { "forward" };
            format!("it balances {mm} too far {side} for this throw")
        }
        (_, Some((hard, _)), Some(band), _) if hard > 0.0 => {
            format!("it is thrown too hard: it glides up to {:.1} m/s", band.high)
        }
        (_, Some(_), Some(band), _) => {
            format!("it is thrown too gently: it needs {:.1} m/s", band.low)
        }
        (.., Some(bend)) => {
            let (way, mm) = if bend.low > 0.0 { ("low", bend.low) } else { ("high", -bend.high) };
            format!("its trailing edges stand {:.1} mm too {way} for this throw", mm.abs() * 1e3)
        }
        _ if !r.left_out.is_empty() => "its flights are too long to look for the cause".to_owned(),
        _ => "no balance point within 40 mm makes it glide at this throw".to_owned(),
    }
}
