//! What would mend a design.

use plumbfold::pipeline::{Settings, ThrowChange};
use plumbfold::study::remedy;
use plumbfold::verdict::aircraft::Conditions;
use serde::Deserialize;

use crate::mend::Mend;

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
}

/// Searches as long as `still_wanted`, with the flights of every other answer, so that the same
/// question gets the same list everywhere.
///
/// # Errors
/// The design cannot be read, folded or flown; the sentence says why.
pub fn mend(
    question: &Question,
    still_wanted: &(impl Fn(usize, usize) -> bool + Sync),
) -> Result<Mend, String> {
    let mended = remedy::mend(
        &question.text,
        &Settings::default(),
        &ThrowChange::default(),
        &Conditions::default(),
        still_wanted,
    )
    .map_err(|p| p.diagnostics.first().map_or_else(String::new, |d| d.message.clone()))?;
    Ok(Mend::new(&mended, &[]))
}
