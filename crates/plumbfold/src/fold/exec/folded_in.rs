//! Edges that lie folded in, which cannot be folded over alone, and folds that are there already.

use super::Runner;
use super::crease_line::Asked;
use super::fold_step::{Candidate, Pass, Passed};
use crate::design::ast::{FoldLine, FoldStep, FoldVerb, PointRef};
use crate::design::diagnostic::Diagnostic;
use crate::design::print;
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::{Fault, STRAIGHT_M};
use crate::fold::state::{FaceId, Hinge};
use crate::numeric::geom::TableLine;

/// Paper that reaches no farther beyond an edge than this is the edge's, m (chosen: what careful
/// hands miss an edge by).
const BEYOND_M: f64 = 1e-3;

impl Pass<'_> {
    /// An edge of the sheet folded over by a length is a strip of that width: where the edge lies
    /// folded in, more would move than is said.
    pub(super) fn nothing_beyond(
        &self,
        asked: &Asked,
        c: &Candidate,
        layout: &Layout,
    ) -> Result<(), Fault> {
        let edge = match &self.step.line.node {
            FoldLine::Over(edge, _) => edge,
            FoldLine::Parallel(edge, ..) if self.step.moving.is_none() => edge,
            _ => return Ok(()),
        };
        let Some(line) = asked.parallel_to else { return Ok(()) };
        if !self.refs().is_edge(edge)? {
            return Ok(());
        }
        let out = if line.side(c.line.at) > 0.0 { line.reversed() } else { line };
        let moving = (0..layout.len()).filter(|&f| c.plan.moving()[f]);
        let reach_m = moving.flat_map(|f| layout.outline(f)).map(|&p| out.side(p));
        let reach_m = reach_m.fold(0.0, f64::max);
        if reach_m < BEYOND_M {
            return Ok(());
        }
        let line = print::line(&edge.node);
        Err((&self.step.line.span, Problem::FoldedIn { line, reach_m }).into())
    }

    /// Of the two lines beside another, one along which what moves was folded already, the same way:
    /// in a model folded in two that is the fold meant, and not its like across what it moved.
    pub(super) fn not_there_already(&self, asked: &Asked, c: &Candidate) -> Result<(), Fault> {
        let FoldStep { verb, moving, choice, .. } = self.step;
        let said = *verb == FoldVerb::Crease || moving.is_some() || choice.is_some();
        let (Some(beside), false) = (asked.parallel_to, said) else { return Ok(()) };
        let ranks = self.model.ranks();
        let there = |h: &Hinge| {
            let ends = self.model.hinge_on_table(h);
            let other = |l: &&TableLine| l.side(c.line.at).abs() > STRAIGHT_M;
            let mut others = asked.lines.iter().filter(other);
            let moves =
                |f: FaceId| c.plan.moving()[f] && (ranks[f] > ranks[h.other(f)]) == c.fold.valley;
            self.model.is_folded(h)
                && h.faces.into_iter().any(moves)
                && others.any(|l| ends.iter().all(|&p| l.side(p).abs() < STRAIGHT_M))
        };
        if !self.model.in_halves() || !self.model.hinges.iter().any(there) {
            return Ok(());
        }
        let beside_m = beside.side(c.line.at).abs();
        Err((&self.step.line.span, Problem::FoldedAlready { beside_m }).into())
    }
}

/// A crease that runs on by no more than this beyond the place it is hinged at ends there, m (chosen:
/// what careful hands miss a place by).
const RUNS_ON_M: f64 = 3e-3;

impl Runner<'_> {
    /// A fold hinged at the middle or a corner of an edge of the sheet, where the crease runs on
    /// through other paper on either side of it: that place lies folded in.
    pub(super) fn runs_on(&self, step: &FoldStep, made: &Passed) -> Option<Diagnostic> {
        let FoldLine::PointOntoLine { point, hinge, .. } = &step.line.node else { return None };
        let of_sheet = |p: &PointRef| matches!(p, PointRef::Corner(..) | PointRef::EdgeMiddle(_));
        if !(of_sheet(&point.node) && of_sheet(&hinge.node)) || step.verb == FoldVerb::Crease {
            return None;
        }
        let at = self.refs(false).place(hinge).ok()?.table;
        if made.line.along(at).abs() > made.reach_m - RUNS_ON_M {
            return None;
        }
        let [place, corner] = [hinge, point].map(|p| print::place(&p.node));
        let message = format!(
            "`{place}` lies folded in, and the crease runs on beyond it through other paper"
        );
        let help = format!(
            "if that is not meant: `{corner}` is a corner of the sheet; the corner that is there now is \
             `{corner} of model`, hinged at `middle of NAME` of the folded edge"
        );
        Some(Diagnostic::warning("folded-in", step.line.span.clone(), message).help(help))
    }
}
