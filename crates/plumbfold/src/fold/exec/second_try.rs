//! What would fold instead of a step that cannot be made. Nothing is advised that was not folded
//! first.

use super::Runner;
use crate::design::ast::{
    CollapseKind, CollapseStep, Expr, FoldLine, FoldStep, FoldVerb, Layers, LineRef, MarkTarget,
    MovingRef, Place, PointRef, Reverse, Spanned, Step, Unit,
};
use crate::design::print;
use crate::fold::apply::Refused;
use crate::fold::error::{FoldError, Problem};
use crate::fold::refs::Names;

/// Most layers added to those a step names.
const MORE_LAYERS: usize = 3;

/// How many faults of one text are looked for past others, each with its second try.
pub(super) const MOST_FAULTS: usize = 4;

/// What would fold instead.
pub(super) struct SecondTry {
    /// As said to people.
    pub words: String,
    /// What is then wrong further down.
    pub then: Option<Box<FoldError>>,
}

impl Runner<'_> {
    /// The step put so that it folds, where a small change of its words does it.
    pub(super) fn second_try(&self, step: &Spanned<Step>, problem: &Problem) -> Option<SecondTry> {
        if self.aims.is_some() || self.tries == 0 {
            return None;
        }
        let steps = &self.design.steps;
        let here = steps.iter().position(|s| std::ptr::eq(s, step));
        let rest = here.map_or(&[][..], |i| &steps[i + 1..]);
        if let Some((words, mut trial)) = here.and_then(|i| self.before_a_collapse(i, problem)) {
            return Some(SecondTry { words, then: trial.all(rest, 0).err() });
        }
        let spanned = |node| Spanned { node, span: step.span.clone() };
        let made = |(way, mut trial): (Step, Self)| {
            let way = spanned(way);
            trial.one(&way).ok().map(|()| (way.node, trial))
        };
        let ways = self.other_ways(&step.node, problem).into_iter();
        let mut ways = ways.filter_map(|way| made((way, self.trial(self.tries - 1))));
        let (way, mut trial) = if let Step::Mark(..) = step.node {
            // Of the places there are, the one with which most of what follows folds.
            let reached = |(_, trial): &(Step, Self)| {
                trial.clone().all(rest, 0).map_or_else(|fault| reached(&fault), |()| usize::MAX)
            };
            ways.map(|way| (reached(&way), way)).reduce(|a, b| if b.0 > a.0 { b } else { a })?.1
        } else {
            ways.next()?
        };
        let words = format!("this folds: `{}`", said(&way));
        Some(SecondTry { words, then: trial.all(rest, 0).err() })
    }

    /// A fold that layers reversed before hold together can be made before they are.
    fn before_a_collapse(&self, here: usize, problem: &Problem) -> Option<(String, Self)> {
        if !matches!(problem, Problem::Fold(Refused::Tears { .. })) {
            return None;
        }
        let steps = &self.design.steps;
        let collapse = |s: &Spanned<Step>| matches!(s.node, Step::Collapse(_));
        let at = steps[..here].iter().rposition(collapse)?;
        let order = [&steps[..at], &steps[here..=here], &steps[at..here]].concat();
        let mut trial = Runner {
            names: Names::default(),
            steps: Vec::new(),
            kept_faces: 0,
            turns: 0,
            undo: Vec::new(),
            now: self.sheet.clone(),
            ..self.trial(self.tries - 1)
        };
        trial.all(&order, 0).ok()?;
        let held = said(&steps[at].node);
        let words =
            format!("put this line before `{held}`: what is folded there holds these layers");
        Some((words, trial))
    }

    /// As far as this one has come, to try things that count for nothing.
    fn trial(&self, tries: usize) -> Self {
        Runner { tries, ..self.clone() }
    }

    fn other_ways(&self, step: &Step, problem: &Problem) -> Vec<Step> {
        match step {
            Step::Fold(fold) => {
                folds(fold, problem).into_iter().map(|f| Step::Fold(Box::new(f))).collect()
            }
            Step::Collapse(collapse) => collapses(collapse),
            Step::Mark(name, MarkTarget::Point(p)) => {
                let refs = self.refs(false);
                let other = |node| Step::Mark(name.clone(), MarkTarget::Point(node));
                let spanned = |node| Spanned { node, span: p.span.clone() };
                refs.other_crossings(p).into_iter().map(|p| other(spanned(p))).collect()
            }
            _ => Vec::new(),
        }
    }
}

/// How many steps fold before a fault without a second try.
fn reached(fault: &FoldError) -> usize {
    match (&fault.then, &fault.second_try) {
        (Some(next), _) => reached(next),
        (None, Some(_)) => usize::MAX,
        (None, None) => fault.step,
    }
}

/// A step on one line.
fn said(step: &Step) -> String {
    let printed = print::step(step).replace("\\\n", " ");
    printed.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The fold with other layers, another side or place, or the corner that is there now.
fn folds(fold: &FoldStep, problem: &Problem) -> Vec<FoldStep> {
    let mut ways = Vec::new();
    let with = |layers: Layers| FoldStep { layers: layers.into(), ..fold.clone() };
    let moving = |l: &Spanned<LineRef>| {
        let moving = Some(MovingRef::Line(l.clone()).into());
        FoldStep { moving, ..fold.clone() }
    };
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
            if let FoldLine::Parallel(l, ..) = &fold.line.node
                && fold.moving.is_none()
            {
                ways.push(moving(l));
            }
            // What is named moves alone, under what lies on it.
            if fold.place.is_none() && matches!(problem, Problem::Fold(Refused::Held { .. })) {
                ways.push(FoldStep { place: Some(Place::Inside.into()), ..fold.clone() });
            }
            match &fold.layers.node {
                Layers::Top(n) => ways.extend(more(n, Layers::Top)),
                Layers::Bottom(n) => ways.extend(more(n, Layers::Bottom)),
                _ => {}
            }
            if fold.layers.node != Layers::All {
                ways.push(with(Layers::All));
            }
            if fold.moving.is_some() {
                ways.push(FoldStep { moving: None, ..fold.clone() });
            }
        }
        Problem::Fold(Refused::Crosses { .. } | Refused::NoPlace) => {
            ways.push(FoldStep { place: None, ..fold.clone() });
        }
        Problem::NoSide { .. } => ways.push(FoldStep { moving: None, ..fold.clone() }),
        Problem::NoCrease | Problem::ThereAlready => {
            let mut other = fold.clone();
            if corner_that_is_there(&mut other.line.node) {
                ways.push(other);
            }
        }
        _ => {}
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
        CollapseKind::Tuck { flap, line, .. } => {
            let r = Reverse { tip: flap.clone(), line: line.clone() };
            let (sides, call) = (step.sides, step.call.clone());
            let on_top =
                FoldStep { sides, call, ..FoldStep::plain(FoldVerb::Valley, line.node.clone()) };
            vec![with(CollapseKind::InsideReverse(r)), Step::Fold(Box::new(on_top))]
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
                    at.clone().map(squash).into_iter().chain(at.map(swivel)).collect()
                }
                _ => at.clone().map(swivel).into_iter().chain(at.map(squash)).collect(),
            }
        }
        _ if step.choice.is_some() => {
            vec![Step::Collapse(Box::new(CollapseStep { choice: None, ..step.clone() }))]
        }
        _ => Vec::new(),
    }
}
