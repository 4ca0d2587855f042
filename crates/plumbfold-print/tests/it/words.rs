//! What is said of steps, and the pages it stands on.

use plumbfold::pipeline::Balanced;
use plumbfold_print::booklet::{Layout, Lesson};
use plumbfold_print::page::Paper;
use plumbfold_print::{collection, html, pdf};

use crate::reader;
use crate::support::{balanced, shipped, text};

fn lesson<'a>(plane: &'a Balanced, text: &str) -> Lesson<'a> {
    Lesson::new(plane.source.folded().expect("folds"), plane, text)
}

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
        "Bring the top left corner (A) to the middle line, with the fold starting at the middle of \
         the top edge (B), and crease. Do the same on the other side."
    );
}

#[test]
fn layers_that_stay_are_spoken_of_and_only_those() {
    // Scow's loose edge is folded up from a sheet that stays: one layer, then the two of the roll.
    let scow = text("scow");
    let plane = balanced(&scow);
    let said: Vec<String> = lesson(&plane, &scow).said.iter().map(|s| s.text()).collect();
    assert!(!said[0].contains("Take only"), "{}", said[0]);
    assert!(said[1].contains("Take only the top layer."), "{}", said[1]);
    assert!(said[2].contains("Take only the 2 layers at the top."), "{}", said[2]);
    // A dart's corners and its halving leave nothing lying there.
    let dart = text("marlinspike");
    let plane = balanced(&dart);
    for said in lesson(&plane, &dart).said {
        assert!(!said.text().contains("Take only"), "{}", said.text());
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
fn a_booklet_of_all_designs_has_pages_for_all_and_contents_that_lead_to_them() {
    let texts: Vec<String> = shipped().iter().map(|n| text(n)).collect();
    let planes: Vec<Balanced> = texts.iter().map(|t| balanced(t)).collect();
    let lessons: Vec<Lesson<'_>> = planes.iter().zip(&texts).map(|(p, t)| lesson(p, t)).collect();
    for paper in [Paper::A4, Paper::LETTER] {
        let pages = collection::pages(&lessons, paper, Layout::for_steps(6));
        let begins: Vec<usize> =
            (0..pages.len()).filter(|&i| pages[i].bookmark.is_some()).collect();
        assert_eq!(begins.len(), 1 + lessons.len());
        let led: Vec<usize> = pages.iter().flat_map(|p| p.links.iter().map(|l| l.1)).collect();
        assert_eq!(led, begins[1..], "each entry leads to the page its design begins on");
        let read = reader::pages(&pdf::write("all", &pages).expect("pages"));
        assert_eq!(read.len(), pages.len());
        for page in read {
            let [w, h] = paper.size.map(|mm| mm * 72.0 / 25.4);
            assert!((page.size[0] - w).abs() < 0.01 && (page.size[1] - h).abs() < 0.01);
        }
    }
}

#[test]
fn nothing_written_leaves_the_page() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        for steps in 2..=9 {
            for page in lesson(&plane, &text).pages(Paper::LETTER, Layout::for_steps(steps), "d", 1)
            {
                for part in &page.parts {
                    let tree = roxmltree::Document::parse(&part.svg).expect("a picture");
                    let root = tree.root_element();
                    let size = |n: &str| -> f64 {
                        root.attribute(n).unwrap().trim_end_matches("mm").parse().unwrap()
                    };
                    let right = part.at[0] + size("width");
                    let bottom = part.at[1] + size("height");
                    assert!(right < page.size[0] - 5.0, "{name}, {steps} a page: {right}");
                    assert!(bottom < page.size[1] - 4.0, "{name}, {steps} a page: {bottom}");
                }
            }
        }
    }
}

#[test]
fn the_screen_page_loads_nothing_and_warns() {
    let text = text("scow");
    let plane = balanced(&text);
    let page = html::write(&lesson(&plane, &text));
    assert!(!page.contains("src=") && !page.contains("href=") && !page.contains("<script"));
    for caution in plumbfold_print::booklet::CAUTIONS {
        assert!(page.contains(caution), "{caution}");
    }
    // Ids on one page differ.
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|s| s.split('"').next()).collect();
    let mut single = ids.clone();
    single.sort_unstable();
    single.dedup();
    assert_eq!(single.len(), ids.len());
}
