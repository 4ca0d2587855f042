//! How far a plane may be folded wrong: many planes, each folded and thrown with the slips a
//! folder makes, what they do, and which fold's accuracy matters most.
//!
//! What differs from plane to plane and from throw to throw is drawn; what is not known of the
//! model itself is the verdict's business ([`crate::verdict::uncertainty`]) and left out here, as
//! it is the same for every plane of a design.

mod advice;
mod skill;

use nalgebra::Vector3;

use crate::air::{self, Adjustments, StripModel};
use crate::design::ast::Span;
use crate::flight::rigid::Body;
use crate::flight::throw::{FLIGHT_ACCURACY, Throw, fly};
use crate::fold::exec;
use crate::fold::slip::Slip;
use crate::numeric::sensitivity::{self, Indices, Sample};
use crate::paper::Stock;
use crate::pipeline::{self, Balanced, FoldOutcome, Problems, Source};
use crate::verdict::aircraft::Conditions;
use crate::verdict::uncertainty::JUDGED_EVERY_S;
use crate::verdict::{Behaviour, Path, judge};

pub use advice::{Keep, advice};
pub use skill::Skill;
use skill::{Drawn, Input};

/// Planes folded and thrown unless asked otherwise: a share of one half is then known to 1.5 %,
/// and sensitivity indices to some 10 %.
pub const DRAWS: usize = 4000;
/// Steps of a flight of which as many are flown as asked for; of longer ones so many fewer, that
/// they take no more steps in all. Twice those of an ordinary throw.
const STEPS: usize = 120;
/// Flights of the exact plane that tell how long flights are.
const SOUNDED: usize = 24;
/// Most planes folded and thrown.
pub const DRAWS_MAX: usize = 1_000_000;

/// One plane folded and thrown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// What it did; none where the folds no longer come together.
    pub behaviour: Option<Behaviour>,
    /// How far it flew, m.
    pub distance_m: f64,
    /// How long, s.
    pub time_s: f64,
}

impl Outcome {
    /// A plane that could not be folded goes nowhere.
    const NOT_FOLDED: Self = Self { behaviour: None, distance_m: 0.0, time_s: 0.0 };

    /// It glided.
    pub fn glides(&self) -> bool {
        self.behaviour == Some(Behaviour::Glides)
    }
}

/// Something a hand does more or less well.
#[derive(Clone, Debug, PartialEq)]
pub struct Care {
    /// Which.
    pub what: What,
    /// Share of the variance of distance it explains alone, and has a hand in.
    pub distance: [f64; 2],
    /// The same of whether the plane glides.
    pub glide: [f64; 2],
}

/// What a hand does.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// Places the creases of a step, counted from 1; both sides together.
    Fold {
        /// Step, repeats written out.
        step: usize,
        /// Its text.
        span: Span,
        /// What the crease is called.
        crease: Option<String>,
        /// Creases of it that slip.
        creases: usize,
    },
    /// Takes the paper.
    Grammage,
    /// Leaves the trailing edges flat, or not quite.
    Warp,
    /// Leaves them alike, or not quite.
    Twist,
    /// Throws as fast as meant.
    Speed,
    /// Throws as steeply as meant.
    Elevation,
    /// Holds the wings level.
    Bank,
    /// Holds the keel along the path.
    Incidence,
}

impl What {
    /// In a few words.
    pub fn words(&self) -> String {
        match self {
            Self::Fold { step, crease, creases, .. } => {
                let crease = crease.as_deref().map_or(String::new(), |c| format!(", {c}"));
                let both = if *creases > 1 { ", both sides" } else { "" };
                format!("step {step}{crease}{both}")
            }
            Self::Grammage => "weight of the paper".to_owned(),
            Self::Warp => "trailing edges flat".to_owned(),
            Self::Twist => "trailing edges alike".to_owned(),
            Self::Speed => "speed of the throw".to_owned(),
            Self::Elevation => "slope of the throw".to_owned(),
            Self::Bank => "wings level".to_owned(),
            Self::Incidence => "keel along the throw".to_owned(),
        }
    }
}

/// What becomes of a design when it is folded and thrown many times.
#[derive(Clone, Debug, PartialEq)]
pub struct Tolerance {
    /// Every plane folded and thrown.
    pub outcomes: Vec<Outcome>,
    /// What the folder does, the one that matters most to the distance first.
    pub cares: Vec<Care>,
    /// The caller stopped before all were thrown.
    pub stopped: bool,
    /// Fewer were folded than asked for, since flights here are long.
    pub shortened: bool,
}

impl Tolerance {
    /// Share of the planes for which something holds.
    pub fn share(&self, holds: impl Fn(&Outcome) -> bool) -> f64 {
        self.outcomes.iter().filter(|o| holds(o)).count() as f64 / self.outcomes.len().max(1) as f64
    }

    /// Distance that a share of the planes does not reach, m.
    pub fn distance_m(&self, share: f64) -> f64 {
        let mut all: Vec<f64> = self.outcomes.iter().map(|o| o.distance_m).collect();
        all.sort_by(f64::total_cmp);
        let at = share.clamp(0.0, 1.0) * all.len().saturating_sub(1) as f64;
        all.get(at.round() as usize).copied().unwrap_or(0.0)
    }
}

/// Folds and throws a design some `draws` times, with so much `skill`: at least one pair for each
/// input, see [`sensitivity::sample`]. The same seed of the conditions gives the same answer on any
/// number of threads. `progress` is told how many pairs of how many are done and may stop the rest.
///
/// # Errors
/// The exact plane cannot be flown, or has no folds to misplace.
pub fn tolerance(
    plane: &Balanced,
    throw: &Throw,
    conditions: &Conditions,
    skill: &Skill,
    draws: usize,
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> Result<Tolerance, Problems> {
    let exact = pipeline::aircraft(plane, &conditions.air, throw.speed_m_s)?;
    let folded = plane.source.clone().into_folded()?;
    let inputs = skill::inputs(&folded.run);
    let groups: Vec<_> = inputs.iter().map(|i| i.range.clone()).collect();
    let few = Conditions { draws: SOUNDED, ..conditions.clone() };
    let steps = exact
        .as_found(&conditions.found)
        .verdict(throw, &few)
        .map_or(FLIGHT_ACCURACY.steps_max, |v| v.probability.steps / SOUNDED);
    let asked = draws.clamp(1, DRAWS_MAX);
    let shortened = steps > STEPS;
    let draws = if shortened { asked * STEPS / steps } else { asked };
    let base = (draws / (groups.len() + 2)).max(1);
    let maker = Maker { folded: &folded, throw, conditions };
    let one =
        |u: &[f64]| maker.outcome(&Drawn::new(&inputs, skill, u)).unwrap_or(Outcome::NOT_FOLDED);
    let sample = sensitivity::sample(one, &groups, base, conditions.seed, progress);
    let outcomes: Vec<Outcome> = sample.values().copied().collect();
    let stopped = outcomes.len() < base * (groups.len() + 2);
    Ok(Tolerance { cares: cares(inputs, &sample), outcomes, stopped, shortened })
}

fn cares(inputs: Vec<Input>, sample: &Sample<Outcome>) -> Vec<Care> {
    let distance = sample.indices(|o| o.distance_m);
    let glide = sample.indices(|o| f64::from(u8::from(o.glides())));
    let pair = |i: &Indices, k: usize| [i.first[k], i.total[k]];
    let of = |(k, input): (usize, Input)| Care {
        what: input.what,
        distance: pair(&distance, k),
        glide: pair(&glide, k),
    };
    let mut cares: Vec<Care> = inputs.into_iter().enumerate().map(of).collect();
    cares.sort_by(|a, b| b.distance[1].total_cmp(&a.distance[1]));
    cares
}

/// Folds and throws one plane after another.
struct Maker<'a> {
    folded: &'a FoldOutcome,
    throw: &'a Throw,
    conditions: &'a Conditions,
}

impl Maker<'_> {
    /// One plane; none where it cannot be folded, posed or flown.
    fn outcome(&self, drawn: &Drawn) -> Option<Outcome> {
        let made = self.fold(&drawn.slips, drawn.grammage)?;
        let body = self.body(&made, drawn)?;
        let throw = drawn.thrown(&self.conditions.found.thrown(*self.throw));
        let flight = fly(&body, &throw, &self.conditions.hall, JUDGED_EVERY_S).ok()?;
        let behaviour = Some(judge(&Path::new(&flight)).behaviour);
        let (distance_m, time_s) = (flight.distance_m, flight.time_aloft_s);
        Some(Outcome { behaviour, distance_m, time_s })
    }

    fn fold(&self, slips: &[Slip], grammage: f64) -> Option<Balanced> {
        let exact = self.folded;
        let stock = Stock { grammage_kg_m2: exact.stock.grammage_kg_m2 * grammage, ..exact.stock };
        let run =
            exec::run_slipped(&exact.design, &stock, &exact.values, &exact.run, slips).ok()?;
        let mut folded = exact.clone();
        (folded.run, folded.stock) = (run, stock);
        pipeline::balance_source(Source::Folded(folded)).ok()
    }

    fn body(&self, made: &Balanced, drawn: &Drawn) -> Option<Body<StripModel>> {
        let options = air::Options::ORDINARY;
        let solved = air::solve_halves(&made.airframe, &self.conditions.air, &options).ok()?;
        let found = &self.conditions.found.plane;
        let (bend_m, twist_m) = (drawn.bend_m + found.bend_m, drawn.twist_m + found.twist_m);
        let adjust = Adjustments {
            friction_scale: found.friction,
            stall_shift_rad: found.stall_rad,
            step_scale: found.steps,
            travel_scale: found.travel,
            right_rad: (bend_m + twist_m) / options.bend_depth_m,
            left_rad: (bend_m - twist_m) / options.bend_depth_m,
            ..Adjustments::at(made.mass.cg_m - Vector3::x() * found.balance_aft_m)
        };
        let inertia = solved.axes.tensor(&made.mass.inertia_kg_m2);
        Body::new(made.mass.mass_kg, inertia, solved.adjusted(&adjust)).ok()
    }
}
