//! What is named is what moves, on the side that is the model's own; or the step is refused.

use super::words::assert_mirrored;
use super::{fold, help, sound, try_fold};
use crate::fold::apply::Refused;
use crate::fold::error::{FoldError, Problem};
use crate::fold::state::Folded;
use crate::numeric::geom::{SheetPoint, area};
use approx::assert_relative_eq;

fn held(text: &str) -> Box<FoldError> {
    let error = try_fold(text, &[]).map(|_| ()).expect_err("what is named cannot move alone");
    let why = &error.problem;
    assert!(matches!(why, Problem::Fold(Refused::Held { .. } | Refused::Tears { .. })), "{why:?}");
    assert!(!error.evidence().polygons.is_empty());
    assert!(error.diagnostic().help.is_some());
    error
}

/// Area of the paper that lies printed side down, mm2.
fn turned_mm2(model: &Folded) -> f64 {
    let down = model.faces.iter().filter(|f| f.placement.det() < 0.0);
    down.map(|f| area(&f.polygon)).sum::<f64>() * 1e6
}

#[test]
fn a_mountain_of_the_top_layer_does_not_take_the_layer_below() {
    let text = |edge: &str| {
        format!(
            "sheet A4 sideways\nvalley left edge onto right edge\n\
             mountain top layer parallel to {edge}, 30 mm from it, moving {edge}"
        )
    };
    // The fold at its side joins it to the layer below.
    let torn = held(&text("top edge"));
    assert!(matches!(torn.problem, Problem::Fold(Refused::Tears { .. })));
    // Here it is free, but lies on that layer.
    held(&text("left edge"));
    let help = help(&text("left edge"));
    assert!(help.contains("moving left edge, inside`"), "{help}");
    let folded = fold(&format!("{}, inside", text("left edge")), &[]).folded;
    sound(&folded);
    // Half of the sheet lies turned, and 30 mm of that is turned back.
    assert_relative_eq!(turned_mm2(&folded), 210.0 * (148.5 - 30.0), epsilon = 1e-6);
}

#[test]
fn a_flap_that_the_nose_joins_to_the_other_half_does_not_take_that_along() {
    let open = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n";
    // A nose folded back lies across the middle, and the line passes behind its foremost part.
    let blunt = "valley through (105 mm, 297 mm) and (0 mm, 197.9 mm), moving (0 mm, 297 mm), \
        both sides\nvalley top middle back by 104 mm along centre\nmountain along centre\n\
        mark np = top end of centre\n";
    // A line that begins behind the nose leaves the nose beyond it.
    let dart = "valley top left corner onto centre, hinged at top middle, both sides\n\
        mountain along centre\nmark np = 10 mm along centre from top middle\n";
    for (start, heel) in [(blunt, 43.2), (dart, 25.0)] {
        for sides in ["", ", both sides"] {
            let text = format!(
                "{open}{start}mark hp = {heel} mm along bottom edge from bottom middle\n\
                 valley flap at bottom right corner through np and hp{sides}"
            );
            let refused = try_fold(&text, &[]).map(|_| ()).expect_err("the nose holds it");
            let why = &refused.problem;
            assert!(matches!(why, Problem::Fold(Refused::Joined { .. })), "{why:?}");
            assert!(!refused.evidence().polygons.is_empty());
        }
        let text = format!(
            "{open}{start}mark hp = {heel} mm along bottom edge from bottom middle\n\
             valley all layers through np and hp, moving bottom right corner"
        );
        sound(&fold(&text, &[]).folded);
    }
}

#[test]
fn a_flap_that_other_paper_lies_on_is_held() {
    let text = "sheet A4 upright\n\
        valley parallel to left edge, 60 mm from it, moving left edge, call it ldoor\n\
        valley parallel to right edge, 80 mm from it, moving right edge, call it rdoor\n\
        valley flap at left middle parallel to left edge, 30 mm from it, moving left edge";
    let refused = held(text);
    assert!(refused.diagnostic().label.contains("`rdoor`"), "{:?}", refused.diagnostic());
}

#[test]
fn a_crease_of_one_half_leaves_the_other_and_its_names_alone() {
    let text = "sheet A4 upright\nmountain left edge onto right edge, call it centre\n\
        crease near half parallel to centre, 60 mm from it, call it tipr\n\
        crease far half parallel to centre, 60 mm from it, call it tipl";
    let model = fold(text, &[]).folded;
    assert_eq!(model.faces.len(), 4);
    for name in ["tipr", "tipl"] {
        let [crease] = model.creases_named(name)[..] else { panic!("one crease is {name}") };
        let hinges = model.hinges.iter().filter(|h| h.crease == crease);
        assert_eq!(hinges.count(), 1, "{name}");
    }
}

#[test]
fn a_crease_folded_again_bends_where_it_is_creased_or_not_at_all() {
    let text = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n\
        waterbomb base on top square\nmark hub = (105 mm, 192 mm)\n\
        valley top left corner onto hub, call it horn\n";
    let first = fold(text, &[]);
    let again = try_fold(&format!("{text}unfold horn\nvalley along horn"), &[]);
    match again {
        Ok(again) => {
            assert_eq!(again.folded.faces.len(), first.folded.faces.len());
            let [a, b] = [&first, &again].map(|r| r.steps.last().unwrap().layers_bent);
            assert_eq!(a, b);
            assert_relative_eq!(turned_mm2(&again.folded), turned_mm2(&first.folded));
        }
        Err(e) => panic!("{:?}", e.problem),
    }
}

#[test]
fn a_tip_held_down_by_flaps_of_the_body_is_refused() {
    let text = |tip: f64| {
        format!(
            "sheet A4 upright\ncrease left edge onto right edge, call it centre\n\
             mark stem = 117 mm along centre from top middle\n\
             mark horn = 117 mm along left edge from top left corner\n\
             valley top left corner onto centre, hinged at top middle, both sides\n\
             valley perpendicular to centre through stem, moving top middle\n\
             valley horn onto centre, hinged at stem, both sides, call it cheek\n\
             valley top middle back by {tip} mm along centre"
        )
    };
    sound(&fold(&text(23.9), &[]).folded);
    held(&text(24.1));
}

#[test]
fn nested_repeats_end() {
    let repeat = "repeat 1000 times\n";
    let text = format!("sheet A4\n{}{}", repeat.repeat(4), "end\n".repeat(4));
    let error = try_fold(&text, &[]).map(|_| ()).expect_err("no hand turns so often");
    assert!(matches!(error.problem, Problem::TooManySteps));
}

/// The wing creases either side of a model mirror each other in a line of the sheet.
fn alike(text: &str, image: impl Fn(SheetPoint) -> SheetPoint) {
    let model = fold(text, &[]).folded;
    sound(&model);
    let ends = |mirrored: bool| -> Vec<[SheetPoint; 2]> {
        let wings = model.creases_named("wing");
        let hinges = model.hinges.iter().filter(|h| wings.contains(&h.crease));
        hinges.filter(|h| model.creases[h.crease].mirrored == mirrored).map(|h| h.ends).collect()
    };
    let (these, others) = (ends(false), ends(true));
    assert!(!these.is_empty());
    assert_eq!(these.len(), others.len());
    for [a, b] in these {
        let [a, b] = [image(a), image(b)];
        let same = |&[c, d]: &[SheetPoint; 2]| {
            a.distance(c) + b.distance(d) < 1e-7 || a.distance(d) + b.distance(c) < 1e-7
        };
        assert!(others.iter().any(same), "{a:?} {b:?} among {others:?}");
    }
}

#[test]
fn both_sides_are_those_of_a_diagonal_where_that_is_the_centre() {
    let text = "sheet square 180 mm\nrotate 45 deg\n\
        crease top left corner onto bottom right corner, call it centre\nmountain along centre\n\
        valley near half parallel to centre, 20 mm from it, both sides, call it wing";
    alike(text, |p| SheetPoint::new(p.y, p.x));
}

#[test]
fn both_sides_of_a_turned_sheet_are_left_and_right_as_it_lies() {
    let text = "sheet 200 mm by 300 mm\nrotate 90 deg\n\
        valley parallel to top edge, 30 mm from it, moving top edge, both sides, call it wing";
    alike(text, |p| SheetPoint::new(p.x, 0.3 - p.y));
}

#[test]
fn a_model_alike_about_no_line_has_no_other_side() {
    let text = "sheet 200 mm by 300 mm\n\
        valley through (0 mm, 100 mm) and (200 mm, 240 mm), moving top edge\n\
        valley bottom left corner onto bottom middle, both sides";
    let error = try_fold(text, &[]).map(|_| ()).expect_err("a slanted fold");
    assert!(matches!(error.problem, Problem::NoCentre), "{:?}", error.problem);
}

#[test]
fn repeat_behind_folds_the_half_behind_as_well() {
    let text = |sides: &str| {
        format!(
            "sheet A4 upright\nmountain left edge onto right edge, call it centre\n\
             valley near half parallel to centre, 60 mm from it, {sides}, call it wing"
        )
    };
    let [both, behind] = ["both sides", "repeat behind"].map(|s| fold(&text(s), &[]).folded);
    assert_eq!(both, behind);
    let open = "sheet A4 upright\nvalley parallel to left edge, 20 mm from it, moving left edge, repeat behind";
    let error = try_fold(open, &[]).map(|_| ()).expect_err("nothing is behind an open sheet");
    assert!(matches!(error.problem, Problem::NothingBehind));
}

#[test]
fn a_fold_that_is_its_own_mirror_image_is_not_made_twice() {
    let text =
        "sheet A4 upright\nvalley parallel to top edge, 30 mm from it, moving top edge, both sides";
    let error = try_fold(text, &[]).map(|_| ()).expect_err("right across the middle");
    assert!(matches!(error.problem, Problem::OwnMirrorImage), "{:?}", error.problem);
}

#[test]
fn both_sides_of_a_folded_edge_are_alike() {
    let text = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        valley left edge over by 30 mm, both sides, call it gate\nmountain along centre\n\
        valley near half gate over by 10 mm, both sides, call it winglet";
    let run = fold(text, &[]);
    sound(&run.folded);
    assert_mirrored(&run.folded);
}

#[test]
fn a_name_of_the_other_half_means_its_mirror_image() {
    let text = |name: &str| {
        format!(
            "sheet A4\ncrease left edge onto right edge, call it centre\n\
             crease parallel to left edge, 30 mm from it, call it port\n\
             crease parallel to right edge, 30 mm from it, call it starboard\n\
             mountain along centre\nvalley near half {name} onto centre, both sides"
        )
    };
    let [port, starboard] = ["port", "starboard"].map(|name| fold(&text(name), &[]).folded);
    assert_mirrored(&port);
    assert_eq!(port, starboard);
}

#[test]
fn more_layers_than_there_are_cannot_be_taken() {
    let text = "sheet A4\nvalley top 5 layers parallel to top edge, 30 mm from it";
    let error = try_fold(text, &[]).map(|_| ()).expect_err("there is one");
    let fewer = Refused::FewerLayers { asked: 5, there: 1 };
    assert_eq!(error.problem, Problem::Fold(fewer));
}

#[test]
fn thickness_pushes_no_further_than_paper_can() {
    let text = "sheet A4\nvalley top edge over by 10 mm, call it fore\n\
        valley left edge onto right edge, call it spine\n\
        valley near half fore onto spine, both sides, call it nose";
    let Ok(run) = try_fold(text, &[]) else { return };
    for face in &run.folded.faces {
        assert!(face.shift.norm() < 100.0, "{:?} thicknesses", face.shift);
    }
}

#[test]
fn a_folded_model_is_folded_in_half_as_it_lies() {
    for across in ["", " across"] {
        let text = format!("sheet A4\nvalley top edge over by 20 mm\nvalley in half{across}");
        let run = fold(&text, &[]);
        sound(&run.folded);
        assert!(run.folded.faces.iter().all(|f| f.shift.norm().is_finite()));
    }
}

#[test]
fn a_mirrored_half_that_is_refused_says_so_and_names_the_paper() {
    let text = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        mountain bottom layer parallel to centre, 23 mm from it, both sides";
    if let Err(error) = try_fold(text, &[]) {
        assert!(!error.diagnostic().message.is_empty());
        error.evidence();
    }
    let text = "sheet A4\ncrease left edge onto right edge, call it centre\n\
        valley bottom layer parallel to centre, 23 mm from it, both sides";
    if let Err(error) = try_fold(text, &[]) {
        assert!(!error.diagnostic().message.is_empty());
        error.evidence();
    }
}

#[test]
fn a_distance_is_not_less_than_nothing() {
    for text in ["top edge over by -5 mm", "parallel to top edge, -30 mm from it"] {
        let error = try_fold(&format!("sheet A4\nvalley {text}"), &[]).map(|_| ());
        let said = error.expect_err("a minus").diagnostic().message;
        assert!(said.contains("less than nothing"), "{said}");
    }
}
