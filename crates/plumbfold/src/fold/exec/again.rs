//! Steps that open what was folded, fold it again, or fold the same strip over and over.

use super::{Failed, FoldLineRecord, Made, Runner, StepKind};
use crate::design::ast::{
    FoldLine, FoldStep, FoldVerb, Layers, LineRef, Name, Roll, Sides, Span, Spanned, Step,
};
use crate::fold::apply::Refused;
use crate::fold::error::{FoldError, Problem};
use crate::fold::refs::{Fault, Meaning};
use crate::fold::unfold::{open, undo};
use crate::numeric::geom::SheetPoint;

impl Runner<'_> {
    /// A strip along an edge folded over, and again along the crease it made.
    pub(super) fn roll(&mut self, step: &Spanned<Step>, roll: &Roll) -> Result<(), Box<FoldError>> {
        let times = self.values.count(&roll.times).map_err(Fault::from);
        let times = times.map_err(|f| self.error(step, f.into()))?;
        let mut edge = roll.edge.clone();
        let own = Spanned { node: "the roll".to_owned(), span: step.span.clone() };
        let name = roll.call.clone().unwrap_or_else(|| own.clone());
        if times == 0 {
            // Rolled not at all, its edge is still the edge.
            let edge = self.refs(false).meaning(&edge).map_err(|f| self.error(step, f.into()))?;
            self.names.give(&name.node, edge);
        }
        for turn in 0..times {
            if self.steps.len() >= self.to_step {
                break;
            }
            let behind = roll.pleated && turn % 2 == 1;
            let line = FoldLine::Over(edge, roll.by.clone());
            let verb = if behind { FoldVerb::Mountain } else { FoldVerb::Valley };
            let (layers, sides, call) = (roll.layers.clone(), roll.sides, Some(name.clone()));
            let mut fold = FoldStep { layers, sides, call, ..FoldStep::plain(verb, line) };
            fold.line.span = step.span.clone();
            if fold.layers.node == Layers::Default {
                fold.layers.span = step.span.clone();
            }
            let fold = Spanned { node: Step::Fold(Box::new(fold)), span: step.span.clone() };
            self.turn = Some([turn + 1, times]);
            let made = self.one(&fold);
            self.turn = None;
            made.map_err(|failed| self.error(step, failed))?;
            edge = Spanned { node: LineRef::Named(name.clone()), span: roll.edge.span.clone() };
        }
        self.names.forget(&own.node);
        Ok(())
    }

    /// Folds along a crease again, the way it was folded.
    pub(super) fn refold(&mut self, name: &Name, span: &Span) -> Result<(StepKind, Made), Failed> {
        let halves = match self.names.get(name)? {
            Meaning::Creases(halves) => halves.clone(),
            _ => {
                let name = name.node.clone();
                return Err(Fault::from((span, Problem::NotALine { name })).into());
            }
        };
        let folded = |pass: &FoldLineRecord| pass.creases.iter().any(|c| halves[0].contains(c));
        let was = self
            .steps
            .iter()
            .rposition(|s| s.passes.iter().any(|p| !p.mirrored && p.valley.is_some() && folded(p)));
        let never = || Failed::from(Fault::from((span, Problem::NeverFolded)));
        let was = was.ok_or_else(never)?;
        let mut along =
            self.now.hinges.iter().filter(|h| halves.iter().flatten().any(|c| *c == h.crease));
        if along.all(|h| self.now.is_folded(h)) {
            return Err(Fault::from((span, Refused::Opens)).into());
        }
        let valley = self.steps[was].passes.iter().find_map(|p| p.valley).unwrap_or(true);
        let turned = self.steps[was..].iter().filter(|s| s.kind == StepKind::TurnOver).count();
        let verb = if valley == (turned % 2 == 0) { FoldVerb::Valley } else { FoldVerb::Mountain };
        let sides = if halves[1].is_empty() { Sides::One } else { Sides::Both };
        let line = LineRef::Named(name.clone());
        let line = FoldLine::Along(Spanned { node: line, span: name.span.clone() });
        let mut fold = FoldStep { sides, ..FoldStep::plain(verb, line) };
        fold.line.span = span.clone();
        fold.layers.span = span.clone();
        let axis = self.steps[was].axis;
        Ok((StepKind::Fold(verb), self.fold(&fold, axis)?))
    }

    /// The flat sheet with all its creases; the paper in its middle stays where it lies.
    pub(super) fn unfold_all(&mut self, span: &Span) -> Result<Made, Fault> {
        let mut folded = (*self.now).clone();
        if !folded.hinges.iter().any(|h| folded.is_folded(h)) {
            return Err((span, Problem::OpenAlready).into());
        }
        let [w, l] = folded.sheet_m;
        let middle = folded.faces_at(SheetPoint::new(w / 2.0, l / 2.0)).next().unwrap_or(0);
        let placement = folded.faces[middle].placement;
        for face in &mut folded.faces {
            (face.placement, face.moved_half) = (placement, false);
        }
        folded.order = (0..folded.faces.len()).collect();
        self.undo.clear();
        Ok((folded, Vec::new(), 0))
    }

    pub(super) fn unfold(&mut self, name: Option<&Name>, span: &Span) -> Result<Made, Fault> {
        let creases = match name {
            None => None,
            Some(name) => match self.names.get(name)? {
                Meaning::Creases(halves) => Some(halves.clone()),
                _ => {
                    let name = name.node.clone();
                    return Err((span, Problem::NotALine { name }).into());
                }
            },
        };
        let made_last = |step: usize| match &creases {
            None => true,
            Some(halves) => halves.iter().flatten().all(|&c| self.now.creases[c].step == step),
        };
        if let Some(last) = self.undo.pop_if(|u| made_last(u.step)) {
            return Ok((undo(&self.now, &last), Vec::new(), 0));
        }
        let Some(halves) = creases else {
            return Err((span, Problem::NothingToUnfold).into());
        };
        let mut folded = (*self.now).clone();
        for half in halves.iter().filter(|h| !h.is_empty()) {
            folded = open(&folded, half).map_err(|p| (span, p))?;
        }
        // Folds before it can no longer be taken back as they were made.
        self.undo.clear();
        Ok((folded, Vec::new(), 0))
    }
}
