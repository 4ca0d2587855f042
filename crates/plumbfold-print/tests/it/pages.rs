//! Pages: what stands on them, and that all of it does.

use plumbfold::design::ast::FoldVerb;
use plumbfold::fold::exec::StepKind;
use plumbfold::pipeline::{self, Balanced, ThrowChange};
use plumbfold::verdict::aircraft::Conditions;
use plumbfold_draw::steps::Pair;
use plumbfold_draw::units::Units;
use plumbfold_print::booklet::{CAUTIONS, Layout, Lesson};
use plumbfold_print::page::{Page, Paper};
use plumbfold_print::{card, collection, html, pdf};

use crate::reader;
use crate::support::{balanced, lesson, shipped, text};

#[test]
fn pages_are_filled() {
    // On a page of steps, the last of a design apart, what stands lowest ends in its lower half.
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        let pages = lesson(&plane, &text).pages(Paper::A4, Layout::for_steps(4), "d", 1);
        for (i, page) in pages.iter().enumerate() {
            let lowest = page.parts.iter().map(|part| {
                let tree = roxmltree::Document::parse(&part.svg).expect("a picture");
                let height = tree.root_element().attribute("height").unwrap();
                part.at[1] + height.trim_end_matches("mm").parse::<f64>().unwrap()
            });
            let foot = page.size[1] - 15.0;
            let lowest = lowest.filter(|y| *y < foot).fold(0.0, f64::max);
            assert!(lowest > 0.6 * page.size[1], "{name}, page {}: {lowest} mm", i + 1);
        }
    }
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
        let led: Vec<usize> = pages.iter().flat_map(|p| p.links.iter().map(|l| l.1)).collect();
        let designs = &begins[begins.len() - lessons.len()..];
        assert_eq!(led, designs, "each entry leads to the page its design begins on");
        // Who copies one plane's pages has the cautions with them.
        let with = pages.iter().filter(|p| words_on(p).contains("Eyes first")).count();
        assert_eq!(with, lessons.len());
        let read = reader::pages(&pdf::write("all", &pages).expect("pages"));
        assert_eq!(read.len(), pages.len());
        for page in read {
            let [w, h] = paper.size.map(|mm| mm * 72.0 / 25.4);
            assert!((page.size[0] - w).abs() < 0.01 && (page.size[1] - h).abs() < 0.01);
        }
    }
}

/// All that is written on a page.
fn words_on(page: &Page) -> String {
    let mut out = String::new();
    for part in &page.parts {
        let tree = roxmltree::Document::parse(&part.svg).expect("a picture");
        let texts = tree.descendants().filter(|n| n.has_tag_name("text"));
        for text in texts.filter_map(|n| n.text()) {
            out += text;
            out.push(' ');
        }
    }
    out
}

/// All but the foot and the number stands between the margins, and nothing runs over the foot.
fn assert_inside(page: &Page, what: &str) {
    let content = &page.parts[..page.parts.len() - 2];
    for part in content {
        let tree = roxmltree::Document::parse(&part.svg).expect("a picture");
        let root = tree.root_element();
        let size =
            |n: &str| -> f64 { root.attribute(n).unwrap().trim_end_matches("mm").parse().unwrap() };
        let (right, bottom) = (part.at[0] + size("width"), part.at[1] + size("height"));
        assert!(right < page.size[0] - 5.0, "{what}: right edge at {right}");
        // A millimetre below the last line belongs to its picture.
        assert!(bottom < page.size[1] - 12.5, "{what}: lower edge at {bottom}");
        // Lines too: none is wider than its picture.
        for text in tree.descendants().filter(|n| n.has_tag_name("text")) {
            let number = |n: &str| text.attribute(n).and_then(|v| v.parse::<f64>().ok());
            let (Some(x), Some(y)) = (number("x"), number("y")) else { continue };
            assert!(x < size("width") && y < size("height") + 0.1, "{what}: {:?}", text.text());
        }
    }
}

#[test]
fn nothing_written_leaves_the_page() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        for paper in [Paper::A4, Paper::LETTER] {
            for steps in 2..=9 {
                let layout = Layout::for_steps(steps);
                for page in lesson(&plane, &text).pages(paper, layout, "d", 1) {
                    assert_inside(&page, &format!("{name}, {steps} a page on {}", paper.name));
                }
            }
        }
    }
}

/// A dart with a long name, many weights and many marks.
fn overfull() -> String {
    let name = "The Extraordinarily Long-Named Harbour Demonstration Glider Number Twenty-Seven ";
    let marks = (0..60).map(|i| format!("mark m{i} = {} mm along left edge\n", 20 + 4 * i));
    let creases = (0..20).map(|i| format!("crease perpendicular to left edge through m{i}\n"));
    let weights = (0..40)
        .map(|i| format!("ballast tape 0.02 g at {} mm behind nose, 5 mm above keel\n", 30 + i));
    format!(
        "plane {}{}\nsheet A4 upright, 20 lb bond\n{}{}\
         crease left edge onto right edge, call it centre\nmountain along centre\n\
         valley near half parallel to centre, 22 mm from it, both sides, call it wing\n\
         pose centre opens 8 deg, wing dihedral 8 deg\n{}\
         throw 4 m/s, up 5 deg, from 1.6 m, banked 2 deg left\n",
        name.repeat(2),
        "Bovenbramsteunzeilschootrechterhoekpunt".repeat(3),
        marks.collect::<String>(),
        creases.collect::<String>(),
        weights.collect::<String>()
    )
}

#[test]
fn long_names_and_long_lists_go_on_with_the_next_page() {
    let text = overfull();
    let plane = balanced(&text);
    for steps in 2..=9 {
        let pages = lesson(&plane, &text).pages(Paper::A4, Layout::for_steps(steps), "d", 1);
        for (i, page) in pages.iter().enumerate() {
            assert_inside(page, &format!("{steps} a page, page {}", i + 1));
        }
        let said: String = pages.iter().map(words_on).collect();
        // Nothing is lost: the last of the weights, the last caution.
        assert!(said.contains("69 mm behind the nose") && said.contains("come first"), "{said}");
        assert_eq!(
            said.matches("hit harder").count(),
            2,
            "once for all weights, once for all planes"
        );
    }
    let two = [lesson(&plane, &text), lesson(&plane, &text)];
    for page in collection::pages(&two, Paper::LETTER, Layout::for_steps(6)) {
        assert_inside(&page, "booklet");
    }
    let conditions = Conditions { draws: 8, ..Conditions::default() };
    let analysed = pipeline::analyse_balanced(plane.clone(), &ThrowChange::default(), &conditions);
    let analysed = analysed.unwrap_or_else(|e| panic!("{e}"));
    let reasons = analysed.reasons(&conditions);
    for paper in [Paper::A4, Paper::LETTER] {
        let card = card::page(&analysed, &reasons, paper, Units::Inch);
        assert_inside(&card, paper.name);
        let said = words_on(&card);
        assert!(said.contains("Throw one at a time") && said.contains("what it did"), "{said}");
        assert!(said.contains("the left wing 2° low") && said.contains("20 lb bond"), "{said}");
    }
}

#[test]
fn the_screen_page_loads_nothing_and_warns() {
    let text = text("scow");
    let plane = balanced(&text);
    let page = html::write(&lesson(&plane, &text));
    assert!(!page.contains("src=") && !page.contains("href=") && !page.contains("<script"));
    for caution in CAUTIONS {
        assert!(page.contains(caution), "{caution}");
    }
    // Ids on one page differ.
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|s| s.split('"').next()).collect();
    let mut single = ids.clone();
    single.sort_unstable();
    single.dedup();
    assert_eq!(single.len(), ids.len());
}

#[test]
fn paper_keeps_its_size_within_a_step() {
    for name in shipped() {
        let text = text(&name);
        let plane = balanced(&text);
        let lesson = lesson(&plane, &text);
        for (shown, record) in lesson.shown.iter().zip(&lesson.folded.run.steps) {
            let pair = Pair::within(shown, &record.after, [90.0, 60.0]);
            let [before, after] = pair.sizes;
            assert!(before[0] + after[0] < 90.0 + 1e-9, "{name}: {pair:?}");
            assert!(before[1] < 60.0 + 1e-9 && before[1] == after[1], "{name}: {pair:?}");
            // A sheet that is only creased is as wide after the step as before.
            if record.kind == StepKind::Fold(FoldVerb::Crease) && shown.folds.len() == 1 {
                assert!((before[0] - after[0]).abs() < 1e-9, "{name}: {pair:?}");
            }
        }
    }
}

#[test]
fn the_screen_page_can_be_read_on_a_phone() {
    // 390 dots wide, of which 350 are left beside the margins; a dot is 1/96 in (CSS Values and Units
    // 3, 6.2). Pictures with writing are no wider, or their letters would shrink.
    for name in ["halyard", "gaff"] {
        let text = text(name);
        let plane = balanced(&text);
        let page = html::write(&lesson(&plane, &text));
        for svg in page.split("<svg").skip(1).map(|s| s.split("</svg>").next().unwrap_or(s)) {
            let width = svg.split("width=\"").nth(1).and_then(|s| s.split("mm\"").next());
            let width: f64 = width.and_then(|w| w.parse().ok()).expect("a width");
            assert!(
                !svg.contains("<text") || width <= 350.0 * 25.4 / 96.0 + 1e-6,
                "{name}: {width}"
            );
        }
    }
}
