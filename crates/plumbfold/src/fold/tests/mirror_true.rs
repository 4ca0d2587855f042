//! Nothing is decided that the words leave open: a text with left and right exchanged folds the
//! mirror image, or neither folds.

use super::{fold, help, try_fold};
use crate::fold::checks::check_all;
use crate::fold::error::Problem;
use crate::fold::state::Folded;
use crate::numeric::geom::{TablePoint, centroid};
use proptest::prelude::*;

const CENTRE: &str = "sheet A4 upright\ncrease left edge onto right edge, call it centre\n";
const NAMED: &str = "crease top edge onto bottom edge, call it n0\n\
    crease perpendicular to centre through 60 mm along centre from top middle, call it n1\n";

/// A step as a folder says it, with `L` and `R` for left and right. Where a crease runs along the
/// middle, the side that moves is said: the rule for parts that are alike is left to right.
const STEPS: [&str; 23] = [
    "V E L corner onto centre, hinged at E middle B",
    "V LAYERS L edge over by D mm B",
    "V LAYERS parallel to L edge, D mm from it B",
    "V parallel to E edge, D mm from it B",
    "V LAYERS parallel to centre, D mm from it",
    "V LAYERS parallel to centre, D mm from it towards L middle B",
    "V LAYERS through middle of centre and 1/4 along L edge, moving L B",
    "V through E middle and 1/3 along L edge from E L corner, moving L B",
    "V L edge onto centre B",
    "V E edge onto L edge B",
    "V E L corner of model onto centre, hinged at E middle B",
    "V E middle back by D mm along centre",
    "V perpendicular to centre through D mm along centre from E middle B",
    "V E L corner onto E middle B",
    "V top edge onto bottom edge",
    "V NAME onto centre B",
    "V LAYERS parallel to NAME, D mm from it",
    "V NAME over by D mm B",
    "V along centre, moving L",
    "mountain in half, moving R",
    "V LAYERS NAME onto centre",
    "turn over",
    "unfold",
];

/// One line of a text, with its mirror image.
fn step() -> impl Strategy<Value = [String; 2]> {
    let verb = prop_oneof![3 => Just("valley"), 1 => Just("mountain"), 1 => Just("crease")];
    let layers = prop_oneof![
        3 => Just(""), 1 => Just("top layer"), 1 => Just("all layers"), 2 => Just("near half"),
    ];
    let sides = prop_oneof![Just(""), Just(", both sides")];
    let length = prop::sample::select(vec![8, 15, 20, 30, 45, 60, 75]);
    let end = prop::sample::select(vec!["top", "bottom"]);
    (0..STEPS.len(), verb, layers, sides, length, end, 0..2_usize, any::<bool>()).prop_map(
        |(kind, verb, layers, sides, length, end, name, left)| {
            let named = !STEPS[kind].starts_with(['t', 'u']);
            let call = if named { format!(", call it n{name}") } else { String::new() };
            let here = format!("{}{call}", STEPS[kind])
                .replace("LAYERS", layers)
                .replace("NAME", &format!("n{}", 1 - name))
                .replace("V ", &format!("{verb} "))
                .replace("E ", &format!("{end} "))
                .replace(" B", sides)
                .replace(" D ", &format!(" {length} "));
            [left, !left].map(|left| {
                let [l, r] = if left { ["left", "right"] } else { ["right", "left"] };
                here.replace("L ", &format!("{l} "))
                    .replace(" R", &format!(" {r}"))
                    .replace("moving L", &format!("moving {l}"))
            })
        },
    )
}

/// Where the faces of a model lie, on the paper and on the table, and how its creases are folded.
type Lies = Vec<([f64; 4], String)>;

fn lies(model: &Folded, mirrored: bool) -> Lies {
    let x = |x: f64| if mirrored { model.sheet_m[0] - x } else { x };
    let ranks = model.ranks();
    let faces = model.faces.iter().map(|f| {
        let at = centroid(&f.polygon);
        let TablePoint { x: right, y: up, .. } = f.placement.apply(at);
        ([x(at.x), at.y, x(right), up], String::new())
    });
    let hinges = model.hinges.iter().map(|h| {
        let at = h.ends[0].lerp(h.ends[1], 0.5);
        ([x(at.x), at.y, 0.0, 0.0], format!("{:?}", model.assignment(h, &ranks)))
    });
    faces.chain(hinges).collect()
}

fn alike(here: &Lies, there: &Lies) -> bool {
    let near = |a: &[f64; 4], b: &[f64; 4]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-7);
    let among = |(at, how): &([f64; 4], String), all: &Lies| {
        all.iter().filter(|(p, h)| near(at, p) && h == how).count()
    };
    here.len() == there.len() && here.iter().all(|l| among(l, here) == among(l, there))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn left_for_right_folds_the_mirror_image_or_neither_folds(
        steps in prop::collection::vec(step(), 1..8),
    ) {
        let mut texts = [0, 1].map(|_| format!("{CENTRE}{NAMED}"));
        for lines in steps {
            let tried = [0, 1].map(|k| format!("{}{}\n", texts[k], lines[k]));
            match [0, 1].map(|k| try_fold(&tried[k], &[])) {
                [Ok(here), Ok(there)] => {
                    prop_assert_eq!(check_all(&here.folded), []);
                    let [here, there] = [lies(&here.folded, false), lies(&there.folded, true)];
                    prop_assert!(alike(&here, &there), "{}", tried[0]);
                    texts = tried;
                }
                // What cannot be folded is left out.
                [Err(_), Err(_)] => {}
                [here, there] => {
                    let why = here.err().or(there.err()).map(|e| e.problem.to_string());
                    prop_assert!(false, "one folds alone: {:?}\n{}", why, tried[0]);
                }
            }
        }
    }
}

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
