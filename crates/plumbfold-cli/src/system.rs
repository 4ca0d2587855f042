//! The only file that touches files and the terminal.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, ErrorKind, IsTerminal, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use anstream::{AutoStream, ColorChoice};

use plumbfold::design::limits::MAX_TEXT_BYTES;
use plumbfold_draw::units::{Units, in_inches};

use plumbfold_view::calibrated::InUse;

use crate::error::Error;
use crate::report::{Rows, WIDTH};
use crate::terminal::harmless;
use crate::whole_file;

/// Largest design text read. A long design is some 5 kB; the limit keeps a wrong file name
/// (a photo, a disk image) from being read to the end.
pub const DESIGN_BYTES_MAX: u64 = MAX_TEXT_BYTES as u64;

/// Largest photo file read: a phone's largest takes some 30 MB.
const PHOTO_BYTES_MAX: u64 = 100_000_000;

/// What messages call a text given as `-`.
const STANDARD_INPUT: &str = "standard input";

/// A text and the name people know it by.
pub struct Source {
    /// As given on the command line; `standard input` for `-`.
    pub name: String,
    /// Its text, lines ending in `\n`.
    pub text: String,
    /// How the file has it.
    pub form: Form,
}

/// What editors on other systems put into a text file and want to find there again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Form {
    /// A byte order mark.
    marked: bool,
    /// Every line ends in `\r\n`.
    crlf: bool,
}

impl Form {
    /// The text without, and what was taken off.
    fn undress(raw: String) -> (String, Self) {
        let marked = raw.starts_with(MARK);
        let ends = raw.matches('\n').count();
        let crlf = ends > 0 && raw.matches("\r\n").count() == ends;
        let text = raw.strip_prefix(MARK).map(str::to_owned).unwrap_or(raw);
        (if crlf { text.replace("\r\n", "\n") } else { text }, Self { marked, crlf })
    }

    /// The text as the file has it.
    pub fn dress(self, text: &str) -> String {
        let text = if self.crlf { text.replace('\n', "\r\n") } else { text.to_owned() };
        if self.marked { format!("{MARK}{text}") } else { text }
    }
}

const MARK: char = '\u{feff}';

impl Source {
    /// Whether it was given as `-`.
    pub fn is_standard_input(&self) -> bool {
        self.name == STANDARD_INPUT
    }

    /// Short name for files made from it: `designs/halyard.plane` gives `halyard`.
    pub fn stem(&self) -> String {
        let stem = Path::new(&self.name).file_stem().unwrap_or_default().to_string_lossy();
        stem.replace(char::is_whitespace, "-")
    }
}

/// What may be written over without `--force`.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Overwrite {
    /// Nothing.
    Never,
    /// Pictures, pages and models this program made.
    Ours,
    /// The file that was named to be changed.
    Yes,
}

/// Files, standard output (answers) and standard error (messages).
pub struct System {
    out: AutoStream<io::Stdout>,
    err: AutoStream<io::Stderr>,
    /// The reader of our answers has gone (`plumbfold … | head -1`): not a mistake.
    reader_gone: bool,
    /// Width of reports, columns.
    width: usize,
    /// What lengths in reports are told in.
    units: Units,
    /// The user said that files may be written over.
    force: bool,
    /// What measurements made of the prediction, where this run's answer counts with it.
    calibrated: Vec<InUse>,
    /// Written in this run.
    written: Mutex<BTreeSet<PathBuf>>,
}

impl System {
    /// Colours as asked; `Auto` obeys `NO_COLOR` and is off when the stream is not a terminal.
    pub fn new(color: ColorChoice) -> Self {
        Self {
            out: AutoStream::new(io::stdout(), color),
            err: AutoStream::new(io::stderr(), color),
            reader_gone: false,
            width: width(),
            units: Units::Mm,
            force: false,
            calibrated: Vec::new(),
            written: Mutex::default(),
        }
    }

    /// With lengths told in other units.
    pub fn telling(self, units: Units) -> Self {
        Self { units, ..self }
    }

    /// Writing over what is there.
    pub fn forcing(self, force: bool) -> Self {
        Self { force, ..self }
    }

    /// Reads a design text; `-` is standard input.
    pub fn read_design(&self, path: &Path) -> Result<Source, Error> {
        if path.is_dir() {
            let name = path.display();
            let inside = path.join("*.plane");
            return Err(Error::input(format!(
                "{name} is a folder: name a design in it, or all with {}",
                inside.display()
            )));
        }
        let (name, bytes) = if path == Path::new("-") {
            (STANDARD_INPUT.to_owned(), read_limited(io::stdin().lock()))
        } else {
            (path.display().to_string(), fs::File::open(path).and_then(read_limited))
        };
        let bytes = bytes.map_err(|e| Error::unreadable(&name, &e))?;
        if bytes.len() as u64 > DESIGN_BYTES_MAX {
            return Err(Error::input(format!(
                "{name} is larger than {DESIGN_BYTES_MAX} bytes, the limit for a design text"
            ))
            .hint("is it a `.plane` file? A long design takes about 5000 bytes"));
        }
        if bytes.contains(&0) {
            return Err(Error::input(format!("{name} is not a text, so it is no design")));
        }
        let text = String::from_utf8(bytes).map_err(|e| {
            let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
            let line = before.iter().filter(|&&b| b == b'\n').count() + 1;
            Error::input(format!("{name}, line {line}: a letter that is not UTF-8"))
                .hint("save the file as UTF-8")
        })?;
        let (text, form) = Form::undress(text);
        Ok(Source { name, text, form })
    }

    /// Reads a file of records or points; `-` is standard input.
    pub fn read_text(&self, path: &Path) -> Result<String, Error> {
        let (name, bytes) = if path == Path::new("-") {
            (STANDARD_INPUT.to_owned(), read_at_most(io::stdin().lock(), RECORDS_BYTES_MAX))
        } else {
            let read = |f| read_at_most(f, RECORDS_BYTES_MAX);
            (path.display().to_string(), fs::File::open(path).and_then(read))
        };
        let bytes = bytes.map_err(|e| Error::unreadable(&name, &e))?;
        if bytes.len() as u64 > RECORDS_BYTES_MAX {
            let message = format!("{name} is larger than {RECORDS_BYTES_MAX} bytes");
            return Err(Error::input(message));
        }
        // How such files begin (SQLite file format, section 1.3).
        let hint = match bytes.starts_with(b"SQLite format 3\0") {
            true => "a notebook or its backup: `plumbfold log restore FILE` takes it in",
            false => "save the table as CSV in UTF-8",
        };
        String::from_utf8(bytes)
            .map_err(|_| Error::input(format!("{name} is no text in UTF-8")).hint(hint))
    }

    /// Reads a photo, to know it again.
    pub fn read_photo(&self, path: &Path) -> Result<Vec<u8>, Error> {
        let name = path.display().to_string();
        let read = |f| read_at_most(f, RECORDS_BYTES_MAX);
        fs::File::open(path).and_then(read).map_err(|e| Error::unreadable(&name, &e))
    }

    /// Lines typed or piped in.
    pub fn lines(&self) -> impl Iterator<Item = String> + use<> {
        io::stdin().lines().map_while(Result::ok)
    }

    /// Asks on standard error; what was answered, none at the end.
    pub fn ask(&mut self, question: &str) -> Option<String> {
        self.message(&format!("{question}: "));
        self.lines().next().map(|l| l.trim().to_owned())
    }

    /// Whether somebody sits there to be asked.
    pub fn can_ask(&self) -> bool {
        io::stdin().is_terminal()
    }

    /// Reads a photo to look at, and its name; `-` is standard input.
    pub fn read_picture(&self, path: &Path) -> Result<(String, Vec<u8>), Error> {
        if path.is_dir() {
            return Err(Error::input(format!(
                "{} is a folder: name a photo in it",
                path.display()
            )));
        }
        let mut bytes = Vec::new();
        let (name, read) = if path == Path::new("-") {
            let from = io::stdin().lock().take(PHOTO_BYTES_MAX + 1).read_to_end(&mut bytes);
            (STANDARD_INPUT.to_owned(), from)
        } else {
            let file = fs::File::open(path);
            let from = file.and_then(|f| f.take(PHOTO_BYTES_MAX + 1).read_to_end(&mut bytes));
            (path.display().to_string(), from)
        };
        read.map_err(|e| Error::unreadable(&name, &e))?;
        if bytes.len() as u64 > PHOTO_BYTES_MAX {
            let most = PHOTO_BYTES_MAX / 1_000_000;
            return Err(Error::input(format!(
                "{name} is larger than {most} MB, the limit for a photo"
            )));
        }
        Ok((name, bytes))
    }

    /// Writes a whole file or nothing.
    pub fn write(&self, path: &Path, bytes: &[u8], overwrite: Overwrite) -> Result<(), Error> {
        let exists = fs::symlink_metadata(path).is_ok();
        let kept = || {
            Error::input(format!("{} exists and is left as it is", path.display()))
                .hint("give another name, or --force to write over it")
        };
        let may = self.force || may_replace(path, overwrite);
        if path.is_dir() {
            return Err(Error::input(format!("{} is a folder", path.display()))
                .hint("give the name of a file in it"));
        }
        if exists && !may {
            return Err(kept());
        }
        let failed = |e: io::Error| Error::unwritable(path, &e);
        if let Some(dir) = path.parent().filter(|d| !d.as_os_str().is_empty()) {
            fs::create_dir_all(dir).map_err(failed)?;
        }
        // Two designs of one name would share their pictures.
        let full = std::path::absolute(path).map_err(failed)?;
        if !self.written.lock().unwrap_or_else(PoisonError::into_inner).insert(full) {
            return Err(Error::input(format!("{} was written for another design", path.display()))
                .hint(
                    "two designs of one name: give them one at a time, each with its own --out",
                ));
        }
        whole_file::write(path, bytes, !may).map_err(|e| match e.kind() {
            ErrorKind::AlreadyExists => kept(),
            _ => failed(e),
        })
    }

    /// Whether two names stand for one file that is there.
    pub fn same_file(&self, a: &Path, b: &Path) -> bool {
        let [a, b] = [a, b].map(|p| fs::canonicalize(p).ok());
        a.is_some() && a == b
    }

    /// An answer, on standard output, as bytes.
    pub fn answer_bytes(&mut self, bytes: &[u8]) -> Result<(), Error> {
        if self.reader_gone {
            return Ok(());
        }
        match self.out.write_all(bytes).and_then(|()| self.out.flush()) {
            Err(e) if e.kind() == ErrorKind::BrokenPipe => {
                self.reader_gone = true;
                Ok(())
            }
            other => other.map_err(|e| Error::unwritable(Path::new("standard output"), &e)),
        }
    }

    /// An answer, on standard output. A file gets it as it is, a terminal what does it no harm.
    pub fn answer(&mut self, text: &str) -> Result<(), Error> {
        match io::stdout().is_terminal() {
            true => self.answer_bytes(harmless(text).as_bytes()),
            false => self.answer_bytes(text.as_bytes()),
        }
    }

    /// The answer to come counts with a calibration.
    pub fn count_with(&mut self, calibrated: InUse) {
        self.calibrated.push(calibrated);
    }

    /// The calibrations of this answer, to be told with it.
    pub fn counted_with(&mut self) -> Vec<InUse> {
        std::mem::take(&mut self.calibrated)
    }

    /// A report, on standard output, as wide as the terminal.
    pub fn report(&mut self, rows: &Rows) -> Result<(), Error> {
        let counted = self.counted_with();
        let rows = rows.clone().calibrated(&counted);
        let rows = match self.units {
            Units::Mm => rows,
            Units::Inch => rows.told(in_inches),
        };
        self.answer(&harmless(&rows.to_text(self.width)))
    }

    /// A message, on standard error. Nothing can be done where even that fails.
    pub fn message(&mut self, text: &str) {
        let _ = self.err.write_all(harmless(text).as_bytes()).and_then(|()| self.err.flush());
    }
}

/// The command as it was typed, so that it can be typed again.
pub fn typed() -> String {
    let quoted = |word: String| match word.contains(char::is_whitespace) {
        true => format!("\"{word}\""),
        false => word,
    };
    let words = std::env::args().skip(1).map(quoted);
    std::iter::once("plumbfold".to_owned()).chain(words).collect::<Vec<_>>().join(" ")
}

/// That of the terminal; where there is none what `COLUMNS` says, as shells do.
fn width() -> usize {
    let terminal = terminal_size::terminal_size_of(io::stdout()).map(|(w, _)| usize::from(w.0));
    let said = || std::env::var("COLUMNS").ok()?.parse().ok();
    terminal.or_else(said).unwrap_or(WIDTH)
}

/// The file of saved options and what it says; none where there is none.
///
/// # Errors
/// One that is there and cannot be read.
pub fn saved_options() -> Result<Option<(String, String)>, Error> {
    let dir = |name: &str| std::env::var_os(name).filter(|d| !d.is_empty()).map(PathBuf::from);
    let home = || Some(dir("HOME")?.join(".config"));
    // XDG Base Directory Specification 0.8; on Windows where programs keep their settings.
    let Some(dir) = dir("XDG_CONFIG_HOME").or_else(home).or_else(|| dir("APPDATA")) else {
        return Ok(None);
    };
    let path = dir.join("plumbfold").join("config");
    let name = path.display().to_string();
    match fs::read_to_string(&path) {
        Ok(text) => Ok(Some((name, text))),
        Err(e) if matches!(e.kind(), ErrorKind::NotFound | ErrorKind::NotADirectory) => Ok(None),
        Err(e) => Err(Error::unreadable(&name, &e)),
    }
}

/// The notebook that `PLUMBFOLD_NOTEBOOK` names, or that at the standard place; none without a home.
pub fn notebook_path() -> Option<PathBuf> {
    let var = |name: &str| std::env::var_os(name).filter(|d| !d.is_empty()).map(PathBuf::from);
    // XDG Base Directory Specification 0.8; on Windows where programs keep their data.
    let home = || Some(var("HOME")?.join(".local").join("share"));
    let data = || var("XDG_DATA_HOME").or_else(home).or_else(|| var("APPDATA"));
    var("PLUMBFOLD_NOTEBOOK").or_else(|| Some(data()?.join("plumbfold").join("notebook.db")))
}

/// A number nobody chose.
pub fn any_number() -> u64 {
    let since = std::time::SystemTime::UNIX_EPOCH.elapsed().unwrap_or_default();
    u64::from(since.subsec_nanos()) % 100_000
}

/// Largest file of records taken in, bytes.
const RECORDS_BYTES_MAX: u64 = 500_000_000;

fn read_limited(from: impl Read) -> io::Result<Vec<u8>> {
    read_at_most(from, DESIGN_BYTES_MAX)
}

/// One byte more than the most, where there are more.
fn read_at_most(from: impl Read, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(most + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A mark every picture of ours carries near its beginning (SVG comment, PNG text chunk).
pub const PICTURE_MARK: &str = "made by plumbfold";

fn may_replace(path: &Path, overwrite: Overwrite) -> bool {
    match overwrite {
        Overwrite::Never => false,
        Overwrite::Yes => true,
        // A pipe would be waited for.
        Overwrite::Ours if !path.is_file() => false,
        Overwrite::Ours => {
            let mut head = [0; 512];
            let read = fs::File::open(path).and_then(|mut f| f.read(&mut head));
            let mark = PICTURE_MARK.as_bytes();
            read.is_ok_and(|n| head[..n].windows(mark.len()).any(|w| w == mark))
        }
    }
}
