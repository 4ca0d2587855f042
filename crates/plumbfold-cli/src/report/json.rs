//! Answers as other programs read them. Key names and units are a promise: mm, mm2, g, degrees,
//! m/s, fractions. The structs are filled by hand from the types of the science, which promise
//! nothing about JSON.

mod air;
mod balance;
mod fold;
mod flight;

pub use air::Aero;
pub use balance::Balance;
pub use flight::Fly;
pub use fold::Fold;

use plumbfold::design::diagnostic::{Diagnostic, Severity};
use serde::Serialize;

use super::diagnostics::place;
use crate::error::Error;
use crate::world::{Source, World};

/// Raised when a key changes its meaning or goes; new keys do not raise it.
const SCHEMA: u32 = 1;

/// Every answer, with the schema first.
#[derive(Serialize)]
struct Answer<'a, T> {
    schema: u32,
    #[serde(flatten)]
    answer: &'a T,
}

/// Prints one answer.
pub fn answer(world: &mut World, answer: &impl Serialize) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(&Answer { schema: SCHEMA, answer })
        .map_err(|e| Error::internal(format!("cannot write the answer as JSON: {e}")))?;
    world.answer(&(text + "\n"))
}

/// Mistakes in place of an answer.
#[derive(Serialize)]
pub struct Mistakes {
    /// In the order of the text.
    pub errors: Vec<Mistake>,
}

/// One mistake or warning.
#[derive(Debug, Serialize)]
pub struct Mistake {
    #[serde(flatten)]
    place: Option<TextPlace>,
    severity: &'static str,
    code: &'static str,
    message: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
}

/// Where in a file; lines and columns from 1.
#[derive(Debug, Serialize)]
struct TextPlace {
    file: String,
    line: usize,
    column: usize,
}

impl Mistake {
    /// A mistake that stands nowhere in a text.
    pub fn placeless(code: &'static str, message: String, help: Option<String>) -> Self {
        Self { place: None, severity: "error", code, message, help }
    }

    /// From what a stage reports.
    pub fn new(source: &Source, d: &Diagnostic) -> Self {
        let (line, column) = place(&source.text, d.span.start);
        Self {
            place: Some(TextPlace { file: source.name.clone(), line, column }),
            severity: match d.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            code: d.code,
            message: d.message.clone(),
            help: d.help.clone(),
        }
    }
}
