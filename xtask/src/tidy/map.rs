//! The map of the project names what there is.

use std::fs;
use std::path::Path;

use crate::sources::{Target, listed};

/// Crates, and modules at the root of a library, that ARCHITECTURE.md does not name.
pub fn unnamed(root: &Path, targets: &[Target]) -> Result<Vec<String>, String> {
    let map = fs::read_to_string(root.join("ARCHITECTURE.md")).map_err(|e| e.to_string())?;
    let named = |name: &str| map.contains(&format!("`{name}`"));
    let mut faults = Vec::new();
    for package in listed(root, Path::new("crates"))? {
        let name = package.display().to_string();
        if !named(&name) {
            faults.push(format!("ARCHITECTURE.md does not name the crate `{name}`"));
        }
    }
    for target in targets.iter().filter(|t| t.root.ends_with("src/lib.rs")) {
        let crate_root = target.modules.iter().find(|m| m.path.is_empty());
        for module in crate_root.iter().flat_map(|m| &m.children) {
            if !named(module) {
                let root = target.root.display();
                faults
                    .push(format!("ARCHITECTURE.md does not name the module `{module}` of {root}"));
            }
        }
    }
    Ok(faults)
}
