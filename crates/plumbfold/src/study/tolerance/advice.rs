//! How exactly each fold must be placed, one at a time, all else as meant.

use rayon::prelude::*;

use super::skill::{self, Drawn, Input, missed};
use super::{Maker, What};
use crate::flight::throw::Throw;
use crate::pipeline::Balanced;
use crate::verdict::Behaviour;
use crate::verdict::aircraft::Conditions;

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

/// Asks of each fold alone how far the ends of its crease may lie beside their marks, to the same
/// side or to either. Where a fold has two sides, both off alike and one alone are tried, and the
/// worst counts. Empty for a plane that does not
/// glide as meant, or has no folds.
pub fn advice(plane: &Balanced, throw: &Throw, conditions: &Conditions) -> Vec<Keep> {
    let Some(folded) = plane.source.folded() else { return Vec::new() };
    let maker = Maker { folded, throw, conditions };
    let does = |drawn: &Drawn| maker.outcome(drawn).and_then(|o| o.behaviour);
    if does(&Drawn::EXACT) != Some(Behaviour::Glides) {
        return Vec::new();
    }
    let inputs = skill::inputs(&folded.run);
    let folds: Vec<Input> = inputs.into_iter().filter(|i| !i.creases.is_empty()).collect();
    folds.into_par_iter().map(|fold| keep(fold, does)).collect()
}

fn keep(fold: Input, does: impl Fn(&Drawn) -> Option<Behaviour>) -> Keep {
    let mut within_m = 0.0;
    for off_m in OFF_M {
        for ways in ways(fold.creases.len()) {
            let mut drawn = Drawn::EXACT;
            for (&(k, half_m), [both, one]) in fold.creases.iter().zip(ways) {
                drawn.slip(k, missed([both + one, both - one].map(|w| w * off_m), half_m));
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

/// How the creases of a fold are missed: both ends to the same side, and one end to either side;
/// all creases alike, and the first alone.
fn ways(creases: usize) -> Vec<Vec<[f64; 2]>> {
    let every = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]];
    let alone = |way| {
        let mut one = vec![[0.0; 2]; creases];
        one[0] = way;
        one
    };
    let mut ways: Vec<_> = every.iter().map(|&way| vec![way; creases]).collect();
    if creases > 1 {
        ways.extend(every.iter().map(|&way| alone(way)));
    }
    ways
}
