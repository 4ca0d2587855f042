//! The plane in space: folded models opened at their hinges, and outlines, meet in the
//! [`airframe`]; what it weighs and the wing from above follow from it alone.

pub mod airframe;
pub mod outline;
pub mod pose;
pub mod assembly;
pub mod mass;
pub mod planform;
pub mod deviation;
