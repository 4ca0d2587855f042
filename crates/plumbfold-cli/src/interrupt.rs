//! Ctrl-C during long work: the first time the work ends and what is known so far is given, the
//! second time the program ends at once. Files are written whole or not at all either way.

use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};

/// Set by the signal, which can reach nothing else.
static ASKED: AtomicBool = AtomicBool::new(false);
static LISTENING: Once = Once::new();

/// Exit code of a program that was interrupted: 128 and the number of the signal (common practice
/// of shells, no source).
pub const EXIT_CODE: u8 = 130;

/// From here on Ctrl-C asks instead of ending the program.
pub fn listen() {
    LISTENING.call_once(|| {
        let asked = || {
            if ASKED.swap(true, Ordering::SeqCst) {
                std::process::exit(EXIT_CODE.into());
            }
        };
        // Where no handler can be set, Ctrl-C ends the program as it does by default.
        let _ = ctrlc::set_handler(asked);
    });
}

/// Whether to stop.
pub fn asked() -> bool {
    ASKED.load(Ordering::SeqCst)
}
