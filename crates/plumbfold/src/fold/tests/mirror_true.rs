//! Nothing is decided that the words leave open.

use super::{fold, help, try_fold};
use crate::fold::checks::check_all;
use crate::fold::error::Problem;
use crate::numeric::geom::centroid;

const CENTRE: &str = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n";
/// What is wrong with the last line of a text.
fn refused(lines: &str) -> Problem {
    try_fold(&format!("{CENTRE}{lines}"), &[]).expect_err("it is left open").problem
}

#[test]
fn halves_as_large_and_not_alike_are_not_chosen_between() {
    let text = "valley through middle of centre and 1/4 along right edge";
    assert!(matches!(refused(text), Problem::EitherSide { .. }));
    let help = help(&format!("{CENTRE}{text}\npose flat\n"));
    let said: Vec<&str> = help.split('`').skip(1).step_by(2).collect();
    assert!(said.len() == 2 && said.iter().all(|s| s.contains("moving")), "{help}");
    said.iter().for_each(|s| assert!(try_fold(&format!("{CENTRE}{s}"), &[]).is_ok(), "{s}"));
    // Alike, either half may move: the left one does.
    let model = fold(&format!("{CENTRE}mountain along centre"), &[]).folded;
    assert!(model.faces.iter().all(|f| centroid(&f.polygon).x > 0.105 || f.moved_half));
}

#[test]
fn of_two_creases_beside_a_line_none_is_chosen_where_as_much_would_move() {
    let text = "valley parallel to centre, 30 mm from it";
    assert!(matches!(refused(text), Problem::Ambiguous { candidates } if candidates.len() == 2));
    // Both sides make both of them.
    assert!(
        try_fold(&format!("{CENTRE}crease parallel to centre, 30 mm from it, both sides"), &[])
            .is_ok()
    );
}

#[test]
fn a_strip_beside_an_edge_that_lies_folded_in_is_shown_across_the_model() {
    let corners = "valley top left corner onto centre, hinged at top middle, both sides\n";
    let text = format!("{CENTRE}{corners}valley parallel to top edge, 60 mm from it\npose flat\n");
    let help = help(&text);
    let line = "valley perpendicular to centre through 60 mm along centre from top middle";
    assert!(help.contains(&format!("this folds: `{line}`")), "{help}");
}

#[test]
fn a_triangle_is_folded_in_half_along_the_line_about_which_it_is_alike() {
    let text =
        "sheet square 150 mm\nvalley top left corner onto bottom right corner\nvalley in half";
    let model = fold(text, &[]).folded;
    assert_eq!(model.faces.len(), 4);
    assert_eq!(check_all(&model), []);
}

#[test]
fn a_corner_of_the_model_is_found_where_places_lie_above_each_other() {
    let text = format!(
        "{CENTRE}mountain top left corner onto centre, hinged at top middle, both sides\n\
         valley left edge onto centre, both sides\n\
         mark left_one = bottom left corner of model\nmark right_one = bottom right corner of model\n\
         crease left_one onto right_one"
    );
    let crease = fold(&text, &[]).steps.pop().and_then(|s| s.passes.first().cloned());
    let line = crease.expect("it is creased").line;
    assert!((line.at.x - 0.105).abs() < 1e-9 && line.dir.x.abs() < 1e-9, "{line:?}");
}
