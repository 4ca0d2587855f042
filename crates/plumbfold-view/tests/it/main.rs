//! What is said of planes, held against itself.
#![allow(clippy::disallowed_types, clippy::disallowed_methods, reason = "tests read files")]
#![allow(missing_docs, reason = "tests")]

mod voice;
