//! What a thrower types in one line: `halyard 12.4m 3.1s stalled`, words in any order.

mod columns;

use crate::credible::mistyped;
use crate::record::Throw;

pub use crate::credible::{DISTANCE_MAX_M, HEIGHT_MAX_M, Mistyped, NOTE_MAX, TIME_MAX_S, credible};
pub use columns::{FIELDS, Mapped, Taken, day_of, throws_of};

/// Temperatures taken for those of a hall, degrees Celsius.
pub const TEMPERATURE_C: [f64; 2] = [-40.0, 60.0];

/// What is already known to the notebook.
#[derive(Clone, Debug, Default)]
pub struct Known {
    /// Names of planes.
    pub planes: Vec<String>,
    /// Names of copies and of the planes they are of.
    pub copies: Vec<(String, String)>,
}

/// A number with its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// m.
    Length(f64),
    /// s.
    Time(f64),
    /// g.
    Mass(f64),
}

/// Units of what is typed, in SI or grams (international foot and inch: 0.3048 m and 0.0254 m, 1959
/// agreement).
fn unit(word: &str) -> Option<fn(f64) -> Amount> {
    Some(match word.to_lowercase().as_str() {
        "m" | "metre" | "metres" | "meter" | "meters" => Amount::Length,
        "cm" => |v| Amount::Length(v * 0.01),
        "mm" => |v| Amount::Length(v * 0.001),
        "ft" | "foot" | "feet" | "'" | "′" => |v| Amount::Length(v * 0.3048),
        "in" | "inch" | "inches" | "\"" | "″" => |v| Amount::Length(v * 0.0254),
        "s" | "sec" | "second" | "seconds" => Amount::Time,
        "ms" => |v| Amount::Time(v * 0.001),
        "g" | "gram" | "grams" => Amount::Mass,
        "oz" => |v| Amount::Mass(v * 28.349_523_125),
        _ => return None,
    })
}

/// The number at the beginning of a word and what follows it; a comma may stand for the point.
fn number(word: &str) -> Option<(f64, &str)> {
    let sign = word.len() - word.trim_start_matches(['-', '+', '−']).len();
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let end = word[sign..].find(|c| !digits(c)).map_or(word.len(), |e| sign + e);
    if !word[sign..end].contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    // 1e9 is a number too, and told to be too large rather than not understood.
    let power = word[end..].strip_prefix(['e', 'E']).map_or(0, |rest| {
        let n = rest.trim_start_matches(['-', '+']);
        let digits = n.len() - n.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        if digits == 0 { 0 } else { 1 + rest.len() - n.len() + digits }
    });
    let end = end + power;
    let value: f64 = word[..end].replace(',', ".").replace('−', "-").parse().ok()?;
    Some((value, word[end..].trim_start()))
}

/// A quantity such as `12.4m`, `40 ft`, `3,1 s`.
///
/// # Errors
/// No number, no unit, or one that is not known.
pub fn amount(text: &str) -> Result<Amount, Mistyped> {
    let known = "units: m, cm, mm, ft, in; s; g";
    let (value, rest) =
        number(text.trim()).ok_or_else(|| mistyped(format!("`{text}` is no number"), known))?;
    if rest.is_empty() {
        return Err(mistyped(
            format!("`{text}` of what?"),
            format!("say {text}m for a distance, {text}s for a time"),
        ));
    }
    // Feet and inches: 17ft6in.
    let feet = rest.strip_prefix("ft").or_else(|| rest.strip_prefix(['\'', '′']));
    if let Some((inches, "in" | "\"" | "″")) = feet.and_then(number) {
        return Ok(Amount::Length(value * 0.3048 + inches * 0.0254));
    }
    let unit =
        unit(rest).ok_or_else(|| mistyped(format!("`{rest}` is no unit known here"), known))?;
    Ok(unit(value))
}

/// A length in m that can be, from `12.4m`; a number alone is in the unit given, m to one of it.
///
/// # Errors
/// No length, or one nobody measures at a throw.
pub fn length_m(text: &str, plain_m: f64, most_m: f64) -> Result<f64, Mistyped> {
    match number(text.trim()) {
        Some((value, "")) => within("a length", value * plain_m, "m", most_m),
        _ => match amount(text)? {
            Amount::Length(m) => within("a length", m, "m", most_m),
            _ => Err(mistyped(format!("`{text}` is no length"), "say it in m, cm, mm, ft or in")),
        },
    }
}

/// The same for a mass, g.
///
/// # Errors
/// No mass, or none of a paper plane.
pub fn mass_g(text: &str) -> Result<f64, Mistyped> {
    let grams = match number(text.trim()) {
        Some((value, "")) => value,
        _ => match amount(text)? {
            Amount::Mass(g) => g,
            _ => return Err(mistyped(format!("`{text}` is no mass"), "say it in g")),
        },
    };
    if grams == 0.0 {
        return Err(mistyped(
            "a plane of 0 g cannot be",
            "leave the mass out where it was not weighed",
        ));
    }
    within("a mass", grams, "g", 1000.0)
}

fn within(what: &str, value: f64, unit: &str, most: f64) -> Result<f64, Mistyped> {
    // Written so that a value that is not a number fails.
    if 0.0 <= value && value <= most {
        return Ok(value);
    }
    let help = format!("{what} here lies between 0 and {most} {unit}");
    Err(mistyped(format!("{what} of {value} {unit} cannot be"), help))
}

/// Behaviours in the words people use, and the verdict's word for each.
const DID: [(&str, &[&str]); 8] = [
    ("glides", &["glides", "glided", "glide", "flew", "flies"]),
    ("stalls", &["stalls", "stalled", "stall"]),
    ("porpoises", &["porpoises", "porpoised", "porpoise", "waves", "waved", "swings", "swung"]),
    ("dives", &["dives", "dived", "dove", "dive"]),
    ("banks", &["banks", "banked", "bank", "turns", "turned", "curved"]),
    ("spirals", &["spirals", "spiralled", "spiraled", "spiral"]),
    ("tumbles", &["tumbles", "tumbled", "tumble", "looped", "loops", "loop"]),
    ("leaf", &["leaf", "drops", "dropped", "drop", "fluttered"]),
];
const STYLES: [&str; 5] = ["gentle", "level", "firm", "hard", "steep"];
const ENDED: [(&str, &[&str]); 3] = [
    ("wall", &["wall"]),
    ("ceiling", &["ceiling", "roof"]),
    ("person", &["person", "caught", "somebody"]),
];

fn among(words: &[(&'static str, &[&str])], word: &str) -> Option<&'static str> {
    words.iter().find(|w| w.1.contains(&word)).map(|w| w.0)
}

/// The verdict's word for what was seen.
pub fn behaviour(word: &str) -> Option<&'static str> {
    among(&DID, &word.trim().to_lowercase())
}

/// How a throw was made.
pub fn style(word: &str) -> Option<&'static str> {
    STYLES.into_iter().find(|s| *s == word.trim().to_lowercase())
}

/// What ended a flight before the floor.
pub fn ended(word: &str) -> Option<&'static str> {
    among(&ENDED, &word.trim().to_lowercase())
}

/// Words that say nothing here.
const FILLERS: [&str; 12] =
    ["a", "the", "it", "and", "at", "after", "hit", "then", "in", "flew", "for", "was"];

/// Names that differ by no more than this many letters may be the same, mistyped.
const ALIKE: usize = 2;

/// The nearest of some words, where it is near.
pub fn nearest<'a>(word: &str, all: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let far = |a: &str| strsim::damerau_levenshtein(&a.to_lowercase(), &word.to_lowercase());
    let best = all.into_iter().map(|a| (far(a), a)).min()?;
    (best.0 <= ALIKE.min(word.chars().count() / 3)).then_some(best.1)
}

/// What a line says of a throw, and whether its plane is a new one.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The throw.
    pub throw: Throw,
    /// The notebook did not know the plane.
    pub new_plane: bool,
}

/// What is said of a line that names a plane and nothing of a throw.
pub const NOTHING_MEASURED: &str = "a throw needs a distance, a time or what it did";

/// Reads the words of a throw. With `new`, a plane the notebook does not know is taken however
/// much its name looks like that of another.
///
/// # Errors
/// A word that says nothing known, two of a kind, a number that cannot be, or no plane.
pub fn throw(words: &[String], known: &Known, new: bool) -> Result<Line, Mistyped> {
    let words = parted(&words.join(" "), known);
    let mut throw = Throw::default();
    let mut unknown: Vec<&str> = Vec::new();
    let mut meant: Option<&str> = None;
    let mut k = 0;
    while k < words.len() {
        let word = words[k].as_str();
        let measured = measured(&words[k..]);
        k += 1;
        if let Some((words, joined)) = measured {
            k += words - 1;
            length_or_time(&mut throw, &joined, meant.take())?;
        } else if number(word).is_some_and(|(_, rest)| rest.is_empty()) {
            length_or_time(&mut throw, word, meant.take())?;
        } else if matches!(word, "from" | "top" | "up") && k < words.len() {
            meant = Some(if word == "from" { "from" } else { "top" });
        } else if let Some(did) = behaviour(word) {
            once(&mut throw.did, did, "what it did")?;
        } else if let Some(style) = style(word) {
            once(&mut throw.style, style, "how it was thrown")?;
        } else if let Some(ended) = ended(word) {
            once(&mut throw.ended, ended, "what it hit")?;
        } else if let Some((copy, plane)) = known.copies.iter().find(|c| alike(&c.0, &words[k - 1]))
        {
            once(&mut throw.copy, copy, "the copy")?;
            if throw.plane.is_empty() {
                throw.plane.clone_from(plane);
            }
        } else if let Some(plane) = known.planes.iter().find(|p| alike(p, &words[k - 1])) {
            throw.plane.clone_from(plane);
        } else if !FILLERS.contains(&word.to_lowercase().as_str()) {
            unknown.push(&words[k - 1]);
        }
    }
    let new_plane = take_unknown(&mut throw, &unknown, known, new)?;
    if throw.plane.is_empty() {
        let known = match known.planes.is_empty() {
            true => "such as `halyard 12.4m 3.1s stalled`".to_owned(),
            false => format!("the notebook knows {}", known.planes.join(", ")),
        };
        return Err(mistyped("which plane was thrown?", known));
    }
    if throw.distance_m.is_none() && throw.time_s.is_none() && throw.did.is_none() {
        return Err(mistyped(
            NOTHING_MEASURED,
            format!("such as `{} 12.4m 3.1s stalled`", throw.plane),
        ));
    }
    credible(&throw)?;
    Ok(Line { throw, new_plane })
}

/// How many of the first words are one quantity, `17 ft 6 in` at the longest, and they joined.
fn measured(words: &[String]) -> Option<(usize, String)> {
    number(words.first()?)?;
    let joined = |n: usize| Some((n, words.get(..n)?.concat()));
    (1..=4).rev().filter_map(joined).find(|(_, joined)| amount(joined).is_ok())
}

/// The words of a line; a known name of several words is one.
fn parted(line: &str, known: &Known) -> Vec<String> {
    const JOINT: &str = "\u{1f}";
    let mut line = line.to_owned();
    for name in known.planes.iter().chain(known.copies.iter().map(|c| &c.0)) {
        let found = line.to_lowercase().find(&name.to_lowercase()).filter(|_| name.contains(' '));
        // Letters whose small form is longer move what follows: such a name is not found.
        if let Some(at) = found
            && line.get(at..at + name.len()).is_some_and(|there| alike(there, name))
        {
            line.replace_range(at..at + name.len(), &name.replace(' ', JOINT));
        }
    }
    line.split_whitespace().map(|w| w.replace(JOINT, " ")).collect()
}

/// Names are the same whatever their case.
pub fn alike(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

fn once(place: &mut Option<String>, said: &str, what: &str) -> Result<(), Mistyped> {
    if let Some(before) = place.as_deref().filter(|b| *b != said) {
        let message = format!("{what} is said twice: {before} and {said}");
        return Err(mistyped(message, "one line is one throw"));
    }
    *place = Some(said.to_owned());
    Ok(())
}

fn length_or_time(throw: &mut Throw, word: &str, meant: Option<&str>) -> Result<(), Mistyped> {
    let (place, value, what) = match (amount(word)?, meant) {
        (Amount::Time(s), _) => {
            (&mut throw.time_s, within("a time aloft", s, "s", TIME_MAX_S)?, "time")
        }
        (Amount::Length(m), Some("from")) => {
            let m = within("the height of a hand", m, "m", HEIGHT_MAX_M)?;
            (&mut throw.hand_m, m, "height of the hand")
        }
        (Amount::Length(m), Some(_)) => {
            (&mut throw.top_m, within("a height", m, "m", HEIGHT_MAX_M)?, "greatest height")
        }
        (Amount::Length(m), None) => {
            (&mut throw.distance_m, within("a distance", m, "m", DISTANCE_MAX_M)?, "distance")
        }
        (Amount::Mass(_), _) => {
            let help = "what a plane weighs goes to `log balance`";
            return Err(mistyped(format!("{word} is a mass, and a throw has none"), help));
        }
    };
    if place.is_some() {
        let help = "`from 1.8m` is the height of the hand, `top 2.5m` the greatest height";
        return Err(mistyped(format!("a second {what}: {word}"), help));
    }
    *place = Some(value);
    Ok(())
}

fn take_unknown(
    throw: &mut Throw,
    unknown: &[&str],
    known: &Known,
    new: bool,
) -> Result<bool, Mistyped> {
    let vocabulary = || {
        let did = DID.iter().flat_map(|d| d.1.iter().copied());
        let ended = ENDED.iter().flat_map(|d| d.1.iter().copied());
        did.chain(STYLES).chain(ended)
    };
    let names = || {
        let copies = known.copies.iter().map(|c| c.0.as_str());
        known.planes.iter().map(String::as_str).chain(copies)
    };
    match unknown {
        [] => Ok(false),
        // A name of several words.
        several if new && throw.plane.is_empty() && several.len() > 1 => {
            throw.plane = several.join(" ");
            Ok(true)
        }
        [one] if throw.plane.is_empty() => {
            let like = nearest(one, names()).or_else(|| nearest(one, vocabulary()));
            if let Some(like) = like.filter(|_| !new) {
                let message = format!("nothing is called `{one}`; is it `{like}`?");
                let copy = known.planes.iter().find(|p| {
                    let rest = one.to_lowercase();
                    rest.strip_prefix(&p.to_lowercase()).is_some_and(|r| r.starts_with('-'))
                });
                let help = match copy {
                    Some(plane) => format!(
                        "a copy of it: `plumbfold log copy {one} --of {plane}` first; a plane of \
                         that name: add --new"
                    ),
                    None => "for a plane of that name add --new".to_owned(),
                };
                return Err(Mistyped { message, help });
            }
            if !one.chars().any(char::is_alphabetic) {
                return Err(mistyped(format!("`{one}` says nothing of a throw"), LIKE));
            }
            throw.plane = (*one).to_owned();
            Ok(true)
        }
        [one, ..] => {
            let like = nearest(one, vocabulary().chain(names()));
            let message = match like {
                Some(like) => format!("`{one}` says nothing of a throw; is it `{like}`?"),
                None => format!("`{one}` says nothing of a throw"),
            };
            let help = match throw.plane.is_empty() {
                true => format!("{LIKE}; for a new plane of several words add --new"),
                false => LIKE.to_owned(),
            };
            Err(mistyped(message, help))
        }
    }
}

const LIKE: &str = "a plane, a distance, a time, what it did: `halyard 12.4m 3.1s stalled`; \
                    anything else goes to --note";

#[cfg(test)]
mod tests;
