//! A band folded down from the top edge before starting: more layers forward.
//!
//! ```text
//! valley top left corner onto centre, …     ->     valley parallel to top edge, 12 mm from it, …
//!                                                  valley fore_left onto centre, …
//! ```
//!
//! The folds that follow are made from the new top edge, as a folder would.

use super::{Amounts, GRID_MM, Move};
use crate::design::ast::{
    BinaryOp, Expr, FoldLine, FoldStep, FoldVerb, LineRef, MarkTarget, MovingRef, PointRef, Side,
    Spanned, Step, Unit,
};
use crate::design::edit::amount::number;
use crate::design::edit::{Edit, free_name};
use crate::pipeline::Analysed;

/// Widest band, as a share of the sheet's length.
const REACH: f64 = 0.15;

pub(super) fn moves<'a>(text: &'a str, a: &'a Analysed) -> Vec<Move<'a>> {
    let folded = a.balanced.source.folded().filter(|f| !f.design.steps.is_empty());
    let Some(folded) = folded else { return Vec::new() };
    let length_mm = folded.stock.length_m * 1e3;
    // What the top of the sheet is called afterwards.
    let names = ["edge", "left", "right", "middle"].map(|n| free_name(text, &format!("fore_{n}")));
    vec![Move {
        kind: "band",
        what: "folding a band down from the top edge before starting".into(),
        changed_let: None,
        unit: "mm",
        from: 0.0,
        sign: 1.0,
        grid: GRID_MM,
        amounts: Amounts::up_to(length_mm * REACH, 8),
        hand_step: 2.0,
        charge: 4.0,
        undoes: false,
        edits: Box::new(move |to| folded_down(to, &names)),
        say: Box::new(|to| {
            format!(
                "Fold a band of {to} mm down from the top edge before you start, and go on from \
                 the new top edge."
            )
        }),
    }]
}

/// The band as the first fold, and the steps that follow made from the new top edge.
fn folded_down(width_mm: f64, [edge, left, right, middle]: &[String; 4]) -> Vec<Edit> {
    let top = || Spanned::from(LineRef::Edge(Side::Top));
    let mm = |value: f64| Spanned::from(number(value, Unit::Mm));
    let sheet = |name: &str| Spanned::from(Expr::Let(name.to_owned().into()));
    let binary = |a, op, b| Spanned::from(Expr::Binary(Box::new(a), op, Box::new(b)));
    let half = binary(sheet("width"), BinaryOp::Div, Expr::Number(2.0, Unit::None).into());
    let mark = |name: &String, x: Spanned<Expr>| {
        let y = binary(sheet("length"), BinaryOp::Sub, mm(width_mm));
        Step::Mark(name.clone().into(), MarkTarget::Point(PointRef::Sheet(x, y).into()))
    };
    let fold = FoldStep {
        moving: Some(MovingRef::Line(top()).into()),
        call: Some(edge.clone().into()),
        ..FoldStep::plain(FoldVerb::Valley, FoldLine::Parallel(top(), mm(width_mm), None))
    };
    let steps =
        vec![fold.into(), mark(left, mm(0.0)), mark(right, sheet("width")), mark(middle, half)];
    let rename = Edit::Rename {
        after: steps.len(),
        places: vec![
            (PointRef::Corner(Side::Top, Side::Left), left.clone()),
            (PointRef::Corner(Side::Top, Side::Right), right.clone()),
            (PointRef::EdgeMiddle(Side::Top), middle.clone()),
        ],
        lines: vec![(LineRef::Edge(Side::Top), edge.clone())],
    };
    vec![Edit::AddSteps { after: 0, steps }, rename]
}
