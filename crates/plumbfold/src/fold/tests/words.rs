//! What each form of step does, folded from text.

use super::{balance, fold, sound, try_fold};
use crate::fold::apply::Refused;
use crate::fold::creep;
use crate::fold::error::Problem;
use crate::fold::state::{Assignment, Folded};
use crate::numeric::geom::{SheetPoint, TablePoint, area};
use approx::assert_relative_eq;

/// Where a place of the sheet (mm) lies on the table (mm).
fn lies(model: &Folded, x: f64, y: f64) -> (f64, f64) {
    let p = model.on_table(SheetPoint::new(x * 1e-3, y * 1e-3)).unwrap();
    ((p.x * 1e9).round() / 1e6, (p.y * 1e9).round() / 1e6)
}

fn folded(text: &str) -> Folded {
    let run = fold(&format!("sheet 200 mm by 300 mm\ncreep off\n{text}"), &[]);
    for step in &run.steps {
        sound(&step.after);
    }
    (*run.folded).clone()
}

fn problem(text: &str) -> (Problem, String) {
    let text = format!("sheet 200 mm by 300 mm\ncreep off\n{text}");
    let error = *try_fold(&text, &[]).unwrap_err();
    // Every error can be shown.
    let diagnostic = error.diagnostic();
    assert!(!diagnostic.message.is_empty());
    error.evidence();
    (error.problem, text[error.span].to_owned())
}

#[test]
fn seven_ways_to_say_where() {
    let cases = [
        ("valley through (0 mm, 200 mm) and (100 mm, 300 mm)", (0.0, 300.0), (100.0, 200.0)),
        ("valley top left corner onto (100 mm, 200 mm)", (0.0, 300.0), (100.0, 200.0)),
        ("valley top edge onto left edge", (200.0, 300.0), (0.0, 100.0)),
        ("valley perpendicular to left edge through (50 mm, 250 mm)", (0.0, 300.0), (0.0, 200.0)),
        (
            "valley top left corner onto line from (100 mm, 0 mm) to (100 mm, 300 mm), \
             hinged at top middle",
            (0.0, 300.0),
            (100.0, 200.0),
        ),
        (
            "valley top left corner onto line from (0 mm, 100 mm) to (200 mm, 100 mm), \
             perpendicular to left edge",
            (0.0, 300.0),
            (0.0, 100.0),
        ),
        ("valley parallel to top edge, 40 mm from it, moving top edge", (0.0, 300.0), (0.0, 220.0)),
        ("valley at 45 deg to top edge through (0 mm, 200 mm)", (0.0, 300.0), (100.0, 200.0)),
        ("valley top middle back by 40 mm along left edge", (100.0, 300.0), (100.0, 260.0)),
    ];
    for (text, (x, y), to) in cases {
        assert_eq!(lies(&folded(text), x, y), to, "{text}");
    }
}

#[test]
fn two_places_onto_two_lines_needs_a_choice() {
    let text = "valley bottom left corner onto line from (0 mm, 60 mm) to (200 mm, 60 mm) \
                and (200 mm, 0 mm) onto line from (100 mm, 0 mm) to (100 mm, 300 mm)";
    let found = match problem(text).0 {
        Problem::Ambiguous { candidates } => candidates.len(),
        other => panic!("{other:?}"),
    };
    assert_eq!(found, 3);
    for n in 1..=found {
        let text = format!("sheet 200 mm by 300 mm\n{text}, take {n}");
        let crease = fold(&text, &[]).steps[0].passes[0].line;
        assert_relative_eq!(crease.reflect(TablePoint::new(0.0, 0.0)).y, 0.06, epsilon = 1e-12);
        assert_relative_eq!(crease.reflect(TablePoint::new(0.2, 0.0)).x, 0.1, epsilon = 1e-12);
    }
    let (why, words) = problem(&format!("{text}, take {}", found + 1));
    assert!(matches!(why, Problem::NoSuchChoice { .. }));
    assert_eq!(words, (found + 1).to_string());
}

#[test]
fn layers_are_taken_as_said() {
    let halved = "valley top edge onto bottom edge\n";
    let line = "parallel to line from (0 mm, 0 mm) to (200 mm, 0 mm), 40 mm from it, \
                moving bottom edge";
    for (layers, front, back) in [
        ("all layers ", 80.0, 80.0),
        ("", 80.0, 80.0),
        ("top layer ", 80.0, 0.0),
        ("bottom layer ", 0.0, 80.0),
        ("flap at top middle ", 80.0, 0.0),
    ] {
        let verb = if layers == "bottom layer " { "mountain" } else { "valley" };
        let model = folded(&format!("{halved}{verb} {layers}{line}"));
        let at = [lies(&model, 100.0, 300.0).1, lies(&model, 100.0, 0.0).1];
        assert_eq!(at, [front, back], "{layers}");
    }
    // The lower layer cannot rise through the upper one, and does not take it along unsaid.
    let (why, _) = problem(&format!("{halved}valley flap at bottom middle {line}"));
    assert!(matches!(why, Problem::Fold(Refused::Held { .. })), "{why:?}");
}

#[test]
fn a_layer_that_hangs_on_tears() {
    let text = "valley top edge onto bottom edge\n\
                valley top layer parallel to line from (0 mm, 150 mm) to (200 mm, 150 mm), \
                40 mm from it, moving (100 mm, 150 mm)";
    let (why, _) = problem(text);
    assert!(matches!(why, Problem::Fold(Refused::Tears { .. })), "{why:?}");
}

#[test]
fn lines_that_miss_the_paper() {
    for text in [
        "valley parallel to top edge, 400 mm from it, moving top edge",
        "valley parallel to top edge, 0 mm from it",
        "valley top middle back by 0 mm along left edge",
        "valley top edge onto bottom edge\nvalley parallel to bottom edge, 200 mm from it",
    ] {
        let (why, _) = problem(text);
        let missed = matches!(why, Problem::Fold(Refused::NothingMoves | Refused::NothingBends));
        assert!(missed, "{text}: {why:?}");
    }
    let (why, words) = problem("valley (300 mm, 10 mm) onto top middle");
    assert_eq!((why, words.as_str()), (Problem::OffPaper, "(300 mm, 10 mm)"));
    let (why, _) = problem("valley top edge onto top edge");
    assert_eq!(why, Problem::ThereAlready);
}

#[test]
fn a_place_onto_itself() {
    let (why, _) = problem("mark spot = top middle\nvalley spot onto spot");
    assert_eq!(why, Problem::ThereAlready);
}

#[test]
fn both_sides_mirror_each_other() {
    let text = "crease left edge onto right edge, call it centre\n\
                valley top left corner onto centre, hinged at top middle, both sides, call it a\n\
                valley a onto centre, both sides, call it b\n";
    for keel in ["mountain along centre\n", "valley along centre\n"] {
        let wing = "valley near half parallel to centre, 20 mm from it, both sides, call it wing";
        let model = folded(&format!("{text}{keel}{wing}"));
        assert_mirrored(&model);
        // Without the words `near half` a both-sides fold of a halved model means the same.
        let short = folded(&format!("{text}{keel}{}", wing.replace("near half ", "")));
        assert_eq!(short.faces.len(), model.faces.len());
        assert_relative_eq!(balance(&short).x, balance(&model).x, epsilon = 1e-12);
        assert_eq!(model.creases_named("wing").len(), 2);
    }
}

/// Every face has a mirror image with the mirror image of its hinges.
pub fn assert_mirrored(model: &Folded) {
    let w = model.sheet_m[0];
    let ranks = model.ranks();
    let mut states: Vec<(i64, i64, Assignment)> = Vec::new();
    let mut mirrored = Vec::new();
    for h in &model.hinges {
        let m = h.ends[0].lerp(h.ends[1], 0.5);
        let key = |x: f64| (x * 1e7).round() as i64;
        let state = model.assignment(h, &ranks);
        states.push((key(m.x), key(m.y), state));
        mirrored.push((key(w - m.x), key(m.y), state));
    }
    states.sort();
    mirrored.sort();
    assert_eq!(states, mirrored);
}

#[test]
fn mirrored_choice_and_angles() {
    let model = folded("valley at 60 deg to bottom edge through (60 mm, 300 mm), both sides");
    assert_mirrored(&model);
    let model = folded(
        "crease left edge onto right edge, call it centre\n\
         valley top left corner onto centre, hinged at (20 mm, 200 mm), nearest (0 mm, 300 mm), \
         both sides",
    );
    assert_mirrored(&model);
    // What lies right across the middle of the model as it lies now has no other side.
    let (why, _) = problem(
        "rotate 90 deg\nvalley parallel to left edge, 30 mm from it, moving down, both sides",
    );
    assert_eq!(why, Problem::OwnMirrorImage);
}

#[test]
fn unfold_takes_back_the_last_fold_and_keeps_its_crease() {
    let text = "valley top edge onto bottom edge, call it belt\n\
                valley left edge onto right edge, call it fourth\n";
    let model = folded(&format!("{text}unfold"));
    assert_eq!(lies(&model, 0.0, 300.0), (0.0, 0.0));
    assert_eq!(model.hinges.len(), 4);
    let model = folded(&format!("{text}turn over\nrotate 30 deg\nunfold\nrotate -30 deg\nunfold"));
    assert!(model.hinges.iter().all(|h| !model.is_folded(h)));
    assert_eq!(model.faces.len(), 4);
    let (why, _) = problem(&format!("{text}unfold\nunfold\nunfold"));
    assert_eq!(why, Problem::NothingToUnfold);
    // By name: the outer one is free, the inner one is held.
    let later = "crease perpendicular to right edge through (200 mm, 50 mm)\n";
    let model = folded(&format!("{text}{later}unfold fourth"));
    assert!(model.creases_named("fourth").len() == 1);
    let (why, _) = problem(&format!("{text}unfold belt"));
    assert!(matches!(why, Problem::NotFree { .. } | Problem::BrokenLine { .. }), "{why:?}");
    let (why, _) = problem("crease top edge onto bottom edge, call it belt\nunfold belt");
    assert_eq!(why, Problem::OpenAlready);
}

#[test]
fn folding_along_a_named_crease_bends_that_crease() {
    let model = folded(
        "crease left edge onto right edge, call it centre\n\
         valley top left corner onto centre, hinged at top middle, both sides\n\
         mountain along centre",
    );
    let centre = model.creases_named("centre");
    let bent = model.hinges.iter().filter(|h| centre.contains(&h.crease));
    assert!(bent.clone().count() > 1 || model.faces.len() == 4);
    assert!(bent.clone().all(|h| model.is_folded(h)));
    // Given a new name, it answers to both.
    let both = "crease left edge onto right edge, call it centre\n\
                mountain along centre, call it keel\n";
    folded(&format!("{both}valley parallel to keel, 20 mm from it"));
    folded(&format!("{both}valley parallel to centre, 20 mm from it"));
}

#[test]
fn tucked_layers_lie_between() {
    // A flap folded under the layer that was folded over before it.
    let text = |layers: &str| {
        format!(
            "valley parallel to left edge, 90 mm from it, moving left edge\n\
             valley {layers} parallel to right edge, 30 mm from it, moving right edge"
        )
    };
    let over = folded(&text("all layers"));
    let under = folded(&format!("{}, under bottom left corner", text("bottom layer")));
    let layers =
        |m: &Folded, x: f64| m.ranks()[m.faces_at(SheetPoint::new(x, 0.15)).next().unwrap()];
    assert!(layers(&over, 0.199) > layers(&over, 0.001));
    assert!(layers(&under, 0.199) < layers(&under, 0.001));
    let model = folded(
        "valley top edge onto bottom edge\nmountain bottom layer parallel to line \
                        from (0 mm, 0 mm) to (200 mm, 0 mm), 30 mm from it, moving bottom edge",
    );
    assert_eq!(model.faces.len(), 3);
}

#[test]
fn inside_means_next_to_its_own_layer() {
    let text = "valley top edge onto bottom edge\nvalley bottom layer parallel to line from \
                (0 mm, 0 mm) to (200 mm, 0 mm), 30 mm from it, moving bottom edge, inside";
    let model = folded(text);
    let ranks = model.ranks();
    let at = |y: f64| ranks[model.faces_at(SheetPoint::new(0.1, y)).next().unwrap()];
    // Sheet below, its own end on it, the upper half over both.
    assert!(at(0.1) < at(0.01) && at(0.01) < at(0.25));
}

#[test]
fn creep_grows_a_roll() {
    let text = "sheet 200 mm by 300 mm\n\
                valley top edge onto bottom edge, call it leading\nmark aft = top edge\n\
                repeat 3 times\nvalley aft onto leading, call it aft\nend";
    let model = fold(text, &[]).folded;
    sound(&model);
    let edge = |thickness_m: f64| {
        let aft = model.creases_named("aft");
        let h = model.hinges.iter().find(|h| aft.contains(&h.crease)).unwrap();
        let outlines = creep::outlines(&model, thickness_m);
        let ends = h.faces.map(|f| {
            let at = model.faces[f].polygon.iter().position(|&p| p == h.ends[0]).unwrap();
            outlines[f][at].y
        });
        assert_relative_eq!(ends[0], ends[1], epsilon = 1e-9);
        ends[0]
    };
    assert_relative_eq!(edge(0.0), 0.13125, epsilon = 1e-12);
    // Derived: leading stands out by b = (1 - pi/4) t (1 layer), each turn's edge by its own
    // layers (1, 2, 4). Each crease halves the way between the two edges.
    let b = (1.0 - std::f64::consts::FRAC_PI_4) * 1e-4;
    let leading = 0.15 + b;
    let first = (0.0 + leading) / 2.0;
    let second = (first - b + leading) / 2.0;
    let third = (second - 2.0 * b + leading) / 2.0;
    assert_relative_eq!(edge(1e-4), third, epsilon = 1e-9);
}

#[test]
fn near_half_after_halving() {
    let model = folded(
        "crease left edge onto right edge, call it centre\nvalley along centre\n\
         valley near half parallel to centre, 20 mm from it, call it wing",
    );
    // Valley: the left half came on top, so the near half is the left one.
    assert_eq!(lies(&model, 0.0, 0.0), (40.0, 0.0));
    assert_eq!(lies(&model, 200.0, 0.0), (200.0, 0.0));
}

const HALVING: &str = "valley left edge onto right edge, call it spine\n";
const AGAIN: &str = "valley all layers spine onto right edge, call it spine\n";

#[test]
fn repeats_and_limits() {
    let model = folded(&format!("{HALVING}repeat 2 times\n{AGAIN}end"));
    assert_eq!(model.faces.len(), 8);
    let (why, _) = problem("repeat 1000 times\nturn over\nend");
    assert_eq!(why, Problem::TooManySteps);
    let (why, _) = problem(&format!("{HALVING}repeat 12 times\n{AGAIN}end"));
    let too_large =
        matches!(why, Problem::Fold(Refused::TooManyLayers { .. } | Refused::TooManyFaces(_)));
    assert!(too_large, "{why:?}");
}

#[test]
fn areas_of_a_halved_sheet() {
    let model = folded("valley left edge onto right edge");
    assert_eq!(model.faces.iter().map(|f| area(&f.polygon)).fold(0.0, f64::max), 0.03);
}

#[test]
fn corners_that_are_there_now_can_be_named() {
    let doors = "crease left edge onto right edge, call it centre\n\
        valley left edge onto centre, both sides, call it door\n";
    let by_name = folded(&format!(
        "{doors}valley top end of door onto centre, hinged at top middle, both sides"
    ));
    let by_place = folded(&format!(
        "{doors}valley top left corner of model onto centre, hinged at top middle, both sides"
    ));
    assert_eq!(by_name, by_place);
    assert_mirrored(&by_place);
    // The top edge lies level, so no one corner is the top one.
    let (why, _) = problem("valley top corner of model onto bottom middle");
    assert!(matches!(why, Problem::WhichCorner { .. }), "{why:?}");
}

#[test]
fn rolls_take_layers_and_both_sides() {
    let rolled = folded(
        "crease left edge onto right edge, call it centre\n\
         roll left edge 2 times by 10 mm, both sides, call it hem",
    );
    assert_mirrored(&rolled);
    assert_eq!((lies(&rolled, 0.0, 0.0), rolled.faces.len()), ((20.0, 0.0), 6));
    // Rolled not at all, its name is the edge.
    let none =
        "let n = 0\nroll top edge n times by 10 mm, call it front\nvalley front over by 20 mm";
    assert_eq!(lies(&folded(none), 0.0, 300.0), (0.0, 260.0));
}
