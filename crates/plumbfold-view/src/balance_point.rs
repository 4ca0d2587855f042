//! A balance point from what was measured by hand: the answer of `balance-point`, and a part of
//! `trace`.

use plumbfold_trace::balance::{Located, Pass};
use plumbfold_trace::shares::Measured;
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::fixed;

/// A measured number and how sure it is.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Uncertain {
    /// Likeliest value.
    pub value: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Lower end of the interval that holds the truth 19 times in 20.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl From<Measured> for Uncertain {
    fn from(m: Measured) -> Self {
        let [low, high] = m.interval();
        Self { value: m.value, sd: m.sd, low, high }
    }
}

impl Uncertain {
    /// `92.4 mm behind the nose, give or take 0.7 mm`: the half width of the interval, in the unit
    /// that the words begin with.
    pub fn said(&self, unit: &str, decimals: usize) -> String {
        let half = fixed((self.high - self.low) / 2.0, decimals.max(1));
        let own = unit.split(' ').next().unwrap_or_default();
        format!("{} {unit}, give or take {half} {own}", fixed(self.value, decimals))
    }
}

/// A balance point from several measurements.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BalancePoint {
    /// Place behind the nose, mm.
    pub behind_nose_mm: Uncertain,
    /// Place to the right of the line of symmetry, mm.
    pub right_mm: Uncertain,
    /// Each measurement, in the order given.
    pub measurements: Vec<Measurement>,
    /// Sides of the largest triangle in which three of the lines cross, mm; null for fewer lines.
    pub triangle_mm: Option<[f64; 3]>,
    /// Chance that measurements as good as these differ by as much; null where none is left over.
    pub chance: Option<f64>,
    /// Whether they contradict each other.
    pub disagree: bool,
}

/// One measurement against the balance point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Measurement {
    /// What it was, such as `balance line 2`.
    pub what: String,
    /// Distance of its line from the balance point, mm.
    pub off_mm: f64,
    /// What was to be expected, standard deviation, mm.
    pub expected_mm: f64,
    /// Where it alone puts the balance of a symmetric plane behind the nose, mm; null for a line
    /// along the line of symmetry.
    pub alone_behind_nose_mm: Option<f64>,
}

impl BalancePoint {
    /// In the units of people.
    pub fn new(b: &Located) -> Self {
        let of = |value, sd| Measured { value, sd }.into();
        let pass = |p: &Pass| Measurement {
            what: p.what.clone(),
            off_mm: p.off_mm,
            expected_mm: p.sd_mm,
            alone_behind_nose_mm: p.alone_mm,
        };
        Self {
            behind_nose_mm: of(b.at.y, b.sd[1]),
            right_mm: of(b.at.x, b.sd[0]),
            measurements: b.passes.iter().map(pass).collect(),
            triangle_mm: b.triangle,
            chance: b.chance,
            disagree: b.disagrees(),
        }
    }

    /// What to do where the measurements contradict each other.
    pub fn warning(&self) -> Option<String> {
        let worst = self
            .measurements
            .iter()
            .max_by(|a, b| (a.off_mm / a.expected_mm).total_cmp(&(b.off_mm / b.expected_mm)))?;
        self.disagree.then(|| {
            format!(
                "What was measured disagrees: {} passes {:.1} mm from the balance point, where \
                 {:.1} mm was to be expected. Measure it again.",
                worst.what, worst.off_mm, worst.expected_mm
            )
        })
    }
}

/// The answer of `balance-point`.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Answer {
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub point: BalancePoint,
    /// Share of the wing area ahead of it, 0 to 1, where an outline was given.
    pub area_ahead_fraction: Option<Uncertain>,
}
