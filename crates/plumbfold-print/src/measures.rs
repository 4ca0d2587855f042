//! Which lengths of a design can be found by folding, and how.

use plumbfold::fold::exec::FoldRun;
use plumbfold::fold::state::{Folded, Hinge};
use plumbfold::numeric::geom::SheetPoint;
use plumbfold::pipeline::FoldOutcome;
use plumbfold_draw::units::Units;

use crate::guides::layers_at;
use crate::reference::{self, Along, Edge, Found, Recipe};
use crate::words::{Dot, Said};

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
    /// The same place is needed on the opposite edge too, or its mirror image on the other half.
    pub twice: bool,
    /// The mark is under the paper when it is needed.
    pub behind: bool,
    /// It is the end of a fold, square to its edge, and no mark.
    pub is_crease: bool,
    /// Letter of the mark it is.
    pub letter: Option<char>,
}

impl Measure {
    /// Of a step, found by nothing but a ruler.
    fn by_ruler(step: usize) -> Self {
        Self {
            step: step + 1,
            what: String::new(),
            recipe: None,
            twice: false,
            behind: false,
            is_crease: false,
            letter: None,
        }
    }

    /// What is written beside it: the number of the step, and the letter of the mark it is.
    pub fn sign(&self) -> String {
        self.letter.map_or(self.step.to_string(), |letter| format!("{}{letter}", self.step))
    }

    /// What is said at the step of how to do without a ruler; none where it needs one.
    pub fn reminder(&self) -> Option<String> {
        let behind = if self.behind { ", on the side that lies down" } else { "" };
        let square = if self.is_crease { ", with its edge lying along itself" } else { "" };
        let sign = self.sign();
        Some(match self.recipe.as_ref()?.found {
            Found::Pinch(_) => {
                format!("Without a ruler, use the pinch marked {sign}{behind}{square}.")
            }
            Found::Crossing(_) => {
                format!("Without a ruler, fold through the crossing marked {sign}{behind}.")
            }
        })
    }
}

/// Nearer to upright or level than this a line counts as such, m over its length.
const STRAIGHT_M: f64 = 1e-6;
/// How far from the edge a pinch is looked at, m: about half of its length.
const PINCH_M: f64 = 2e-3;

/// A place on an edge: how far from the left, or from the bottom, m.
type Place = (Edge, f64);

/// A place where it is needed.
struct Seen {
    place: Place,
    /// Under the paper.
    behind: bool,
    is_crease: bool,
    letter: Option<char>,
}

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
        let mut wanted: Vec<Vec<Seen>> = Vec::new();
        for (mark, at) in marks.iter().zip(&said.marked) {
            // A mark inside the sheet level with one on its edge is found by that.
            let level = |h: &f64| (h - at.y).abs() < STRAIGHT_M;
            match mark {
                Some(place) => {
                    // Of a step on both halves the twin may be the one in sight.
                    let twin = mirrored.then(|| SheetPoint::new(sheet_m[0] - at.x, at.y));
                    let letter = letter_at(run.before(i), said, *at);
                    let own =
                        std::iter::once(*at).chain(twin).zip([*place, turned(sheet_m, *place)]);
                    let seen = own.filter_map(|(at, place)| {
                        let behind = hidden(run.before(i), inwards(place.0, at))?;
                        Some(Seen { place, behind, is_crease: false, letter })
                    });
                    wanted.push(seen.collect());
                }
                None if heights.iter().any(level) => {}
                // Inside the sheet: a fold straight through it is found where it ends.
                None => {
                    let through = |s: &Seen| {
                        let own = if s.place.0.along() == Along::Upright { at.y } else { at.x };
                        (s.place.1 - own).abs() < STRAIGHT_M
                    };
                    let new = !is_creased(run, i);
                    wanted.push(ends(run, i).into_iter().filter(|s| new && through(s)).collect());
                }
            }
        }
        if said.lengths > 0 {
            wanted.push(ends(run, i));
        }
        for places in wanted {
            let same = |a: &Place, b: &Place| a.0 == b.0 && (a.1 - b.1).abs() < STRAIGHT_M;
            if places.iter().any(|p| known.iter().any(|k| same(k, &p.place))) {
                continue;
            }
            known.extend(places.iter().map(|p| p.place));
            let ways = places.iter().filter_map(|seen| {
                let (edge, at) = seen.place;
                let recipe = reference::find_on(sheet_m, edge, at, units)?;
                let what = name(sheet_m, edge, at, units);
                let upright = |e: Edge| e.along() == Along::Upright;
                let others = places.iter().filter(|p| upright(p.place.0)).count();
                let middle = (at - sheet_m[0] / 2.0).abs() < STRAIGHT_M;
                let twice = match upright(edge) {
                    true => mirrored || others > 1,
                    false => mirrored && !middle,
                };
                let Seen { behind, is_crease, letter, .. } = *seen;
                Some(Measure {
                    step: i + 1,
                    what,
                    recipe: Some(recipe),
                    twice,
                    behind,
                    is_crease,
                    letter,
                })
            });
            let folds = |m: &Measure| m.recipe.as_ref().map_or(0, |r| r.folds.len());
            let way = ways.min_by_key(|m| (m.behind, folds(m)));
            // A fold straight through a mark is led through a crossing as well.
            let through = || {
                let (measure, along, at_m) = crossing(run, i, mirrored, units)?;
                let marked =
                    |s: &Seen| s.place.0.along() == along && (s.place.1 - at_m).abs() < STRAIGHT_M;
                (said.lengths > 0 || places.iter().any(marked)).then_some(measure)
            };
            out.push(way.or_else(through).unwrap_or_else(|| Measure::by_ruler(i)));
        }
    }
    out
}

/// How the first crease of a step, where it runs straight across the sheet, is led through a
/// crossing that is in sight before it.
fn crossing(
    run: &FoldRun,
    step: usize,
    mirrored: bool,
    units: Units,
) -> Option<(Measure, Along, f64)> {
    let (before, sheet_m) = (run.before(step), run.sheet.sheet_m);
    first_crease(run, step).into_iter().find_map(|[a, b]| {
        let along = match () {
            () if (a.x - b.x).abs() < STRAIGHT_M => Along::Level,
            () if (a.y - b.y).abs() < STRAIGHT_M => Along::Upright,
            () => return None,
        };
        let (at_m, side, far) = match along {
            Along::Level => (a.x, "left", ("right", sheet_m[0] - a.x)),
            Along::Upright => (a.y, "bottom", ("top", sheet_m[1] - a.y)),
        };
        let ways = reference::find_crossings(sheet_m, along, at_m, units);
        ways.into_iter().find_map(|recipe| {
            let Found::Crossing([x, y]) = recipe.found else { return None };
            let at = match along {
                Along::Level => SheetPoint::new(a.x, y),
                Along::Upright => SheetPoint::new(x, a.y),
            };
            let on = (a.distance(at) + at.distance(b) - a.distance(b)).abs() < STRAIGHT_M;
            let behind = hidden(before, at).filter(|_| on)?;
            let what = format!(
                "on the flat sheet, {} from the {side} ({} from the {})",
                units.length(at_m),
                units.length(far.1),
                far.0
            );
            let (recipe, twice) = (Some(recipe), mirrored);
            let ruler = Measure::by_ruler(step);
            let measure = Measure { what, recipe, twice, behind, is_crease: true, ..ruler };
            Some((measure, along, at_m))
        })
    })
}

fn name([w, h]: [f64; 2], edge: Edge, at_m: f64, units: Units) -> String {
    let (length, [near, far]) = match edge.along() {
        Along::Level => (w, ["left", "right"]),
        Along::Upright => (h, ["bottom", "top"]),
    };
    format!(
        "on the {} edge of the flat sheet, {} from the {near} ({} from the {far})",
        edge.word(),
        units.length(at_m),
        units.length(length - at_m)
    )
}

/// The letter of a mark at a place of the sheet.
fn letter_at(model: &Folded, said: &Said, at: SheetPoint) -> Option<char> {
    const SAME_M: f64 = 1e-4;
    let face = model.faces_at(at).next()?;
    let table = model.faces[face].placement.apply(at);
    let here = |d: &&Dot| d.is_mark && d.at.distance(table) < SAME_M;
    said.dots.iter().find(here).map(|d| d.letter)
}

/// A place on an edge, moved to the middle of a pinch there.
fn inwards(edge: Edge, p: SheetPoint) -> SheetPoint {
    match edge {
        Edge::Left => SheetPoint::new(p.x + PINCH_M, p.y),
        Edge::Right => SheetPoint::new(p.x - PINCH_M, p.y),
        Edge::Bottom => SheetPoint::new(p.x, p.y + PINCH_M),
        Edge::Top => SheetPoint::new(p.x, p.y - PINCH_M),
    }
}

/// The place across from it, left for right.
fn turned([w, _]: [f64; 2], (edge, at): Place) -> Place {
    match edge {
        Edge::Left => (Edge::Right, at),
        Edge::Right => (Edge::Left, at),
        level => (level, w - at),
    }
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

/// The stretches of the first crease of a step, on the sheet.
fn first_crease(run: &FoldRun, step: usize) -> Vec<[SheetPoint; 2]> {
    let record = &run.steps[step];
    let Some(creases) = record.passes.first().map(|p| &p.creases) else { return Vec::new() };
    let own = record.after.hinges.iter().filter(|h| creases.contains(&h.crease));
    own.map(|h| h.ends).collect()
}

/// Whether a step folds along a crease that was there.
fn is_creased(run: &FoldRun, step: usize) -> bool {
    let before = run.before(step);
    let Some(pass) = run.steps[step].passes.first() else { return false };
    let along =
        |h: &Hinge| before.hinge_on_table(h).iter().all(|&p| pass.line.side(p).abs() < STRAIGHT_M);
    before.hinges.iter().any(along)
}

/// Where the first crease of a step, upright or level on the sheet, ends on an edge of the sheet that
/// is in reach before it. A crease that is neither is not found by one pinch.
fn ends(run: &FoldRun, step: usize) -> Vec<Seen> {
    let before = run.before(step);
    let mut out = Vec::new();
    for [a, b] in first_crease(run, step) {
        for (end, other) in [(a, b), (b, a)] {
            let straight = (a.x - b.x).abs() < STRAIGHT_M || (a.y - b.y).abs() < STRAIGHT_M;
            let Some(place) = on_edge(run.sheet.sheet_m, end).filter(|_| straight) else {
                continue;
            };
            let along_it = match place.0.along() {
                Along::Upright => (a.x - b.x).abs() < STRAIGHT_M,
                Along::Level => (a.y - b.y).abs() < STRAIGHT_M,
            };
            let share = (PINCH_M / end.distance(other).max(STRAIGHT_M)).min(0.5);
            if let (false, Some(behind)) = (along_it, hidden(before, end.lerp(other, share))) {
                out.push(Seen { place, behind, is_crease: true, letter: None });
            }
        }
    }
    out
}

/// Whether a place of the sheet is seen only from below; none where it is not seen at all.
fn hidden(model: &Folded, place: SheetPoint) -> Option<bool> {
    let carrier = model.faces_at(place).next()?;
    let (own, at) = (model.ranks()[carrier], model.faces[carrier].placement.apply(place));
    let covers = |over: bool| layers_at(model, at).any(|rank| rank != own && (rank > own) == over);
    match covers(true) {
        true => (!covers(false)).then_some(true),
        false => Some(false),
    }
}
