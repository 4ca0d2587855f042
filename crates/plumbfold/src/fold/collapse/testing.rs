//! What the tests of all moves share: sheets, simple folds, and what must hold after any move.

use super::cut::Creased;
use super::{Call, Plan, collapse, vertex};
use crate::fold::layers::{Stack, first_crossing};
use crate::fold::state::{Assignment, Folded};
use crate::numeric::geom::{SheetPoint, TableLine, TablePoint, area};
use crate::paper::Stock;

pub fn sheet(width_m: f64, length_m: f64) -> Folded {
    Folded::new(&Stock::new(width_m, length_m, 0.08, None).unwrap())
}

/// ISO 216 A4.
pub fn a4() -> Folded {
    sheet(0.210, 0.297)
}

pub fn on_sheet(x: f64, y: f64) -> SheetPoint {
    SheetPoint::new(x, y)
}

pub fn line(a: (f64, f64), b: (f64, f64)) -> TableLine {
    TableLine::through(TablePoint::new(a.0, a.1), TablePoint::new(b.0, b.1)).unwrap()
}

pub fn call(name: &str) -> Call {
    Call { name: Some(name.to_owned()), ..Call::default() }
}

/// All layers on the left of a line folded over, towards the folder or away.
pub fn simple_fold(model: &Folded, along: &TableLine, valley: bool, name: &str) -> Folded {
    let mut creased = Creased::new(model);
    creased.along(along, |_| true, &call(name)).unwrap();
    let moves = |f: usize| along.side(creased.middle(f)) > 0.0;
    let m = &creased.model;
    let holding = (0..m.faces.len()).find(|&f| !moves(f)).unwrap();
    let mut plan = Plan::rest(m, holding);
    for (i, h) in m.hinges.iter().enumerate() {
        plan.folded[i] ^= moves(h.faces[0]) != moves(h.faces[1]);
    }
    let staying = m.order.iter().copied().filter(|&f| !moves(f));
    let moved = m.order.iter().rev().copied().filter(|&f| moves(f));
    plan.stack =
        if valley { staying.chain(moved).collect() } else { moved.chain(staying).collect() };
    let done = collapse(m, &plan, 1).unwrap().model;
    assert_eq!(done.order, plan.stack);
    sound(&done);
    done
}

/// Creases all layers along a line and moves nothing.
pub fn crease(model: &Folded, along: &TableLine, name: &str) -> Folded {
    let mut creased = Creased::new(model);
    creased.along(along, |_| true, &call(name)).unwrap();
    creased.model
}

/// What every folded model keeps: its area, its hinges, closed vertices, mountains and valleys
/// that differ by two (Maekawa-Justin), and layers that do not cross.
pub fn sound(model: &Folded) {
    let total: f64 = model.faces.iter().map(|f| area(&f.polygon)).sum();
    let [w, l] = model.sheet_m;
    assert!((total - w * l).abs() < 1e-12, "area {total}");
    for h in &model.hinges {
        for p in h.ends {
            let [a, b] = h.faces.map(|f| model.faces[f].placement.apply(p));
            assert!(a.near(b), "a hinge gapes by {} m", a.distance(b));
        }
    }
    let folded: Vec<bool> = model.hinges.iter().map(|h| model.is_folded(h)).collect();
    assert_eq!(vertex::worst(model, &folded), None);
    let ranks = model.ranks();
    for end in model.hinges.iter().flat_map(|h| h.ends) {
        let [x, y] = [end.x, end.y];
        if x < 1e-9 || y < 1e-9 || x > w - 1e-9 || y > l - 1e-9 {
            continue;
        }
        let here = model.hinges.iter().filter(|h| h.ends.contains(&end));
        let states: Vec<_> = here.map(|h| model.assignment(h, &ranks)).collect();
        let count = |a| states.iter().filter(|&&s| s == a).count();
        let (m, v) = (count(Assignment::Mountain), count(Assignment::Valley));
        assert!(m + v == 0 || m.abs_diff(v) == 2, "{m} mountains, {v} valleys at {end:?}");
    }
    assert_eq!(first_crossing(&Stack::of(model), &model.order), None);
}

/// Where the named place of the paper lies on the table, mm.
pub fn lies_at(model: &Folded, x: f64, y: f64) -> (f64, f64) {
    let p = model.on_table(on_sheet(x, y)).unwrap();
    (p.x * 1e3, p.y * 1e3)
}

/// The faces over a place on the table, from the table upwards.
pub fn layers_at(model: &Folded, x: f64, y: f64) -> Vec<usize> {
    let p = TablePoint::new(x, y);
    let holds = |f: &usize| {
        let o = model.table_polygon(*f);
        (0..o.len()).all(|i| TableLine::through(o[i], o[(i + 1) % o.len()]).unwrap().side(p) > 0.0)
    };
    model.order.iter().copied().filter(holds).collect()
}
