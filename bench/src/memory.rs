//! Peak memory of text to balance for every shipped design, each in a process of its own.

use std::path::Path;
use std::process::Command;

use crate::table::Row;

/// First argument of the child process.
pub const CHILD: &str = "--peak-memory-of";

/// Folds and balances one design and prints the most memory this process has held, kB (Linux:
/// VmHWM in /proc/self/status).
pub fn child(design: &str) {
    let text = std::fs::read_to_string(design).expect("a readable design");
    std::hint::black_box(crate::text_to_balance::balance(&text));
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let peak = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    let peak = peak.and_then(|l| l.split_whitespace().next());
    println!("{}", peak.unwrap_or("nan"));
}

/// The hungriest design.
pub fn rows(root: &Path) -> Vec<Row> {
    let mut worst: Option<(f64, String)> = None;
    for dir in ["../designs", "../testdata/designs"] {
        for entry in std::fs::read_dir(root.join(dir)).into_iter().flatten().flatten() {
            if entry.path().extension().is_none_or(|e| e != "plane") {
                continue;
            }
            let me = std::env::current_exe().expect("the path of this program");
            let out = Command::new(me).arg(CHILD).arg(entry.path()).output();
            let out = out.expect("this program starts again");
            let kb = String::from_utf8_lossy(&out.stdout).trim().parse().unwrap_or(f64::NAN);
            let name = entry.file_name().to_string_lossy().into_owned();
            if worst.as_ref().is_none_or(|(most, _)| !(kb <= *most)) {
                worst = Some((kb, name));
            }
        }
    }
    let row = |(kb, name)| Row {
        what: format!("peak memory, text to balance, {name}"),
        measured: kb / 1000.0,
        unit: "MB",
        limit: Some(50.0),
        reference: None,
    };
    worst.map(row).into_iter().collect()
}
