//! The sheet and the folded model, measured in the finished SVG.

use plumbfold::fold::state::Assignment;
use plumbfold_draw::fit::Size;
use plumbfold_draw::style::Look;
use plumbfold_draw::{folded, paper, sheet};
use resvg::usvg::roxmltree::Document;

use crate::support;

/// Corners of a straight-sided path, mm.
fn corners(d: &str) -> Vec<[f64; 2]> {
    let numbers: Vec<f64> = d
        .split(|c: char| c.is_alphabetic() || c == ' ')
        .filter(|s| !s.is_empty())
        .map(|s| s.parse().unwrap())
        .collect();
    numbers.chunks(2).map(|p| [p[0], p[1]]).collect()
}

fn lengths(svg: &str, class: &str) -> Vec<f64> {
    let doc = Document::parse(svg).unwrap();
    let mut out: Vec<f64> = doc
        .descendants()
        .filter(|n| n.attribute("class") == Some(class))
        .map(|n| {
            let p = corners(n.attribute("d").unwrap());
            (p[1][0] - p[0][0]).hypot(p[1][1] - p[0][1])
        })
        .collect();
    out.sort_by(f64::total_cmp);
    out
}

#[test]
fn a_full_size_sheet_measures_what_the_paper_measures() {
    let dart = support::dart_states().pop().unwrap();
    let svg = sheet::sheet(&Look::light("t"), "Dart", &dart, Size::Full);
    let doc = Document::parse(&svg).unwrap();
    let root = doc.root_element();
    // ISO 216:2007, A4: 210 mm by 297 mm.
    assert_eq!(root.attribute("width"), Some("210mm"));
    assert_eq!(root.attribute("height"), Some("297mm"));
    assert_eq!(root.attribute("viewBox"), Some("0 0 210 297"));
    for (class, state) in [("valley", Assignment::Valley), ("mountain", Assignment::Mountain)] {
        let drawn = lengths(&svg, class);
        let mut want: Vec<f64> = paper::crease_runs(&dart)
            .iter()
            .filter(|r| r.state == state)
            .map(|r| r.ends[0].distance(r.ends[1]) * 1e3)
            .collect();
        want.sort_by(f64::total_cmp);
        assert!(!want.is_empty(), "no {class} crease to measure");
        assert_eq!(drawn.len(), want.len(), "{class}");
        // Two ends, each rounded to a micrometre.
        assert!(drawn.iter().zip(&want).all(|(a, b)| (a - b).abs() < 2e-3), "{drawn:?} {want:?}");
    }
    // The first valley folds of a dart from A4 run at 45 degrees from the middle of the top edge.
    let forty_five = 105.0 * std::f64::consts::SQRT_2;
    assert!(lengths(&svg, "valley").iter().any(|l| (l - forty_five).abs() < 2e-3));
    assert!((lengths(&svg, "ruler-100-mm")[0] - 100.0).abs() < 1e-9);
}

#[test]
fn existing_creases_do_not_touch_the_edges() {
    let dart = support::dart_states().pop().unwrap();
    let svg = sheet::sheet(&Look::light("t"), "Dart", &dart, Size::Full);
    let doc = Document::parse(&svg).unwrap();
    for crease in doc.descendants().filter(|n| n.attribute("class") == Some("crease")) {
        for [x, y] in corners(crease.attribute("d").unwrap()) {
            let gap = x.min(210.0 - x).min(y).min(297.0 - y);
            assert!(gap > 1.0, "{x} {y}");
        }
    }
}

#[test]
fn a_full_size_folded_model_shows_its_outline_at_full_size() {
    let dart = support::dart_states().pop().unwrap();
    let svg = folded::folded(&Look::light("t"), "Dart", &dart, Size::Full);
    let doc = Document::parse(&svg).unwrap();
    let paper =
        doc.descendants().filter(|n| matches!(n.attribute("class"), Some("printed" | "plain")));
    let all: Vec<[f64; 2]> = paper.flat_map(|n| corners(n.attribute("d").unwrap())).collect();
    let extent = |k: usize| {
        let v = all.iter().map(|p| p[k]);
        v.clone().fold(f64::MIN, f64::max) - v.fold(f64::MAX, f64::min)
    };
    assert!((extent(0) - 210.0).abs() < 2e-3, "{}", extent(0));
    assert!((extent(1) - 297.0).abs() < 2e-3, "{}", extent(1));
}

#[test]
fn pictures_name_themselves_for_screen_readers() {
    let dart = support::dart_states().pop().unwrap();
    for look in [Look::light("t"), Look::dark("t"), Look::page("t")] {
        let svg = folded::layers(&look, "Dart", &dart, Size::Within([100.0, 100.0]));
        let doc = Document::parse(&svg).unwrap();
        let root = doc.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        for id in root.attribute("aria-labelledby").unwrap().split(' ') {
            let named = doc.descendants().find(|n| n.attribute("id") == Some(id));
            assert!(named.and_then(|n| n.text()).is_some_and(|t| !t.is_empty()), "{id}");
        }
        // Nothing a strict content security policy would drop.
        assert!(!svg.contains("style=") && !svg.contains("<style"), "{look:?}");
    }
}

#[test]
fn a_thumbnail_is_what_it_was() {
    let dart = support::dart_states().pop().unwrap();
    insta::assert_snapshot!(folded::thumbnail(&Look::light("t"), "Dart", &dart, [30.0, 30.0]));
}
