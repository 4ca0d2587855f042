//! On which sides a fold is made: about a centre that lies level, on each half in turn, twice on the
//! same half by mistake.

use super::{fold, help, sound, try_fold};
use crate::fold::apply::Refused;
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

#[test]
fn a_fold_that_would_open_what_is_folded_is_refused() {
    let wing = format!(
        "{UPRIGHT}mountain along centre\n\
         valley near half parallel to centre, 30 mm from it, both sides, call it wing\n"
    );
    let problem = try_fold(&format!("{wing}refold wing"), &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::Fold(Refused::Opens)), "{problem}");
    sound(&fold(&format!("{wing}unfold wing\nrefold wing"), &[]).folded);
}

#[test]
fn a_reversed_tail_stays_up_between_the_wings() {
    let tail = format!(
        "{UPRIGHT}mountain along centre\n\
         inside reverse bottom middle through 60 mm along centre from bottom middle and \
         20 mm along bottom edge from bottom middle\n"
    );
    let wing = "valley near half parallel to centre, 20 mm from it, both sides, call it wing\n";
    let model = fold(&format!("{tail}{wing}"), &[]).folded;
    sound(&model);
    // The tail has two faces, and no wing crease runs through them.
    let wing = model.creases_named("wing");
    let on = |h: &&crate::fold::state::Hinge| wing.contains(&h.crease);
    let low = model.hinges.iter().filter(on).flat_map(|h| h.ends).map(|p| p.y);
    assert!(low.fold(f64::MAX, f64::min) < 1e-9 && model.faces.len() == 6);
    // A line that runs across the keel itself still tears.
    let across =
        "valley near half perpendicular to centre through 150 mm along centre from top middle";
    let problem = try_fold(&format!("{tail}{across}"), &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::Fold(Refused::Tears { .. })), "{problem}");
}

#[test]
fn a_dart_folded_by_turning_it_over_is_the_dart() {
    let side = |corner: &str| {
        format!(
            "valley near half {corner} corner onto centre, hinged at top middle, call it a\n\
             valley near half a onto centre, call it b\n"
        )
    };
    let wing = "valley near half b onto centre, call it wing\n";
    let start = "sheet A4 upright\nmountain left edge onto right edge, call it centre\n";
    let by_hand = |one: &str, other: &str| {
        let [one, other] = [side(one), side(other)];
        balanced(&format!("{start}{one}{wing}turn over\n{other}{wing}{POSE}")).planform.area_m2
    };
    let both = balanced(&format!("{UPRIGHT}{DART}{POSE}")).planform.area_m2;
    // Either corner may be named on either half.
    for corners in [("top left", "top right"), ("top left", "top left"), ("top right", "top left")]
    {
        let area = by_hand(corners.0, corners.1);
        // Layers folded in another order stand out by another thickness.
        assert!((area - both).abs() < 1e-5, "{corners:?}: {area} {both}");
    }
}

#[test]
fn a_crease_that_runs_on_beyond_a_middle_folded_in_is_told() {
    let band = format!("{UPRIGHT}valley top edge over by 40 mm, call it front\n");
    let warned = |line: &str| fold(&format!("{band}{line}"), &[]).warnings.len();
    assert_eq!(warned("valley top left corner onto centre, hinged at top middle, both sides"), 1);
    let there =
        "valley top left corner of model onto centre, hinged at middle of front, both sides";
    assert_eq!(warned(there), 0);
    assert_eq!(fold(&format!("{UPRIGHT}{DART}"), &[]).warnings, []);
}

#[test]
fn the_halves_stay_the_halves_when_the_second_wing_is_folded() {
    let wing = "valley near half parallel to centre, 15 mm from it, call it wing\n";
    let keel = "valley near half wing onto centre, call it keel\n";
    let start = format!("{UPRIGHT}mountain along centre\n");
    let by_hand = [wing, keel].map(|fold| format!("{fold}turn over\n{fold}turn over\n")).concat();
    let both = [wing, keel].map(|fold| fold.replace(", call", ", both sides, call")).concat();
    let [by_hand, both] = [by_hand, both].map(|text| fold(&format!("{start}{text}"), &[]).folded);
    sound(&by_hand);
    let low = |model: &crate::fold::state::Folded| {
        let at = (0..model.faces.len()).flat_map(|f| model.table_polygon(f));
        let xs: Vec<f64> = at.map(|p| p.x).collect();
        xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min)
    };
    assert_eq!(by_hand.faces.len(), both.faces.len());
    assert!((low(&by_hand) - low(&both)).abs() < 1e-12);
}

#[test]
fn a_strip_of_one_half_is_folded_from_the_edge_of_that_half() {
    let strip = "valley near half right edge over by 12 mm";
    let start = format!("{UPRIGHT}mountain along centre\n");
    let apart = |text: String| {
        let model = fold(&format!("{start}{text}"), &[]).folded;
        sound(&model);
        let at = |x, y| model.on_table(crate::numeric::geom::SheetPoint::new(x, y)).unwrap();
        // Both edges lie 24 mm inside of where the rim was: on each other.
        at(0.0, 0.1).distance(at(0.21, 0.1))
    };
    assert!(apart(format!("{strip}, both sides")) < 1e-12);
    assert!(apart(format!("{strip}\nturn over\n{strip}")) < 1e-12);
}

#[test]
fn what_is_said_again_is_answered_by_what_was_meant() {
    let hem = "valley left edge over by 10 mm, both sides\n";
    let rolled = help(&format!("{UPRIGHT}{hem}{hem}"));
    assert!(rolled.contains("`roll left edge 2 times by 10 mm, both sides`"), "{rolled}");
    let fold_in =
        "valley top left corner onto centre, hinged at top middle, both sides, call it a\n";
    let shoulder = "valley a onto centre, call it b\n";
    let both = help(&format!("{UPRIGHT}{fold_in}{shoulder}{shoulder}"));
    assert!(both.contains("`valley a onto centre, both sides, call it b`"), "{both}");
}

#[test]
fn a_winglet_narrower_than_the_keel_is_folded_by_its_layers() {
    let narrow = "valley left edge onto centre, both sides\n\
                  mountain along centre\n\
                  valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
                  valley near half parallel to wing, 10 mm from it, both sides, call it winglet\n";
    let help = help(&format!("{UPRIGHT}{narrow}"));
    assert!(help.contains("layers parallel to wing, 10 mm from it, both sides"), "{help}");
}
