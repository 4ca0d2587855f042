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
    assert_data_eq!(
        said(text),
        str![[r#"
error[unknown-word]: `rihgt` is not understood here
 --> halyard.plane:3:23
  |
3 | crease left edge onto rihgt edge, call it centre
  |                       ^^^^^ expected a line, such as `top edge`
  |
  = help: did you mean `right`?

error[unknown-word]: `middel` is not understood here
 --> halyard.plane:4:51
  |
4 | valley top left corner onto centre, hinged at top middel, both sides
  |                                                   ^^^^^^ expected `edge`, `middle`, `end of …`, or the other side of a corner
  |
  = help: did you mean `middle`?


"#]]
    );
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
    assert_data_eq!(
        said(text),
        str![[r#"
error[missing-unit]: a length needs a unit
 --> halyard.plane:3:11
  |
3 | let tip = 24, from 8 mm to 45 mm
  |           ^^ this is a plain number
  |
  = help: did you mean `24 mm`?


"#]]
    );
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
    assert_data_eq!(
        said(text),
        str![[r#"
error[out-of-range]: `tip` must lie between 8 mm and 45 mm, and is 60 mm
 --> halyard.plane:3:11
  |
3 | let tip = 60 mm, from 8 mm to 45 mm
  |           ^^^^^       ------------- its range


"#]]
    );
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
    assert_data_eq!(
        said(text),
        str![[r#"
error[tears]: the paper would tear where a layer that moves hangs on to one that stays
 --> halyard.plane:5:18
  |
5 | valley top layer parallel to bottom edge, 60 mm from it, moving bottom edge
  |                  ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ step 3 stops here: the paper holds together from (105.0, 297.0) mm to (105.0, 0.0) mm
  |
  = help: this folds: `valley top 2 layers parallel to bottom edge, 60 mm from it, moving bottom edge`

`plumbfold check halyard.plane` draws the place

"#]]
    );
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
    assert_data_eq!(
        said(text),
        str![[r#"
error[no-side]: either side of this crease may move: they are as large, and not alike
 --> halyard.plane:5:8
  |
5 | valley centre onto waist
  |        ^^^^^^^^^^^^^^^^^ step 3 stops here
  |
  = help: say which: `valley centre onto waist, moving left, take 1`, or `valley centre onto waist, moving right, take 1`, or `valley centre onto waist, moving left, take 2`, or `valley centre onto waist, moving right, take 2`

`plumbfold check halyard.plane` draws the place

"#]]
    );
}

#[test]
fn a_let_that_is_not_there() {
    let env = Env::new();
    env.run(&["new", "my.plane"]);
    let ran = env.run(&["balance", "my.plane", "--set", "kel=20 mm"]);
    assert_eq!(ran.code, 1);
    assert_data_eq!(
        ran.stderr,
        str![[r#"
error[unknown-let]: no let is called `kel`, so `kel=20 mm` sets nothing
--> my.plane
 = help: did you mean `keel`?


"#]]
    );
}
