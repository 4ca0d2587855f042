//! A sentence of the text with its lets replaced by what they are worth, as a caption says it.

use super::Values;
use crate::design::lexer::{Token, TokenKind, tokens};
use crate::design::parser::parse_expression;
use crate::design::quantity::{Dimension, Quantity};

/// The sentence with every piece of arithmetic that holds a let worked out: mm, degrees, grams.
pub fn in_numbers(sentence: &str, values: &Values) -> String {
    let tokens = tokens(sentence, &(0..sentence.len()));
    let (mut out, mut at, mut i) = (String::new(), 0, 0);
    while i < tokens.len() {
        let (text, next) = match worked_out(sentence, &tokens[i..], values) {
            Some((text, count)) => (text, i + count),
            None => (sentence[tokens[i].span.clone()].to_owned(), i + 1),
        };
        out.push_str(&sentence[at..tokens[i].span.start]);
        out.push_str(&text);
        at = tokens[next - 1].span.end;
        i = next;
    }
    out + &sentence[at..]
}

/// The longest piece of arithmetic with a let that begins here, and how many tokens it has.
fn worked_out(sentence: &str, tokens: &[Token<'_>], values: &Values) -> Option<(String, usize)> {
    let is_let = |t: &Token<'_>| t.kind == TokenKind::Word && values.get(&t.text).is_some();
    let mut depth = 0_i32;
    let arithmetic = tokens.iter().take_while(|t| match t.kind {
        TokenKind::Number(_) => true,
        // Units and functions; any other word spoils the arithmetic and is left out below.
        TokenKind::Word => true,
        TokenKind::Mark(mark) => {
            depth += i32::from(mark == '(') - i32::from(mark == ')');
            "+-*/()".contains(mark) || (mark == ',' && depth > 0)
        }
    });
    let lets: Vec<&str> = values.lets().iter().map(|l| l.name.as_str()).collect();
    const LONGEST: usize = 24;
    let most = arithmetic.count().min(LONGEST);
    (1..=most).rev().find_map(|n| {
        let piece = &tokens[..n];
        // Nothing is worked out where there is nothing to work out.
        if !piece.iter().any(is_let) {
            return None;
        }
        let text = &sentence[piece[0].span.start..piece[n - 1].span.end];
        let value = values.evaluate(&parse_expression(text, &lets).ok()?).ok()?;
        Some((said(value)?, n))
    })
}

/// To a tenth, or a thousandth of a plain number.
fn said(q: Quantity) -> Option<String> {
    let unit = q.dimension.usual_unit();
    let value = q.value / unit.quantity().value;
    let steps = if q.dimension == Dimension::NUMBER { 1e3 } else { 10.0 };
    let value = (value * steps).round() / steps;
    value.is_finite().then(|| format!("{value} {}", unit.symbol()).trim_end().to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::eval::evaluate;
    use crate::design::parser::parse;

    #[test]
    fn lets_and_their_arithmetic_are_worked_out_and_nothing_else_is() {
        let (design, _) =
            parse("sheet A4\nlet keel = 22 mm\nlet turns = 3\nlet lean = 0.1745329 * 1 deg\n");
        let values = evaluate(&design, &[]).unwrap();
        let cases = [
            ("valley parallel to centre, keel from it", "valley parallel to centre, 22 mm from it"),
            (
                "valley parallel to top edge, 2 * keel / turns from it",
                "valley parallel to top edge, 14.7 mm from it",
            ),
            ("valley top 2 layers along centre", "valley top 2 layers along centre"),
            ("mark pin = (keel, keel + 1 mm)", "mark pin = (22 mm, 23 mm)"),
            (
                "crease through keel along centre and 1/2 along top edge",
                "crease through 22 mm along centre and 1/2 along top edge",
            ),
            ("repeat turns times", "repeat 3 times"),
        ];
        for (text, said) in cases {
            assert_eq!(in_numbers(text, &values), said);
        }
    }
}
