//! A folder's hands for the tests: simple folds of all layers, enough to make a dart.

use plumbfold::fold::state::{Crease, Face, Folded, Hinge};
use plumbfold::geom::{Line, Placement, SheetPoint, TableLine, TablePoint, clip_left};

/// A flat sheet.
pub fn sheet(width_m: f64, length_m: f64) -> Folded {
    let polygon = [(0.0, 0.0), (width_m, 0.0), (width_m, length_m), (0.0, length_m)]
        .map(|(x, y)| SheetPoint::new(x, y))
        .to_vec();
    Folded {
        faces: vec![Face { polygon, placement: Placement::IDENTITY, moved_half: false }],
        hinges: Vec::new(),
        creases: Vec::new(),
        order: vec![0],
        sheet_m: [width_m, length_m],
    }
}

/// The table line through two places, mm.
pub fn line(a: [f64; 2], b: [f64; 2]) -> TableLine {
    let p = |q: [f64; 2]| TablePoint::new(q[0] * 1e-3, q[1] * 1e-3);
    TableLine::through(p(a), p(b)).expect("two different places")
}

/// Valley fold of all layers: what lies left of the line comes over to the right, on top.
/// With `turn` false the paper is only creased.
pub fn fold(model: &Folded, l: &TableLine, turn: bool) -> Folded {
    let crease = model.creases.len();
    let mut out = Folded { faces: vec![], hinges: vec![], order: vec![], ..model.clone() };
    out.creases.push(Crease { name: None, mirrored: false, step: crease, bulge_m: 0.0 });
    let (mut stay, mut move_) = (vec![], vec![]);
    for &f in &model.order {
        let face = &model.faces[f];
        let table: Vec<TablePoint> =
            face.polygon.iter().map(|&p| face.placement.apply(p)).collect();
        for (side, moving) in [(*l, true), (l.reversed(), false)] {
            let part = clip_left(&table, &side);
            if part.len() < 3 {
                continue;
            }
            let placement =
                if moving && turn { face.placement.reflected(l) } else { face.placement };
            let polygon = part.iter().map(|&p| face.placement.unapply(p)).collect();
            let list = if moving && turn { &mut move_ } else { &mut stay };
            list.push(out.faces.len());
            out.faces.push(Face { polygon, placement, moved_half: moving });
        }
    }
    move_.reverse();
    out.order = stay;
    out.order.extend(move_);
    // Joints are found again from edges shared on the sheet.
    for i in 0..out.faces.len() {
        for j in 0..i {
            if let Some(ends) = shared(&out.faces[i].polygon, &out.faces[j].polygon) {
                let mid = ends[0].lerp(ends[1], 0.5);
                let known = model.hinges.iter().find(|h| {
                    let Some(l) = Line::through(h.ends[0], h.ends[1]) else { return false };
                    let s = l.along(mid);
                    l.side(mid).abs() < 1e-7 && s > 0.0 && s < h.ends[0].distance(h.ends[1])
                });
                let crease = known.map_or(crease, |h| h.crease);
                out.hinges.push(Hinge { faces: [i, j], ends, crease });
            }
        }
    }
    out
}

fn shared(a: &[SheetPoint], b: &[SheetPoint]) -> Option<[SheetPoint; 2]> {
    for i in 0..a.len() {
        let (p, q) = (a[i], a[(i + 1) % a.len()]);
        let l = Line::through(p, q)?;
        for j in 0..b.len() {
            let (r, s) = (b[j], b[(j + 1) % b.len()]);
            if l.side(r).abs() > 1e-7 || l.side(s).abs() > 1e-7 {
                continue;
            }
            let (from, to) = (l.along(s).max(0.0), l.along(r).min(p.distance(q)));
            if to - from > 1e-6 {
                return Some([l.place(from), l.place(to)]);
            }
        }
    }
    None
}

/// Every state on the way to a narrow dart from an A4 sheet.
pub fn dart_states() -> Vec<Folded> {
    let (w, h) = (210.0, 297.0);
    let s0 = sheet(w * 1e-3, h * 1e-3);
    let mut states = vec![s0];
    let mut go = |l: TableLine, turn: bool| {
        let next = fold(states.last().expect("never empty"), &l, turn);
        states.push(next);
    };
    go(line([105.0, 0.0], [105.0, h]), false);
    // Top corners to the centre line: 45 degrees from the top middle.
    go(line([0.0, 192.0], [105.0, h]), true);
    go(line([105.0, h], [w, 192.0]), true);
    let k = 297.0 - 105.0 / (22.5_f64).to_radians().tan();
    go(line([0.0, k], [105.0, h]), true);
    go(line([105.0, h], [w, k]), true);
    states
}
