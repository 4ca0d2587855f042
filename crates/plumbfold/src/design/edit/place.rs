//! Places in a text where something is put, taken away or said otherwise, and what is put there.
//! Lines keep their ends and their margin.

use super::EditError;
use crate::design::ast::{Design, Span};
use crate::design::lexer::{Line, Token, TokenKind, lines, tokens};

/// A piece of a text and what stands there instead; an empty piece is an insertion.
pub type Change = (Span, String);

/// The text with several pieces replaced, in any order.
pub fn replaced(text: &str, changes: &[Change]) -> Result<String, EditError> {
    let mut changes: Vec<_> = changes.iter().collect();
    changes.sort_by_key(|(span, _)| (span.start, span.end));
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (span, new) in changes {
        let kept = text.get(at..span.start).filter(|_| at <= span.start);
        let (Some(kept), Some(_)) = (kept, text.get(span.clone())) else {
            return Err(EditError::BadPlaces);
        };
        out.push_str(kept);
        out.push_str(new);
        at = span.end;
    }
    out.push_str(&text[at..]);
    Ok(out)
}

/// New lines below the line that holds a place.
pub fn below(text: &str, at: usize, new: &[String]) -> Result<Change, EditError> {
    let line = line_at(text, at)?;
    let end = end_of(text, &line);
    let newline = newline(text, end);
    // The last line may have no end.
    let gap = if text[..end].ends_with('\n') { "" } else { newline };
    Ok((end..end, format!("{gap}{}", said(new, margin(text, &line), newline))))
}

/// New lines above the line that holds a place.
pub fn above(text: &str, at: usize, new: &[String]) -> Result<Change, EditError> {
    let line = line_at(text, at)?;
    let newline = newline(text, end_of(text, &line));
    Ok((line.whole.start..line.whole.start, said(new, margin(text, &line), newline)))
}

/// New lines at the end of a text.
pub fn at_end(text: &str, new: &[String]) -> Change {
    let newline = newline(text, text.len());
    let gap = if text.is_empty() || text.ends_with('\n') { "" } else { newline };
    (text.len()..text.len(), format!("{gap}{}", said(new, "", newline)))
}

/// The lines that hold a piece, taken away with their comments.
pub fn without(text: &str, span: &Span) -> Result<Change, EditError> {
    let end = end_of(text, &line_at(text, span.end)?);
    Ok((line_at(text, span.start)?.whole.start..end, String::new()))
}

/// A statement of the finished plane stands below the last of its kind, above the throw.
pub fn finished_statement(text: &str, design: &Design, said: String) -> Result<Change, EditError> {
    let last = [
        design.trims.last().map(|t| &t.span),
        design.ballast.last().map(|b| &b.span),
        design.pose.as_ref().map(|p| &p.span),
        design.steps.last().map(|s| &s.span),
    ];
    match last.into_iter().flatten().map(|span| span.end).max() {
        Some(at) => below(text, at, &[said]),
        None => Ok(at_end(text, &[said])),
    }
}

/// Steps stand below the step before them; the first above the next, or below what stands above
/// steps.
pub fn new_steps(
    text: &str,
    design: &Design,
    after: usize,
    lines: &[String],
) -> Result<Change, EditError> {
    let steps = &design.steps;
    if let Some(before) = after.min(steps.len()).checked_sub(1).and_then(|i| steps.get(i)) {
        return below(text, before.span.end, lines);
    }
    if let Some(next) = steps.first() {
        return above(text, next.span.start, lines);
    }
    below_head(text, design, lines)
}

/// Below all that stands above the steps.
pub fn below_head(text: &str, design: &Design, lines: &[String]) -> Result<Change, EditError> {
    let head = [
        design.lets.last().map(|l| &l.span),
        design.creep.as_ref().map(|c| &c.span),
        design.sheet.as_ref().map(|s| &s.span),
        design.name.as_ref().map(|n| &n.span),
    ];
    match head.into_iter().flatten().map(|span| span.end).max() {
        Some(at) => below(text, at, lines),
        None => Ok(at_end(text, lines)),
    }
}

/// The tokens of a statement.
pub struct Words<'t>(Vec<Token<'t>>);

impl<'t> Words<'t> {
    /// Of the statement that stands at a place.
    pub fn new(text: &'t str, statement: &Span) -> Self {
        let mut tokens = tokens(text, statement);
        tokens.retain(|t| !t.is_word("the"));
        Self(tokens)
    }

    /// The word that ends before a place, or the place.
    pub fn before(&self, at: usize) -> Span {
        self.0.iter().rfind(|t| t.span.end <= at).map_or(at..at, |t| t.span.clone())
    }

    /// The word that begins after a place, or the place.
    pub fn after(&self, at: usize) -> Span {
        self.0.iter().find(|t| t.span.start >= at).map_or(at..at, |t| t.span.clone())
    }

    /// Whether a word begins at a place.
    pub fn is_word_at(&self, at: usize) -> bool {
        self.0.iter().any(|t| t.span.start == at && t.kind == TokenKind::Word)
    }

    /// End of what is said before a place, commas left aside.
    pub fn said_before(&self, at: usize) -> usize {
        let said = self.0.iter().rfind(|t| {
            t.span.end <= at && !matches!(t.kind, TokenKind::Mark(',') | TokenKind::Mark(';'))
        });
        said.map_or(at, |t| t.span.end)
    }
}

fn line_at(text: &str, at: usize) -> Result<Line, EditError> {
    lines(text).find(|l| at <= l.whole.end).ok_or(EditError::BadPlaces)
}

/// Where the line after a line begins.
fn end_of(text: &str, line: &Line) -> usize {
    text[line.whole.end..].find('\n').map_or(text.len(), |n| line.whole.end + n + 1)
}

/// How the lines up to a place end.
fn newline(text: &str, end: usize) -> &'static str {
    match text[..end].rfind('\n') {
        Some(at) if text[..at].ends_with('\r') => "\r\n",
        _ => "\n",
    }
}

/// White space before what a line says.
fn margin<'t>(text: &'t str, line: &Line) -> &'t str {
    if line.body.is_empty() { "" } else { &text[line.whole.start..line.body.start] }
}

/// Lines with the margin and the line ends of those around them.
fn said(new: &[String], margin: &str, newline: &str) -> String {
    let all = new.iter().flat_map(|line| line.split('\n'));
    all.map(|line| format!("{margin}{line}{newline}")).collect()
}
