//! The one folder the page may read and write, and only the design files in it.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::etag::fingerprint;
use crate::error::Error;
use crate::system::{DESIGN_BYTES_MAX, Form, Overwrite, System};

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
    /// Changes with the content, and is another for another file.
    pub version: String,
}

impl Kept {
    fn new(name: &str, text: String) -> Self {
        let version = fingerprint(format!("{name}\n{text}").as_bytes());
        Self { name: name.to_owned(), text, version }
    }
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
            .filter(|name| self.place(name).is_ok_and(|path| path.is_file()))
            .take(FILES_MAX)
            .collect();
        names.sort();
        names
    }

    /// Reads a design.
    pub fn read(&self, name: &str) -> Result<Kept, FolderError> {
        Ok(self.read_formed(name)?.0)
    }

    fn read_formed(&self, name: &str) -> Result<(Kept, Form), FolderError> {
        let path = self.place(name)?;
        if !path.is_file() {
            return Err(FolderError::Missing);
        }
        let source = quiet_system().read_design(&path).map_err(FolderError::Failed)?;
        Ok((Kept::new(name, source.text), source.form))
    }

    /// Writes a design, if the file still is what `seen` names: `None` for a file that must not
    /// be there yet.
    pub fn save(&self, name: &str, text: &str, seen: Option<&str>) -> Result<Kept, FolderError> {
        let path = self.place(name)?;
        if text.len() as u64 > DESIGN_BYTES_MAX || text.contains('\0') {
            let why = "a design is a text of at most 256 KiB";
            return Err(FolderError::Failed(Error::input(why)));
        }
        let _one_at_a_time = self.saving.lock().unwrap_or_else(PoisonError::into_inner);
        let _one_server = self.lock();
        let (now, form) = match self.read_formed(name) {
            Ok((kept, form)) => (Some(kept), form),
            Err(FolderError::Missing) => (None, Form::default()),
            Err(e) => return Err(e),
        };
        if now.as_ref().map(|k| k.version.as_str()) != seen {
            return Err(FolderError::Changed(now));
        }
        let overwrite = if now.is_some() { Overwrite::Yes } else { Overwrite::Never };
        quiet_system()
            .write(&path, form.dress(text).as_bytes(), overwrite)
            .map_err(FolderError::Failed)?;
        Ok(Kept::new(name, text.to_owned()))
    }

    /// Two servers on one folder compare and write one after the other. Where the disk has no
    /// locks, the one that compares last may win.
    fn lock(&self) -> Option<File> {
        let folder = File::open(&self.folder).ok()?;
        folder.lock().ok()?;
        Some(folder)
    }

    /// A port that is the same each time, so that the browser finds there what it kept.
    pub fn usual_port(&self) -> u16 {
        // Below those that systems hand out (Linux 32768 and up, IANA 49152 and up).
        const LOW: u16 = 20_000;
        const COUNT: u16 = 10_000;
        let path = self.folder.as_os_str().as_encoded_bytes();
        // 64-bit FNV-1a (Fowler, Noll and Vo), from memory: the same in every build.
        let step = |h: u64, &b: &u8| (h ^ u64::from(b)).wrapping_mul(0x0100_0000_01b3);
        let hash = path.iter().fold(0xcbf2_9ce4_8422_2325, step);
        LOW + (hash % u64::from(COUNT)) as u16
    }

    /// Where a file of this folder is; links that lead out of the folder are refused.
    fn place(&self, name: &str) -> Result<PathBuf, FolderError> {
        let path = self.folder.join(checked(name)?);
        if !self.folder.is_dir() {
            let gone = format!("the folder {} is no longer there", self.folder.display());
            return Err(FolderError::Failed(Error::input(gone)));
        }
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
    fn the_version_of_one_file_opens_no_other() {
        let folder = Folder::new("versions");
        let designs = DesignFolder::open(&folder.0).unwrap();
        let a = designs.save("a.plane", "plane A\n", None).unwrap();
        let b = designs.save("b.plane", "plane A\n", None).unwrap();
        assert_ne!(a.version, b.version, "even where both say the same");
        let crossed = designs.save("b.plane", "plane A2\n", Some(&a.version));
        assert!(matches!(crossed, Err(FolderError::Changed(Some(_)))));
    }

    #[test]
    fn of_two_servers_on_one_folder_none_loses_what_the_other_saved() {
        const SERVERS: usize = 2;
        const SAVES: usize = 60;
        let folder = Folder::new("servers");
        fs::write(folder.0.join("a.plane"), "").unwrap();
        let add = |server: usize| {
            let designs = DesignFolder::open(&folder.0).unwrap();
            for n in 0..SAVES {
                loop {
                    let seen = designs.read("a.plane").unwrap();
                    let text = format!("{}# {server} {n}\n", seen.text);
                    match designs.save("a.plane", &text, Some(&seen.version)) {
                        Ok(_) => break,
                        Err(FolderError::Changed(_)) => {}
                        Err(e) => panic!("{e:?}"),
                    }
                }
            }
        };
        std::thread::scope(|s| (0..SERVERS).for_each(|n| drop(s.spawn(move || add(n)))));
        let text = fs::read_to_string(folder.0.join("a.plane")).unwrap();
        assert_eq!(text.lines().count(), SERVERS * SAVES);
    }

    #[test]
    fn line_ends_and_marks_of_other_systems_survive() {
        let folder = Folder::new("crlf");
        let path = folder.0.join("a.plane");
        fs::write(&path, "\u{feff}plane A\r\nsheet A4\r\n").unwrap();
        let designs = DesignFolder::open(&folder.0).unwrap();
        let seen = designs.read("a.plane").unwrap();
        assert_eq!(seen.text, "plane A\nsheet A4\n");
        let saved = designs.save("a.plane", "plane B\nsheet A4\n", Some(&seen.version)).unwrap();
        assert_eq!(saved, designs.read("a.plane").unwrap());
        assert_eq!(fs::read_to_string(&path).unwrap(), "\u{feff}plane B\r\nsheet A4\r\n");
    }

    #[test]
    fn what_is_no_design_is_not_saved_and_a_folder_that_went_is_not_made_anew() {
        let folder = Folder::new("odd");
        let designs = DesignFolder::open(&folder.0).unwrap();
        let long = "#".repeat(DESIGN_BYTES_MAX as usize + 1);
        for text in ["a\0b", &long] {
            assert!(matches!(designs.save("a.plane", text, None), Err(FolderError::Failed(_))));
        }
        fs::create_dir(folder.0.join("b.plane")).unwrap();
        assert!(designs.list().is_empty(), "a directory is no design");
        fs::remove_dir_all(&folder.0).unwrap();
        assert!(matches!(designs.save("a.plane", "x", None), Err(FolderError::Failed(_))));
        assert!(!folder.0.exists());
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
