//! Expressions as the author wrote them, with uniform spacing.

use crate::design::ast::Span;
use crate::design::lexer::{Token, TokenKind, tokens};

/// The tokens of a piece of text with uniform spaces between them. A `/` written without spaces
/// stays so, because `3/8 in` is a number and `3 / 8 in` is not.
pub fn respaced(text: &str, span: &Span) -> String {
    let tokens = tokens(text, span);
    let mut out = String::new();
    for (i, token) in tokens.iter().enumerate() {
        if i > 0 && spaced(&tokens, i) {
            out.push(' ');
        }
        out.push_str(&token.text);
    }
    out
}

/// Whether a space belongs before token `i`.
fn spaced(tokens: &[Token<'_>], i: usize) -> bool {
    let (before, this) = (&tokens[i - 1], &tokens[i]);
    let mark = |t: &Token<'_>, marks: &str| match t.kind {
        TokenKind::Mark(m) => marks.contains(m),
        _ => false,
    };
    let tight_slash = |at: usize| {
        let (a, slash) = (&tokens[at - 1], &tokens[at]);
        let after = tokens.get(at + 1);
        mark(slash, "/")
            && a.span.end == slash.span.start
            && after.is_some_and(|b| b.span.start == slash.span.end)
    };
    if mark(this, "),\"°") || mark(before, "(") {
        return false;
    }
    if tight_slash(i) || (i >= 2 && tight_slash(i - 1)) {
        return false;
    }
    // A bracket after a word is a function's; a minus after nothing or an operator is a sign.
    if mark(this, "(") && before.kind == TokenKind::Word {
        return false;
    }
    let sign = mark(before, "-") && (i == 1 || mark(&tokens[i - 2], "+-*/(,"));
    !sign
}
