//! Lines to a whole design.

use super::cursor::{NameKind, Parser};
use super::statement::Statement;
use super::trade::blintz;
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::lexer::{Line, Token, TokenKind, lines, tokens};
use crate::design::limits::*;
use std::borrow::Cow;

/// A line of the text and what it says; `None` where it says nothing or could not be read.
pub struct ParsedLine {
    /// Where it stands.
    pub line: Line,
    /// What it says, or as much of it as later lines depend on.
    pub statement: Option<Statement>,
    /// Whether something on it could not be read.
    pub broken: bool,
}

/// Reads a design text. Never fails: the design holds what could be read, the list holds every
/// mistake in the order of the text.
pub fn parse(text: &str) -> (Design, Vec<Diagnostic>) {
    let (lines, mut diagnostics) = parse_lines(text);
    let mut assembly = Assembly::default();
    if lines.is_empty() && !diagnostics.is_empty() {
        // Nothing was read, so nothing is missing.
        assembly.add(Spanned { node: unread_sheet(0..0), span: 0..0 });
    }
    for parsed in lines {
        if let Some(node) = parsed.statement {
            assembly.add(Spanned { node, span: parsed.line.body });
        }
    }
    let (design, more) = assembly.finish();
    diagnostics.extend(more);
    diagnostics.sort_by_key(|d| d.span.start);
    diagnostics.truncate(MAX_DIAGNOSTICS);
    (design, diagnostics)
}

/// Reads every line by itself, with the names of the lines before it in mind.
pub fn parse_lines(text: &str) -> (Vec<ParsedLine>, Vec<Diagnostic>) {
    let mut parser = Parser::new(text);
    if text.len() > MAX_TEXT_BYTES {
        let message = format!("this text is longer than {} KiB", MAX_TEXT_BYTES / 1024);
        let fault = Diagnostic::error("too-long", 0..0, message).help("is it a design at all?");
        return (Vec::new(), vec![fault]);
    }
    let cut: Vec<_> = lines(text).map(|line| (tokens_of(text, &line), line)).collect();
    for (tokens, _) in &cut {
        parser.look_ahead(tokens);
    }
    let mut parsed = Vec::with_capacity(cut.len());
    for (tokens, line) in cut {
        let so_far = parser.diagnostics.len();
        let statement = if tokens.is_empty() || so_far >= MAX_DIAGNOSTICS {
            None
        } else {
            parser.read_line(tokens, &line)
        };
        let broken = parser.diagnostics.len() > so_far;
        parsed.push(ParsedLine { line, statement, broken });
    }
    (parsed, parser.diagnostics)
}

/// Articles carry no meaning, so `onto the centre` is as good as `onto centre`.
fn tokens_of<'t>(text: &'t str, line: &Line) -> Vec<Token<'t>> {
    let mut tokens = tokens(text, &line.body);
    tokens.retain(|t| !t.is_word("the"));
    tokens
}

impl<'t> Parser<'t> {
    /// Notes the names a line will give, so that an earlier line can be told so.
    fn look_ahead(&mut self, tokens: &[Token<'t>]) {
        for (name, _) in names_given(tokens) {
            self.named_at.entry(name.text.clone()).or_insert(name.span.start);
        }
        if let [first, name, ..] = tokens
            && first.is_word("let")
            && name.kind == TokenKind::Word
            && self.lets.len() <= MAX_LETS
        {
            self.lets.push(name.text.clone());
        }
    }

    fn read_line(&mut self, tokens: Vec<Token<'t>>, line: &Line) -> Option<Statement> {
        let given: Vec<(Cow<'t, str>, NameKind)> =
            names_given(&tokens).map(|(t, k)| (t.text.clone(), k)).collect();
        self.start_line(tokens, line.body.end);
        match self.statement(line) {
            Ok(statement) => {
                self.declare_names(&statement);
                Some(statement)
            }
            Err(_) => {
                // What an unreadable line would have named must not be missed further down.
                for (name, kind) in given {
                    self.names.insert(name, kind);
                }
                self.stand_in()
            }
        }
    }

    /// What other lines need of a line that could not be read.
    fn stand_in(&self) -> Option<Statement> {
        let first = self.tokens.first()?;
        let span = first.span.clone();
        if first.is_word("repeat") {
            return Some(Statement::Repeat(missing(span)));
        }
        if first.is_word("outline") {
            let corners = vec![(missing(span.clone()), missing(span))];
            return Some(Statement::Outline(OutlineDecl { corners, mirrored: false }));
        }
        if first.is_word("sheet") {
            return Some(unread_sheet(span));
        }
        let name = self.tokens.get(1).filter(|t| t.kind == TokenKind::Word)?;
        first.is_word("let").then(|| {
            let name = Name { node: name.text.to_string(), span: name.span.clone() };
            Statement::Let(Let { name, value: missing(span), range: None, note: None })
        })
    }

    fn declare_line(&mut self, call: Option<&Name>) {
        if let Some(name) = call {
            self.declare(&name.node, NameKind::Line);
        }
    }

    fn declare_names(&mut self, statement: &Statement) {
        match statement {
            Statement::Step(Step::Fold(fold)) => self.declare_line(fold.call.as_ref()),
            Statement::Step(Step::Roll(roll)) => self.declare_line(roll.call.as_ref()),
            Statement::Step(Step::Collapse(collapse)) => {
                if collapse.kind.is_base() {
                    for name in BASE_CREASES {
                        self.names.entry(Cow::Borrowed(name)).or_insert(NameKind::Line);
                    }
                }
                self.declare_line(collapse.call.as_ref());
            }
            Statement::Step(Step::Mark(name, target)) => {
                let kind = match target {
                    MarkTarget::Point(p) => match &p.node {
                        PointRef::Named(n) => {
                            self.names.get(n.node.as_str()).copied().unwrap_or(NameKind::Unknown)
                        }
                        _ => NameKind::Point,
                    },
                    MarkTarget::Line(_) => NameKind::Line,
                };
                self.declare(&name.node, kind);
            }
            _ => {}
        }
    }
}

/// An expression that could not be read.
fn missing(span: Span) -> Spanned<Expr> {
    Spanned { node: Expr::Missing, span }
}

/// A sheet of which nothing could be read.
fn unread_sheet(span: Span) -> Statement {
    Statement::Sheet(SheetDecl {
        size: SheetSize::Custom(missing(span.clone()), missing(span)),
        sideways: false,
        grammage: None,
        thickness: None,
        printed_down: false,
    })
}

/// The names a line gives with `call it` or `mark`, whether or not it can be read.
fn names_given<'a, 't>(tokens: &'a [Token<'t>]) -> impl Iterator<Item = (&'a Token<'t>, NameKind)> {
    let name_at = move |i: usize| tokens.get(i).filter(|t| t.kind == TokenKind::Word);
    (0..tokens.len()).filter_map(move |i| {
        if tokens[i].is_word("call") {
            let it = tokens.get(i + 1).is_some_and(|t| t.is_word("it"));
            name_at(i + 1 + usize::from(it)).map(|t| (t, NameKind::Line))
        } else if i == 0 && tokens[i].is_word("mark") {
            name_at(1).map(|t| (t, NameKind::Unknown))
        } else {
            None
        }
    })
}

/// A repeat that is still open.
struct OpenRepeat {
    count: Spanned<Expr>,
    span: Span,
    /// Where its steps begin in the list of the steps around it.
    steps: Vec<Spanned<Step>>,
}

#[derive(Default)]
struct Assembly {
    design: Design,
    open: Vec<OpenRepeat>,
    steps: usize,
    diagnostics: Vec<Diagnostic>,
}

impl Assembly {
    fn add(&mut self, Spanned { node, span }: Spanned<Statement>) {
        match node {
            Statement::Step(step) => return self.add_step(Spanned { node: step, span }),
            Statement::Blintz => {
                for fold in blintz(&span) {
                    self.add_step(Spanned { node: fold.into(), span: span.clone() });
                }
                return;
            }
            Statement::Repeat(count) => return self.open_repeat(count, span),
            Statement::End => return self.close_repeat(span),
            _ => {}
        }
        if let Some(open) = self.open.last() {
            let fault = Diagnostic::error("misplaced", span.clone(), "only steps can be repeated")
                .related(open.span.clone(), "this repeat is still open")
                .help("write `end` after the last step to repeat, or move this line elsewhere");
            self.diagnostics.push(fault);
        }
        let design = &mut self.design;
        let earlier = match node {
            Statement::Plane(name) => replace(&mut design.name, name).map(|old| old.span),
            Statement::Sheet(node) => {
                replace(&mut design.sheet, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Outline(node) => {
                replace(&mut design.outline, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Measured(node) => {
                replace(&mut design.measured, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Creep(node) => {
                replace(&mut design.creep, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Pose(node) => {
                replace(&mut design.pose, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Throw(node) => {
                replace(&mut design.throw, Spanned { node, span: span.clone() }).map(|o| o.span)
            }
            Statement::Let(node) => {
                let old = design.lets.iter().find(|l| l.node.name == node.name);
                let old = old.map(|l| l.span.clone());
                if old.is_none() {
                    let full = design.lets.len() == MAX_LETS;
                    self.push_or_refuse(full, MAX_LETS, "lets", span.clone(), |d| {
                        d.lets.push(Spanned { node, span });
                    });
                    return;
                }
                old
            }
            Statement::About(name) => {
                let full = design.about.len() == MAX_EXTRAS;
                return self.push_or_refuse(full, MAX_EXTRAS, "lines of `about`", span, |d| {
                    d.about.push(name);
                });
            }
            Statement::Trim(node) => {
                let full = design.trims.len() == MAX_EXTRAS;
                return self.push_or_refuse(full, MAX_EXTRAS, "trims", span.clone(), |d| {
                    d.trims.push(Spanned { node, span });
                });
            }
            Statement::Ballast(node) => {
                let full = design.ballast.len() == MAX_EXTRAS;
                return self.push_or_refuse(full, MAX_EXTRAS, "ballasts", span.clone(), |d| {
                    d.ballast.push(Spanned { node, span });
                });
            }
            Statement::Step(_) | Statement::Blintz | Statement::Repeat(_) | Statement::End => None,
        };
        if let Some(earlier) = earlier {
            let fault = Diagnostic::error("duplicate", span, "this is said twice")
                .related(earlier, "first said here")
                .help("keep one of the two lines");
            self.diagnostics.push(fault);
        }
    }

    /// Adds to a list with a limit; the first one too many is reported, the others are not.
    fn push_or_refuse(
        &mut self,
        full: bool,
        limit: usize,
        what: &str,
        span: Span,
        push: impl FnOnce(&mut Design),
    ) {
        if !full {
            return push(&mut self.design);
        }
        let message = format!("more than {limit} {what}");
        if self.diagnostics.iter().all(|d| d.message != message) {
            self.diagnostics.push(Diagnostic::error("too-many", span, message));
        }
    }

    fn add_step(&mut self, step: Spanned<Step>) {
        self.steps += 1;
        let span = step.span.clone();
        let full = self.steps > MAX_STEPS;
        let steps = self.open.last_mut().map(|o| &mut o.steps);
        match steps.filter(|_| !full) {
            Some(steps) => steps.push(step),
            None => self.push_or_refuse(full, MAX_STEPS, "steps", span, |d| d.steps.push(step)),
        }
    }

    fn open_repeat(&mut self, count: Spanned<Expr>, span: Span) {
        if self.open.len() == MAX_REPEAT_NESTING {
            let message = format!("more than {MAX_REPEAT_NESTING} repeats within each other");
            if self.diagnostics.iter().all(|d| d.message != message) {
                self.diagnostics.push(Diagnostic::error("too-deep", span.clone(), message));
            }
        }
        // Opened even when too deep, so that its `end` finds it.
        self.open.push(OpenRepeat { count, span, steps: Vec::new() });
    }

    fn close_repeat(&mut self, span: Span) {
        let Some(open) = self.open.pop() else {
            let message = "there is no repeat for this `end` to end";
            self.diagnostics.push(Diagnostic::error("unmatched-end", span, message));
            return;
        };
        let whole = open.span.start..span.end;
        self.keep_repeat(open, whole);
    }

    /// Hands a finished repeat to the steps around it, unless it is nested too deep (which is
    /// reported already).
    fn keep_repeat(&mut self, open: OpenRepeat, span: Span) {
        if self.open.len() < MAX_REPEAT_NESTING {
            self.add_step(Spanned { node: Step::Repeat(open.count, open.steps), span });
        }
    }

    fn finish(mut self) -> (Design, Vec<Diagnostic>) {
        while let Some(open) = self.open.pop() {
            let message = "this repeat has no `end`";
            let help = "write `end` on a line of its own after the last step to repeat";
            let span = open.span.clone();
            // Those nested too deep are reported as that.
            if self.open.len() < MAX_REPEAT_NESTING {
                let fault = Diagnostic::error("missing-end", span.clone(), message);
                self.diagnostics.push(fault.help(help));
            }
            self.keep_repeat(open, span);
        }
        (self.design, self.diagnostics)
    }
}

/// Puts a value where none was, and gives back the one that is already there otherwise.
fn replace<T: Clone>(slot: &mut Option<T>, value: T) -> Option<T> {
    match slot {
        Some(old) => Some(old.clone()),
        None => {
            *slot = Some(value);
            None
        }
    }
}
