//! What is answered, and reading what was asked.

use serde::Serialize;
use serde::de::DeserializeOwned;

/// An answer, as HTTP would have it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// 200; 400 where the question cannot be read; 422 where it has no answer.
    pub status: u16,
    /// Media type.
    pub mime: &'static str,
    /// Content.
    pub body: Vec<u8>,
}

impl Answer {
    /// A value.
    pub fn json(status: u16, value: &impl Serialize) -> Self {
        match serde_json::to_vec(value) {
            Ok(body) => Self { status, mime: "application/json", body },
            Err(e) => Self::plain(500, &format!("cannot write the answer: {e}")),
        }
    }

    /// A sentence, as the page reads refusals.
    pub fn message(status: u16, message: &str) -> Self {
        #[derive(Serialize)]
        struct Message<'a> {
            message: &'a str,
        }
        Self::json(status, &Message { message })
    }

    /// A plain sentence.
    pub fn plain(status: u16, text: &str) -> Self {
        Self { status, mime: "text/plain; charset=utf-8", body: text.as_bytes().to_vec() }
    }
}

/// Answers what the body asks, if it can be read.
pub fn with<Q: DeserializeOwned>(body: &[u8], answer: impl FnOnce(Q) -> Answer) -> Answer {
    match serde_json::from_slice(body) {
        Ok(question) => answer(question),
        Err(e) => Answer::message(400, &format!("this question cannot be read: {e}")),
    }
}
