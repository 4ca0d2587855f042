//! How exactly a design must be folded: the answer of `tolerance`.

use plumbfold::study::tolerance::{Care, Keep, Tolerance as Tried};
use plumbfold::verdict::Behaviour as Kind;
use schemars::JsonSchema;
use serde::Serialize;

use crate::behaviour::Behaviour;

/// The answer of `tolerance`.
#[derive(Serialize, JsonSchema)]
pub struct Tolerance {
    /// Planes folded and thrown.
    pub planes: usize,
    /// As many as asked for.
    pub complete: bool,
    /// Share of them that glide, 0 to 1.
    pub glide_share: f64,
    /// Share whose folds do not come together, 0 to 1.
    pub not_folded_share: f64,
    /// Share of each behaviour.
    pub behaviours: Vec<Share>,
    /// Distances flown; a plane that does not come together goes 0 m.
    pub distance_m: Quantiles,
    /// What a folder does, and how much of the scatter comes from it.
    pub matters: Vec<Matter>,
    /// How exactly each fold must be placed; empty where the plane does not glide as meant.
    pub keep: Vec<KeepWithin>,
    /// Files of the pictures drawn.
    pub pictures: Vec<String>,
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

impl Tolerance {
    /// From what was flown and what follows for the folds.
    pub fn new(t: &Tried, keeps: &[Keep], pictures: Vec<String>) -> Self {
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
            complete: !t.stopped,
            glide_share: t.share(|o| o.glides()),
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
