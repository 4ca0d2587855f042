//! A gentler or firmer throw.
//!
//! ```text
//! throw 5 m/s, level, from 1.6 m      ->      throw 3.9 m/s, level, from 1.6 m
//! ```

use super::{Amounts, Move, plain};
use crate::design::edit::set_throw;
use crate::pipeline::Analysed;

/// Between a push of the hand and a firm throw of paper, m/s.
const RANGE_M_S: (f64, f64) = (1.8, 9.0);
/// A hand repeats a speed to some 7 % (Lanchester 1907, section 243, seven launches).
const HAND_SHARE: f64 = 0.07;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let now = a.throw.speed_m_s;
    [(-1.0, now - RANGE_M_S.0), (1.0, RANGE_M_S.1 - now)]
        .into_iter()
        .map(|(sign, reach)| {
            let word = if sign < 0.0 { "more gently" } else { "more firmly" };
            Move {
                kind: "throw",
                what: format!("throwing {word}"),
                changed_let: None,
                unit: "m/s",
                amounts: Amounts::up_to(reach, 8),
                hand_step: HAND_SHARE * now.max(RANGE_M_S.0),
                charge: 0.0,
                edit: Box::new(move |amount| {
                    // As fine as the sentence says it.
                    let speed = (100.0 * (now + sign * amount)).round() / 100.0;
                    Some(set_throw(text, Some(speed), None, None))
                }),
                say: Box::new(move |amount| {
                    let (was, is) = (plain(now, 2), plain(now + sign * amount, 2));
                    format!("Throw {word}: {is} m/s instead of {was} m/s.")
                }),
                numbers: Box::new(move |amount| (now, now + sign * amount)),
            }
        })
        .collect()
}
