//! The one folder the page may read and write, and only the design files in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::assets::fingerprint;
use crate::error::Error;
use crate::system::{Overwrite, System};

/// Most files listed.
const FILES_MAX: usize = 500;
/// Longest name of a file.
const NAME_CHARS_MAX: usize = 100;

/// A folder of designs.
#[derive(Debug)]
pub struct DesignFolder {
    folder: PathBuf,
    /// File to open first.
    pub first: Option<String>,
    /// Comparing and writing must not be parted by another save.
    saving: Mutex<()>,
}

/// A text and its version.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Kept {
    /// File name in the folder.
    pub name: String,
    /// Content.
    pub text: String,
    /// Changes with the content.
    pub version: String,
}

/// Why a file is not read or written.
#[derive(Debug)]
pub enum FolderError {
    /// The name is not that of a design in this folder.
    Name(&'static str),
    /// No such file.
    Missing,
    /// The file is not what the page last saw; here is what it is now, if it is there.
    Changed(Option<Kept>),
    /// The system refused, or the file is no design text.
    Failed(Error),
}

impl DesignFolder {
    /// The folder, or the folder of the file.
    pub fn open(path: &Path) -> Result<Self, Error> {
        let full = fs::canonicalize(path)
            .map_err(|e| Error::unreadable(&path.display().to_string(), &e))?;
        let saving = Mutex::new(());
        if full.is_dir() {
            return Ok(Self { folder: full, first: None, saving });
        }
        let first = full.file_name().map(|n| n.to_string_lossy().into_owned());
        let first = first.filter(|name| checked(name).is_ok()).ok_or_else(|| {
            Error::input(format!("{} is not a `.plane` file", path.display()))
                .hint("give a design, or the folder that holds designs")
        })?;
        let folder = full.parent().map(Path::to_owned).unwrap_or_default();
        Ok(Self { folder, first: Some(first), saving })
    }

    /// Name of the folder, for people.
    pub fn folder_name(&self) -> String {
        self.folder.display().to_string()
    }

    /// Designs in the folder by name.
    pub fn list(&self) -> Vec<String> {
        let Ok(entries) = fs::read_dir(&self.folder) else { return Vec::new() };
        let mut names: Vec<String> = entries
            .filter_map(|e| e.ok()?.file_name().into_string().ok())
            .filter(|name| checked(name).is_ok() && self.place(name).is_ok())
            .take(FILES_MAX)
            .collect();
        names.sort();
        names
    }

    /// Reads a design.
    pub fn read(&self, name: &str) -> Result<Kept, FolderError> {
        let path = self.place(name)?;
        if !path.is_file() {
            return Err(FolderError::Missing);
        }
        let source = quiet_system().read_design(&path).map_err(FolderError::Failed)?;
        let version = fingerprint(source.text.as_bytes());
        Ok(Kept { name: name.to_owned(), text: source.text, version })
    }

    /// Writes a design, if the file still is what `seen` names: `None` for a file that must not
    /// be there yet.
    pub fn save(&self, name: &str, text: &str, seen: Option<&str>) -> Result<Kept, FolderError> {
        let path = self.place(name)?;
        let _one_at_a_time = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let now = match self.read(name) {
            Ok(kept) => Some(kept),
            Err(FolderError::Missing) => None,
            Err(e) => return Err(e),
        };
        if now.as_ref().map(|k| k.version.as_str()) != seen {
            return Err(FolderError::Changed(now));
        }
        quiet_system()
            .write(&path, text.as_bytes(), Overwrite::Yes)
            .map_err(FolderError::Failed)?;
        let version = fingerprint(text.as_bytes());
        Ok(Kept { name: name.to_owned(), text: text.to_owned(), version })
    }

    /// Where a file of this folder is; links that lead out of the folder are refused.
    fn place(&self, name: &str) -> Result<PathBuf, FolderError> {
        let path = self.folder.join(checked(name)?);
        match fs::canonicalize(&path) {
            Ok(full) if full.parent() != Some(&self.folder) => {
                Err(FolderError::Name("the file is a link that leads out of the folder"))
            }
            Err(_) if path.is_symlink() => Err(FolderError::Name("the file is a broken link")),
            _ => Ok(path),
        }
    }
}

/// Reads and writes without printing.
fn quiet_system() -> System {
    System::new(anstream::ColorChoice::Never)
}

/// A plain file name that ends in `.plane`.
fn checked(name: &str) -> Result<&str, FolderError> {
    let stem = name
        .strip_suffix(".plane")
        .ok_or(FolderError::Name("the name of a design ends in `.plane`"))?;
    if stem.is_empty() || name.chars().count() > NAME_CHARS_MAX {
        return Err(FolderError::Name("the name is empty or too long"));
    }
    let odd = |c: char| {
        c.is_control() || matches!(c, '/' | '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|')
    };
    if name.starts_with('.') || name.contains(odd) {
        return Err(FolderError::Name("the name must be a plain file name, without folders"));
    }
    Ok(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder of its own for each test, removed at the end.
    struct Folder(PathBuf);
    impl Folder {
        fn new(test: &str) -> Self {
            let path = std::env::temp_dir()
                .join(format!("plumbfold-designs-{test}-{}", std::process::id()));
            fs::create_dir_all(&path).unwrap();
            Self(path)
        }
    }
    impl Drop for Folder {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    #[test]
    fn two_tabs_cannot_overwrite_each_other() {
        let folder = Folder::new("tabs");
        let designs = DesignFolder::open(&folder.0).unwrap();
        let first = designs.save("a.plane", "plane A\n", None).unwrap();
        let second = designs.save("a.plane", "plane B\n", Some(&first.version)).unwrap();
        let late = designs.save("a.plane", "plane C\n", Some(&first.version));
        match late {
            Err(FolderError::Changed(Some(now))) => assert_eq!(now, second),
            other => panic!("{other:?}"),
        }
        assert!(matches!(designs.save("a.plane", "x", None), Err(FolderError::Changed(Some(_)))));
        assert_eq!(designs.read("a.plane").unwrap().text, "plane B\n");
    }

    #[test]
    fn an_edit_from_outside_is_kept() {
        let folder = Folder::new("outside");
        let designs = DesignFolder::open(&folder.0).unwrap();
        let ours = designs.save("a.plane", "plane A\n", None).unwrap();
        fs::write(folder.0.join("a.plane"), "plane Other\n").unwrap();
        assert!(matches!(
            designs.save("a.plane", "plane A2\n", Some(&ours.version)),
            Err(FolderError::Changed(Some(now))) if now.text == "plane Other\n"
        ));
        fs::remove_file(folder.0.join("a.plane")).unwrap();
        assert!(matches!(
            designs.save("a.plane", "plane A2\n", Some(&ours.version)),
            Err(FolderError::Changed(None))
        ));
    }

    #[test]
    fn no_path_leads_out_of_the_folder() {
        let folder = Folder::new("out");
        let inner = folder.0.join("inner");
        fs::create_dir_all(&inner).unwrap();
        fs::write(folder.0.join("secret.plane"), "plane Secret\n").unwrap();
        let designs = DesignFolder::open(&inner).unwrap();
        let long = format!("{}.plane", "a".repeat(300));
        for name in [
            "../secret.plane",
            "..\\secret.plane",
            "/etc/passwd",
            "a/b.plane",
            "",
            ".plane",
            ".hidden.plane",
            "x.txt",
            "c:evil.plane",
            "nul\0.plane",
            &long,
        ] {
            assert!(matches!(designs.read(name), Err(FolderError::Name(_))), "{name:?}");
            assert!(matches!(designs.save(name, "x", None), Err(FolderError::Name(_))), "{name:?}");
        }
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("../secret.plane", inner.join("link.plane")).unwrap();
            assert!(matches!(designs.read("link.plane"), Err(FolderError::Name(_))));
            assert!(designs.list().is_empty());
        }
    }

    #[test]
    fn a_file_opens_its_folder() {
        let folder = Folder::new("file");
        fs::write(folder.0.join("b.plane"), "plane B\n").unwrap();
        fs::write(folder.0.join("note.txt"), "").unwrap();
        let designs = DesignFolder::open(&folder.0.join("b.plane")).unwrap();
        assert_eq!(designs.first.as_deref(), Some("b.plane"));
        assert_eq!(designs.list(), ["b.plane"]);
        assert!(DesignFolder::open(&folder.0.join("note.txt")).is_err());
        assert!(DesignFolder::open(&folder.0.join("missing.plane")).is_err());
    }
}
