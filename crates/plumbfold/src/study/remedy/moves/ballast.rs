//! A strip of tape or a paper clip at the nose (tail-heavy planes) or at the tail (nose-heavy);
//! one that is there slid along the keel, or taken off.
//!
//! ```text
//! pose …                     ->      pose …
//!                                    ballast clip 0.4 g at 10 mm behind nose
//! ```

use super::{Amounts, Move, plain};
use crate::design::ast::{Ballast, BallastPlace, Expr, Spanned};
use crate::design::edit::{add_statement, remove_line, replace_span};
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

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let slabs = &a.balanced.planform.slabs.pieces;
    let tail_mm = -1e3 * slabs.iter().flat_map(|t| t.rear).fold(0.0, f64::min);
    let design = &a.balanced.folded.design;
    let mut moves = added(text, a, tail_mm);
    for ballast in &design.ballast {
        moves.extend(slid(text, a, ballast, tail_mm));
        moves.push(taken_off(text, ballast));
    }
    moves
}

fn added<'a>(text: &'a str, a: &'a Analysed, tail_mm: f64) -> Vec<Move<'a>> {
    let design = &a.balanced.folded.design;
    let of = |amount: f64| {
        MASSES_G.iter().find(|m| m.0 >= amount - 1e-9).unwrap_or(&MASSES_G[MASSES_G.len() - 1])
    };
    [("nose", INSET_MM), ("tail", tail_mm - INSET_MM)]
        .into_iter()
        .map(|(end, behind_mm)| Move {
            kind: "ballast",
            what: format!("tape or clips at the {end}"),
            changed_let: None,
            unit: "g",
            amounts: Amounts::Listed(MASSES_G.iter().map(|m| m.0).collect()),
            hand_step: 0.2,
            charge: 3.0,
            edit: Box::new(move |amount| {
                let (mass, kind, _) = of(amount);
                let place = plain(behind_mm, 1);
                let line = format!("ballast {kind} {mass} g at {place} mm behind nose");
                Some(add_statement(text, design, &line))
            }),
            say: Box::new(move |amount| {
                let (mass, _, words) = of(amount);
                format!(
                    "Put {words} ({mass} g) on the keel at the {end}, {} mm behind the nose.",
                    plain(behind_mm, 1)
                )
            }),
            numbers: Box::new(move |amount| (0.0, of(amount).0)),
        })
        .collect()
}

/// Along the keel either way. A place that is a let is moved as a let, within its range.
fn slid<'a>(
    text: &'a str,
    a: &'a Analysed,
    ballast: &'a Spanned<Ballast>,
    tail_mm: f64,
) -> Vec<Move<'a>> {
    let BallastPlace::BehindNose { behind, .. } = &ballast.node.at else { return Vec::new() };
    let Ok(now) = a.balanced.folded.values.length(behind) else { return Vec::new() };
    if !matches!(behind.node, Expr::Number(..)) {
        return Vec::new();
    }
    let (now, what) = (now * 1e3, ballast.node.kind.node.as_str());
    [(-1.0, now, "forward"), (1.0, tail_mm - now, "back")]
        .into_iter()
        .map(|(sign, reach, word)| Move {
            kind: "ballast",
            what: format!("sliding the {what} {word}"),
            changed_let: None,
            unit: "mm",
            amounts: Amounts::up_to(reach, 8),
            hand_step: SLIDE_STEP_MM,
            charge: 0.5,
            edit: Box::new(move |amount| {
                let place = format!("{} mm", plain(now + sign * amount, 1));
                replace_span(text, behind.span.clone(), &place).ok()
            }),
            say: Box::new(move |amount| {
                let (to, from) = (plain(now + sign * amount, 1), plain(now, 1));
                format!("Slide the {what} {word}: {to} mm behind the nose instead of {from}.")
            }),
            numbers: Box::new(move |amount| (now, now + sign * amount)),
        })
        .collect()
}

fn taken_off<'a>(text: &'a str, ballast: &'a Spanned<Ballast>) -> Move<'a> {
    let what = ballast.node.kind.node.as_str();
    Move {
        kind: "ballast",
        what: format!("taking the {what} off"),
        changed_let: None,
        unit: "",
        amounts: Amounts::Listed(vec![1.0]),
        hand_step: 1.0,
        charge: 0.5,
        edit: Box::new(move |_| remove_line(text, &ballast.span).ok()),
        say: Box::new(move |_| format!("Take the {what} off.")),
        numbers: Box::new(|_| (1.0, 0.0)),
    }
}
