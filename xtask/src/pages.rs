//! Pages and pictures that follow from the code, byte for byte.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

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
    let built = Built::new(root)?;
    let mut pages = of_the_language(root, &built)?;
    pages.extend(by_the_program(root, &built)?);
    Ok(pages)
}

/// Programs as `cargo test --workspace` builds them: asked for one by one, packages are compiled
/// anew with other features, which takes minutes.
struct Built(HashMap<String, PathBuf>);

impl Built {
    fn new(root: &Path) -> Result<Self, String> {
        let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
        let build = ["test", "--workspace", "--no-run", "--locked", "--quiet"];
        let told = ["--message-format", "json-render-diagnostics"];
        let mut command = Command::new(cargo);
        command.current_dir(root).args(build).args(told).stderr(Stdio::inherit());
        let out = command.output().map_err(|e| e.to_string())?;
        if !out.status.success() {
            return Err("the workspace does not build".to_owned());
        }
        let artifact = |line: &str| -> Option<(String, PathBuf)> {
            let told: Value = serde_json::from_str(line).ok()?;
            let tested = told["profile"]["test"].as_bool()?;
            let (name, file) = (told["target"]["name"].as_str()?, told["executable"].as_str()?);
            (!tested).then(|| (name.to_owned(), PathBuf::from(file)))
        };
        Ok(Self(String::from_utf8_lossy(&out.stdout).lines().filter_map(artifact).collect()))
    }

    fn run(&self, root: &Path, name: &str, args: &[&str]) -> Result<(), String> {
        let program = self.0.get(name).ok_or_else(|| format!("{name} was not built"))?;
        let out = Command::new(program).current_dir(root).args(args).output();
        let out = out.map_err(|e| format!("{name}: {e}"))?;
        if out.status.success() {
            return Ok(());
        }
        Err(format!("{name} {}: {}", args.join(" "), String::from_utf8_lossy(&out.stderr)))
    }
}

/// The pictures of `docs/design-text.md`, from its examples.
fn of_the_language(root: &Path, built: &Built) -> Result<Vec<(PathBuf, String)>, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let out = folder.path().display().to_string();
    built.run(root, "reference_pictures", &[&out])?;
    let mut pictures = Vec::new();
    for entry in fs::read_dir(folder.path()).map_err(|e| e.to_string())?.flatten() {
        let text = fs::read_to_string(entry.path()).map_err(|e| e.to_string())?;
        pictures.push((Path::new("docs/pictures").join(entry.file_name()), text));
    }
    Ok(pictures)
}

/// What the program itself writes.
fn by_the_program(root: &Path, built: &Built) -> Result<Vec<(PathBuf, String)>, String> {
    let folder = tempfile::tempdir().map_err(|e| e.to_string())?;
    let program = |args: &[&str]| built.run(root, "plumbfold", args);
    let made = |name: &str| folder.path().join(name).display().to_string();
    let mut pages = Vec::new();
    let mut take = |made: String, file: &str| {
        let text = fs::read_to_string(&made).map_err(|e| format!("{made}: {e}"))?;
        pages.push((PathBuf::from(file), text));
        Ok::<_, String>(())
    };
    program(&["validation", "-o", &made("validation.md")])?;
    take(made("validation.md"), "docs/validation.md")?;
    take(made("pictures/hand-rule.svg"), "docs/pictures/hand-rule.svg")?;
    let mut designs: Vec<String> = crate::sources::listed(root, Path::new("designs"))?
        .iter()
        .filter(|path| path.extension().is_some_and(|e| e == "plane"))
        .map(|path| path.display().to_string())
        .collect();
    designs.insert(0, "spoil".to_owned());
    designs.extend(["--table".to_owned(), made("mending.md")]);
    program(&designs.iter().map(String::as_str).collect::<Vec<_>>())?;
    take(made("mending.md"), "docs/mending.md")?;
    for (file, what) in README_PICTURES {
        let out = made(&format!("{what}.svg"));
        program(&["draw", "designs/halyard.plane", "--what", what, "-o", &out])?;
        take(out, file)?;
    }
    Ok(pages)
}
