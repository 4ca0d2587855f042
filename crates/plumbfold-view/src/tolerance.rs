//! How exactly a design must be folded: the answer of `tolerance`.

use plumbfold::study::tolerance::{Care, Keep, Skill, Tolerance as Tried};
use plumbfold::verdict::Behaviour as Kind;
use plumbfold::verdict::headline::Probabilities;
use schemars::JsonSchema;
use serde::Serialize;

use crate::behaviour::Behaviour;
use crate::said::per_cent;

/// The answer of `tolerance`.
#[derive(Serialize, JsonSchema)]
pub struct Tolerance {
    /// Planes folded and thrown.
    pub planes: usize,
    /// As many as asked for.
    pub complete: bool,
    /// Flights here are so long that fewer planes were folded than asked for.
    pub shortened: bool,
    /// The slips of a folder and a thrower, one standard deviation each.
    pub slips: Slips,
    /// Share of them that glide, 0 to 1.
    pub glide_share: f64,
    /// What `check` counts for the same throw.
    pub check: Check,
    /// Share whose folds do not come together, 0 to 1.
    pub not_folded_share: f64,
    /// Share of each behaviour.
    pub behaviours: Vec<Share>,
    /// Distances flown; a plane that does not come together goes 0 m.
    pub distance_m: Quantiles,
    /// How many flew how far, in steps of equal width.
    pub distances: Vec<Bin>,
    /// What a folder does, and how much of the scatter comes from it.
    pub matters: Vec<Matter>,
    /// How exactly each fold must be placed; empty where the plane does not glide as meant.
    pub keep: Vec<KeepWithin>,
    /// Files of the pictures drawn.
    pub pictures: Vec<String>,
}

/// How well somebody folds and throws: one standard deviation each.
#[derive(Serialize, JsonSchema)]
pub struct Slips {
    /// Each end of a crease beside its mark, mm.
    pub crease_mm: f64,
    /// Weight of the paper, as a fraction.
    pub grammage_fraction: f64,
    /// Trailing edges that look flat, mm.
    pub edges_mm: f64,
    /// Speed of the throw, as a fraction.
    pub speed_fraction: f64,
    /// Slope of the throw, degrees.
    pub elevation_deg: f64,
}

/// What `check` says of the same throw, and why that differs.
#[derive(Serialize, JsonSchema)]
pub struct Check {
    /// Probability of a glide, 0 to 1.
    pub glide_probability: f64,
    /// Flights behind it.
    pub draws: usize,
    /// The two are the same to within twice their sampling error.
    pub agrees: bool,
    /// Both figures and what is between them, in one sentence.
    pub said: String,
}

/// Flights that went about so far.
#[derive(Serialize, JsonSchema)]
pub struct Bin {
    /// Middle of the step, m.
    pub at_m: f64,
    /// Those that glided.
    pub glided: usize,
    /// Those that did something else.
    pub others: usize,
}

/// Share of a behaviour.
#[derive(Serialize, JsonSchema)]
pub struct Share {
    /// Which.
    pub behaviour: Behaviour,
    /// Its share of all planes, 0 to 1.
    pub share: f64,
}

/// Distances that this share of all flights falls short of, m.
#[derive(Serialize, JsonSchema)]
pub struct Quantiles {
    /// One in twenty, m.
    pub p05: f64,
    /// A quarter, m.
    pub p25: f64,
    /// Half, m.
    pub p50: f64,
    /// Three quarters, m.
    pub p75: f64,
    /// Nineteen in twenty, m.
    pub p95: f64,
}

/// Sensitivity indices (Saltelli et al. 2010, Jansen 1999): shares of a variance, about 0 to 1;
/// the scatter of their estimate can put them a little beyond.
#[derive(Serialize, JsonSchema)]
pub struct Matter {
    /// What is done more or less well, in words.
    pub what: String,
    /// Share of the variance of distance it explains by itself.
    pub distance_alone: f64,
    /// Share it has to do with, together with all else.
    pub distance_total: f64,
    /// Share of the variance of gliding or not that it explains by itself.
    pub glide_alone: f64,
    /// Share it has to do with, together with all else.
    pub glide_total: f64,
}

/// How exactly one fold must be placed.
#[derive(Serialize, JsonSchema)]
pub struct KeepWithin {
    /// Which, in words.
    pub what: String,
    /// Placed within this much either way it still glides, mm.
    pub within_mm: f64,
    /// What it does beyond; null where nothing else was seen.
    pub beyond: Option<Behaviour>,
    /// Where that was seen, mm off; null where nothing else was seen.
    pub beyond_mm: Option<f64>,
}

/// Steps of [`Tolerance::distances`].
const BINS: usize = 10;

impl Check {
    fn new(t: &Tried, p: &Probabilities) -> Self {
        let (here, there) = (t.share(|o| o.glides()), p.of(Kind::Glides));
        let here_error = (here * (1.0 - here) / t.outcomes.len().max(1) as f64).sqrt();
        let error = here_error.hypot(p.error_of(Kind::Glides));
        let agrees = (here - there).abs() <= 2.0 * error;
        let counted = format!("`check` counts {} in {} flights", per_cent(there), p.draws);
        let between = match agrees {
            true => "the same, as far as so many flights can tell",
            false => {
                "it also draws what is not known of the air, which is the same for every plane of a \
                 design, and takes the folds together as half a millimetre of balance"
            }
        };
        let said = format!("{counted}: {between}");
        Self { glide_probability: there, draws: p.draws, agrees, said }
    }
}

fn bins(t: &Tried) -> Vec<Bin> {
    let far = t.outcomes.iter().map(|o| o.distance_m).fold(0.0, f64::max);
    if far <= 0.0 {
        return Vec::new();
    }
    let width = far / BINS as f64;
    let bin = |k: usize| Bin { at_m: (k as f64 + 0.5) * width, glided: 0, others: 0 };
    let mut bins: Vec<Bin> = (0..BINS).map(bin).collect();
    for o in &t.outcomes {
        let bin = &mut bins[((o.distance_m / width) as usize).min(BINS - 1)];
        if o.glides() { bin.glided += 1 } else { bin.others += 1 }
    }
    bins
}

impl Tolerance {
    /// From what was flown with so much skill, what follows for the folds, and what `check` counts.
    pub fn new(
        t: &Tried,
        skill: &Skill,
        keeps: &[Keep],
        check: &Probabilities,
        pictures: Vec<String>,
    ) -> Self {
        let matter = |c: &Care| Matter {
            what: c.what.words(),
            distance_alone: c.distance[0],
            distance_total: c.distance[1],
            glide_alone: c.glide[0],
            glide_total: c.glide[1],
        };
        let keep = |k: &Keep| KeepWithin {
            what: k.what.words(),
            within_mm: k.within_m * 1e3,
            beyond: k.beyond.map(|b| Behaviour(b.0)),
            beyond_mm: k.beyond.map(|b| b.1 * 1e3),
        };
        let share =
            |b: Kind| Share { behaviour: Behaviour(b), share: t.share(|o| o.behaviour == Some(b)) };
        let at = |share| t.distance_m(share);
        Self {
            planes: t.outcomes.len(),
            complete: !t.stopped && !t.shortened,
            shortened: t.shortened,
            slips: Slips {
                crease_mm: skill.crease_m * 1e3,
                grammage_fraction: skill.grammage,
                edges_mm: skill.warp_m * 1e3,
                speed_fraction: skill.speed,
                elevation_deg: skill.elevation_rad.to_degrees(),
            },
            glide_share: t.share(|o| o.glides()),
            check: Check::new(t, check),
            distances: bins(t),
            not_folded_share: t.share(|o| o.behaviour.is_none()),
            behaviours: Kind::EVERY.map(share).into(),
            distance_m: Quantiles {
                p05: at(0.05),
                p25: at(0.25),
                p50: at(0.5),
                p75: at(0.75),
                p95: at(0.95),
            },
            matters: t.cares.iter().map(matter).collect(),
            keep: keeps.iter().map(keep).collect(),
            pictures,
        }
    }
}
