//! Edges that lie folded in, which cannot be folded over alone.

use super::crease_line::Asked;
use super::fold_step::{Candidate, Pass};
use crate::design::ast::{FoldLine, Layers};
use crate::design::print;
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::Fault;

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
        let (FoldLine::Over(edge, _), Some(line)) = (&self.step.line.node, asked.parallel_to)
        else {
            return Ok(());
        };
        if self.step.layers.node != Layers::Default || !self.refs().is_edge(edge)? {
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
}
