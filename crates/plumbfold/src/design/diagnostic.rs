//! Mistakes in a design, with the place and the way to mend them. Every stage that reads the
//! design text reports in this form; the program and the page decide how it looks.

use std::fmt;

use super::ast::Span;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The design can be used, but probably does not say what was meant.
    Warning,
    /// The design cannot be used until this is mended.
    Error,
}

/// One mistake.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// Stable short name of the kind of mistake, such as `unknown-word`.
    pub code: &'static str,
    /// The text at fault, byte range. Never past the end of the text; may be empty at a line end.
    pub span: Span,
    /// What is wrong, one sentence without full stop.
    pub message: String,
    /// What stands at the caret: what was expected, or why this piece is at fault. May be empty.
    pub label: String,
    /// How to mend it.
    pub help: Option<String>,
    /// Other places that belong to the mistake, each with what it has to do with it.
    pub related: Vec<(Span, String)>,
    /// The words are read as what was meant, so that nothing else is lost by it.
    pub read_as_meant: bool,
}

impl Diagnostic {
    /// An error with nothing but its message.
    pub fn error(code: &'static str, span: Span, message: impl Into<String>) -> Self {
        let severity = Severity::Error;
        let (message, label) = (message.into(), String::new());
        let (help, related, read_as_meant) = (None, Vec::new(), false);
        Self { severity, code, span, message, label, help, related, read_as_meant }
    }

    /// A warning with nothing but its message.
    pub fn warning(code: &'static str, span: Span, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, span, message) }
    }

    /// Adds the text at the caret.
    pub fn label(self, label: impl Into<String>) -> Self {
        Self { label: label.into(), ..self }
    }

    /// Adds the way to mend it.
    pub fn help(self, help: impl Into<String>) -> Self {
        Self { help: Some(help.into()), ..self }
    }

    /// Adds the way to mend it, where there is one.
    pub fn maybe_help(self, help: Option<String>) -> Self {
        Self { help: help.or(self.help.clone()), ..self }
    }

    /// The words are read as what was meant.
    pub fn read_as_meant(self) -> Self {
        Self { read_as_meant: true, ..self }
    }

    /// Adds another place that belongs to the mistake.
    pub fn related(mut self, span: Span, what: impl Into<String>) -> Self {
        self.related.push((span, what.into()));
        self
    }

    /// Whether the design cannot be used.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// The message and how to mend it; the place is shown by whoever holds the text.
impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.message)?;
        self.help.as_ref().map_or(Ok(()), |help| write!(f, " ({help})"))
    }
}

impl std::error::Error for Diagnostic {}

/// Longest word compared with others: longer ones are not slips of the finger. Guessed.
const LONGEST_WORD: usize = 40;

/// The candidate most like `word`, if any is like enough to have been meant: one slip (letter
/// added, lost, changed or swapped with its neighbour) in a word of up to five letters, two in
/// up to eight, and so on. Capitals do not matter. The first of equals wins.
pub fn did_you_mean<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    let fold = |s: &str| s.to_lowercase().chars().take(LONGEST_WORD + 1).collect::<String>();
    let letters = |s: &str| s.chars().count();
    let word = fold(word);
    if word.is_empty() || letters(&word) > LONGEST_WORD {
        return None;
    }
    let mut best = None;
    let mut least = (letters(&word) / 3).max(1) + 1;
    for candidate in candidates {
        let folded = fold(candidate);
        if letters(&folded).abs_diff(letters(&word)) >= least {
            continue;
        }
        // Insertions, deletions, substitutions and swaps of neighbours.
        let slips = strsim::osa_distance(&word, &folded);
        // A word with every letter changed is another word, however short.
        if slips < least && slips < letters(&folded) {
            (best, least) = (Some(candidate), slips);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_recognised_and_other_words_are_not() {
        let words = ["valley", "mountain", "crease", "unfold", "turn", "left", "top"];
        let cases = [
            ("vally", Some("valley")),
            ("Mountian", Some("mountain")),
            ("creese", Some("crease")),
            ("unfodl", Some("unfold")),
            ("lefft", Some("left")),
            ("tpo", Some("top")),
            ("kite", None),
            ("q", None),
            ("", None),
        ];
        for (word, expected) in cases {
            assert_eq!(did_you_mean(word, words), expected, "{word}");
        }
    }

    #[test]
    fn absurdly_long_words_are_left_alone() {
        let long = "v".repeat(1 << 20);
        assert_eq!(did_you_mean(&long, ["valley"]), None);
    }
}
