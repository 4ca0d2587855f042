//! Whether anybody still waits for an answer. Long work asks now and then, and stops.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Asked by the work.
#[derive(Clone, Debug)]
pub struct Wanted(Arc<AtomicBool>);

/// Held by whoever waits; dropping it tells the work to stop.
#[derive(Debug)]
pub struct Asking(Arc<AtomicBool>);

impl Wanted {
    /// Both ends.
    pub fn new() -> (Asking, Self) {
        let still = Arc::new(AtomicBool::new(true));
        (Asking(still.clone()), Self(still))
    }

    /// Somebody waits.
    pub fn still(&self) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Drop for Asking {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Relaxed);
    }
}
