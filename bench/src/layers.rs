//! The layer solver: all ways to fold a small map, and one thick model.

use plumbfold::fold::layers::{Question, Stack, StackHinge};
use plumbfold::numeric::geom::TablePoint;

use crate::table::{Row, seconds};

/// A sheet ruled into `rows` by `columns` squares, all stacked on one.
fn map(rows: usize, columns: usize) -> Stack {
    let p = TablePoint::new;
    let mut hinges = Vec::new();
    for cell in 0..rows * columns {
        let (r, c) = (cell / columns, cell % columns);
        let mut join = |other, ends| {
            hinges.push(StackHinge { faces: [cell, other], ends, folded: true });
        };
        if c + 1 < columns {
            let x = ((c + 1) % 2) as f64;
            join(cell + 1, [p(x, 0.0), p(x, 1.0)]);
        }
        if r + 1 < rows {
            let y = (r % 2) as f64;
            join(cell + columns, [p(0.0, y), p(1.0, y)]);
        }
    }
    let square = vec![p(0.0, 0.0), p(1.0, 0.0), p(1.0, 1.0), p(0.0, 1.0)];
    Stack {
        outlines: vec![square; rows * columns],
        printed_up: (0..rows * columns)
            .map(|i| (i / columns + i % columns).is_multiple_of(2))
            .collect(),
        hinges,
    }
}

/// A pleated strip of 64 layers, six squares wide, and 16 loose pieces to be put between them; the order wished
/// for and which faces have not moved against each other.
fn thick() -> (Stack, Vec<usize>, Vec<usize>) {
    let (columns, layers) = (6, 64);
    let p = TablePoint::new;
    let mut stack = Stack { outlines: vec![], printed_up: vec![], hinges: vec![] };
    for face in 0..columns * layers {
        let (k, c) = (face / columns, face % columns);
        let x = c as f64;
        stack.outlines.push(vec![p(x, 0.0), p(x + 1.0, 0.0), p(x + 1.0, 1.0), p(x, 1.0)]);
        stack.printed_up.push(k % 2 == 0);
        if c > 0 {
            let ends = [p(x, 0.0), p(x, 1.0)];
            stack.hinges.push(StackHinge { faces: [face - 1, face], ends, folded: false });
        }
        if k > 0 {
            let y = (k % 2) as f64;
            let ends = [p(x, y), p(x + 1.0, y)];
            stack.hinges.push(StackHinge { faces: [face - columns, face], ends, folded: true });
        }
    }
    let pile = stack.outlines.len();
    for i in 0..16 {
        let x = 0.3 * f64::from(i);
        stack.outlines.push(vec![p(x, 0.2), p(x + 0.7, 0.2), p(x + 0.4, 0.9)]);
        stack.printed_up.push(true);
    }
    let all = stack.outlines.len();
    let mut preferred: Vec<usize> = (0..pile).collect();
    preferred.splice(pile / 2..pile / 2, pile..all);
    // The pile has not moved in itself; each loose piece may lie anywhere.
    let rigid = (0..all).map(|f| if f < pile { 0 } else { f }).collect();
    (stack, preferred, rigid)
}

/// The promises.
pub fn rows() -> Vec<Row> {
    let map = map(2, 5);
    let free = Question {
        stack: &map,
        preferred: (0..10).collect(),
        rigid: (0..10).collect(),
        below: vec![],
        marks: vec![],
    };
    // OEIS A001415: 1980 ways of folding a 2 x 5 map.
    assert_eq!(free.all(10_000).map(|all| all.len()), Ok(1980));
    let (stack, preferred, rigid) = thick();
    let thick = Question { stack: &stack, preferred, rigid, below: vec![], marks: vec![] };
    let row = |what: &str, measured: f64, limit| Row {
        what: what.to_owned(),
        measured: measured * 1e3,
        unit: "ms",
        limit: Some(limit),
        reference: None,
    };
    vec![
        row("all 1980 states of a 2 x 5 map", seconds(|| free.all(10_000)), 1000.0),
        row("order of 400 faces in 64 layers", seconds(|| thick.nearest()), 100.0),
    ]
}
