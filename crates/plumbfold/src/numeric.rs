//! Mathematics that knows nothing of paper: points that carry their frame, searches, sensitivity.

pub mod geom;
pub mod search;
pub mod sensitivity;
