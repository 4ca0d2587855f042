//! Mistakes and warnings.

use plumbfold::design::diagnostic::{Diagnostic, Severity};
use schemars::JsonSchema;
use serde::Serialize;

use crate::place::line_and_column;

/// What every command answers in place of its answer when it fails.
#[derive(Serialize, JsonSchema)]
pub struct Mistakes {
    /// In the order of the text.
    pub errors: Vec<Mistake>,
}

/// One mistake or warning.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Mistake {
    #[serde(flatten)]
    place: Option<TextPlace>,
    /// `error` or `warning`.
    severity: &'static str,
    /// Stable word for the kind of mistake.
    code: &'static str,
    /// One sentence for people.
    message: String,
    /// How to mend it; left out where there is nothing to say.
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<String>,
}

/// Where in a file; left out for a mistake that stands nowhere in a text.
#[derive(Debug, Serialize, JsonSchema)]
struct TextPlace {
    /// File as named on the command line.
    file: String,
    /// Line, from 1.
    line: usize,
    /// Column, from 1, in characters.
    column: usize,
}

impl Mistake {
    /// A mistake that stands nowhere in a text.
    pub fn placeless(code: &'static str, message: String, help: Option<String>) -> Self {
        Self { place: None, severity: "error", code, message, help }
    }

    /// From what a stage reports of a text and the name of its file.
    pub fn new(file: &str, text: &str, d: &Diagnostic) -> Self {
        let (line, column) = line_and_column(text, d.span.start);
        Self {
            place: Some(TextPlace { file: file.to_owned(), line, column }),
            severity: severity(d.severity),
            code: d.code,
            message: d.message.clone(),
            help: d.help.clone(),
        }
    }
}

/// `error` or `warning`.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}
