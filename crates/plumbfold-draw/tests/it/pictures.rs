//! What holds for every picture, and the planform cut measured in the finished SVG.

use std::collections::HashSet;
use std::sync::Arc;

use plumbfold_draw::fit::Size;
use plumbfold_draw::split::{BalanceMarks, split};
use plumbfold_draw::style::Look;
use plumbfold_draw::text;
use resvg::usvg::{self, roxmltree::Document};

use crate::{samples, support};

fn options() -> usvg::Options<'static> {
    let mut options =
        usvg::Options { font_family: text::FONT_FAMILY.to_owned(), ..Default::default() };
    for font in text::FONTS {
        Arc::make_mut(&mut options.fontdb).load_font_data(font.to_vec());
    }
    options
}

#[test]
fn every_picture_is_valid_and_stays_on_its_canvas() {
    let options = options();
    for (name, draw) in samples::pictures() {
        for look in [Look::light(&name), Look::dark(&name)] {
            let svg = draw(&look);
            let tree = usvg::Tree::from_str(&svg, &options).unwrap();
            let (b, size) = (tree.root().abs_stroke_bounding_box(), tree.size());
            // Half a pixel for the strokes of frames drawn on the edge of a full-size sheet.
            let ok = b.left() >= -1.0
                && b.top() >= -1.0
                && b.right() <= size.width() + 1.0
                && b.bottom() <= size.height() + 1.0;
            assert!(ok, "{name} runs off its canvas {size:?}: {b:?}");
        }
        let page = draw(&Look::page(&name));
        assert!(!page.contains("\"#"), "{name} has a colour the page cannot change");
    }
}

#[test]
fn ids_are_unique_and_carry_the_prefix() {
    for (name, draw) in samples::pictures() {
        let svg = draw(&Look::page("somewhere"));
        let doc = Document::parse(&svg).unwrap();
        let ids: Vec<&str> = doc.descendants().filter_map(|n| n.attribute("id")).collect();
        let different: HashSet<&&str> = ids.iter().collect();
        assert_eq!(ids.len(), different.len(), "{name}: {ids:?}");
        assert!(ids.iter().all(|id| id.starts_with("somewhere-")), "{name}: {ids:?}");
    }
}

#[test]
fn the_same_data_give_the_same_text() {
    for ((name, a), (_, b)) in samples::pictures().into_iter().zip(samples::pictures()) {
        assert_eq!(a(&Look::light("x")), b(&Look::light("x")), "{name}");
    }
}

/// Area of a path of closed straight-sided outlines, mm2.
fn area(d: &str) -> f64 {
    d.split('Z')
        .filter(|s| !s.is_empty())
        .map(|outline| {
            let n: Vec<f64> = outline
                .split(|c: char| c.is_alphabetic() || c == ' ')
                .filter(|s| !s.is_empty())
                .map(|s| s.parse().unwrap())
                .collect();
            let p: Vec<[f64; 2]> = n.chunks(2).map(|p| [p[0], p[1]]).collect();
            let cross = |i: usize| {
                let (a, b) = (p[i], p[(i + 1) % p.len()]);
                a[0] * b[1] - a[1] * b[0]
            };
            (0..p.len()).map(cross).sum::<f64>().abs() / 2.0
        })
        .sum()
}

#[test]
fn the_cut_planform_shows_the_shares_it_writes() {
    let planform = plumbfold::plane::planform::planform(&support::glider()).unwrap();
    let marks = BalanceMarks { cg_behind_nose_m: 0.1, neutral_behind_nose_m: None };
    let svg = split(&Look::light("t"), "Dart", &planform, marks, Size::Full);
    let doc = Document::parse(&svg).unwrap();
    let find = |class: &str| {
        let node = doc.descendants().find(|n| n.attribute("class") == Some(class));
        node.and_then(|n| n.attribute("d")).unwrap()
    };
    let (ahead, behind) = (area(find("area-ahead")), area(find("area-behind")));
    // Full size: square millimetres on the picture are square millimetres of wing.
    let whole = planform.area_m2 * 1e6;
    assert!((ahead + behind - whole).abs() < 1e-4 * whole, "{ahead} {behind} {whole}");
    let share = planform.fraction_ahead(0.1);
    assert!((ahead / whole - share).abs() < 1e-4, "{} {share}", ahead / whole);
    assert!(svg.contains(&text::percent(share)), "the share is written in");
    // The dark quarter of the chord bar ends where the quarter chord is.
    let quarter = area(find("mac")) / 2.2;
    assert!((quarter - planform.mac_m * 250.0).abs() < 0.02, "{quarter}");
}

#[test]
fn a_step_is_drawn_as_it_was() {
    let states = support::dart_states();
    let (line, _) = support::dart_folds()[1];
    let shown = plumbfold_draw::steps::StepShown {
        number: 2,
        says: "valley top left corner onto centre".to_owned(),
        before: &states[1],
        folds: vec![plumbfold_draw::steps::FoldShown {
            line,
            kind: plumbfold_draw::arrows::FoldArrow::Valley,
            moving: vec![],
        }],
        moves: plumbfold_draw::steps::MoveShown::default(),
        turn: None,
        places: Vec::new(),
        apart: 0.0,
    };
    let pair = plumbfold_draw::steps::Pair::within(&shown, &states[2], [60.0, 30.0]);
    insta::assert_snapshot!(pair.before(&Look::page("s"), &shown));
}
