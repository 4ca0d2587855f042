use std::collections::BTreeSet;

use plumbfold_stats::record::{Entry, Kind, Record, holding};
use plumbfold_stats::results::Shelf;
use plumbfold_stats::typed::alike;
use plumbfold_view::log::{Listed, Noted, Shown, short};

use super::Call;
use crate::error::Error;

/// Show the newest records, or those of a plane or a kind
#[derive(clap::Args)]
pub struct List {
    /// Of this plane only
    #[arg(long, value_name = "PLANE")]
    plane: Option<String>,
    /// Of this kind only: throw, session, version, copy, balance, path, photo, calibration, look, undo
    #[arg(long, value_name = "KIND", value_parser = kind)]
    kind: Option<Kind>,
    /// How many at most
    #[arg(short = 'n', long, value_name = "N", default_value_t = 20)]
    newest: usize,
    /// All of them
    #[arg(long, conflicts_with = "newest")]
    all: bool,
    /// Those that were replaced or taken back, too
    #[arg(long)]
    replaced: bool,
}

fn kind(word: &str) -> Result<Kind, String> {
    Kind::of_word(word).ok_or_else(|| {
        let all: Vec<&str> = Kind::EVERY.iter().map(|k| k.word()).collect();
        format!("kinds are {}", all.join(", "))
    })
}

/// Whether a record is of a plane.
fn is_of(record: &Record, plane: &str) -> bool {
    let own = match record {
        Record::Version(r) => &r.plane,
        Record::Copy(r) => &r.plane,
        Record::Balance(r) => &r.plane,
        Record::Throw(r) => &r.plane,
        Record::Path(r) => &r.plane,
        Record::Photo(r) => &r.of,
        Record::Calibration(r) => &r.plane,
        Record::Session(_) | Record::Look(_) | Record::Undo(_) => return false,
    };
    alike(own, plane)
}

impl List {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let entries = call.book.entries()?;
        let holding = holding(&entries);
        let shown = if self.replaced { entries.iter().collect() } else { holding.clone() };
        let wanted = |e: &&Entry| {
            self.kind.is_none_or(|k| e.record.kind() == k)
                && self.plane.as_ref().is_none_or(|p| is_of(&e.record, p))
                && (self.replaced || self.kind.is_some() || e.record.kind() != Kind::Undo)
        };
        let wanted: Vec<&Entry> = shown.into_iter().filter(wanted).collect();
        let most = if self.all { usize::MAX } else { self.newest };
        let older = wanted.len().saturating_sub(most);
        let shelf = Shelf::new(&holding);
        let records: Vec<Noted> = wanted[older..].iter().map(|e| Noted::new(e, &shelf)).collect();
        let holds: BTreeSet<&str> = holding.iter().map(|e| e.id.as_str()).collect();
        let marked = |n: &Noted| match holds.contains(n.id.as_str()) {
            true => line(n),
            false => format!("{}  (no longer holds)\n", line(n).trim_end()),
        };
        let lines = records.iter().map(marked).collect::<String>();
        let notebook = call.book.path()?.display().to_string();
        let listed = Listed { notebook, records, older };
        call.answer(&listed, &lines)?;
        if call.global.json {
            return Ok(());
        }
        if listed.records.is_empty() {
            call.system.message("nothing of that kind\n");
        }
        if older > 0 {
            call.system.message(&format!("{older} older ones are not shown; --all shows them\n"));
        }
        Ok(())
    }
}

fn line(n: &Noted) -> String {
    // To the minute; the rest is in --json.
    let at = n.at.get(..16).unwrap_or(&n.at).replace('T', " ");
    format!("{}  {at} UTC  {}\n", short(&n.id), n.said)
}

/// Show one record with all its fields and what became of it
#[derive(clap::Args)]
pub struct Show {
    /// Beginning of the record's id
    id: String,
}

impl Show {
    pub fn run(&self, call: &mut Call<'_>) -> Result<(), Error> {
        let entries = call.book.entries()?;
        let entry = super::find(&entries, &self.id)?;
        let mut family = vec![entry.id.as_str()];
        // What it replaces, and what replaces any of those: to the ends both ways.
        loop {
            let more: Vec<&str> = entries
                .iter()
                .flat_map(|e| {
                    let old = e.replaces.as_deref().unwrap_or_default();
                    let (has_old, has_new) =
                        (family.contains(&old), family.contains(&e.id.as_str()));
                    [
                        (has_old && !has_new).then_some(e.id.as_str()),
                        (has_new && !has_old && !old.is_empty()).then_some(old),
                    ]
                })
                .flatten()
                .collect();
            if more.is_empty() {
                break;
            }
            family.extend(more);
        }
        let holding = holding(&entries);
        let shelf = Shelf::new(&holding);
        let family = entries.iter().filter(|e| family.contains(&e.id.as_str()));
        let history: Vec<Noted> = family.map(|e| Noted::new(e, &shelf)).collect();
        let holds = holding.iter().any(|e| e.id == entry.id);
        let of_it = |e: &&&Entry| matches!(&e.record, Record::Photo(p) if p.of == entry.id);
        let photos = holding.iter().filter(of_it).map(|e| Noted::new(e, &shelf)).collect();
        let shown = Shown { record: Noted::new(entry, &shelf), holds, history, photos };
        let width = shown.record.fields.keys().map(String::len).max().unwrap_or(0).max(4);
        let mut text = format!("{}\n  {:<width$}  {}\n", shown.record.id, "at", shown.record.at);
        for (name, value) in &shown.record.fields {
            let value = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
            let below = format!("\n{:1$}", "", width + 4);
            text += &format!("  {name:<width$}  {}\n", value.replace('\n', &below));
        }
        if shown.history.len() > 1 {
            text += "history\n";
            for n in &shown.history {
                text += &format!("  {}", line(n));
            }
        }
        if !shown.photos.is_empty() {
            text += "photos\n";
            for n in &shown.photos {
                text += &format!("  {}", line(n));
            }
        }
        if !holds {
            text += "it no longer holds\n";
        }
        call.answer(&shown, &text)
    }
}
