//! Bars on long work: on the terminal only, never in a pipe or a file.

use std::io::IsTerminal;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

use crate::interrupt;

/// Work of a known number of pieces; the length is set when it is known.
pub fn bar(pieces: &str) -> ProgressBar {
    styled(&format!("{{bar:30}} {{pos}} of {{len}} {pieces}"), ProgressBar::new(1))
}

/// So many pieces of so many are done.
pub fn at(bar: &ProgressBar, done: usize, of: usize) {
    bar.set_length(of as u64);
    bar.set_position(done as u64);
}

/// Work whose end is not known. Shown only once it has lasted a moment.
pub fn spinner(doing: &'static str) -> ProgressBar {
    let bar = styled("{spinner} {msg} ({elapsed})", ProgressBar::new_spinner());
    bar.set_message(doing);
    if !bar.is_hidden() {
        bar.enable_steady_tick(Duration::from_millis(120));
    }
    bar
}

fn styled(template: &str, bar: ProgressBar) -> ProgressBar {
    if !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
    bar
}

/// Moves a bar; from now on Ctrl-C makes it answer that the work should stop.
pub fn until_interrupted(bar: &ProgressBar) -> impl Fn(usize, usize) -> bool + Sync + '_ {
    interrupt::listen();
    move |done, of| {
        at(bar, done, of);
        !interrupt::asked()
    }
}
