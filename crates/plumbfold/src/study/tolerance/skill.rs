//! What a folder does to a plane, and how well.

use std::f64::consts::TAU;
use std::ops::Range;

use super::What;
use crate::flight::throw::Throw;
use crate::fold::exec::FoldRun;
use crate::fold::slip::Slip;
use crate::numeric::sample::normal;
use crate::verdict::uncertainty::{Uncertainty, within_limits};

/// How well somebody folds and throws: one standard deviation of each slip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skill {
    /// Where each end of a crease comes to lie beside its mark, m.
    pub crease_m: f64,
    /// Weight of the paper, as a share.
    pub grammage: f64,
    /// Trailing edges that look flat, m.
    pub warp_m: f64,
    /// The same as a difference between the wings, m.
    pub twist_m: f64,
    /// Speed of the throw, as a share.
    pub speed: f64,
    /// Slope of the throw, rad.
    pub elevation_rad: f64,
    /// Bank at release, rad.
    pub bank_rad: f64,
    /// Keel against the path, rad.
    pub incidence_rad: f64,
}

impl Skill {
    /// A careful folder and a practised thrower: 0.3 mm at each end of a crease (chosen: an edge
    /// laid along a line by eye and held while it is creased), paper within the 4 % that mills keep
    /// (common practice, no source; two standard deviations), the rest as
    /// [`Uncertainty::CAREFUL`].
    pub const CAREFUL: Self = Self {
        crease_m: 0.3e-3,
        grammage: 0.02,
        warp_m: Uncertainty::CAREFUL.warp_m,
        twist_m: Uncertainty::CAREFUL.twist_m,
        speed: Uncertainty::CAREFUL.speed,
        elevation_rad: Uncertainty::CAREFUL.elevation_rad,
        bank_rad: Uncertainty::CAREFUL.bank_rad,
        incidence_rad: Uncertainty::CAREFUL.incidence_rad,
    };
}

/// Something that scatters: a range of the unit cube.
#[derive(Clone, Debug)]
pub(super) struct Input {
    pub what: What,
    pub range: Range<usize>,
    /// Creases it places, by their number in the run, and half their length, m.
    pub creases: Vec<(usize, f64)>,
}

/// Everything that scatters about a plane: each step that places creases, then the paper, the
/// edges and the throw.
pub(super) fn inputs(run: &FoldRun) -> Vec<Input> {
    let mut inputs: Vec<Input> = Vec::new();
    let mut next = 0;
    let made = run.steps.iter().flat_map(|s| &s.passes);
    for (k, (label, record)) in run.passes().into_iter().zip(made).enumerate() {
        if !label.slips {
            continue;
        }
        let length_m = record.bent_m / record.layers_bent.max(1) as f64;
        let half_m = length_m.max(SHORTEST_M) / 2.0;
        let range = next..next + 2;
        next += 2;
        match inputs.last_mut() {
            Some(Input { what: What::Fold { step, creases: count, .. }, range: r, creases })
                if *step == label.step =>
            {
                *count += 1;
                r.end = range.end;
                creases.push((k, half_m));
            }
            _ => inputs.push(Input {
                what: What::Fold {
                    step: label.step,
                    span: label.span,
                    crease: label.crease,
                    creases: 1,
                },
                range,
                creases: vec![(k, half_m)],
            }),
        }
    }
    for what in [
        What::Grammage,
        What::Warp,
        What::Twist,
        What::Speed,
        What::Elevation,
        What::Bank,
        What::Incidence,
    ] {
        inputs.push(Input { what, range: next..next + 1, creases: Vec::new() });
        next += 1;
    }
    inputs
}

/// Creases shorter than this are aimed as if they were so long, m: the eye follows the edge on.
const SHORTEST_M: f64 = 0.02;

/// One plane and throw as drawn.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    pub slips: Vec<Slip>,
    /// Weight of the paper, as a multiple.
    pub grammage: f64,
    pub bend_m: f64,
    pub twist_m: f64,
    speed: f64,
    elevation_rad: f64,
    bank_rad: f64,
    incidence_rad: f64,
}

impl Drawn {
    /// Nothing amiss.
    pub const EXACT: Self = Self {
        slips: Vec::new(),
        grammage: 1.0,
        bend_m: 0.0,
        twist_m: 0.0,
        speed: 1.0,
        elevation_rad: 0.0,
        bank_rad: 0.0,
        incidence_rad: 0.0,
    };

    /// From a point of the unit cube.
    pub fn new(inputs: &[Input], skill: &Skill, u: &[f64]) -> Self {
        let mut drawn = Self::EXACT;
        for input in inputs {
            let mut z = u[input.range.clone()].iter().map(|&u| normal(u));
            let mut next = || z.next().unwrap_or(0.0);
            match input.what {
                What::Fold { .. } => {
                    for &(k, half_m) in &input.creases {
                        let ends = [next(), next()].map(|z| skill.crease_m * z);
                        drawn.slip(k, missed(ends, half_m));
                    }
                }
                What::Grammage => drawn.grammage = 1.0 + skill.grammage * next(),
                What::Warp => drawn.bend_m = skill.warp_m * next(),
                What::Twist => drawn.twist_m = skill.twist_m * next(),
                What::Speed => drawn.speed = (skill.speed * next()).exp(),
                What::Elevation => drawn.elevation_rad = skill.elevation_rad * next(),
                What::Bank => drawn.bank_rad = skill.bank_rad * next(),
                What::Incidence => drawn.incidence_rad = skill.incidence_rad * next(),
            }
        }
        drawn
    }

    /// With one crease beside its mark.
    pub fn slip(&mut self, crease: usize, slip: Slip) {
        if self.slips.len() <= crease {
            self.slips.resize(crease + 1, Slip::default());
        }
        self.slips[crease] = slip;
    }

    /// The throw as made.
    pub fn thrown(&self, meant: &Throw) -> Throw {
        within_limits(&Throw {
            speed_m_s: meant.speed_m_s * self.speed,
            elevation_rad: meant.elevation_rad + self.elevation_rad,
            bank_rad: meant.bank_rad + self.bank_rad,
            incidence_rad: meant.incidence_rad + self.incidence_rad,
            ..*meant
        })
    }
}

/// A crease whose ends lie so far beside their marks, m.
pub(super) fn missed([a, b]: [f64; 2], half_m: f64) -> Slip {
    Slip {
        offset_m: (a + b) / 2.0,
        turn_rad: ((b - a) / (2.0 * half_m)).atan().clamp(-MOST_RAD, MOST_RAD),
    }
}

/// Most a crease is turned: more is seen at once.
const MOST_RAD: f64 = 2.0 * TAU / 360.0;
