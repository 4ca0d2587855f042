//! What went wrong, whose fault it was, and what to do about it.

use std::fmt::Write as _;
use std::io;
use std::path::Path;

use plumbfold_view::mistake::Mistake;

use crate::interrupt;

/// Whose fault an error is; decides the heading and the exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The design, or another file given to us, is wrong. Exit 1.
    Input,
    /// The command line is wrong. Exit 2, like the errors clap finds itself.
    Usage,
    /// A file could not be read or written. Exit 1.
    Io,
    /// A check that was asked for did not hold. Exit 3.
    Check,
    /// Ctrl-C. Exit 130.
    Stopped,
    /// Our own mistake. Exit 101, as after a panic.
    Internal,
}

/// An error as the user sees it.
#[derive(Debug)]
pub struct Error {
    /// Whose fault.
    pub kind: Kind,
    /// One sentence, no full stop. Empty where the messages were printed already.
    pub message: String,
    /// Ways out.
    pub hints: Vec<String>,
    /// Mistakes in a design, printed already; kept for JSON.
    pub mistakes: Vec<Mistake>,
    /// The JSON answer has been printed.
    pub answered: bool,
}

impl Error {
    fn new(kind: Kind, message: impl Into<String>) -> Self {
        Self {
            kind,
            message: message.into(),
            hints: Vec::new(),
            mistakes: Vec::new(),
            answered: false,
        }
    }
    /// The design or another input is wrong.
    pub fn input(message: impl Into<String>) -> Self {
        Self::new(Kind::Input, message)
    }
    /// The command line is wrong.
    pub fn usage(message: impl Into<String>) -> Self {
        Self::new(Kind::Usage, message)
    }
    /// A check asked for did not hold.
    pub fn check(message: impl Into<String>) -> Self {
        Self::new(Kind::Check, message)
    }
    /// Ctrl-C; what is known so far has been given.
    pub fn stopped(message: impl Into<String>) -> Self {
        Self::new(Kind::Stopped, message).answered()
    }
    /// Our own mistake.
    pub fn internal(message: impl Into<String>) -> Self {
        Self::new(Kind::Internal, message)
    }
    /// A design with mistakes that have been printed; only the exit code is left to give.
    pub fn told(mistakes: Vec<Mistake>) -> Self {
        Self { mistakes, ..Self::new(Kind::Input, "") }
    }
    /// A file that cannot be read.
    pub fn unreadable(name: &str, e: &io::Error) -> Self {
        Self::new(Kind::Io, format!("cannot read {name}: {}", plain(e)))
    }
    /// A file that cannot be written.
    pub fn unwritable(path: &Path, e: &io::Error) -> Self {
        Self::new(Kind::Io, format!("cannot write {}: {}", path.display(), plain(e)))
    }
    /// The answer has been given, mistakes and all; JSON needs no more.
    pub fn answered(mut self) -> Self {
        self.answered = true;
        self
    }
    /// Adds a way out.
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// Exit code of the command contract.
    pub fn exit_code(&self) -> u8 {
        match self.kind {
            Kind::Input | Kind::Io => 1,
            Kind::Usage => 2,
            Kind::Check => 3,
            Kind::Stopped => interrupt::EXIT_CODE,
            Kind::Internal => 101,
        }
    }

    /// For JSON: the mistakes in the design, or this error itself.
    pub fn into_mistakes(self) -> Vec<Mistake> {
        if self.message.is_empty() {
            return self.mistakes;
        }
        let code = match self.kind {
            Kind::Input => "input",
            Kind::Usage => "usage",
            Kind::Io => "file",
            Kind::Check => "check",
            Kind::Stopped => "stopped",
            Kind::Internal => "internal",
        };
        vec![Mistake::placeless(code, self.message, self.hints.into_iter().next())]
    }

    /// Text for the terminal; empty where everything was said already.
    pub fn to_text(&self) -> String {
        if self.message.is_empty() {
            return String::new();
        }
        let red = anstyle::AnsiColor::BrightRed.on_default().bold();
        let heading = match self.kind {
            Kind::Internal => "error in plumbfold itself",
            Kind::Stopped => "stopped",
            _ => "error",
        };
        let mut text = format!("{red}{heading}{red:#}: {}\n", self.message);
        for hint in &self.hints {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "  help: {hint}");
        }
        text
    }
}

/// The system's reason without its number.
fn plain(e: &io::Error) -> String {
    let text = e.to_string();
    let text = text.split(" (os error").next().unwrap_or(&text);
    let mut chars = text.chars();
    chars.next().map(|c| c.to_lowercase().chain(chars).collect()).unwrap_or_default()
}
