//! The page of the bench: its files, and what is answered to what it asks. The server and the page
//! in one file ask here, so that both give the same bytes. No I/O, nothing remembered.

pub mod assets;
pub mod answer;
pub mod lesson;
pub mod designs;
pub mod press;
pub mod photo;
pub mod film;
pub mod judged;
pub mod notebook;
pub mod questions;
pub mod alone;

pub use answer::Answer;
pub use questions::answer;
