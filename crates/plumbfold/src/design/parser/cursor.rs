//! Walking over the tokens of one line, and the one way in which all parts of the grammar
//! report a mistake.

use super::words;
use crate::design::ast::{Name, Span, Spanned};
use crate::design::diagnostic::{Diagnostic, did_you_mean};
use crate::design::lexer::{Token, TokenKind};
use crate::design::limits::MAX_NESTING;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The mistake is reported; give up what was being read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Failed;
/// Something read, or a mistake already reported.
pub type Parsed<T> = Result<T, Failed>;

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NameKind {
    /// A place.
    Point,
    /// A line.
    Line,
    /// Named in a line that could not be read: anything.
    Unknown,
}

/// Everything known while reading.
pub struct Parser<'t> {
    /// The text.
    pub text: &'t str,
    /// Tokens of the line being read.
    pub tokens: Vec<Token<'t>>,
    /// Next token.
    pub at: usize,
    /// Where the line's body ends, for mistakes of omission.
    pub line_end: usize,
    /// How deep brackets and places within places go.
    depth: usize,
    /// Names of places and lines so far.
    pub names: BTreeMap<Cow<'t, str>, NameKind>,
    /// Names of lets, wherever they stand.
    pub lets: Vec<Cow<'t, str>>,
    /// Names given anywhere in the text, and where first.
    pub named_at: BTreeMap<Cow<'t, str>, usize>,
    /// Mistakes so far.
    pub diagnostics: Vec<Diagnostic>,
}

impl<'t> Parser<'t> {
    /// Nothing read yet.
    pub fn new(text: &'t str) -> Self {
        Self {
            text,
            tokens: Vec::new(),
            at: 0,
            line_end: 0,
            depth: 0,
            names: BTreeMap::new(),
            lets: Vec::new(),
            named_at: BTreeMap::new(),
            diagnostics: Vec::new(),
        }
    }

    /// Begins a line.
    pub fn start_line(&mut self, tokens: Vec<Token<'t>>, line_end: usize) {
        (self.tokens, self.at, self.line_end, self.depth) = (tokens, 0, line_end, 0);
    }

    /// The next token.
    pub fn peek(&self) -> Option<&Token<'t>> {
        self.tokens.get(self.at)
    }
    /// The token `n` after the next.
    pub fn peek_nth(&self, n: usize) -> Option<&Token<'t>> {
        self.tokens.get(self.at + n)
    }
    /// Whether the next token is this word.
    pub fn peek_word(&self, word: &str) -> bool {
        self.peek().is_some_and(|t| t.is_word(word))
    }
    /// Whether the next token is one of these words, and which.
    pub fn peek_one_of(&self, words: &[&'static str]) -> Option<&'static str> {
        words.iter().copied().find(|w| self.peek_word(w))
    }
    /// Whether the next token is this character.
    pub fn peek_mark(&self, mark: char) -> bool {
        self.peek().is_some_and(|t| t.kind == TokenKind::Mark(mark))
    }
    /// Whether the next token is a number.
    pub fn peek_number(&self) -> bool {
        self.peek().is_some_and(|t| matches!(t.kind, TokenKind::Number(_)))
    }
    /// Steps over this word, if it is next.
    pub fn eat_word(&mut self, word: &str) -> bool {
        let found = self.peek_word(word);
        self.at += usize::from(found);
        found
    }
    /// Steps over this character, if it is next.
    pub fn eat_mark(&mut self, mark: char) -> bool {
        let found = self.peek_mark(mark);
        self.at += usize::from(found);
        found
    }
    /// Steps over commas and semicolons: between clauses they are welcome and never needed.
    pub fn eat_commas(&mut self) {
        while self.eat_mark(',') || self.eat_mark(';') {}
    }
    /// Steps over commas if a given word follows them.
    pub fn eat_clause(&mut self, word: &str) -> bool {
        let start = self.at;
        self.eat_commas();
        let found = self.eat_word(word);
        if !found {
            self.at = start;
        }
        found
    }
    /// Whether the line is read to its end.
    pub fn at_end(&self) -> bool {
        self.at >= self.tokens.len()
    }
    /// Where the next token stands; the end of the line after the last.
    pub fn here(&self) -> Span {
        self.peek().map_or(self.line_end..self.line_end, |t| t.span.clone())
    }
    /// From a start to the end of the last token read.
    pub fn span_from(&self, start: usize) -> Span {
        let last = self.at.checked_sub(1).and_then(|i| self.tokens.get(i));
        start..last.map_or(start, |t| t.span.end.max(start))
    }

    /// Reads something and notes where it stands.
    pub fn spanned<T>(&mut self, read: impl FnOnce(&mut Self) -> Parsed<T>) -> Parsed<Spanned<T>> {
        let start = self.here().start;
        let node = read(self)?;
        Ok(Spanned { node, span: self.span_from(start) })
    }

    /// Reads something that may contain its own kind.
    pub fn nested<T>(&mut self, read: impl FnOnce(&mut Self) -> Parsed<T>) -> Parsed<T> {
        if self.depth >= MAX_NESTING {
            let message = format!("this is nested more than {MAX_NESTING} deep");
            let help = "give a part of it a name with `let` or `mark`";
            return self.report(Diagnostic::error("too-deep", self.here(), message).help(help));
        }
        self.depth += 1;
        let result = read(self);
        self.depth -= 1;
        result
    }

    /// Notes a mistake and gives up.
    pub fn report<T>(&mut self, diagnostic: Diagnostic) -> Parsed<T> {
        self.diagnostics.push(diagnostic);
        Err(Failed)
    }

    /// Reports that the next token is not what is due; `options` are the words that would be.
    pub fn unexpected<T>(&mut self, due: &str, options: &[&'static str]) -> Parsed<T> {
        let span = self.here();
        let label = format!("expected {due}");
        let Some(token) = self.peek() else {
            let message = "the line ends too early";
            return self.report(Diagnostic::error("unfinished-line", span, message).label(label));
        };
        let mut options = options.to_vec();
        let mut label = label;
        let before = self.at.checked_sub(1).and_then(|i| self.tokens.get(i));
        let after_number = before.is_some_and(|t| matches!(t.kind, TokenKind::Number(_)));
        if after_number && token.kind == TokenKind::Word {
            options.extend(words::UNITS);
            label = format!("expected a unit, or {due}");
        }
        let meant =
            || words::suggest(&token.text, &options).map(|w| format!("did you mean `{w}`?"));
        let help = self.decimal_comma().or_else(meant);
        let message = format!("{} is not understood here", quoted(&token.text));
        let fault = Diagnostic::error("unknown-word", span, message).label(label);
        self.report(fault.maybe_help(help))
    }

    /// Reads something; a mistake that nothing else is said of is answered with its whole form.
    pub fn in_form<T>(
        &mut self,
        form: String,
        read: impl FnOnce(&mut Self) -> Parsed<T>,
    ) -> Parsed<T> {
        let told = self.diagnostics.len();
        let result = read(self);
        if let (Err(_), Some(last)) = (&result, self.diagnostics[told..].last_mut()) {
            last.help.get_or_insert(format!("in whole, with P a place and L a line: {form}"));
        }
        result
    }

    /// `1,5` where it was meant for a number.
    fn decimal_comma(&self) -> Option<String> {
        let [whole, comma, decimals] = self.tokens.get(self.at.checked_sub(2)?..=self.at)? else {
            return None;
        };
        let numbers = [whole, decimals].iter().all(|t| matches!(t.kind, TokenKind::Number(_)));
        let joined = whole.span.end == comma.span.start && comma.span.end == decimals.span.start;
        (numbers && joined && comma.kind == TokenKind::Mark(','))
            .then(|| format!("write decimals with a point: `{}.{}`", whole.text, decimals.text))
    }

    /// If the next word is none of these words or names but much like one of them, reports it
    /// and reads on as if that one stood there.
    pub fn settle(&mut self, due: &str, options: &[&[&'static str]], names: Option<NameKind>) {
        let Some(token) = self.peek().filter(|t| t.kind == TokenKind::Word) else { return };
        // A function of the reader's own spelling is reported as such.
        if self.peek_nth(1).is_some_and(|t| t.kind == TokenKind::Mark('(')) {
            return;
        }
        let fits = |kind: NameKind| names.is_some_and(|n| n == NameKind::Unknown || n == kind);
        if options.iter().any(|list| list.iter().any(|w| token.is_word(w)))
            || self.names.contains_key(&token.text)
            || self.named_at.contains_key(&token.text)
            || self.lets.contains(&token.text)
        {
            return;
        }
        let known: Vec<_> = self.names.iter().filter(|(_, k)| fits(**k)).map(|(n, _)| n).collect();
        // A name first: it is the reader's own word.
        let name = did_you_mean(&token.text, known.iter().map(|n| n.as_ref()));
        let said_here = |w: &str| options.iter().any(|list| list.contains(&w));
        if name.is_none()
            && let Some(word) = words::ours(&token.text, said_here)
        {
            let (span, said) = (token.span.clone(), quoted(&token.text));
            self.tokens[self.at].text = Cow::Borrowed(word);
            let help = match self.line_as_read() {
                Some(line) => format!("here one says `{word}`: `{line}`"),
                None => format!("here one says `{word}`"),
            };
            let message = format!("{said} is not understood here");
            let fault = Diagnostic::error("unknown-word", span, message);
            let fault = fault.label(format!("expected {due}")).help(help).read_as_meant();
            self.diagnostics.push(fault);
            return;
        }
        let word: Cow<'t, str> = match name {
            Some(name) => Cow::Owned(name.to_owned()),
            None => match did_you_mean(&token.text, options.iter().copied().flatten().copied()) {
                Some(word) => Cow::Borrowed(word),
                None => return,
            },
        };
        let span = token.span.clone();
        let message = format!("{} is not understood here", quoted(&token.text));
        self.diagnostics.push(
            Diagnostic::error("unknown-word", span, message)
                .label(format!("expected {due}"))
                .help(format!("did you mean `{word}`?"))
                .read_as_meant(),
        );
        self.tokens[self.at].text = word;
    }

    /// Forgets what was said of words of this line that were put right, where a later message shows
    /// the whole line put right.
    pub fn forget_words_put_right(&mut self) {
        let start = self.tokens.first().map_or(0, |t| t.span.start);
        self.diagnostics.retain(|d| !d.read_as_meant || d.span.start < start);
    }

    /// The line with its words as they were put right and some put in before a token, if it is one
    /// short line.
    pub fn line_with(&self, words: &str, before: usize) -> Option<String> {
        let line = self.line_as_read()?;
        let rest: usize = match self.tokens.get(before) {
            Some(t) => {
                let tail = &self.text[t.span.start..self.tokens.last()?.span.end];
                line.find(tail)?
            }
            None => line.len(),
        };
        let (first, last) = line.split_at(rest);
        let first = first.trim_end_matches([' ', ',', ';']);
        let comma = if last.is_empty() { "" } else { ", " };
        Some(format!("{first}{words}{comma}{last}"))
    }

    /// The line with its words as they were put right, if it is one short line.
    pub fn line_as_read(&self) -> Option<String> {
        const LONGEST: usize = 120;
        let mut at = self.tokens.first()?.span.start;
        let mut line = String::new();
        for token in &self.tokens {
            line.push_str(&self.text[at..token.span.start]);
            line.push_str(&token.text);
            at = token.span.end;
        }
        (line.len() <= LONGEST && !line.contains('\n')).then_some(line)
    }

    /// Refuses a saying of the trade that the grammar has other words for, and gives those.
    pub fn no_saying(&mut self, after_verb: bool) -> Parsed<()> {
        let next: Vec<&str> = self.tokens[self.at..].iter().take(3).map(|t| &*t.text).collect();
        let Some(help) = words::saying(&next, after_verb) else { return Ok(()) };
        if next.iter().any(|word| self.names.contains_key(*word)) {
            return Ok(());
        }
        let message = format!("{} is not said so here", quoted(next[0]));
        self.report(Diagnostic::error("unknown-word", self.here(), message).help(help))
    }

    /// Steps over a word that must be there.
    pub fn expect_word(&mut self, word: &'static str) -> Parsed<()> {
        if self.eat_word(word) {
            return Ok(());
        }
        let due = format!("`{word}`");
        self.settle(&due, &[&[word]], None);
        if self.eat_word(word) { Ok(()) } else { self.unexpected(&due, &[word]) }
    }

    /// Steps over one of several words, one of which must be there.
    pub fn expect_one_of(&mut self, words: &[&'static str]) -> Parsed<&'static str> {
        if self.peek_one_of(words).is_none() {
            let due = one_of(words);
            self.settle(&due, &[words], None);
            if self.peek_one_of(words).is_none() {
                return self.unexpected(&due, words);
            }
        }
        let word = self.peek_one_of(words).ok_or(Failed)?;
        self.at += 1;
        Ok(word)
    }

    /// Steps over a character that must be there.
    pub fn expect_mark(&mut self, mark: char) -> Parsed<()> {
        if self.eat_mark(mark) { Ok(()) } else { self.unexpected(&format!("`{mark}`"), &[]) }
    }

    /// A new name.
    pub fn new_name(&mut self, due: &str) -> Parsed<Name> {
        let Some(token) = self.peek().filter(|t| t.kind == TokenKind::Word) else {
            return self.unexpected(due, &[]);
        };
        let (node, span) = (token.text.to_string(), token.span.clone());
        if words::RESERVED.iter().any(|w| token.is_word(w)) {
            let message = format!("`{node}` is a word of the grammar and cannot be a name");
            let help = format!("add something to it, such as `{node}1`");
            return self.report(Diagnostic::error("reserved-name", span, message).help(help));
        }
        self.at += 1;
        if let [hyphen, rest, ..] = &self.tokens[self.at..]
            && hyphen.kind == TokenKind::Mark('-')
            && rest.kind == TokenKind::Word
            && hyphen.span.start == span.end
        {
            let (rest, span) = (rest.text.to_string(), span.start..rest.span.end);
            let message = format!("`{node}-{rest}` has a hyphen, and names have none");
            let help = format!("write `{node}_{rest}`");
            return self.report(Diagnostic::error("bad-name", span, message).help(help));
        }
        Ok(Spanned { node, span })
    }

    /// Gives a name to a place or a line from here on.
    pub fn declare(&mut self, name: &str, kind: NameKind) {
        self.names.insert(Cow::Owned(name.to_owned()), kind);
    }
}

/// A piece of the text, short enough to be read in a message.
pub fn quoted(text: &str) -> String {
    const LONGEST: usize = 30;
    match text.char_indices().nth(LONGEST) {
        Some((cut, _)) => format!("`{}…`", &text[..cut]),
        None => format!("`{text}`"),
    }
}

/// `a`, `b` or `c`.
pub fn one_of(words: &[&str]) -> String {
    let quoted: Vec<_> = words.iter().map(|w| format!("`{w}`")).collect();
    match quoted.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => quoted.concat(),
    }
}
