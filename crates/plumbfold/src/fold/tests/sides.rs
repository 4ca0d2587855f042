//! On which sides a fold is made: about a centre that lies level, on each half in turn, twice on the
//! same half by mistake.

use super::{fold, help, sound, try_fold};
use crate::fold::error::Problem;
use crate::numeric::geom::{TablePoint, area};
use crate::pipeline::{Balanced, Settings, balance};

const DART: &str = "valley top left corner onto centre, hinged at top middle, both sides, call it a\n\
                    valley a onto centre, both sides, call it b\n\
                    mountain along centre\n\
                    valley near half b onto centre, both sides, call it wing\n";
const POSE: &str = "pose centre opens 8 deg, wing dihedral 5 deg\n";
const UPRIGHT: &str = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n";
const SIDEWAYS: &str = "sheet A4 sideways\ncrease top edge onto bottom edge, call it centre\n";

/// The words of a text on a sheet turned a quarter clockwise: its top is its right.
fn turned(text: &str) -> String {
    let turn = [("top", "right"), ("right", "bottom"), ("bottom", "left"), ("left", "top")];
    let word = |w: &str| turn.iter().find(|t| t.0 == w).map_or(w.to_owned(), |t| t.1.to_owned());
    let line = |l: &str| {
        let words: Vec<String> = l.split(' ').map(word).collect();
        let line = words.join(" ");
        // A corner is named by its upright side first.
        ["top", "bottom"].iter().fold(line, |line, up| {
            ["left", "right"].iter().fold(line, |line, side| {
                line.replace(&format!("{side} {up} corner"), &format!("{up} {side} corner"))
            })
        })
    };
    text.lines().map(|l| line(l) + "\n").collect()
}

fn balanced(text: &str) -> Balanced {
    balance(text, &Settings::default()).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

#[test]
fn a_dart_folded_on_a_sheet_lying_sideways_is_the_dart() {
    let upright = balanced(&format!("{UPRIGHT}{DART}{POSE}"));
    let turned = turned(DART);
    assert!(turned.starts_with("valley top right corner onto centre, hinged at right middle"));
    let level = balanced(&format!("{SIDEWAYS}{turned}rotate 90 deg\n{POSE}"));
    let behind_nose = |b: &Balanced| b.mass.behind_nose_m();
    assert!((behind_nose(&upright) - behind_nose(&level)).abs() < 1e-9);
    assert!((upright.planform.area_m2 - level.planform.area_m2).abs() < 1e-12);
}

#[test]
fn a_fold_square_to_the_only_middle_crease_is_made_left_and_right() {
    for centre in ["", "crease top edge onto bottom edge, call it waist\n"] {
        let text =
            format!("sheet A4 upright\n{centre}valley left edge over by 30 mm, both sides\n");
        let model = fold(&text, &[]).folded;
        let xs: Vec<f64> = (0..model.faces.len())
            .flat_map(|f| model.table_polygon(f))
            .map(|p| p.x * 1e3)
            .collect();
        let [low, high] =
            [xs.iter().copied().fold(f64::MAX, f64::min), xs.iter().copied().fold(0.0, f64::max)];
        assert!((low - 30.0).abs() < 1e-9 && (high - 180.0).abs() < 1e-9, "{low} {high}");
    }
}

#[test]
fn both_sides_of_a_sheet_folded_across_are_its_ends_unless_a_half_is_spoken_of() {
    let across = "sheet A4 upright\nvalley top edge onto bottom edge, call it front\n";
    let flaps = |text: &str| {
        let model = fold(&format!("{across}{text}"), &[]).folded;
        sound(&model);
        let middle = |p: &TablePoint| p.x < 0.105;
        let left = |f: &usize| model.table_polygon(*f).iter().all(middle);
        let moved: Vec<usize> =
            (0..model.faces.len()).filter(|&f| area(&model.faces[f].polygon) < 5e-3).collect();
        [moved.iter().filter(|f| left(f)).count(), moved.len()]
    };
    assert_eq!(flaps("valley left edge over by 20 mm, both sides"), [2, 4]);
    assert_eq!(flaps("valley near half top edge over by 20 mm, both sides"), [0, 2]);
}

#[test]
fn a_wing_folded_twice_without_turning_over_is_refused_and_turned() {
    let dart = DART.replace("valley near half b onto centre, both sides, call it wing\n", "");
    for wing in [
        "valley near half parallel to centre, 22 mm from it, call it wing\n",
        "valley near half b onto centre, call it wing\n",
    ] {
        let twice = format!("{UPRIGHT}{dart}{wing}{wing}{POSE}");
        let problem = try_fold(&twice, &[]).unwrap_err().problem;
        let there = matches!(problem, Problem::FoldedAlready { .. } | Problem::ThereAlready);
        assert!(there, "{problem}");
        let help = help(&twice);
        assert!(help.contains("put `turn over` before this line"), "{help}");
        let turned = balanced(&format!("{UPRIGHT}{dart}{wing}turn over\n{wing}{POSE}"));
        let both = wing.replace(", call", ", both sides, call");
        let both = balanced(&format!("{UPRIGHT}{dart}{both}{POSE}"));
        assert!((turned.planform.area_m2 - both.planform.area_m2).abs() < 1e-12);
    }
}

#[test]
fn a_winglet_as_far_from_the_keel_as_the_wing_is_said_with_its_side() {
    let wing = "valley near half parallel to centre, 22 mm from it, call it wing\n";
    let keel = format!("{UPRIGHT}mountain along centre\n{wing}");
    let other = "valley near half parallel to centre, 22 mm from it, moving right edge\n";
    sound(&fold(&format!("{keel}{other}"), &[]).folded);
}

#[test]
fn either_half_has_a_top_left_corner() {
    let start = format!(
        "{UPRIGHT}mountain along centre\n\
         valley near half parallel to centre, 12 mm from it, both sides, call it wing\n"
    );
    let model = |corner: &str| {
        let fold_in = "onto centre, hinged at top middle, both sides";
        fold(&format!("{start}valley near half {corner} corner {fold_in}"), &[]).folded
    };
    let [left, right] = ["top left", "top right"].map(model);
    assert_eq!(left.faces.len(), right.faces.len());
    sound(&left);
}

#[test]
fn take_on_both_sides_is_the_same_crease_on_both() {
    for n in [1, 2] {
        let text = format!(
            "{UPRIGHT}crease parallel to centre, 30 mm from it, both sides, call it rail\n\
             crease top left corner onto rail, hinged at 40 mm along left edge from top left corner, \
             take {n}, both sides"
        );
        if let Err(fault) = try_fold(&text, &[]) {
            assert!(fault.mirrored.is_none(), "{fault}");
        }
    }
}
