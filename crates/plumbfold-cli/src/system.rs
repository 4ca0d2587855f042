//! The only file that touches files and the terminal.

use std::fs;
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use anstream::{AutoStream, ColorChoice};

use crate::error::Error;

/// Largest design text read. A long design is some 5 kB; the limit keeps a wrong file name
/// (a photo, a disk image) from being read to the end.
pub const DESIGN_BYTES_MAX: u64 = 1_000_000;

/// A text and the name people know it by.
pub struct Source {
    /// As given on the command line; `standard input` for `-`.
    pub name: String,
    /// Its text.
    pub text: String,
}

impl Source {
    /// Short name for files made from it: `designs/halyard.plane` gives `halyard`.
    pub fn stem(&self) -> String {
        let stem = Path::new(&self.name).file_stem().unwrap_or_default().to_string_lossy();
        stem.replace(char::is_whitespace, "-")
    }
}

/// What may be overwritten.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Overwrite {
    /// Nothing.
    Never,
    /// Pictures this program made.
    OwnPictures,
    /// The user said so.
    Yes,
}

/// Files, standard output (answers) and standard error (messages).
pub struct System {
    out: AutoStream<io::Stdout>,
    err: AutoStream<io::Stderr>,
    /// The reader of our answers has gone (`plumbfold … | head -1`): not a mistake.
    reader_gone: bool,
}

impl System {
    /// Colours as asked; `Auto` obeys `NO_COLOR` and is off when the stream is not a terminal.
    pub fn new(color: ColorChoice) -> Self {
        Self {
            out: AutoStream::new(io::stdout(), color),
            err: AutoStream::new(io::stderr(), color),
            reader_gone: false,
        }
    }

    /// Reads a design text; `-` is standard input.
    pub fn read_design(&self, path: &Path) -> Result<Source, Error> {
        let (name, bytes) = if path == Path::new("-") {
            ("standard input".to_owned(), read_limited(io::stdin().lock()))
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
        if let Some(at) = bytes.iter().position(|&b| b == 0) {
            return Err(Error::input(format!("{name} is not a text: byte {} is zero", at + 1))
                .hint("give a `.plane` file; `plumbfold new` writes one to start from"));
        }
        let text = String::from_utf8(bytes).map_err(|e| {
            let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
            let line = before.iter().filter(|&&b| b == b'\n').count() + 1;
            Error::input(format!("{name} is not UTF-8 text: line {line} has a stray byte"))
                .hint("save the file as UTF-8")
        })?;
        let text = text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text);
        Ok(Source { name, text })
    }

    /// Writes a whole file or nothing: to a temporary file beside it, then renamed.
    pub fn write(&self, path: &Path, bytes: &[u8], overwrite: Overwrite) -> Result<(), Error> {
        // A link stays a link; what it points to is replaced.
        let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let exists = target.exists();
        if exists && !may_replace(&target, overwrite) {
            return Err(Error::input(format!("{} exists and is left as it is", path.display()))
                .hint("give another name, or --force to write over it"));
        }
        let failed = |e: io::Error| Error::unwritable(path, &e);
        if let Some(dir) = target.parent().filter(|d| !d.as_os_str().is_empty()) {
            fs::create_dir_all(dir).map_err(failed)?;
        }
        let mut temporary = target.clone().into_os_string();
        temporary.push(format!(".{}.tmp", std::process::id()));
        let temporary = PathBuf::from(temporary);
        let written = fs::write(&temporary, bytes).and_then(|()| {
            if exists {
                fs::set_permissions(&temporary, fs::metadata(&target)?.permissions())?;
            }
            fs::rename(&temporary, &target)
        });
        written.map_err(|e| {
            // Best effort: the write has failed already and that is what the user must hear.
            let _ = fs::remove_file(&temporary);
            failed(e)
        })
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

    /// An answer, on standard output.
    pub fn answer(&mut self, text: &str) -> Result<(), Error> {
        self.answer_bytes(text.as_bytes())
    }

    /// A message, on standard error. Nothing can be done where even that fails.
    pub fn message(&mut self, text: &str) {
        let _ = self.err.write_all(text.as_bytes()).and_then(|()| self.err.flush());
    }
}

fn read_limited(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(DESIGN_BYTES_MAX + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// A mark every picture of ours carries near its beginning (SVG comment, PNG text chunk).
pub const PICTURE_MARK: &str = "made by plumbfold";

fn may_replace(path: &Path, overwrite: Overwrite) -> bool {
    match overwrite {
        Overwrite::Never => false,
        Overwrite::Yes => true,
        Overwrite::OwnPictures => {
            let mut head = [0; 512];
            let read = fs::File::open(path).and_then(|mut f| f.read(&mut head));
            let mark = PICTURE_MARK.as_bytes();
            read.is_ok_and(|n| head[..n].windows(mark.len()).any(|w| w == mark))
        }
    }
}
