//! The best values of some lets: the answer of `best`.

use plumbfold::numeric::search::Stop;
use plumbfold::study::best::{Best as Found, TOLD, Turned, Wish};
use schemars::JsonSchema;
use serde::Serialize;

use crate::numbers::Numbers;

/// The answer of `best`.
#[derive(Serialize, JsonSchema)]
pub struct Best {
    /// The lets and what became of them.
    pub lets: Vec<Turn>,
    /// Mean of what was wanted over many planes and throws, before, in `unit`; a flight that does
    /// not end in a glide counts 0.
    pub score_before: f64,
    /// The same after.
    pub score_after: f64,
    /// Flights behind each score, others than those by which the search chose.
    pub score_flights: usize,
    /// Standard error of the difference between the two scores, in `unit`.
    pub score_error: f64,
    /// The difference is no more than twice that.
    pub may_be_luck: bool,
    /// Unit of the scores: `m`, `s` or `(m s)^1/2`.
    pub unit: &'static str,
    /// The plane as it is.
    pub before: Numbers,
    /// The best one found.
    pub after: Numbers,
    /// Planes folded and flown.
    pub planes_flown: usize,
    /// The search came to its end.
    pub complete: bool,
    /// The whole design text of the best one.
    pub text: String,
}

/// A let and what became of it.
#[derive(Serialize, JsonSchema)]
pub struct Turn {
    /// Its name.
    pub name: String,
    /// Value of the design, in `unit`.
    pub from: f64,
    /// Value found, in `unit`.
    pub to: f64,
    /// Unit of both; empty for counts and plain numbers.
    pub unit: &'static str,
}

impl Best {
    /// From what was found for a wish.
    pub fn new(found: &Found, wish: Wish) -> Self {
        let turn = |t: &Turned| Turn {
            name: t.dial.name.clone(),
            from: t.dial.value,
            to: t.to,
            unit: t.dial.unit.symbol(),
        };
        Self {
            lets: found.lets.iter().map(turn).collect(),
            score_before: found.score[0],
            score_after: found.score[1],
            score_flights: TOLD,
            score_error: found.error,
            may_be_luck: found.score[1] - found.score[0] <= 2.0 * found.error,
            unit: match wish {
                Wish::Distance => "m",
                Wish::Time => "s",
                Wish::Both => "(m s)^1/2",
            },
            before: Numbers::new(&found.before),
            after: Numbers::new(&found.after),
            planes_flown: found.evaluations,
            complete: found.stop != Stop::Asked,
            text: found.text.clone(),
        }
    }
}
