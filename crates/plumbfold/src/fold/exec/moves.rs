//! Several creases at once, and tucks, as steps of a run.

use std::sync::Arc;

use super::collapse_step::{CollapsePass, CollapsedPass};
use super::mirror::Mirror;
use super::{Failed, FoldLineRecord, Made, Runner, in_two};
use crate::design::ast::{
    CollapseKind, CollapseStep, FoldStep, FoldVerb, Layers, MovingRef, Place, Span, Spanned,
};
use crate::fold::apply::Refused;
use crate::fold::axis::Axis;
use crate::fold::error::Problem;
use crate::fold::refs::{Fault, Meaning};
use crate::fold::state::Folded;
use crate::fold::unfold::Undo;
use crate::numeric::geom::Vec2;

impl Runner<'_> {
    pub(super) fn collapse(
        &mut self,
        step: &CollapseStep,
        span: &Span,
        axis: Axis,
    ) -> Result<Made, Failed> {
        if let Some(fold) = tuck_as_fold(step) {
            return self.tuck(&fold, axis);
        }
        let before = self.now.clone();
        let pass = |model: &Folded, mirror| {
            let (names, values) = (&self.names, self.values);
            let index = self.steps.len();
            let slipped = self.aims.is_some();
            let pass =
                CollapsePass { step, span, index, model, names, values, axis, mirror, slipped };
            Ok::<_, Fault>((pass.anchor()?, pass.run()?))
        };
        let (anchor, first) = pass(&before, None)?;
        let mut done = vec![first];
        if step.sides.both() {
            let half = || Some((Arc::new(done[0].folded.clone()), axis));
            let failed = |fault: Fault| Failed { fault, mirrored: half() };
            let mirror = Mirror::at(&before, anchor, axis);
            let mirror = mirror.ok_or_else(|| failed((span, Problem::NoMirrorImage).into()))?;
            in_two(step.sides, &mirror, span)?;
            let second = pass(&done[0].folded, Some(mirror)).map_err(failed)?.1;
            done.push(second);
        }
        let mut halves = [Vec::new(), Vec::new()];
        let mut passes = Vec::new();
        for (half, pass) in done.iter().enumerate() {
            let CollapsedPass { lines, creases, layers_bent, .. } = pass;
            halves[half].clone_from(creases);
            passes.extend(lines.iter().map(|&line| {
                let (valley, mirrored, creases) = (None, half == 1, creases.clone());
                FoldLineRecord {
                    line,
                    valley,
                    mirrored,
                    creases,
                    layers_bent: *layers_bent,
                    moved_m2: 0.0,
                    bent_m: 0.0,
                    placed: false,
                    push: Vec2::default(),
                }
            }));
        }
        if let Some(name) = &step.call {
            self.names.give(&name.node, Meaning::Creases(halves));
        }
        if let (
            CollapseKind::WaterbombBase(part) | CollapseKind::PreliminaryBase(part),
            Some(last),
        ) = (&step.kind, done.last())
        {
            self.name_base(&last.folded, part.node);
        }
        self.undo.push(Undo { before: before.clone(), step: self.steps.len(), since: Vec::new() });
        let layers_bent = done.iter().map(|d| d.layers_bent).max().unwrap_or(0);
        let folded = done.pop().map_or_else(|| (*before).clone(), |last| last.folded);
        Ok((folded, passes, layers_bent))
    }

    /// A tuck is a fold that lands under a flap; from behind, when it cannot come from the front.
    fn tuck(&mut self, fold: &FoldStep, axis: Axis) -> Result<Made, Failed> {
        let from_front = self.fold(fold, axis);
        let crosses = |failed: &Failed| {
            matches!(*failed.fault.problem, Problem::Fold(Refused::Crosses { .. }))
        };
        match from_front {
            Err(failed) if crosses(&failed) => {
                let behind = FoldStep { verb: FoldVerb::Mountain, ..fold.clone() };
                self.fold(&behind, axis).map_err(|_| failed)
            }
            done => done,
        }
    }
}

fn tuck_as_fold(step: &CollapseStep) -> Option<FoldStep> {
    let CollapseKind::Tuck { flap, under, line } = &step.kind else { return None };
    let spanned = |node| Spanned { node, span: flap.span.clone() };
    Some(FoldStep {
        verb: FoldVerb::Valley,
        layers: Spanned { node: Layers::FlapAt(flap.clone()), span: flap.span.clone() },
        line: (**line).clone(),
        moving: Some(spanned(MovingRef::Point(flap.clone()))),
        choice: step.choice.clone(),
        place: Some(Spanned { node: Place::Under(under.clone()), span: under.span.clone() }),
        sides: step.sides,
        call: step.call.clone(),
    })
}
