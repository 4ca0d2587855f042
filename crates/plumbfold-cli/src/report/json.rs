//! Answers as other programs read them.

use plumbfold_view::contract::Answer;
use serde::Serialize;

use super::Rows;
use crate::error::Error;
use crate::options::Global;
use crate::system::System;

/// Prints one answer.
pub fn answer(system: &mut System, answer: &impl Serialize) -> Result<(), Error> {
    let counted = system.counted_with();
    let text = serde_json::to_string_pretty(&Answer::new(answer, &counted))
        .map_err(|e| Error::internal(format!("cannot write the answer as JSON: {e}")))?;
    system.answer(&(text + "\n"))
}

/// Gives an answer: as JSON where that was asked for, else as a report.
pub fn tell(
    answer: &impl Serialize,
    report: impl FnOnce() -> Rows,
    global: &Global,
    system: &mut System,
) -> Result<(), Error> {
    match global.json {
        true => self::answer(system, answer),
        false => system.report(&report()),
    }
}
