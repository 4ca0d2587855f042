//! Answers as other programs read them.

use serde::Serialize;

use crate::error::Error;
use crate::world::World;

/// Raised when a key changes its meaning or goes; new keys do not raise it.
const SCHEMA: u32 = 1;

/// Every answer, with the schema first.
#[derive(Serialize)]
struct Answer<'a, T> {
    schema: u32,
    #[serde(flatten)]
    answer: &'a T,
}

/// Prints one answer.
pub fn answer(world: &mut World, answer: &impl Serialize) -> Result<(), Error> {
    let text = serde_json::to_string_pretty(&Answer { schema: SCHEMA, answer })
        .map_err(|e| Error::internal(format!("cannot write the answer as JSON: {e}")))?;
    world.answer(&(text + "\n"))
}
