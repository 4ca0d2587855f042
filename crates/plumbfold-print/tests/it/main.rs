//! What is printed, read back by somebody else's readers.
#![allow(clippy::disallowed_types, clippy::disallowed_methods, reason = "tests read files")]

mod machine;
mod measuring;
mod pages;
mod print;
mod reader;
mod support;
mod words;
