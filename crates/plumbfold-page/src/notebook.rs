//! Throws as they are kept from the page: beside the bench, and on a phone in the hall.

use plumbfold_stats::exchange;
use plumbfold_stats::record::{
    Entry, Kept, Kind, Record, Throw, Undo, Version, holding, version_of,
};
use plumbfold_stats::results::Shelf;
use plumbfold_stats::typed::{self, Known, alike};
use plumbfold_view::log::Noted;
use plumbfold_view::results::Results;
use serde::{Deserialize, Serialize};

use crate::answer::{Answer, with};

/// What the page asks.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Question {
    /// What is there.
    Look {},
    /// To keep a throw.
    Throw(Box<Thrown>),
    /// To take the last throw back.
    Undo {},
}

/// A throw as the form has it.
#[derive(Debug, Deserialize)]
pub struct Thrown {
    /// Name of the plane.
    pub plane: String,
    /// Distance, m.
    pub distance_m: Option<f64>,
    /// Time aloft, s.
    pub time_s: Option<f64>,
    /// What it did, in the words of the verdict.
    pub did: Option<String>,
    /// What ended it other than the floor.
    pub ended: Option<String>,
    /// Anything worth keeping.
    pub note: Option<String>,
    /// The design text on the bench, which is the version thrown.
    pub text: Option<String>,
}

/// What the form shows.
#[derive(Serialize)]
pub struct Shown {
    /// Every plane there is.
    planes: Vec<String>,
    /// The last throws, the newest first.
    throws: Vec<Noted>,
    /// What all throws say, plane by plane.
    results: Results,
}

/// Throws listed.
const LISTED: usize = 12;
/// Letters of a name, and of a note.
const NAME_MAX: usize = 60;
const NOTE_MAX: usize = 300;
/// Bytes of a design text, as elsewhere.
const TEXT_MAX: usize = 256 * 1024;

/// What is shown of a notebook.
pub fn shown(entries: &[Entry]) -> Shown {
    let holding = holding(entries);
    let shelf = Shelf::new(&holding);
    let thrown = holding.iter().rev().filter(|e| e.record.kind() == Kind::Throw);
    Shown {
        throws: thrown.take(LISTED).map(|e| Noted::new(e)).collect(),
        results: Results::new(&shelf, &shelf.groups()),
        planes: shelf.planes,
    }
}

/// The records that a question writes into a notebook of these entries, each with the one it
/// replaces. A throw belongs to the session that is running, if one is.
///
/// # Errors
/// What is wrong with the throw, in a sentence.
pub fn records(
    question: &Question,
    entries: &[Entry],
    session: Option<&str>,
) -> Result<Vec<(Option<String>, Record)>, String> {
    let holding = holding(entries);
    match question {
        Question::Look {} => Ok(Vec::new()),
        Question::Undo {} => {
            let last = holding.iter().rev().find(|e| e.record.kind() == Kind::Throw);
            let last = last.ok_or("there is no throw to take back")?;
            Ok(vec![(Some(last.id.clone()), Record::Undo(Undo {}))])
        }
        Question::Throw(thrown) => thrown.records(&Shelf::new(&holding), session),
    }
}

impl Thrown {
    fn records(
        &self,
        shelf: &Shelf,
        session: Option<&str>,
    ) -> Result<Vec<(Option<String>, Record)>, String> {
        let plane = self.plane.split_whitespace().collect::<Vec<_>>().join(" ");
        if plane.chars().count() > NAME_MAX || plane.chars().any(char::is_control) {
            return Err(format!("the name of a plane is one line of at most {NAME_MAX} letters"));
        }
        let plane = shelf.planes.iter().find(|p| alike(p, &plane)).cloned().unwrap_or(plane);
        let note = self.note.as_deref().map(str::trim).filter(|n| !n.is_empty());
        if note.is_some_and(|n| n.chars().count() > NOTE_MAX) {
            return Err(format!("a note has at most {NOTE_MAX} letters"));
        }
        // In the words of the command line, so that what cannot be is refused in one place.
        let mut words = vec![plane.clone()];
        words.extend(self.distance_m.map(|m| format!("{m}m")));
        words.extend(self.time_s.map(|s| format!("{s}s")));
        words.extend([&self.did, &self.ended].into_iter().flatten().cloned());
        let known = Known { planes: vec![plane], copies: Vec::new() };
        let line = typed::throw(&words, &known, false);
        let throw = line.map_err(|m| format!("{}; {}", m.message, m.help))?.throw;
        let mut records = Vec::new();
        let newest =
            || shelf.newest(&throw.plane).map(|v: &Kept<Version>| v.record.version.clone());
        let version = match &self.text {
            Some(text) if text.len() <= TEXT_MAX => {
                let version = version_of(text);
                if shelf.number(&throw.plane, &version).is_none() {
                    let (plane, text) = (throw.plane.clone(), text.clone());
                    let kept = Version { plane, version: version.clone(), text, note: None };
                    records.push((None, kept.into()));
                }
                Some(version)
            }
            Some(_) => return Err("this text is longer than a design can be".to_owned()),
            None => newest(),
        };
        let session = session.map(str::to_owned);
        let note = note.map(str::to_owned);
        records.push((None, Throw { version, session, note, ..throw }.into()));
        Ok(records)
    }
}

/// A notebook that the browser keeps: it comes with the question and goes back with the answer.
#[derive(Deserialize)]
struct Carried {
    /// The notebook as JSON; none before the first throw.
    book: Option<String>,
    /// The time, UTC.
    at: String,
    /// Another notebook to take in, as JSON.
    import: Option<String>,
    question: Question,
}

#[derive(Serialize)]
struct CarriedBack {
    book: String,
    #[serde(flatten)]
    shown: Shown,
}

/// Answers where the notebook comes with the question.
pub fn carried(body: &[u8]) -> Answer {
    with(body, |carried: Carried| match carried.written() {
        Ok(entries) => Answer::json(
            200,
            &CarriedBack { book: exchange::to_json(&entries), shown: shown(&entries) },
        ),
        Err(why) => Answer::message(422, &why),
    })
}

impl Carried {
    fn written(&self) -> Result<Vec<Entry>, String> {
        let read = |text: &Option<String>| {
            let entries = text.as_deref().map(exchange::from_json).transpose();
            entries.map(Option::unwrap_or_default).map_err(|e| e.to_string())
        };
        let mut entries = read(&self.book)?;
        for entry in read(&self.import)? {
            if entries.iter().all(|e| e.id != entry.id) {
                entries.push(entry);
            }
        }
        for (replaces, record) in records(&self.question, &entries, None)? {
            let record = exchange::check(record)?;
            let again = |n| Entry::new(&self.at, replaces.clone(), record.clone(), n);
            let new = (0..).map(again).find(|e| entries.iter().all(|old| old.id != e.id));
            entries.extend(new);
        }
        Ok(entries)
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn ask(book: &Value, question: Value) -> (u16, Value) {
        let body = json!({ "book": book, "at": "2026-11-30T09:30:00.000Z", "question": question });
        let answer = carried(body.to_string().as_bytes());
        (answer.status, serde_json::from_slice(&answer.body).unwrap())
    }
    fn throw(distance_m: f64) -> Value {
        json!({ "throw": { "plane": "Halyard", "distance_m": distance_m, "time_s": 3.1, "did": "stalls" } })
    }

    #[test]
    fn throws_are_kept_and_taken_back_and_the_notebook_holds_both() {
        let (_, one) = ask(&Value::Null, throw(12.4));
        assert_eq!(one["planes"], json!(["Halyard"]));
        let (_, two) = ask(&one["book"], throw(12.4));
        assert_eq!(two["results"]["planes"][0]["throws"], 2, "equal throws of one moment are two");
        let (_, back) = ask(&two["book"], json!({ "undo": {} }));
        assert_eq!(back["throws"].as_array().unwrap().len(), 1);
        let book = back["book"].as_str().unwrap();
        let entries = exchange::from_json(book).unwrap();
        assert_eq!(entries.len(), 3, "nothing is lost");
        assert_eq!(exchange::to_json(&entries), book);
    }

    #[test]
    fn a_throw_from_the_bench_is_of_the_text_that_lies_there() {
        let mut said = throw(9.0);
        said["throw"]["text"] = json!("plane Halyard\n");
        let (_, one) = ask(&Value::Null, said.clone());
        let (_, two) = ask(&one["book"], said.clone());
        said["throw"]["text"] = json!("plane Halyard\n# changed\n");
        let (_, three) = ask(&two["book"], said);
        let names: Vec<_> =
            three["results"]["planes"].as_array().unwrap().iter().map(|p| &p["throws"]).collect();
        assert_eq!(names, [2, 1]);
    }

    #[test]
    fn what_cannot_be_a_throw_is_refused_in_words() {
        let refused = |change: &dyn Fn(&mut Value)| {
            let mut said = throw(9.0);
            change(&mut said["throw"]);
            let (status, answer) = ask(&Value::Null, said);
            assert_eq!(status, 422, "{answer}");
            answer["message"].as_str().unwrap().to_owned()
        };
        assert!(refused(&|t| t["distance_m"] = json!(-1.0)).contains("m"));
        assert!(refused(&|t| t["distance_m"] = json!(1e9)).contains("distance"));
        assert!(!refused(&|t| t["plane"] = json!("")).is_empty());
        assert!(refused(&|t| t["plane"] = json!("a\u{7}b")).contains("letters"));
        assert!(refused(&|t| t["plane"] = json!("a".repeat(99))).contains("letters"));
        assert!(!refused(&|t| t["did"] = json!("sang")).is_empty());
        let nothing = json!({ "throw": { "plane": "Halyard" } });
        assert_eq!(ask(&Value::Null, nothing).0, 422);
        assert_eq!(ask(&Value::Null, json!({ "undo": {} })).0, 422);
        assert_eq!(ask(&json!("{}"), json!({ "look": {} })).0, 422);
    }
}
