//! What measurements made of the prediction: the answer of `calibrate`.

use plumbfold_stats::calibration::{Calibration, Evidence, Fitted};
use plumbfold_stats::record::{self, Kept, Throw};
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::{count, fixed, per_cent};

/// The answer of `calibrate`.
#[derive(Serialize, JsonSchema)]
pub struct Calibrated {
    /// Name of the plane.
    pub plane: String,
    /// Measured throws behind the fit.
    pub throws: usize,
    /// Filmed paths behind it.
    pub paths: usize,
    /// A measured balance point stands behind it.
    pub balance: bool,
    /// Every free number before and after.
    pub numbers: Vec<Fitted>,
    /// Share of the draws about the most probable numbers that is worth something, 0 to 1: near 1
    /// where the normal approximation holds.
    pub worth: f64,
    /// Distances, before and after.
    pub distance: Against,
    /// Times aloft, before and after.
    pub time: Against,
    /// Scatter of the distances within sessions, as a share of their mean; null where too few were
    /// measured.
    pub scatter: Option<f64>,
    /// Kept in the notebook under this id; null where it was not.
    pub kept: Option<String>,
    /// All that in a few sentences.
    pub said: String,
}

/// Predicted against measured.
#[derive(Clone, Copy, Serialize, JsonSchema)]
pub struct Against {
    /// 80 % band of single throws before anything was fitted, m or s.
    pub before: [f64; 2],
    /// The same after, m or s.
    pub after: [f64; 2],
    /// Throws measured.
    pub throws: usize,
    /// Of those, inside the band before.
    pub inside_before: usize,
    /// Inside the band after; they are those it was fitted to.
    pub inside_after: usize,
}

/// From here on throws scatter by more than a hand does (common practice, no source: 5 to 10 %;
/// Lanchester's seven launches: 7 %).
const UNEVEN: f64 = 0.12;

/// What a fit stands on.
fn basis(throws: usize, paths: usize) -> String {
    let filmed = count(paths, "filmed path", "filmed paths");
    match (throws, paths) {
        (0, _) => filmed,
        (n, 0) => count(n, "throw", "throws"),
        (n, _) => format!("{} and {filmed}", count(n, "throw", "throws")),
    }
}

impl Calibrated {
    /// Of a fit of a plane to what was measured.
    pub fn new(c: &Calibration, plane: &str, evidence: &Evidence, kept: Option<String>) -> Self {
        let compared = |values: &[f64], before: [f64; 2], after: [f64; 2]| Against {
            before,
            after,
            throws: values.len(),
            inside_before: Calibration::inside(values, before)[0],
            inside_after: Calibration::inside(values, after)[0],
        };
        let (distances, times) = (evidence.distances_m(), evidence.times_s());
        let mut answer = Self {
            plane: plane.to_owned(),
            throws: c.throws,
            paths: c.films,
            balance: evidence.balance_aft_m.is_some(),
            numbers: c.numbers.clone(),
            worth: c.worth,
            distance: compared(&distances, c.distance_before_m, c.distance_band_m),
            time: compared(&times, c.time_before_s, c.time_band_s),
            scatter: evidence.scatter(),
            kept,
            said: String::new(),
        };
        answer.said = answer.sentences();
        answer
    }

    fn sentences(&self) -> String {
        let told: Vec<&Fitted> = self.numbers.iter().filter(|n| n.told).collect();
        let mut said = format!("Fitted to {} of {}. ", basis(self.throws, self.paths), self.plane);
        said += &match told.len() {
            0 => {
                "That tells none of the model's free numbers better than it was known before; the \
                  prediction stays about what it was."
                    .to_owned()
            }
            n => format!(
                "That tells {} of the model's {} free numbers; the others stay within what was known of them before.",
                n,
                self.numbers.len()
            ),
        };
        for (c, what, unit) in [(&self.distance, "goes", "m"), (&self.time, "stays up", "s")] {
            if c.throws > 0 {
                said += &format!(
                    " Four throws in five of some other day it {what} {} to {} {unit} (before: {} to \
                     {} {unit}): of {} measured, {} lie inside.",
                    fixed(c.after[0], 1),
                    fixed(c.after[1], 1),
                    fixed(c.before[0], 1),
                    fixed(c.before[1], 1),
                    c.throws,
                    c.inside_after
                );
            }
        }
        if let Some(scatter) = self.scatter.filter(|s| *s > UNEVEN) {
            said += &format!(
                " These throws scatter by {}, more than a hand alone makes (5 to 10 %): some fly \
                 otherwise than others, and how many do is another share each day.",
                per_cent(scatter)
            );
        }
        said
    }
}

/// A fit that an answer counts with: whose throws it was made of, and how later ones lie in it.
#[derive(Clone, Serialize, JsonSchema)]
pub struct InUse {
    /// Name of the plane.
    pub plane: String,
    /// Id of the record in the notebook.
    pub record: String,
    /// Day it was made on, UTC.
    pub on: String,
    /// Measured throws behind it.
    pub throws: usize,
    /// Filmed paths behind it.
    pub paths: usize,
    /// By this hand only; null for any.
    pub thrower: Option<String>,
    /// Of this folded copy only; null for any.
    pub copy: Option<String>,
    /// Of copies of this paper only; null for any.
    pub paper: Option<String>,
    /// Distances predicted and measured since; null where it was fitted to another text than this one.
    pub distance: Option<Since>,
    /// Times aloft, the same.
    pub time: Option<Since>,
    /// All that in a sentence.
    pub said: String,
}

/// Predicted against what was measured later.
#[derive(Clone, Copy, Serialize, JsonSchema)]
pub struct Since {
    /// 80 % band of single throws on some other day, m or s.
    pub band: [f64; 2],
    /// Throws measured since the fit.
    pub throws: usize,
    /// Of those, inside the band.
    pub inside: usize,
}

impl Since {
    fn new(band: [f64; 2], values: impl Iterator<Item = f64>) -> Self {
        let values: Vec<f64> = values.collect();
        let [inside, throws] = Calibration::inside(&values, band);
        Self { band, throws, inside }
    }

    fn said(&self, goes: &str, unit: &str) -> String {
        let [low, high] = self.band.map(|v| fixed(v, 1));
        let predicted = format!("{goes} {low} to {high} {unit}");
        match self.throws {
            0 => predicted,
            n => {
                let inside = per_cent(self.inside as f64 / n as f64);
                format!("{predicted} (of {n} measured since, {} did: {inside})", self.inside)
            }
        }
    }
}

impl InUse {
    /// Of a fit kept in a notebook; `later` are the throws since, none where it was fitted to another
    /// text than the one it is used for.
    pub fn new(c: &Calibration, kept: &Kept<record::Calibration>, later: Option<&[Throw]>) -> Self {
        let record = &kept.record;
        let since = |band, of: fn(&Throw) -> Option<f64>| {
            later.map(|throws| Since::new(band, throws.iter().filter_map(of)))
        };
        let mut answer = Self {
            plane: record.plane.clone(),
            record: kept.id.clone(),
            on: kept.at.get(..10).unwrap_or(&kept.at).to_owned(),
            throws: c.throws,
            paths: c.films,
            thrower: record.thrower.clone(),
            copy: record.copy.clone(),
            paper: record.paper.clone(),
            distance: since(c.distance_band_m, |t| t.distance_m),
            time: since(c.time_band_s, |t| t.time_s),
            said: String::new(),
        };
        answer.said = answer.sentence();
        answer
    }

    fn sentence(&self) -> String {
        let mut said = format!("on {}", basis(self.throws, self.paths));
        for (before, whose) in
            [("by", &self.thrower), ("of the copy", &self.copy), ("of copies of", &self.paper)]
        {
            said += &whose.as_ref().map_or(String::new(), |whose| format!(" {before} {whose}"));
        }
        said += &format!(", on {}; ", self.on);
        match (&self.distance, &self.time) {
            (Some(distance), Some(time)) => {
                said + &format!("{}; {}", distance.said("go", "m"), time.said("stay up", "s"))
            }
            _ => {
                said + &format!(
                    "those were throws of another text of {}: what differs from it here they do \
                         not know",
                    self.plane
                )
            }
        }
    }
}
