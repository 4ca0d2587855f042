//! What is said of steps.

use plumbfold_draw::paper::drawn_from;
use plumbfold_draw::units::Units;
use plumbfold_print::booklet::{self, Layout, Lesson};
use plumbfold_print::html;
use plumbfold_print::page::Paper;
use plumbfold_print::template::{Side, Sides, Template};

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
        assert!(
            words.contains("Turn over, do the same with the half behind, and turn back."),
            "{words}"
        );
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
        let mut pages = lesson.pages(Paper::LETTER, Layout::for_steps(4), "d", 1);
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
fn bends_of_both_wings_and_of_one_add_up() {
    let text = "plane Two\nsheet A4 upright, 80 g/m2\nmountain left edge onto right edge\n\
                valley near half parallel to left edge, 25 mm from it, both sides\n\
                trim elevator up 1.5 mm, 10 mm deep\ntrim left wing down 0.5 mm, 10 mm deep\n";
    let plane = balanced(text);
    let touches = booklet::last_touches(&plane, Units::Mm).join(" ");
    assert!(
        touches.contains("left wing up by 1 mm") && touches.contains("right wing up by 1.5 mm")
    );
    assert!(!touches.contains("both wings"), "{touches}");
    let straight = text.replace("left wing down 0.5", "left wing down 1.5");
    let touches = booklet::last_touches(&balanced(&straight), Units::Mm).join(" ");
    assert!(
        touches.contains("right wing up by 1.5 mm") && !touches.contains("left wing"),
        "{touches}"
    );
}

#[test]
fn distances_and_speeds_in_feet_are_not_rounded_twice() {
    // 60 in are 5 ft and 12 ft/s are 12 ft/s (12 in to the foot).
    let text = "plane Inch\nsheet Letter upright, 20 lb bond\nmountain left edge onto right edge\n\
                valley near half parallel to left edge, 1 in from it, both sides\n\
                trim elevator up 1/16 in\nthrow 12 ft/s, level, from 60 in\n";
    let touches = booklet::last_touches(&balanced(text), Units::Inch).join(" ");
    assert!(touches.contains("from 5 ft above the floor"), "{touches}");
    assert!(touches.contains("(12 ft/s)") && touches.contains("up by 1/16 in"), "{touches}");
}

#[test]
fn the_side_that_lies_up_is_drawn_as_it_is() {
    // The first picture shows the plain side where the sheet begins with the printed side down.
    let text = "plane Down\nsheet A4 upright, 80 g/m2, printed side down\nmountain left edge onto right edge\n";
    let up = text.replace(", printed side down", "");
    let first = |text: &str| {
        let plane = balanced(text);
        let page = html::write(&lesson(&plane, text));
        let steps = page.split("<h2>Steps").nth(1).expect("steps").to_owned();
        let printed = steps.find("class=\"printed\"").unwrap_or(usize::MAX);
        printed < steps.find("class=\"plain\"").unwrap_or(usize::MAX)
    };
    assert_eq!([first(text), first(&up)], [false, true]);
    let plane = balanced(text);
    let folded = plane.source.folded().expect("folds");
    let svg = Template::new(folded, &plane, Units::Mm).expect("a pose").svg(Side::Front);
    let words: String = roxmltree::Document::parse(&svg)
        .expect("a picture")
        .descendants()
        .filter_map(|n| n.text())
        .collect::<Vec<_>>()
        .join(" ");
    assert!(words.replace('\n', " ").contains("plain side"), "{words}");
}

#[test]
fn a_mark_in_the_picture_lies_on_the_paper_that_bears_it() {
    // Cleat's fin is reversed: its marks lie on a layer that is drawn apart, and where the fin went is
    // dotted under the paper.
    let cleat = text("cleat");
    let plane = balanced(&cleat);
    let lesson = lesson(&plane, &cleat);
    let step = lesson.shown.iter().find(|s| !s.moves.tucked.is_empty()).expect("a reversed fin");
    assert!(html::write(&lesson).contains("class=\"tucked\""), "step {}", step.number);
    for shown in &lesson.shown {
        for (_, place) in &shown.places {
            let by = drawn_from(shown.before, shown.apart, *place);
            assert!(by[0].abs() <= 2.2 && (0.0..=2.2).contains(&by[1]), "{by:?}");
        }
    }
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
