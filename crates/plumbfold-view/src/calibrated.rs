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
        let paths = count(self.paths, "filmed path", "filmed paths");
        let basis = match (self.throws, self.paths) {
            (0, _) => paths,
            (n, 0) => count(n, "throw", "throws"),
            (n, _) => format!("{} and {paths}", count(n, "throw", "throws")),
        };
        let mut said = format!("Fitted to {basis} of {}. ", self.plane);
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

/// What is said where a prediction uses a fit: to whose throws and when it was made, and how later
/// throws lie in it.
/// `later` is none where it was fitted to another text than this one.
pub fn in_use(
    c: &Calibration,
    kept: &Kept<record::Calibration>,
    later: Option<&[Throw]>,
) -> String {
    let day = kept.at.get(..10).unwrap_or(&kept.at);
    let record = &kept.record;
    let mut said = format!("as calibrated on {}", count(c.throws, "throw", "throws"));
    if c.films > 0 {
        said += &format!(" and {}", count(c.films, "filmed path", "filmed paths"));
    }
    for (before, whose) in
        [("by", &record.thrower), ("of the copy", &record.copy), ("of copies of", &record.paper)]
    {
        said += &whose.as_ref().map_or(String::new(), |whose| format!(" {before} {whose}"));
    }
    said += &format!(", on {day}");
    let Some(later) = later else {
        return said
            + &format!(
                "; those were throws of another text of {}: what differs from it here they do not \
                 know\n",
                record.plane
            );
    };
    let later_m: Vec<f64> = later.iter().filter_map(|t| t.distance_m).collect();
    let later_s: Vec<f64> = later.iter().filter_map(|t| t.time_s).collect();
    let both = [(later_m, c.distance_band_m, "distances"), (later_s, c.time_band_s, "times")];
    for (values, band, what) in both {
        if !values.is_empty() {
            let [inside, n] = Calibration::inside(&values, band);
            said += &format!(
                "; of {n} {what} measured since, {inside} ({}) lie inside the 80 % band",
                per_cent(inside as f64 / n as f64)
            );
        }
    }
    said + "\n"
}
