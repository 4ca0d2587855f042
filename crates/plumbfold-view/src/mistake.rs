//! Mistakes and warnings.

use plumbfold::design::diagnostic::{Diagnostic, Severity};
use serde::Serialize;

use crate::place::line_and_column;

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

    /// From what a stage reports of a text and the name of its file.
    pub fn new(file: &str, text: &str, d: &Diagnostic) -> Self {
        let (line, column) = line_and_column(text, d.span.start);
        Self {
            place: Some(TextPlace { file: file.to_owned(), line, column }),
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
