//! Timing and the table of results.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// One promise and what was measured.
pub struct Row {
    /// What.
    pub what: String,
    /// Ours, in the unit given.
    pub measured: f64,
    /// Unit.
    pub unit: &'static str,
    /// At most this much.
    pub limit: Option<f64>,
    /// The plain reference in the same unit, where it was run, and how many times ours must be
    /// better.
    pub reference: Option<(f64, f64)>,
}

impl Row {
    /// Whether the promise is kept.
    pub fn holds(&self) -> bool {
        self.limit.is_none_or(|limit| self.measured <= limit)
            && self.reference.is_none_or(|(theirs, times)| theirs / self.measured >= times)
    }
}

/// Prints all rows.
pub fn print(rows: &[Row]) {
    println!(
        "{:<52} {:>14} {:>10} {:>14} {:>8} {:>8}  ",
        "what", "measured", "at most", "reference", "ratio", "at least"
    );
    for r in rows {
        let number = |x: f64| format!("{} {}", three_digits(x), r.unit);
        let blank = String::new;
        println!(
            "{:<52} {:>14} {:>10} {:>14} {:>8} {:>8}  {}",
            r.what,
            number(r.measured),
            r.limit.map_or_else(blank, number),
            r.reference.map_or_else(blank, |(theirs, _)| number(theirs)),
            r.reference.map_or_else(blank, |(theirs, _)| three_digits(theirs / r.measured)),
            r.reference.map_or_else(blank, |(_, times)| three_digits(times)),
            if r.holds() { "holds" } else { "MISSED" },
        );
    }
}

fn three_digits(x: f64) -> String {
    let decimals = (2.0 - x.abs().max(1e-9).log10().floor()).clamp(0.0, 6.0) as usize;
    format!("{x:.decimals$}")
}

/// Median seconds of one call. Repeats for half a second, at least five times, after one call
/// that fills the caches.
pub fn seconds<T>(mut work: impl FnMut() -> T) -> f64 {
    std::hint::black_box(work());
    let began = Instant::now();
    let mut times = Vec::new();
    while times.len() < 5 || (began.elapsed() < Duration::from_millis(500) && times.len() < 10_000)
    {
        let start = Instant::now();
        std::hint::black_box(work());
        times.push(start.elapsed().as_secs_f64());
    }
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

/// Answer of a plain reference in Python, or `None` (said on standard error) where Python or
/// its libraries are missing. `PYTHON` names another interpreter.
pub fn reference(root: &Path, script: &str, args: &[&str]) -> Option<serde_json::Value> {
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let out = Command::new(python).arg(root.join("reference").join(script)).args(args).output();
    let answer = out.ok().filter(|o| o.status.success());
    let answer = answer.and_then(|o| serde_json::from_slice(&o.stdout).ok());
    if answer.is_none() {
        eprintln!("{script} was not run: it needs Python with shapely, numpy and scipy");
    }
    answer
}
