//! Answers about many planes: several designs checked or compared, and a series of one design.

use std::collections::BTreeMap;

use plumbfold::pipeline::Analysed;
use plumbfold::study::series::{Along, Variant};
use plumbfold::verdict::reasons::Reasons;
use schemars::JsonSchema;
use serde::Serialize;

use crate::balance::Balance;
use crate::flight::InTheAir;
use crate::mistake::Mistake;
use crate::numbers::{Numbers, Plane};

/// The answer of `check` for one design.
#[derive(Serialize, JsonSchema)]
pub struct Checked {
    /// File as named on the command line.
    pub file: String,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub balance: Balance,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub in_the_air: InTheAir,
    /// What to look at, though it can be folded and flown.
    pub warnings: Vec<Mistake>,
    /// Files of the pictures drawn.
    pub pictures: Vec<String>,
}

/// The answer of `check` for several designs.
#[derive(Default, Serialize, JsonSchema)]
pub struct CheckedMany {
    /// Those that can be folded and flown, in the order named.
    pub planes: Vec<Checked>,
    /// Mistakes of the others; left out where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<Mistake>,
}

impl Checked {
    /// From SI; with the words and files that belong to it.
    pub fn new(
        file: &str,
        a: &Analysed,
        reasons: &Reasons,
        warnings: Vec<Mistake>,
        pictures: Vec<String>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            balance: Balance::new(&a.balanced),
            in_the_air: InTheAir::new(a, reasons),
            warnings,
            pictures,
        }
    }
}

/// The answer of `compare`.
#[derive(Serialize, JsonSchema)]
pub struct Compare {
    /// Those that can be folded and flown, in the order named.
    pub planes: Vec<Compared>,
    /// Mistakes of the others; left out where there are none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub errors: Vec<Mistake>,
}

/// One of the planes compared.
#[derive(Serialize, JsonSchema)]
pub struct Compared {
    /// File as named on the command line.
    pub file: String,
    /// Name of the plane.
    pub name: String,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub numbers: Numbers,
}

/// The answer of `series`.
#[derive(Serialize, JsonSchema)]
pub struct Series {
    /// Name of the plane.
    pub name: String,
    /// The lets that change.
    pub lets: Vec<Let>,
    /// A plane for each value, or pair of values.
    pub variants: Vec<OneOfSeries>,
}

/// A let in steps.
#[derive(Serialize, JsonSchema)]
pub struct Let {
    /// Its name.
    pub name: String,
    /// Unit of its values; empty for counts and plain numbers.
    pub unit: &'static str,
    /// The value the design has.
    pub now: f64,
    /// The values asked for.
    pub values: Vec<f64>,
}

/// One plane of a series.
#[derive(Serialize, JsonSchema)]
pub struct OneOfSeries {
    /// Value of each let by its name, in the unit of the let.
    pub values: BTreeMap<String, f64>,
    /// Its numbers; null where it cannot be folded or flown.
    pub plane: Option<Numbers>,
    /// Why it cannot.
    pub errors: Vec<Mistake>,
}

impl Series {
    /// From what was flown, and the text it was made from with the name of its file.
    pub fn new(
        name: &str,
        along: &[Along],
        variants: &[Variant<Plane>],
        (file, text): (&str, &str),
    ) -> Self {
        let shown_let = |a: &Along| Let {
            name: a.dial.name.clone(),
            unit: a.dial.unit.symbol(),
            now: a.dial.value,
            values: a.values.clone(),
        };
        let variant = |v: &Variant<Plane>| OneOfSeries {
            values: along.iter().map(|a| a.dial.name.clone()).zip(v.values.clone()).collect(),
            plane: v.outcome.as_ref().ok().map(|p| p.numbers.clone()),
            errors: v.outcome.as_ref().err().map_or_else(Vec::new, |p| {
                p.diagnostics.iter().map(|d| Mistake::new(file, text, d)).collect()
            }),
        };
        Self {
            name: name.to_owned(),
            lets: along.iter().map(shown_let).collect(),
            variants: variants.iter().map(variant).collect(),
        }
    }
}
