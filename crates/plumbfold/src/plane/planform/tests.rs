use super::*;
use crate::numeric::slabs::{Slabs, XY, greatest_depth};
use crate::plane::airframe::{Airframe, Lamina, Panel};
use approx::assert_relative_eq;
use nalgebra::Isometry3;
use proptest::prelude::*;

fn plane(polygons: Vec<Vec<[f64; 2]>>) -> Airframe {
    let laminae = polygons
        .into_iter()
        .map(|polygon| Lamina { polygon, height_m: 0.0, areal_mass_kg_m2: 0.08, thickness_m: 1e-4 })
        .collect();
    Airframe {
        name: "test".into(),
        panels: vec![Panel {
            name: "body".into(),
            kind: PanelKind::Wing,
            placement: Isometry3::identity(),
            laminae,
        }],
        point_masses: vec![],
        trims: vec![],
        measured: None,
        crease_layers_max: 1,
    }
}

/// Delta, root chord c, span b: area bc/2, AR 2b/c, MAC 2c/3 starting c/3 behind the nose
/// (textbook; e.g. Raymer, Aircraft Design, 1989, eq. 7.8, from memory), and 25 % of the area
/// lies ahead of the half root chord, which is the quarter point of the MAC.
#[test]
fn delta() {
    let (c, b) = (0.3, 0.2);
    let p = planform(&plane(vec![vec![[0.0, 0.0], [-c, b / 2.0], [-c, -b / 2.0]]])).unwrap();
    assert_relative_eq!(p.area_m2, b * c / 2.0, epsilon = 1e-12);
    assert_relative_eq!(p.aspect_ratio, 2.0 * b / c, epsilon = 1e-9);
    assert_relative_eq!(p.mac_m, 2.0 * c / 3.0, epsilon = 1e-9);
    assert_relative_eq!(p.mac_le_behind_nose_m, c / 3.0, epsilon = 1e-9);
    assert_relative_eq!(p.quarter_area_behind_nose_m, c / 2.0, epsilon = 1e-9);
    assert_relative_eq!(p.mac_fraction(p.quarter_area_behind_nose_m), 0.25, epsilon = 1e-9);
    assert_relative_eq!(p.fraction_ahead(c / 2.0), 0.25, epsilon = 1e-9);
    // Quarter-chord line of a delta: tan = (3c/4) / (b/2).
    assert_relative_eq!(p.quarter_chord_sweep_rad.tan(), 1.5 * c / b, epsilon = 1e-9);
}

#[test]
fn rectangle_quarter_area_is_quarter_chord() {
    let p =
        planform(&plane(vec![vec![[0.0, -0.1], [0.0, 0.1], [-0.08, 0.1], [-0.08, -0.1]]])).unwrap();
    assert_relative_eq!(p.mac_m, 0.08, epsilon = 1e-12);
    assert_relative_eq!(p.quarter_area_behind_nose_m, 0.02, epsilon = 1e-12);
    assert_relative_eq!(p.quarter_chord_sweep_rad, 0.0, epsilon = 1e-12);
}

#[test]
fn a_notch_is_not_paper() {
    // Two strips side by side leave a gap; a bar joins them at the front.
    let p = planform(&plane(vec![
        vec![[0.0, -0.1], [0.0, 0.1], [-0.02, 0.1], [-0.02, -0.1]],
        vec![[0.0, -0.1], [0.0, -0.02], [-0.1, -0.02], [-0.1, -0.1]],
        vec![[0.0, 0.02], [0.0, 0.1], [-0.1, 0.1], [-0.1, 0.02]],
    ]))
    .unwrap();
    assert_relative_eq!(p.area_m2, 0.2 * 0.02 + 0.16 * 0.08, epsilon = 1e-12);
    assert_relative_eq!(p.span_m, 0.2, epsilon = 1e-12);
}

#[test]
fn no_wing_is_an_error() {
    let mut a = plane(vec![vec![[0.0, 0.0], [-0.1, 0.1], [-0.1, -0.1]]]);
    a.panels[0].kind = PanelKind::Keel;
    assert_eq!(planform(&a), Err(PlanformError::NoWing));
}

/// A pack of n cards fanned so that neighbours overlap and the first and last do not.
#[test]
fn depth_of_a_fan() {
    let card = |x: f64| {
        [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
            .map(|(a, b)| XY { x: a + x, y: b })
            .to_vec()
    };
    let fan: Vec<_> = (0..10).map(|k| card(f64::from(k) * 0.3)).collect();
    assert_eq!(greatest_depth(&fan), 4);
    // Cards that only touch do not lie on one another.
    assert_eq!(greatest_depth(&[card(0.0), card(1.0)]), 1);
    assert_eq!(greatest_depth(&[]), 0);
}

/// Convex polygons: triangles and clipped strips at random places, some snapped to a grid so that
/// edges coincide as folded layers do.
fn polygons() -> impl Strategy<Value = Vec<Vec<XY>>> {
    let corner = (0..40i32, 0..40i32, any::<bool>(), 0.0..5e-4f64);
    let triangle = [corner.clone(), corner.clone(), corner].prop_map(|t| {
        t.map(|(x, y, snap, e)| {
            let j = if snap { 0.0 } else { e };
            XY { x: f64::from(x) * 5e-3 + j, y: f64::from(y) * 5e-3 - j }
        })
        .to_vec()
    });
    prop::collection::vec(triangle, 1..24)
}

proptest! {
    /// Union areas against a general-purpose polygon library.
    #[test]
    fn union_area_agrees_with_i_overlay(polys in polygons()) {
        let ours = Slabs::of_union(polys.clone()).area();
        let shoelace = |c: &[[f64; 2]]| -> f64 {
            (0..c.len()).map(|i| {
                let (a, b) = (c[i], c[(i + 1) % c.len()]);
                (a[0] * b[1] - a[1] * b[0]) / 2.0
            }).sum()
        };
        // i_overlay is given one polygon at a time: a whole stack of coincident edges at once
        // can make it run for minutes.
        use i_overlay::core::{fill_rule::FillRule, overlay_rule::OverlayRule};
        use i_overlay::float::single::SingleFloatOverlay;
        let mut union: Vec<Vec<Vec<[f64; 2]>>> = vec![];
        for p in &polys {
            let mut p: Vec<[f64; 2]> = p.iter().map(|k| [k.x * 1e3, k.y * 1e3]).collect();
            if shoelace(&p) < 0.0 {
                p.reverse();
            }
            union = union.overlay(&p, OverlayRule::Union, FillRule::NonZero);
        }
        let overlay: f64 = union.iter().flatten().map(|c| shoelace(c)).sum::<f64>() * 1e-6;
        let close = |a: f64, b: f64| (a.abs() - b.abs()).abs() < 1e-8;
        prop_assert!(close(ours, overlay), "ours {} i_overlay {}", ours, overlay);
    }

    #[test]
    fn area_ahead_is_monotone_and_inverts(polys in polygons(), f in 0.01..0.99f64) {
        let s = Slabs::of_union(polys);
        prop_assume!(s.area() > 1e-6);
        let x = s.place_of_area(f * s.area());
        prop_assert!((s.area_beyond(x) / s.area() - f).abs() < 1e-9);
    }
}
