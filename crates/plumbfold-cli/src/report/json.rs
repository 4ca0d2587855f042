//! Answers as other programs read them.

use plumbfold_view::contract::Answer;
use serde::Serialize;

use crate::error::Error;
use crate::system::System;

/// Prints one answer.
pub fn answer(system: &mut System, answer: &impl Serialize) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(&Answer::new(answer))
        .map_err(|e| Error::internal(format!("cannot write the answer as JSON: {e}")))?;
    system.answer(&(text + "\n"))
}
