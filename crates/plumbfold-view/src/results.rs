//! What the throws of a notebook say: the answer of `results`.

use plumbfold_stats::record::Throw;
use plumbfold_stats::results::{Group, Measure, Shelf, Trend};
use plumbfold_stats::sample::Summary;
use schemars::JsonSchema;
use serde::Serialize;

use crate::said::{count, fixed, per_cent};

/// The answer of `results`.
#[derive(Serialize, JsonSchema)]
pub struct Results {
    /// Each plane and version, in the order they were first thrown.
    pub planes: Vec<Thrown>,
}

/// The throws of one plane and version.
#[derive(Serialize, JsonSchema)]
pub struct Thrown {
    /// What they are called.
    pub name: String,
    /// Throws recorded.
    pub throws: usize,
    /// Distances in m; null where none was measured.
    pub distance: Option<Summary>,
    /// Times aloft in s; null where none was measured.
    pub time: Option<Summary>,
    /// What each session did to the distance, or to the time where no distance was measured.
    pub trends: Vec<SessionTrend>,
    /// Behaviours seen, the most frequent first.
    pub seen: Vec<Seen>,
    /// Throws that a wall, the ceiling or a person ended: their numbers say less of the plane.
    pub stopped: usize,
    /// Every throw, for plots.
    pub every: Vec<Each>,
    /// All that in a sentence or two.
    pub said: String,
}

/// One throw of a plot.
#[derive(Serialize, JsonSchema)]
pub struct Each {
    /// The throw's record.
    pub id: String,
    /// Distance, m; null where it was not measured.
    pub distance_m: Option<f64>,
    /// Time aloft, s; null where it was not measured.
    pub time_s: Option<f64>,
    /// What it did, as the verdict says it; null where nobody said.
    pub did: Option<String>,
}

/// How throws changed over a session.
#[derive(Serialize, JsonSchema)]
pub struct SessionTrend {
    /// The session's place and thrower; null for throws outside any.
    pub session: Option<String>,
    /// Throws measured.
    pub throws: usize,
    /// Change from one throw to the next, m or s.
    pub each: f64,
    /// Its 95 % interval by least squares and Student's t.
    pub interval: [f64; 2],
    /// `learning`, `tiring`, or `neither shows`.
    pub says: &'static str,
}

/// A behaviour and how often it was seen.
#[derive(Serialize, JsonSchema)]
pub struct Seen {
    /// As the verdict says it.
    pub behaviour: String,
    /// How often.
    pub throws: usize,
}

impl Results {
    /// Of some groups of throws.
    pub fn new(shelf: &Shelf, groups: &[Group<'_>]) -> Self {
        Self { planes: groups.iter().map(|g| Thrown::new(shelf, g)).collect() }
    }
}

/// The words of a behaviour's code.
fn words(code: &str) -> String {
    let known = plumbfold::verdict::Behaviour::EVERY.into_iter().find(|b| b.code() == code);
    known.map_or_else(|| code.to_owned(), |b| b.words().to_owned())
}

impl Thrown {
    /// Of one group.
    pub fn new(shelf: &Shelf, group: &Group<'_>) -> Self {
        let [distance, time] =
            [Measure::Distance, Measure::Time].map(|m| Summary::of(&group.values(m)));
        let measure = if distance.is_some() { Measure::Distance } else { Measure::Time };
        let session = |t: &Trend| {
            let session = shelf.sessions.get(t.session.as_ref()?)?;
            let by = session.record.thrower.as_ref().map(|w| format!(", {w}"));
            Some(format!("{}{}", session.record.place, by.unwrap_or_default()))
        };
        let trends = group.trends(measure);
        let trends = trends.iter().map(|t| SessionTrend {
            session: session(t),
            throws: t.throws,
            each: t.line.slope,
            interval: t.line.slope_interval(),
            says: ["tiring", "neither shows", "learning"][(t.sign() + 1) as usize],
        });
        let each = |id: &str, t: &Throw| Each {
            id: id.to_owned(),
            distance_m: t.distance_m,
            time_s: t.time_s,
            did: t.did.clone(),
        };
        let mut thrown = Self {
            name: group.label.clone(),
            throws: group.throws.len(),
            distance,
            time,
            trends: trends.collect(),
            seen: group
                .seen()
                .into_iter()
                .map(|(behaviour, throws)| Seen { behaviour, throws })
                .collect(),
            stopped: group.stopped(),
            every: group.throws.iter().map(|t| each(&t.id, &t.record)).collect(),
            said: String::new(),
        };
        thrown.said = thrown.sentences(measure);
        thrown
    }

    fn sentences(&self, measure: Measure) -> String {
        let mut said = format!("{}: {}", self.name, count(self.throws, "throw", "throws"));
        for (summary, verb, unit) in [(&self.distance, "goes", "m"), (&self.time, "stays up", "s")]
        {
            if let Some(s) = summary {
                said += &format!("; {verb} {}", typical(s, unit));
            }
        }
        said.push('.');
        if let Some(seen) = self.seen() {
            said += &format!(" Seen: {seen}.");
        }
        for t in self.trends.iter().filter(|t| t.says != "neither shows") {
            let place = t.session.as_ref().map_or(String::new(), |s| format!(" in {s}"));
            let (by, unit) = (fixed(t.each.abs(), 2), measure.unit());
            let (further, less) = measure.ways();
            let way = if t.each < 0.0 { less } else { further };
            let why = if t.each < 0.0 { "a tiring arm" } else { "practice" };
            let n = t.throws;
            said += &format!(
                " Over the {n} throws{place} it went {by} {unit} {way} with each: {why}, perhaps."
            );
        }
        if self.stopped > 0 {
            let flights = count(self.stopped, "flight was", "flights were");
            said += &format!(
                " {flights} ended by a wall, the ceiling or a person and counts as far as it came: \
                 how far it would have gone is not known."
            );
        }
        said
    }

    /// What was seen, in words; none where nobody said.
    pub fn seen(&self) -> Option<String> {
        let all: usize = self.seen.iter().map(|s| s.throws).sum();
        let share = |s: &Seen| {
            format!("{} ({})", words(&s.behaviour), per_cent(s.throws as f64 / all as f64))
        };
        let said = self.seen.iter().map(share).collect::<Vec<_>>().join(", ");
        match all {
            0 => None,
            n if n == self.throws => Some(said),
            n => Some(format!("{said}, of the {n} of which it was said")),
        }
    }
}

/// `5.2 m, give or take 0.4` with the interval of the mean.
fn typical(s: &Summary, unit: &str) -> String {
    match (s.sd, s.mean_interval) {
        (Some(sd), Some([low, high])) => format!(
            "{} {unit}, single throws give or take {} {unit} (the mean lies between {} {unit} and \
             {} {unit})",
            fixed(s.mean, 2),
            fixed(sd, 2),
            fixed(low, 2),
            fixed(high, 2)
        ),
        _ => format!("{} {unit}", fixed(s.mean, 2)),
    }
}
