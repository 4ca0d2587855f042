//! Throws as they are kept from the page: beside the bench, and on a phone in the hall.

use plumbfold_stats::exchange;
use plumbfold_stats::record::{
    Entry, Kept, Kind, Path, Record, Session, Throw, Undo, Version, holding, version_of,
};
use plumbfold_stats::results::{Shelf, running};
use plumbfold_stats::track::{self, Columns};
use plumbfold_stats::typed::{self, Known, NOTE_MAX, alike};
use plumbfold_view::log::Noted;
use plumbfold_view::results::Results;
use plumbfold_view::said::turns_writing;
use serde::{Deserialize, Serialize};

use crate::answer::{Answer, with};
use crate::judged::{self, Told};

/// What the page asks.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Question {
    /// What is there.
    Look {},
    /// To keep a throw.
    Throw(Box<Thrown>),
    /// To keep a filmed path.
    Path(Box<Filmed>),
    /// To begin a session: what throws from now on have in common.
    Session(Box<Begun>),
    /// To take the last throw back.
    Undo {
        /// Only one made since this time, UTC.
        since: Option<String>,
    },
    /// Whether throws of one differ from those of the other by more than luck.
    Settle {
        /// The one, as the results name it.
        a: String,
        /// The other.
        b: String,
    },
    /// What the throws of a design make of its prediction.
    Calibrate {
        /// The design.
        text: String,
    },
}

/// A filmed path.
#[derive(Debug, Deserialize)]
pub struct Filmed {
    /// Name of the plane.
    pub plane: String,
    /// The design text on the bench, which is the version thrown.
    pub text: Option<String>,
    /// The points, as `plumbfold path` reads them.
    pub points: String,
    /// Where it comes from.
    pub note: Option<String>,
    /// How far off its scale may be, per cent, and its level, degrees.
    #[serde(default)]
    pub scale_sd_percent: Option<f64>,
    /// See `scale_sd_percent`.
    #[serde(default)]
    pub level_sd_deg: Option<f64>,
}

/// A session as the form has it.
#[derive(Debug, Deserialize)]
pub struct Begun {
    /// Where.
    pub place: String,
    /// Who throws.
    pub thrower: Option<String>,
    /// Temperature of the air, degrees Celsius.
    pub temperature_c: Option<f64>,
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
    /// Where throws count as made, and by whom; null where no session runs.
    session: Option<Running>,
    /// The last throws, the newest first.
    throws: Vec<Noted>,
    /// What all throws say, plane by plane.
    results: Results,
    /// The answer, where one was asked for.
    told: Option<Told>,
}

/// The session that runs.
#[derive(Serialize)]
struct Running {
    place: String,
    thrower: Option<String>,
}

/// Throws listed.
const LISTED: usize = 12;
/// Letters of a name.
const NAME_MAX: usize = 60;
/// Bytes of a design text, as elsewhere.
const TEXT_MAX: usize = 256 * 1024;

/// What is shown of a notebook whose session of this id runs.
pub fn shown(entries: &[Entry], session: Option<&str>, told: Option<Told>) -> Shown {
    let holding = holding(entries);
    let running = holding.iter().find(|e| Some(e.id.as_str()) == session);
    let running = running.and_then(|e| Kept::<Session>::of(e)).map(|s| s.record);
    let shelf = Shelf::new(&holding);
    let thrown = holding.iter().rev().filter(|e| e.record.kind() == Kind::Throw);
    Shown {
        throws: thrown.take(LISTED).map(|e| Noted::new(e, &shelf)).collect(),
        session: running.map(|s| Running { place: s.place, thrower: s.thrower }),
        results: Results::new(&shelf, &shelf.groups()),
        planes: shelf.planes,
        told,
    }
}

impl Shown {
    /// With planes that the notebook does not know.
    #[must_use]
    pub fn offering(mut self, planes: &[String]) -> Self {
        let new = planes.iter().filter(|new| !self.planes.iter().any(|p| alike(p, new)));
        let new: Vec<String> = new.cloned().collect();
        self.planes.extend(new);
        self
    }
}

/// What a question writes into a notebook: records, each with the one it replaces; and its answer.
pub type Written = (Vec<(Option<String>, Record)>, Option<Told>);

/// What a question writes into a notebook of these entries. A throw belongs to the session that is running, if one is.
///
/// # Errors
/// What is wrong with the throw, in a sentence.
pub fn records(
    question: &Question,
    entries: &[Entry],
    session: Option<&str>,
) -> Result<Written, String> {
    let holding = holding(entries);
    let records = match question {
        Question::Settle { a, b } => {
            let (told, look) = judged::settled(entries, a, b)?;
            return Ok((vec![(None, look)], Some(told)));
        }
        Question::Calibrate { text } => {
            let (told, record) = judged::calibrated(entries, text)?;
            return Ok((vec![(None, record)], Some(told)));
        }
        Question::Look {} => Ok(Vec::new()),
        Question::Undo { since } => {
            let last = holding.iter().rev().find(|e| e.record.kind() == Kind::Throw);
            let last = last.ok_or("there is no throw to take back")?;
            if since.as_ref().is_some_and(|since| last.at < *since) {
                return Err("the last throw was made before this form was shared".to_owned());
            }
            Ok(vec![(Some(last.id.clone()), Record::Undo(Undo {}))])
        }
        Question::Path(filmed) => filmed.records(&Shelf::new(&holding)),
        Question::Session(begun) => Ok(vec![(None, begun.record()?.into())]),
        Question::Throw(thrown) => thrown.records(&Shelf::new(&holding), session),
    };
    Ok((records?, None))
}

impl Thrown {
    fn records(
        &self,
        shelf: &Shelf,
        session: Option<&str>,
    ) -> Result<Vec<(Option<String>, Record)>, String> {
        let plane = named(&self.plane, shelf)?;
        if plane.is_empty() {
            return Err("which plane was thrown?".to_owned());
        }
        let note = noted(self.note.as_deref())?;
        // In the words of the command line, so that what cannot be is refused in one place.
        let mut words = vec![plane.clone()];
        words.extend(self.distance_m.map(|m| format!("{m}m")));
        words.extend(self.time_s.map(|s| format!("{s}s")));
        words.extend([&self.did, &self.ended].into_iter().flatten().cloned());
        let known = Known { planes: vec![plane], copies: Vec::new() };
        let line = typed::throw(&words, &known, false);
        let throw = line.map_err(|m| format!("{}; {}", m.message, m.help))?.throw;
        let (version, mut records) = versioned(&throw.plane, self.text.as_deref(), shelf)?;
        let session = session.map(str::to_owned);
        records.push((None, Throw { version, session, note, ..throw }.into()));
        Ok(records)
    }
}

/// A name in one line, as the notebook spells it where it knows it.
fn named(plane: &str, shelf: &Shelf) -> Result<String, String> {
    let plane = one_line("the name of a plane is one line", plane)?;
    Ok(shelf.planes.iter().find(|p| alike(p, &plane)).cloned().unwrap_or(plane))
}

/// What commands a terminal or turns the direction of writing is no part of a name or a note.
fn odd(c: char) -> bool {
    turns_writing(c) || c.is_control() && c != '\n'
}

/// A text in one line, not too long; `what` begins the sentence that refuses it.
fn one_line(what: &str, text: &str) -> Result<String, String> {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if text.chars().count() > NAME_MAX || text.contains(odd) {
        return Err(format!("{what} of at most {NAME_MAX} letters"));
    }
    Ok(text)
}

fn noted(note: Option<&str>) -> Result<Option<String>, String> {
    let note = note.map(str::trim).filter(|n| !n.is_empty());
    if note.is_some_and(|n| n.chars().count() > NOTE_MAX) {
        return Err(format!("a note has at most {NOTE_MAX} letters"));
    }
    Ok(note.map(|n| n.chars().filter(|c| !odd(*c)).collect()))
}

/// The version thrown: that of the text on the bench, which is kept where it is new, or the newest.
type Versioned = (Option<String>, Vec<(Option<String>, Record)>);

fn versioned(plane: &str, text: Option<&str>, shelf: &Shelf) -> Result<Versioned, String> {
    let Some(text) = text else {
        let newest = shelf.newest(plane).map(|v: &Kept<Version>| v.record.version.clone());
        return Ok((newest, Vec::new()));
    };
    if text.len() > TEXT_MAX {
        return Err("this text is longer than a design can be".to_owned());
    }
    let version = version_of(text);
    let mut records = Vec::new();
    if shelf.number(plane, &version).is_none() {
        let (plane, text) = (plane.to_owned(), text.to_owned());
        let kept = Version { plane, version: version.clone(), text, note: None };
        records.push((None, kept.into()));
    }
    Ok((Some(version), records))
}

impl Filmed {
    fn records(&self, shelf: &Shelf) -> Result<Vec<(Option<String>, Record)>, String> {
        let plane = named(&self.plane, shelf)?;
        if plane.is_empty() {
            return Err("which plane was filmed?".to_owned());
        }
        track::read(&self.points, &Columns::default()).map_err(|e| e.to_string())?;
        let note = noted(self.note.as_deref())?;
        let (version, mut records) = versioned(&plane, self.text.as_deref(), shelf)?;
        let points = self.points.clone();
        // Written so that a value that is not a number counts as unknown.
        let sure = |v: Option<f64>, most: f64| v.filter(|v| 0.0 <= *v && *v <= most);
        let path = Path {
            plane,
            version,
            throw: None,
            points,
            note,
            scale_sd_percent: sure(self.scale_sd_percent, 100.0),
            level_sd_deg: sure(self.level_sd_deg, 90.0),
        };
        records.push((None, path.into()));
        Ok(records)
    }
}

impl Begun {
    fn record(&self) -> Result<Session, String> {
        let line = |text: &str| one_line("place and thrower are a line", text);
        let place = line(&self.place)?;
        if place.is_empty() {
            return Err("where are the throws made?".to_owned());
        }
        let thrower = self.thrower.as_deref().map(line).transpose()?.filter(|t| !t.is_empty());
        let temperature_c = self.temperature_c;
        let [least, most] = typed::TEMPERATURE_C;
        if temperature_c.is_some_and(|c| !(least..=most).contains(&c)) {
            return Err(format!("the air of a hall has between {least} and {most} degrees"));
        }
        Ok(Session { place, thrower, temperature_c, ..Session::default() })
    }
}

/// A notebook that the browser keeps: it comes with the question and goes back with the answer.
#[derive(Deserialize)]
struct Carried {
    /// The notebook as JSON; none before the first throw.
    book: Option<String>,
    /// The time, UTC.
    at: String,
    /// A session begun after this time still runs; none is known without.
    since: Option<String>,
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
        Ok((entries, told)) => {
            let session = carried.session(&entries);
            let shown = shown(&entries, session.as_deref(), told);
            Answer::json(200, &CarriedBack { book: exchange::to_json(&entries), shown })
        }
        Err(why) => Answer::message(422, &why),
    })
}

impl Carried {
    fn session(&self, entries: &[Entry]) -> Option<String> {
        running(&holding(entries), self.since.as_deref()?).map(|e| e.id.clone())
    }

    fn written(&self) -> Result<(Vec<Entry>, Option<Told>), String> {
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
        let session = self.session(&entries);
        let (records, told) = records(&self.question, &entries, session.as_deref())?;
        for (replaces, record) in records {
            let record = exchange::check(record)?;
            let again = |n| Entry::new(&self.at, replaces.clone(), record.clone(), n);
            let new = (0..).map(again).find(|e| entries.iter().all(|old| old.id != e.id));
            entries.extend(new);
        }
        Ok((entries, told))
    }
}

#[cfg(test)]
mod tests {
    use serde_json::{Value, json};

    use super::*;

    fn ask(book: &Value, question: Value) -> (u16, Value) {
        let body = json!({
            "book": book, "at": "2026-11-30T09:30:00.000Z", "since": "2026-11-29T21:30:00.000Z",
            "question": question,
        });
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
    fn who_shares_the_form_takes_back_what_was_thrown_since() {
        let (_, one) = ask(&Value::Null, throw(12.4));
        let undo = |since: &str| json!({ "undo": { "since": since } });
        assert_eq!(ask(&one["book"], undo("2026-11-30T10:00:00.000Z")).0, 422);
        assert_eq!(ask(&one["book"], undo("2026-11-30T09:00:00.000Z")).0, 200);
    }

    #[test]
    fn notes_and_names_command_no_terminal() {
        let mut said = throw(9.0);
        said["throw"]["note"] = json!("so\u{1b}[31m\u{202e}far");
        let (_, one) = ask(&Value::Null, said.clone());
        let book = one["book"].as_str().unwrap();
        assert!(book.contains("so[31mfar"), "{book}");
        said["throw"]["plane"] = json!("Hal\u{202e}yard");
        assert_eq!(ask(&Value::Null, said.clone()).0, 422);
        said["throw"]["plane"] = json!("");
        assert_eq!(ask(&Value::Null, said).0, 422);
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
    fn a_session_holds_the_throws_that_follow_and_a_film_is_kept() {
        let begun =
            json!({ "session": { "place": "boat hall", "thrower": "Pim", "temperature_c": 18 } });
        let (_, one) = ask(&Value::Null, begun);
        assert_eq!(one["session"], json!({ "place": "boat hall", "thrower": "Pim" }));
        let (_, two) = ask(&one["book"], throw(9.0));
        let points = (0..20).map(|k| format!("{k},{k},{}\n", 30 - k)).collect::<String>();
        let path = |points: &str| json!({ "path": { "plane": "halyard", "text": "plane Halyard\n", "points": points } });
        let (status, three) = ask(&two["book"], path(&format!("t,x,z\n{points}")));
        assert_eq!(status, 200, "{three}");
        let entries = exchange::from_json(three["book"].as_str().unwrap()).unwrap();
        let session = &entries[0].id;
        let of = |e: &Entry| Kept::<Throw>::of(e).and_then(|t| t.record.session);
        assert_eq!(entries.iter().find_map(of).as_ref(), Some(session));
        let path_kept = entries.iter().find_map(Kept::<Path>::of).unwrap().record;
        assert!(path_kept.plane == "Halyard" && path_kept.version.is_some());
        assert_eq!(ask(&Value::Null, path("t,x\n1,2\n")).0, 422);
        let nowhere =
            json!({ "session": { "place": " ", "thrower": null, "temperature_c": null } });
        assert_eq!(ask(&Value::Null, nowhere).0, 422);
        let hot = json!({ "session": { "place": "hall", "thrower": null, "temperature_c": 900 } });
        assert_eq!(ask(&Value::Null, hot).0, 422);
        // The next day it has ended.
        let body = json!({ "book": one["book"], "at": "2026-12-01T09:30:00.000Z",
            "since": "2026-11-30T21:30:00.000Z", "question": { "look": {} } });
        let later = carried(body.to_string().as_bytes());
        let later: Value = serde_json::from_slice(&later.body).unwrap();
        assert_eq!(later["session"], Value::Null);
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
