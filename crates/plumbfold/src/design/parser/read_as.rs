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
        let middle =
            |side| Box::new(Spanned { node: PointRef::EdgeMiddle(side), span: span.clone() });
        let along = match self.names.get("centre") {
            Some(NameKind::Line) => {
                LineRef::Named(Spanned { node: "centre".to_owned(), span: span.clone() })
            }
            _ => LineRef::Join(middle(Side::Top), middle(Side::Bottom)),
        };
        let along = Spanned { node: along, span: span.clone() };
        FoldLine::Back(place, spanned(twice), along)
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
