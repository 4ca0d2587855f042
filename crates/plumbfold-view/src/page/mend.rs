//! What would mend a design.

use plumbfold::pipeline::{Settings, ThrowChange};
use plumbfold::study::remedy::{self, Remedy, State};
use plumbfold::verdict::aircraft::Conditions;
use serde::{Deserialize, Serialize};

/// What the page asks.
#[derive(Debug, Deserialize)]
pub struct Question {
    text: String,
}

/// The answer.
#[derive(Serialize)]
pub struct Answer {
    before: StateShown,
    remedies: Vec<RemedyShown>,
}

#[derive(Serialize)]
struct RemedyShown {
    kind: &'static str,
    change: String,
    sure: bool,
    after: StateShown,
    /// The design with the remedy in it.
    text: String,
}

#[derive(Serialize)]
struct StateShown {
    behaviour: &'static str,
    behind_nose_mm: f64,
    area_ahead_fraction: f64,
    glide_probability: f64,
    distance_m: f64,
}

/// Flights behind each probability: enough to tell likely from unlikely, few enough to wait for.
const DRAWS: usize = 60;

/// Searches as long as `still_wanted`.
///
/// # Errors
/// The design cannot be read, folded or flown; the sentence says why.
pub fn mend(
    question: &Question,
    still_wanted: &(impl Fn(usize, usize) -> bool + Sync),
) -> Result<Answer, String> {
    let mended = remedy::mend(
        &question.text,
        &Settings::default(),
        &ThrowChange::default(),
        &Conditions { draws: DRAWS, ..Conditions::default() },
        still_wanted,
    )
    .map_err(|p| p.diagnostics.first().map_or_else(String::new, |d| d.message.clone()))?;
    Ok(Answer {
        before: StateShown::new(&mended.before),
        remedies: mended.remedies.into_iter().map(RemedyShown::new).collect(),
    })
}

impl RemedyShown {
    fn new(r: Remedy) -> Self {
        let after = StateShown::new(&r.after);
        Self { kind: r.kind, change: r.sentence, sure: r.sure, after, text: r.text }
    }
}

impl StateShown {
    fn new(s: &State) -> Self {
        Self {
            behaviour: s.behaviour.code(),
            behind_nose_mm: s.behind_nose_m * 1e3,
            area_ahead_fraction: s.area_ahead_fraction,
            glide_probability: s.glide_probability,
            distance_m: s.distance_m,
        }
    }
}
