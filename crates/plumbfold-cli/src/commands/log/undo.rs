use plumbfold_stats::record::{Entry, Kind, Record, Throw, holding};
use plumbfold_stats::results::Shelf;
use plumbfold_stats::typed::{self, Known};
use plumbfold_view::log::{Noted, short};

use super::Call;
use crate::error::Error;
use crate::notebook_file::mistyped;

/// Take back the newest record, or that with an id; the record itself stays
#[derive(clap::Args)]
pub struct Undo {
    /// Beginning of the record's id
    id: Option<String>,
}

impl Undo {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let Some(asked) = &self.id else { return last(call) };
        let entries = call.book.entries()?;
        take_back(super::find(&entries, asked)?, &entries, call)
    }
}

/// Takes back the newest record that holds; what was taken back already and looks do not count.
pub fn last(call: &mut Call<'_>) -> Result<(), Error> {
    let entries = call.book.entries()?;
    let counts = |e: &&&Entry| !matches!(e.record.kind(), Kind::Undo | Kind::Look);
    let holding = holding(&entries);
    let newest = holding.iter().rev().find(counts);
    let newest = newest.ok_or_else(|| Error::input("the notebook holds nothing to take back"))?;
    take_back(newest, &entries, call)
}

fn still_holds(entry: &Entry, holding: &[&Entry]) -> Result<(), Error> {
    if holding.iter().any(|e| e.id == entry.id) {
        return Ok(());
    }
    Err(Error::input("that record was replaced or taken back already")
        .hint(format!("`plumbfold log show {}` tells its history", short(&entry.id))))
}

fn take_back(entry: &Entry, entries: &[Entry], call: &mut Call<'_>) -> Result<(), Error> {
    let holding = holding(entries);
    still_holds(entry, &holding)?;
    let said = Noted::new(entry, &Shelf::new(&holding)).said;
    let undo = Record::Undo(plumbfold_stats::record::Undo {});
    call.write(vec![(Some(entry.id.clone()), undo)])?;
    call.system.message(&format!("taken back: {said}\n"));
    Ok(())
}

/// Correct a throw: what is given replaces what stood there, in a new record
#[derive(clap::Args)]
pub struct Correct {
    /// Beginning of the throw's id
    id: String,
    /// What is right, in the words of `log throw`
    #[arg(required = true)]
    words: Vec<String>,
}

impl Correct {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let entries = call.book.entries()?;
        let entry = super::find(&entries, &self.id)?;
        let holding = holding(&entries);
        still_holds(entry, &holding)?;
        let Record::Throw(old) = &entry.record else {
            return Err(Error::usage("only throws are corrected in words")
                .hint("take others back with `plumbfold log undo ID` and record them again"));
        };
        let shelf = Shelf::new(&holding);
        let known = Known { planes: shelf.planes, copies: shelf.copies };
        let mut words = self.words.clone();
        // The words of a correction may leave out the plane and all that was right.
        let complete = |words: &[String]| typed::throw(words, &known, false);
        let read = complete(&words).or_else(|e| {
            words.push(old.plane.clone());
            complete(&words).map_err(|_| e)
        });
        let new = read.map_err(mistyped)?.throw;
        let throw = Throw {
            version: if new.plane == old.plane { old.version.clone() } else { None },
            plane: new.plane,
            copy: new.copy.or_else(|| old.copy.clone()),
            session: old.session.clone(),
            distance_m: new.distance_m.or(old.distance_m),
            time_s: new.time_s.or(old.time_s),
            hand_m: new.hand_m.or(old.hand_m),
            top_m: new.top_m.or(old.top_m),
            style: new.style.or_else(|| old.style.clone()),
            did: new.did.or_else(|| old.did.clone()),
            ended: new.ended.or_else(|| old.ended.clone()),
            trim: old.trim.clone(),
            note: old.note.clone(),
        };
        typed::credible(&throw).map_err(mistyped)?;
        call.write(vec![(Some(entry.id.clone()), throw.into())]).map(drop)
    }
}
