//! The bench: a page on this machine where a plane is designed by looking.
//!
//! ```text
//! browser ─▶ server (sockets) ─▶ guard (who asks?) ─▶ routes (plain functions) ─▶ the science
//!                                                          └▶ design_folder (the one folder)
//! ```
//! The page holds one truth, the design text. Every answer is computed from a text that came with
//! the question, so the server remembers nothing between two requests but its folder.

mod etag;
mod guard;
mod limit;
mod notebook;
mod routes;
mod server;
mod wanted;
mod design_folder;

pub use design_folder::DesignFolder;
pub use routes::{Bench, Hall};
pub use server::{Sharing, serve};
