//! Why a real plane does what was seen of it: the answer of `why`.

use plumbfold::pipeline::Analysed;
use plumbfold::study::why::{Cause, Suspect, Symptom, Why as Found};
use plumbfold::verdict::reasons::Reasons;
use schemars::JsonSchema;
use serde::Serialize;

use crate::numbers::Numbers;
use crate::said::{fixed, of_the_time};

/// The answer of `why`.
#[derive(Serialize, JsonSchema)]
pub struct Why {
    /// Name of the plane.
    pub name: String,
    /// What was seen: `stalls`, `waves`, `dives`, `turns left`, `turns right`, `drops` or `tumbles`.
    pub symptom: &'static str,
    /// Share of the flights of the design as it is that show it, 0 to 1.
    pub share: f64,
    /// Flights behind that.
    pub draws: usize,
    /// The plane as it is designed.
    pub designed: Numbers,
    /// What the design itself says of it, in a sentence or two.
    pub said: String,
    /// What the causes make it do: `symptom`, or what is nearest to it where nothing makes it do
    /// that.
    pub explained: &'static str,
    /// What would explain it, the most probable first.
    pub causes: Vec<Suspected>,
}

/// Something amiss that would explain it.
#[derive(Serialize, JsonSchema)]
pub struct Suspected {
    /// What, in words, with how much of it is enough.
    pub what: String,
    /// How much, in `unit`.
    pub amount: f64,
    /// `mm`, `m/s` or `deg`.
    pub unit: &'static str,
    /// The same in standard deviations of a careful folder and a practised hand.
    pub deviations: f64,
    /// `likely`, `possible` or `only as a plain fault`.
    pub how_likely: &'static str,
    /// Share of the flights that then show it, 0 to 1.
    pub share: f64,
    /// A test a hand can do.
    pub test: String,
    /// What to do if the test says so.
    pub cure: String,
}

/// A share of its flights from which the design itself is said to do it.
const BY_DESIGN: f64 = 1.0 / 3.0;

impl Why {
    /// From what was found.
    pub fn new(plane: &Analysed, reasons: &Reasons, why: &Found) -> Self {
        let designed = Numbers::new(plane);
        let does = format!("it {}", why.symptom.words());
        // The cause that is known is that of the headline; another symptom has its own.
        let cause = match why.symptom.is_shown_by(plane.verdict.headline().behaviour) {
            true => reasons.cause.clone(),
            false => designed.verdict(),
        };
        let mut said = if why.share >= BY_DESIGN {
            format!(
                "By its text too {does}, {}: {cause}. `plumbfold mend` tells what to change; what \
                 else would do it:",
                of_the_time(why.share)
            )
        } else {
            format!(
                "By its text {does} {}: {}. What in the real plane or throw would explain it:",
                of_the_time(why.share),
                designed.verdict()
            )
        };
        if why.explained != why.symptom {
            said += &format!(
                " Nothing makes it do just that; this is what makes it do what is nearest, it {}:",
                why.explained.words()
            );
        }
        let balance_mm = designed.cg_behind_nose_mm;
        let meant = plane.throw.speed_m_s;
        Self {
            name: plane.balanced.airframe.name.clone(),
            symptom: why.symptom.words(),
            share: why.share,
            draws: why.draws,
            designed,
            said,
            explained: why.explained.words(),
            causes: why.causes.iter().map(|c| Suspected::new(c, balance_mm, meant)).collect(),
        }
    }
}

impl Suspected {
    fn new(c: &Cause, balance_mm: f64, meant_m_s: f64) -> Self {
        use Suspect::{
            Downward, EdgesDown, EdgesUp, Gentler, Harder, LeftEdgeUp, LeftWingLow, NoseDown,
            NoseHeavy, NoseUp, RightEdgeUp, RightWingLow, TailHeavy, Upward,
        };
        let (amount, unit, decimals) = match c.suspect {
            TailHeavy | NoseHeavy | EdgesUp | EdgesDown | LeftEdgeUp | RightEdgeUp => {
                (c.amount * 1e3, "mm", 1)
            }
            Harder | Gentler => (c.amount, "m/s", 1),
            Upward | Downward | LeftWingLow | RightWingLow | NoseUp | NoseDown => {
                (c.amount.to_degrees(), "deg", 0)
            }
        };
        let n = fixed(amount, decimals);
        let level = fixed(balance_mm, 0);
        let (what, test, cure) = match c.suspect {
            TailHeavy => (
                format!("it balances {n} mm further back than its text says"),
                format!(
                    "balance it across the edge of a ruler {level} mm behind the nose: its tail \
                     sinks"
                ),
                "fold the nose layers again as the text has them, or put a clip on the nose until \
                 it lies level"
                    .to_owned(),
            ),
            NoseHeavy => (
                format!("it balances {n} mm further forward than its text says"),
                format!(
                    "balance it across the edge of a ruler {level} mm behind the nose: its nose \
                     sinks"
                ),
                "take off what sits on the nose, or put a clip at the tail until it lies level"
                    .to_owned(),
            ),
            EdgesUp => (
                format!("both trailing edges stand {n} mm higher than they should"),
                "sight along them from behind, at eye height: both curl up".to_owned(),
                "stroke both flat, alike".to_owned(),
            ),
            EdgesDown => (
                format!("both trailing edges hang {n} mm lower than they should"),
                "sight along them from behind, at eye height: both curl down".to_owned(),
                "stroke both up, alike".to_owned(),
            ),
            LeftEdgeUp | RightEdgeUp => {
                let side = if c.suspect == LeftEdgeUp { "left" } else { "right" };
                (
                    format!("the {side} trailing edge stands {n} mm higher than the other"),
                    format!(
                        "look at it from behind, at eye height, wings level: the {side} edge is \
                         the higher one"
                    ),
                    "stroke the two edges alike; if they are, open both wings to the same height"
                        .to_owned(),
                )
            }
            Harder => (
                format!("it is thrown {n} m/s harder than the {} m/s meant", fixed(meant_m_s, 1)),
                "throw it three times more and more gently: it changes".to_owned(),
                "push it away level and let go, rather than throw".to_owned(),
            ),
            Gentler => (
                format!(
                    "it is thrown {n} m/s more gently than the {} m/s meant",
                    fixed(meant_m_s, 1)
                ),
                "throw it three times harder and harder: it changes".to_owned(),
                "throw it more firmly".to_owned(),
            ),
            Upward | Downward => {
                let way = if c.suspect == Upward { "upward" } else { "downward" };
                (
                    format!("it is thrown {n} degrees more {way} than meant"),
                    "aim at a mark on the wall at the height of your hand: it changes".to_owned(),
                    "keep the hand at one height while you throw".to_owned(),
                )
            }
            LeftWingLow | RightWingLow => {
                let side = if c.suspect == LeftWingLow { "left" } else { "right" };
                (
                    format!("it is thrown with the {side} wing {n} degrees low"),
                    "let somebody look from behind while you throw, or throw with the other hand"
                        .to_owned(),
                    "hold the wings level when you let go".to_owned(),
                )
            }
            NoseUp | NoseDown => {
                let way = if c.suspect == NoseUp { "above" } else { "below" };
                (
                    format!("its nose is held {n} degrees {way} the way of the hand"),
                    "let somebody look from the side while you throw".to_owned(),
                    "push along the keel".to_owned(),
                )
            }
        };
        let how_likely = match c.deviations {
            d if d <= 1.5 => "likely",
            d if d <= 3.0 => "possible",
            _ => "only as a plain fault",
        };
        Self {
            what,
            amount,
            unit,
            deviations: c.deviations,
            how_likely,
            share: c.share,
            test,
            cure,
        }
    }
}

/// The symptom asked for by its words, or by those in which a verdict says it.
pub fn symptom(words: &str) -> Option<Symptom> {
    use Symptom::{Drops, Stalls, TurnsLeft, TurnsRight, Waves};
    let words = words.replace('-', " ").to_lowercase();
    let words: Vec<&str> = words.split_whitespace().collect();
    let known = |s: &Symptom| s.words() == words.join(" ");
    Symptom::EVERY.into_iter().find(known).or(match words[..] {
        ["climbs", ..] => Some(Stalls),
        ["porpoises"] => Some(Waves),
        ["drops" | "falls", ..] => Some(Drops),
        ["banks" | "spirals" | "rolls", .., "left"] => Some(TurnsLeft),
        ["banks" | "spirals" | "rolls", .., "right"] => Some(TurnsRight),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use plumbfold::verdict::Behaviour;

    #[test]
    fn a_symptom_is_known_by_its_own_words_and_by_those_of_a_verdict() {
        for s in Symptom::EVERY {
            assert_eq!(symptom(s.words()), Some(s));
        }
        assert_eq!(symptom("banks off to the left"), Some(Symptom::TurnsLeft));
        assert_eq!(symptom("Turns-Right"), Some(Symptom::TurnsRight));
        for b in Behaviour::EVERY {
            let side = if b.words().starts_with(['b', 's']) { " right" } else { "" };
            let found = symptom(&format!("{}{side}", b.words()));
            assert_eq!(found.is_none(), b == Behaviour::Glides, "{}", b.words());
            assert!(found.is_none_or(|s| s.is_shown_by(b)), "{}", b.words());
        }
        assert_eq!(symptom("banks"), None, "to which side?");
    }
}
