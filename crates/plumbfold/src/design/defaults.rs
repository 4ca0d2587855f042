//! What is meant where a text says nothing.

/// Speed of a throw, m/s (chosen: an easy indoor throw).
pub const THROW_SPEED_M_S: f64 = 4.5;
/// Height of the hand, m (chosen: an adult's shoulder or a child's raised hand).
pub const HAND_HEIGHT_M: f64 = 1.6;
/// Depth of a trim bend, m (chosen: what two fingers bend).
pub const TRIM_DEPTH_M: f64 = 0.010;
/// Name of a plane.
pub const PLANE_NAME: &str = "Unnamed";
