//! Planes spoiled on purpose, to learn on and to test the remedies with: the smallest of the same
//! moves that makes a plane misbehave in a given way.

use rayon::prelude::*;

use super::Chain;
use super::moves::{self, Move};
use crate::pipeline::{self, Analysed, Problems, Settings, ThrowChange};
use crate::verdict::Behaviour;
use crate::verdict::aircraft::Conditions;

/// What is done to a plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// More wing area ahead of the balance point, until it no longer glides.
    TailHeavy,
    /// Less, until it dives.
    NoseHeavy,
    /// One trailing edge bent, until it turns off.
    Twisted,
    /// Thrown harder or more gently than it can take.
    WrongThrow,
}

/// A plane spoiled.
#[derive(Clone, Debug)]
pub struct Spoiled {
    /// What was done, one sentence.
    pub sentence: String,
    /// The design text after it.
    pub text: String,
    /// The plane after it.
    pub after: Analysed,
}

/// Share that may still glide: a plane that glides half the time is not spoiled.
const GLIDING_MOST: f64 = 1.0 / 3.0;
/// A balance is spoiled only if the share of area ahead changes by this much: bends and wings that
/// merely tilt do not count.
const SHARE_MOVED_LEAST: f64 = 0.005;

impl Way {
    /// All of them.
    pub const EVERY: [Self; 4] =
        [Self::TailHeavy, Self::NoseHeavy, Self::Twisted, Self::WrongThrow];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::TailHeavy => "tail-heavy",
            Self::NoseHeavy => "nose-heavy",
            Self::Twisted => "twisted",
            Self::WrongThrow => "wrong throw",
        }
    }

    fn takes(self, m: &Move<'_>) -> bool {
        match self {
            Self::TailHeavy | Self::NoseHeavy => matches!(m.kind, "let" | "ballast"),
            Self::Twisted => m.kind == "aileron",
            Self::WrongThrow => m.kind == "throw",
        }
    }

    fn shows_as(self, behaviour: Behaviour) -> bool {
        use Behaviour::*;
        match self {
            Self::TailHeavy => matches!(behaviour, Stalls | Porpoises | Leaf | Tumbles),
            Self::NoseHeavy => behaviour == Dives,
            Self::Twisted => matches!(behaviour, Banks | Spirals),
            Self::WrongThrow => behaviour != Glides,
        }
    }

    /// Whether the balance moved the way it should, in share of area ahead.
    fn moved(self, from: f64, to: f64) -> bool {
        match self {
            Self::TailHeavy => to > from + SHARE_MOVED_LEAST,
            Self::NoseHeavy => to < from - SHARE_MOVED_LEAST,
            Self::Twisted | Self::WrongThrow => true,
        }
    }
}

/// Spoils a plane that glides; `None` where no move within its range does it.
///
/// # Errors
/// The design itself cannot be read, folded or flown.
pub fn spoil(
    text: &str,
    way: Way,
    settings: &Settings,
    conditions: &Conditions,
) -> Result<Option<Spoiled>, Problems> {
    let chain = Chain { settings: settings.clone(), change: ThrowChange::default(), conditions };
    let analysed = chain.analyse(text)?;
    let share = analysed.balanced.area_ahead_fraction;
    let mut all = moves::all(text, &analysed);
    if analysed.behaviour() == Behaviour::Glides {
        all.extend(moves::twists());
    }
    let spoils = |text: &str| {
        let t = chain.try_text(text)?;
        let moved = || {
            let now = pipeline::balance(text, settings).ok()?.area_ahead_fraction;
            Some(way.moved(share, now))
        };
        let bad = t.share() <= GLIDING_MOST && way.shows_as(t.probability.likeliest().0);
        (bad && moved()?).then_some(())
    };
    let mut found: Vec<(f64, String, String)> = all
        .par_iter()
        .filter(|m| way.takes(m))
        .filter_map(|m| {
            m.amounts.list().iter().find_map(|&amount| {
                let text = m.edited(text, amount)?;
                spoils(&text)?;
                // A fold made wrong is a likelier fault than a clip put on.
                let likelier = if m.kind == "ballast" { 1e3 } else { 0.0 };
                Some((m.disturbance(amount) + likelier, m.said(amount), text))
            })
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (_, sentence, text) in found {
        let after = chain.analyse(&text)?;
        if after.behaviour() != Behaviour::Glides {
            return Ok(Some(Spoiled { sentence, text, after }));
        }
    }
    Ok(None)
}
