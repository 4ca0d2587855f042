//! Films rendered from known flights, followed and measured.

mod render;
mod measured;
