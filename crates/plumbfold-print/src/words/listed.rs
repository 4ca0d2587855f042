//! The steps of a text, the marks made before each, and those that both sides must show.

use std::collections::HashMap;

use plumbfold::design::ast::{MarkTarget, Name, PointRef, Spanned, Step};
use plumbfold::fold::exec::FoldRun;

use super::{Dot, Said};

/// Steps of the text by where they begin, and the marks made before each.
#[derive(Default)]
pub(super) struct Listed<'a> {
    pub steps: HashMap<usize, &'a Step>,
    pub marks: HashMap<usize, Vec<(&'a Name, &'a MarkTarget)>>,
    waiting: Vec<(&'a Name, &'a MarkTarget)>,
    /// All marks, in the order of the text.
    pub made: Vec<(&'a Name, &'a MarkTarget)>,
}

impl<'a> Listed<'a> {
    pub fn walk(&mut self, steps: &'a [Spanned<Step>]) {
        for step in steps {
            match &step.node {
                Step::Mark(name, target) => {
                    self.waiting.push((name, target));
                    self.made.push((name, target));
                }
                Step::Repeat(_, inner) => self.walk(inner),
                other => {
                    let start = step.span.start;
                    self.steps.insert(start, other);
                    self.marks.insert(start, std::mem::take(&mut self.waiting));
                }
            }
        }
    }

    /// Places marked before the step that begins here, in the order they are made, and whether on
    /// both sides.
    pub fn made_before(&self, start: usize) -> Vec<(Spanned<PointRef>, bool)> {
        let mut starts: Vec<usize> = self.marks.keys().copied().filter(|&s| s <= start).collect();
        starts.sort_unstable();
        let twice = |s: usize| match self.steps.get(&s) {
            Some(Step::Fold(fold)) => fold.sides.both(),
            _ => false,
        };
        let made = starts.iter().flat_map(|&s| self.marks[&s].iter().map(move |m| (s, m)));
        let points = made.filter(|(_, (_, target))| matches!(target, MarkTarget::Point(_)));
        points.map(|(s, (name, _))| (PointRef::Named((*name).clone()).into(), twice(s))).collect()
    }
}

/// What of the marks is known only when all steps were said once.
#[derive(Default)]
pub(super) struct Later {
    /// Those that both sides of the paper must show: made on one, needed where only the other is seen.
    pub turned: Vec<char>,
    /// Those that both halves must have: a step on both uses them.
    pub twins: Vec<char>,
    /// Those that some step uses beside the one before which they are made.
    pub used: Vec<char>,
}

impl Later {
    /// Nothing that would change a word.
    pub fn is_none(&self) -> bool {
        [&self.turned, &self.twins, &self.used].iter().all(|letters| letters.is_empty())
    }

    pub fn of(said: &[Said], run: &FoldRun) -> Self {
        let mut made: Vec<&Dot> = Vec::new();
        let mut out = Self::default();
        for (said, record) in said.iter().zip(&run.steps) {
            let both = record.passes.iter().any(|p| p.mirrored);
            for dot in said.dots.iter().filter(|d| d.is_mark) {
                if both {
                    out.twins.push(dot.letter);
                }
                match made.iter().find(|m| m.letter == dot.letter) {
                    None => {
                        made.push(dot);
                        continue;
                    }
                    Some(first) if (0..2).any(|side| first.shows[side] && dot.shows[side]) => {}
                    Some(_) => out.turned.push(dot.letter),
                }
                out.used.push(dot.letter);
            }
        }
        out
    }
}

/// The same again, as one says it who has just done it.
pub(super) fn once_more(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next().map_or(String::new(), |c| c.to_lowercase().collect());
    format!("Once more: {first}{}", letters.as_str())
}
