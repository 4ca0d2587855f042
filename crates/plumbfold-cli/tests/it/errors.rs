//! Mistakes as the user sees them. `SNAPSHOTS=overwrite cargo test -p plumbfold-cli errors`
//! writes them anew; read the difference as a user would.

use snapbox::{assert_data_eq, str};

use crate::env::Env;

fn said(text: &str) -> String {
    let env = Env::with("halyard.plane", text);
    let ran = env.run(&["balance", "halyard.plane"]);
    assert_eq!(ran.code, 1, "{}", ran.stderr);
    ran.stderr
}

#[test]
fn two_typos_give_two_errors() {
    let text = "\
plane Halyard
sheet A4 upright, 80 g/m2
crease left edge onto rihgt edge, call it centre
valley top left corner onto centre, hinged at top middel, both sides
pose flat
";
    assert_data_eq!(said(text), str![]);
}

#[test]
fn a_number_without_its_unit() {
    let text = "\
plane Halyard
sheet A4
let tip = 24, from 8 mm to 45 mm
crease left edge onto right edge, call it centre
valley top middle back by tip along centre
";
    assert_data_eq!(said(text), str![]);
}

#[test]
fn a_let_out_of_its_range() {
    let text = "\
plane Halyard
sheet A4
let tip = 60 mm, from 8 mm to 45 mm
crease left edge onto right edge, call it centre
valley top middle back by tip along centre
";
    assert_data_eq!(said(text), str![]);
}

#[test]
fn a_fold_that_tears() {
    let text = "\
plane Halyard
sheet A4
crease left edge onto right edge, call it centre
mountain along centre
valley top layer parallel to bottom edge, 60 mm from it, moving bottom edge
";
    assert_data_eq!(said(text), str![]);
}

#[test]
fn a_fold_with_several_solutions() {
    let text = "\
plane Halyard
sheet A4
crease left edge onto right edge, call it centre
crease top edge onto bottom edge, call it waist
valley centre onto waist
";
    assert_data_eq!(said(text), str![]);
}

#[test]
fn a_let_that_is_not_there() {
    let env = Env::new();
    env.run(&["new", "my.plane"]);
    let ran = env.run(&["balance", "my.plane", "--set", "kel=20 mm"]);
    assert_eq!(ran.code, 1);
    assert_data_eq!(ran.stderr, str![]);
}
