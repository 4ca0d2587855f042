//! The answer of `serve`.

use schemars::JsonSchema;
use serde::Serialize;

/// Where the page is.
#[derive(Serialize, JsonSchema)]
pub struct Serving {
    /// Address on this machine.
    pub address: String,
    /// Address of the form for throws, where it is shared; null elsewhere.
    pub form: Option<String>,
}
