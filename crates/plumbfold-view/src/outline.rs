//! A plane given by its outline: the answer of `outline`.

use plumbfold::air;
use plumbfold::pipeline::Analysed;
use plumbfold::verdict::reasons::Reasons;
use schemars::JsonSchema;
use serde::Serialize;

use crate::air::Air;
use crate::balance::Balance;
use crate::flight::InTheAir;

/// Balance, air and flight.
#[derive(Serialize, JsonSchema)]
pub struct Outline {
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub balance: Balance,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub air: Air,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub in_the_air: InTheAir,
}

impl Outline {
    /// From SI, and the air it was flown in.
    pub fn new(a: &Analysed, reasons: &Reasons, air: &air::Air) -> Self {
        let (plane, speed) = (&a.balanced, a.throw.speed_m_s);
        Self {
            balance: Balance::new(plane),
            air: Air::new(&a.aircraft, plane, speed, air.density_kg_m3),
            in_the_air: InTheAir::new(a, reasons),
        }
    }
}
