//! Design and stock to a flat folded model: faces, hinges and the order of layers.

pub mod apply;
pub mod collapse;
pub mod layers;
pub mod layout;
pub mod lines;
pub mod split;
pub mod state;
