//! Behaviours as words of the JSON, and how probable each is.

use std::borrow::Cow;
use std::collections::BTreeMap;

use plumbfold::verdict::{Behaviour as Kind, headline};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use serde_json::{Map, Value, json};

use crate::said::{NEARLY_ALWAYS, per_cent};

/// What a plane does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Behaviour(pub Kind);

impl Behaviour {
    /// In words for people.
    pub fn words(self) -> &'static str {
        self.0.words()
    }
}

impl Serialize for Behaviour {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.0.code())
    }
}

impl JsonSchema for Behaviour {
    fn schema_name() -> Cow<'static, str> {
        "Behaviour".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "What a plane does: `leaf` (drops, flutters), `tumbles`, `stalls` (climbs \
                            and stalls), `porpoises`, `glides`, `dives`, `banks` (off to one side), \
                            `spirals`.",
            "type": "string",
            "enum": Kind::EVERY.map(Kind::code),
        })
    }
}

/// What is said first of a plane: `glides in 82 % of throws`, `nearly always glides`, `on an edge:
/// glides (52 %) or dives (28 %)`. `or` is what it is near to doing instead, where it is on an edge.
pub fn headline(behaviour: Behaviour, share: f64, or: Option<(Behaviour, f64)>) -> String {
    let does = behaviour.words();
    match or {
        Some((other, less)) => format!(
            "on an edge: {does} ({}) or {} ({})",
            per_cent(share),
            other.words(),
            per_cent(less)
        ),
        None if share > NEARLY_ALWAYS => format!("nearly always {does}"),
        None => format!("{does} in {} of throws", per_cent(share)),
    }
}

/// Key of the flights that could not be followed.
const UNKNOWN: &str = "unknown";

/// Probability of each behaviour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probabilities {
    each: [(Kind, f64); 8],
    /// Share of the flights that could not be followed.
    pub unknown: f64,
}

impl Probabilities {
    /// From a verdict.
    pub fn new(p: &headline::Probabilities) -> Self {
        Self { each: p.each, unknown: p.unknown }
    }

    /// Of one behaviour.
    pub fn of(&self, behaviour: Behaviour) -> f64 {
        self.each.iter().find(|(b, _)| *b == behaviour.0).map_or(0.0, |(_, p)| *p)
    }

    /// The others, the most probable first.
    pub fn others(&self, than: Behaviour) -> Vec<(Behaviour, f64)> {
        let others = self.each.iter().filter(|(b, _)| *b != than.0);
        let mut others: Vec<_> = others.map(|&(b, p)| (Behaviour(b), p)).collect();
        others.sort_by(|a, b| b.1.total_cmp(&a.1));
        others
    }
}

impl Serialize for Probabilities {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let unknown = (UNKNOWN, self.unknown);
        let each: BTreeMap<&str, f64> =
            self.each.iter().map(|(b, p)| (b.code(), *p)).chain([unknown]).collect();
        each.serialize(serializer)
    }
}

impl JsonSchema for Probabilities {
    fn schema_name() -> Cow<'static, str> {
        "Probabilities".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let mut codes: Vec<&str> =
            Kind::EVERY.map(Kind::code).into_iter().chain([UNKNOWN]).collect();
        codes.sort_unstable();
        let share = |code: &str| {
            let says = match code {
                UNKNOWN => {
                    "Share of the flights that could not be followed, or met a wall before they showed a glide, 0 to 1."
                }
                _ => "Probability of this behaviour, 0 to 1.",
            };
            (code.to_owned(), json!({ "description": says, "type": "number" }))
        };
        let properties: Map<String, Value> = codes.iter().map(|c| share(c)).collect();
        json_schema!({
            "description": "Probability of each behaviour; they sum to 1.",
            "type": "object",
            "properties": properties,
            "required": codes,
        })
    }
}
