//! What would mend a plane, and what would balance it as wished: the answers of `mend`.

use plumbfold::study::remedy::aim::{Aimed, Short, Solution, Target, Why};
use plumbfold::study::remedy::{self, Mended};
use plumbfold::verdict::Behaviour as Kind;
use schemars::JsonSchema;
use serde::Serialize;

use crate::behaviour::Behaviour;
use crate::numbers::Numbers;
use crate::said::fixed;

/// The answer of `mend`.
#[derive(Serialize, JsonSchema)]
pub struct Mend {
    /// The plane as it is.
    pub before: Numbers,
    /// What makes it glide clearly more often: first what takes back something the text states,
    /// then what achieves the most for what it costs.
    pub remedies: Vec<Remedy>,
    /// What came closest without helping clearly, the best first.
    pub tried: Vec<Tried>,
    /// Every move was tried.
    pub complete: bool,
    /// Moves of which not every amount was tried, since flights here are too long.
    pub tried_in_part: usize,
    /// It glides and is on no edge as it is, so nothing was tried.
    pub sound: bool,
}

/// A change of the design, flown.
#[derive(Serialize, JsonSchema)]
pub struct Remedy {
    /// Kind of change, a stable word: `let`, `trim`, `ballast`, `throw`, `band`, `tip` and others.
    pub kind: &'static str,
    /// The change in one sentence.
    pub change: String,
    /// The let it changes; left out where it is none.
    #[serde(rename = "let", skip_serializing_if = "Option::is_none")]
    pub changed_let: Option<String>,
    /// The number before, in `unit`.
    pub from: f64,
    /// The number after, in `unit`.
    pub to: f64,
    /// Unit of both; empty for counts.
    pub unit: &'static str,
    /// What the plane most often does after it.
    pub behaviour: Behaviour,
    /// It is then on no edge: two throws in three glide, or more.
    pub sure: bool,
    /// It takes back something the text states: a clip, a bend, a bank of the hand.
    pub undoes: bool,
    /// How much it disturbs the plane, in steps as fine as a folder works.
    pub disturbance: f64,
    /// The plane after it.
    pub after: Numbers,
    /// The whole design text after it.
    pub text: String,
    /// File of its picture; left out where none was drawn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub picture: Option<String>,
}

/// A move that does not mend the plane.
#[derive(Serialize, JsonSchema)]
pub struct Tried {
    /// Kind of move, a stable word.
    pub kind: &'static str,
    /// What it was, in words.
    pub what: String,
    /// What the plane most often does at the best amount.
    pub behaviour: Behaviour,
    /// Probability of a glide there, 0 to 1.
    pub glide_probability: f64,
}

impl Mend {
    /// From what was found; pictures in the order of the remedies, where there are any.
    pub fn new(m: &Mended, pictures: &[String]) -> Self {
        let remedy = |(k, r)| Remedy::new(r, pictures.get::<usize>(k).cloned());
        let tried = |t: &remedy::Tried| Tried {
            kind: t.kind,
            what: t.what.clone(),
            behaviour: Behaviour(t.probability.likeliest().0),
            glide_probability: t.probability.of(Kind::Glides),
        };
        Self {
            before: Numbers::new(&m.before),
            remedies: m.remedies.iter().enumerate().map(remedy).collect(),
            tried: m.tried.iter().map(tried).collect(),
            complete: !m.stopped,
            tried_in_part: m.in_part,
            sound: m.sound,
        }
    }
}

impl Remedy {
    fn new(r: &remedy::Remedy, picture: Option<String>) -> Self {
        Self {
            kind: r.kind,
            change: r.sentence.clone(),
            changed_let: r.changed_let.clone(),
            from: r.from,
            to: r.to,
            unit: r.unit,
            behaviour: Behaviour(r.after.behaviour()),
            sure: remedy::sound(&r.after),
            undoes: r.undoes,
            disturbance: r.disturbance,
            after: Numbers::new(&r.after),
            text: r.text.clone(),
            picture,
        }
    }
}

/// The answer of `mend --to`.
#[derive(Serialize, JsonSchema)]
pub struct Aim {
    /// What was wanted, in words.
    pub wanted: String,
    /// What was wanted.
    pub target: Wanted,
    /// The plane as it is.
    pub before: Numbers,
    /// What gives it: exact ones first, then the least disturbing.
    pub remedies: Vec<Solved>,
    /// Lets that cannot.
    pub tried: Vec<Missed>,
}

/// A balance: one of the two, the other is left out.
#[derive(Serialize, JsonSchema)]
pub struct Wanted {
    /// Share of the wing area ahead of the balance point.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_ahead_fraction: Option<f64>,
    /// Balance point behind the nose, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub behind_nose_mm: Option<f64>,
}

/// A value of a let that gives what is wanted.
#[derive(Serialize, JsonSchema)]
pub struct Solved {
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub remedy: Remedy,
    /// By how much it misses, more positive: 0 unless the let is a count.
    pub off: Wanted,
    /// The same in words; left out where it does not miss.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub off_said: Option<String>,
}

/// A let that cannot give what is wanted.
#[derive(Serialize, JsonSchema)]
pub struct Missed {
    /// Its name.
    #[serde(rename = "let")]
    pub name: String,
    /// Why: `no effect`, `cannot be folded`, `neither fold nor weight`, `sheet`, `does not fly` or
    /// `out of reach`.
    pub reason: &'static str,
    /// How near it comes, or where it does not fly; left out where that says nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nearest: Option<Nearest>,
    /// The reason in one sentence.
    pub said: String,
}

/// As near as a let comes.
#[derive(Serialize, JsonSchema)]
pub struct Nearest {
    /// Value of the let, in `unit`.
    pub at: f64,
    /// Unit of the let.
    pub unit: &'static str,
    #[serde(flatten)]
    #[allow(missing_docs, reason = "its keys are documented where they stand")]
    pub gives: Wanted,
}

impl Wanted {
    fn new(target: Target, value: f64) -> Self {
        match target {
            Target::AreaAhead(_) => Self { area_ahead_fraction: Some(value), behind_nose_mm: None },
            Target::BehindNose(_) => {
                Self { area_ahead_fraction: None, behind_nose_mm: Some(value * 1e3) }
            }
        }
    }
}

impl Aim {
    /// From what was found.
    pub fn new(a: &Aimed) -> Self {
        let solved = |s: &Solution| Solved {
            remedy: Remedy::new(&s.remedy, None),
            off: Wanted::new(a.target, s.off),
            off_said: (s.off != 0.0).then(|| missed(a.target, s.off)),
        };
        Self {
            wanted: a.target.say(a.target.wanted()),
            target: Wanted::new(a.target, a.target.wanted()),
            before: Numbers::new(&a.before),
            remedies: a.solutions.iter().map(solved).collect(),
            tried: a.short.iter().map(|s| Missed::new(s, a.target)).collect(),
        }
    }
}

/// How far the nearest whole number is off.
fn missed(target: Target, off: f64) -> String {
    let more = if off > 0.0 { "more" } else { "less" };
    let by = match target {
        Target::AreaAhead(_) => format!("{} % of the wing", fixed(off.abs() * 1e2, 1)),
        Target::BehindNose(_) => format!("{} mm", fixed(off.abs() * 1e3, 1)),
    };
    format!("the nearest whole number: {by} {more} than wanted")
}

impl Missed {
    fn new(s: &Short, target: Target) -> Self {
        let name = &s.name;
        let (reason, nearest, said) = match &s.why {
            Why::NoEffect => ("no effect", None, "changes nothing about it".to_owned()),
            Why::NoFold => {
                ("cannot be folded", None, "cannot be folded anywhere in its range".to_owned())
            }
            Why::NoFoldOrWeight => {
                ("neither fold nor weight", None, "is neither fold nor weight".to_owned())
            }
            Why::Sheet => {
                let said = format!("is the sheet itself: tried only with --let {name}");
                ("sheet", None, said)
            }
            Why::NoPlane { said } => {
                ("does not fly", None, format!("gives a plane that does not fly at {said}"))
            }
            Why::TooFar { at, unit, gives, said } => (
                "out of reach",
                Some(Nearest { at: *at, unit, gives: Wanted::new(target, *gives) }),
                format!("at the nearest, {said}, gives {}", target.say(*gives)),
            ),
        };
        Self { name: name.clone(), reason, nearest, said: format!("`{name}` {said}") }
    }
}
