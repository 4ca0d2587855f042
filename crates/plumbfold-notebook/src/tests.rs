use super::*;
use plumbfold_stats::record::{Session, Throw, Undo, Version, holding};

struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }
    fn file(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }
}

fn throw(distance_m: f64) -> Record {
    Throw { plane: "Scow".into(), distance_m: Some(distance_m), ..Throw::default() }.into()
}

#[test]
fn what_is_written_is_there_for_the_next_who_opens_it() {
    let folder = Folder::new();
    let path = folder.file("deep/in/a/folder/notebook.db");
    let mut book = Notebook::write(&path).unwrap();
    let session = Session { place: "boat hall".into(), ..Session::default() };
    let version = Version {
        plane: "Scow".into(),
        version: "0123456789ab".into(),
        text: "plane Scow\n\u{1F6F6}\n".into(),
        note: None,
    };
    let records = vec![(None, session.into()), (None, version.into()), (None, throw(0.1 + 0.2))];
    let written = book.append(records).unwrap();
    let undone = vec![(Some(written[2].id.clone()), Undo {}.into())];
    let undo = book.append(undone).unwrap();
    let all = Notebook::read(&path).unwrap().entries().unwrap();
    assert_eq!(all, [written, undo].concat());
    assert_eq!(holding(&all).len(), 3);
}

#[test]
fn every_kind_of_record_has_its_table_with_its_fields() {
    let folder = Folder::new();
    let book = Notebook::write(&folder.file("n.db")).unwrap();
    for kind in Kind::EVERY {
        let mut columns = book.db.prepare("SELECT name FROM pragma_table_info(?1)").unwrap();
        let names = columns.query_map([kind.word()], |r| r.get::<_, String>(0)).unwrap();
        let names: Vec<String> = names.map(Result::unwrap).collect();
        assert_eq!(names[1..], *kind.fields(), "{}", kind.word());
    }
}

#[test]
fn no_record_can_be_changed_or_deleted() {
    let folder = Folder::new();
    let mut book = Notebook::write(&folder.file("n.db")).unwrap();
    book.append(vec![(None, throw(5.0))]).unwrap();
    for sql in [
        "UPDATE throw SET distance_m = 50",
        "DELETE FROM throw",
        "DELETE FROM entry",
        "UPDATE entry SET at = ''",
    ] {
        let e = book.db.execute_batch(sql).unwrap_err().to_string();
        assert!(e.contains("never changed"), "{sql}: {e}");
    }
}

#[test]
fn a_record_that_cannot_be_leaves_no_trace() {
    let folder = Folder::new();
    let mut book = Notebook::write(&folder.file("n.db")).unwrap();
    let wrong = vec![(None, throw(5.0)), (Some("nobody".into()), throw(6.0))];
    assert!(book.append(wrong).unwrap_err().to_string().contains("no record nobody"));
    let nan = vec![(None, throw(5.0)), (None, throw(f64::NAN))];
    assert!(book.append(nan).unwrap_err().to_string().contains("finite"));
    assert!(book.entries().unwrap().is_empty());
}

#[test]
fn files_that_are_no_notebook_are_left_as_they_are() {
    let folder = Folder::new();
    let text = folder.file("words.db");
    std::fs::write(&text, "this is a text of some length, longer than a header\n".repeat(20))
        .unwrap();
    let foreign = folder.file("other.db");
    Connection::open(&foreign).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    let newer = folder.file("newer.db");
    Notebook::write(&newer).unwrap().db.pragma_update(None, "user_version", 99).unwrap();
    for (path, word) in [
        (&text, "some other file"),
        (&foreign, "another program"),
        (&newer, "newer plumbfold (schema 99"),
        (&folder.0.path().to_owned(), "is a folder"),
    ] {
        let before = path.is_file().then(|| std::fs::read(path).unwrap());
        for opened in [Notebook::read(path), Notebook::write(path)] {
            let e = opened.err().expect("refused").to_string();
            assert!(e.contains(word), "{e}");
        }
        assert_eq!(before, path.is_file().then(|| std::fs::read(path).unwrap()), "{word}");
    }
    let empty = folder.file("empty.db");
    std::fs::write(&empty, "").unwrap();
    assert!(Notebook::read(&empty).err().unwrap().to_string().contains("holds nothing"));
    assert!(Notebook::write(&empty).is_ok(), "an empty file can become one");
    let missing = Notebook::read(&folder.file("none.db")).err().unwrap();
    assert!(matches!(missing, NotebookError::Missing { .. }) && !folder.file("none.db").exists());
}

#[test]
fn a_backup_merges_back_and_twice_is_once() {
    let folder = Folder::new();
    let mut book = Notebook::write(&folder.file("n.db")).unwrap();
    book.append(vec![(None, throw(5.0)), (None, throw(5.0))]).unwrap();
    let saved = folder.file("saved.db");
    book.backup(&saved).unwrap();
    assert!(book.backup(&saved).unwrap_err().to_string().contains("left as it is"));
    book.append(vec![(None, throw(7.0))]).unwrap();
    let entries = Notebook::read(&saved).unwrap().entries().unwrap();
    assert_eq!(book.merge(&entries).unwrap(), Merged { new: 0, known: 2 });
    let mut other = Notebook::write(&folder.file("other.db")).unwrap();
    assert_eq!(other.merge(&entries).unwrap(), Merged { new: 2, known: 0 });
    assert_eq!(other.entries().unwrap(), entries);
    assert!(other.faults().unwrap().is_empty());
    let orphan = Entry::new("2026", Some("nobody".into()), Undo {}.into(), 0);
    assert!(other.merge(&[orphan]).unwrap_err().to_string().contains("neither notebook"));
}

#[test]
fn an_older_notebook_is_read_as_it_is_and_brought_up_to_date_when_written() {
    let folder = Folder::new();
    let path = folder.file("old.db");
    let old = Connection::open(&path).unwrap();
    old.execute_batch(STEPS[0]).unwrap();
    old.pragma_update(None, "application_id", MARK).unwrap();
    old.pragma_update(None, "user_version", 1).unwrap();
    old.execute_batch(
        "INSERT INTO entry (seq, id, at, kind) VALUES (1, 'a', '2026', 'path'), (2, 'b', '2026', 'throw');
         INSERT INTO path (seq, plane, points, note) VALUES (1, 'Scow', 't_s,x_m,z_m', 'kept');
         INSERT INTO throw (seq, plane, distance_m) VALUES (2, 'Scow', 5.5);",
    )
    .unwrap();
    drop(old);
    let before = Notebook::read(&path).unwrap();
    assert_eq!(before.schema().unwrap(), 1, "reading changes nothing");
    let entries = before.entries().unwrap();
    assert_eq!(entries.len(), 2);
    drop(before);
    let mut book = Notebook::write(&path).unwrap();
    assert_eq!(book.schema().unwrap(), SCHEMA);
    assert_eq!(book.entries().unwrap(), entries, "no record is changed");
    let path = plumbfold_stats::record::Path {
        plane: "Scow".into(),
        points: "t_s,x_m,z_m".into(),
        scale_sd_percent: Some(1.5),
        ..Default::default()
    };
    let written = book.append(vec![(None, path.into())]).unwrap();
    assert_eq!(book.entries().unwrap()[2..], written);
    assert!(book.faults().unwrap().is_empty());
}
