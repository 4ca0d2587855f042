//! What other programs may rely on: the answers of `--json` written down as JSON Schemas and as a
//! page, both made from the types that carry the answers.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::{Map, Value, json};

use plumbfold_stats::exchange::Book;

use crate::{
    air, balance, balance_point, best, calibrated, differ, filmed, flight, fold, log, many, mend,
    mistake, outline, results, serving, settle, tolerance, trace, why,
};

/// Raised when a key changes its meaning or goes; new keys do not raise it.
pub const SCHEMA: u32 = 4;

/// An answer with the number of its schema first.
#[derive(Serialize)]
pub struct Answer<'a, T> {
    schema: u32,
    #[serde(flatten)]
    answer: Flown<'a, T>,
}

// An answer that may count with what measurements made of the prediction; the words of its schema are
// the answer's own.
#[derive(Serialize, JsonSchema)]
struct Flown<'a, T> {
    /// The calibrations it counts with, one for each design; missing where none was asked for.
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    calibrated: &'a [calibrated::InUse],
    #[serde(flatten)]
    answer: &'a T,
}

impl<'a, T> Answer<'a, T> {
    /// Of this program, with the calibrations it counts with.
    pub fn new(answer: &'a T, calibrated: &'a [calibrated::InUse]) -> Self {
        Self { schema: SCHEMA, answer: Flown { calibrated, answer } }
    }
}

/// What a command answers.
pub struct Command {
    /// As it is typed, without options that do not change the answer's form.
    pub usage: &'static str,
    /// JSON Schema of its answer (draft 2020-12). Keys that are not in it do not occur.
    pub schema: Value,
}

/// Every command that answers in JSON.
pub fn commands() -> Vec<Command> {
    vec![
        command::<balance::Balance>("balance FILE"),
        command::<Flown<'_, many::Checked>>("check FILE"),
        command::<Flown<'_, many::CheckedMany>>("check FILE FILE…"),
        command::<Flown<'_, air::Aero>>("aero FILE"),
        command::<Flown<'_, flight::Fly>>("fly FILE"),
        command::<outline::Outline>("outline FILE"),
        command::<trace::Trace>("trace PHOTO"),
        command::<balance_point::Answer>("balance-point"),
        command::<differ::Differ>("differ DESIGN TRACED"),
        command::<Flown<'_, mend::Mend>>("mend FILE"),
        command::<Flown<'_, mend::Aim>>("mend FILE --to BALANCE"),
        command::<Flown<'_, why::Why>>("why FILE --it WHAT"),
        command::<Flown<'_, many::Series>>("series FILE --let LET"),
        command::<Flown<'_, many::Compare>>("compare FILE…"),
        command::<Flown<'_, tolerance::Tolerance>>("tolerance FILE"),
        command::<Flown<'_, best::Best>>("best FILE"),
        command::<fold::Fold>("fold FILE"),
        command::<serving::Serving>("serve PATH"),
        command::<log::Logged>("log throw WORDS"),
        command::<log::Listed>("log list"),
        command::<log::Shown>("log show ID"),
        command::<log::Taken>("log import FILE"),
        command::<log::Sheet>("log next PLANES"),
        command::<Book>("log export"),
        command::<results::Results>("results"),
        command::<settle::Settle>("settle A B"),
        command::<filmed::Filmed>("path FILE"),
        command::<calibrated::Calibrated>("calibrate FILE"),
        command::<mistake::Mistakes>("any command that fails"),
    ]
}

fn command<T: JsonSchema>(usage: &'static str) -> Command {
    let said = SchemaSettings::default().for_serialize();
    let mut schema = said.into_generator().into_root_schema_for::<T>().to_value();
    close(&mut schema);
    if let Some(root) = schema.as_object_mut() {
        root.remove("title");
        let number = json!({
            "description": "Number of this contract; it is raised when a key changes its meaning or goes.",
            "type": "integer",
            "const": SCHEMA,
        });
        let mut properties = Map::from_iter([("schema".to_owned(), number)]);
        if let Some(Value::Object(own)) = root.remove("properties") {
            properties.extend(own);
        }
        root.insert("properties".to_owned(), properties.into());
        if let Some(required) = root.get_mut("required").and_then(Value::as_array_mut) {
            required.insert(0, "schema".into());
        }
        // Parts stand last, as they are read last.
        if let Some(parts) = root.remove("$defs") {
            root.insert("$defs".to_owned(), parts);
        }
    }
    Command { usage, schema }
}

/// Forbids keys that are not named.
fn close(schema: &mut Value) {
    match schema {
        Value::Object(object) => {
            object.values_mut().for_each(close);
            if object.contains_key("properties") {
                object.insert("additionalProperties".to_owned(), false.into());
            }
        }
        Value::Array(all) => all.iter_mut().for_each(close),
        _ => {}
    }
}

const PREFACE: &str = "\
# What `--json` answers

This page is made from the types that carry the answers; do not edit it.

Every command with `--json` writes one JSON object to standard output, its messages to standard
error. `schema` is the number of this contract. New keys may come at any time; a key that changes
its meaning or goes raises the number. Version 2 turned `path[].y_m` to the right, and gave the
planes of `mend` and `best` before and after a change the same keys as those of `compare`. Version 3
made `behaviour` the likeliest of the flights everywhere; what the one flight thrown exactly so does
stands in `verdict.exactly`. Version 4 made `layers` null for a plane given by its outline, where it had
two zeros.

- Lengths are in mm (in the hall in m), areas in mm2, masses in g, angles in degrees, speeds in
  m/s, times in s; a fraction is 0 to 1. The name of a key ends in its unit.
- The right side is positive everywhere: places to the side, headings to the right, right wing
  down, rudder to the right. Up is positive: slopes, edges bent up, nose up. Descent is positive
  where the key says sink or glide angle.
- Places along the plane are counted from the nose backwards.
- A number that is not known is null. Numbers come with all their digits.

A command that cannot answer writes `errors` in place of its answer. Exit codes: 0 done; 1 the input
was wrong (of several designs, at least one); 2 the command line was wrong (one that cannot be read
at all is told in words only); 3 a check that was asked for did not hold; 130 stopped by Ctrl-C, with
what was found by then, and `complete` false where there is such a key.
";

/// The page `docs/json.md`.
pub fn markdown() -> String {
    let commands = commands();
    let mut page = PREFACE.to_owned();
    let mut parts: BTreeMap<&str, &Value> = BTreeMap::new();
    // Writing to a String cannot fail.
    for c in &commands {
        let _ = write!(page, "\n## `{}`\n\n{}\n\n", c.usage, says(&c.schema));
        table(&mut page, &c.schema);
        let own = c.schema.get("$defs").and_then(Value::as_object).into_iter().flatten();
        parts.extend(own.map(|(name, part)| (name.as_str(), part)));
    }
    page += "\n# Parts of answers\n";
    for (name, part) in parts {
        let _ = write!(page, "\n## {name}\n\n{}\n", says(part));
        if part.get("properties").is_some() {
            page.push('\n');
            table(&mut page, part);
        }
    }
    page += "\n# Schemas\n\nJSON Schema, draft 2020-12, one for each command.\n";
    for c in &commands {
        let schema = serde_json::to_string_pretty(&c.schema).unwrap_or_default();
        let _ = write!(page, "\n## Schema of `{}`\n\n```json\n{schema}\n```\n", c.usage);
    }
    page
}

fn says(schema: &Value) -> String {
    let text = schema.get("description").and_then(Value::as_str).unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn table(page: &mut String, schema: &Value) {
    let required = schema.get("required").and_then(Value::as_array);
    let required = |key: &str| required.is_some_and(|r| r.iter().any(|k| k == key));
    *page += "| key | value | meaning |\n|---|---|---|\n";
    for (key, value) in schema.get("properties").and_then(Value::as_object).into_iter().flatten() {
        let maybe = if required(key) { "" } else { ", may be missing" };
        // Writing to a String cannot fail.
        let _ = writeln!(page, "| `{key}` | {}{maybe} | {} |", kind(value), says(value));
    }
}

/// What a value is, in words.
fn kind(schema: &Value) -> String {
    if let Some(name) = schema.get("$ref").and_then(Value::as_str) {
        let name = name.rsplit('/').next().unwrap_or_default();
        return format!("[{name}](#{})", name.to_lowercase());
    }
    if let Some(either) = schema.get("anyOf").and_then(Value::as_array) {
        return either.iter().map(kind).collect::<Vec<_>>().join(" or ");
    }
    let one = |word: &str| match word {
        "string" => "text".to_owned(),
        "boolean" => "true or false".to_owned(),
        "integer" => "whole number".to_owned(),
        "array" => {
            let of = schema.get("items").map(kind).unwrap_or_default();
            match schema.get("minItems") {
                Some(n) => format!("{n} times {of}"),
                None => format!("list of {of}"),
            }
        }
        "object" => match schema.get("additionalProperties") {
            Some(of) if of.is_object() => format!("{} by name", kind(of)),
            _ => "object".to_owned(),
        },
        other => other.to_owned(),
    };
    match schema.get("type") {
        Some(Value::String(word)) => one(word),
        Some(Value::Array(words)) => {
            words.iter().filter_map(Value::as_str).map(one).collect::<Vec<_>>().join(" or ")
        }
        _ => "any".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn objects<'a>(schema: &'a Value, found: &mut Vec<&'a Map<String, Value>>) {
        match schema {
            Value::Object(o) => {
                if o.contains_key("properties") {
                    found.push(o);
                }
                o.values().for_each(|v| objects(v, found));
            }
            Value::Array(all) => all.iter().for_each(|v| objects(v, found)),
            _ => {}
        }
    }

    #[test]
    fn every_key_says_what_it_is_and_no_other_key_is_allowed() {
        for c in commands() {
            let mut all = Vec::new();
            objects(&c.schema, &mut all);
            for object in all {
                assert_eq!(object["additionalProperties"], false, "{}", c.usage);
                for (key, value) in object["properties"].as_object().unwrap() {
                    assert!(!says(value).is_empty(), "{}: {key} is not described", c.usage);
                }
            }
        }
    }

    #[test]
    fn every_length_speed_and_angle_names_its_unit() {
        let units = [
            ("_mm", "mm"),
            ("_mm2", "mm2"),
            ("_m", "m"),
            ("_g", "g"),
            ("_s", "s"),
            ("_mps", "m/s"),
            ("_deg", "degrees"),
            ("_n_m2", "N/m2"),
        ];
        for c in commands() {
            let mut all = Vec::new();
            objects(&c.schema, &mut all);
            for (key, value) in all.iter().flat_map(|o| o["properties"].as_object().unwrap()) {
                // A list or part says it where its numbers stand.
                let number = kind(value).contains("number");
                let unit = units.iter().filter(|u| key.ends_with(u.0)).max_by_key(|u| u.0.len());
                if let Some((_, unit)) = unit.filter(|_| number && !key.ends_with("_per_s")) {
                    let words: Vec<String> =
                        says(value).split([' ', ',', ';', '.', ':']).map(str::to_owned).collect();
                    assert!(words.iter().any(|w| w == unit), "{}: {key}: {words:?}", c.usage);
                }
            }
        }
    }

    #[test]
    fn parts_of_one_name_are_one_part() {
        let mut parts: BTreeMap<String, Value> = BTreeMap::new();
        for c in commands() {
            for (name, part) in
                c.schema.get("$defs").and_then(Value::as_object).into_iter().flatten()
            {
                let known = parts.entry(name.clone()).or_insert_with(|| part.clone());
                assert_eq!(known, part, "{name}");
            }
        }
    }
}
