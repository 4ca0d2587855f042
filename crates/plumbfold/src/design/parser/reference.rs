//! Places and lines on the paper.

use super::cursor::{NameKind, Parsed, Parser};
use super::words;
use crate::design::ast::{Expr, LineRef, Name, PointRef, Side, Spanned};
use crate::design::diagnostic::{Diagnostic, did_you_mean};
use crate::design::lexer::TokenKind;
use crate::design::print::references as print;

/// A place or a line, when the grammar allows both.
pub enum Reference {
    /// A place.
    Point(PointRef),
    /// A line.
    Line(LineRef),
    /// A name nobody knows (already reported) or that was given in an unreadable line.
    Either(Name),
}

/// How a name followed by `along` is read.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Along {
    /// As a let that says how far along.
    Measures,
    /// As a place, because a crease that runs `along` something comes next.
    Follows,
}

const SIDES: [(&str, Side); 4] =
    [("top", Side::Top), ("bottom", Side::Bottom), ("left", Side::Left), ("right", Side::Right)];
const SIDE_WORDS: &[&str] = &["top", "bottom", "left", "right"];
const A_PLACE: &str = "a place, such as `top middle`";
pub(super) const A_LINE: &str = "a line, such as `top edge`";

impl Parser<'_> {
    /// A place.
    pub fn point(&mut self, along: Along) -> Parsed<Spanned<PointRef>> {
        self.settle(A_PLACE, &[words::REFERENCES], Some(NameKind::Point));
        let Spanned { node, span } = self.reference(A_PLACE, along)?;
        match node {
            Reference::Point(node) => Ok(Spanned { node, span }),
            Reference::Either(name) => Ok(Spanned { node: PointRef::Named(name), span }),
            Reference::Line(line) => {
                let text = &self.text[span.clone()];
                let node = match line {
                    LineRef::Edge(side) => PointRef::EdgeMiddle(side),
                    line => PointRef::MiddleOf(Spanned { node: line, span: span.clone() }),
                };
                let middle = print::place(&node);
                let help =
                    format!("`{middle}` is its middle, `crossing of {text} and …` a crossing");
                let message = format!("`{text}` is a line, and a place is due here");
                let fault = Diagnostic::error("wrong-kind", span.clone(), message).help(help);
                self.diagnostics.push(fault.read_as_meant());
                Ok(Spanned { node, span })
            }
        }
    }

    /// A place that is followed by anything but `along`.
    pub fn place(&mut self) -> Parsed<Spanned<PointRef>> {
        self.point(Along::Measures)
    }

    /// A line.
    pub fn line(&mut self) -> Parsed<Spanned<LineRef>> {
        self.settle(A_LINE, &[words::REFERENCES], Some(NameKind::Line));
        let Spanned { node, span } = self.reference(A_LINE, Along::Follows)?;
        match node {
            Reference::Line(node) => Ok(Spanned { node, span }),
            Reference::Either(name) => Ok(Spanned { node: LineRef::Named(name), span }),
            Reference::Point(_) => {
                let text = &self.text[span.clone()];
                let help = format!("`line from {text} to …` runs through it");
                let message = format!("`{text}` is a place, and a line is due here");
                self.report(Diagnostic::error("wrong-kind", span, message).help(help))
            }
        }
    }

    /// A place or a line, as the words say.
    pub fn reference(&mut self, due: &str, along: Along) -> Parsed<Spanned<Reference>> {
        let Spanned { node, span } =
            self.nested(|p| p.spanned(|p| p.reference_inside(due, along)))?;
        match node {
            Reference::Line(line) if self.names_a_stretch() => {
                self.at += 1;
                let place = Box::new(self.nested(|p| p.place())?);
                let start = span.start;
                let line = Box::new(Spanned { node: line, span });
                let node = Reference::Line(LineRef::At(line, place));
                Ok(Spanned { node, span: self.span_from(start) })
            }
            node => Ok(Spanned { node, span }),
        }
    }

    /// Whether `at` and a place come next; a crease may run `at` an angle instead.
    fn names_a_stretch(&self) -> bool {
        self.peek_word("at")
            && self.peek_nth(1).is_some_and(|t| match t.kind {
                TokenKind::Word => {
                    words::REFERENCES.iter().any(|w| t.is_word(w))
                        || self.names.get(&t.text) == Some(&NameKind::Point)
                }
                TokenKind::Mark('(') => {
                    let mut depth = 0;
                    self.tokens[self.at + 1..].iter().any(|t| {
                        match t.kind {
                            TokenKind::Mark('(') => depth += 1,
                            TokenKind::Mark(')') => depth -= 1,
                            _ => {}
                        }
                        depth == 1 && t.kind == TokenKind::Mark(',')
                    })
                }
                _ => false,
            })
    }

    fn reference_inside(&mut self, due: &str, along: Along) -> Parsed<Reference> {
        if let Some(side) = self.peek_side() {
            self.at += 1;
            return self.after_side(side);
        }
        if self.eat_word("middle") {
            if !self.peek_word("of") {
                let span = self.span_from(self.here().start);
                let help = "the middle of the sheet is `(width / 2, length / 2)`, that of a line \
                            `middle of NAME`, that of an edge `top middle`";
                let fault = Diagnostic::error("unknown-word", span, "this does not say what of");
                return self.report(fault.help(help));
            }
            self.expect_word("of")?;
            let of = self.line()?;
            return Ok(Reference::Point(match of.node {
                LineRef::Edge(side) => PointRef::EdgeMiddle(side),
                _ => PointRef::MiddleOf(of),
            }));
        }
        if self.eat_word("crossing") {
            self.expect_word("of")?;
            let first = self.line()?;
            self.expect_word("and")?;
            return Ok(Reference::Point(PointRef::Crossing(first, self.line()?)));
        }
        if self.eat_word("line") {
            self.expect_word("from")?;
            let from = Box::new(self.place()?);
            self.expect_word("to")?;
            return Ok(Reference::Line(LineRef::Join(from, Box::new(self.place()?))));
        }
        if self.peek_mark('(')
            && let Some(place) = self.sheet_place()?
        {
            return Ok(Reference::Point(place));
        }
        if self.peek_number() || self.peek_mark('(') || self.peek_mark('-') || self.measures(along)
        {
            let by = self.expression("how far along")?;
            return self.along(by).map(Reference::Point);
        }
        self.named(due)
    }

    /// `top edge`, `top middle`, `top left corner`, after `top`.
    fn after_side(&mut self, side: Side) -> Parsed<Reference> {
        const DUE: &str = "`edge`, `middle`, `end of …`, or the other side of a corner";
        if let Some(corner) = self.corner_of_model(side) {
            return Ok(Reference::Point(corner));
        }
        self.settle(DUE, &[&["edge", "middle", "end"], SIDE_WORDS], None);
        if self.eat_word("edge") {
            return Ok(Reference::Line(LineRef::Edge(side)));
        }
        if self.eat_word("end") {
            self.expect_word("of")?;
            return Ok(Reference::Point(PointRef::End(side, self.line()?)));
        }
        if self.eat_word("middle") {
            return Ok(Reference::Point(PointRef::EdgeMiddle(side)));
        }
        if self.peek_word("corner") && self.peek_nth(1).is_some_and(|t| t.is_word("of")) {
            self.at += 2;
            self.expect_word("model")?;
            return Ok(Reference::Point(PointRef::ModelCorner(side, None)));
        }
        match self.peek_side() {
            Some(other) if is_upright(other) != is_upright(side) => {
                self.at += 1;
                if self.peek_word("end") {
                    return self.end_of_two_sides(side);
                }
                self.expect_word("corner")?;
                let (a, b) = if is_upright(side) { (side, other) } else { (other, side) };
                if self.eat_word("of") {
                    self.expect_word("model")?;
                    return Ok(Reference::Point(PointRef::ModelCorner(a, Some(b))));
                }
                Ok(Reference::Point(PointRef::Corner(a, b)))
            }
            _ => self.unexpected(DUE, &["edge", "middle", "end", "top", "bottom", "left", "right"]),
        }
    }

    /// `top left end of L`, read as its top end.
    fn end_of_two_sides(&mut self, side: Side) -> Parsed<Reference> {
        let start = self.tokens[self.at.saturating_sub(2)].span.start;
        self.at += 1;
        self.expect_word("of")?;
        let end = PointRef::End(side, self.line()?);
        let (message, put_right) = ("an end of a line is named by one side", print::place(&end));
        self.put_right("unknown-word", self.span_from(start), message, "say", put_right);
        Ok(Reference::Point(end))
    }

    /// `top of model` and `top middle of model`, read as the corner that is uppermost there.
    fn corner_of_model(&mut self, side: Side) -> Option<PointRef> {
        let of_model = |at: usize| {
            let is = |n: usize, w: &str| self.peek_nth(at + n).is_some_and(|t| t.is_word(w));
            is(0, "of") && is(1, "model")
        };
        let said = match self.peek_word("middle") && of_model(1) {
            true => "corner",
            false if of_model(0) => "corner of",
            false => return None,
        };
        let span = self.here();
        self.tokens[self.at].text = said.into();
        let corner = PointRef::ModelCorner(side, None);
        let ours = print::place(&corner);
        let help = match self.line_as_read() {
            Some(line) => format!("here one says `{ours}`: `{line}`"),
            None => format!("here one says `{ours}`"),
        };
        let message = "edges and their middles are those of the unfolded sheet";
        let fault = Diagnostic::error("unknown-word", span, message).help(help);
        self.diagnostics.push(fault.read_as_meant());
        self.at += if said == "corner" { 3 } else { 2 };
        Some(corner)
    }

    /// `L [from P]`, after a fraction or distance; the `along` comes first.
    pub fn along(&mut self, by: Spanned<Expr>) -> Parsed<PointRef> {
        self.expect_word("along")?;
        let of = self.line()?;
        let from = if self.eat_word("from") { Some(Box::new(self.place()?)) } else { None };
        Ok(PointRef::Along { by, of, from })
    }

    /// `(20 mm, 35 mm)`; nothing is read if it turns out to be a bracketed number.
    fn sheet_place(&mut self) -> Parsed<Option<PointRef>> {
        let (start, mistakes) = (self.at, self.diagnostics.len());
        self.eat_mark('(');
        let x = self.expression("a distance from the left edge");
        if x.is_err() || !self.eat_mark(',') {
            if self.peek_mark(')') || x.is_err() {
                (self.at, _) = (start, self.diagnostics.truncate(mistakes));
                return Ok(None);
            }
            return self.unexpected("`,` between the two distances", &[]);
        }
        let y = self.expression("a distance from the bottom edge")?;
        self.expect_mark(')')?;
        Ok(Some(PointRef::Sheet(x?, y)))
    }

    /// Whether a let (with or without arithmetic) that measures along something comes next.
    fn measures(&self, along: Along) -> bool {
        let Some(token) = self.peek().filter(|t| t.kind == TokenKind::Word) else { return false };
        let known = self.is_let(&token.text);
        let named = self.names.contains_key(&token.text);
        let Some(next) = self.peek_nth(1) else { return false };
        match next.kind {
            TokenKind::Mark('+' | '-' | '*' | '/') => known,
            // A function, unless a place in brackets follows a name.
            TokenKind::Mark('(') => !named,
            TokenKind::Word if next.is_word("along") => {
                along == Along::Measures && (known || !named)
            }
            _ => false,
        }
    }

    fn named(&mut self, due: &str) -> Parsed<Reference> {
        let Some(token) = self.peek().filter(|t| t.kind == TokenKind::Word) else {
            return self.unexpected(due, words::REFERENCES);
        };
        if words::RESERVED.iter().any(|w| token.is_word(w)) {
            return self.unexpected(due, words::REFERENCES);
        }
        let name = Name { node: token.text.to_string(), span: token.span.clone() };
        self.at += 1;
        Ok(match self.names.get(name.node.as_str()) {
            Some(NameKind::Point) => Reference::Point(PointRef::Named(name)),
            Some(NameKind::Line) => Reference::Line(LineRef::Named(name)),
            Some(NameKind::Unknown) => Reference::Either(name),
            None => {
                self.unknown_name(&name);
                Reference::Either(name)
            }
        })
    }

    /// A crease that was named before, where only its name will do.
    pub fn crease_name(&mut self) -> Parsed<Name> {
        const DUE: &str = "the name of a crease";
        self.settle(DUE, &[], Some(NameKind::Line));
        let span = self.here();
        match self.named(DUE)? {
            Reference::Line(LineRef::Named(name)) | Reference::Either(name) => Ok(name),
            _ => {
                let message =
                    format!("`{}` is a place, and a crease is due here", &self.text[span.clone()]);
                self.report(Diagnostic::error("wrong-kind", span, message))
            }
        }
    }

    fn unknown_name(&mut self, name: &Name) {
        let known = || self.names.keys().map(|n| n.as_ref());
        let help = if let Some(meant) = did_you_mean(&name.node, known()) {
            format!("did you mean `{meant}`?")
        } else if let Some(&offset) = self.named_at.get(name.node.as_str()) {
            let line = self.text[..offset].matches('\n').count() + 1;
            format!("it gets its name only on line {line}; name it before it is used")
        } else if self.names.is_empty() {
            let name = &name.node;
            format!("name a crease with `call it {name}`, or a place with `mark {name} = …`")
        } else {
            format!("names so far: {}", known().collect::<Vec<_>>().join(", "))
        };
        let message = format!("nothing is called `{}` here", name.node);
        let fault = Diagnostic::error("unknown-name", name.span.clone(), message);
        self.diagnostics.push(fault.help(help));
    }

    fn peek_side(&self) -> Option<Side> {
        SIDES.into_iter().find(|(word, _)| self.peek_word(word)).map(|(_, side)| side)
    }
}

/// Whether a side is the first of a corner's two words.
fn is_upright(side: Side) -> bool {
    matches!(side, Side::Top | Side::Bottom)
}
