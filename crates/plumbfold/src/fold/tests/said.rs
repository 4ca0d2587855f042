//! Texts that folded another plane than they say, without a word: each folds now as it says, or is
//! refused with words that lead on.

use super::{fold, help, sound, try_fold};
use crate::air::Air;
use crate::fold::error::Problem;
use crate::fold::state::Folded;
use crate::numeric::geom::{SheetPoint, TablePoint};
use crate::pipeline::{Balanced, Settings, aircraft, balance};

const CENTRE: &str = "sheet A4 upright, 80 g/m2\n\
                      crease left edge onto right edge, call it centre\n";
const WINGS: &str = "mountain along centre\n\
                     valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
                     pose centre opens 8 deg, wing dihedral 5 deg\n";

fn balanced(text: &str) -> Balanced {
    balance(text, &Settings::default()).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

/// The first fault of a text: its code and how to mend it.
fn fault(text: &str) -> (&'static str, String) {
    let problems = balance(text, &Settings::default()).expect_err("it says something else");
    let first = problems.diagnostics.into_iter().next().unwrap();
    (first.code, first.help.unwrap_or_default())
}

fn refused(text: &str) -> Problem {
    match try_fold(text, &[]) {
        Ok(_) => panic!("it folds something else than it says:\n{text}"),
        Err(e) => e.problem,
    }
}

/// Where a place marked as `q` is on the sheet, mm.
fn marked(text: &str) -> [f64; 2] {
    let text = format!("{text}\ncrease perpendicular to centre through q, call it probe");
    let model = fold(&text, &[]).folded;
    let probe = model.creases_named("probe");
    let ends = model.hinges.iter().filter(|h| probe.contains(&h.crease)).flat_map(|h| h.ends);
    let ys: Vec<f64> = ends.map(|p: SheetPoint| p.y * 1e3).collect();
    [ys.iter().copied().fold(f64::MAX, f64::min), ys.iter().copied().fold(f64::MIN, f64::max)]
}

#[test]
fn a_wing_folded_on_each_side_under_one_name_opens_on_both() {
    let side = "valley near half top edge onto centre, call it first\n\
                valley near half first onto centre, call it second\n\
                valley near half second onto centre, call it wing\n";
    let start = "sheet A4 upright, 80 g/m2\nmountain left edge onto right edge, call it centre\n";
    let pose = "pose centre opens 8 deg, wing dihedral 5 deg\n";
    let once_each = balanced(&format!("{start}{side}turn over\n{side}{pose}"));
    let both = side.replace(", call", ", both sides, call");
    let together = balanced(&format!("{start}{both}{pose}"));
    let area = |b: &Balanced| b.planform.area_m2 * 1e4;
    assert!((area(&once_each) - area(&together)).abs() < 0.1, "{}", area(&once_each));
    assert!((once_each.mass.behind_nose_m() - together.mass.behind_nose_m()).abs() < 1e-4);
    // Without a name the second wing would stay shut against the keel.
    let unnamed = side.replace(", call it wing", "");
    let (code, help) = fault(&format!("{start}{side}turn over\n{unnamed}{pose}"));
    assert_eq!(code, "pose");
    assert!(help.contains("`call it wing`"), "{help}");
    let other = side.replace("call it wing", "call it other");
    let (_, help) = fault(&format!("{start}{side}turn over\n{other}{pose}"));
    assert!(help.contains("`other dihedral"), "{help}");
}

#[test]
fn a_name_given_again_on_the_same_side_means_the_latest_alone() {
    let text = format!(
        "{CENTRE}valley top edge over by 20 mm, call it front\n\
         valley front over by 20 mm, call it front"
    );
    assert_eq!(fold(&text, &[]).folded.creases_named("front").len(), 1);
}

#[test]
fn a_length_along_a_line_does_not_depend_on_which_way_the_line_was_made() {
    for made in ["left edge onto right edge", "right edge onto left edge"] {
        for (hem, from, y) in
            [("top edge", "top middle", 217.0), ("bottom edge", "bottom middle", 80.0)]
        {
            let text = format!(
                "sheet A4 upright, 80 g/m2\ncrease {made}, call it centre\n\
                 valley {hem} over by 30 mm\nmark q = 80 mm along centre from {from}"
            );
            for at in marked(&text) {
                assert!((at - y).abs() < 1e-6, "{made}, {from}: {at}");
            }
        }
    }
}

#[test]
fn a_place_that_is_not_on_the_line_is_not_measured_along_it() {
    let text = format!("{CENTRE}mark q = 60 mm along centre from top left corner");
    assert!(matches!(refused(&text), Problem::NotOnLine { .. }));
}

#[test]
fn from_the_middle_of_a_line_a_step_of_one_side_says_which_way() {
    let hinge = "hinged at 20 mm along top edge from top middle";
    let both = format!("{CENTRE}valley top left corner onto centre, {hinge}, both sides");
    sound(&fold(&both, &[]).folded);
    let one = format!("{CENTRE}valley top right corner onto centre, {hinge}");
    assert!(matches!(refused(&one), Problem::EitherWay { .. }));
}

#[test]
fn a_crease_made_on_both_sides_is_the_one_on_the_side_of_what_is_brought_to_it() {
    let rails =
        format!("{CENTRE}crease parallel to centre, 30 mm from it, both sides, call it rail\n");
    let widths = |text: &str| {
        let model = fold(text, &[]).folded;
        let faces = 0..model.faces.len();
        let xs = faces.flat_map(|f| model.table_polygon(f)).map(|p| p.x * 1e3);
        let xs: Vec<f64> = xs.collect();
        [xs.iter().copied().fold(f64::MAX, f64::min), xs.iter().copied().fold(f64::MIN, f64::max)]
    };
    for first in ["left", "right"] {
        let text = format!("{rails}valley {first} edge onto rail, both sides");
        let [low, high] = widths(&text);
        // Half way between the edge and the crease 30 mm from the middle.
        assert!((low - 37.5).abs() < 1e-6 && (high - 172.5).abs() < 1e-6, "{first} {low} {high}");
    }
    let [low, high] = widths(&format!("{rails}valley right edge onto rail"));
    assert!(low.abs() < 1e-6 && (high - 172.5).abs() < 1e-6, "{low} {high}");
}

#[test]
fn an_edge_that_lies_folded_in_takes_no_other_paper_along() {
    let over = "valley top edge over by 20 mm\n";
    let problem = refused(&format!("{CENTRE}{over}{over}"));
    assert!(
        matches!(&problem, Problem::FoldedIn { reach_m, .. } if (reach_m - 0.02).abs() < 1e-9),
        "{problem:?}"
    );
    sound(&fold(&format!("{CENTRE}{over}valley top layer top edge over by 10 mm"), &[]).folded);
    sound(&fold(&format!("{CENTRE}roll top edge 3 times by 20 mm"), &[]).folded);
}

#[test]
fn a_square_creased_along_one_diagonal_is_mirrored_in_it() {
    let text = "sheet square 200 mm, 80 g/m2\n\
                crease top left corner onto bottom right corner, call it rib\n\
                valley top edge onto rib, both sides";
    let model = fold(text, &[]).folded;
    sound(&model);
    // A kite: its two flaps meet along the diagonal (common practice, no source).
    let at = |x, y| model.on_table(SheetPoint::new(x, y)).unwrap();
    let [a, b] = [at(0.0, 0.2), at(0.2, 0.0)];
    let diagonal = |p: crate::numeric::geom::TablePoint| (p.x - p.y).abs() < 1e-9;
    assert!(diagonal(a) && diagonal(b) && a.distance(b) < 1e-9, "{a:?} {b:?}");
}

#[test]
fn a_keel_across_the_page_is_turned_before_it_is_flown() {
    let dart = |more: &str| {
        format!(
            "sheet A4 sideways, 80 g/m2\nmountain top edge onto bottom edge, call it centre\n\
             valley near half left edge onto centre, both sides, call it a\n\
             valley near half a onto centre, both sides, call it b\n\
             valley near half b onto centre, both sides, call it wing\n\
             {more}pose centre opens 8 deg, wing dihedral 5 deg\n"
        )
    };
    let (code, help) = fault(&dart(""));
    assert_eq!(code, "pose");
    assert!(help.contains("rotate 90 deg clockwise"), "{help}");
    let turned = balanced(&dart("rotate 90 deg clockwise\n"));
    assert!(turned.area_ahead_fraction < 0.5);
    // Turned the other way the nose points down, and that is told.
    let tail_first = balanced(&dart("rotate 90 deg\n"));
    assert!(tail_first.source.warnings().iter().any(|w| w.code == "tail-first"));
}

#[test]
fn a_shut_plane_is_balanced_but_not_flown() {
    let shut = WINGS.lines().take(2).collect::<Vec<_>>().join("\n");
    let plane = balanced(&format!("{CENTRE}{shut}"));
    let problems = aircraft(&plane, &Air::indoors(), 4.0).expect_err("it lies shut");
    assert_eq!(problems.diagnostics[0].code, "shut");
    assert!(problems.diagnostics[0].help.as_ref().unwrap().contains("wing dihedral"));
    aircraft(&balanced(&format!("{CENTRE}{shut}\npose flat")), &Air::indoors(), 4.0).ok();
    aircraft(&balanced(&format!("{CENTRE}{WINGS}")), &Air::indoors(), 4.0).unwrap();
}

#[test]
fn halves_that_differ_are_not_folded_as_if_they_were_alike() {
    let wings = WINGS.replace("along centre", "along centre, moving left");
    let text = format!("{CENTRE}valley top left corner onto centre, hinged at top middle\n{wings}");
    assert!(matches!(refused(&text), Problem::HalvesDiffer));
}

#[test]
fn a_flap_over_the_other_sides_crease_is_said_to_be_so() {
    let text = format!(
        "{CENTRE}crease parallel to centre, 20 mm from it, both sides, call it v\n\
         valley along v, both sides"
    );
    assert!(matches!(refused(&text), Problem::CoversOther));
}

#[test]
fn corners_that_cannot_be_told_apart_are_not_advised() {
    let text = format!(
        "{CENTRE}valley top left corner onto centre, hinged at top middle, both sides\n\
         mark q = left corner of model"
    );
    let Problem::WhichCorner { ways } = refused(&text) else { panic!("another fault") };
    // The left side of a shouldered sheet has an upper and a lower corner.
    for way in ways {
        let said = crate::design::print::place(&way);
        fold(&text.replace("left corner of model", &said), &[]);
    }
}

#[test]
fn a_wing_folded_on_one_half_alone_is_answered_with_its_line_put_right() {
    let text = format!(
        "{CENTRE}mountain along centre\n\
         valley near half parallel to centre, 20 mm from it, call it wing\n\
         pose centre opens 8 deg, wing dihedral 8 deg\n"
    );
    let line = "valley near half parallel to centre, 20 mm from it, both sides, call it wing";
    let said = help(&text);
    assert!(said.contains("fold the other wing too") && said.contains(line), "{said}");
}

#[test]
fn words_of_the_trade_fold_what_they_mean() {
    let same = [
        ("book fold", "valley left edge onto right edge"),
        ("gate fold, call it door", "valley left edge over by 52.5 mm, both sides, call it door"),
        ("cupboard fold", "gate fold"),
        ("valley in thirds", "valley left edge over by 70 mm\nvalley right edge over by 70 mm"),
        ("crease bisector of left edge and top edge", "crease left edge onto top edge"),
    ];
    let lies = |lines: &str| {
        let model = fold(&format!("sheet A4\n{lines}"), &[]).folded;
        sound(&model);
        let mut faces: Vec<String> =
            model.order.iter().map(|&f| format!("{:.6?}", model.faces[f].placement)).collect();
        faces.sort();
        faces.concat().replace("-0.000000", "0.000000")
    };
    for (word, meant) in same {
        assert_eq!(lies(word), lies(meant), "{word}");
    }
    let blintz = fold("sheet square 150 mm\nblintz fold", &[]).folded;
    sound(&blintz);
    assert_eq!(blintz.faces.len(), 5);
    let middle = on_table(&blintz, 75.0, 75.0);
    for (x, y) in [(0.0, 0.0), (150.0, 0.0), (150.0, 150.0), (0.0, 150.0)] {
        assert!(on_table(&blintz, x, y).near(middle));
    }
    // The formatter keeps the word, or writes out what it means.
    assert_eq!(crate::design::print::format("blintz fold\n"), "blintz fold\n");
    let gate = "valley left edge over by width / 4, both sides, call it door\n";
    assert_eq!(crate::design::print::format("gate fold, call it door\n"), gate);
}

fn on_table(model: &Folded, x_mm: f64, y_mm: f64) -> TablePoint {
    model.on_table(SheetPoint::new(x_mm / 1e3, y_mm / 1e3)).expect("on the paper")
}
