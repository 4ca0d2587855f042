//! A strip of tape or a paper clip at the nose (tail-heavy planes) or at the tail (nose-heavy);
//! one that is there slid along the keel, or taken off.
//!
//! ```text
//! pose …                     ->      pose …
//!                                    ballast clip 0.4 g at 10 mm behind nose
//! ```

use super::{Amounts, Move};
use crate::design::ast::{Ballast, BallastPlace, Expr, Unit};
use crate::design::edit::Edit;
use crate::design::edit::amount::{number, rounded};
use crate::pipeline::Analysed;

/// Masses to be had, g: one and two strips of clear tape 12 x 60 mm (some 0.05 kg/m2: guessed),
/// a small paper clip of 28 mm wire (0.4 g, guessed), two, three, five of them.
const MASSES_G: [(f64, &str, &str); 6] = [
    (0.04, "tape", "a strip of clear tape"),
    (0.08, "tape", "two strips of clear tape"),
    (0.4, "clip", "a small paper clip"),
    (0.8, "clip", "two small paper clips"),
    (1.2, "clip", "three small paper clips"),
    (2.0, "clip", "five small paper clips"),
];
/// How far from the end of the keel it sits, mm.
const INSET_MM: f64 = 10.0;

/// A hand slides a clip this finely, mm.
const SLIDE_STEP_MM: f64 = 2.0;

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let slabs = &a.balanced.planform.slabs.pieces;
    let tail_mm = -1e3 * slabs.iter().flat_map(|t| t.rear).fold(0.0, f64::min);
    let mut moves = added(tail_mm);
    for (index, ballast) in a.balanced.source.design().ballast.iter().enumerate() {
        moves.extend(slid(a, index, &ballast.node, tail_mm));
        moves.push(taken_off(index, &ballast.node));
    }
    moves
}

fn added<'a>(tail_mm: f64) -> Vec<Move<'a>> {
    let of = |mass: f64| {
        MASSES_G.iter().find(|m| m.0 >= mass - 1e-9).unwrap_or(&MASSES_G[MASSES_G.len() - 1])
    };
    [("nose", INSET_MM), ("tail", rounded(tail_mm - INSET_MM, 1))]
        .into_iter()
        .map(|(end, behind_mm)| Move {
            kind: "ballast",
            what: format!("tape or clips at the {end}"),
            changed_let: None,
            unit: "g",
            from: 0.0,
            sign: 1.0,
            grid: 0.01,
            amounts: Amounts::Listed(MASSES_G.iter().map(|m| m.0).collect()),
            hand_step: 0.2,
            charge: 3.0,
            undoes: false,
            edits: Box::new(move |to| {
                vec![Edit::AddBallast(Ballast {
                    kind: of(to).1.to_owned().into(),
                    mass: number(to, Unit::Gram).into(),
                    at: BallastPlace::BehindNose {
                        behind: number(behind_mm, Unit::Mm).into(),
                        above: None,
                        right: None,
                    },
                })]
            }),
            say: Box::new(move |to| {
                let words = of(to).2;
                format!(
                    "Put {words} ({to} g) on the keel at the {end}, {behind_mm} mm behind the nose."
                )
            }),
        })
        .collect()
}

/// Along the keel either way. A place that is a let is moved as a let, within its range.
fn slid<'a>(a: &'a Analysed, index: usize, ballast: &'a Ballast, tail_mm: f64) -> Vec<Move<'a>> {
    let BallastPlace::BehindNose { behind, .. } = &ballast.at else { return Vec::new() };
    let Ok(now) = a.balanced.source.values().length(behind) else { return Vec::new() };
    if !matches!(behind.node, Expr::Number(..)) {
        return Vec::new();
    }
    let (now, what) = (now * 1e3, ballast.kind.node.as_str());
    [(-1.0, now, "forward"), (1.0, tail_mm - now, "back")]
        .into_iter()
        .map(|(sign, reach, word)| Move {
            kind: "ballast",
            what: format!("sliding the {what} {word}"),
            changed_let: None,
            unit: "mm",
            from: now,
            sign,
            grid: 1.0,
            amounts: Amounts::up_to(reach, 8),
            hand_step: SLIDE_STEP_MM,
            charge: 0.5,
            undoes: false,
            edits: Box::new(move |to| {
                let behind = Some(number(to, Unit::Mm));
                vec![Edit::Ballast { index, mass: None, behind }]
            }),
            say: Box::new(move |to| {
                let from = rounded(now, 1);
                format!("Slide the {what} {word}: {to} mm behind the nose instead of {from}.")
            }),
        })
        .collect()
}

fn taken_off(index: usize, ballast: &Ballast) -> Move<'_> {
    let what = ballast.kind.node.as_str();
    Move {
        kind: "ballast",
        what: format!("taking the {what} off"),
        changed_let: None,
        unit: "",
        from: 1.0,
        sign: -1.0,
        grid: 1.0,
        amounts: Amounts::Listed(vec![1.0]),
        hand_step: 1.0,
        charge: 0.0,
        undoes: true,
        edits: Box::new(move |_| vec![Edit::RemoveBallast(index)]),
        say: Box::new(move |_| format!("Take the {what} off.")),
    }
}
