//! A gentler or firmer throw.
//!
//! ```text
//! throw 5 m/s, level, from 1.6 m      ->      throw 3.9 m/s, level, from 1.6 m
//! ```

use super::{Amounts, Move};
use crate::design::ast::Unit;
use crate::design::edit::Edit;
use crate::design::edit::amount::{number, rounded};
use crate::pipeline::Analysed;

/// Between a push of the hand and a firm throw of paper, m/s.
const RANGE_M_S: (f64, f64) = (1.5, 9.0);
/// A hand can be told a speed to half a metre a second.
const GRID_M_S: f64 = 0.5;
/// A hand repeats a speed to some 7 % (Lanchester 1907, section 243, seven launches).
const HAND_SHARE: f64 = 0.07;

pub(super) fn moves(a: &Analysed) -> Vec<Move<'_>> {
    let mut moves = speeds(a);
    moves.extend(levelled(a));
    moves
}

/// A throw stated with a bank, made with the wings level.
fn levelled(a: &Analysed) -> Option<Move<'_>> {
    let bank_deg = a.throw.bank_rad.to_degrees();
    (bank_deg.abs() > 0.1).then(|| Move {
        kind: "throw",
        what: "throwing with the wings level".into(),
        changed_let: None,
        unit: "deg",
        from: bank_deg,
        sign: -bank_deg.signum(),
        grid: 1.0,
        amounts: Amounts::Listed(vec![bank_deg.abs()]),
        hand_step: 1.0,
        charge: 0.0,
        undoes: true,
        edits: Box::new(|_| {
            let level = Some(number(0.0, Unit::Deg));
            vec![Edit::Throw { speed: None, elevation: None, height: None, bank: level }]
        }),
        say: Box::new(|_| "Throw with the wings level.".to_owned()),
    })
}

fn speeds(a: &Analysed) -> Vec<Move<'_>> {
    // The speed that is meant: what the hand makes of it is added on the way to the flight.
    let now = a.balanced.throw.speed_m_s;
    [(-1.0, now - RANGE_M_S.0), (1.0, RANGE_M_S.1 - now)]
        .into_iter()
        .map(|(sign, reach)| {
            let word = if sign < 0.0 { "more gently" } else { "more firmly" };
            Move {
                kind: "throw",
                what: format!("throwing {word}"),
                changed_let: None,
                unit: "m/s",
                from: now,
                sign,
                grid: GRID_M_S,
                amounts: Amounts::up_to(reach, 8),
                hand_step: HAND_SHARE * now.max(RANGE_M_S.0),
                charge: 0.0,
                undoes: false,
                edits: Box::new(|to| {
                    let speed = Some(number(to, Unit::MPerS));
                    vec![Edit::Throw { speed, elevation: None, height: None, bank: None }]
                }),
                say: Box::new(move |to| {
                    format!("Throw {word}: {to} m/s instead of {} m/s.", rounded(now, 2))
                }),
            }
        })
        .collect()
}
