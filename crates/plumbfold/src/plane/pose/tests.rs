use crate::pipeline::{Balanced, Problems, Settings, balance};
use crate::plane::airframe::PanelKind;
use approx::assert_relative_eq;
use nalgebra::{Point3, Vector3};

fn plane(steps_and_pose: &str) -> Result<Balanced, Problems> {
    let text = format!("plane Test\nsheet 200 mm by 100 mm, 80 g/m2\ncreep off\n{steps_and_pose}");
    balance(&text, &Settings::default())
}

/// Corners of all layers of panels of a kind, layer heights left out, datum frame, mm.
fn corners(b: &Balanced, kind: PanelKind) -> Vec<[f64; 3]> {
    let panels = b.airframe.panels.iter().filter(|p| p.kind == kind);
    panels
        .flat_map(|p| {
            p.laminae.iter().flat_map(move |l| {
                l.polygon.iter().map(move |q| {
                    let at = p.placement * Point3::new(q[0], q[1], 0.0);
                    [at.x * 1e3, at.y * 1e3, at.z * 1e3]
                })
            })
        })
        .collect()
}

fn extent(corners: &[[f64; 3]], axis: usize) -> [f64; 2] {
    corners.iter().fold([f64::MAX, f64::MIN], |e, c| [e[0].min(c[axis]), e[1].max(c[axis])])
}

const KEELED: &str = "crease left edge onto right edge, call it centre\n\
    mountain along centre\n\
    valley near half parallel to centre, 20 mm from it, both sides, call it wing\n";

#[test]
fn a_flat_sheet() {
    let b = plane("pose flat\n").unwrap();
    assert_relative_eq!(b.mass.behind_nose_m(), 0.05, epsilon = 1e-12);
    assert_relative_eq!(b.mass.mass_kg, 0.08 * 0.02, epsilon = 1e-15);
    assert_relative_eq!(b.mass.cg_m.y, 0.0, epsilon = 1e-12);
    assert_relative_eq!(b.mass.above_keel_m(), 0.105e-3 / 2.0, epsilon = 1e-9);
    assert_relative_eq!(b.planform.area_m2, 0.02, epsilon = 1e-12);
    // Thin plate about its middle: m b^2 / 12 (any mechanics text).
    assert_relative_eq!(b.mass.inertia_kg_m2[(0, 0)], 1.6e-3 * 0.04 / 12.0, max_relative = 1e-6);
    assert_relative_eq!(b.mass.inertia_kg_m2[(1, 1)], 1.6e-3 * 0.01 / 12.0, max_relative = 1e-5);
}

#[test]
fn level_wings_on_a_shut_keel() {
    let b = plane(&format!("{KEELED}pose centre opens 0 deg, wing dihedral 0 deg\n")).unwrap();
    let wings = corners(&b, PanelKind::Wing);
    assert_relative_eq!(extent(&wings, 1)[0], -80.0, epsilon = 1e-9);
    assert_relative_eq!(extent(&wings, 1)[1], 80.0, epsilon = 1e-9);
    for k in 0..2 {
        assert_relative_eq!(extent(&wings, 2)[k], -20.0, epsilon = 1e-9);
    }
    assert_relative_eq!(b.planform.area_m2, 0.16 * 0.1, epsilon = 1e-12);
    let keel = corners(&b, PanelKind::Keel);
    assert_relative_eq!(extent(&keel, 2)[1], 0.0, epsilon = 1e-9);
    assert_relative_eq!(extent(&keel, 1)[0], 0.0, epsilon = 1e-9);
    assert_relative_eq!(b.mass.cg_m.y, 0.0, epsilon = 1e-12);
    // 80 % of the paper at 20 mm, 20 % at 10 mm on average; layers add a tenth of a millimetre.
    assert_relative_eq!(b.mass.above_keel_m(), 0.018, epsilon = 1e-4);
    assert_eq!(b.source.folded().unwrap().layers_max(), 4);
}

#[test]
fn an_open_keel_carries_the_wing_roots_out_and_down() {
    let b = plane(&format!("{KEELED}pose centre opens 60 deg, wing dihedral 10 deg\n")).unwrap();
    let wings = corners(&b, PanelKind::Wing);
    let (s, c) = 10f64.to_radians().sin_cos();
    // Root 20 mm up a side that leans out by 30 degrees; 80 mm of wing rising by 10.
    assert_relative_eq!(extent(&wings, 1)[1], 10.0 + 80.0 * c, epsilon = 1e-9);
    assert_relative_eq!(extent(&wings, 1)[0], -(10.0 + 80.0 * c), epsilon = 1e-9);
    let root = -20.0 * 30f64.to_radians().cos();
    assert_relative_eq!(extent(&wings, 2)[1], root, epsilon = 1e-9);
    assert_relative_eq!(extent(&wings, 2)[0], root - 80.0 * s, epsilon = 1e-9);
}

#[test]
fn valley_and_mountain_keels_fly_alike() {
    let pose = "pose centre opens 6 deg, wing dihedral 8 deg\n";
    let mountain = plane(&format!("{KEELED}{pose}")).unwrap();
    let valley = plane(&format!("{}{pose}", KEELED.replace("mountain", "valley"))).unwrap();
    assert_relative_eq!(mountain.planform.area_m2, valley.planform.area_m2, epsilon = 1e-12);
    assert_relative_eq!(mountain.mass.cg_m, valley.mass.cg_m, epsilon = 1e-12);
    assert_relative_eq!(mountain.mass.inertia_kg_m2, valley.mass.inertia_kg_m2, epsilon = 1e-15);
    let [xy, yz] = [(0, 1), (1, 2)].map(|k| mountain.mass.inertia_kg_m2[k].abs());
    assert!(xy < 1e-15 && yz < 1e-15, "symmetric planes have no lateral products: {xy} {yz}");
}

#[test]
fn winglets_stand_on_the_wing() {
    let steps = format!(
        "{KEELED}crease parallel to left edge, 10 mm from it, moving left edge, both sides, \
         call it winglet\n\
         pose centre opens 0 deg, wing dihedral 0 deg, winglet up 90 deg\n"
    );
    // Creased before the keel is folded, as one lies flat best.
    let mut lines: Vec<&str> = steps.lines().collect();
    lines.swap(1, 3);
    lines.swap(2, 3);
    let b = plane(&(lines.join("\n") + "\n")).unwrap();
    let fins = corners(&b, PanelKind::Fin);
    assert_relative_eq!(extent(&fins, 1)[1], 70.0, epsilon = 1e-9);
    assert_relative_eq!(extent(&fins, 2)[0], -30.0, epsilon = 1e-9);
    assert_relative_eq!(extent(&corners(&b, PanelKind::Wing), 1)[1], 70.0, epsilon = 1e-9);
}

fn first_message(result: Result<Balanced, Problems>) -> (String, Option<String>) {
    let d = result.expect_err("this pose cannot be taken").diagnostics.swap_remove(0);
    (d.message, d.help)
}

#[test]
fn poses_that_cannot_be_taken() {
    let (message, help) =
        first_message(plane(&format!("{KEELED}pose centre opens 0 deg, wimg dihedral 0 deg\n")));
    assert!(message.contains("wimg") && help.unwrap().contains("`wing`"), "{message}");
    let (message, _) = first_message(plane(&format!("{KEELED}pose wing dihedral 0 deg\n")));
    assert!(message.contains("keel"), "{message}");
}

/// A band folded down, corners folded in over it, and wings creased from the nose itself: the band
/// leaves a scrap of keel that hangs on the wing alone.
const FROM_THE_NOSE: &str = "sheet A4 upright\ncreep off\n\
    crease left edge onto right edge, call it centre\n\
    valley top edge over by 13 mm\n\
    valley (0 mm, 284 mm) onto centre, hinged at (105 mm, 284 mm), both sides\n\
    mountain along centre\n\
    valley near half through (119 mm, 0 mm) and (105 mm, 284 mm), both sides, call it wing\n";

#[test]
fn paper_on_one_side_of_a_crease_moves_as_one() {
    for opens in [0, 8] {
        let pose = format!("pose centre opens {opens} deg, wing dihedral 5 deg\n");
        let b = balance(&format!("{FROM_THE_NOSE}{pose}"), &Settings::default()).unwrap();
        let bent = b.source.folded().unwrap().warnings.len();
        assert_eq!(bent, 0, "paper need not bend at {opens} deg");
        // Nothing of the keel's two sides stands out beyond its opening, 15 mm up at most.
        let keel = extent(&corners(&b, PanelKind::Keel), 1);
        let out = 15.0 * (f64::from(opens).to_radians() / 2.0).sin() + 1e-6;
        assert!(-out <= keel[0] && keel[1] <= out, "{keel:?}");
    }
}

#[test]
fn a_torn_pose_says_how_far_the_keel_may_open() {
    let text = |opens: u32| {
        format!(
            "{KEELED}inside reverse bottom middle through 50 mm along centre from bottom middle \
             and 15 mm along bottom edge from bottom middle\n\
             inside reverse bottom middle through 45 mm along centre from bottom middle \
             and 10 mm along bottom edge from bottom middle\n\
             pose centre opens {opens} deg, wing dihedral 0 deg\n"
        )
    };
    let (message, help) = first_message(plane(&text(90)));
    let help = help.unwrap();
    let opens = help.split("`centre opens ").nth(1).and_then(|rest| rest.split(' ').next());
    let opens: u32 = opens.unwrap().parse().unwrap();
    assert!(message.contains("tear") && opens < 90, "{help}");
    plane(&text(opens)).unwrap();
    assert!(plane(&text(opens + 1)).is_err());
}

#[test]
fn a_reversed_tail_opens_along_with_the_keel() {
    // Where four creases meet of which two are in line and the others their mirror images, those
    // in line open alike, and half the angles of the two kinds have tangents in the ratio of the
    // cosine of the angle between them (Huffman 1976, Curvature and creases, from memory).
    let cosine = 50.0 / 50f64.hypot(15.0);
    for (opens, call) in [(2, "call it tail"), (6, "call it tail"), (90, "call it tail"), (6, "")] {
        let b = plane(&format!(
            "{KEELED}inside reverse bottom middle through 50 mm along centre from bottom middle \
             and 15 mm along bottom edge from bottom middle, {call}\n\
             pose centre opens {opens} deg, wing dihedral 0 deg\n"
        ))
        .unwrap();
        assert_eq!(b.source.warnings().len(), 0, "no paper need bend");
        let half = f64::from(opens).to_radians() / 2.0;
        let along = 2.0 * (cosine * half.tan()).atan();
        let normals = |named: &dyn Fn(&str) -> bool| {
            let panels = b.airframe.panels.iter();
            let on_the_right = panels.filter(|p| {
                let middle = p.laminae[0]
                    .polygon
                    .iter()
                    .fold(0.0, |y, q| y + (p.placement * Point3::new(q[0], q[1], 0.0)).y);
                named(&p.name) && middle > 0.0
            });
            on_the_right.map(|p| p.placement.rotation * Vector3::z()).collect::<Vec<_>>()
        };
        let tail = normals(&|n| n == "tail" || n == "reversed end");
        let keel = normals(&|n| n == "body");
        assert_eq!((tail.len(), keel.len()), (1, 1));
        assert_relative_eq!(tail[0].dot(&keel[0]).abs(), along.cos(), epsilon = 1e-9);
    }
}

#[test]
fn hinges_open_as_far_as_paper_can() {
    let (message, _) = first_message(plane(&format!("{KEELED}pose centre opens 190 deg\n")));
    assert!(message.contains("between 0 and 180"), "{message}");
}
