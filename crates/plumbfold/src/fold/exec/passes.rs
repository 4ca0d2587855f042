//! The creases of a run as a person would point at them.

use super::{FoldRun, StepRecord};
use crate::design::ast::Span;
use crate::fold::state::Crease;

/// One crease of a run, as a person would point at it.
#[derive(Clone, Debug, PartialEq)]
pub struct PassLabel {
    /// Step, counted from 1 with repeats written out and marks left out.
    pub step: usize,
    /// Its text.
    pub span: Span,
    /// Which half of a `both sides` step; `None` for a step made once.
    pub side: Option<PassSide>,
    /// What the crease is called.
    pub crease: Option<String>,
    /// Whether a slip moves it: not where an existing crease is followed, nor in a collapse.
    pub slips: bool,
}

/// Half of a `both sides` step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassSide {
    /// As written.
    First,
    /// Its mirror image.
    Mirrored,
}

impl std::fmt::Display for PassLabel {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "step {}", self.step)?;
        if let Some(crease) = &self.crease {
            write!(f, ", {crease}")?;
        }
        match self.side {
            None => Ok(()),
            Some(PassSide::First) => f.write_str(", first side"),
            Some(PassSide::Mirrored) => f.write_str(", other side"),
        }
    }
}

impl FoldRun {
    /// All creases in the order they are folded, one for each [`Slip`](crate::fold::slip::Slip) of a slipped run.
    pub fn passes(&self) -> Vec<PassLabel> {
        let label = |(i, step): (usize, &StepRecord)| {
            let both = step.passes.iter().any(|p| p.mirrored);
            let labels = step.passes.iter().map(|pass| {
                let creases = pass.creases.iter().map(|&c| &step.after.creases[c]);
                let named = |c: &&Crease| c.name.is_some();
                let made = creases.clone().filter(named).find(|c| c.step == i);
                let crease = made.or_else(|| creases.clone().find(named));
                let side = if pass.mirrored { PassSide::Mirrored } else { PassSide::First };
                PassLabel {
                    step: i + 1,
                    span: step.span.clone(),
                    side: both.then_some(side),
                    crease: crease.and_then(|c| c.name.as_deref()).map(str::to_owned),
                    slips: pass.placed,
                }
            });
            labels.collect::<Vec<_>>()
        };
        self.steps.iter().enumerate().flat_map(label).collect()
    }
}
