//! On which sides a step is made: the line it is mirrored in, and whether its halves are alike.

use super::fold_step::Passed;
use super::mirror::Mirror;
use super::{Failed, FoldLineRecord, Made, Runner, StepRecord};
use crate::design::ast::{FoldStep, LineRef, Reference, Sides, Span, Spanned, Step};
use crate::fold::axis::Axis;
use crate::fold::error::Problem;
use crate::fold::refs::{Fault, Meaning};
use crate::fold::state::{CreaseId, HINGE_GAP_M};

impl Runner<'_> {
    /// The line a step is mirrored in, where it is made on both sides: in a slipped run, that of the
    /// exact one.
    pub(super) fn axis(&self, step: &Spanned<Step>) -> Result<Axis, Fault> {
        let (sides, halves) = match &step.node {
            Step::Fold(fold) => (fold.sides, fold.layers.node.are_halves()),
            Step::Collapse(collapse) => (collapse.sides, false),
            _ => (Sides::One, false),
        };
        let mut spoken_of = Vec::new();
        if sides.both() {
            step.node.clone().each_reference(&mut |r| {
                if let Reference::Line(line) = r
                    && let LineRef::Named(name) = &line.node
                    && let Ok(Meaning::Creases(halves)) = self.names.get(name)
                {
                    spoken_of.extend(halves.iter().flatten().copied());
                }
            });
        }
        if let Some(axis) = self.axes.get(self.steps.len()) {
            return Ok(*axis);
        }
        if sides.both() {
            // What was made on both sides is folded on both sides again, of the same line.
            let made = |c: &CreaseId| self.steps.get(self.now.creases[*c].step);
            let both = |s: &&StepRecord| s.passes.iter().any(|p| p.mirrored);
            let again = spoken_of.iter().filter_map(made).find(both).map(|s| s.axis);
            let preferred = again.or_else(|| Axis::creased_alone(&self.now, &spoken_of));
            let axis = Axis::of(&self.now, halves || sides == Sides::Behind, preferred);
            return axis.ok_or_else(|| (&step.span, Problem::NoCentre).into());
        }
        // Made on one side, a fold is still one of a half of the model.
        let halves = self.now.in_halves().then(|| Axis::between_halves(&self.now)).flatten();
        Ok(halves.unwrap_or(Axis::upright(self.now.sheet_m)))
    }

    /// A fold, and the line it was mirrored in: one square to the only crease along a middle line
    /// means left and right.
    pub(super) fn fold_about(
        &mut self,
        fold: &FoldStep,
        axis: Axis,
    ) -> (Result<Made, Failed>, Axis) {
        let made = self.fold(fold, axis);
        if let Err(failed) = &made
            && matches!(*failed.fault.problem, Problem::OwnMirrorImage)
            && let Some(up) = Axis::of(&self.now, false, None).filter(|up| *up != axis)
        {
            return (self.fold(fold, up), up);
        }
        (made, axis)
    }
}

/// `repeat behind` needs a half behind.
pub(super) fn in_two(sides: Sides, mirror: &Mirror, span: &Span) -> Result<(), Fault> {
    let behind = sides != Sides::Behind || mirror.other_way_up();
    if behind { Ok(()) } else { Err((span, Problem::NothingBehind).into()) }
}

/// Whether the mirrored half of a step does to its paper what the first did: the same crease, the
/// same side of it, and as much paper but for what such creases differ by.
pub(super) fn are_images(mirror: &Mirror, first: &FoldLineRecord, second: &Passed) -> bool {
    let more_m2 = (second.moved_m2 - first.moved_m2).abs();
    let alike_m2 = HINGE_GAP_M * first.bent_m.max(second.bent_m);
    mirror.are_images(&first.line, &second.line, HINGE_GAP_M)
        && (first.valley.is_none() || mirror.same_side(&first.line, &second.line))
        && (first.valley.is_none() || more_m2 <= alike_m2)
}
