//! A file written whole or not at all: to a new file beside it, which takes the place of the old
//! one when all of it is on the disk. Whatever interrupts this leaves the old file as it was.

use std::fs::{self, File, Metadata, OpenOptions};
use std::hash::{BuildHasher, RandomState};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// How the new file is called until it takes its place: a dot, 16 hexadecimal digits, and this.
const ENDING: &str = ".plumbfold-tmp";
/// Writing takes far less: what is older was left behind by a program that was ended.
const STALE_AFTER: Duration = Duration::from_secs(600);
/// Names tried before giving up; a second one is hardly ever needed.
const NAMES_MAX: usize = 8;

/// Writes a file. With `fresh` there must be none yet, not even one made in this moment.
///
/// # Errors
/// What the system says; and a target that is a link, a pipe or anything else than a file, or that
/// may not be written to, is refused.
pub fn write(path: &Path, bytes: &[u8], fresh: bool) -> io::Result<()> {
    let old = match fs::symlink_metadata(path) {
        Ok(old) => Some(old),
        Err(e) if e.kind() == ErrorKind::NotFound => None,
        Err(e) => return Err(e),
    };
    if let Some(old) = &old {
        may_be_replaced(old)?;
    }
    let dir = path.parent().filter(|d| !d.as_os_str().is_empty()).unwrap_or(Path::new("."));
    sweep(dir);
    let (beside, file) = beside(dir)?;
    let written = fill(file, bytes, old.as_ref()).and_then(|()| take_place(&beside, path, fresh));
    if written.is_err() {
        // Best effort: the write has failed already and that is what must be told.
        let _ = fs::remove_file(&beside);
    }
    written.and_then(|()| on_disk(dir))
}

fn may_be_replaced(old: &Metadata) -> io::Result<()> {
    let why = match old {
        m if m.is_symlink() => "it is a link; name the file it leads to",
        m if m.is_dir() => "it is a directory",
        m if !m.is_file() => "it is not a file but a device or a pipe",
        m if m.permissions().readonly() => "it may only be read",
        _ => return Ok(()),
    };
    Err(io::Error::new(ErrorKind::PermissionDenied, why))
}

/// A new file that nobody else has, in the same directory, so that it can be renamed.
fn beside(dir: &Path) -> io::Result<(PathBuf, File)> {
    let mut last = ErrorKind::AlreadyExists.into();
    for _ in 0..NAMES_MAX {
        let random = RandomState::new().hash_one(std::process::id());
        let path = dir.join(format!(".{random:016x}{ENDING}"));
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(file) => return Ok((path, file)),
            Err(e) if e.kind() == ErrorKind::AlreadyExists => last = e,
            Err(e) => return Err(e),
        }
    }
    Err(last)
}

/// Readable by those who could read the old one before a byte is in it.
fn fill(mut file: File, bytes: &[u8], old: Option<&Metadata>) -> io::Result<()> {
    if let Some(old) = old {
        file.set_permissions(old.permissions())?;
    }
    file.write_all(bytes)?;
    file.sync_all()
}

fn take_place(beside: &Path, path: &Path, fresh: bool) -> io::Result<()> {
    if fresh {
        // A second name is only given where there is none; renaming would replace.
        match fs::hard_link(beside, path) {
            Ok(()) => {
                // The file is there under its own name; the other is swept away later at worst.
                let _ = fs::remove_file(beside);
                return Ok(());
            }
            Err(e) if e.kind() == ErrorKind::AlreadyExists => return Err(e),
            // Some disks know no second names.
            Err(_) if path.exists() => return Err(ErrorKind::AlreadyExists.into()),
            Err(_) => {}
        }
    }
    fs::rename(beside, path)
}

/// The directory's own entry survives a power cut too.
fn on_disk(dir: &Path) -> io::Result<()> {
    #[cfg(unix)]
    match File::open(dir)?.sync_all() {
        // Some network disks have nothing to flush.
        Err(e) if e.kind() == ErrorKind::InvalidInput => {}
        other => other?,
    }
    #[cfg(not(unix))]
    let _ = dir;
    Ok(())
}

/// Removes what programs that were ended have left behind.
fn sweep(dir: &Path) {
    let Ok(entries) = fs::read_dir(dir) else { return };
    let left = |name: &str| {
        let digits = name.strip_prefix('.').and_then(|n| n.strip_suffix(ENDING));
        digits.is_some_and(|d| d.len() == 16 && d.bytes().all(|b| b.is_ascii_hexdigit()))
    };
    for entry in entries.flatten().filter(|e| e.file_name().to_str().is_some_and(left)) {
        let age = entry.metadata().and_then(|m| m.modified()).map(|at| at.elapsed());
        // A clock that was set back makes it young: it stays until the next time.
        if matches!(age, Ok(Ok(age)) if age > STALE_AFTER) {
            // Best effort: it harms nobody.
            let _ = fs::remove_file(entry.path());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder() -> tempfile::TempDir {
        tempfile::tempdir().unwrap()
    }
    fn names(dir: &Path) -> Vec<String> {
        let names = fs::read_dir(dir).unwrap().flatten();
        names.map(|e| e.file_name().to_string_lossy().into_owned()).collect()
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let dir = folder();
        let path = dir.path().join("a.plane");
        write(&path, b"one", true).unwrap();
        write(&path, b"two", false).unwrap();
        assert_eq!(fs::read(&path).unwrap(), b"two");
        let again = write(&path, b"three", true).unwrap_err();
        assert_eq!(again.kind(), ErrorKind::AlreadyExists);
        assert_eq!(fs::read(&path).unwrap(), b"two");
        assert_eq!(names(dir.path()), ["a.plane"]);
    }

    #[test]
    fn stale_leftovers_are_swept_and_young_ones_are_somebody_elses() {
        let dir = folder();
        let left = |name: &str, minutes: u64| {
            let file = File::create(dir.path().join(name)).unwrap();
            let then = std::time::SystemTime::now() - Duration::from_secs(60 * minutes);
            file.set_modified(then).unwrap();
        };
        left(".0123456789abcdef.plumbfold-tmp", 11);
        left(".0123456789abcdee.plumbfold-tmp", 1);
        left(".mine.plumbfold-tmp", 11);
        write(&dir.path().join("a"), b"", false).unwrap();
        let mut names = names(dir.path());
        names.sort();
        assert_eq!(names, [".0123456789abcdee.plumbfold-tmp", ".mine.plumbfold-tmp", "a"]);
    }

    #[cfg(unix)]
    #[test]
    fn the_mode_stays_and_links_pipes_and_what_may_only_be_read_are_refused() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let dir = folder();
        let path = dir.path().join("a");
        write(&path, b"one", false).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
        write(&path, b"two", false).unwrap();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
        let link = dir.path().join("link");
        symlink(&path, &link).unwrap();
        assert!(write(&link, b"x", false).unwrap_err().to_string().contains("link"));
        assert!(write(Path::new("/dev/null"), b"x", false).is_err());
        assert!(write(dir.path(), b"x", false).is_err());
        fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).unwrap();
        assert!(write(&path, b"x", false).unwrap_err().to_string().contains("read"));
        assert_eq!(fs::read(&path).unwrap(), b"two");
    }
}
