//! The notebook: one SQLite file that keeps every record and changes none.
//!
//! A record is written in one transaction, in write-ahead mode with every commit forced to the
//! disk: what [`Notebook::append`] gave back is there after a crash. The database itself refuses
//! to change or delete a record (see `schema.sql`). The number of its schema stands in
//! `PRAGMA user_version`; an older file is brought up to date when it is opened for writing, a
//! newer one is refused.

use std::path::{Path, PathBuf};
use std::time::Duration;

use plumbfold_stats::record::{Cell, Entry, Kind, Record};
use rusqlite::types::{Value, ValueRef};
use rusqlite::{
    Connection, ErrorCode, OpenFlags, OptionalExtension, Transaction, TransactionBehavior,
};

/// Steps from each schema to the next, never changed once released.
const STEPS: [&str; 2] = [include_str!("schema.sql"), include_str!("schema-2.sql")];
/// Number of the newest schema.
pub const SCHEMA: i64 = STEPS.len() as i64;
/// Marks the file as ours: the letters PfNb (SQLite's `PRAGMA application_id`).
const MARK: i64 = 0x5066_4e62;
/// How long a writer waits for another.
const PATIENCE: Duration = Duration::from_secs(20);

/// Why the notebook could not be used.
#[derive(Debug, thiserror::Error)]
pub enum NotebookError {
    /// There is none yet.
    #[error("there is no notebook {}", path.display())]
    Missing {
        /// Where it was looked for.
        path: PathBuf,
    },
    /// Made by a newer program.
    #[error(
        "{} was written by a newer plumbfold (schema {found}, this one knows up to {SCHEMA}); \
         nothing was changed", path.display()
    )]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its schema.
        found: i64,
    },
    /// Something else.
    #[error("{} is no notebook of plumbfold: {why}", path.display())]
    Foreign {
        /// The file.
        path: PathBuf,
        /// What it is.
        why: &'static str,
    },
    /// No room.
    #[error("no room left on the disk for {}: nothing was written", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// May not be written.
    #[error("{} may only be read: nothing was written", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
    },
    /// Another program holds it.
    #[error("another program has been writing to {} for too long: nothing was written", path.display())]
    Busy {
        /// The file.
        path: PathBuf,
    },
    /// A record that cannot be.
    #[error("{0}")]
    Record(String),
    /// The system's word.
    #[error("cannot use {}: {source}", path.display())]
    Sqlite {
        /// The file.
        path: PathBuf,
        /// What SQLite says.
        source: rusqlite::Error,
    },
    /// The system's word about a file.
    #[error("cannot write {}: {source}", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// What the system says.
        source: std::io::Error,
    },
}

/// An open notebook.
pub struct Notebook {
    db: Connection,
    path: PathBuf,
}

/// What [`Notebook::merge`] did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Merged {
    /// Records that were new.
    pub new: usize,
    /// Records that were there already.
    pub known: usize,
}

impl Notebook {
    /// Opens one for reading.
    ///
    /// # Errors
    /// None there, none of ours, or one of a newer schema.
    pub fn read(path: &Path) -> Result<Self, NotebookError> {
        if !path.exists() {
            return Err(NotebookError::Missing { path: path.to_owned() });
        }
        not_a_folder(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let failed = |e| sorted(path, e);
        let mut book = Self {
            db: Connection::open_with_flags(path, flags).map_err(failed)?,
            path: path.to_owned(),
        };
        match book.schema() {
            // A file on a medium that cannot be written has no place for the shared memory that
            // readers and writers need; without writers none is needed.
            Err(NotebookError::Sqlite { .. } | NotebookError::ReadOnly { .. }) => {
                let plain = path.display().to_string();
                let quoted = plain.replace('%', "%25").replace('?', "%3f").replace('#', "%23");
                let name = format!("file:{quoted}?immutable=1");
                let flags = flags | OpenFlags::SQLITE_OPEN_URI;
                book.db = Connection::open_with_flags(name, flags).map_err(failed)?;
                book.schema()?;
            }
            Ok(0) => {
                // Another program may be making it just now.
                let made = (0..40).any(|_| {
                    std::thread::sleep(PATIENCE / 200);
                    book.schema().is_ok_and(|s| s > 0)
                });
                if !made {
                    let why = "it holds nothing";
                    return Err(NotebookError::Foreign { path: path.to_owned(), why });
                }
            }
            other => {
                other?;
            }
        }
        book.db.busy_timeout(PATIENCE).map_err(failed)?;
        Ok(book)
    }

    /// Opens one for writing and makes it where there is none.
    ///
    /// # Errors
    /// As [`Self::read`]; a place that cannot be written.
    pub fn write(path: &Path) -> Result<Self, NotebookError> {
        not_a_folder(path)?;
        if let Some(dir) = path.parent().filter(|d| !d.as_os_str().is_empty()) {
            let failed = |source| NotebookError::Io { path: dir.to_owned(), source };
            std::fs::create_dir_all(dir).map_err(failed)?;
        }
        let failed = |e| sorted(path, e);
        let db = Connection::open(path).map_err(failed)?;
        let mut book = Self { db, path: path.to_owned() };
        book.db.busy_timeout(PATIENCE).map_err(failed)?;
        book.schema()?;
        let settings = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; \
                        PRAGMA foreign_keys = ON;";
        book.db.execute_batch(settings).map_err(failed)?;
        book.bring_up_to_date()?;
        Ok(book)
    }

    /// Number of the file's schema; zero for an empty file.
    fn schema(&self) -> Result<i64, NotebookError> {
        let number = |pragma: &str| -> Result<i64, NotebookError> {
            self.db.pragma_query_value(None, pragma, |r| r.get(0)).map_err(|e| self.sorted(e))
        };
        let path = || self.path.clone();
        let (schema, mark) = (number("user_version")?, number("application_id")?);
        let tables: i64 = self
            .db
            .query_row("SELECT count(*) FROM sqlite_schema", [], |r| r.get(0))
            .map_err(|e| self.sorted(e))?;
        if tables > 0 && mark != MARK {
            let why = "it is a database of another program";
            return Err(NotebookError::Foreign { path: path(), why });
        }
        if schema > SCHEMA {
            return Err(NotebookError::Newer { path: path(), found: schema });
        }
        Ok(schema)
    }

    fn bring_up_to_date(&mut self) -> Result<(), NotebookError> {
        if self.schema()? == SCHEMA {
            return Ok(());
        }
        let path = self.path.clone();
        let failed = |e| sorted(&path, e);
        let change =
            self.db.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
        // Asked again inside: another program may have been quicker.
        let found: i64 =
            change.pragma_query_value(None, "user_version", |r| r.get(0)).map_err(failed)?;
        for step in STEPS.iter().skip(usize::try_from(found).unwrap_or(0)) {
            change.execute_batch(step).map_err(failed)?;
        }
        change.pragma_update(None, "application_id", MARK).map_err(failed)?;
        change.pragma_update(None, "user_version", SCHEMA).map_err(failed)?;
        change.commit().map_err(failed)
    }

    /// Writes records that were made now, all or none, each with the record it replaces. They are
    /// on the disk when this returns.
    ///
    /// # Errors
    /// A record that cannot be, one that replaces none there is, or a file that cannot be written.
    pub fn append(
        &mut self,
        records: Vec<(Option<String>, Record)>,
    ) -> Result<Vec<Entry>, NotebookError> {
        let path = self.path.clone();
        let failed = |e| sorted(&path, e);
        let change =
            self.db.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
        let now: String = change
            .query_row("SELECT strftime('%Y-%m-%dT%H:%M:%fZ', 'now')", [], |r| r.get(0))
            .map_err(failed)?;
        let mut written = Vec::with_capacity(records.len());
        for (replaces, record) in records {
            let record = plumbfold_stats::exchange::check(record).map_err(NotebookError::Record)?;
            if let Some(old) = &replaces
                && !has(&change, old).map_err(failed)?
            {
                return Err(NotebookError::Record(format!("there is no record {old} to replace")));
            }
            let mut again = 0;
            let entry = loop {
                let entry = Entry::new(&now, replaces.clone(), record.clone(), again);
                if !has(&change, &entry.id).map_err(failed)? {
                    break entry;
                }
                again += 1;
            };
            put(&change, &entry).map_err(failed)?;
            written.push(entry);
        }
        change.commit().map_err(failed)?;
        Ok(written)
    }

    /// Takes in records of another notebook, all or none; those already here are left as they are.
    ///
    /// # Errors
    /// One that replaces a record neither notebook has, or a file that cannot be written.
    pub fn merge(&mut self, entries: &[Entry]) -> Result<Merged, NotebookError> {
        let path = self.path.clone();
        let failed = |e| sorted(&path, e);
        let change =
            self.db.transaction_with_behavior(TransactionBehavior::Immediate).map_err(failed)?;
        let mut merged = Merged { new: 0, known: 0 };
        for entry in entries {
            if has(&change, &entry.id).map_err(failed)? {
                merged.known += 1;
            } else {
                put(&change, entry).map_err(failed)?;
                merged.new += 1;
            }
        }
        let lost: Option<String> = change
            .query_row(
                "SELECT replaces FROM entry WHERE replaces IS NOT NULL \
                 AND replaces NOT IN (SELECT id FROM entry) LIMIT 1",
                [],
                |r| r.get(0),
            )
            .optional()
            .map_err(failed)?;
        if let Some(id) = lost {
            let why = format!("record {id} is replaced but is in neither notebook");
            return Err(NotebookError::Record(why));
        }
        change.commit().map_err(failed)?;
        Ok(merged)
    }

    /// Every record in the order it was written.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub fn entries(&self) -> Result<Vec<Entry>, NotebookError> {
        // One transaction, so that all kinds are of one moment.
        let change = self.db.unchecked_transaction().map_err(|e| self.sorted(e))?;
        let mut all: Vec<(i64, Entry)> = Vec::new();
        for &kind in Kind::EVERY {
            // A file that is only read may be of an older schema, which has not every column yet.
            let there = self.columns(kind)?;
            let field = |f: &&str| match there.iter().any(|t| t == f) {
                true => format!(", r.\"{f}\""),
                false => ", NULL".to_owned(),
            };
            let fields: String = kind.fields().iter().map(field).collect();
            let sql = format!(
                "SELECT r.seq, e.id, e.at, e.replaces{fields} \
                 FROM \"{}\" r JOIN entry e ON e.seq = r.seq ORDER BY r.seq",
                kind.word()
            );
            let mut query = change.prepare(&sql).map_err(|e| self.sorted(e))?;
            let mut rows = query.query([]).map_err(|e| self.sorted(e))?;
            while let Some(row) = rows.next().map_err(|e| self.sorted(e))? {
                let cells = || -> rusqlite::Result<Vec<Cell>> {
                    (0..kind.fields().len()).map(|k| cell(row.get_ref(k + 4)?)).collect()
                };
                let told = |e| self.sorted(e);
                let seq: i64 = row.get(0).map_err(told)?;
                let (id, at): (String, String) =
                    (row.get(1).map_err(told)?, row.get(2).map_err(told)?);
                let (replaces, cells) = (row.get(3).map_err(told)?, cells().map_err(told)?);
                let record = Record::from_cells(kind, cells)
                    .map_err(|e| NotebookError::Record(format!("record {id}: {e}")))?;
                all.push((seq, Entry { id, at, replaces, record }));
            }
        }
        all.sort_by_key(|e| e.0);
        Ok(all.into_iter().map(|e| e.1).collect())
    }

    fn columns(&self, kind: Kind) -> Result<Vec<String>, NotebookError> {
        let sql = "SELECT name FROM pragma_table_info(?1)";
        let mut query = self.db.prepare(sql).map_err(|e| self.sorted(e))?;
        let names = query.query_map([kind.word()], |r| r.get(0)).map_err(|e| self.sorted(e))?;
        names.collect::<Result<_, _>>().map_err(|e| self.sorted(e))
    }

    /// The time so many hours ago, as records say it.
    ///
    /// # Errors
    /// A file that cannot be used.
    pub fn hours_ago(&self, hours: u32) -> Result<String, NotebookError> {
        let sql = "SELECT strftime('%Y-%m-%dT%H:%M:%fZ', 'now', ?1)";
        let ago = format!("-{hours} hours");
        self.db.query_row(sql, [ago], |r| r.get(0)).map_err(|e| self.sorted(e))
    }

    /// Writes a copy of the notebook as it is now; nothing that is there is written over.
    ///
    /// # Errors
    /// A file of that name, or one that cannot be written.
    pub fn backup(&self, to: &Path) -> Result<(), NotebookError> {
        let failed = |source| NotebookError::Io { path: to.to_owned(), source };
        if to.exists() {
            let why = "it exists and is left as it is";
            return Err(failed(std::io::Error::new(std::io::ErrorKind::AlreadyExists, why)));
        }
        let name = to.to_str().ok_or_else(|| {
            failed(std::io::Error::new(std::io::ErrorKind::InvalidInput, "its name is no text"))
        })?;
        let mut half = to.as_os_str().to_owned();
        half.push(format!(".{}.tmp", std::process::id()));
        let half = PathBuf::from(half);
        let done = self
            .db
            .execute("VACUUM INTO ?1", [format!("{name}.{}.tmp", std::process::id())])
            .map_err(|e| sorted(to, e))
            .and_then(|_| {
                // On the disk before it has its name: a file of that name is a whole backup.
                std::fs::File::open(&half).and_then(|f| f.sync_all()).map_err(failed)?;
                std::fs::hard_link(&half, to)
                    .or_else(|_| std::fs::copy(&half, to).map(drop))
                    .map_err(failed)
            });
        // Best effort: what is left over carries our number and harms nobody.
        let _ = std::fs::remove_file(&half);
        done
    }

    /// What SQLite finds wrong with the file; nothing for a sound one.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub fn faults(&self) -> Result<Vec<String>, NotebookError> {
        let mut query = self.db.prepare("PRAGMA integrity_check").map_err(|e| self.sorted(e))?;
        let rows = query.query_map([], |r| r.get::<_, String>(0)).map_err(|e| self.sorted(e))?;
        let rows: Vec<String> = rows.collect::<Result<_, _>>().map_err(|e| self.sorted(e))?;
        Ok(rows.into_iter().filter(|r| r != "ok").collect())
    }

    fn sorted(&self, e: rusqlite::Error) -> NotebookError {
        sorted(&self.path, e)
    }
}

fn not_a_folder(path: &Path) -> Result<(), NotebookError> {
    match path.is_dir() {
        true => Err(NotebookError::Foreign { path: path.to_owned(), why: "it is a folder" }),
        false => Ok(()),
    }
}

/// What SQLite says, by what a user can do about it.
fn sorted(path: &Path, e: rusqlite::Error) -> NotebookError {
    let path = path.to_owned();
    match e.sqlite_error_code() {
        Some(ErrorCode::NotADatabase) => {
            NotebookError::Foreign { path, why: "it is some other file" }
        }
        Some(ErrorCode::DiskFull) => NotebookError::Full { path },
        Some(ErrorCode::ReadOnly) => NotebookError::ReadOnly { path },
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => NotebookError::Busy { path },
        _ => NotebookError::Sqlite { path, source: e },
    }
}

fn has(db: &Transaction<'_>, id: &str) -> rusqlite::Result<bool> {
    db.query_row("SELECT EXISTS (SELECT 1 FROM entry WHERE id = ?1)", [id], |r| r.get(0))
}

fn put(db: &Transaction<'_>, entry: &Entry) -> rusqlite::Result<()> {
    let kind = entry.record.kind();
    db.execute(
        "INSERT INTO entry (id, at, kind, replaces) VALUES (?1, ?2, ?3, ?4)",
        (&entry.id, &entry.at, kind.word(), &entry.replaces),
    )?;
    let fields: String = kind.fields().iter().map(|f| format!(", \"{f}\"")).collect();
    let places: String = (2..kind.fields().len() + 2).map(|k| format!(", ?{k}")).collect();
    let sql = format!("INSERT INTO \"{}\" (seq{fields}) VALUES (?1{places})", kind.word());
    let cells = entry.record.cells().into_iter().map(|cell| match cell {
        Cell::Empty => Value::Null,
        Cell::Number(n) => Value::Real(n),
        Cell::Text(text) => Value::Text(text),
    });
    let values = std::iter::once(Value::Integer(db.last_insert_rowid())).chain(cells);
    db.execute(&sql, rusqlite::params_from_iter(values))?;
    Ok(())
}

fn cell(value: ValueRef<'_>) -> rusqlite::Result<Cell> {
    Ok(match value {
        ValueRef::Null | ValueRef::Blob(_) => Cell::Empty,
        ValueRef::Integer(n) => Cell::Number(n as f64),
        ValueRef::Real(n) => Cell::Number(n),
        ValueRef::Text(text) => Cell::Text(String::from_utf8_lossy(text).into_owned()),
    })
}

#[cfg(test)]
mod tests;
