//! Collapses folded from text: each reaches its move and keeps every rule.

use super::{fold, sound};
use crate::fold::state::Folded;
use crate::numeric::geom::SheetPoint;

fn folded(sheet: &str, text: &str) -> Folded {
    let run = fold(&format!("sheet {sheet}\ncreep off\n{text}"), &[]);
    sound(&run.folded);
    (*run.folded).clone()
}

fn lies(model: &Folded, x: f64, y: f64) -> (f64, f64) {
    let p = model.on_table(SheetPoint::new(x * 1e-3, y * 1e-3)).unwrap();
    ((p.x * 1e9).round() / 1e6, (p.y * 1e9).round() / 1e6)
}

#[test]
fn waterbomb_base_brings_the_corners_down() {
    let model = folded("200 mm by 300 mm", "waterbomb base on top square, call it base");
    assert_eq!(lies(&model, 0.0, 300.0), lies(&model, 0.0, 100.0));
    assert_eq!(lies(&model, 200.0, 300.0), lies(&model, 200.0, 100.0));
    assert!(!model.creases_named("base").is_empty());
}

#[test]
fn creases_collapse_by_name() {
    // The same base from creases made one by one.
    let model = folded(
        "square 200 mm",
        "crease through top left corner and bottom right corner, call it falling\n\
         crease through bottom left corner and top right corner, call it rising\n\
         crease top edge onto bottom edge, call it across\n\
         collapse falling valley, rising valley, across mountain",
    );
    assert_eq!(lies(&model, 0.0, 200.0), lies(&model, 0.0, 0.0));
    assert_eq!(lies(&model, 200.0, 200.0), lies(&model, 200.0, 0.0));
}

#[test]
fn a_collapse_tells_how_many_layers_it_bends() {
    // Either slanted side of a waterbomb base is two folded edges, one on the other, and a tail
    // reversed between two halves is creased through both; the halves were bent one by one.
    let layers = |sheet: &str, text: &str| {
        let run = fold(&format!("sheet {sheet}\n{text}"), &[]);
        run.steps.iter().map(|s| s.layers_bent).collect::<Vec<_>>()
    };
    assert_eq!(layers("square 200 mm", "waterbomb base"), [2]);
    let tail = "valley left edge onto right edge, call it centre\n\
        inside reverse bottom middle through (100 mm, 60 mm) and (60 mm, 0 mm)";
    assert_eq!(layers("200 mm by 300 mm", tail), [1, 2]);
    let base_by_name = "crease through top left corner and bottom right corner, call it falling\n\
        crease through bottom left corner and top right corner, call it rising\n\
        crease top edge onto bottom edge, call it across\n\
        collapse falling valley, rising valley, across mountain";
    assert_eq!(layers("square 200 mm", base_by_name), [0, 0, 0, 2]);
}

#[test]
fn inside_reverse_turns_a_tail_up() {
    let model = folded(
        "200 mm by 300 mm",
        "crease left edge onto right edge, call it centre\nmountain along centre\n\
         mark root = 60 mm along centre from bottom middle\n\
         mark heel = 40 mm along bottom edge from bottom middle\n\
         inside reverse bottom middle through root and heel",
    );
    // The corner of the keel has turned to the other side of the line, between the halves.
    let (x, y) = lies(&model, 100.0, 0.0);
    assert!((x, y) != (100.0, 0.0));
    let ranks = model.ranks();
    let tip = model.faces_at(SheetPoint::new(0.1, 1e-5)).next().unwrap();
    assert!(0 < ranks[tip] && ranks[tip] < model.faces.len() - 1);
}

#[test]
fn unfolding_a_collapse_opens_it() {
    let model = folded("square 200 mm", "preliminary base\nunfold");
    assert!(model.hinges.iter().all(|h| !model.is_folded(h)));
    assert_eq!(lies(&model, 0.0, 200.0), (0.0, 200.0));
}

#[test]
fn a_tuck_locks_under_a_flap() {
    let model = folded(
        "200 mm by 300 mm",
        "valley parallel to left edge, 90 mm from it, moving left edge\n\
         tuck bottom right corner under bottom left corner parallel to right edge, \
         30 mm from it",
    );
    let ranks = model.ranks();
    let rank = |x: f64| ranks[model.faces_at(SheetPoint::new(x, 0.15)).next().unwrap()];
    assert!(rank(0.1) < rank(0.199) && rank(0.199) < rank(0.001));
}
