use plumbfold_stats::record::{Entry, Record, Throw as Thrown, Version, holding, version_of};
use plumbfold_stats::results::{Shelf, at_version};
use plumbfold_stats::typed::{self, Known, Line, Mistyped};

use super::Call;
use crate::design_file::DesignFile;
use crate::error::Error;
use crate::notebook_file::mistyped;
use crate::options::Global;
use crate::system::System;

/// Keep one throw, or one for each line of standard input
///
/// Words in any order: the plane (or one of its copies, or its design file),
/// the distance, the time aloft, what it did (glided, stalled, dived, banked
/// …), `from 1.8m` for the hand, `top 2.5m` for the greatest height, gentle,
/// firm, hard or steep, and wall, ceiling or person for what it hit. It counts
/// as a throw of the newest version and of the session begun within the last 12
/// hours.
///
/// Examples:
///   plumbfold log throw halyard 12.4m 3.1s stalled
///   plumbfold log throw 40ft halyard-2 wall
///   plumbfold log throw -       (a throw a line; all are kept together when the input ends)
///   plumbfold log throw                         (asks)
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Throw {
    /// Plane, distance, time, what it did; `-` reads lines
    words: Vec<String>,
    /// Version thrown, by number or the beginning of its name; the newest without
    #[arg(long, value_name = "VERSION")]
    version: Option<String>,
    /// How it was trimmed, such as "edges 1 mm up"
    #[arg(long, value_name = "WORDS")]
    trim: Option<String>,
    /// Anything worth keeping
    #[arg(long, value_name = "WORDS")]
    note: Option<String>,
    /// A new plane, though its name looks like that of another
    #[arg(long)]
    new: bool,
    /// Not part of the session that was begun
    #[arg(long)]
    no_session: bool,
}

impl Throw {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        if self.words.is_empty() {
            return self.asked(String::new(), call);
        }
        let lines: Vec<(usize, Vec<String>)> = match self.words[..] {
            [ref one] if one == "-" => {
                let lines = call.system.lines().enumerate().map(|(n, l)| (n + 1, vec![l]));
                lines.filter(|(_, l)| !l[0].trim().is_empty()).collect()
            }
            _ => vec![(1, self.words.clone())],
        };
        let records = match self.read(&lines, None, call) {
            // Who names the plane only is asked for the rest.
            Err(e) if call.system.can_ask() => match named(&self.words.join(" "), call)? {
                Some(plane) => return self.asked(plane, call),
                None => return Err(e),
            },
            read => read?,
        };
        call.write(records).map(drop)
    }

    /// Asks for throw after throw until nothing is answered.
    fn asked(&self, mut plane: String, call: &mut Call<'_>) -> Result<(), Error> {
        if !call.system.can_ask() {
            return Err(Error::usage("nothing says what was thrown")
                .hint("plumbfold log throw halyard 12.4m 3.1s stalled"));
        }
        call.system.message("One throw a line, such as `halyard 12.4m 3.1s stalled`; after the first the plane may be left out. An empty line ends it.\n");
        loop {
            let question =
                if plane.is_empty() { "throw".into() } else { format!("throw of {plane}") };
            let Some(line) = call.system.ask(&question).filter(|l| !l.is_empty()) else {
                return Ok(());
            };
            if line == "undo" {
                if let Err(e) = super::undo::last(call) {
                    call.system.message(&e.to_text());
                }
                continue;
            }
            let before = Some(plane.as_str()).filter(|p| !p.is_empty());
            let read = self.read(&[(1, vec![line.clone()])], before, call);
            // A name alone is the plane of the next lines, one of a new plane too.
            if read.is_err()
                && let Some(named) = named(&line, call)?.or_else(|| self.begun(&line, &plane))
            {
                plane = named;
                continue;
            }
            match read.and_then(|r| call.write(r)) {
                Ok(written) => {
                    for e in written {
                        if let Record::Throw(t) = e.record {
                            plane = t.plane;
                        }
                    }
                }
                // A word not understood is asked for again.
                Err(e) => call.system.message(&e.to_text()),
            }
        }
    }

    /// The records that lines of words make; `plane` is the one thrown before.
    fn read(
        &self,
        lines: &[(usize, Vec<String>)],
        plane: Option<&str>,
        call: &mut Call<'_>,
    ) -> Result<Vec<(Option<String>, Record)>, Error> {
        let entries = call.book.entries_if_any()?;
        let holding = holding(&entries);
        let mut shelf = Shelf::new(&holding);
        let session = if self.no_session { None } else { call.book.session(&holding)? };
        let mut records: Vec<(Option<String>, Record)> = Vec::new();
        let mut last = plane.map(str::to_owned);
        for (n, words) in lines {
            let mut words = words.clone();
            // The text of a file, or a number after an `@`, is the version thrown.
            let mut thrown = self.version.clone();
            for word in &mut words {
                if let (plane, Some(version)) = at_version(&word.clone()) {
                    (*word, thrown) = (plane.to_owned(), Some(version.to_owned()));
                }
                if word.ends_with(".plane") {
                    let version = version(std::path::Path::new(word), call.global, call.system)?;
                    word.clone_from(&version.plane);
                    thrown = Some(version.version.clone());
                    let known = shelf.number(&version.plane, &version.version).is_some();
                    if !known {
                        records.push((None, version.clone().into()));
                        shelf = with(&entries, &records);
                    }
                }
            }
            let known = Known { planes: shelf.planes.clone(), copies: shelf.copies.clone() };
            // After the first line the plane may be left out.
            let again = last.as_ref().map(|plane| [&[String::clone(plane)], &words[..]].concat());
            let read = typed::throw(&words, &known, self.new).or_else(|m| match again {
                Some(words) => typed::throw(&words, &known, self.new).map_err(|_| m),
                None => Err(m),
            });
            let Line { throw, new_plane } = read.map_err(|m| {
                let e = mistyped(m);
                match lines.len() {
                    1 => e,
                    _ => {
                        Error { message: format!("line {n}: {}; nothing is kept", e.message), ..e }
                    }
                }
            })?;
            last = Some(throw.plane.clone());
            let throw = self.complete(throw, thrown.as_deref(), &shelf, session.as_deref())?;
            if new_plane {
                call.system.message(&format!(
                    "{} is new; `plumbfold log plane FILE` keeps its text as a version\n",
                    throw.plane
                ));
                shelf.planes.push(throw.plane.clone());
            }
            records.push((None, throw.into()));
        }
        Ok(records)
    }

    /// The name of a plane not known yet, where a line is one word that says nothing else and none
    /// was named before.
    fn begun(&self, line: &str, before: &str) -> Option<String> {
        let line = [line.trim().to_owned()];
        let nothing = |e: Mistyped| e.message == typed::NOTHING_MEASURED;
        let bare = typed::throw(&line, &Known::default(), self.new).err().is_some_and(nothing);
        (before.is_empty() && bare).then(|| line[0].clone())
    }

    fn complete(
        &self,
        throw: Thrown,
        version: Option<&str>,
        shelf: &Shelf,
        session: Option<&str>,
    ) -> Result<Thrown, Error> {
        let version = match version {
            Some(asked) => {
                let found = shelf.known_version(&throw.plane, asked).map_err(mistyped)?;
                Some(found.record.version.clone())
            }
            None => shelf.newest(&throw.plane).map(|v| v.record.version.clone()),
        };
        let thrown = Thrown {
            version,
            session: session.map(str::to_owned),
            trim: self.trim.clone().filter(|t| !t.is_empty()),
            note: self.note.clone().filter(|t| !t.is_empty()),
            ..throw
        };
        typed::credible(&thrown).map_err(mistyped)?;
        Ok(thrown)
    }
}

/// The plane or copy that words name, where they say nothing else.
fn named(words: &str, call: &Call<'_>) -> Result<Option<String>, Error> {
    let shelf = Shelf::new(&holding(&call.book.entries_if_any()?));
    let names = shelf.planes.iter().chain(shelf.copies.iter().map(|c| &c.0));
    Ok(names.into_iter().find(|n| typed::alike(n, words.trim())).cloned())
}

fn with(entries: &[Entry], records: &[(Option<String>, Record)]) -> Shelf {
    let news = records.iter().enumerate().map(|(n, r)| Entry::new("", None, r.1.clone(), n));
    let all: Vec<Entry> = entries.iter().cloned().chain(news).collect();
    Shelf::new(&holding(&all))
}

/// A design's text as a version.
pub fn version(path: &std::path::Path, global: &Global, system: &System) -> Result<Version, Error> {
    let file = DesignFile::open(path, global, system)?;
    Ok(Version {
        plane: file.name(),
        version: version_of(&file.source.text),
        text: file.source.text.clone(),
        note: None,
    })
}
