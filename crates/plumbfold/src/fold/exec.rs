//! Runs the steps of a design, from the flat sheet to the flat model.

pub mod passes;
pub mod advice;
mod again;
mod choose;
mod collapse_step;
mod crease_line;
mod fold_step;
mod folded_in;
mod mirror;
mod moves;
mod naming;
mod other_ways;
mod sides;
mod slipped;

use std::sync::Arc;

use super::axis::Axis;
use super::error::{FoldError, Problem};
use super::refs::{Fault, Meaning, Names, Refs, mirror_image};
use super::slip::{Aim, Slip};
use super::state::{CreaseId, Folded, HINGE_GAP_M};
use super::unfold::{Motion, Undo};
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::eval::Values;
use crate::design::limits::{MAX_KEPT_FACES, MAX_REPEAT_NESTING, MAX_STEPS};
use crate::numeric::geom::{SheetPoint, TableLine, Vec2};
use crate::paper::Stock;
use fold_step::{Pass, Passed};
use mirror::Mirror;
use sides::{are_images, in_two};

/// A design folded.
#[derive(Clone, Debug)]
pub struct FoldRun {
    /// The sheet before the first step.
    pub sheet: Arc<Folded>,
    /// Steps in order, repeats written out, marks left out. [`super::state::Crease::step`] counts
    /// in this list.
    pub steps: Vec<StepRecord>,
    /// The model after the last step.
    pub folded: Arc<Folded>,
    /// What names stand for after the last step.
    pub names: Names,
    /// Folded with slips.
    pub slipped: bool,
    /// Steps that fold, and perhaps not as was meant.
    pub warnings: Vec<Diagnostic>,
}

impl FoldRun {
    /// To look up references in the folded model.
    pub fn refs<'a>(&'a self, values: &'a Values) -> Refs<'a> {
        Refs { slipped: self.slipped, ..Refs::new(&self.folded, &self.names, values) }
    }

    /// The model before a step.
    pub fn before(&self, step: usize) -> &Arc<Folded> {
        step.checked_sub(1).and_then(|i| self.steps.get(i)).map_or(&self.sheet, |s| &s.after)
    }
}

/// One step as it was made.
#[derive(Clone, Debug)]
pub struct StepRecord {
    /// Its text.
    pub span: Span,
    /// What it does.
    pub kind: StepKind,
    /// The creases folded: one, or two for `both sides`; none for turning and unfolding.
    pub passes: Vec<FoldLineRecord>,
    /// The largest number of layers it bent at one place.
    pub layers_bent: usize,
    /// The line of the sheet in which a step made on both sides was mirrored.
    pub axis: Axis,
    /// Of a roll: which of its folds, counted from 1, and how many there are.
    pub turn: Option<[usize; 2]>,
    /// The model after it.
    pub after: Arc<Folded>,
}

/// Kinds of step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepKind {
    /// `valley`, `mountain`, `crease`
    Fold(FoldVerb),
    /// A collapse, reverse fold, sink and the like.
    Collapse,
    /// `unfold`
    Unfold,
    /// `turn over`
    TurnOver,
    /// `rotate`
    Rotate,
}

/// A crease as it was folded.
#[derive(Clone, Debug, PartialEq)]
pub struct FoldLineRecord {
    /// On the table before the step. For a fold, what moved was on its left, and the middle of the
    /// stretch that was bent is its place `at`.
    pub line: TableLine,
    /// Towards the folder or away; `None` for a crease folded and unfolded.
    pub valley: Option<bool>,
    /// The mirrored half of a `both sides` step.
    pub mirrored: bool,
    /// The creases bent or made.
    pub creases: Vec<CreaseId>,
    /// The largest number of layers bent at one place.
    pub layers_bent: usize,
    /// For a fold, the area of the paper that moved, all layers, m2.
    pub moved_m2: f64,
    /// For a fold, the length of crease bent or made, all layers, m.
    pub bent_m: f64,
    /// The folder chose where it runs: not along a crease made before, nor in a collapse.
    pub placed: bool,
    /// How far the thickness of the layers pushes the paper that moved, in thicknesses.
    pub push: Vec2,
}

/// Folds a design.
///
/// # Errors
/// The first step that cannot be made, with the model before it.
pub fn run(design: &Design, stock: &Stock, values: &Values) -> Result<FoldRun, Box<FoldError>> {
    run_to(design, stock, values, None)
}

/// Folds the first steps of a design, repeats written out and marks left out of the count.
///
/// # Errors
/// The first of them that cannot be made, with the model before it.
pub fn run_to(
    design: &Design,
    stock: &Stock,
    values: &Values,
    to_step: Option<usize>,
) -> Result<FoldRun, Box<FoldError>> {
    start(design, stock, values, to_step, None, Vec::new())
}

/// Folds a design as a hand does, each crease a little beside where the `exact` run of the same
/// design has it: one slip for each of [`FoldRun::passes`], in order; none where the list ends.
/// See [`super::slip`] for what follows from a slip.
///
/// # Errors
/// The first step that can no longer be made, with the model before it.
pub fn run_slipped(
    design: &Design,
    stock: &Stock,
    values: &Values,
    exact: &FoldRun,
    slips: &[Slip],
) -> Result<FoldRun, Box<FoldError>> {
    let passes = exact.steps.iter().flat_map(|s| &s.passes);
    let slips = slips.iter().copied().chain(std::iter::repeat(Slip::default()));
    let aim = |(pass, slip): (&FoldLineRecord, Slip)| {
        let FoldLineRecord { line, moved_m2, bent_m, push, .. } = *pass;
        Aim { line, moved_m2, bent_m, push, slip }
    };
    let aims: Vec<Aim> = passes.zip(slips).map(aim).collect();
    let axes = exact.steps.iter().map(|s| s.axis).collect();
    start(design, stock, values, Some(exact.steps.len()), Some(&aims), axes)
}

fn start(
    design: &Design,
    stock: &Stock,
    values: &Values,
    to_step: Option<usize>,
    aims: Option<&[Aim]>,
    axes: Vec<Axis>,
) -> Result<FoldRun, Box<FoldError>> {
    let mut runner = Runner { aims, axes, ..Runner::new(design, stock, values, to_step) };
    let sheet = runner.now.clone();
    runner.all(&design.steps, 0)?;
    let Runner { steps, now: folded, names, warnings, .. } = runner;
    Ok(FoldRun { sheet, steps, folded, names, slipped: aims.is_some(), warnings })
}

#[derive(Clone)]
struct Runner<'a> {
    values: &'a Values,
    creep: bool,
    /// In a slipped run: one for each crease.
    aims: Option<&'a [Aim]>,
    /// In a slipped run: one for each step.
    axes: Vec<Axis>,
    to_step: usize,
    names: Names,
    steps: Vec<StepRecord>,
    /// Faces of all models so far.
    kept_faces: usize,
    /// Turns of repeats so far.
    turns: usize,
    /// Within a roll: which of its folds, and how many there are.
    turn: Option<[usize; 2]>,
    undo: Vec<Undo>,
    now: Arc<Folded>,
    warnings: Vec<Diagnostic>,
}

/// A fault in one of the halves of a step.
struct Failed {
    fault: Fault,
    /// At the mirrored half: the model with the first half made, and the line it is mirrored in.
    mirrored: Option<(Arc<Folded>, Axis)>,
}

impl From<Fault> for Failed {
    fn from(fault: Fault) -> Self {
        Self { fault, mirrored: None }
    }
}

/// Most turns of repeats, all told: as many as there can be where each makes a step.
const MAX_TURNS: usize = MAX_REPEAT_NESTING * MAX_STEPS;

/// What a step made: the model, the creases folded, the most layers bent at one place.
type Made = (Folded, Vec<FoldLineRecord>, usize);

impl<'a> Runner<'a> {
    /// With the sheet flat on the table.
    fn new(design: &Design, stock: &Stock, values: &'a Values, to_step: Option<usize>) -> Self {
        let printed_down = design.sheet.as_ref().is_some_and(|s| s.node.printed_down);
        let sheet = Folded { printed_down, ..Folded::new(stock) };
        Self {
            values,
            creep: design.creep.as_ref().is_none_or(|c| c.node),
            aims: None,
            axes: Vec::new(),
            to_step: to_step.unwrap_or(usize::MAX),
            names: Names::default(),
            steps: Vec::new(),
            kept_faces: 0,
            turns: 0,
            turn: None,
            undo: Vec::new(),
            now: Arc::new(sheet),
            warnings: Vec::new(),
        }
    }

    fn all(&mut self, steps: &[Spanned<Step>], depth: usize) -> Result<(), Box<FoldError>> {
        for step in steps {
            if self.steps.len() >= self.to_step {
                return Ok(());
            }
            if let Step::Repeat(times, inner) = &step.node {
                let times = self.times(times, depth).map_err(|f| self.error(step, f.into()))?;
                for _ in 0..times {
                    self.turns += 1;
                    if self.turns > MAX_TURNS {
                        let many = Fault::from((&step.span, Problem::TooManySteps));
                        return Err(self.error(step, many.into()));
                    }
                    self.all(inner, depth + 1)?;
                }
            } else if let Step::Roll(roll) = &step.node {
                self.roll(step, roll)?;
            } else {
                self.one(step).map_err(|failed| self.error(step, failed))?;
            }
        }
        Ok(())
    }

    fn error(&self, step: &Spanned<Step>, failed: Failed) -> Box<FoldError> {
        let Failed { fault: Fault { span, problem }, mirrored } = failed;
        let (half_made, mirrored) = mirrored.unzip();
        Box::new(FoldError {
            step_span: step.span.clone(),
            span,
            step: self.steps.len() + 1,
            mirrored,
            problem: *problem,
            second_try: None,
            then: None,
            before: half_made.unwrap_or_else(|| self.now.clone()),
        })
    }

    fn times(&self, times: &Spanned<Expr>, depth: usize) -> Result<usize, Fault> {
        if depth >= MAX_REPEAT_NESTING {
            return Err((&times.span, Problem::TooDeep).into());
        }
        Ok(self.values.count(times)?)
    }

    fn one(&mut self, step: &Spanned<Step>) -> Result<(), Failed> {
        let span = &step.span;
        if self.steps.len() >= MAX_STEPS {
            return Err(Fault::from((span, Problem::TooManySteps)).into());
        }
        let mut axis = self.axis(step)?;
        let found = match &step.node {
            Step::Fold(fold) if fold.sides.both() => self.refs(false).with_corners_found(step)?,
            Step::Collapse(c) if c.sides.both() => self.refs(false).with_corners_found(step)?,
            _ => None,
        };
        let (kind, (folded, passes, layers_bent)) = match found.as_ref().unwrap_or(&step.node) {
            Step::Mark(name, target) => return Ok(self.mark(name, target)?),
            Step::Repeat(..) | Step::Roll(_) => return Ok(()),
            Step::Fold(fold) => {
                let made;
                (made, axis) = self.fold_about(fold, axis);
                (StepKind::Fold(fold.verb), made?)
            }
            Step::Unfold(name) => (StepKind::Unfold, self.unfold(name.as_ref(), span)?),
            Step::UnfoldAll => (StepKind::Unfold, self.unfold_all(span)?),
            Step::Refold(name) => self.refold(name, span)?,
            Step::TurnOver => (StepKind::TurnOver, self.turn(Motion::over(&self.now))),
            Step::Rotate(angle) => {
                let by = self.values.angle(angle).map_err(Fault::from)?;
                (StepKind::Rotate, self.turn(Motion::about(&self.now, by)))
            }
            Step::Collapse(collapse) => (StepKind::Collapse, self.collapse(collapse, span, axis)?),
        };
        self.kept_faces += folded.faces.len();
        if self.kept_faces > MAX_KEPT_FACES {
            return Err(Fault::from((span, Problem::TooMuchToKeep)).into());
        }
        self.now = Arc::new(folded);
        let (span, after, turn) = (span.clone(), self.now.clone(), self.turn);
        self.steps.push(StepRecord { span, kind, passes, layers_bent, axis, turn, after });
        Ok(())
    }

    /// To look up what a line of the text points at now.
    fn refs(&self, mirrored: bool) -> Refs<'_> {
        let slipped = self.aims.is_some();
        Refs { mirrored, slipped, ..Refs::new(&self.now, &self.names, self.values) }
    }

    fn mark(&mut self, name: &Name, target: &MarkTarget) -> Result<(), Fault> {
        let refs = |mirrored| self.refs(mirrored);
        let meaning = match target {
            MarkTarget::Line(line) => refs(false).meaning(line)?,
            MarkTarget::Point(point) => {
                let place = refs(false).place(point)?;
                let off_paper = || (&point.span, refs(false).off_paper(point));
                let on_paper = place.sheet.ok_or_else(off_paper)?;
                // Where creases have slipped the mirror image of a crossing is another crossing.
                let image = self.aims.and_then(|_| refs(true).place(point).ok());
                let mirrored = |p, image: Option<SheetPoint>| {
                    [p, image.unwrap_or_else(|| mirror_image(p, self.now.sheet_m[0]))]
                };
                let first = mirrored(on_paper, image.and_then(|i| i.sheet));
                match place.other.filter(|p| !p.near(on_paper)) {
                    None => Meaning::Place(first),
                    Some(other) => {
                        Meaning::Crossing([first, mirrored(other, image.and_then(|i| i.other))])
                    }
                }
            }
        };
        self.names.give(&name.node, meaning);
        Ok(())
    }

    fn turn(&mut self, motion: Motion) -> Made {
        let mut folded = (*self.now).clone();
        motion.apply(&mut folded);
        for undo in &mut self.undo {
            undo.since.push(motion);
        }
        (folded, Vec::new(), 0)
    }

    fn fold(&mut self, step: &FoldStep, axis: Axis) -> Result<Made, Failed> {
        let before = self.now.clone();
        let first = self.pass(step, &before, axis, None)?;
        self.warnings.extend(self.runs_on(step, &first));
        let mut passes = vec![record(&first, false)];
        let mut halves = [first.creases.clone(), Vec::new()];
        let (mut folded, amid) = (first.folded, first.amid);
        if step.sides.both() {
            let half = || Some((Arc::new(folded.clone()), axis));
            let failed = |fault: Fault| Failed { fault, mirrored: half() };
            let no_image = || failed((&step.line.span, Problem::NoMirrorImage).into());
            let mirror = Mirror::at(&before, amid, axis).ok_or_else(no_image)?;
            in_two(step.sides, &mirror, &step.line.span)?;
            if step.layers.node.are_halves() && !mirror.other_way_up() {
                return Err(failed((&step.layers.span, Problem::HalvesDiffer).into()));
            }
            if mirror.is_its_own_image(&first.line) {
                return Err(failed((&step.line.span, Problem::OwnMirrorImage).into()));
            }
            let made = Some((mirror, first.line));
            let second = self.pass(step, &folded, axis, made).map_err(failed)?;
            if self.aims.is_none() && !are_images(&mirror, &passes[0], &second) {
                let same_line = mirror.are_images(&passes[0].line, &second.line, HINGE_GAP_M);
                let folded = same_line && passes[0].valley.is_some();
                let problem = match (folded, mirror.other_way_up()) {
                    (true, true) => Problem::HalvesDiffer,
                    (true, false) => Problem::CoversOther,
                    (false, _) => Problem::AnotherMirrored,
                };
                return Err(failed((&step.line.span, problem).into()));
            }
            passes.push(record(&second, true));
            halves[1].clone_from(&second.creases);
            folded = second.folded;
        }
        if step.verb != FoldVerb::Crease {
            self.undo.push(Undo { before, step: self.steps.len(), since: Vec::new() });
        }
        if let Some(name) = &step.call {
            self.rename(&folded);
            if halves[1].is_empty() {
                halves[1] = self.paired(&name.node, &halves[0], &mut folded);
            }
            self.names.give(&name.node, Meaning::Creases(halves));
        }
        let layers_bent = passes.iter().map(|p| p.layers_bent).max().unwrap_or(0);
        Ok((folded, passes, layers_bent))
    }

    fn pass(
        &self,
        step: &FoldStep,
        model: &Folded,
        axis: Axis,
        made: Option<(Mirror, TableLine)>,
    ) -> Result<Passed, Fault> {
        let (mirror, first_made) = made.unzip();
        let (names, values, creep) = (&self.names, self.values, self.creep);
        let index = self.steps.len();
        let made: usize = self.steps.iter().map(|s| s.passes.len()).sum();
        let aim = self.aims.and_then(|a| a.get(made + usize::from(mirror.is_some())));
        let among = None;
        let pass =
            Pass { step, index, model, names, values, axis, mirror, first_made, aim, creep, among };
        pass.run()
    }
}

fn record(pass: &Passed, mirrored: bool) -> FoldLineRecord {
    let creases = pass.creases.clone();
    let Passed { line, valley, layers_bent, moved_m2, bent_m, placed, push, .. } = *pass;
    FoldLineRecord { line, valley, mirrored, creases, layers_bent, moved_m2, bent_m, placed, push }
}
