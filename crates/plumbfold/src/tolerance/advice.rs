//! How exactly each fold must be placed, one at a time, all else as meant.

use rayon::prelude::*;

use super::hands::{self, Drawn, Input};
use super::{Maker, What};
use crate::analysis::Conditions;
use crate::flight::throw::Throw;
use crate::fold::slip::Slip;
use crate::pipeline::Balanced;
use crate::verdict::Behaviour;

/// How exactly a fold must be placed.
#[derive(Clone, Debug, PartialEq)]
pub struct Keep {
    /// The fold.
    pub what: What,
    /// The plane still glides with it this far off either way, m; nothing if it does not glide
    /// with it the least bit off.
    pub within_m: f64,
    /// What it does when a little further off, and how far; none if it glides however far off was
    /// tried.
    pub beyond: Option<(Behaviour, f64)>,
}

/// Distances tried, m: half a millimetre is as well as one folds, three is carelessness.
const OFF_M: [f64; 6] = [0.25e-3, 0.5e-3, 1e-3, 1.5e-3, 2e-3, 3e-3];

/// Asks of each fold alone how far it may be placed beside its mark. Where a fold has two sides,
/// both off alike and one alone are tried, and the worst counts. Empty for a plane that does not
/// glide as meant.
pub fn advice(plane: &Balanced, throw: &Throw, conditions: &Conditions) -> Vec<Keep> {
    let maker = Maker { plane, throw, conditions };
    let does = |drawn: &Drawn| maker.outcome(drawn).and_then(|o| o.behaviour);
    if does(&Drawn::EXACT) != Some(Behaviour::Glides) {
        return Vec::new();
    }
    let inputs = hands::inputs(plane);
    let folds: Vec<Input> = inputs.into_iter().filter(|i| !i.creases.is_empty()).collect();
    folds.into_par_iter().map(|fold| keep(fold, does)).collect()
}

fn keep(fold: Input, does: impl Fn(&Drawn) -> Option<Behaviour>) -> Keep {
    let mut within_m = 0.0;
    for off_m in OFF_M {
        for ways in ways(fold.creases.len()) {
            let mut drawn = Drawn::EXACT;
            for (&(k, _), way) in fold.creases.iter().zip(ways) {
                drawn.slip(k, Slip { offset_m: way * off_m, turn_rad: 0.0 });
            }
            // What can no longer be folded is seen at the table and folded again.
            match does(&drawn) {
                None | Some(Behaviour::Glides) => {}
                Some(other) => {
                    return Keep { what: fold.what, within_m, beyond: Some((other, off_m)) };
                }
            }
        }
        within_m = off_m;
    }
    Keep { what: fold.what, within_m, beyond: None }
}

/// Signs of the slips of a fold's creases: all alike, and the first alone.
fn ways(creases: usize) -> Vec<Vec<f64>> {
    let alike = |sign: f64| vec![sign; creases];
    let alone = |sign: f64| {
        let mut one = vec![0.0; creases];
        one[0] = sign;
        one
    };
    let mut ways = vec![alike(1.0), alike(-1.0)];
    if creases > 1 {
        ways.extend([alone(1.0), alone(-1.0)]);
    }
    ways
}
