//! A step said in other words that may fold where it does not: other layers, another side or place,
//! another corner, the folded edge that is there now.

use super::Runner;
use crate::design::ast::{
    CollapseKind, CollapseStep, Expr, FoldLine, FoldStep, FoldVerb, Layers, LineRef, MarkTarget,
    Place, PointRef, Reference, Reverse, Side, Spanned, Step, Unit,
};
use crate::fold::apply::Refused;
use crate::fold::error::Problem;
use crate::fold::refs::STRAIGHT_M;

/// Most layers added to those a step names (chosen: a wing rolled and doubled).
const MORE_LAYERS: usize = 8;

/// Ways to say a step that was refused, the likeliest first.
pub(super) fn other_ways(runner: &Runner<'_>, step: &Step, problem: &Problem) -> Vec<Step> {
    let corners = match problem {
        Problem::WhichCorner { ways } => ways.as_slice(),
        _ => &[],
    };
    match step {
        _ if !corners.is_empty() => corners.iter().map(|way| with_corner(step, way)).collect(),
        Step::Fold(fold) => {
            let across = across_the_centre(runner, fold, problem);
            let instead = across.into_iter().chain(rims(runner, fold, problem));
            instead.chain(folds(fold, problem)).map(Step::from).collect()
        }
        Step::Collapse(collapse) => collapses(collapse),
        Step::Mark(name, MarkTarget::Point(p)) => {
            let other = |node| Step::Mark(name.clone(), MarkTarget::Point(node));
            let spanned = |node| Spanned { node, span: p.span.clone() };
            let crossings = runner.refs(false).other_crossings(p).into_iter();
            crossings.map(|p| other(spanned(p))).collect()
        }
        _ => Vec::new(),
    }
}

/// A step that speaks of a place instead of a corner of the model.
fn with_corner(step: &Step, place: &PointRef) -> Step {
    let mut step = step.clone();
    step.each_reference(&mut |r| {
        if let Reference::Point(p) = r
            && let PointRef::ModelCorner(..) = p.node
        {
            p.node = place.clone();
        }
    });
    step
}

/// A crease beside an edge that lies folded in, meant to run across the model, so far from where
/// the middle of that edge lies.
fn across_the_centre(runner: &Runner<'_>, fold: &FoldStep, problem: &Problem) -> Option<FoldStep> {
    let (Problem::FoldedIn { .. }, FoldLine::Parallel(edge, by, _)) = (problem, &fold.line.node)
    else {
        return None;
    };
    let LineRef::Edge(side) = edge.node else { return None };
    let middle = |side| Spanned::from(PointRef::EdgeMiddle(side));
    let opposite = match side {
        Side::Top => Side::Bottom,
        Side::Bottom => Side::Top,
        Side::Left => Side::Right,
        Side::Right => Side::Left,
    };
    let centre = if runner.names.bears("centre") {
        LineRef::Named("centre".to_owned().into())
    } else {
        LineRef::Join(Box::new(middle(side)), Box::new(middle(opposite)))
    };
    let (of, from) = (centre.clone().into(), Some(Box::new(middle(side))));
    let through = PointRef::Along { by: by.clone(), of, from };
    let line = FoldLine::Perpendicular(centre.into(), through.into());
    Some(FoldStep { line: line.into(), ..fold.clone() })
}

/// Beside an edge that lies folded in, the strip along the folded edge that is there now.
fn rims(runner: &Runner<'_>, fold: &FoldStep, problem: &Problem) -> Vec<FoldStep> {
    let (
        Problem::FoldedIn { reach_m, .. },
        FoldLine::Over(edge, by) | FoldLine::Parallel(edge, by, _),
    ) = (problem, &fold.line.node)
    else {
        return Vec::new();
    };
    let refs = runner.refs(false);
    let beside = refs.lines(edge).unwrap_or_default();
    let mut names: Vec<&str> = runner.names.of_lines().collect();
    names.reverse();
    let lines = names.into_iter().map(|name| Spanned::from(LineRef::Named(name.to_owned().into())));
    let on_rim = |l: &Spanned<LineRef>| {
        let there = refs.lines(l).unwrap_or_default();
        there.iter().any(|rim| {
            beside.iter().any(|edge| {
                let [near, far] = [0.0, 0.01].map(|s| edge.line.side(rim.line.place(s)).abs());
                (near - reach_m).abs().max((far - reach_m).abs()) < STRAIGHT_M
            })
        })
    };
    let over = |l| FoldStep { line: FoldLine::Over(l, by.clone()).into(), ..fold.clone() };
    lines.filter(on_rim).map(over).collect()
}

/// The fold with other layers, another side or place, or the corner that is there now.
fn folds(fold: &FoldStep, problem: &Problem) -> Vec<FoldStep> {
    let mut ways = Vec::new();
    let with = |layers: Layers| FoldStep { layers: layers.into(), ..fold.clone() };
    let more = |n: &Spanned<Expr>, layers: fn(Spanned<Expr>) -> Layers| {
        let from = match n.node {
            Expr::Number(n, _) => n as usize,
            _ => 1,
        };
        let count = move |n: usize| layers(Expr::Number(n as f64, Unit::None).into());
        (from + 1..=from + MORE_LAYERS).map(count).map(with).collect::<Vec<_>>()
    };
    match problem {
        Problem::Fold(
            Refused::Tears { .. }
            | Refused::Held { .. }
            | Refused::FewerLayers { .. }
            | Refused::NothingMoves
            | Refused::NothingBends,
        ) => {
            // What is named moves alone, under what lies on it.
            if fold.place.is_none() && matches!(problem, Problem::Fold(Refused::Held { .. })) {
                ways.push(FoldStep { place: Some(Place::Inside.into()), ..fold.clone() });
            }
            match &fold.layers.node {
                Layers::Top(n) => ways.extend(more(n, Layers::Top)),
                Layers::Bottom(n) => ways.extend(more(n, Layers::Bottom)),
                // The wing of a half, without its keel: folded over it, or in under it.
                Layers::NearHalf => {
                    let wing = more(&Expr::Number(0.0, Unit::None).into(), Layers::Top);
                    let under =
                        |f: &FoldStep| FoldStep { place: Some(Place::Inside.into()), ..f.clone() };
                    let inside: Vec<FoldStep> = wing.iter().map(under).collect();
                    ways.extend(wing.into_iter().chain(inside));
                }
                _ => {}
            }
            // All layers are more than a half or a flap, and are the other side's as well.
            let named = match fold.layers.node {
                Layers::All => true,
                Layers::NearHalf | Layers::FarHalf | Layers::FlapAt(_) => {
                    !matches!(problem, Problem::Fold(Refused::Held { .. }))
                }
                _ => false,
            };
            if !(named || fold.sides.both()) {
                ways.push(with(Layers::All));
            }
            if fold.moving.is_some() {
                ways.push(FoldStep { moving: None, ..fold.clone() });
            }
        }
        Problem::Fold(Refused::Crosses { .. } | Refused::NoPlace) => {
            // What should go into a pocket does not come to lie on it.
            if let Some(Place::Under(_) | Place::Over(_)) = fold.place.as_ref().map(|p| &p.node) {
                ways.push(FoldStep { place: Some(Place::Inside.into()), ..fold.clone() });
            }
        }
        Problem::NoSide { .. } => ways.push(FoldStep { moving: None, ..fold.clone() }),
        _ => {}
    }
    let mut other = fold.clone();
    if corner_that_is_there(&mut other.line.node) {
        ways.push(other);
    }
    ways
}

/// Puts the corner of the model in place of a corner of the sheet that is brought somewhere.
fn corner_that_is_there(line: &mut FoldLine) -> bool {
    let (FoldLine::PointOntoPoint(point, _)
    | FoldLine::PointOntoLine { point, .. }
    | FoldLine::PointOntoLinePerpendicular { point, .. }) = line
    else {
        return false;
    };
    let PointRef::Corner(a, b) = point.node else { return false };
    point.node = PointRef::ModelCorner(a, Some(b));
    true
}

/// The move turned the other way about, hinged where its lines meet, or another that does the same.
fn collapses(step: &CollapseStep) -> Vec<Step> {
    let with = |kind| Step::Collapse(Box::new(CollapseStep { kind, ..step.clone() }));
    let meeting = |l: &Spanned<LineRef>, m: &Spanned<LineRef>| -> Spanned<PointRef> {
        PointRef::Crossing(l.clone(), m.clone()).into()
    };
    match &step.kind {
        CollapseKind::Tuck { line, .. } => {
            let (sides, call) = (step.sides, step.call.clone());
            let on_top =
                FoldStep { sides, call, ..FoldStep::plain(FoldVerb::Valley, line.node.clone()) };
            let inside = FoldStep { place: Some(Place::Inside.into()), ..on_top.clone() };
            vec![inside.into(), on_top.into()]
        }
        CollapseKind::InsideReverse(r) => vec![with(CollapseKind::OutsideReverse(r.clone()))],
        CollapseKind::OutsideReverse(r) => vec![with(CollapseKind::InsideReverse(r.clone()))],
        CollapseKind::Squash { spine: edge, onto, hinge }
        | CollapseKind::Swivel { edge, onto, hinge } => {
            let at = [meeting(edge, onto), hinge.clone()];
            let squash = |hinge| {
                let (spine, onto) = (edge.clone(), onto.clone());
                with(CollapseKind::Squash { spine, onto, hinge })
            };
            let swivel = |hinge| {
                let (edge, onto) = (edge.clone(), onto.clone());
                with(CollapseKind::Swivel { edge, onto, hinge })
            };
            match step.kind {
                CollapseKind::Squash { .. } => {
                    let (spine, onto) = (onto.clone(), edge.clone());
                    let turned = at.clone().map(|hinge| {
                        let (spine, onto) = (spine.clone(), onto.clone());
                        with(CollapseKind::Squash { spine, onto, hinge })
                    });
                    let ways = at.clone().map(squash).into_iter().chain(at.map(swivel));
                    ways.chain(turned).collect()
                }
                _ => at.clone().map(swivel).into_iter().chain(at.map(squash)).collect(),
            }
        }
        CollapseKind::Petal(lift) => {
            use Side::{Bottom, Left, Right, Top};
            let corners = [(Top, Left), (Top, Right), (Bottom, Left), (Bottom, Right)];
            let petal = |(a, b)| {
                let tip = PointRef::Corner(a, b).into();
                with(CollapseKind::Petal(Reverse { tip, ..lift.clone() }))
            };
            corners.map(petal).to_vec()
        }
        _ if step.choice.is_some() => {
            vec![Step::Collapse(Box::new(CollapseStep { choice: None, ..step.clone() }))]
        }
        _ => Vec::new(),
    }
}
