//! What the program is built from may be passed on.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use spdx::{Expression, LicenseReq, ParseMode};

/// Packages whose licence `deny.toml` does not allow.
pub fn not_allowed(root: &Path) -> Result<Vec<String>, String> {
    let allowed = allowed(root)?;
    let is_allowed = |wanted: &LicenseReq| allowed.contains(&wanted.to_string());
    let mut faults = Vec::new();
    for (package, licence) in packages(root)? {
        // Old packages write a slash for OR.
        let read = Expression::parse_mode(&licence, ParseMode::LAX);
        if !read.is_ok_and(|licence| licence.evaluate(is_allowed)) {
            faults.push(format!("{package}: deny.toml does not allow its licence, `{licence}`"));
        }
    }
    Ok(faults)
}

/// The list in `deny.toml`, which cargo-deny reads too.
fn allowed(root: &Path) -> Result<Vec<String>, String> {
    let text = fs::read_to_string(root.join("deny.toml")).map_err(|e| format!("deny.toml: {e}"))?;
    let list = text.split("allow = [").nth(1).and_then(|s| s.split(']').next());
    let list = list.ok_or("deny.toml: no list `allow = [` of licences")?;
    Ok(list.split('"').skip(1).step_by(2).map(str::to_owned).collect())
}

/// Every package of the lock file with its licence.
fn packages(root: &Path) -> Result<BTreeMap<String, String>, String> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let args = ["metadata", "--format-version", "1", "--locked"];
    let out = Command::new(cargo).current_dir(root).args(args).output();
    let out = out.map_err(|e| e.to_string())?;
    let read: Value = serde_json::from_slice(&out.stdout)
        .map_err(|e| format!("cargo metadata: {e}: {}", String::from_utf8_lossy(&out.stderr)))?;
    let packages = read["packages"].as_array().ok_or("cargo metadata names no packages")?;
    let word = |package: &Value, key: &str| package[key].as_str().unwrap_or_default().to_owned();
    Ok(packages
        .iter()
        .map(|p| (format!("{} {}", word(p, "name"), word(p, "version")), word(p, "license")))
        .collect())
}
