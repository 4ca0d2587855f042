//! Words of the trade for the first folds of a sheet.

use super::cursor::{Parsed, Parser};
use crate::design::ast::*;

impl Parser<'_> {
    /// `book fold`: in half, left onto right. `gate fold`, `cupboard fold`: the left and the right
    /// edge onto the middle.
    pub fn trade_fold(&mut self, word: &str) -> Parsed<FoldStep> {
        let span = self.tokens[0].span.clone();
        let (line, sides) = match word {
            "book" => (FoldLine::InHalf { across: false }, Sides::One),
            _ => (left_strip(4.0, &span), Sides::Both),
        };
        let call = self.clauses(&["call"])?.call;
        let fold = FoldStep { sides, call, ..FoldStep::plain(FoldVerb::Valley, line) };
        Ok(whole_line(fold, &span))
    }
}

/// `blintz fold`: each corner onto the middle of the sheet, the upper two first.
pub fn blintz(span: &Span) -> [FoldStep; 2] {
    [Side::Top, Side::Bottom].map(|side| {
        let [x, y] = ["width", "length"].map(|whole| share(whole, 2.0, span));
        let at = |node| Spanned { node, span: span.clone() };
        let corner = PointRef::Corner(side, Side::Left);
        let line = FoldLine::PointOntoPoint(at(corner), at(PointRef::Sheet(x, y)));
        whole_line(FoldStep { sides: Sides::Both, ..FoldStep::plain(FoldVerb::Valley, line) }, span)
    })
}

/// The strip along the left edge that is a share of the sheet's width.
pub(super) fn left_strip(parts: f64, span: &Span) -> FoldLine {
    let edge = Spanned { node: LineRef::Edge(Side::Left), span: span.clone() };
    FoldLine::Over(edge, share("width", parts, span))
}

fn share(whole: &str, parts: f64, span: &Span) -> Spanned<Expr> {
    // Not in the text, and so printed by what it is.
    let at = |node| Spanned { node, span: span.start..span.start };
    let whole = Expr::Let(Spanned { node: whole.to_owned(), span: span.start..span.start });
    let parts = Expr::Number(parts, Unit::None);
    at(Expr::Binary(Box::new(at(whole)), BinaryOp::Div, Box::new(at(parts))))
}

/// What is said of the step is said of its whole line.
fn whole_line(mut fold: FoldStep, span: &Span) -> FoldStep {
    (fold.line.span, fold.layers.span) = (span.clone(), span.clone());
    fold
}
