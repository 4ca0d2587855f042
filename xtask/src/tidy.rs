//! What holds the layout together. A rule is a file here and gives back its faults, one a line.

mod files;
mod flow;
mod licences;
mod map;

use std::path::Path;

use crate::sources::targets;

/// Every fault of the layout.
///
/// # Errors
/// The project cannot be read.
pub fn faults(root: &Path) -> Result<Vec<String>, String> {
    let targets = targets(root)?;
    let mut faults = files::out_of_reach(root, &targets)?;
    faults.extend(files::too_long(root)?);
    faults.extend(flow::against_the_flow(&targets));
    faults.extend(flow::circles(&targets));
    faults.extend(licences::not_allowed(root)?);
    faults.extend(map::unnamed(root, &targets)?);
    Ok(faults)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_layout_holds() {
        let faults = faults(&crate::root()).expect("a project that can be read");
        assert!(faults.is_empty(), "\n{}", faults.join("\n"));
    }
}
