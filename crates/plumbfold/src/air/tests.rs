use super::shapes::{self, Halves};
use super::*;
use crate::air::Air;
use crate::plane::airframe::{Airframe, PanelKind, TrimBend, TrimSurface};
use approx::assert_relative_eq;
use proptest::prelude::*;

fn fly(airframe: &Airframe, cg: Vector3<f64>) -> Aero {
    analyse(airframe, cg, &Air::indoors(), 5.0, &Options::ORDINARY).unwrap()
}

/// Two wings with dihedral on a closed keel, a fin at each tip: the lot.
fn glider(dihedral: f64) -> Airframe {
    let wing = Halves {
        root_m: 0.14,
        tip_m: 0.09,
        span_m: 0.20,
        tip_behind_m: 0.05,
        dihedral_rad: dihedral,
    };
    let mut panels = wing.panels();
    panels.push(shapes::upright("keel", PanelKind::Keel, [0.0, -0.14], [0.0, 0.025], 0.0));
    let tip = 0.1 * dihedral.cos();
    let rise = -0.1 * dihedral.sin();
    for y in [-tip, tip] {
        let name = if y > 0.0 { "right fin" } else { "left fin" };
        panels.push(shapes::upright(name, PanelKind::Fin, [-0.05, -0.14], [rise - 0.02, rise], y));
    }
    shapes::airframe("glider", panels)
}

const CG: Vector3<f64> = Vector3::new(-0.055, 0.0, 0.005);

#[test]
fn a_symmetric_plane_in_straight_flight_neither_rolls_nor_yaws() {
    let aero = fly(&glider(0.15), CG);
    for degrees in [-170, -80, -10, 0, 7, 35, 90, 140] {
        let (s, c) = f64::from(degrees).to_radians().sin_cos();
        let (f, m) = aero.strips.loads(&Vector3::new(5.0 * c, 0.0, 5.0 * s), &Vector3::zeros());
        let size = f.norm() * 0.1;
        assert!(f.y.abs() < 1e-10 * f.norm(), "{degrees} {f}");
        assert!(m.x.abs() < 1e-10 * size && m.z.abs() < 1e-10 * size, "{degrees} {m}");
    }
}

#[test]
fn moving_the_balance_forward_adds_exactly_that_to_the_static_margin() {
    let plane = glider(0.1);
    let (a, b) = (fly(&plane, CG), fly(&plane, CG + Vector3::new(0.01, 0.0, 0.0)));
    assert_relative_eq!(
        b.static_margin - a.static_margin,
        0.01 / a.reference.chord_m,
        max_relative = 1e-4
    );
    assert_relative_eq!(
        a.neutral_point_behind_nose_m,
        b.neutral_point_behind_nose_m,
        max_relative = 1e-6
    );
}

#[test]
fn an_adjusted_plane_is_the_plane_analysed_anew() {
    let plane = glider(0.1);
    let moved = CG + Vector3::new(0.004, 0.001, -0.002);
    let adjusted = fly(&plane, CG).adjusted(&Adjustments::at(moved));
    let anew = fly(&plane, moved).strips;
    let (v, w) = (Vector3::new(4.0, 0.3, 0.5), Vector3::new(1.0, -2.0, 0.4));
    assert_relative_eq!(adjusted.loads(&v, &w).0, anew.loads(&v, &w).0, max_relative = 1e-12);
    assert_relative_eq!(adjusted.loads(&v, &w).1, anew.loads(&v, &w).1, max_relative = 1e-12);

    // A bend given as an adjustment is the bend given in the design.
    let bend = TrimBend { surface: TrimSurface::Elevator, deflection_m: 0.001, depth_m: 0.010 };
    let bent = fly(&Airframe { trims: vec![bend], ..plane.clone() }, CG).strips;
    let aero = fly(&plane, CG);
    let up = Adjustments { right_rad: 0.1, left_rad: 0.1, ..Adjustments::at(CG) };
    assert_relative_eq!(
        aero.adjusted(&up).loads(&v, &w).1,
        bent.loads(&v, &w).1,
        max_relative = 1e-9
    );

    let nose_up = aero.adjusted(&Adjustments { delta_cm0: 0.01, ..Adjustments::at(CG) });
    let (p, q) = (aero.at(&nose_up, 0.05).cm, aero.at(&aero.strips, 0.05).cm);
    assert_relative_eq!(p - q, 0.01 * f64::cos(0.05).powi(2), max_relative = 1e-9);
}

#[test]
fn trailing_edges_up_raise_the_nose_and_a_right_rudder_turns_it_right() {
    let plane = glider(0.1);
    let aero = fly(&plane, CG);
    let with =
        |a: Adjustments| aero.adjusted(&a).loads(&Vector3::new(5.0, 0.0, 0.2), &Vector3::zeros());
    let base = with(Adjustments::at(CG));
    let up = with(Adjustments { right_rad: 0.1, left_rad: 0.1, ..Adjustments::at(CG) });
    assert!(up.1.y > base.1.y && up.0.z > base.0.z, "nose up, lift lost");
    let right = with(Adjustments { right_rad: 0.1, ..Adjustments::at(CG) });
    assert!(right.1.x > base.1.x, "right edge up rolls right");
    let rudder = with(Adjustments { rudder_rad: 0.1, ..Adjustments::at(CG) });
    assert!(rudder.1.z > base.1.z, "nose right");
}

#[test]
fn a_bend_costs_drag_even_where_it_makes_no_lift() {
    let plane = glider(0.1);
    let aero = fly(&plane, CG);
    let up = aero.adjusted(&Adjustments { right_rad: 0.15, left_rad: 0.15, ..Adjustments::at(CG) });
    // The incidence at which the bent plane has no lift: load on the wing and on the bend cancel.
    let (mut lo, mut hi) = (0.0, 0.2);
    for _ in 0..50 {
        let mid = (lo + hi) / 2.0;
        if aero.at(&up, mid).cl < 0.0 { lo = mid } else { hi = mid }
    }
    let extra = aero.at(&up, lo).cd - aero.at(&aero.strips, 0.0).cd;
    assert!(extra > 0.001 && extra < 0.02, "{extra}");
}

#[test]
fn dihedral_and_fins_do_what_they_are_for() {
    let at_5_degrees = |plane: &Airframe| {
        let aero = fly(plane, CG);
        aero.derivatives_at(&aero.strips, 0.0873)
    };
    let flat = at_5_degrees(&glider(0.0));
    let raised = at_5_degrees(&glider(0.2));
    assert!(raised.cl_beta < flat.cl_beta && flat.cl_beta < 0.0);
    let bare = Airframe {
        panels: glider(0.0).panels.into_iter().filter(|p| p.kind != PanelKind::Fin).collect(),
        ..glider(0.0)
    };
    let bare = at_5_degrees(&bare);
    assert!(flat.cn_beta > bare.cn_beta, "fins behind the balance point turn the nose to the wind");
    assert!(bare.cn_beta < 0.0, "a keel along the whole length carries its load ahead");
    assert!(flat.cn_r < 0.0 && flat.cl_p < 0.0 && flat.cm_q < 0.0 && flat.cl_q > 0.0);
}

#[test]
fn a_keel_of_two_leaning_halves_is_one_plate() {
    // Two halves 4 degrees from upright that meet at the bottom.
    let wing =
        Halves { root_m: 0.14, tip_m: 0.14, span_m: 0.2, tip_behind_m: 0.0, dihedral_rad: 0.1 };
    let whole = fly(
        &shapes::airframe(
            "w",
            [
                wing.panels(),
                vec![shapes::upright("keel", PanelKind::Keel, [0.0, -0.14], [0.0, 0.025], 0.0)],
            ]
            .concat(),
        ),
        CG,
    );
    let lean = 0.07f64;
    let gap = 0.025 * lean.tan();
    let mut panels = wing.panels();
    for (p, side) in panels.iter_mut().zip([-1.0, 1.0]) {
        p.placement.translation.vector.y += side * gap;
    }
    for side in [-1.0, 1.0] {
        let mut half = shapes::upright("keel", PanelKind::Keel, [0.0, -0.14], [-0.025, 0.0], 0.0);
        let turn = nalgebra::UnitQuaternion::from_axis_angle(&Vector3::x_axis(), side * lean);
        half.placement = nalgebra::Isometry3::from_parts(
            nalgebra::Translation3::new(0.0, 0.0, 0.025),
            turn * half.placement.rotation,
        );
        panels.push(half);
    }
    let halves = fly(&shapes::airframe("h", panels), CG);
    assert_eq!(whole.strips.len(), halves.strips.len());
    assert_relative_eq!(whole.derivatives.cn_beta, halves.derivatives.cn_beta, max_relative = 0.05);
    assert_relative_eq!(whole.cl_alpha, halves.cl_alpha, max_relative = 0.04);
}

#[test]
fn a_step_under_the_nose_pushes_it_down_and_one_on_top_lifts_it() {
    let under = validation::bends::stepped(0.14, 0.21, 0.0017, 0.02);
    let mut over = under.clone();
    for l in over.panels.iter_mut().flat_map(|p| &mut p.laminae) {
        l.height_m = -l.height_m;
    }
    // Level with the wing, so that drag has no arm.
    let cg = Vector3::new(-0.055, 0.0, 0.0);
    let (a, b) = (fly(&under, cg), fly(&over, cg));
    assert!(a.cm0 < -0.002 && a.cl0 < 0.0);
    assert_relative_eq!(a.cm0, -b.cm0, max_relative = 1e-6);
    assert_relative_eq!(a.cm0, a.cm0_steps, max_relative = 1e-9);
    let smooth = a.adjusted(&Adjustments { step_scale: 0.0, ..Adjustments::at(cg) });
    assert!(a.at(&smooth, 0.0).cl.abs() < 1e-9);
}

#[test]
fn where_a_panel_counts_from_does_not_matter() {
    let plane = validation::bends::stepped(0.14, 0.21, 0.0017, 0.02);
    let mut moved = plane.clone();
    // The left panel counted from its tail and turned end for end.
    let panel = &mut moved.panels[0];
    let turn = nalgebra::UnitQuaternion::from_axis_angle(&Vector3::z_axis(), std::f64::consts::PI);
    panel.placement *=
        nalgebra::Isometry3::from_parts(nalgebra::Translation3::new(-0.14, 0.03, 0.0), turn);
    for corner in panel.laminae.iter_mut().flat_map(|l| &mut l.polygon) {
        *corner = [-0.14 - corner[0], 0.03 - corner[1]];
    }
    let (v, w) = (Vector3::new(5.0, 0.3, 0.4), Vector3::new(1.0, 2.0, 0.5));
    let [a, b] = [&plane, &moved].map(|p| fly(p, CG).strips.loads(&v, &w));
    assert_relative_eq!(a.0, b.0, max_relative = 1e-9);
    assert_relative_eq!(a.1, b.1, max_relative = 1e-9);
    let straight = fly(&moved, CG).strips.loads(&Vector3::new(5.0, 0.0, 0.4), &Vector3::zeros());
    assert!(straight.1.x.abs() < 1e-12 && straight.1.z.abs() < 1e-12);
}

#[test]
fn flying_tail_first_a_rectangle_is_itself_and_a_delta_is_not() {
    let aft = |cp: Option<f64>| cp.unwrap();
    let square =
        fly(&Halves::rectangle(1.0).scaled(0.1).airframe("s"), Vector3::new(-0.05, 0.0, 0.0));
    let (ahead, astern) =
        (square.at(&square.strips, 0.1), square.at(&square.strips, 0.1 - std::f64::consts::PI));
    assert_relative_eq!(ahead.cl, astern.cl, max_relative = 1e-9);
    assert_relative_eq!(
        aft(ahead.cp_behind_nose_m),
        0.1 - aft(astern.cp_behind_nose_m),
        max_relative = 1e-9
    );
    // Reverse-flow theorem: the lift slope is the same, the place is not.
    let delta = fly(&Halves::delta(1.0).scaled(0.1).airframe("d"), Vector3::new(-0.05, 0.0, 0.0));
    let [a, b] = [0.002, 0.002 - std::f64::consts::PI].map(|x| delta.at(&delta.strips, x));
    assert_relative_eq!(a.cl, b.cl, max_relative = 0.03);
    assert!(aft(b.cp_behind_nose_m) > aft(a.cp_behind_nose_m));
}

#[test]
fn planes_that_cannot_fly_are_errors_that_say_so() {
    let air = Air::indoors();
    let o = Options::ORDINARY;
    let wing = Halves::rectangle(1.0).airframe("w");
    let keel = shapes::airframe(
        "k",
        vec![shapes::upright("k", PanelKind::Keel, [0.0, -1.0], [0.0, 1.0], 0.0)],
    );
    let zero = Vector3::zeros();
    assert_eq!(
        analyse(&shapes::airframe("n", vec![]), zero, &air, 5.0, &o),
        Err(AeroError::NoWing)
    );
    assert_eq!(analyse(&keel, zero, &air, 5.0, &o), Err(AeroError::FoldedShut));
    for speed in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            analyse(&wing, zero, &air, speed, &o),
            Err(AeroError::NotPositive { .. })
        ));
    }
    let lost = Vector3::new(f64::NAN, 0.0, 0.0);
    assert_eq!(analyse(&wing, lost, &air, 5.0, &o), Err(AeroError::NoBalance));
    let fine =
        Options { mesh: mesh::MeshSize { chordwise: 100, spanwise: 100, tip_inset: true }, ..o };
    assert!(matches!(analyse(&wing, zero, &air, 5.0, &fine), Err(AeroError::TooFine { .. })));
    // A flap folded back flat on the wing is a thicker wing, not a second one.
    let twice = shapes::airframe("t", [wing.panels.clone(), wing.panels.clone()].concat());
    let (once, twice) = (fly(&wing, zero), fly(&twice, zero));
    assert_relative_eq!(once.cl_alpha, twice.cl_alpha, max_relative = 1e-9);
}

#[test]
fn a_lopsided_plane_is_solved_whole_and_a_notched_one_in_pieces() {
    let mut plane = Halves::rectangle(1.5).scaled(0.1).airframe("lopsided");
    let symmetric = fly(&plane, CG);
    for corner in plane.panels[1].laminae[0].polygon.iter_mut().filter(|c| c[1] < -0.01) {
        corner[1] = -0.08;
    }
    let aero = fly(&plane, CG);
    let (_, m) = aero.strips.loads(&Vector3::new(5.0, 0.0, 0.4), &Vector3::zeros());
    assert!(m.x < 0.0, "the longer right wing rolls it left: {m}");
    assert!(aero.cl_alpha > symmetric.cl_alpha);

    let notched = {
        let place = shapes::level(0.0, Vector3::zeros());
        let mut p = shapes::panel(
            "n",
            PanelKind::Wing,
            place,
            &[[0.0, -0.1], [0.0, 0.1], [-0.04, 0.1], [-0.04, -0.1]],
        );
        let piece = |v: [[f64; 2]; 4]| crate::plane::airframe::Lamina {
            polygon: v.to_vec(),
            ..p.laminae[0].clone()
        };
        let more = [
            piece([[-0.04, -0.1], [-0.04, -0.03], [-0.14, -0.03], [-0.14, -0.1]]),
            piece([[-0.04, 0.03], [-0.04, 0.1], [-0.14, 0.1], [-0.14, 0.03]]),
        ];
        p.laminae.extend(more);
        shapes::airframe("notched", vec![p])
    };
    let aero = fly(&notched, CG);
    assert_relative_eq!(aero.reference.area_m2, 0.2 * 0.14 - 0.06 * 0.10, max_relative = 1e-9);
    let whole = fly(
        &Halves { root_m: 0.14, tip_m: 0.14, span_m: 0.2, ..Halves::rectangle(1.0) }.airframe("w"),
        CG,
    );
    let per_area = |a: &Aero| a.cl_alpha * a.reference.area_m2;
    assert!(per_area(&aero) < per_area(&whole) && per_area(&aero) > 0.7 * per_area(&whole));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// No motion gives a load that is not a number, and air that is at rest takes energy from a
    /// plane in straight flight, never gives it.
    #[test]
    fn loads_are_numbers_and_straight_flight_loses_energy(
        v in prop::array::uniform3(-9.0..9.0f64),
        w in prop::array::uniform3(-30.0..30.0f64),
        dihedral in 0.0..0.4f64,
    ) {
        let aero = fly(&glider(dihedral), CG);
        let v = Vector3::from(v);
        let (f, m) = aero.strips.loads(&v, &Vector3::from(w));
        prop_assert!(f.iter().chain(m.iter()).all(|x| x.is_finite()));
        let (f, _) = aero.strips.loads(&v, &Vector3::zeros());
        prop_assert!(f.dot(&v) <= 1e-9, "{}", f.dot(&v));
        let rest = Vector3::zeros();
        prop_assert_eq!(aero.strips.loads(&rest, &rest), (rest, rest));
    }

    /// The mirror image of a motion has the mirror image of the load.
    #[test]
    fn mirrored_motion_gives_mirrored_load(
        v in prop::array::uniform3(-9.0..9.0f64),
        w in prop::array::uniform3(-20.0..20.0f64),
    ) {
        let aero = fly(&glider(0.2), CG);
        let (f, m) = aero.strips.loads(&Vector3::from(v), &Vector3::from(w));
        let flip = |a: &Vector3<f64>| Vector3::new(a.x, -a.y, a.z);
        let turn = |a: &Vector3<f64>| Vector3::new(-a.x, a.y, -a.z);
        let (g, n) = aero.strips.loads(&flip(&Vector3::from(v)), &turn(&Vector3::from(w)));
        prop_assert!((flip(&f) - g).norm() <= 1e-10 * (1.0 + f.norm()));
        prop_assert!((turn(&m) - n).norm() <= 1e-10 * (1.0 + m.norm()));
    }

    /// Panels of any size at any angle, bent anyhow: an answer in numbers or an error, no panic.
    #[test]
    fn any_heap_of_panels_gives_numbers_or_an_error(
        heap in prop::collection::vec(
            (prop::array::uniform4(0.0..0.2f64), prop::array::uniform3(-3.2..3.2f64), prop::array::uniform3(-0.1..0.1f64)),
            1..5,
        ),
        bend in -0.02..0.02f64,
        depth in 0.0..0.05f64,
    ) {
        let panels = heap.iter().map(|([a, b, c, d], turn, at)| {
            let place = nalgebra::Isometry3::from_parts(
                Vector3::from(*at).into(),
                nalgebra::UnitQuaternion::from_euler_angles(turn[0], turn[1] * 0.3, turn[2] * 0.3),
            );
            let steep = (place.rotation * Vector3::z()).z.abs() < 0.707;
            let kind = match (steep, at[1].abs() < 0.02) {
                (false, _) => PanelKind::Wing,
                (true, true) => PanelKind::Keel,
                (true, false) => PanelKind::Fin,
            };
            shapes::panel("p", kind, place, &[[-a, 0.0], [0.0, -b], [*c, 0.0], [0.0, *d]])
        });
        let trims = [TrimSurface::Elevator, TrimSurface::Rudder]
            .map(|surface| TrimBend { surface, deflection_m: bend, depth_m: depth });
        let plane = Airframe { trims: trims.to_vec(), ..shapes::airframe("heap", panels.collect()) };
        if let Ok(aero) = analyse(&plane, CG, &Air::indoors(), 5.0, &Options::ORDINARY) {
            prop_assert!(aero.polar.iter().all(|p| p.cl.is_finite() && p.cd.is_finite() && p.cm.is_finite()));
            let (f, m) = aero.strips.loads(&Vector3::new(-3.0, 1.0, 2.0), &Vector3::new(9.0, -5.0, 3.0));
            prop_assert!(f.iter().chain(m.iter()).all(|x| x.is_finite()));
            prop_assert!(aero.strips.added_mass().iter().all(|x| x.is_finite()));
        }
    }
}
