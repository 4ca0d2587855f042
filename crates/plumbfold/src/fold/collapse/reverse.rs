//! Inside and outside reverse folds.
//!
//! ```text
//!     flap, seen from the side      inside reverse          outside reverse
//!      spine __________tip           ___________             ____/tip\
//!           /         /             /      |:::|            /   /    /
//!          /_________/             /_______|:::|           /___/____/
//!                                  the end goes in         the end is turned inside out
//!                                  between the layers      round the layers
//!     cut across the line:
//!            ____ upper              ____ body               ____ end
//!      tip  (____                    ____ end  )             ____ body
//!            lower                   ____ end  )             ____ body
//!                                    ____ body               ____ end
//! ```

use super::cut::Creased;
use super::{Call, CollapseError, Collapsed, Plan, collapse, flap};
use crate::fold::state::{FaceId, Folded, Hinge};
use crate::geom::{SheetPoint, TOLERANCE_M, TableLine};

/// Which way the end goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Between the flap's own layers.
    Inside,
    /// Around them.
    Outside,
}

/// Reverses the end of a flap that carries `tip` and lies beyond `line` (table frame).
///
/// # Errors
/// [`CollapseError`]; a flap without a folded edge across the line cannot be reversed.
pub fn reverse(
    model: &Folded,
    way: Way,
    tip: SheetPoint,
    line: &TableLine,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let flap = flap::beyond(model, tip, line)?;
    let mut creased = Creased::new(model);
    creased.along(&flap.line, None, |f| flap.faces[f], call)?;
    let fold = |way| collapse(&creased.model, &plan(&creased, &flap, way)?, take);
    let done = fold(way);
    let (other, what) = match way {
        Way::Inside => (Way::Outside, "across this line the end can only go round the outside"),
        Way::Outside => (Way::Inside, "across this line the end can only go inside"),
    };
    match done {
        Err(CollapseError::Layers { evidence, .. }) if fold(other).is_ok() => {
            Err(CollapseError::Unfit { what, evidence })
        }
        done => done,
    }
}

fn plan(creased: &Creased, flap: &flap::Flap, way: Way) -> Result<Plan, CollapseError> {
    let model = &creased.model;
    let end: Vec<bool> = (0..model.faces.len())
        .map(|f| flap.faces[creased.origin[f]] && flap.line.side(creased.middle(f)) > 0.0)
        .collect();
    // At the crease: a face of the end and the face of the body it is hinged to.
    let crosses = |h: &&Hinge| end[h.faces[0]] != end[h.faces[1]];
    let attached: Vec<[FaceId; 2]> = model
        .hinges
        .iter()
        .filter(crosses)
        .map(|h| if end[h.faces[0]] { h.faces } else { [h.faces[1], h.faces[0]] })
        .collect();
    let Some(&[_, holding]) = attached.first() else {
        let what = "the line does not cross the flap: no paper would stay behind";
        return Err(CollapseError::unfit(what, &[flap.line.at]));
    };
    let stack: Vec<FaceId> = model.order.iter().copied().filter(|&f| end[f]).collect();
    let middle = middle_of(model, flap, &stack)?;
    let upper = |f: FaceId| stack.iter().position(|&g| g == f).is_some_and(|i| i >= middle);

    let mut plan = Plan::rest(model, holding);
    for (i, h) in model.hinges.iter().enumerate().filter(|(_, h)| crosses(h)) {
        plan.folded[i] = !model.is_folded(h);
    }
    let on_top = |e: FaceId| upper(e) == (way == Way::Outside);
    plan.below = attached.iter().map(|&[e, b]| if on_top(e) { [b, e] } else { [e, b] }).collect();

    // Each half of the end is turned over, so its layers come in the reverse order.
    let ranks = model.ranks();
    let half = |u: bool| -> Vec<FaceId> {
        stack.iter().rev().copied().filter(|&f| upper(f) == u).collect()
    };
    let body = |u: bool| attached.iter().filter(move |a| upper(a[0]) == u).map(|a| ranks[a[1]]);
    let (low, high) = match way {
        // Both next to each other, right under the upper layers of the body.
        Way::Inside => {
            let under = body(true).min().unwrap_or(0);
            (under, under)
        }
        Way::Outside => {
            (body(false).min().unwrap_or(0), body(true).max().map_or(ranks.len(), |r| r + 1))
        }
    };
    plan.stack.clear();
    for rank in 0..=model.order.len() {
        if rank == low {
            plan.stack.extend(half(false));
        }
        if rank == high {
            plan.stack.extend(half(true));
        }
        plan.stack.extend(model.order.get(rank).filter(|&&f| !end[f]));
    }
    Ok(plan)
}

/// Where the end's layers (from the table upwards) part into a lower and an upper half: the place
/// in the stack that most folded edges running across the line go round; of several such, the
/// middlemost.
fn middle_of(model: &Folded, flap: &flap::Flap, stack: &[FaceId]) -> Result<usize, CollapseError> {
    let at = |f: FaceId| stack.iter().position(|&g| g == f);
    let spines = model.hinges.iter().filter(|h| {
        let reaches = |p| flap.line.side(p).abs() <= 2.0 * TOLERANCE_M;
        model.is_folded(h) && model.hinge_on_table(h).into_iter().any(reaches)
    });
    let spans: Vec<(usize, usize)> = spines
        .filter_map(|h| Some((at(h.faces[0])?, at(h.faces[1])?)))
        .map(|(a, b)| (a.min(b), a.max(b)))
        .collect();
    let score = |k: usize| {
        let round = spans.iter().filter(|&&(a, b)| a < k && k <= b).count();
        (round, std::cmp::Reverse((2 * k).abs_diff(stack.len())))
    };
    match (1..stack.len()).max_by_key(|&k| score(k)) {
        Some(k) if score(k).0 > 0 => Ok(k),
        _ => {
            let what = "a reverse fold needs a folded edge that runs across the line, \
                        with layers on both sides of it";
            Err(CollapseError::unfit(what, &[flap.line.at]))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::collapse::testing::*;
    use crate::fold::state::Assignment;

    /// An A4 sheet folded in half along its length, the right half over the left.
    fn halved() -> Folded {
        simple_fold(&a4(), &line((0.105, 0.297), (0.105, 0.0)), true, "centre")
    }

    #[test]
    fn tail_fin_by_an_inside_reverse_fold() {
        let model = halved();
        let slant = line((0.105, 0.08), (0.06, 0.0));
        let done =
            reverse(&model, Way::Inside, on_sheet(0.105, 0.0), &slant, &call("fin"), 1).unwrap();
        let m = &done.model;
        sound(m);
        assert_eq!((done.orders, m.faces.len()), (1, 4));
        // The two layers of the fin lie between the two of the body, printed side in … out.
        let stack = layers_at(m, 0.07, 0.04);
        assert_eq!(stack.len(), 4);
        let down = |f: FaceId| m.faces[f].placement.det() < 0.0;
        assert_eq!(stack.iter().map(|&f| down(f)).collect::<Vec<_>>(), [false, true, false, true]);
        // The end of the centre crease is turned inside out: valley for the body, mountain for
        // the fin (the printed side was inside).
        let ranks = m.ranks();
        let centre: Vec<_> = m.hinges.iter().filter(|h| h.crease == 0).collect();
        let state = |end_y: f64| {
            let has = |h: &&&Hinge| h.ends.iter().any(|p| (p.y - end_y).abs() < 1e-9);
            m.assignment(centre.iter().find(has).unwrap(), &ranks)
        };
        assert_eq!((state(0.297), state(0.0)), (Assignment::Valley, Assignment::Mountain));
    }

    #[test]
    fn outside_reverse_wraps_round() {
        let slant = line((0.105, 0.2), (0.0, 0.15));
        let tip = on_sheet(0.105, 0.297);
        let done = reverse(&halved(), Way::Outside, tip, &slant, &call("nose"), 1).unwrap();
        let m = &done.model;
        sound(m);
        let from_nose = |&f: &FaceId| crate::geom::centroid(&m.faces[f].polygon).y > 0.2;
        let stack: Vec<_> = layers_at(m, 0.095, 0.18).iter().map(from_nose).collect();
        assert_eq!(stack, [true, false, false, true]);
    }

    #[test]
    fn the_slant_of_the_line_decides_which_way_it_can_go() {
        // The end's spine comes to lie over the body, so it can only go in; or beside it, so
        // that it can only go round.
        let (tail, nose) = (on_sheet(0.105, 0.0), on_sheet(0.105, 0.297));
        let e = reverse(
            &halved(),
            Way::Outside,
            tail,
            &line((0.105, 0.08), (0.06, 0.0)),
            &call("x"),
            1,
        );
        assert!(e.unwrap_err().to_string().contains("only go inside"));
        let e =
            reverse(&halved(), Way::Inside, nose, &line((0.105, 0.2), (0.0, 0.15)), &call("x"), 1);
        assert!(e.unwrap_err().to_string().contains("round the outside"));
    }

    #[test]
    fn reverse_through_doubled_layers_keeps_them_nested() {
        // A band folded up from the bottom first, so that each half is two layers thick.
        let band = simple_fold(&a4(), &line((1.0, 0.06), (0.0, 0.06)), true, "band");
        let model = simple_fold(&band, &line((0.105, 0.297), (0.105, 0.0)), true, "centre");
        let tip = on_sheet(0.105, 0.06);
        let slant = line((0.105, 0.15), (0.04, 0.0));
        let inside = reverse(&model, Way::Inside, tip, &slant, &call("fin"), 1).unwrap();
        sound(&inside.model);
        assert_eq!(layers_at(&inside.model, 0.0715, 0.098).len(), 8);
        let slant = line((0.105, 0.15), (0.0, 0.2));
        let outside = reverse(&model, Way::Outside, tip, &slant, &call("fin"), 1).unwrap();
        sound(&outside.model);
        assert_eq!(layers_at(&outside.model, 0.134, 0.193).len(), 4);
    }

    #[test]
    fn one_layer_cannot_be_reversed() {
        let e = reverse(
            &a4(),
            Way::Inside,
            on_sheet(0.0, 0.0),
            &line((0.05, 0.0), (0.0, 0.05)),
            &call("x"),
            1,
        );
        assert!(e.unwrap_err().to_string().contains("folded edge"));
        let miss = reverse(
            &halved(),
            Way::Inside,
            on_sheet(0.105, 0.0),
            &line((0.0, 0.5), (1.0, 0.5)),
            &call("x"),
            1,
        );
        assert!(miss.unwrap_err().to_string().contains("does not cross"));
        let on = reverse(
            &halved(),
            Way::Inside,
            on_sheet(0.105, 0.0),
            &line((0.105, 0.0), (0.0, 0.05)),
            &call("x"),
            1,
        );
        assert!(on.unwrap_err().to_string().contains("on the crease itself"));
    }
}
