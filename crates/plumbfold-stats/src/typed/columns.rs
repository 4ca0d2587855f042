//! Throws from a spreadsheet, by the names of its columns.

use crate::exchange::Table;
use crate::record::{Session, Throw};

use super::{
    Amount, DID, DISTANCE_MAX_M, ENDED, HEIGHT_MAX_M, Mistyped, TIME_MAX_S, amount, behaviour,
    credible, ended, mistyped, number, unit, within,
};

/// Which field of a throw a column holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapped {
    /// The field, by its short name.
    pub field: String,
    /// Name of the column.
    pub column: String,
}

/// Short names of the fields a spreadsheet can fill, and a throw's fields.
pub const FIELDS: [(&str, &str); 13] = [
    ("plane", "plane"),
    ("copy", "copy"),
    ("distance", "distance_m"),
    ("time", "time_s"),
    ("hand", "hand_m"),
    ("top", "top_m"),
    ("style", "style"),
    ("did", "did"),
    ("ended", "ended"),
    ("trim", "trim"),
    ("note", "note"),
    ("session", "session"),
    ("thrower", "thrower"),
];

/// What a spreadsheet gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken {
    /// Its throws, each with its session where there are such.
    pub throws: Vec<(Throw, Option<usize>)>,
    /// Sessions, in the order they come: rows with the same words (a date, a place) and thrower.
    pub sessions: Vec<Session>,
    /// Columns that hold something and were left out.
    pub left_out: Vec<String>,
}

/// Throws from a spreadsheet. Columns named as our fields are taken by themselves, others as
/// mapped; a unit in the column's name (`Weite [cm]`, `distance ft`) holds for its numbers.
///
/// # Errors
/// A column that is not there, a row without a plane, a cell that cannot be.
pub fn throws_of(table: &Table, mapped: &[Mapped], plane: Option<&str>) -> Result<Taken, Mistyped> {
    let mut columns: Vec<(&str, usize)> = Vec::new();
    for m in mapped {
        let field = FIELDS.iter().find(|f| f.0 == m.field || f.1 == m.field).ok_or_else(|| {
            let all: Vec<&str> = FIELDS.iter().map(|f| f.0).collect();
            mistyped(format!("a throw has no `{}`", m.field), format!("it has {}", all.join(", ")))
        })?;
        // The unit in a heading need not be typed again.
        let bare = |h: &String| without_unit(h).eq_ignore_ascii_case(m.column.trim());
        let at = table
            .column(&m.column)
            .or_else(|e| table.heading.iter().position(bare).ok_or(e))
            .map_err(|e| mistyped(e.to_string(), "names as in its first line"))?;
        columns.push((field.0, at));
    }
    for (short, long) in FIELDS {
        if !columns.iter().any(|c| c.0 == short)
            && let Some(at) = table.heading.iter().position(|h| {
                let name = without_unit(h).to_lowercase();
                name == short || name == long || h.trim().to_lowercase() == long
            })
        {
            columns.push((short, at));
        }
    }
    if !columns.iter().any(|c| matches!(c.0, "distance" | "time" | "did")) {
        let help = format!(
            "say which, such as --column distance={}",
            table.heading.first().map_or("Weite", String::as_str)
        );
        return Err(mistyped("no column holds a distance, a time or what it did", help));
    }
    let (mut throws, mut sessions) = (Vec::new(), Vec::<Session>::new());
    for (line, row) in &table.rows {
        if row.iter().all(|c| c.trim().is_empty()) {
            continue;
        }
        let fault = |m: Mistyped| mistyped(format!("line {line}: {}", m.message), m.help);
        let mut throw = Throw { plane: plane.unwrap_or_default().to_owned(), ..Throw::default() };
        let mut session = Session::default();
        for &(field, at) in &columns {
            let cell = row[at].trim();
            if cell.is_empty() {
                continue;
            }
            if field == "session" {
                // One day is one session however it is written.
                let rest = cell.split_once(char::is_whitespace).map_or("", |(_, rest)| rest);
                session.place = match day_of(cell) {
                    Some(day) => format!("{day} {}", rest.trim()).trim().to_owned(),
                    None => cell.to_owned(),
                };
            } else if field == "thrower" {
                session.thrower = Some(cell.to_owned());
            } else {
                fill(&mut throw, field, cell, unit_in(&table.heading[at])).map_err(fault)?;
            }
        }
        if throw.plane.is_empty() {
            return Err(fault(mistyped(
                "which plane?",
                "map a column with --column plane=…, or give --plane",
            )));
        }
        credible(&throw).map_err(fault)?;
        if session.thrower.is_some() && session.place.is_empty() {
            session.place.push_str("not said");
        }
        let known = sessions.iter().position(|s| *s == session);
        let session = (session != Session::default()).then(|| {
            known.unwrap_or_else(|| {
                sessions.push(session);
                sessions.len() - 1
            })
        });
        throws.push((throw, session));
    }
    let empty = |at: usize| table.rows.iter().all(|(_, row)| row[at].trim().is_empty());
    let left_out = (0..table.heading.len())
        .filter(|at| !columns.iter().any(|c| c.1 == *at) && !empty(*at))
        .map(|at| table.heading[at].trim().to_owned())
        .collect();
    Ok(Taken { throws, sessions, left_out })
}

/// The day that words begin with, as records say it: `2026-11-30` or `30.11.2026`. Days parted by strokes
/// are left alone: which number is the month is not known.
pub fn day_of(words: &str) -> Option<String> {
    let first = words.split_whitespace().next()?;
    let parts = |by: char| -> Option<[u32; 3]> {
        let all: Option<Vec<u32>> = first.split(by).map(|p| p.parse().ok()).collect();
        all?.try_into().ok()
    };
    let [year, month, day] = match (parts('-'), parts('.')) {
        (Some(ymd), _) => ymd,
        (_, Some([day, month, year])) => [year, month, day],
        _ => return None,
    };
    let known = (1900..=9999).contains(&year) && (1..=12).contains(&month);
    (known && (1..=31).contains(&day)).then(|| format!("{year:04}-{month:02}-{day:02}"))
}

/// The name of a column without the unit it ends in.
fn without_unit(heading: &str) -> &str {
    let plain = heading.trim().trim_end_matches([']', ')']);
    match unit_in(heading) {
        Some(unit) => plain[..plain.len() - unit.len()].trim_end_matches([' ', '[', '(', '_']),
        None => heading.trim(),
    }
}

/// The unit a column's name ends in, alone or in brackets: m for lengths, s for times.
fn unit_in(heading: &str) -> Option<&str> {
    let last = heading.trim().trim_end_matches([']', ')']);
    let at = last.rfind(|c: char| !c.is_alphabetic())?;
    Some(last[at..].trim_start_matches(|c: char| !c.is_alphabetic())).filter(|u| unit(u).is_some())
}

fn fill(
    throw: &mut Throw,
    field: &str,
    cell: &str,
    of_column: Option<&str>,
) -> Result<(), Mistyped> {
    let measured = |plain: &str| {
        let alone = matches!(number(cell), Some((_, "")));
        let text =
            if alone { format!("{cell}{}", of_column.unwrap_or(plain)) } else { cell.to_owned() };
        amount(&text)
    };
    let length = |most| match measured("m")? {
        Amount::Length(m) => within("a length", m, "m", most),
        _ => Err(mistyped(format!("`{cell}` is no length"), "say it in m, cm, mm, ft or in")),
    };
    let word = |found: Option<&'static str>, what: &str, known: &[(&'static str, &[&str])]| {
        let all: Vec<&str> = known.iter().map(|k| k.0).collect();
        found.map(str::to_owned).ok_or_else(|| {
            mistyped(format!("`{cell}` is not {what} in a word known here"), all.join(", "))
        })
    };
    match field {
        "distance" => throw.distance_m = Some(length(DISTANCE_MAX_M)?),
        "hand" => throw.hand_m = Some(length(HEIGHT_MAX_M)?),
        "top" => throw.top_m = Some(length(HEIGHT_MAX_M)?),
        "time" => match measured("s")? {
            Amount::Time(s) => throw.time_s = Some(within("a time aloft", s, "s", TIME_MAX_S)?),
            _ => return Err(mistyped(format!("`{cell}` is no time"), "say it in s")),
        },
        "plane" => cell.clone_into(&mut throw.plane),
        "copy" => throw.copy = Some(cell.to_owned()),
        "did" => throw.did = Some(word(behaviour(cell), "what a throw does", &DID)?),
        "style" => throw.style = Some(cell.to_owned()),
        "ended" => throw.ended = Some(word(ended(cell), "what ends a throw", &ENDED)?),
        "trim" => throw.trim = Some(cell.to_owned()),
        _ => throw.note = Some(cell.to_owned()),
    }
    Ok(())
}
