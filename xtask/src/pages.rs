//! Pages and pictures that follow from the code, byte for byte.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Pictures of the README: the file and what `plumbfold draw` is asked for.
const README_PICTURES: [(&str, &str); 3] = [
    ("docs/pictures/halyard-split.svg", "split"),
    ("docs/pictures/halyard-steps.svg", "steps"),
    ("docs/pictures/halyard-throw.svg", "throw"),
];

/// Writes them all.
///
/// # Errors
/// The program fails, or a file cannot be written.
pub fn write(root: &Path) -> Result<(), String> {
    for (file, text) in all(root)? {
        fs::write(root.join(&file), text).map_err(|e| format!("{}: {e}", file.display()))?;
    }
    Ok(())
}

/// Those that are not what the code gives, a line each.
///
/// # Errors
/// The program fails.
pub fn stale(root: &Path) -> Result<Vec<String>, String> {
    Ok(differing(root, all(root)?))
}

fn differing(root: &Path, pages: Vec<(PathBuf, String)>) -> Vec<String> {
    let differs = |(file, text): &(PathBuf, String)| {
        fs::read_to_string(root.join(file)).ok().as_ref() != Some(text)
    };
    let line = |(file, _): &(PathBuf, String)| {
        format!("{}: not what the code gives; `cargo xtask pages` writes it", file.display())
    };
    pages.iter().filter(|page| differs(page)).map(line).collect()
}

fn all(root: &Path) -> Result<Vec<(PathBuf, String)>, String> {
    let mut pages = of_the_language(root)?;
    pages.extend(by_the_program(root)?);
    Ok(pages)
}

/// The pictures of `docs/design-text.md`, from its examples.
fn of_the_language(root: &Path) -> Result<Vec<(PathBuf, String)>, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let out = folder.path().display().to_string();
    cargo(root, &["plumbfold-draw", "--example", "reference_pictures", "--", &out])?;
    let mut pictures = Vec::new();
    for entry in fs::read_dir(folder.path()).map_err(|e| e.to_string())?.flatten() {
        let text = fs::read_to_string(entry.path()).map_err(|e| e.to_string())?;
        pictures.push((Path::new("docs/pictures").join(entry.file_name()), text));
    }
    Ok(pictures)
}

/// What the program itself writes.
fn by_the_program(root: &Path) -> Result<Vec<(PathBuf, String)>, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let made = |name: &str| folder.path().join(name).display().to_string();
    let mut pages = Vec::new();
    let mut take = |made: String, file: &str| {
        let text = fs::read_to_string(&made).map_err(|e| format!("{made}: {e}"))?;
        pages.push((PathBuf::from(file), text));
        Ok::<_, String>(())
    };
    program(root, &["validation", "-o", &made("validation.md")])?;
    take(made("validation.md"), "docs/validation.md")?;
    take(made("pictures/hand-rule.svg"), "docs/pictures/hand-rule.svg")?;
    let mut designs: Vec<String> = crate::sources::listed(root, Path::new("designs"))?
        .iter()
        .map(|path| path.display().to_string())
        .collect();
    designs.insert(0, "spoil".to_owned());
    designs.extend(["--table".to_owned(), made("mending.md")]);
    program(root, &designs.iter().map(String::as_str).collect::<Vec<_>>())?;
    take(made("mending.md"), "docs/mending.md")?;
    for (file, what) in README_PICTURES {
        let out = made(&format!("{what}.svg"));
        program(root, &["draw", "designs/halyard.plane", "--what", what, "-o", &out])?;
        take(out, file)?;
    }
    Ok(pages)
}

fn program(root: &Path, args: &[&str]) -> Result<(), String> {
    cargo(root, &[&["plumbfold-cli", "--"], args].concat())
}

/// Runs a program of the workspace.
fn cargo(root: &Path, package_and_args: &[&str]) -> Result<(), String> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let run = ["run", "--quiet", "--locked", "--package"];
    let out = Command::new(cargo).current_dir(root).args(run).args(package_and_args).output();
    let out = out.map_err(|e| e.to_string())?;
    if out.status.success() {
        return Ok(());
    }
    let said = String::from_utf8_lossy(&out.stderr);
    Err(format!("{}: {said}", package_and_args.join(" ")))
}
