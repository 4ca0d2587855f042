//! What is said of steps.

use plumbfold_draw::units::Units;
use plumbfold_print::booklet::{self, Cautions, Layout, Lesson};
use plumbfold_print::html;
use plumbfold_print::page::Paper;
use plumbfold_print::reference::{Edge, Found, NEAR_M};
use plumbfold_print::template::{Sides, Template};

use crate::support::{balanced, lesson, shipped, text};

#[test]
fn every_step_of_the_shipped_designs_is_said_without_its_authors_names() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        let folded = plane.source.folded().expect("folds");
        let names = folded.run.folded.creases.iter().filter_map(|c| c.name.as_deref());
        // A word of everybody's, which happens to be a name too.
        let own: Vec<&str> = names.filter(|n| *n != "front").collect();
        for (i, said) in lesson(&plane, &text).said.iter().enumerate() {
            let words = said.text();
            assert!(words.ends_with('.') && words.len() > 20, "{name}, step {}: {words}", i + 1);
            assert!(!words.contains("the marked"), "{name}, step {}: {words}", i + 1);
            let strange =
                own.iter().find(|n| words.split(|c: char| !c.is_alphanumeric()).any(|w| w == **n));
            assert_eq!(strange, None, "{name}, step {}: {words}", i + 1);
        }
    }
}

#[test]
fn letters_of_the_words_are_the_letters_of_the_picture() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        for said in lesson(&plane, &text).said {
            let words = said.text();
            for dot in &said.dots {
                assert!(words.contains(&format!("({})", dot.letter)), "{name}: {dot:?} in {words}");
            }
            let told = words.matches(" (").count();
            assert!(told >= said.dots.len(), "{name}: {words}");
        }
    }
}

#[test]
fn the_first_fold_of_a_dart_is_said_as_one_says_it() {
    let text = text("marlinspike");
    let plane = balanced(&text);
    let said = lesson(&plane, &text).said;
    assert_eq!(
        said[0].text(),
        "Bring the left edge exactly to the right edge, crease, and open it again."
    );
    assert_eq!(
        said[1].text(),
        "Bring the top left corner (P) to the middle line, with the fold starting at the middle of \
         the top edge (Q), and crease. Do the same on the other side."
    );
}

#[test]
fn layers_that_stay_are_spoken_of_and_only_those() {
    // Scow's loose edge is folded up from a sheet that stays: one layer, then the two of the roll.
    let scow = text("scow");
    let plane = balanced(&scow);
    let said: Vec<String> = lesson(&plane, &scow).said.iter().map(|s| s.text()).collect();
    assert!(!said[0].contains("Take only"), "{}", said[0]);
    assert!(said[1].contains("Take only the front layer."), "{}", said[1]);
    assert!(said[2].contains("Take only the 2 front layers."), "{}", said[2]);
    // A dart's corners and its halving leave nothing lying there.
    let dart = text("marlinspike");
    let plane = balanced(&dart);
    for said in lesson(&plane, &dart).said {
        assert!(!said.text().contains("Take only"), "{}", said.text());
    }
    // Nor does any plane's halving, whatever has been folded into it before.
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        for said in lesson(&plane, &text).said {
            let words = said.text();
            let both = words.contains("Fold the model in half") && words.contains("Take only");
            assert!(!both, "{name}: {words}");
        }
    }
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

#[test]
fn what_is_measured_is_said_before_what_is_folded() {
    let text = text("halyard");
    let plane = balanced(&text);
    let said = &lesson(&plane, &text).said[1];
    let [measuring, folding] = &said.paragraphs()[..] else { panic!("{said:?}") };
    assert!(measuring.starts_with("Measure 118 mm along the middle line"), "{measuring}");
    assert!(measuring.contains("The marks (A) and (B) are for a later step."), "{measuring}");
    assert!(folding.starts_with("Bring the top left corner"), "{folding}");
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
fn how_far_the_wings_are_opened_is_said() {
    // The poses of the texts: Halyard's keel opens 8 degrees, 25 mm deep: 2 x 25 mm x sin 4 degrees
    // are 3.5 mm; its wings rise 4 degrees. Fender's outer flaps stand up 80 degrees.
    let touches = |name: &str| booklet::last_touches(&balanced(&text(name)), Units::Mm).join(" ");
    let halyard = touches("halyard");
    assert!(
        halyard.contains("At the widest the halves of the keel stand 3.5 mm apart"),
        "{halyard}"
    );
    assert!(halyard.contains("higher than the root of its wing."), "{halyard}");
    let fender = touches("fender");
    assert!(fender.contains("Bend the outer flaps up, 80° from the wing."), "{fender}");
}

#[test]
fn a_fold_made_again_is_said_to_be() {
    let text = text("oilskin");
    let plane = balanced(&text);
    let said = lesson(&plane, &text).said;
    assert!(!said[1].text().contains("Once more"), "{}", said[1].text());
    for said in &said[2..6] {
        let words = said.text();
        assert!(words.starts_with("Once more: fold the top down"), "{words}");
        assert!(words.contains("where an edge lies already"), "{words}");
    }
}

#[test]
fn a_model_folded_in_two_is_turned_over_for_its_other_half() {
    for name in ["bowline", "cleat", "fender", "gaff"] {
        let text = text(name);
        let plane = balanced(&text);
        let lesson = lesson(&plane, &text);
        let words = lesson.said.iter().map(|s| s.text()).find(|s| s.contains("the one with"));
        let words = words.unwrap_or_else(|| lesson.said[1].text());
        assert!(words.contains("Turn over and do the same with the half behind."), "{words}");
        assert!(words.contains("Take only the front"), "{words}");
    }
}

#[test]
fn whoever_thinks_in_inches_reads_no_millimetre() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        let folded = plane.source.folded().expect("folds");
        let lesson = Lesson::new(folded, &plane, &text, Units::Inch);
        let mut pages = lesson.pages(Paper::LETTER, Layout::for_steps(4), "d", 1, Cautions::Here);
        let template = Template::new(folded, &plane, Units::Inch).expect("a pose");
        pages.extend(template.pages(Some(Paper::LETTER), Sides::Both));
        for page in pages {
            for part in &page.parts {
                let tree = roxmltree::Document::parse(&part.svg).expect("a picture");
                let texts = tree.descendants().filter_map(|n| n.text());
                // But for the bar that shows whether the printer scaled.
                let metric = texts.filter(|t| *t != "100 mm").find(|t| t.contains(" mm"));
                assert_eq!(metric, None, "{name}");
            }
        }
    }
    let halyard = text("halyard");
    let plane = balanced(&halyard);
    let folded = plane.source.folded().expect("folds");
    let lesson = Lesson::new(folded, &plane, &halyard, Units::Inch);
    // 118 mm are 4.646 in (25.4 mm to the inch): 4 and 20.7 thirty-seconds.
    let words = lesson.said[1].text();
    assert!(words.contains("Measure 4 21/32 in along the middle line"), "{words}");
}

#[test]
fn a_fold_through_two_marks_names_both() {
    let text = text("halyard");
    let plane = balanced(&text);
    let words = lesson(&plane, &text).said[2].text();
    assert!(
        words.contains("through the mark (A) and the mark on the left edge (B) and its like"),
        "{words}"
    );
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
    assert!(share.contains("measure on the flat sheet, printed side up: 99 mm up"), "{share}");
    assert!(point.contains("70 mm from the left and 99 mm up"), "{point}");
    assert_eq!(lesson.effort.measures, 2);
    let needs = plumbfold_print::booklet::needs(&lesson);
    assert!(needs.iter().any(|n| n.contains("ruler")), "{needs:?}");
    assert!(needs[0].contains("A4"), "{needs:?}");
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
fn a_mark_keeps_its_letter_and_is_made_on_the_side_that_is_seen() {
    // Fender's tail is marked on the printed side of the flat sheet; when its outer flap is folded,
    // the wing lies there with the plain side up.
    let fender = text("fender");
    let plane = balanced(&fender);
    let said = lesson(&plane, &fender).said;
    let words: Vec<String> = said.iter().map(|s| s.text()).collect();
    assert!(words[1].contains("a small mark (A), round the edge so that both sides show it."));
    assert!(
        words[4].contains("small mark (B).") && words[4].contains("small mark (C)."),
        "{}",
        words[4]
    );
    assert!(words[5].contains("the mark on the left edge (A)"), "{}", words[5]);
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        for dot in lesson(&plane, &text).said.iter().flat_map(|s| &s.dots) {
            let letters = if dot.is_mark { 'A'..='O' } else { 'P'..='Z' };
            assert!(letters.contains(&dot.letter), "{name}: {dot:?}");
        }
    }
}

#[test]
fn a_part_of_the_front_half_is_not_called_the_front_half() {
    // Gaff's wing is what lies to the right of a line that leaves a keel; its corners go whole.
    let gaff = text("gaff");
    let plane = balanced(&gaff);
    let words = lesson(&plane, &gaff).said[3].text();
    assert!(words.contains("Fold the right part of the front half over to the left"), "{words}");
}

#[test]
fn what_folded_paper_does_not_show_is_marked_before_the_first_step() {
    let text = "plane Late\nsheet A4 upright, 80 g/m2\n\
                valley top edge onto bottom edge\n\
                crease bottom left corner onto (70 mm, 40 mm)\n\
                throw 3 m/s, level, from 1.6 m\n";
    let plane = balanced(text);
    let said = lesson(&plane, text).said;
    let [first, second] = [0, 1].map(|i| said[i].text());
    assert!(first.contains("70 mm from the left and 40 mm up"), "{first}");
    assert!(first.contains("(A)") || first.contains("To find A"), "{first}");
    assert!(first.contains("for step 2"), "{first}");
    assert!(second.contains("(A)") && !second.contains("measure on the flat sheet"), "{second}");
}

#[test]
fn a_corner_pushed_in_has_a_wedge_and_the_key_says_so() {
    let cleat = text("cleat");
    let plane = balanced(&cleat);
    let page = html::write(&lesson(&plane, &cleat));
    assert!(page.contains("push in here") && page.contains("class=\"push\""), "no wedge");
    let dart = text("marlinspike");
    let plane = balanced(&dart);
    let page = html::write(&lesson(&plane, &dart));
    assert!(!page.contains("push in here") && !page.contains("class=\"push\""), "a wedge");
}

#[test]
fn the_square_of_a_base_is_found_by_folding() {
    let tiller = text("tiller");
    let plane = balanced(&tiller);
    let said = lesson(&plane, &tiller).said[1].text();
    let found = "Bring the top edge exactly to the right edge, crease, and open again: the corner \
                 (P) comes to (S).";
    assert!(said.starts_with(found), "{said}");
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
    assert!(way.ends_with("That is the place, exactly."), "{way}");
    let said = lesson.said[0].text();
    assert!(said.contains("fold through the crossing that you creased for this step"), "{said}");
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
fn a_fold_on_both_halves_of_a_model_folded_in_two_has_the_sign_of_repetition() {
    let gaff = text("gaff");
    let plane = balanced(&gaff);
    let lesson = lesson(&plane, &gaff);
    let repeated: Vec<bool> = lesson.shown.iter().map(|s| s.is_repeated_behind()).collect();
    assert_eq!(repeated, [false, true, true, true]);
    let page = html::write(&lesson);
    // In the key, and once a step.
    assert_eq!(page.matches("class=\"repeat\"").count(), 4, "strokes across arrows");
    assert!(page.contains("and the same behind"), "no key");
}

#[test]
fn all_corners_of_a_base_have_their_arrow() {
    let text = "plane Nugget\nsheet square 150 mm, 80 g/m2\npreliminary base\n";
    let plane = balanced(text);
    assert_eq!(
        lesson(&plane, text).shown[0].moves.ways.len(),
        3,
        "three corners come to the fourth"
    );
}

#[test]
fn a_line_between_two_marks_is_called_by_them() {
    let text = "plane Lorcha\nsheet square 150 mm, 80 g/m2\n\
                valley bottom right corner onto top left corner, call it first\n\
                valley top right corner onto bottom left corner, call it second\n\
                mark slant = line from (75 mm, 75 mm) to (30 mm, 150 mm)\n\
                swivel first onto slant, hinged at (75 mm, 75 mm)\n";
    let plane = balanced(text);
    let said = lesson(&plane, text).said[2].text();
    assert!(said.contains("until it lies along the line from"), "{said}");
    assert!(!said.contains("crease (") && !said.contains("slanted crease"), "{said}");
}

#[test]
fn what_is_too_little_to_tell_and_what_is_not_asked_for_are_said_so() {
    let text = "plane Hair\nsheet A4 upright, 80 g/m2\nmountain left edge onto right edge\n\
                valley near half parallel to left edge, 25 mm from it, both sides\n\
                trim elevator up 0.02 mm\n";
    let plane = balanced(text);
    let touches = booklet::last_touches(&plane, Units::Mm).join(" ");
    assert!(touches.contains("up by less than 0.1 mm"), "{touches}");
    assert!(touches.contains("The design names no throw: this is the usual one."), "{touches}");
    let asked = balanced(&format!("{text}throw 4 m/s, level, from 1.6 m\n"));
    assert!(!booklet::last_touches(&asked, Units::Mm).join(" ").contains("names no throw"));
}
