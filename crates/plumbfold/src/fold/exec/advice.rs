//! What would fold instead of a step that cannot be made, or that clasps what should open. Nothing
//! is advised that was not folded first, nor what moves other paper than was named, nor what cannot
//! be opened as the design says. It is sought where a person is told of the fault, and nowhere else.

use super::Runner;
use super::other_ways::other_ways;
use crate::design::ast::{
    Design, Expr, FoldLine, FoldStep, FoldVerb, LineRef, Roll, Side, Sides, Span, Spanned, Step,
    Unit,
};
use crate::design::eval::Values;
use crate::design::print;
use crate::fold::apply::Refused;
use crate::fold::error::{FoldError, Problem};
use crate::fold::state::Folded;
use crate::paper::Stock;

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
        let again = again.chain(self.creased_first(text, at, &fault.problem));
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

    /// A centre that is spoken of and was never creased, creased before the first fold.
    fn creased_first<'b>(
        &'b self,
        text: &[Spanned<Step>],
        at: usize,
        problem: &Problem,
    ) -> Option<Way<'b>> {
        let Problem::UnknownName { name, .. } = problem else { return None };
        let first = text.iter().position(|s| !matches!(s.node, Step::Mark(..)))?;
        if name != "centre" || at < first {
            return None;
        }
        let edge = |side| LineRef::Edge(side).into();
        let line = FoldLine::LineOntoLine(edge(Side::Left), edge(Side::Right));
        let call = Some(name.clone().into());
        let crease: Step = FoldStep { call, ..FoldStep::plain(FoldVerb::Crease, line) }.into();
        let words = format!("put `{}` before `{}`", said(&crease), said(&text[first].node));
        let here = text[first].span.start;
        let crease = Spanned { node: crease, span: here..here };
        let text = [&text[..first], &[crease], &text[first..]].concat();
        let (next, mut runner) = (at + 2, self.start());
        runner.all(&text[..next], 0).ok()?;
        Some(Way { words, text, next, runner })
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
