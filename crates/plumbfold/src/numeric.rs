//! Mathematics that knows nothing of paper: points that carry their frame, searches, random draws,
//! sensitivity, outlines cut into strips, directions within
//! one-sided limits.

pub mod cone;
pub mod geom;
pub mod sample;
pub mod search;
pub mod sensitivity;
pub mod slabs;
