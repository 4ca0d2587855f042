//! Which lengths of a design can be found by folding, and how.

use plumbfold::fold::exec::FoldRun;
use plumbfold::numeric::geom::SheetPoint;
use plumbfold::pipeline::FoldOutcome;
use plumbfold_draw::text::mm;

use crate::reference::{self, Along, Recipe};
use crate::words::Said;

/// A fold whose place can be found without a ruler.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Number of the step, from 1.
    pub step: usize,
    /// What is found: `the fold meets the bottom edge 83 mm from the left`.
    pub what: String,
    /// How; none where no three folds come within half a millimetre.
    pub recipe: Option<Recipe>,
}

/// Nearer to upright or level than this a line counts as such, m over its length.
const STRAIGHT_M: f64 = 1e-6;

/// For every step with a length in it.
pub fn of(outcome: &FoldOutcome, said: &[Said]) -> Vec<Measure> {
    let run = &outcome.run;
    let sheet_m = run.sheet.sheet_m;
    let mut found: Vec<(usize, Along, f64)> = Vec::new();
    for (i, said) in said.iter().enumerate() {
        let own = if said.lengths > 0 { place(run, i) } else { None };
        let marked = said.marked.iter().filter_map(|&p| on_edge(sheet_m, p));
        for (along, at_m) in marked.chain(own) {
            let known = |&(_, a, at): &(usize, Along, f64)| a == along && (at - at_m).abs() < 1e-6;
            if !found.iter().any(known) {
                found.push((i + 1, along, at_m));
            }
        }
    }
    let measure = |(step, along, at_m)| {
        // A design made on both sides has the mirrored place too: the one sooner found counts.
        let other = if along == Along::Level { sheet_m[0] - at_m } else { at_m };
        let folds = |r: &Option<Recipe>| r.as_ref().map_or(usize::MAX, |r| r.folds.len());
        let ways = [at_m, other].map(|at| (reference::find(sheet_m, along, at), at));
        let [here, there] = ways;
        let (recipe, at_m) = if folds(&there.0) < folds(&here.0) { there } else { here };
        let what = match along {
            Along::Level => format!(
                "{} from the left of the flat sheet ({} from the right)",
                mm(at_m),
                mm(sheet_m[0] - at_m)
            ),
            Along::Upright => format!(
                "{} from the bottom of the flat sheet ({} from the top)",
                mm(at_m),
                mm(sheet_m[1] - at_m)
            ),
        };
        Measure { step, what, recipe }
    };
    found.into_iter().map(measure).collect()
}

/// A place on an edge of the sheet; one on the upright middle counts by its height.
fn on_edge([w, h]: [f64; 2], p: SheetPoint) -> Option<(Along, f64)> {
    let is = |a: f64, b: f64| (a - b).abs() < STRAIGHT_M;
    match () {
        () if is(p.y, 0.0) || is(p.y, h) => Some((Along::Level, p.x)),
        () if is(p.x, 0.0) || is(p.x, w) || is(p.x, w / 2.0) => Some((Along::Upright, p.y)),
        () => None,
    }
}

/// Where the crease of a step meets an edge of the flat sheet, if it runs upright or level there.
fn place(run: &FoldRun, step: usize) -> Option<(Along, f64)> {
    let record = &run.steps[step];
    let creases = &record.passes.first()?.creases;
    let own = record.after.hinges.iter().filter(|h| creases.contains(&h.crease));
    let straight = own.clone().filter_map(|h| {
        let [a, b]: [SheetPoint; 2] = h.ends;
        let length = a.distance(b);
        match () {
            () if (a.x - b.x).abs() < STRAIGHT_M => Some((length, Along::Level, a.x)),
            () if (a.y - b.y).abs() < STRAIGHT_M => Some((length, Along::Upright, a.y)),
            () => None,
        }
    });
    // A level crease through the middle is found by its height; of others the longest counts.
    let middle = run.sheet.sheet_m[0] / 2.0;
    let through = own.clone().find(|h| {
        let [a, b] = h.ends;
        (a.y - b.y).abs() < STRAIGHT_M && (a.x - middle) * (b.x - middle) < STRAIGHT_M
    });
    if let Some(h) = through {
        return Some((Along::Upright, h.ends[0].y));
    }
    let longest = straight.reduce(|a, b| if b.0 > a.0 + 1e-9 { b } else { a })?;
    Some((longest.1, longest.2))
}
