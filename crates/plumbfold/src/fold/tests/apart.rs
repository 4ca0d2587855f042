//! Edges and creases that have been folded apart: which stretch a step means.

use super::{fold, sound, try_fold};
use crate::fold::error::Problem;
use crate::fold::state::Folded;
use crate::numeric::geom::SheetPoint;
use approx::assert_relative_eq;

fn folded(text: &str) -> Folded {
    let run = fold(&format!("sheet 200 mm by 300 mm\ncreep off\n{text}"), &[]);
    run.steps.iter().for_each(|step| sound(&step.after));
    (*run.folded).clone()
}

/// Where a place of the sheet (mm) lies on the table (mm).
fn lies(model: &Folded, x: f64, y: f64) -> (f64, f64) {
    let p = model.on_table(SheetPoint::new(x * 1e-3, y * 1e-3)).unwrap();
    ((p.x * 1e9).round() / 1e6, (p.y * 1e9).round() / 1e6)
}

/// The help line of a text that must be refused, and whether the line is said to be in stretches.
fn refused(text: &str) -> (bool, String) {
    let text = format!("sheet 200 mm by 300 mm\ncreep off\n{text}");
    let error = *try_fold(&text, &[]).unwrap_err();
    let stretches = matches!(error.problem, Problem::WhichStretch { .. });
    (stretches, error.diagnostic().help.unwrap_or_default())
}

/// The top left corner folded down: the left edge lies along x = 0 below y = 200, and along y = 200.
const CORNER: &str = "valley top left corner onto (100 mm, 200 mm), call it shoulder\n";

#[test]
fn an_edge_folded_apart_means_its_stretch_on_the_rim() {
    let model = folded(&format!("{CORNER}valley left edge onto right edge"));
    assert_eq!(lies(&model, 0.0, 0.0), (200.0, 0.0));
}

#[test]
fn a_stretch_is_named_by_a_place_on_it() {
    for (place, to) in [("bottom left corner", (200.0, 0.0)), ("top left corner", (0.0, 0.0))] {
        let model = folded(&format!("{CORNER}valley left edge at {place} onto right edge, take 1"));
        let below = format!("{place}: the lower left corner");
        // The flap's edge comes onto the right edge by a crease at 45 degrees instead.
        assert_eq!(lies(&model, 0.0, 0.0) == (200.0, 0.0), to == (200.0, 0.0), "{below}");
    }
}

#[test]
fn of_two_stretches_on_the_rim_neither_is_guessed() {
    // The lower part folded up askew reaches over the top edge.
    let start = "valley through (0 mm, 200 mm) and (200 mm, 150 mm), moving bottom edge\n";
    let (stretches, help) = refused(&format!("{start}crease along left edge"));
    assert!(stretches, "{help}");
    for way in ["`left edge at top left corner`", "`left edge at bottom left corner`"] {
        assert!(help.contains(way), "{help}");
    }
}

#[test]
fn a_crease_square_to_an_edge_goes_by_the_place_on_it() {
    let model = folded(&format!(
        "{CORNER}mark low = 50 mm along left edge from bottom left corner\n\
         valley perpendicular to left edge through low, moving bottom edge"
    ));
    assert_eq!(lies(&model, 0.0, 0.0), (0.0, 100.0));
}

#[test]
fn a_corner_onto_a_side_makes_the_haga_third_where_the_edges_cross() {
    // K. Haga, Origamics, 2008 (from memory): the lower edge crosses the side at two thirds from
    // the top. The mark is on both papers, and each line has its own when they are opened again.
    let text = "sheet square 300 mm\ncreep off\nvalley bottom right corner onto top middle\n\
                mark third = crossing of bottom edge and left edge\nunfold\n\
                valley perpendicular to left edge through third, moving bottom edge";
    let p = fold(text, &[]).folded.on_table(SheetPoint::new(0.0, 0.0)).unwrap();
    assert_relative_eq!(p.y, 0.2, epsilon = 1e-12);
    let text = text.replace(
        "left edge through third, moving bottom edge",
        "bottom edge through third, moving left",
    );
    let p = fold(&text, &[]).folded.on_table(SheetPoint::new(0.0, 0.0)).unwrap();
    assert_relative_eq!(p.x, 0.1, epsilon = 1e-12);
}

#[test]
fn a_dart_folded_in_half_first_is_the_dart_folded_flat_first() {
    let half_first = "mountain left edge onto right edge, call it centre\n\
        valley near half top edge onto centre, both sides, call it one\n\
        valley near half one onto centre, both sides, call it two\n";
    let flat_first = "crease left edge onto right edge, call it centre\n\
        valley top left corner onto centre, hinged at top middle, both sides, call it one\n\
        valley one onto centre, both sides, call it two\nmountain along centre\n";
    let (half, flat) = (folded(half_first), folded(flat_first));
    assert_eq!(half.faces.len(), flat.faces.len());
    for (x, y) in [(0.0, 300.0), (0.0, 0.0), (30.0, 280.0), (200.0, 0.0), (170.0, 280.0)] {
        let ((a, b), (c, d)) = (lies(&half, x, y), lies(&flat, x, y));
        assert_relative_eq!(a, c, epsilon = 1e-6);
        assert_relative_eq!(b, d, epsilon = 1e-6);
    }
    // Said without the layers it means the same.
    let short = folded(&half_first.replace("near half ", ""));
    assert_eq!(short.faces.len(), half.faces.len());
}

#[test]
fn beside_an_edge_the_strip_along_it_moves_and_beside_the_centre_what_lies_beyond() {
    let model = folded("valley parallel to top edge, 30 mm from it");
    assert_eq!((lies(&model, 0.0, 300.0), lies(&model, 0.0, 0.0)), ((0.0, 240.0), (0.0, 0.0)));
    let model = folded("valley parallel to top edge, 30 mm from it, moving bottom edge");
    assert_eq!(lies(&model, 0.0, 300.0), (0.0, 300.0));
    let centre = "crease left edge onto right edge, call it centre\n";
    let model =
        folded(&format!("{centre}valley parallel to centre, 30 mm from it towards left middle"));
    assert_eq!(lies(&model, 0.0, 0.0), (140.0, 0.0));
}

#[test]
fn ends_and_middles_of_lines_are_those_of_the_unfolded_sheet() {
    let start = "crease through (20 mm, 100 mm) and (180 mm, 200 mm), call it slant\nturn over\n";
    let cases =
        [("left end", (0.0, 87.5)), ("right end", (200.0, 212.5)), ("top end", (200.0, 212.5))];
    for (words, (x, y)) in cases {
        let model =
            folded(&format!("{start}mark spot = {words} of slant\nvalley spot onto top middle"));
        assert_eq!(lies(&model, x, y), lies(&folded(start), 100.0, 300.0), "{words}");
    }
    let model = folded(&format!("{start}valley middle of slant onto top middle"));
    assert_eq!(lies(&model, 100.0, 150.0), lies(&folded(start), 100.0, 300.0));
    let (_, help) = refused("mark spot = top end of bottom edge");
    assert!(help.contains("left end of"), "{help}");
}
