//! Which lengths of a design can be found by folding, and how.

use plumbfold::fold::exec::FoldRun;
use plumbfold::fold::state::Folded;
use plumbfold::numeric::geom::SheetPoint;
use plumbfold::pipeline::FoldOutcome;
use plumbfold_draw::units::Units;

use crate::guides::inside;
use crate::reference::{self, Edge, Recipe};
use crate::words::Said;

/// A fold whose place can be found without a ruler.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Number of the step, from 1.
    pub step: usize,
    /// What is found: `on the bottom edge, 83 mm from the left`.
    pub what: String,
    /// How; none where no three folds come within half a millimetre, or where the step ends on no
    /// edge that is in reach.
    pub recipe: Option<Recipe>,
    /// The same place is needed on the opposite edge too.
    pub twice: bool,
}

/// Nearer to upright or level than this a line counts as such, m over its length.
const STRAIGHT_M: f64 = 1e-6;
/// How far from the edge a pinch is looked at, m: about half of its length.
const PINCH_M: f64 = 2e-3;

/// A place on an edge: how far from the left, or from the bottom, m.
type Place = (Edge, f64);

/// For every step with a length in it.
pub fn of(outcome: &FoldOutcome, said: &[Said], units: Units) -> Vec<Measure> {
    let run = &outcome.run;
    let sheet_m = run.sheet.sheet_m;
    let mut out: Vec<Measure> = Vec::new();
    let mut known: Vec<Place> = Vec::new();
    for (i, said) in said.iter().enumerate() {
        let mirrored = run.steps[i].passes.iter().any(|p| p.mirrored);
        let marks: Vec<Option<Place>> = said.marked.iter().map(|&p| on_edge(sheet_m, p)).collect();
        let heights: Vec<f64> = marks.iter().flatten().map(|m| m.1).collect();
        let mut wanted: Vec<Vec<Place>> = Vec::new();
        for (mark, at) in marks.iter().zip(&said.marked) {
            // A mark inside the sheet level with one on its edge is found by that.
            let level = |h: &f64| (h - at.y).abs() < STRAIGHT_M;
            match mark {
                Some(place) => wanted.push(vec![*place]),
                None if heights.iter().any(level) => {}
                None => wanted.push(Vec::new()),
            }
        }
        if said.lengths > 0 {
            wanted.push(ends(run, i));
        }
        for places in wanted {
            let same = |a: &Place, b: &Place| a.0 == b.0 && (a.1 - b.1).abs() < STRAIGHT_M;
            if places.iter().any(|p| known.iter().any(|k| same(k, p))) {
                continue;
            }
            known.extend(&places);
            let ways =
                places.iter().map(|&(edge, at)| (reference::find_on(sheet_m, edge, at, units), at));
            let way = ways
                .filter_map(|(recipe, at)| Some((recipe?, at)))
                .min_by_key(|(recipe, _)| recipe.folds.len());
            let what =
                way.as_ref().map_or(String::new(), |(r, at)| name(sheet_m, r.edge, *at, units));
            let upright = |e: Edge| matches!(e, Edge::Left | Edge::Right);
            let twice = way.as_ref().is_some_and(|(recipe, _)| {
                upright(recipe.edge)
                    && (mirrored || places.iter().filter(|p| upright(p.0)).count() > 1)
            });
            let recipe = way.map(|w| w.0);
            out.push(Measure { step: i + 1, what, recipe, twice });
        }
    }
    out
}

fn name([w, h]: [f64; 2], edge: Edge, at_m: f64, units: Units) -> String {
    let (length, [near, far]) = match edge {
        Edge::Top | Edge::Bottom => (w, ["left", "right"]),
        Edge::Left | Edge::Right => (h, ["bottom", "top"]),
    };
    format!(
        "on the {} edge of the flat sheet, {} from the {near} ({} from the {far})",
        edge.word(),
        units.length(at_m),
        units.length(length - at_m)
    )
}

fn on_edge([w, h]: [f64; 2], p: SheetPoint) -> Option<Place> {
    let is = |a: f64, b: f64| (a - b).abs() < STRAIGHT_M;
    match () {
        () if is(p.x, 0.0) => Some((Edge::Left, p.y)),
        () if is(p.x, w) => Some((Edge::Right, p.y)),
        () if is(p.y, 0.0) => Some((Edge::Bottom, p.x)),
        () if is(p.y, h) => Some((Edge::Top, p.x)),
        () => None,
    }
}

/// Where the first crease of a step, upright or level on the sheet, ends on an edge of the sheet that
/// is in reach before it. A crease that is neither is not found by one pinch.
fn ends(run: &FoldRun, step: usize) -> Vec<Place> {
    let (record, before) = (&run.steps[step], run.before(step));
    let Some(creases) = record.passes.first().map(|p| &p.creases) else { return Vec::new() };
    let own = record.after.hinges.iter().filter(|h| creases.contains(&h.crease));
    let mut out: Vec<Place> = Vec::new();
    for h in own {
        let [a, b]: [SheetPoint; 2] = h.ends;
        for (end, other) in [(a, b), (b, a)] {
            let straight = (a.x - b.x).abs() < STRAIGHT_M || (a.y - b.y).abs() < STRAIGHT_M;
            let Some(place) = on_edge(run.sheet.sheet_m, end).filter(|_| straight) else {
                continue;
            };
            let along_it = match place.0 {
                Edge::Left | Edge::Right => (a.x - b.x).abs() < STRAIGHT_M,
                Edge::Top | Edge::Bottom => (a.y - b.y).abs() < STRAIGHT_M,
            };
            let share = (PINCH_M / end.distance(other).max(STRAIGHT_M)).min(0.5);
            if !along_it && in_reach(before, end.lerp(other, share)) {
                out.push(place);
            }
        }
    }
    out
}

/// Whether a place of the sheet can be seen, from above or from below.
fn in_reach(model: &Folded, place: SheetPoint) -> bool {
    let Some(carrier) = model.faces_at(place).next() else { return false };
    let (ranks, at) = (model.ranks(), model.faces[carrier].placement.apply(place));
    let covers = |over: bool| {
        (0..model.faces.len()).any(|f| {
            f != carrier
                && (ranks[f] > ranks[carrier]) == over
                && inside(&model.table_polygon(f), at)
        })
    };
    !(covers(true) && covers(false))
}
