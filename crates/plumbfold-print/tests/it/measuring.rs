//! Lengths as a ruler and a pinch find them.

use plumbfold_draw::units::Units;
use plumbfold_print::booklet;
use plumbfold_print::reference::{Edge, Found, NEAR_M, find_on};

use crate::support::{balanced, lesson, shipped, text};

#[test]
fn a_length_along_a_line_folded_over_itself_is_told_as_the_ruler_shows_it() {
    // 30 mm are rolled over the top: 100 mm of the flat sheet are then 70 mm from the model's upper
    // edge, and 40 mm from where the sheet's own edge lies.
    let begin = "plane Rolled\nsheet A4 upright, 80 g/m2\ncreep off\n\
                 crease left edge onto right edge, call it centre\n\
                 valley top edge over by 30 mm\n";
    let end = "mountain along centre\n";
    for (mark, fold) in [
        (
            "mark s = 100 mm along centre from top middle",
            "crease perpendicular to centre through s",
        ),
        (
            "mark s = 100 mm along left edge from top left corner",
            "crease perpendicular to left edge through s",
        ),
    ] {
        let text = format!("{begin}{mark}\n{fold}\n{end}");
        let plane = balanced(&text);
        let words = lesson(&plane, &text).said[2].text();
        assert!(!words.contains("100 mm"), "{words}");
        assert!(words.contains("70 mm down from its upper side"), "{words}");
    }
    // Without the roll it is 100 mm.
    let flat = begin.replace("valley top edge over by 30 mm\n", "");
    let text = format!(
        "{flat}mark s = 100 mm along centre from top middle\n\
                        crease perpendicular to centre through s\n{end}"
    );
    let plane = balanced(&text);
    let words = lesson(&plane, &text).said[1].text();
    assert!(words.contains("Measure 100 mm along the middle line"), "{words}");
}

#[test]
fn a_pinch_is_made_on_the_half_that_is_folded_first() {
    // Bowline's left half goes behind; a heel of 26.25 mm lies 131.25 mm from the left on the front one.
    let text = text("bowline");
    let heel = text.lines().find(|l| l.starts_with("let heel")).expect("a heel");
    let text = text.replace(heel, "let heel = 26.25 mm");
    let plane = balanced(&text);
    let lesson = lesson(&plane, &text);
    let found = lesson.measures.iter().find(|m| m.recipe.is_some()).expect("a way");
    assert!(!found.behind && found.twice, "{found:?}");
    assert!(
        found.what.contains("131.2 mm from the left") || found.what.contains("131.3 mm"),
        "{found:?}"
    );
    let said = lesson.said[found.step - 1].text();
    assert!(said.contains(&format!("use the pinch marked {}B.", found.step)), "{said}");
}

#[test]
fn thirds_are_found_by_a_crossing_and_said_at_their_step() {
    let text = "plane Third\nsheet A4 upright, 80 g/m2\nvalley top edge over by 99 mm\n\
                mountain left edge onto right edge\n";
    let plane = balanced(text);
    let lesson = lesson(&plane, text);
    let way = &booklet::without_ruler(&lesson)[0];
    assert!(way.contains("198 mm from the bottom (99 mm from the top)"), "{way}");
    assert!(way.contains("corner to mark 1, and open again: the two creases cross"), "{way}");
    assert!(way.ends_with("That is the place, exactly: write 1 beside it."), "{way}");
    let said = lesson.said[0].text();
    assert!(said.contains("fold through the crossing marked 1"), "{said}");
}

#[test]
fn a_pinch_that_lies_under_the_paper_is_said_to() {
    // The sheet is folded in half first: half of the length is pinched on an edge that then lies
    // below, whose like lies above.
    let text = "plane Under\nsheet A4 upright, 80 g/m2\nmountain top edge onto bottom edge\n\
                valley bottom layer parallel to bottom edge, 37.125 mm from it\n";
    let Ok(plane) = plumbfold::pipeline::balance(text, &Default::default()) else { return };
    let lesson = lesson(&plane, text);
    for measure in &lesson.measures {
        let said = measure.reminder().unwrap_or_default();
        assert_eq!(measure.behind, said.contains("on the side that lies down"), "{said}");
    }
}

#[test]
fn a_length_that_folds_find_is_told_how_and_within_half_a_millimetre() {
    let text = text("tiller");
    let plane = balanced(&text);
    let lesson = lesson(&plane, &text);
    let found = lesson.measures.iter().filter_map(|m| m.recipe.as_ref());
    let recipe = found.min_by_key(|r| r.folds.len()).expect("a way to the keel");
    assert!(recipe.folds.len() <= 3 && recipe.error_m <= 0.5e-3, "{recipe:?}");
}

#[test]
fn nothing_is_measured_from_a_place_out_of_reach() {
    // The keel's rear corner has gone in between the halves: 30 mm from there along the bottom edge
    // are 7 mm from the corner that the reverse fold leaves, which is at 23 mm.
    let text = text("cleat");
    let plane = balanced(&text);
    let words = lesson(&plane, &text).said[5].text();
    assert!(words.contains("Measure 7 mm along the bottom edge from its left end"), "{words}");
}

#[test]
fn what_the_paper_does_not_show_is_measured_on_the_model_where_the_mark_will_be_seen() {
    // The place lies on the lower half, under the upper one, when it is needed.
    let text = "plane Late\nsheet A4 upright, 80 g/m2\n\
                valley top edge onto bottom edge\n\
                crease bottom left corner onto (70 mm, 40 mm)\n\
                throw 3 m/s, level, from 1.6 m\n";
    let plane = balanced(text);
    let lesson = lesson(&plane, text);
    let [first, second] = [0, 1].map(|i| lesson.said[i].text());
    assert!(!first.contains("measure"), "{first}");
    let told = "measure on the model as it lies now: 70 mm from its left side and 40 mm up from its \
                lower side.";
    assert!(second.contains(told), "{second}");
    assert_eq!(lesson.effort.measures, 1);
    // A mark by coordinates is measured once, and again only where its paper lies the other way up.
    let text = "plane Twice\nsheet A4 upright, 80 g/m2\nmark spot = (40 mm, 60 mm)\n\
                crease perpendicular to left edge through spot\n\
                crease perpendicular to bottom edge through spot\nturn over\n\
                crease through spot and bottom left corner\n";
    let plane = balanced(text);
    let said = self::lesson(&plane, text).said;
    let measured: Vec<bool> = said.iter().map(|s| s.text().contains("To find A")).collect();
    assert_eq!(measured, [true, false, false, true]);
    // Turned over, the left side is the other one.
    assert!(said[3].text().contains("40 mm from its right side"), "{}", said[3].text());
}

#[test]
fn a_place_given_by_a_share_or_by_coordinates_is_measured_out() {
    let text = "plane Odd\nsheet A4 upright, 80 g/m2\n\
                mark dot = 1/3 along left edge\n\
                crease perpendicular to left edge through dot\n\
                crease perpendicular to bottom edge through (70 mm, 99 mm)\n\
                valley left edge onto right edge\nthrow 3 m/s, level, from 1.6 m\n";
    let plane = balanced(text);
    let lesson = lesson(&plane, text);
    let [share, point] = [0, 1].map(|i| lesson.said[i].text());
    // A third of the 297 mm of A4 (ISO 216:2007).
    assert!(share.contains("Measure 99 mm along the left edge from its lower end"), "{share}");
    assert!(point.contains("70 mm from its left side and 99 mm up from its lower side"), "{point}");
    assert_eq!(lesson.effort.measures, 2);
    let needs = plumbfold_print::booklet::needs(&lesson);
    assert!(needs.iter().any(|n| n.contains("ruler")), "{needs:?}");
    assert!(needs[0].contains("A4"), "{needs:?}");
}

#[test]
fn a_pinch_lies_where_a_crease_of_its_step_ends() {
    let mut found = 0;
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        let lesson = lesson(&plane, &text);
        let [w, h] = lesson.folded.run.sheet.sheet_m;
        for measure in &lesson.measures {
            let Some(recipe) = &measure.recipe else { continue };
            let words = lesson.said[measure.step - 1].text();
            let reminder = measure.reminder().expect("there is a way");
            assert!(words.contains(&reminder), "{name}: {words}");
            found += 1;
            // Marks are pinched where they are measured; what is left are creases.
            if words.contains("make a small mark") {
                continue;
            }
            let record = &lesson.folded.run.steps[measure.step - 1];
            let own = record.after.hinges.iter().filter(|hinge| {
                record.passes.iter().any(|pass| pass.creases.contains(&hinge.crease))
            });
            let through = own.flat_map(|hinge| hinge.ends).any(|p| match recipe.found {
                Found::Pinch(Edge::Left) => p.x < 1e-6,
                Found::Pinch(Edge::Right) => p.x > w - 1e-6,
                Found::Pinch(Edge::Bottom) => p.y < 1e-6,
                Found::Pinch(Edge::Top) => p.y > h - 1e-6,
                Found::Crossing([x, y]) => (p.x - x).abs().min((p.y - y).abs()) <= NEAR_M,
            });
            assert!(through, "{name}, step {}: {recipe:?}", measure.step);
        }
    }
    assert!(found > 0, "some length of a shipped design can be folded");
}

/// All that is said of a text, one string a step.
fn said(text: &str) -> Vec<String> {
    let plane = balanced(text);
    lesson(&plane, text).said.iter().map(|s| s.text()).collect()
}

const END: &str = "mountain along centre\n";

#[test]
fn no_ruler_is_laid_where_the_paper_is_out_of_sight() {
    let begin = "plane Gate\nsheet A4 upright, 80 g/m2\ncreep off\n\
                 crease left edge onto right edge, call it centre\n";
    // Under a strip: the edge is seen from 30 mm below its end on.
    let gate = format!(
        "{begin}valley left edge over by 40 mm, both sides\n\
        valley top edge over by 30 mm\nmark s = 100 mm along left edge from top left corner\n\
        crease perpendicular to centre through s\n{END}"
    );
    let words = said(&gate)[3].clone();
    assert!(words.contains("measure on the model as it lies now"), "{words}");
    assert!(words.contains("70 mm down from its upper side"), "{words}");
    // A corner that lies in the middle of an edge is no mark.
    let door = format!(
        "{begin}valley left edge over by 40 mm, both sides\n\
        mark u = 100 mm along left edge from bottom left corner\n\
        crease through u and bottom middle, both sides\n{END}"
    );
    let words = said(&door)[2].clone();
    assert!(!words.contains("from the mark on the"), "{words}");
    assert!(words.contains("100 mm up from its lower side"), "{words}");
    // Behind the model.
    let behind = format!(
        "{begin}mountain left edge over by 25 mm, both sides\n\
        mark u = 60 mm along left edge from top left corner\n\
        crease perpendicular to centre through u\n{END}"
    );
    let words = said(&behind)[2].clone();
    assert!(words.contains("60 mm down from its upper side"), "{words}");
    assert!(!words.contains("along the upright edge"), "{words}");
}

#[test]
fn a_mark_that_a_later_step_needs_on_both_halves_is_made_on_both() {
    let text = format!(
        "plane Twin\nsheet A4 upright, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n\
        mark t = 60 mm along left edge from bottom left corner\n\
        crease perpendicular to centre through 130 mm along centre from top middle\n\
        crease through t and bottom middle, both sides\n{END}"
    );
    let words = said(&text)[1].clone();
    assert!(words.contains("Mark the other half of the sheet in the same place."), "{words}");
}

#[test]
fn nothing_is_measured_for_nothing() {
    // Half of the folded top edge of a halved model ends on its spine: a corner, and no length.
    let text = format!(
        "plane Spine\nsheet A4 upright, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n\
        valley top edge over by 60 mm, call it nose\n{END}\
        mark n = 1/2 along nose\ncrease through n and bottom right corner\n"
    );
    let words = said(&text)[3].clone();
    assert!(!words.contains("Measure"), "{words}");
    // A mark that no step uses is not said to be for a later one.
    let text = format!(
        "plane Idle\nsheet A4 upright, 80 g/m2\n\
        mark idle = 40 mm along left edge from bottom left corner\n\
        mark used = 60 mm along left edge from bottom left corner\n\
        crease left edge onto right edge, call it centre\n\
        crease perpendicular to left edge through used\n{END}"
    );
    let words = said(&text)[0].clone();
    assert!(words.contains("The mark (B) is for a later step."), "{words}");
    assert!(!words.contains("The mark (A)") && !words.contains("The marks"), "{words}");
}

#[test]
fn pinches_of_one_step_bear_different_signs() {
    let text = format!(
        "plane Pair\nsheet A4 upright, 80 g/m2\n\
        mark low = 74.25 mm along left edge from bottom left corner\n\
        mark high = 148.5 mm along left edge from bottom left corner\n\
        crease through low and bottom right corner\ncrease through high and top right corner\n\
        crease left edge onto right edge, call it centre\n{END}"
    );
    let plane = balanced(&text);
    let lesson = lesson(&plane, &text);
    let signs: Vec<String> =
        lesson.measures.iter().filter(|m| m.recipe.is_some()).map(|m| m.sign()).collect();
    assert_eq!(signs, ["1A", "1B"]);
    let ways = booklet::without_ruler(&lesson).join(" ");
    assert!(ways.contains("write 1A beside it") && ways.contains("write 1B beside it"), "{ways}");
}

#[test]
fn a_fold_along_a_crease_that_is_there_needs_no_pinch() {
    // The mark is measured along the middle line, which the step folds on.
    let text = format!(
        "plane Mid\nsheet A4 upright, 80 g/m2\n\
        crease left edge onto right edge, call it centre\n\
        mark m = 110 mm along centre from top middle\n{END}\
        crease through m and bottom right corner\n"
    );
    let plane = balanced(&text);
    let lesson = lesson(&plane, &text);
    assert!(lesson.measures.iter().all(|m| m.recipe.is_none()), "{:?}", lesson.measures);
    assert!(!lesson.measures.is_empty(), "the ruler is needed");
}

/// What the words of a recipe make on the sheet, by somebody who only reads them: places of the marks,
/// m from the lower left corner.
fn folded_by_words(folds: &[String], [w, h]: [f64; 2]) -> Vec<[f64; 2]> {
    let corner = |name: &str| match name {
        "bottom left" => [0.0, 0.0],
        "bottom right" => [w, 0.0],
        "top left" => [0.0, h],
        "top right" => [w, h],
        other => panic!("no corner: {other}"),
    };
    let ends = |edge: &str| match edge {
        "left" => [corner("bottom left"), corner("top left")],
        "right" => [corner("bottom right"), corner("top right")],
        "bottom" => [corner("bottom left"), corner("bottom right")],
        "top" => [corner("top left"), corner("top right")],
        other => panic!("no edge: {other}"),
    };
    let on = |edge: &str, p: [f64; 2]| {
        let [a, b] = ends(edge);
        ((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])).abs() < 1e-9
    };
    let between = |text: &str, a: &str, b: &str| -> String {
        let after = text.split_once(a).unwrap_or_else(|| panic!("no {a:?} in {text}")).1;
        after.split_once(b).unwrap_or_else(|| panic!("no {b:?} in {text}")).0.to_owned()
    };
    let mut made: Vec<[f64; 2]> = Vec::new();
    for fold in folds {
        let mark = |name: &str| made[name["mark ".len()..].parse::<usize>().expect("a number") - 1];
        let end = |edge: &str, name: &str| match name {
            "its left end" | "its bottom end" => ends(edge)[0],
            "its right end" | "its top end" => ends(edge)[1],
            marked => mark(marked),
        };
        let place = if fold.starts_with("Bend the ") {
            let edge = between(fold, "Bend the ", " edge");
            let (a, b) = (between(fold, "until ", " meets "), between(fold, " meets ", ", and"));
            let (a, b) = (end(&edge, &a), end(&edge, &b));
            assert!(on(&edge, a) && on(&edge, b), "{fold}");
            [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0]
        } else if fold.starts_with("Lay the ") {
            let (short, long) =
                (between(fold, "Lay the ", " edge"), between(fold, "along the ", " edge"));
            let (s, l) = (ends(&short), ends(&long));
            let shared = *s.iter().find(|p| l.contains(p)).expect("a corner of both");
            let far = *l.iter().find(|p| **p != shared).expect("the other end");
            let length = (s[1][0] - s[0][0]).hypot(s[1][1] - s[0][1]);
            let whole = (far[0] - shared[0]).hypot(far[1] - shared[1]);
            assert!(length < whole, "{fold}");
            [0, 1].map(|k| shared[k] + (far[k] - shared[k]) * length / whole)
        } else {
            let from = corner(&between(fold, "Bring the ", " corner"));
            let onto = between(fold, " corner to ", "; pinch");
            let to = match onto.strip_suffix(" corner") {
                Some(name) => corner(name.trim_start_matches("the ")),
                None => {
                    let (name, edge) = onto.split_once(" on the ").expect("an edge");
                    let to = mark(name);
                    assert!(on(edge.trim_end_matches(" edge"), to), "{fold}");
                    to
                }
            };
            // The fold is as far from where the corner was as from where it comes to lie.
            let (nx, ny) = (to[0] - from[0], to[1] - from[1]);
            let middle = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
            let square = nx * nx + ny * ny;
            let moved = |p: [f64; 2]| {
                let k = 2.0 * ((p[0] - middle[0]) * nx + (p[1] - middle[1]) * ny) / square;
                [p[0] - k * nx, p[1] - k * ny]
            };
            let (edge, [p, q]) = match fold.contains("the fold meets the ") {
                true => (
                    between(fold, "the fold meets the ", " edge"),
                    [middle, [middle[0] - ny, middle[1] + nx]],
                ),
                false => (
                    between(fold, "now crosses the ", " edge"),
                    ends(&between(fold, "pinch where the ", " edge now")).map(moved),
                ),
            };
            let [a, b] = ends(&edge);
            let (d, e) = ([b[0] - a[0], b[1] - a[1]], [q[0] - p[0], q[1] - p[1]]);
            let turn = d[0] * e[1] - d[1] * e[0];
            let t = ((p[0] - a[0]) * e[1] - (p[1] - a[1]) * e[0]) / turn;
            assert!((0.0..=1.0).contains(&t), "{fold}: off the edge");
            [a[0] + t * d[0], a[1] + t * d[1]]
        };
        let told = fold.rsplit_once(", ").expect("a place").1;
        let along = match told.rsplit_once("from the ").expect("a side").1 {
            "left." => place[0],
            "right." => w - place[0],
            "bottom." => place[1],
            _ => h - place[1],
        };
        let number: f64 = told.split(' ').next().and_then(|n| n.parse().ok()).expect("a number");
        assert!((number - along * 1e3).abs() < 0.06, "{fold}: {place:?}");
        made.push(place);
    }
    made
}

#[test]
fn what_the_words_of_a_recipe_make_is_the_place_within_its_error() {
    let sheets = [[0.21, 0.297], [0.297, 0.21], [0.2159, 0.2794], [0.15, 0.15]];
    let (mut found, mut of_all) = (0, 0);
    for sheet in sheets {
        for edge in [Edge::Left, Edge::Right, Edge::Top, Edge::Bottom] {
            let upright = matches!(edge, Edge::Left | Edge::Right);
            let length = sheet[usize::from(upright)];
            for k in 1..30 {
                let at = length * f64::from(k) / 30.0 + 0.3e-3;
                of_all += 1;
                let Some(recipe) = find_on(sheet, edge, at, Units::Mm) else { continue };
                found += 1;
                assert!(recipe.folds.len() <= 3 && recipe.error_m <= NEAR_M, "{recipe:?}");
                let last = *folded_by_words(&recipe.folds, sheet).last().expect("a mark");
                let own = last[usize::from(upright)];
                assert!((own - at).abs() <= recipe.error_m + 1e-9, "{at}: {recipe:?}");
                let other = last[usize::from(!upright)];
                let side = if matches!(edge, Edge::Right | Edge::Top) {
                    sheet[usize::from(!upright)]
                } else {
                    0.0
                };
                assert!((other - side).abs() < 1e-9, "on another edge: {recipe:?}");
            }
        }
    }
    assert!(found > 60, "{found} of {of_all}");
}
