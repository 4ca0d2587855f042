//! Design and stock to a flat folded model: faces, hinges and the order of layers.

pub mod apply;
pub mod axis;
pub mod checks;
pub mod collapse;
pub mod creep;
pub mod error;
pub mod exec;
pub mod layers;
pub mod layout;
pub mod lines;
pub mod refs;
mod stretch;
pub mod slip;
pub mod split;
pub mod state;
pub mod unfold;

#[cfg(test)]
mod tests;
