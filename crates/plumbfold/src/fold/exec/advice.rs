//! What would fold instead of a step that cannot be made, or that clasps what should open. Nothing
//! is advised that was not folded first, nor what moves other paper than was named, nor what cannot
//! be opened as the design says. It is sought where a person is told of the fault, and nowhere else.

use super::Runner;
use crate::design::ast::{
    CollapseKind, CollapseStep, Design, Expr, FoldLine, FoldStep, FoldVerb, Layers, LineRef,
    MarkTarget, Place, PointRef, Reference, Roll, Side, Sides, Span, Spanned, Step, Unit,
};
use crate::design::eval::Values;
use crate::design::print;
use crate::fold::apply::Refused;
use crate::fold::error::{FoldError, Problem};
use crate::fold::state::Folded;
use crate::paper::Stock;

/// Most layers added to those a step names (chosen: a wing rolled and doubled).
const MORE_LAYERS: usize = 8;

/// How many faults of one text are looked for past others, each with its second try.
const MOST_FAULTS: usize = 4;

/// A design that needs advice.
pub struct Advice<'a> {
    /// The design.
    pub design: &'a Design,
    /// Its paper.
    pub stock: &'a Stock,
    /// Values of its lets.
    pub values: &'a Values,
    /// How many of its steps are folded.
    pub to_step: Option<usize>,
    /// Whether a flat model can be opened as the design says.
    pub opens: &'a dyn Fn(&Folded) -> bool,
}

/// Words that mend a text, the text they make, the place in it from where it is still to be folded,
/// and the model so far.
struct Way<'a> {
    words: String,
    text: Vec<Spanned<Step>>,
    next: usize,
    runner: Runner<'a>,
}

impl Advice<'_> {
    /// The first fault of the design, with what would fold instead and the faults that follow then.
    pub fn on_fault(&self) -> Option<Box<FoldError>> {
        self.fault(&mut self.start(), &self.design.steps, 0, MOST_FAULTS)
    }

    /// What to do about a step that clasps a crease which should open.
    pub fn on_clasp(&self, step: &Span) -> Option<String> {
        let text = &self.design.steps;
        let at = index_of(text, step)?;
        let opens = |way: &mut Way| {
            way.runner.all(&way.text[way.next..], 0).is_ok() && (self.opens)(&way.runner.now)
        };
        let line = format!("`{}`", said(&text[at].node));
        self.earlier(text, at, at, &line).find_map(|mut way| opens(&mut way).then_some(way.words))
    }

    fn start(&self) -> Runner<'_> {
        Runner::new(self.design, self.stock, self.values, self.to_step)
    }

    /// Folds a text from one of its lines on.
    fn fault(
        &self,
        runner: &mut Runner<'_>,
        text: &[Spanned<Step>],
        from: usize,
        tries: usize,
    ) -> Option<Box<FoldError>> {
        let mut fault = runner.all(&text[from..], 0).err()?;
        if tries > 0
            && let Some((words, then)) = self.second_try(runner, text, &fault, tries - 1)
        {
            (fault.second_try, fault.then) = (Some(words), then);
        }
        Some(fault)
    }

    /// Words after which the text folds as far as can be, and the fault that stops it there.
    fn second_try(
        &self,
        runner: &Runner<'_>,
        text: &[Spanned<Step>],
        fault: &FoldError,
        tries: usize,
    ) -> Option<(String, Option<Box<FoldError>>)> {
        let at = index_of(text, &fault.step_span)?;
        let step = step_at(text, &fault.step_span)?;
        let put_right = other_ways(runner, &step.node, &fault.problem).into_iter();
        let put_right = put_right.filter_map(|node| {
            let way = Spanned { node, span: step.span.clone() };
            let mut runner = runner.clone();
            runner.one(&way).ok()?;
            let mut text = text.to_vec();
            // The rest of a repeat is not looked at.
            let next = if text[at].span == way.span { at + 1 } else { text.len() };
            let lands = |fold: &FoldStep| fold.place.is_none();
            let on_top =
                matches!((&step.node, &way.node), (Step::Collapse(_), Step::Fold(f)) if lands(f));
            let though = if on_top { ", though it lies on top then" } else { "" };
            let words = format!("this folds{though}: `{}`", said(&way.node));
            text[at] = way;
            Some(Way { words, text, next, runner })
        });
        let torn = matches!(fault.problem, Problem::Fold(Refused::Tears { .. }));
        let reach = if torn { EARLIER } else { 0 };
        let again = self.said_again(runner, text, at, &fault.problem).into_iter();
        let ways = again.chain(put_right).chain(self.earlier(text, at, reach, "this line"));
        let whole = text[at].span == step.span;
        let mut best: Option<(usize, Way<'_>, Option<Box<FoldError>>)> = None;
        for way in ways {
            let mut on = way.runner.clone();
            let (reached, then) = if matches!(step.node, Step::Mark(..)) {
                // Of the places there are, the one with which most of what follows folds.
                let then = self.fault(&mut on, &way.text, way.next, tries);
                (then.as_deref().map_or(usize::MAX, reached), then)
            } else {
                let then = on.all(&way.text[way.next..], 0).err();
                (then.as_deref().map_or(usize::MAX, |fault| fault.step), then)
            };
            if then.is_none() && whole && !(self.opens)(&on.now) {
                continue;
            }
            if best.as_ref().is_none_or(|best| reached > best.0) {
                best = Some((reached, way, then));
            }
            if reached == usize::MAX {
                break;
            }
        }
        let (_, Way { words, text, next, mut runner }, then) = best?;
        let then = then.and_then(|_| self.fault(&mut runner, &text, next, tries));
        Some((words, then))
    }

    /// A fold said again for the other side: with the model turned over before it, or said once for
    /// both.
    fn said_again<'b>(
        &'b self,
        runner: &Runner<'b>,
        text: &[Spanned<Step>],
        at: usize,
        problem: &Problem,
    ) -> Vec<Way<'b>> {
        let Step::Fold(fold) = &text[at].node else { return Vec::new() };
        let like = |s: &Spanned<Step>| match &s.node {
            Step::Fold(f) => unnamed(f) == unnamed(fold),
            _ => false,
        };
        let Some(first) = text[..at].iter().rposition(like) else { return Vec::new() };
        let mut ways = Vec::new();
        let here = text[at].span.start;
        let over = Spanned { node: Step::TurnOver, span: here..here };
        let mut turned = runner.clone();
        if runner.now.in_halves() && [&over, &text[at]].into_iter().all(|s| turned.one(s).is_ok()) {
            let text = [&text[..at], &[over], &text[at..]].concat();
            let words = "put `turn over` before this line, to fold the half behind; or end the first \
                         such line with `both sides`, and leave this one out";
            ways.push(Way { words: words.to_owned(), text, next: at + 2, runner: turned });
        }
        let strip = matches!(problem, Problem::FoldedIn { .. });
        if strip {
            ways.extend(self.rolled(text, at, fold));
        }
        if let Step::Fold(fold) = &text[first].node
            && fold.sides == Sides::One
            && !strip
        {
            let both = Step::from(FoldStep { sides: Sides::Both, ..(**fold).clone() });
            let words =
                format!("say it once for both sides, `{}`, and leave this line out", said(&both));
            let mut text = text.to_vec();
            text[first].node = both;
            text.remove(at);
            let mut runner = self.start();
            if runner.all(&text[..at], 0).is_ok() {
                ways.push(Way { words, text, next: at, runner });
            }
        }
        ways
    }

    /// The same strip folded over several times, said as a roll.
    fn rolled<'b>(&'b self, text: &[Spanned<Step>], at: usize, fold: &FoldStep) -> Option<Way<'b>> {
        let FoldLine::Over(edge, by) = &fold.line.node else { return None };
        let like = |s: &&Spanned<Step>| match &s.node {
            Step::Fold(f) => unnamed(f) == unnamed(fold),
            _ => false,
        };
        let first = at - text[..at].iter().rev().take_while(like).count();
        let last = at + text[at..].iter().take_while(like).count();
        let last_named = text[first..last].iter().rev().find_map(|s| match &s.node {
            Step::Fold(f) => f.call.clone(),
            _ => None,
        });
        let roll = Step::Roll(Box::new(Roll {
            layers: fold.layers.clone(),
            edge: edge.clone(),
            times: Expr::Number((last - first) as f64, Unit::None).into(),
            by: by.clone(),
            pleated: false,
            sides: fold.sides,
            call: last_named,
        }));
        if first == at {
            return None;
        }
        let words = format!("in place of these lines say once `{}`", said(&roll));
        let roll = Spanned { node: roll, span: text[first].span.clone() };
        let text = [&text[..first], &[roll], &text[last..]].concat();
        let mut runner = self.start();
        runner.all(&text[..=first], 0).ok()?;
        Some(Way { words, text, next: first + 1, runner })
    }

    /// A line put before each of some folds above it, the nearest first.
    fn earlier<'b>(
        &'b self,
        text: &'b [Spanned<Step>],
        at: usize,
        reach: usize,
        subject: &'b str,
    ) -> impl Iterator<Item = Way<'b>> {
        let folds =
            (0..at).rev().filter(|&k| matches!(text[k].node, Step::Fold(_) | Step::Collapse(_)));
        folds.take(reach).filter_map(move |k| {
            let (line, above) = (&text[at], said(&text[k].node));
            let mut words = format!("put {subject} before `{above}`");
            if let Step::Collapse(_) = text[k].node {
                words += ": what is folded there holds these layers";
            }
            let order = [&text[..k], std::slice::from_ref(line), &text[k..at], &text[at + 1..]];
            let (text, next, mut runner) = (order.concat(), at + 1, self.start());
            runner.all(&text[..next], 0).ok()?;
            Some(Way { words, text, next, runner })
        })
    }
}

/// How many folds back a torn one is put (chosen: keel and wings).
const EARLIER: usize = 2;

/// The line of a text, or the repeat, that a step stands in.
fn index_of(text: &[Spanned<Step>], step: &Span) -> Option<usize> {
    text.iter().position(|s| s.span.start <= step.start && step.end <= s.span.end)
}

/// The step that stands at a place of a text, in repeats too.
pub fn step_at<'a>(text: &'a [Spanned<Step>], span: &Span) -> Option<&'a Spanned<Step>> {
    let within = &text[index_of(text, span)?];
    match &within.node {
        Step::Repeat(_, inner) if within.span != *span => step_at(inner, span),
        _ => Some(within),
    }
}

fn other_ways(runner: &Runner<'_>, step: &Step, problem: &Problem) -> Vec<Step> {
    let corners = match problem {
        Problem::WhichCorner { ways } => ways.as_slice(),
        _ => &[],
    };
    match step {
        _ if !corners.is_empty() => corners.iter().map(|way| with_corner(step, way)).collect(),
        Step::Fold(fold) => {
            let across = across_the_centre(runner, fold, problem);
            across.into_iter().chain(folds(fold, problem)).map(Step::from).collect()
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

/// How many steps fold before a fault without a second try.
fn reached(fault: &FoldError) -> usize {
    match (&fault.then, &fault.second_try) {
        (Some(next), _) => reached(next),
        (None, Some(_)) => usize::MAX,
        (None, None) => fault.step,
    }
}

/// A fold as it is said, but for the name of its crease.
fn unnamed(fold: &FoldStep) -> String {
    said(&FoldStep { call: None, ..fold.clone() }.into())
}

/// A step on one line.
pub fn said(step: &Step) -> String {
    let printed = print::step(step).replace("\\\n", " ");
    printed.split_whitespace().collect::<Vec<_>>().join(" ")
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
