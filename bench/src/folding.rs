//! Folding alone: a stack as thick as a model may have, creased until it has as many faces.

use plumbfold::design::eval::{evaluate, stock};
use plumbfold::design::parser::parse;
use plumbfold::fold::exec::{FoldRun, run};
use plumbfold::fold::layers::{Stack, first_crossing};

use crate::table::{Row, seconds};

/// Six halvings give 64 layers; five creases through all of them 384 faces.
const STACK: &str = "sheet square 1 m
creep off
valley left edge onto right edge, call it side
valley top edge onto bottom edge, call it head
repeat 2 times
  valley all layers side onto right edge, call it side
  valley all layers head onto bottom edge, call it head
end
crease all layers parallel to bottom edge, 20 mm from it
crease all layers parallel to bottom edge, 40 mm from it
crease all layers parallel to bottom edge, 60 mm from it
crease all layers parallel to bottom edge, 80 mm from it
crease all layers parallel to bottom edge, 100 mm from it
";

fn fold() -> FoldRun {
    let (design, mistakes) = parse(STACK);
    assert!(mistakes.is_empty(), "{mistakes:?}");
    let values = evaluate(&design, &[]).expect("the bench design");
    let stock = stock(&design, &values).expect("the bench sheet");
    run(&design, &stock, &values).expect("the bench design folds")
}

/// The promise: folded, and its layers looked at again.
pub fn rows() -> Vec<Row> {
    let model = fold().folded;
    assert_eq!(model.faces.len(), 384);
    let row = |what: &str, measured: f64, limit| Row {
        what: what.to_owned(),
        measured: measured * 1e3,
        unit: "ms",
        limit,
        reference: None,
    };
    let look = || first_crossing(&Stack::of(&model), &model.order);
    assert_eq!(look(), None);
    vec![
        row("64 layers, 384 faces, folded from text", seconds(fold), Some(100.0)),
        row("  and its layers looked at again", seconds(look), None),
    ]
}
