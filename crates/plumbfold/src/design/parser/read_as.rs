//! Creases said in words that mean another: reported, shown put right, and read as meant.

use super::cursor::{NameKind, Parsed, Parser};
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::print::references as print;

/// A place on a line to bring to a place: of an edge of the sheet, the corner on the edge that the
/// other place is measured along; else the middle.
pub(super) fn place_of(line: &Spanned<LineRef>, onto: &PointRef) -> Spanned<PointRef> {
    let node = match (&line.node, onto) {
        (LineRef::Edge(side), PointRef::Along { of, .. }) => match (*side, &of.node) {
            (a @ (Side::Top | Side::Bottom), LineRef::Edge(b @ (Side::Left | Side::Right))) => {
                PointRef::Corner(a, *b)
            }
            (a @ (Side::Left | Side::Right), LineRef::Edge(b @ (Side::Top | Side::Bottom))) => {
                PointRef::Corner(*b, a)
            }
            _ => PointRef::EdgeMiddle(*side),
        },
        (LineRef::Edge(side), _) => PointRef::EdgeMiddle(*side),
        _ => PointRef::MiddleOf(line.clone()),
    };
    Spanned { node, span: line.span.clone() }
}

impl Parser<'_> {
    /// Reports words of this line, and shows the line with them put right.
    pub(super) fn put_right(
        &mut self,
        code: &'static str,
        span: Span,
        message: impl Into<String>,
        help: &str,
        put_right: String,
    ) {
        let said = &self.text[span.clone()];
        let whole = self.line_as_read().map(|w| w.replacen(said, &put_right, 1));
        let put_right = whole.filter(|w| w.contains(&put_right)).unwrap_or(put_right);
        self.forget_words_put_right();
        let fault = Diagnostic::error(code, span, message).help(format!("{help}: `{put_right}`"));
        self.diagnostics.push(fault.read_as_meant());
    }

    /// `pull out NAME`, read as the fold that is opened so.
    pub(super) fn pulled_out(&mut self) {
        let [pull, out, name] = &self.tokens[..] else { return };
        if !(pull.is_word("pull") && out.is_word("out") && self.names.contains_key(&name.text)) {
            return;
        }
        let (span, said) = (pull.span.start..out.span.end, name.text.to_string());
        let help = format!("here one says `unfold`: `unfold {said}`");
        let fault =
            Diagnostic::error("unknown-word", span, "paper is pulled out by opening a fold");
        self.diagnostics.push(fault.help(help).read_as_meant());
        self.tokens.remove(1);
        self.tokens[0].text = std::borrow::Cow::Borrowed("unfold");
    }

    /// `down to P`, `up to P`, `down by 30 mm` after a place, read as what is said here.
    pub(super) fn moved_to(&mut self, point: &Spanned<PointRef>) -> Parsed<Option<FoldLine>> {
        let Some(next) = self.peek_nth(1).filter(|_| self.goes_to_or_by()) else { return Ok(None) };
        let span = self.here().start..next.span.end;
        if !next.is_word("by") {
            // One word stands for both.
            self.tokens.remove(self.at);
            self.tokens[self.at].text = std::borrow::Cow::Borrowed("onto");
            self.tokens[self.at].span = span.clone();
            let message = "this is said without a direction";
            self.put_right("unknown-word", span, message, "here one says", "onto".to_owned());
            return Ok(None);
        }
        self.at += 2;
        let by = self.expression("how far, such as `24 mm`")?;
        let span = point.span.start..by.span.end;
        let line = FoldLine::Back(point.clone(), by, self.centre_or_middle(&span));
        let put_right = print::fold_line(&line);
        let message = "how far a place comes is said along a line";
        self.put_right("wrong-kind", span, message, "here one says", put_right);
        Ok(Some(line))
    }

    /// `over by 30 mm` after a place: only an edge is folded over so.
    pub(super) fn over_by(&mut self, place: Spanned<PointRef>) -> Parsed<FoldLine> {
        self.at += 1;
        self.expect_word("by")?;
        let by = self.expression("the width of the strip, such as `30 mm`")?;
        let span = place.span.start..by.span.end;
        let (line, help) = match place.node {
            PointRef::Corner(a, b) => {
                (corner_over([a, b], &by, &span), "a corner is folded along a line")
            }
            _ => (self.place_over(place, by, &span), "a place comes back by twice as much"),
        };
        let put_right = print::fold_line(&line);
        let message = "only an edge is folded over by a width";
        self.put_right("wrong-kind", span, message, help, put_right);
        Ok(line)
    }

    /// A place comes back by twice the width, along the centre where there is one.
    fn place_over(&self, place: Spanned<PointRef>, by: Spanned<Expr>, span: &Span) -> FoldLine {
        let spanned = |node| Spanned { node, span: span.clone() };
        let twice = match by.node {
            Expr::Number(n, unit) => Expr::Number(2.0 * n, unit),
            _ => {
                let two = Box::new(Expr::Number(2.0, Unit::None).into());
                Expr::Binary(two, BinaryOp::Mul, Box::new(by))
            }
        };
        FoldLine::Back(place, spanned(twice), self.centre_or_middle(span))
    }

    /// The centre where there is one, or the line down the middle of the sheet.
    fn centre_or_middle(&self, span: &Span) -> Spanned<LineRef> {
        let middle =
            |side| Box::new(Spanned { node: PointRef::EdgeMiddle(side), span: span.clone() });
        let along = match self.names.get("centre") {
            Some(NameKind::Line) => {
                LineRef::Named(Spanned { node: "centre".to_owned(), span: span.clone() })
            }
            _ => LineRef::Join(middle(Side::Top), middle(Side::Bottom)),
        };
        Spanned { node: along, span: span.clone() }
    }

    /// `top middle onto centre 150 mm from bottom middle`, read as a place on the line.
    pub(super) fn onto_measured(
        &mut self,
        point: Spanned<PointRef>,
        onto: Spanned<LineRef>,
    ) -> Parsed<FoldLine> {
        let start = onto.span.start;
        let by = self.expression("how far along")?;
        let from = if self.eat_word("from") { Some(Box::new(self.place()?)) } else { None };
        let span = self.span_from(start);
        let node = PointRef::Along { by, of: onto, from };
        let put_right = print::place(&node);
        let message = "a place on a line is so far `along` it";
        self.put_right("unknown-word", span.clone(), message, "here one says", put_right);
        Ok(FoldLine::PointOntoPoint(point, Spanned { node, span }))
    }
}

/// The line through places so far from a corner along both its edges.
fn corner_over([a, b]: [Side; 2], by: &Spanned<Expr>, span: &Span) -> FoldLine {
    let spanned = |node| Spanned { node, span: span.clone() };
    let along = |side: Side| {
        let of = Spanned { node: LineRef::Edge(side), span: span.clone() };
        let from = Some(Box::new(spanned(PointRef::Corner(a, b))));
        spanned(PointRef::Along { by: by.clone(), of, from })
    };
    FoldLine::Through(along(a), along(b))
}
