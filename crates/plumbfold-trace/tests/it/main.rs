//! Tests of the whole way from photo to plane.

mod render;
mod known_truth;
mod by_hand;
mod refused;
mod shadows;
mod sureness;
