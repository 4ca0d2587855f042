//! Why a real plane does what was seen of it.

use plumbfold::flight::rigid::FlightError;
use plumbfold::pipeline::{self, Settings, ThrowChange};
use plumbfold::study;
use plumbfold::verdict::aircraft::{Conditions, Wanted};
use serde::Deserialize;

use crate::why::{Why, symptom};

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
    /// What it does, as `plumbfold why --it` has it.
    it: String,
}

/// Answers a question, as long as that is wanted.
///
/// # Errors
/// The design cannot be read, folded or flown, or nothing of that name is known.
pub fn why(question: &Question, wanted: Wanted<'_>) -> Result<Why, String> {
    let (change, conditions) = (ThrowChange::default(), Conditions::default());
    let it = symptom(&question.it).ok_or("nothing of that name is known of a plane")?;
    let plane = pipeline::analyse(&question.text, &Settings::default(), &change, &conditions)
        .map_err(|p| p.diagnostics.first().map_or_else(String::new, |d| d.message.clone()))?;
    if !wanted() {
        return Err(FlightError::Unwanted.to_string());
    }
    let reasons = plane.reasons(&conditions);
    Ok(Why::new(&plane, &reasons, &study::why::why(&plane, it, &conditions)))
}
