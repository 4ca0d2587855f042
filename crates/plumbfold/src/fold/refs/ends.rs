//! Where a line runs on the paper, from end to end. A crease through several layers runs along
//! several lines of the sheet.

use super::{Fault, Refs, STRAIGHT_M};
use crate::design::ast::{LineRef, Spanned};
use crate::design::print;
use crate::fold::axis::Axis;
use crate::fold::error::Problem;
use crate::numeric::geom::{SheetLine, SheetPoint, TablePoint};

/// A straight run of a line on the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    /// Its ends: the lower one first, or the left one when level.
    pub ends: [SheetPoint; 2],
    /// How high it lies among the layers.
    rank: usize,
}

impl Refs<'_> {
    /// The lines of the sheet with most of a line on them, or the one with the place of it that is
    /// named.
    pub(super) fn runs_of(&self, of: &Spanned<LineRef>) -> Result<Vec<Run>, Fault> {
        let pieces = self.paper_along(of)?;
        let at = match &of.node {
            LineRef::At(line, place) => self.place_on(place, line)?.sheet,
            _ => None,
        };
        let ranks = self.model.ranks();
        let mut runs: Vec<(f64, SheetLine, Run)> = Vec::new();
        for piece in &pieces {
            let Some(line) = SheetLine::through(piece.sheet[0], piece.sheet[1]) else { continue };
            let on_it = |p: &SheetPoint| line.side(*p).abs() < STRAIGHT_M;
            if runs
                .iter()
                .any(|(_, l, _)| piece.sheet.iter().all(|&p| l.side(p).abs() < STRAIGHT_M))
            {
                continue;
            }
            let on = || pieces.iter().filter(|p| p.sheet.iter().all(on_it));
            let long = on().map(|p| p.sheet[0].distance(p.sheet[1])).sum();
            let rank = on().map(|p| ranks[p.face]).max().unwrap_or(0);
            let reach = || on().flat_map(|p| p.sheet).map(|p| line.along(p));
            let [low, high] = [reach().fold(0.0, f64::min), reach().fold(0.0, f64::max)];
            let ends = self.in_order([line.place(low), line.place(high)]);
            runs.push((long, line, Run { ends, rank }));
        }
        if let Some(at) = at
            && runs.iter().any(|(_, l, _)| l.side(at).abs() < STRAIGHT_M)
        {
            runs.retain(|(_, l, _)| l.side(at).abs() < STRAIGHT_M);
        }
        let longest = runs.iter().map(|r| r.0).fold(0.0, f64::max);
        runs.retain(|r| r.0 > longest - STRAIGHT_M);
        match runs.is_empty() {
            true => Err((&of.span, Problem::EmptyLine).into()),
            false => Ok(runs.into_iter().map(|r| r.2).collect()),
        }
    }

    /// The run that is meant of several: of layers that lie on each other the upper one, of two that
    /// are mirror images of each other the left one, or the lower.
    pub(super) fn one_run(
        &self,
        runs: Vec<Run>,
        of: &Spanned<LineRef>,
    ) -> Result<[SheetPoint; 2], Fault> {
        match runs[..] {
            [only] => return Ok(only.ends),
            // The first side was told which, and a hand does not miss one layer for another.
            [first, ..] if self.slipped => return Ok(first.ends),
            _ => {}
        }
        if runs.iter().all(|r| self.lie_on_each_other(&runs[0], r))
            && let Some(upper) = runs.iter().max_by_key(|r| r.rank)
        {
            return Ok(upper.ends);
        }
        let (a, b) = match runs[..] {
            [a, b] if Axis::are_images(self.model, a.ends, b.ends) => (a, b),
            _ => return Err((&of.span, self.which_run(of, &runs)).into()),
        };
        let [a_at, b_at] = [a, b].map(|r| self.mirror(r.ends[0].lerp(r.ends[1], 0.5)));
        let level = (a_at.x - b_at.x).abs() < STRAIGHT_M;
        let first = if level { a_at.y < b_at.y } else { a_at.x < b_at.x };
        Ok(if first { a.ends } else { b.ends })
    }

    /// Whether two runs lie on each other on the table, end on end.
    fn lie_on_each_other(&self, a: &Run, b: &Run) -> bool {
        let [on_a, on_b] = [a, b].map(|r| r.ends.map(|p| self.model.on_table(p)));
        let near = |p: Option<TablePoint>, q: Option<TablePoint>| {
            p.zip(q).is_some_and(|(p, q)| p.distance(q) < STRAIGHT_M)
        };
        near(on_a[0], on_b[0]) && near(on_a[1], on_b[1])
            || near(on_a[0], on_b[1]) && near(on_a[1], on_b[0])
    }

    /// Says that a line runs along several of the sheet, and how to name each.
    fn which_run(&self, of: &Spanned<LineRef>, runs: &[Run]) -> Problem {
        let line = print::line(match &of.node {
            LineRef::At(line, _) => &line.node,
            whole => whole,
        });
        let way = |r: &Run| format!("{line} at {}", super::written(r.ends[0].lerp(r.ends[1], 0.5)));
        let ways = runs.iter().map(way).collect();
        Problem::WhichStretch { line, ways, pieces: Vec::new() }
    }

    fn in_order(&self, [a, b]: [SheetPoint; 2]) -> [SheetPoint; 2] {
        // Mirrored, left is right.
        let [seen_a, seen_b] = [a, b].map(|p| self.mirror(p));
        let level = (seen_a.y - seen_b.y).abs() < STRAIGHT_M;
        let first_is_a = if level { seen_a.x < seen_b.x } else { seen_a.y < seen_b.y };
        if first_is_a { [a, b] } else { [b, a] }
    }
}
