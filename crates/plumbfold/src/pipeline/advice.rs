//! What a person is told of a design that cannot be folded or opened: the fault, and words after
//! which it can be.

use super::{Prepared, Problems, Reading, Settings, prepared, read};
use crate::design::eval;
use crate::fold::exec;
use crate::fold::exec::advice::Advice;
use crate::fold::state::Folded;
use crate::plane::assembly::{self, CLASPED};
use crate::plane::pose::{self, PoseError};

impl Problems {
    /// What a person is told: the same with what would fold instead, sought by folding it.
    #[must_use]
    pub fn with_advice(self, text: &str, settings: &Settings) -> Self {
        let Reading { design, .. } = read(text, settings);
        let values = eval::evaluate(&design, &settings.sets);
        let prepared = values.ok().and_then(|values| prepared(design, values, settings).ok());
        match prepared.filter(|_| settings.slips.is_empty()) {
            Some(prepared) => prepared.advise(self, settings.to_step),
            None => self,
        }
    }
}

impl Prepared {
    /// Adds to a fault what would fold instead.
    fn advise(&self, mut problems: Problems, to_step: Option<usize>) -> Problems {
        let Self { design, values, stock } = self;
        let Ok(angles) = assembly::pose_angles(design, values) else { return problems };
        let pose = |model: &Folded| pose::pose(model, stock, &angles, false);
        // A name that is not there is a fault of its own.
        let opens = |model: &Folded| match pose(model) {
            Ok(_) | Err(PoseError::UnknownCrease { .. }) => true,
            Err(_) => to_step.is_some(),
        };
        let advice = Advice { design, values, stock, to_step, opens: &opens };
        if let Some(fault) = &mut problems.fold {
            let plain = fault.diagnostic();
            *fault = advice.on_fault().unwrap_or_else(|| fault.clone());
            problems.diagnostics.retain(|d| *d != plain);
            problems.diagnostics.extend(fault.diagnostics());
        } else if let Ok(run) = exec::run_to(design, stock, values, to_step)
            && let Err(PoseError::Clasped { by: Some(by), .. }) = pose(&run.folded)
            && let Some(step) = run.steps.get(run.folded.creases[by].step)
            && let Some(words) = advice.on_clasp(&step.span)
        {
            let clasps = problems.diagnostics.iter_mut().filter(|d| d.code == CLASPED);
            clasps.for_each(|d| d.help = Some(words.clone()));
        }
        problems
    }
}
