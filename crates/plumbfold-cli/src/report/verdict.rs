//! What a plane does, how sure that is and why, in the words of people who fold.

use plumbfold_view::flight::InTheAir;
use plumbfold_view::sentences;

use super::{Amount, Rows};

/// What it does and why: what a report begins with.
pub fn lead(rows: Rows, a: &InTheAir) -> Rows {
    let v = &a.verdict;
    let mut rows = rows.strong_row("verdict", &v.headline).row("because", &v.cause);
    if let Some(others) = sentences::others(v) {
        rows = rows.row("or", &others);
    }
    rows = rows.row("throw", &sentences::throw(&a.throw));
    if let Some(room) = sentences::room(&a.room) {
        rows = rows.row("", &room);
    }
    rows = rows.row("", &v.exactly.said());
    if let Some(ended) = sentences::ended(&a.flight, a.path.last()) {
        rows = rows.row("", &ended);
    }
    if let Some(off) = sentences::a_little_off(v) {
        rows = rows.row("", &off);
    }
    if a.flight.suspect {
        rows = rows.row("", "further or longer than hand throws are known to go: do not trust it");
    }
    rows
}

/// How it may be bent and thrown, and the glide it settles to.
pub fn bands(rows: Rows, a: &InTheAir, amount: Amount) -> Rows {
    let v = &a.verdict;
    let mut bands = sentences::bands(v);
    match sentences::left_out(v) {
        Some(left_out) => bands.push(left_out),
        None if bands.is_empty() => {
            bands.push("with no bend and at no speed near these".to_owned());
        }
        None => {}
    }
    let mut rows = rows;
    for (i, band) in bands.iter().enumerate() {
        rows = rows.row(if i == 0 { "it glides" } else { "" }, band);
    }
    rows = rows.row("other throws", &sentences::other_throws(v));
    let steady = match amount {
        Amount::Full => sentences::glides(a),
        Amount::Page => sentences::settles(a),
    };
    let rows = rows.row("steady glide", &steady);
    match sentences::wings_bend(a) {
        Some(bend) => rows.row("wings bend", &bend),
        None => rows,
    }
}
