//! A folder's hands for the tests: simple folds of all layers, enough to make a dart.

use nalgebra::{Isometry3, Translation3, UnitQuaternion, Vector3};
use plumbfold::fold::state::{Crease, Face, Folded, Hinge};
use plumbfold::numeric::geom::{Line, Placement, SheetPoint, TableLine, TablePoint, clip_left};
use plumbfold::plane::airframe::{Airframe, Lamina, Panel, PanelKind, PointMass};

/// A flat sheet.
pub fn sheet(width_m: f64, length_m: f64) -> Folded {
    let polygon = [(0.0, 0.0), (width_m, 0.0), (width_m, length_m), (0.0, length_m)]
        .map(|(x, y)| SheetPoint::new(x, y))
        .into_iter()
        .collect();
    Folded {
        faces: vec![Face {
            polygon,
            placement: Placement::IDENTITY,
            moved_half: false,
            shift: Default::default(),
        }],
        hinges: Vec::new(),
        creases: Vec::new(),
        order: vec![0],
        sheet_m: [width_m, length_m],
        printed_down: false,
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
    out.creases.push(Crease::made_by(crease));
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
            out.faces.push(Face {
                polygon,
                placement,
                moved_half: moving,
                shift: Default::default(),
            });
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

/// The folds of a narrow dart from an A4 sheet, and whether the paper is turned or only creased.
pub fn dart_folds() -> Vec<(TableLine, bool)> {
    let (w, h) = (210.0, 297.0);
    let k = h - 105.0 / (22.5_f64).to_radians().tan();
    vec![
        (line([105.0, 0.0], [105.0, h]), false),
        // Top corners to the centre line: 45 degrees from the top middle.
        (line([0.0, 192.0], [105.0, h]), true),
        (line([105.0, h], [w, 192.0]), true),
        (line([0.0, k], [105.0, h]), true),
        (line([105.0, h], [w, k]), true),
    ]
}

/// The sheet and the model after each of [`dart_folds`].
pub fn dart_states() -> Vec<Folded> {
    let mut states = vec![sheet(0.21, 0.297)];
    for (line, turn) in dart_folds() {
        let next = fold(states.last().expect("never empty"), &line, turn);
        states.push(next);
    }
    states
}

/// A dart in the air: keel 20 mm deep, wings with some dihedral and a double front, winglets.
pub fn glider() -> Airframe {
    let lamina = |polygon: &[[f64; 2]], height: f64| Lamina {
        polygon: polygon.iter().map(|p| p.map(|x| x * 1e-3)).collect(),
        height_m: height * 1e-3,
        areal_mass_kg_m2: 0.08,
        thickness_m: 1e-4,
    };
    let mut panels = Vec::new();
    for side in [1.0, -1.0] {
        let mirror = |p: &[[f64; 2]]| -> Vec<[f64; 2]> {
            let mut q: Vec<[f64; 2]> = p.iter().map(|&[u, v]| [u, v * side]).collect();
            if side < 0.0 {
                // The panel's w axis points up, against the datum's z: u forward, v to the left.
                q.reverse();
            }
            q.iter().map(|&[u, v]| [u, -v]).collect()
        };
        let wing = [[0.0, 0.0], [-250.0, 0.0], [-250.0, 75.0], [-200.0, 75.0]];
        let front = [[0.0, 0.0], [-120.0, 0.0], [-200.0, 75.0]];
        let tilt = |roll: f64, y: f64, z: f64| {
            Isometry3::from_parts(
                Translation3::new(0.0, y * 1e-3, z * 1e-3),
                UnitQuaternion::from_euler_angles(std::f64::consts::PI + roll, 0.0, 0.0),
            )
        };
        let dihedral = (10.0_f64).to_radians() * -side;
        panels.push(Panel {
            name: "wing".into(),
            kind: PanelKind::Wing,
            placement: tilt(dihedral, 1.5 * side, -20.0),
            laminae: vec![lamina(&mirror(&wing), 0.0), lamina(&mirror(&front), 0.2)],
        });
        let (y, z) = (75.0 * dihedral.cos() + 1.5, -20.0 - 75.0 * dihedral.abs().sin());
        let winglet = [[-200.0, 0.0], [-250.0, 0.0], [-250.0, 14.0], [-212.0, 14.0]];
        panels.push(Panel {
            name: "winglet".into(),
            kind: PanelKind::Fin,
            placement: tilt(dihedral * 8.0, y * side, z),
            laminae: vec![lamina(&mirror(&winglet), 0.0)],
        });
        let keel = [[0.0, 0.0], [-250.0, 0.0], [-250.0, 20.0], [-60.0, 20.0]];
        panels.push(Panel {
            name: "body".into(),
            kind: PanelKind::Keel,
            placement: tilt((-86.0_f64).to_radians() * -side, 1.5 * side, -20.0),
            laminae: vec![lamina(&mirror(&keel), 0.0), lamina(&mirror(&keel), 0.1)],
        });
    }
    Airframe {
        name: "Marlinspike".into(),
        panels,
        point_masses: vec![PointMass {
            name: "clip".into(),
            mass_kg: 4e-4,
            at: Vector3::new(-0.06, 0.0, -0.01),
        }],
        trims: vec![],
        measured: None,
        crease_layers_max: 4,
    }
}
