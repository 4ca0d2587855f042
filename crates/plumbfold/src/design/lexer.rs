//! Text to lines, and a line to tokens. Nothing is refused here: whatever the grammar does not
//! know becomes a token of its own, so that the parser can say what it expected instead.

use super::ast::Span;
use std::borrow::Cow;

/// One statement's worth of text: a line of the file, or several joined by a `\` at their ends.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// From the first visible character to the last one before the comment; empty in a line
    /// that says nothing.
    pub body: Span,
    /// The comment with its `#`, up to the line's end.
    pub comment: Option<Span>,
    /// The whole line, without the line end.
    pub whole: Span,
}

/// Kinds of token.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TokenKind {
    /// Letters, digits and underscores, beginning with a letter.
    Word,
    /// Decimal number, with a point at most once and no sign.
    Number(f64),
    /// Anything else, one character at a time.
    Mark(char),
}

/// A piece of a line. `text` is what the parser goes by: it may put a corrected word there.
#[derive(Clone, Debug, PartialEq)]
pub struct Token<'t> {
    /// Kind.
    pub kind: TokenKind,
    /// Its text.
    pub text: Cow<'t, str>,
    /// Where it stands.
    pub span: Span,
}

impl Token<'_> {
    /// Whether this is the given word of the grammar; capitals do not matter.
    #[inline]
    pub fn is_word(&self, word: &str) -> bool {
        // The length tells most words apart.
        self.text.len() == word.len()
            && self.kind == TokenKind::Word
            && self.text.eq_ignore_ascii_case(word)
    }
}

/// The lines of a text in order. Line ends may be `\n` or `\r\n`.
pub fn lines(text: &str) -> impl Iterator<Item = Line> + '_ {
    let mut at = 0;
    std::iter::from_fn(move || {
        if at >= text.len() {
            return None;
        }
        let start = at;
        let mut comment = None;
        loop {
            let end = text[at..].find('\n').map_or(text.len(), |i| at + i);
            let piece = text[at..end].trim_end();
            if let Some(hash) = piece.find('#') {
                comment = Some(at + hash..at + piece.len());
            } else if piece.ends_with('\\') && end < text.len() {
                at = end + 1;
                continue;
            }
            at = end + 1;
            let stop = comment.as_ref().map_or(end, |c| c.start);
            let whole = start..start + text[start..end].trim_end_matches('\r').len();
            let body = trimmed(text, start..stop);
            return Some(Line { body, comment, whole });
        }
    })
}

/// The span without the white space at its ends; empty spans stay where they began.
fn trimmed(text: &str, span: Span) -> Span {
    let inside = &text[span.clone()];
    let start = span.start + (inside.len() - inside.trim_start().len());
    if start == span.end { span.start..span.start } else { start..start + inside.trim().len() }
}

/// The tokens of a line's body. White space and a `\` at a line's end only separate.
pub fn tokens<'t>(text: &'t str, body: &Span) -> Vec<Token<'t>> {
    // Words of the grammar and their spaces are about as long as this.
    let mut out = Vec::with_capacity(body.len() / 4 + 1);
    let mut at = body.start;
    while let Some(c) = text[at..body.end].chars().next() {
        let rest = &text[at..body.end];
        let (kind, length) = if c.is_whitespace() {
            at += c.len_utf8();
            continue;
        } else if c == '\\' && rest[1..].trim_start_matches([' ', '\t', '\r']).starts_with('\n') {
            at += 1;
            continue;
        } else if c.is_alphabetic() {
            (TokenKind::Word, word_length(rest))
        } else if let Some(length) = number_length(rest) {
            (rest[..length].parse().map_or(TokenKind::Mark(c), TokenKind::Number), length)
        } else {
            (TokenKind::Mark(c), c.len_utf8())
        };
        let span = at..at + length;
        out.push(Token { kind, text: Cow::Borrowed(&text[span.clone()]), span });
        at += length;
    }
    out
}

/// Bytes of a word at the start of a text: letters, digits and underscores.
fn word_length(text: &str) -> usize {
    // Most words are of plain letters, which need no look at the tables of all scripts.
    let plain = text.bytes().position(|b| !b.is_ascii_alphanumeric() && b != b'_');
    match plain {
        Some(end) if text.as_bytes()[end].is_ascii() => end,
        _ => text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len()),
    }
}

/// Bytes of a number at the start of a text: digits with at most one point among or before them.
fn number_length(text: &str) -> Option<usize> {
    let digits = |s: &str| s.len() - s.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let whole = digits(text);
    let rest = &text[whole..];
    let decimals = rest.strip_prefix('.').map_or(0, digits);
    match (whole, decimals) {
        (0, 0) => None,
        (_, 0) => Some(whole),
        _ => Some(whole + 1 + decimals),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bodies(text: &str) -> Vec<(&str, Option<&str>)> {
        lines(text).map(|l| (&text[l.body], l.comment.map(|c| &text[c]))).collect()
    }

    #[test]
    fn lines_with_comments_and_continuations() {
        assert_eq!(
            bodies("plane A # note\r\n\n  # alone\nvalley a \\\n  onto b\nend"),
            [
                ("plane A", Some("# note")),
                ("", None),
                ("", Some("# alone")),
                ("valley a \\\n  onto b", None),
                ("end", None),
            ]
        );
        assert_eq!(bodies("ends in \\"), [("ends in \\", None)]);
    }

    #[test]
    fn tokens_of_a_line() {
        let text = "valley P2 back by 3/8in, (.5 + 24.25 g/m²)\\\n é";
        let seen: Vec<_> = tokens(text, &(0..text.len())).into_iter().map(|t| t.text).collect();
        assert_eq!(
            seen,
            [
                "valley", "P2", "back", "by", "3", "/", "8", "in", ",", "(", ".5", "+", "24.25",
                "g", "/", "m²", ")", "é"
            ]
        );
    }

    proptest! {
        #[test]
        fn any_text_is_cut_without_loss(text in "(\\PC|\\\\|\n|#|\r){0,80}") {
            let mut covered = 0;
            for line in lines(&text) {
                prop_assert!(line.whole.start >= covered);
                covered = line.whole.end;
                for token in tokens(&text, &line.body) {
                    prop_assert_eq!(&text[token.span.clone()], token.text);
                }
            }
        }
    }
}
