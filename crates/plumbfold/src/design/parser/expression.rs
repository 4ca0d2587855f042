//! Numbers with units, and arithmetic on them.

use super::cursor::{Parsed, Parser};
use super::words;
use crate::design::ast::{BinaryOp, Expr, Spanned, Unit};
use crate::design::diagnostic::{Diagnostic, did_you_mean};
use crate::design::lexer::{Token, TokenKind, tokens};
use crate::design::quantity::FUNCTIONS;

/// Quantities of the sheet that expressions can use beside the lets.
const SHEET_LETS: &[&str] = &["width", "length"];

/// The value of a setting such as `24 mm`, `3/8 in` or `2`: an expression without names. The
/// mistakes' spans are in the given text.
pub fn parse_setting_value(text: &str) -> Result<Spanned<Expr>, Diagnostic> {
    parse_expression(text, &[])
}

/// The same, where lets with these names may be used.
pub fn parse_expression(text: &str, lets: &[&str]) -> Result<Spanned<Expr>, Diagnostic> {
    let mut parser = Parser::new(text);
    parser.lets = lets.iter().map(|name| (*name).to_owned().into()).collect();
    parser.start_line(tokens(text, &(0..text.len())), text.len());
    let value = parser.expression("a value such as `24 mm`").and_then(|value| {
        if parser.at_end() { Ok(value) } else { parser.unexpected("the end of the value", &[]) }
    });
    match (value, parser.diagnostics.into_iter().next()) {
        (Ok(value), None) => Ok(value),
        (_, Some(first)) => Err(first),
        (Err(_), None) => Err(Diagnostic::error("unknown-word", 0..0, "this is not a value")),
    }
}

impl Parser<'_> {
    /// `a + b`, `a - b` and all below. `due` says what is wanted, for the message.
    pub fn expression(&mut self, due: &str) -> Parsed<Spanned<Expr>> {
        self.nested(|p| {
            let ops = [('+', BinaryOp::Add), ('-', BinaryOp::Sub)];
            p.chain(ops, |p| {
                p.chain([('*', BinaryOp::Mul), ('/', BinaryOp::Div)], |p| p.factor(due))
            })
        })
    }

    /// Operands joined by operators of one rank, grouped from the left.
    fn chain(
        &mut self,
        ops: [(char, BinaryOp); 2],
        mut operand: impl FnMut(&mut Self) -> Parsed<Spanned<Expr>>,
    ) -> Parsed<Spanned<Expr>> {
        let mut left = operand(self)?;
        let mut links = 0;
        while let Some((mark, op)) = ops.into_iter().find(|(mark, _)| self.peek_mark(*mark)) {
            // The tree grows one level deeper with each link, and later stages walk it.
            links += 1;
            if links > MAX_CHAIN {
                let message = format!("more than {MAX_CHAIN} terms in a row");
                return self.report(Diagnostic::error("too-long", self.here(), message));
            }
            self.eat_mark(mark);
            let right = operand(self)?;
            let span = left.span.start..right.span.end;
            let node = Expr::Binary(Box::new(left), op, Box::new(right));
            left = Spanned { node, span };
        }
        Ok(left)
    }

    fn factor(&mut self, due: &str) -> Parsed<Spanned<Expr>> {
        if self.peek_mark('-') {
            return self.nested(|p| {
                p.spanned(|p| {
                    p.eat_mark('-');
                    Ok(Expr::Neg(Box::new(p.factor(due)?)))
                })
            });
        }
        if self.peek_mark('(') {
            return self.spanned(|p| {
                p.eat_mark('(');
                let inner = p.expression(due)?;
                p.expect_mark(')')?;
                Ok(inner.node)
            });
        }
        if self.peek_number() {
            return self.spanned(Self::number);
        }
        let name = self.peek().filter(|t| t.kind == TokenKind::Word);
        match name.filter(|t| !words::RESERVED.iter().any(|w| t.is_word(w))) {
            Some(_) => self.spanned(Self::let_or_call),
            None => self.unexpected(due, &[]),
        }
    }

    /// `24 mm`, `3/8 in`, `8 1/2 in`, `2`.
    fn number(&mut self) -> Parsed<Expr> {
        let start = self.here();
        let first = self.take_number();
        let mut value = first;
        // A whole number followed by a fraction, or a fraction followed by a unit, is one number.
        if let Some(fraction) = self.fraction_at(self.at)
            && self.whole_number_at(self.at - 1)
        {
            self.at += 3;
            value = first + fraction;
        } else if let Some(fraction) = self.fraction_at(self.at - 1) {
            self.at += 2;
            if self.peek_unit().is_some() {
                value = fraction;
            } else {
                self.at -= 2;
            }
        }
        let unit = self.peek_unit().map_or(Unit::None, |(unit, tokens)| {
            self.at += tokens;
            unit
        });
        if !value.is_finite() {
            let span = self.span_from(start.start);
            let message = match first.is_finite() {
                true => "a fraction cannot have nothing below its line",
                false => "this number is too large",
            };
            return self.report(Diagnostic::error("bad-number", span, message));
        }
        Ok(Expr::Number(value, unit))
    }

    fn take_number(&mut self) -> f64 {
        let value = match self.peek().map(|t| t.kind) {
            Some(TokenKind::Number(value)) => value,
            _ => f64::NAN,
        };
        self.at += 1;
        value
    }

    fn whole_number_at(&self, at: usize) -> bool {
        self.tokens
            .get(at)
            .is_some_and(|t| matches!(t.kind, TokenKind::Number(_)) && !t.text.contains('.'))
    }

    /// The value of `3/8`, written without spaces, at a token.
    fn fraction_at(&self, at: usize) -> Option<f64> {
        let [over, slash, under] = self.tokens.get(at..at + 3)? else { return None };
        let (TokenKind::Number(a), TokenKind::Number(b)) = (over.kind, under.kind) else {
            return None;
        };
        let written_so = slash.kind == TokenKind::Mark('/')
            && touching(over, slash)
            && touching(slash, under)
            && self.whole_number_at(at)
            && self.whole_number_at(at + 2);
        written_so.then_some(a / b)
    }

    /// The unit that stands next, and how many tokens it takes.
    fn peek_unit(&self) -> Option<(Unit, usize)> {
        let token = self.peek()?;
        match token.kind {
            TokenKind::Mark('°') => return Some((Unit::Deg, 1)),
            TokenKind::Mark('"') => return Some((Unit::Inch, 1)),
            TokenKind::Word => {}
            _ => return None,
        }
        let per = |below: &[&str]| {
            let (slash, word) = (self.peek_nth(1)?, self.peek_nth(2)?);
            let joined = slash.kind == TokenKind::Mark('/')
                && touching(token, slash)
                && touching(slash, word)
                && below.iter().any(|w| word.is_word(w));
            joined.then_some(3)
        };
        let plain = |unit| Some((unit, 1));
        match token.text.to_ascii_lowercase().as_str() {
            "mm" => plain(Unit::Mm),
            "cm" => plain(Unit::Cm),
            "m" => per(&["s"]).map(|n| (Unit::MPerS, n)).or(plain(Unit::M)),
            "ft" => per(&["s"]).map(|n| (Unit::FtPerS, n)),
            "km" => per(&["h"]).map(|n| (Unit::KmPerH, n)),
            "in" | "inch" | "inches" => plain(Unit::Inch),
            "deg" | "degree" | "degrees" => plain(Unit::Deg),
            "g" | "gram" | "grams" => {
                per(&["m2", "m²"]).map(|n| (Unit::GramPerM2, n)).or(plain(Unit::Gram))
            }
            "gsm" => plain(Unit::GramPerM2),
            "lb" | "lbs" => {
                let bond = self.peek_nth(1).is_some_and(|t| t.is_word("bond"));
                Some((Unit::LbBond, 1 + usize::from(bond)))
            }
            _ => None,
        }
    }

    /// Whether a let has this name, or the sheet lends it.
    pub fn is_let(&self, name: &str) -> bool {
        self.lets.iter().any(|l| l == name) || SHEET_LETS.contains(&name)
    }

    fn let_or_call(&mut self) -> Parsed<Expr> {
        let Some(token) = self.peek() else { return self.unexpected("a value", &[]) };
        let name = Spanned { node: token.text.to_string(), span: token.span.clone() };
        self.at += 1;
        if self.peek_mark('(') {
            return self.call(name);
        }
        if self.is_let(&name.node) {
            return Ok(Expr::Let(name));
        }
        let known = self.lets.iter().map(|l| l.as_ref()).chain(SHEET_LETS.iter().copied());
        let help = match did_you_mean(&name.node, known) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("give it a value with a line such as `let {} = 20 mm`", name.node),
        };
        let message = format!("no let is called `{}`", name.node);
        self.diagnostics.push(Diagnostic::error("unknown-let", name.span, message).help(help));
        Ok(Expr::Missing)
    }

    fn call(&mut self, name: crate::design::ast::Name) -> Parsed<Expr> {
        if !FUNCTIONS.iter().any(|(f, _)| *f == name.node) {
            let known: Vec<_> = FUNCTIONS.iter().map(|f| f.0).collect();
            let help = match did_you_mean(&name.node, known.iter().copied()) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None => format!("functions are {}", known.join(", ")),
            };
            let message = format!("no function is called `{}`", name.node);
            return self
                .report(Diagnostic::error("unknown-function", name.span, message).help(help));
        }
        self.eat_mark('(');
        let mut args = vec![self.expression("a value")?];
        while self.eat_mark(',') {
            if args.len() > MAX_CHAIN {
                return self.unexpected("`)`", &[]);
            }
            args.push(self.expression("a value")?);
        }
        self.expect_mark(')')?;
        Ok(Expr::Call(name, args))
    }
}

/// Longest run of terms or factors, and of arguments. Chosen: no dimension of a sheet needs more.
const MAX_CHAIN: usize = 16;

fn touching(a: &Token<'_>, b: &Token<'_>) -> bool {
    a.span.end == b.span.start
}
