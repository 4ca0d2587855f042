//! `flap at P`: what carries P moves, no more than it, and the same on both sides.

use super::{fold, help, sound, try_fold};
use crate::fold::apply::Refused;
use crate::fold::error::Problem;
use crate::fold::exec::FoldRun;
use crate::numeric::geom::SheetPoint;
use approx::assert_relative_eq;
use proptest::prelude::*;

const SHEET: &str = "sheet A4 upright\ncreep off\n";
const HALVED: &str = "crease left edge onto right edge, call it centre\nmountain along centre\n";

/// Where a place of the sheet (mm) lies on the table, from left to right (mm).
fn across(run: &FoldRun, x: f64, y: f64) -> f64 {
    run.folded.on_table(SheetPoint::new(x * 1e-3, y * 1e-3)).unwrap().x * 1e3
}

/// Of a model folded in two: each place lies where its mirror image lies.
fn halves_lie_on_each_other(run: &FoldRun) -> bool {
    let model = &run.folded;
    let [w, _] = model.sheet_m;
    model.faces.iter().flat_map(|f| &f.polygon).all(|&p| {
        let image = SheetPoint::new(w - p.x, p.y);
        let [a, b] = [p, image].map(|p| model.on_table(p).unwrap());
        a.distance(b) < 1e-6
    })
}

#[test]
fn the_part_that_carries_the_place_of_a_flap_moves() {
    let line = "through (135 mm, 0 mm) and (135 mm, 297 mm)";
    let halved = format!("{SHEET}mountain left edge onto right edge, call it centre\n");
    let run = fold(&format!("{halved}valley flap at bottom right corner {line}"), &[]);
    sound(&run.folded);
    assert_relative_eq!(across(&run, 210.0, 0.0), 60.0, epsilon = 1e-6);
    assert_relative_eq!(across(&run, 0.0, 0.0), 210.0, epsilon = 1e-6);
    // What `moving` says goes first.
    let keel = format!("{halved}valley flap at bottom right corner {line}, moving centre");
    assert_relative_eq!(across(&fold(&keel, &[]), 210.0, 0.0), 210.0, epsilon = 1e-6);
}

#[test]
fn wings_folded_by_their_corners_come_down_on_both_sides() {
    for (start, wing) in [
        (HALVED, "through top middle and 30 mm along bottom edge from bottom middle, both sides"),
        (HALVED, "through (126.8 mm, 0 mm) and (144.5 mm, 297 mm), both sides"),
        (
            "mountain left edge onto right edge, call it centre\n",
            "through top middle and (139.2 mm, 0 mm), repeat behind",
        ),
    ] {
        let text = format!("{SHEET}{start}valley flap at bottom right corner {wing}");
        let run = fold(&text, &[]);
        sound(&run.folded);
        assert!(halves_lie_on_each_other(&run), "{text}");
        assert!(across(&run, 210.0, 0.0) < 105.0, "the wing reaches past the centre: {text}");
    }
}

#[test]
fn a_flap_named_by_its_hem_does_not_take_the_other_half_along() {
    for (verb, by) in [("mountain", 17.5), ("valley", 17.5), ("mountain", 30.0), ("valley", 30.0)] {
        let text = format!(
            "{SHEET}crease left edge onto right edge, call it centre\n\
             {verb} right edge over by {by} mm, both sides\nmountain along centre\n\
             valley flap at bottom left corner parallel to centre, 31.3 mm from it"
        );
        let refused = *try_fold(&text, &[]).unwrap_err();
        assert!(
            matches!(refused.problem, Problem::Fold(Refused::Held { .. })),
            "{text}: {:?}",
            refused.problem
        );
        let help = help(&text);
        assert!(help.contains("`valley all layers parallel to centre"), "{help}");
    }
}

/// Words for the last fold of a model in two halves.
fn wing() -> impl Strategy<Value = String> {
    let layers = prop::sample::select(vec![
        "near half ",
        "flap at bottom right corner ",
        "flap at bottom left corner ",
        "",
    ]);
    let (x, y, by) = (115.0..200.0f64, 115.0..200.0f64, 5.0..95.0f64);
    let sides = prop::sample::select(vec!["both sides", "repeat behind"]);
    (layers, x, y, by, 0..6, any::<bool>(), sides).prop_map(
        |(layers, x, y, by, line, valley, sides)| {
            let line = match line {
                0 => format!("through ({x} mm, 0 mm) and ({y} mm, 297 mm)"),
                1 => format!("through top middle and ({x} mm, 0 mm)"),
                2 => format!("parallel to centre, {by} mm from it"),
                3 => format!("right edge over by {} mm", by / 2.0),
                4 => format!("left edge over by {} mm", by / 2.0),
                _ => "top right corner onto centre, hinged at top middle".to_owned(),
            };
            let verb = if valley { "valley" } else { "mountain" };
            format!("{verb} {layers}{line}, {sides}\n")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn a_model_in_two_halves_stays_symmetric_or_the_fold_is_refused(
        hem in prop::option::of((any::<bool>(), 5.0..60.0f64)),
        wings in prop::collection::vec(wing(), 1..3)
    ) {
        let hem = hem.map_or_else(String::new, |(valley, by)| {
            let verb = if valley { "valley" } else { "mountain" };
            format!("{verb} right edge over by {by} mm, both sides\n")
        });
        let text = format!(
            "{SHEET}crease left edge onto right edge, call it centre\n{hem}mountain along centre\n{}",
            wings.concat()
        );
        if let Ok(run) = try_fold(&text, &[]) {
            prop_assert!(halves_lie_on_each_other(&run), "{}", text);
        }
    }
}
