//! Rules about single files.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::sources::Target;

/// A file holds one idea; none found so far needs more lines.
const LINES_MAX: usize = 500;

/// Rust files that no `mod` line leads to: the compiler or rustfmt would pass them by.
pub fn out_of_reach(root: &Path, targets: &[Target]) -> Result<Vec<String>, String> {
    let reached: BTreeSet<&Path> =
        targets.iter().flat_map(|t| &t.modules).map(|m| m.file.as_path()).collect();
    let lost = kept(root, &["rs"])?.into_iter().filter(|f| !reached.contains(f.as_path()));
    Ok(lost
        .map(|f| format!("{}: no `mod` line leads here, so rustfmt passes it by", f.display()))
        .collect())
}

/// Files too long to be one idea.
pub fn too_long(root: &Path) -> Result<Vec<String>, String> {
    let mut faults = Vec::new();
    for file in kept(root, &["rs", "js", "css", "py"])? {
        // A file that was removed, but not yet from the index, has no length.
        let lines = fs::read_to_string(root.join(&file)).map_or(0, |text| text.lines().count());
        if lines > LINES_MAX {
            faults.push(format!("{}: {lines} lines; more than {LINES_MAX}", file.display()));
        }
    }
    Ok(faults)
}

/// Files with these endings that git keeps or would keep, from the root of the project. Where there
/// is no git, such as in an unpacked archive, there are none.
fn kept(root: &Path, endings: &[&str]) -> Result<Vec<PathBuf>, String> {
    let args = ["ls-files", "--cached", "--others", "--exclude-standard"];
    let Ok(out) = Command::new("git").current_dir(root).args(args).output() else {
        return Ok(Vec::new());
    };
    let list = String::from_utf8(out.stdout).map_err(|e| e.to_string())?;
    let has = |f: &PathBuf| f.extension().is_some_and(|e| endings.iter().any(|&x| e == x));
    Ok(list.lines().map(PathBuf::from).filter(has).filter(|f| root.join(f).is_file()).collect())
}
