//! Mathematics that knows nothing of paper: points that carry their frame, searches, random draws,
//! sensitivity, outlines cut into strips.

pub mod geom;
pub mod sample;
pub mod search;
pub mod sensitivity;
pub mod slabs;
