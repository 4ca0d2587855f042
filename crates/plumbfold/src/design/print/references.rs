//! Places, lines, creases and expressions as text.

use super::source::respaced;
use crate::design::ast::*;

/// Writes nodes; expressions as they stand in `source`, where there is one.
#[derive(Clone, Copy)]
pub struct Printer<'t> {
    /// The text the nodes were read from.
    pub source: Option<&'t str>,
}

/// A place alone.
pub fn place(p: &PointRef) -> String {
    Printer { source: None }.point(&p.clone().into())
}

/// A line on the paper alone.
pub fn line(l: &LineRef) -> String {
    Printer { source: None }.line(&l.clone().into())
}

/// Where a crease runs, alone.
pub fn fold_line(l: &FoldLine) -> String {
    Printer { source: None }.fold_line(&l.clone().into())
}

impl Printer<'_> {
    /// An expression.
    pub fn expr(&self, e: &Spanned<Expr>) -> String {
        match self.source {
            Some(text) if !e.span.is_empty() => respaced(text, &e.span),
            _ => expr_text(&e.node, Rank::Sum),
        }
    }

    /// A place.
    pub fn point(&self, p: &Spanned<PointRef>) -> String {
        self.point_with(p, false)
    }

    /// A place that a crease running `along` something follows: there a name alone is never
    /// read as a let that measures, unless it stands in brackets.
    pub fn point_before_along(&self, p: &Spanned<PointRef>) -> String {
        self.point_with(p, true)
    }

    fn point_with(&self, p: &Spanned<PointRef>, before_along: bool) -> String {
        match &p.node {
            PointRef::Corner(a, b) => format!("{} {} corner", side(*a), side(*b)),
            PointRef::ModelCorner(a, None) => format!("{} corner of model", side(*a)),
            PointRef::ModelCorner(a, Some(b)) => {
                format!("{} {} corner of model", side(*a), side(*b))
            }
            PointRef::EdgeMiddle(a) => format!("{} middle", side(*a)),
            PointRef::MiddleOf(of) => format!("middle of {}", self.line(of)),
            PointRef::End(a, of) => format!("{} end of {}", side(*a), self.line(of)),
            PointRef::Along { by, of, from } => {
                let bare_let = before_along && matches!(by.node, Expr::Let(_));
                let by = match self.expr(by) {
                    by if bare_let && !by.starts_with('(') => format!("({by})"),
                    by => by,
                };
                let from =
                    from.as_ref().map_or(String::new(), |p| format!(" from {}", self.point(p)));
                format!("{by} along {}{from}", self.line(of))
            }
            PointRef::Crossing(l, m) => {
                format!("crossing of {} and {}", self.line(l), self.line(m))
            }
            PointRef::Sheet(x, y) => format!("({}, {})", self.expr(x), self.expr(y)),
            PointRef::Named(name) => name.node.clone(),
        }
    }

    /// A line.
    pub fn line(&self, l: &Spanned<LineRef>) -> String {
        match &l.node {
            LineRef::Edge(a) => format!("{} edge", side(*a)),
            LineRef::Named(name) => name.node.clone(),
            LineRef::At(line, p) => format!("{} at {}", self.line(line), self.point(p)),
            LineRef::Join(p, q) => format!("line from {} to {}", self.point(p), self.point(q)),
        }
    }

    /// Where a crease runs.
    pub fn fold_line(&self, line: &Spanned<FoldLine>) -> String {
        match &line.node {
            FoldLine::Along(l) => format!("along {}", self.line(l)),
            FoldLine::Through(p, q) => format!("through {} and {}", self.point(p), self.point(q)),
            FoldLine::PointOntoPoint(p, q) => format!("{} onto {}", self.point(p), self.point(q)),
            FoldLine::LineOntoLine(l, m) => format!("{} onto {}", self.line(l), self.line(m)),
            FoldLine::Perpendicular(l, p) => {
                format!("perpendicular to {} through {}", self.line(l), self.point(p))
            }
            FoldLine::PointOntoLine { point, onto, hinge } => {
                let onto = self.line(onto);
                format!("{} onto {onto}, hinged at {}", self.point(point), self.point(hinge))
            }
            FoldLine::TwoPointsOntoLines([(p, l), (q, m)]) => {
                let (p, l, q, m) = (self.point(p), self.line(l), self.point(q), self.line(m));
                format!("{p} onto {l} and {q} onto {m}")
            }
            FoldLine::PointOntoLinePerpendicular { point, onto, square_to } => {
                let (onto, square_to) = (self.line(onto), self.line(square_to));
                format!("{} onto {onto}, perpendicular to {square_to}", self.point(point))
            }
            FoldLine::Parallel(l, distance, towards) => {
                let towards = towards
                    .as_ref()
                    .map_or(String::new(), |p| format!(" towards {}", self.point(p)));
                let distance = self.expr(distance);
                format!("parallel to {}, {distance} from it{towards}", self.line(l))
            }
            FoldLine::AtAngle(angle, l, p) => {
                let angle = self.expr(angle);
                format!("at {angle} to {} through {}", self.line(l), self.point(p))
            }
            FoldLine::Over(l, by) => format!("{} over by {}", self.line(l), self.expr(by)),
            FoldLine::InHalf { across: false } => "in half".to_owned(),
            FoldLine::InHalf { across: true } => "in half across".to_owned(),
            FoldLine::Back(p, by, l) => {
                format!("{} back by {} along {}", self.point(p), self.expr(by), self.line(l))
            }
        }
    }

    /// The same, with a line alone for a crease along it.
    pub fn fold_line_or_line(&self, line: &Spanned<FoldLine>) -> String {
        match &line.node {
            FoldLine::Along(l) => self.line(l),
            _ => self.fold_line(line),
        }
    }
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Top => "top",
        Side::Bottom => "bottom",
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// How tightly an expression binds, loosest first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Sum,
    Product,
    Factor,
}

/// Text of an expression, in brackets where it binds more loosely than `least`.
fn expr_text(e: &Expr, least: Rank) -> String {
    let (text, rank) = match e {
        Expr::Number(n, unit) => {
            (format!("{n} {}", unit.symbol()).trim_end().to_owned(), Rank::Factor)
        }
        Expr::Let(name) => (name.node.clone(), Rank::Factor),
        Expr::Neg(a) => (format!("-{}", expr_text(&a.node, Rank::Factor)), Rank::Factor),
        Expr::Binary(a, op, b) => {
            let (mark, rank, next) = match op {
                BinaryOp::Add => ('+', Rank::Sum, Rank::Product),
                BinaryOp::Sub => ('-', Rank::Sum, Rank::Product),
                BinaryOp::Mul => ('*', Rank::Product, Rank::Factor),
                BinaryOp::Div => ('/', Rank::Product, Rank::Factor),
            };
            let (a, b) = (expr_text(&a.node, rank), expr_text(&b.node, next));
            (format!("{a} {mark} {b}"), rank)
        }
        Expr::Call(name, args) => {
            let args: Vec<_> = args.iter().map(|a| expr_text(&a.node, Rank::Sum)).collect();
            (format!("{}({})", name.node, args.join(", ")), Rank::Factor)
        }
        Expr::Missing => ("?".to_owned(), Rank::Factor),
    };
    if rank < least { format!("({text})") } else { text }
}
