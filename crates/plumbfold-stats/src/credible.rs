//! What can be true of a throw, whoever says it: a line that is typed, a form, a file.

use crate::record::{Entry, Record, Throw};

/// Furthest distance taken for a throw's, m: more than twice any reported from a hand.
pub const DISTANCE_MAX_M: f64 = 200.0;
/// Longest time taken for a throw's, s.
pub const TIME_MAX_S: f64 = 120.0;
/// Highest place taken, m: a balcony of a large hall.
pub const HEIGHT_MAX_M: f64 = 100.0;
/// Letters of a note.
pub const NOTE_MAX: usize = 1000;

/// Something that was typed and cannot be meant, and what may help.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{message}")]
pub struct Mistyped {
    /// What is wrong, in a sentence.
    pub message: String,
    /// A way out.
    pub help: String,
}

pub(crate) fn mistyped(message: impl Into<String>, help: impl Into<String>) -> Mistyped {
    Mistyped { message: message.into(), help: help.into() }
}

/// Fastest mean speed over the floor taken for a throw's, m/s: what a design may be thrown with.
const SPEED_MAX_M_S: f64 = plumbfold::flight::throw::SPEED_MAX_M_S;

/// Whether a throw can have been.
///
/// # Errors
/// A number that no throw has, distance and time that say a speed that no hand throws, a height below
/// the hand, or a note that is none.
pub fn credible(throw: &Throw) -> Result<(), Mistyped> {
    for (what, value, most) in [
        ("distance_m", throw.distance_m, DISTANCE_MAX_M),
        ("time_s", throw.time_s, TIME_MAX_S),
        ("hand_m", throw.hand_m, HEIGHT_MAX_M),
        ("top_m", throw.top_m, HEIGHT_MAX_M),
    ] {
        if let Some(v) = value.filter(|v| !(0.0..=most).contains(v)) {
            let message = format!("{what} of {v} cannot be: it lies between 0 and {most}");
            return Err(mistyped(message, "leave out what was not measured"));
        }
    }
    if let (Some(hand), Some(top)) = (throw.hand_m, throw.top_m)
        && top < hand
    {
        let message = format!("the greatest height, {top} m, is below the hand, {hand} m");
        return Err(mistyped(message, "one of the two is mistyped"));
    }
    if throw.note.as_ref().is_some_and(|n| n.chars().count() > NOTE_MAX) {
        return Err(mistyped(format!("a note has at most {NOTE_MAX} letters"), "shorten it"));
    }
    let (Some(m), Some(s)) = (throw.distance_m, throw.time_s) else { return Ok(()) };
    if m <= SPEED_MAX_M_S * s {
        return Ok(());
    }
    let message =
        format!("{m} m in {s} s cannot be: no hand throws at more than {SPEED_MAX_M_S} m/s");
    Err(mistyped(message, "one of the two is mistyped; leave out what was not measured"))
}

/// A record that could have been written here: what is refused by hand is not taken in from a file.
pub fn sound(entry: Entry) -> Result<Entry, String> {
    if !is_time(&entry.at) {
        return Err(format!("`{}` is no time such as 2026-11-30T10:00:00.000Z", entry.at));
    }
    if let Record::Throw(t) = &entry.record {
        credible(t).map_err(|m| m.message)?;
    }
    Ok(entry)
}

/// Whether a text is a time as records have it: UTC, to the millisecond (RFC 3339, 2002).
fn is_time(text: &str) -> bool {
    let form = "0000-00-00T00:00:00.000Z";
    let fits = text.len() == form.len()
        && text
            .bytes()
            .zip(form.bytes())
            .all(|(c, f)| if f == b'0' { c.is_ascii_digit() } else { c == f });
    let within = |from: usize, [least, most]: [u32; 2]| {
        text[from..from + 2].parse().is_ok_and(|n: u32| (least..=most).contains(&n))
    };
    fits && within(5, [1, 12])
        && within(8, [1, 31])
        && within(11, [0, 23])
        && within(14, [0, 59])
        && within(17, [0, 60])
}
