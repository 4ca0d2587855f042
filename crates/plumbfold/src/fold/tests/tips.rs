//! Tips and strips: what is folded back or over is the paper that is named, or the step is refused.

use super::{fold, help, sound, try_fold};
use crate::fold::apply::Refused;
use crate::fold::error::Problem;
use crate::fold::exec::FoldRun;
use crate::numeric::geom::SheetPoint;
use approx::assert_relative_eq;

const POINTED: &str = "sheet A4\ncreep off\ncrease left edge onto right edge, call it centre\n\
    valley top left corner onto centre, hinged at top middle, both sides, call it shoulder\n";

/// How far up the table the top middle lies, mm.
fn tip_mm(run: &FoldRun) -> f64 {
    run.folded.on_table(SheetPoint::new(0.105, 0.297)).unwrap().y * 1e3
}

#[test]
fn a_tip_comes_back_over_its_own_flap_wherever_the_model_has_its_middle() {
    // Folded down by `brow`, the tip lies that far below the fold; back by 22 mm it lies 22 higher.
    for brow in [60.0, 80.0, 90.0, 94.0, 95.0, 100.0, 118.0, 130.0] {
        let text = format!(
            "{POINTED}valley perpendicular to centre through {brow} mm along centre from top middle, \
             moving top middle\nvalley top middle back by 22 mm along centre"
        );
        let run = fold(&text, &[]);
        sound(&run.folded);
        assert_relative_eq!(tip_mm(&run), 297.0 - 2.0 * brow + 22.0, epsilon = 1e-6);
        // The same said of the flap: nothing below it comes along.
        let named =
            text.replace("valley top middle back", "valley flap at top middle top middle back");
        assert_eq!(fold(&named, &[]).folded.faces.len(), run.folded.faces.len());
    }
}

#[test]
fn amid_its_paper_a_place_may_come_back_either_way() {
    let text = "sheet A4\nvalley (105 mm, 100 mm) back by 20 mm along left edge";
    let problem = try_fold(text, &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::Ambiguous { candidates } if candidates.len() == 2));
    let way = |n: usize| tip_mm(&fold(&format!("{text}, take {n}"), &[]));
    // Down to y = 80 the top goes over the crease at y = 90, up to y = 120 it stays.
    let mut tips = [way(1), way(2)];
    tips.sort_by(f64::total_cmp);
    assert_relative_eq!(tips[0], 2.0 * 90.0 - 297.0, epsilon = 1e-6);
    assert_relative_eq!(tips[1], 297.0, epsilon = 1e-6);
}

#[test]
fn a_crease_that_passes_the_named_flap_by_is_refused() {
    let text = format!(
        "{POINTED}valley perpendicular to centre through 60 mm along centre from top middle, \
         moving top middle\nvalley flap at top middle perpendicular to centre through \
         130 mm along centre from top middle, moving top middle"
    );
    let problem = try_fold(&text, &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::Fold(Refused::Tears { .. })), "{problem:?}");
    // Nor does a part of it take along what it hangs on.
    let ear = format!(
        "{POINTED}valley flap at top left corner perpendicular to centre through 60 mm along centre \
         from top middle, moving top left corner"
    );
    let problem = try_fold(&ear, &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::Fold(Refused::Tears { .. })), "{problem:?}");
}

#[test]
fn beside_a_folded_edge_the_strip_along_it_moves_on_one_side_as_on_both() {
    let one = fold(&format!("{POINTED}valley parallel to shoulder, 10 mm from it"), &[]);
    let both =
        fold(&format!("{POINTED}valley parallel to shoulder, 10 mm from it, both sides"), &[]);
    let moved = |run: &FoldRun| run.steps.last().unwrap().passes[0].moved_m2;
    assert_relative_eq!(moved(&one), moved(&both), epsilon = 1e-12);
    // Body and ear, 10 mm wide along the shoulder, which is 105 mm times the root of two long.
    let most = 2.0 * 0.010 * 0.105 * 2f64.sqrt();
    assert!(moved(&one) < most && moved(&one) > 0.8 * most, "{} of {most}", moved(&one));
}

#[test]
fn a_strip_along_an_edge_that_lies_folded_in_is_refused_whatever_layers_are_named() {
    let gate = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        valley left edge onto centre, both sides, call it door\n";
    let wing = "mountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n";
    for (then, layers) in [(wing, "near half "), (wing, "top 4 layers "), ("", "all layers ")] {
        let text = format!("{gate}{then}valley {layers}left edge over by 10 mm");
        let made = try_fold(&text, &[]);
        assert!(made.is_err(), "{text}");
    }
}

#[test]
fn beside_a_hem_the_folded_edge_is_said() {
    let text = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        valley left edge over by 8 mm, both sides, call it hem\nmountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        valley near half left edge over by 12 mm, both sides\npose flat\n";
    let problem = try_fold(text, &[]).unwrap_err().problem;
    assert!(matches!(problem, Problem::FoldedIn { .. }), "{problem:?}");
}

#[test]
fn a_message_holds_the_line_that_folds() {
    let base = "sheet square 150 mm\n";
    let squash = "valley bottom right corner onto top left corner, call it first\n\
        valley top right corner onto bottom left corner, call it second\n";
    for (text, line) in [
        (
            format!(
                "{base}{squash}squash second onto first, hinged at (75 mm, 75 mm)\npose flat\n"
            ),
            "`squash first onto second, hinged at ",
        ),
        (
            format!(
                "{base}preliminary base\nmark port = (75 mm * tan(22.5 deg), 75 mm)\n\
                 mark starboard = (75 mm, 75 mm * tan(22.5 deg))\n\
                 petal top left corner through port and starboard\npose flat\n"
            ),
            "`petal top right corner through port and starboard`",
        ),
        (
            "sheet A4\nwaterbomb base on top square\n\
             valley top left corner onto top end of centre\npose flat\n"
                .to_owned(),
            "put `crease left edge onto right edge, call it centre` before \
             `waterbomb base on top square`",
        ),
    ] {
        let help = help(&text);
        assert!(help.contains(line), "{text}: {help}");
    }
}

#[test]
fn of_two_creases_that_are_images_both_sides_makes_both() {
    let start = "sheet A4\ncrease left edge onto right edge, call it centre\n";
    for crease in ["top edge onto centre", "bisector of top edge and centre"] {
        let run = fold(&format!("{start}crease {crease}, both sides"), &[]);
        super::words::assert_mirrored(&run.folded);
        assert_eq!(run.steps[1].passes.len(), 2);
    }
}

/// Layers that lie on each other have one line for a hand, however many they are.
#[test]
fn a_crease_through_layers_that_lie_on_each_other_is_one_line() {
    let gate = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        valley left edge onto centre, both sides\nmountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing\n\
        mark m = middle of wing";
    sound(&fold(gate, &[]).folded);
    let blunt = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n\
        crease top edge onto bottom edge, call it middle1\nvalley top edge onto middle1, call it q\n\
        valley q onto middle1, call it e\n\
        valley top left corner of model onto centre, hinged at middle of e, both sides, call it n\n\
        mountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing";
    let run = fold(blunt, &[]);
    sound(&run.folded);
    assert_eq!(run.folded.faces.len(), 38);
}
