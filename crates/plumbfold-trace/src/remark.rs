//! What to look at in what was found.

/// A remark on what was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Remark {
    /// A word programs can tell it by.
    pub code: &'static str,
    /// One or two sentences.
    pub text: String,
}

impl Remark {
    /// With its word and its sentences.
    pub fn new(code: &'static str, text: impl Into<String>) -> Self {
        Self { code, text: text.into() }
    }
}
