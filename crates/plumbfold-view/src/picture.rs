//! Pictures of answers.

use plumbfold::fold::error::FoldError;
use plumbfold_draw::fault;
use plumbfold_draw::style::Look;

/// Draws the place of a fold that cannot be made.
pub fn mistake(look: &Look, text: &str, error: &FoldError) -> String {
    let words: Vec<&str> = text[error.step_span.clone()].split_whitespace().collect();
    let step = format!("Step {}", error.step);
    let says = format!("{}: {}", words.join(" "), error.problem);
    fault::fault(look, &step, &error.before, &error.evidence().into(), &says)
}
