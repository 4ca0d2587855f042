//! The steps of a folded design as they are drawn: what moved is found by comparing the model
//! before and after each step.

use plumbfold::design::eval::{Values, in_numbers};
use plumbfold::fold::exec::{FoldLineRecord, FoldRun, StepKind, StepRecord};
use plumbfold::fold::layout::Layout;
use plumbfold::fold::state::{Assignment, FaceId, Folded};
use plumbfold::numeric::geom::{SheetPoint, TablePoint, Vec2, centroid, edges, is_inside};

use crate::arrows::FoldArrow;
use crate::steps::{FoldShown, MoveShown, StepShown, Turn};

/// Paper covers what lies farther than this inside its outline, m.
const CLEAR_M: f64 = 1e-7;

/// Every step of a run. `text` is the design text the run was made from, `values` those of its lets:
/// the captions say lengths as numbers.
pub fn shown<'a>(run: &'a FoldRun, text: &str, values: &Values) -> Vec<StepShown<'a>> {
    let steps = run.steps.iter().enumerate();
    steps.map(|(i, record)| step(i, run.before(i), record, text, values)).collect()
}

fn step<'a>(
    i: usize,
    before: &'a Folded,
    record: &StepRecord,
    text: &str,
    values: &Values,
) -> StepShown<'a> {
    let after = &*record.after;
    let said = in_numbers(&sentence(text.get(record.span.clone()).unwrap_or_default()), values);
    let says = match record.turn {
        Some([turn, turns]) if turns > 1 => format!("{said} ({turn} of {turns})"),
        _ => said,
    };
    let mut out = StepShown {
        number: i + 1,
        says,
        before,
        folds: Vec::new(),
        moves: MoveShown::default(),
        turn: None,
        places: Vec::new(),
        apart: 0.0,
    };
    match record.kind {
        StepKind::TurnOver => out.turn = Some(Turn::Over),
        StepKind::Rotate => out.turn = turned(before, after).map(Turn::By),
        StepKind::Fold(_) => {
            let moved = moved(before, after);
            out.folds = record
                .passes
                .iter()
                .map(|pass| match pass.valley {
                    Some(valley) => FoldShown {
                        line: pass.line,
                        kind: if valley { FoldArrow::Valley } else { FoldArrow::Mountain },
                        moving: moved.clone(),
                    },
                    None => FoldShown {
                        line: pass.line,
                        kind: FoldArrow::Crease,
                        moving: creased(before, after, &pass.creases),
                    },
                })
                .collect();
        }
        // A tuck: one fold, whose flap goes under another.
        StepKind::Collapse if record.passes.iter().any(|p| p.valley.is_some()) => {
            let moved = moved(before, after);
            let fold = |pass: &FoldLineRecord| FoldShown {
                line: pass.line,
                kind: FoldArrow::Tuck,
                moving: moved.clone(),
            };
            out.folds = record.passes.iter().map(fold).collect();
        }
        StepKind::Collapse => {
            let (hidden, creases): (Vec<_>, Vec<_>) =
                newly_bent(before, after).into_iter().partition(|bent| bent.covered);
            let ends = hidden.into_iter().map(|bent| bent.ends);
            // Under other paper a crease is dotted: shown where nothing of the move can be seen.
            let hidden = if creases.is_empty() { ends.collect() } else { Vec::new() };
            let creases = creases.into_iter().map(|bent| (bent.ends, bent.state)).collect();
            let (ways, tucked) = (ways(before, after), tucked(before, after));
            out.moves = MoveShown { creases, hidden, tucked, ways, arrow: FoldArrow::Valley };
        }
        StepKind::Unfold => {
            out.moves.ways = ways(before, after);
            out.moves.arrow = FoldArrow::Unfold;
        }
    }
    out
}

/// A step as said aloud: on one line, without its comment.
fn sentence(text: &str) -> String {
    let spoken: Vec<&str> = text
        .lines()
        .map(|l| l.split('#').next().unwrap_or_default().trim().trim_end_matches('\\'))
        .collect();
    spoken.join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// For each face after the step, a place inside it and the face that carried it before.
fn kin(before: &Folded, after: &Folded) -> Vec<(FaceId, SheetPoint, Option<FaceId>)> {
    (0..after.faces.len())
        .map(|f| {
            let at = centroid(&after.faces[f].polygon);
            (f, at, before.faces_at(at).next())
        })
        .collect()
}

/// Faces before the step of which some part lies elsewhere after it.
fn moved(before: &Folded, after: &Folded) -> Vec<FaceId> {
    let mut out: Vec<FaceId> = kin(before, after)
        .into_iter()
        .filter_map(|(f, _, was)| {
            let was = was?;
            let stays = before.faces[was].placement.near(&after.faces[f].placement);
            (!stays).then_some(was)
        })
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// Edges, raw or folded, of paper that moved and lies under other paper after it.
fn tucked(before: &Folded, after: &Folded) -> Vec<[TablePoint; 2]> {
    let (ranks, layout) = (after.ranks(), Layout::new(after));
    let covered = |f: FaceId, at: TablePoint| {
        (0..after.faces.len())
            .any(|o| ranks[o] > ranks[f] && is_inside(layout.outline(o), at, CLEAR_M))
    };
    let mut out = Vec::new();
    for (f, _, was) in kin(before, after) {
        if was.is_none_or(|was| before.faces[was].placement.near(&after.faces[f].placement)) {
            continue;
        }
        for (a, b) in edges(&after.table_polygon(f)) {
            let middle = a.lerp(b, 0.5);
            let open = after.hinges.iter().any(|h| {
                let [p, q] = after.hinge_on_table(h);
                h.faces.contains(&f)
                    && !after.is_folded(h)
                    && p.lerp(q, 0.5).distance(middle) < 1e-6
            });
            if !open && covered(f, middle) {
                out.push([a, b]);
            }
        }
    }
    out
}

/// Faces before the step that these creases run through.
fn creased(before: &Folded, after: &Folded, creases: &[usize]) -> Vec<FaceId> {
    let mut out: Vec<FaceId> = after
        .hinges
        .iter()
        .filter(|h| creases.contains(&h.crease))
        .flat_map(|h| before.faces_at(h.ends[0].lerp(h.ends[1], 0.5)).collect::<Vec<_>>())
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// A crease bent by a step, where it lies before it.
struct Bent {
    ends: [TablePoint; 2],
    /// As the folder sees it.
    state: Assignment,
    /// Other paper lies on it.
    covered: bool,
}

/// Creases bent by the step.
fn newly_bent(before: &Folded, after: &Folded) -> Vec<Bent> {
    let (ranks, old) = (after.ranks(), Layout::new(before));
    let height = before.ranks();
    let mut out = Vec::new();
    for h in after.hinges.iter().filter(|h| after.is_folded(h)) {
        let mid = h.ends[0].lerp(h.ends[1], 0.5);
        let Some(carrier) = before.faces_at(mid).max_by_key(|&f| height[f]) else { continue };
        let bent_before = before
            .hinges
            .iter()
            .any(|o| o.crease == h.crease && before.is_folded(o) && on_segment(mid, o.ends));
        let placement = &before.faces[carrier].placement;
        let at = placement.apply(mid);
        let covered = (0..before.faces.len())
            .any(|f| height[f] > height[carrier] && is_inside(old.outline(f), at, CLEAR_M));
        if bent_before {
            continue;
        }
        let state = match (after.assignment(h, &ranks), placement.det() > 0.0) {
            // Valley and mountain are told from the printed side.
            (Assignment::Valley, false) => Assignment::Mountain,
            (Assignment::Mountain, false) => Assignment::Valley,
            (state, _) => state,
        };
        out.push(Bent { ends: h.ends.map(|p| placement.apply(p)), state, covered });
    }
    out
}

fn on_segment(p: SheetPoint, [a, b]: [SheetPoint; 2]) -> bool {
    (a.distance(p) + p.distance(b) - a.distance(b)).abs() < 1e-7
}

/// The longest way a corner goes, and one as long on another face far from it: the other side of
/// a symmetric move.
fn ways(before: &Folded, after: &Folded) -> Vec<[TablePoint; 2]> {
    let mut all: Vec<(FaceId, [TablePoint; 2])> = kin(before, after)
        .into_iter()
        .filter_map(|(f, _, was)| Some((f, was?)))
        .flat_map(|(f, was)| {
            let (old, new) = (before.faces[was].placement, after.faces[f].placement);
            let corners = after.faces[f].polygon.clone();
            corners.into_iter().map(move |p| (f, [old.apply(p), new.apply(p)]))
        })
        .filter(|(_, [a, b])| a.distance(*b) > 1e-3)
        .collect();
    all.sort_by(|(_, p), (_, q)| q[0].distance(q[1]).total_cmp(&p[0].distance(p[1])));
    let Some(&(face, first)) = all.first() else { return Vec::new() };
    let length = first[0].distance(first[1]);
    let second = all.iter().find(|(f, w)| {
        *f != face && w[0].distance(w[1]) > 0.98 * length && w[0].distance(first[0]) > 0.5 * length
    });
    std::iter::once(first).chain(second.map(|s| s.1)).collect()
}

/// The way that paper at a place of the table goes in a step: the longest, where several layers lie
/// there; none where it stays.
pub fn way_from(before: &Folded, after: &Folded, place: TablePoint) -> Option<[TablePoint; 2]> {
    let all = kin(before, after).into_iter().filter_map(|(f, _, was)| Some((f, was?)));
    let ways = all.flat_map(|(f, was)| {
        let (old, new) = (before.faces[was].placement, after.faces[f].placement);
        let corners = after.faces[f].polygon.iter();
        corners.map(move |&p| [old.apply(p), new.apply(p)]).collect::<Vec<_>>()
    });
    ways.filter(|[from, to]| from.distance(place) < 1e-4 && from.distance(*to) > 1e-3)
        .max_by(|a, b| a[0].distance(a[1]).total_cmp(&b[0].distance(b[1])))
}

/// How far the model was turned on the table, rad.
fn turned(before: &Folded, after: &Folded) -> Option<f64> {
    let x = Vec2::new(1.0, 0.0);
    let (a, b) = (before.faces.first()?.placement.turn(x), after.faces.first()?.placement.turn(x));
    Some(a.cross(b).atan2(a.dot(b)))
}
