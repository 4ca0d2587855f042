//! Shadows of nearly the plane's own shade are no part of it, and folds are no shadows.

use plumbfold_trace::ask::{Ask, Spot};
use plumbfold_trace::error::TraceError;
use plumbfold_trace::photo::Photo;
use plumbfold_trace::trace::{Traced, trace, trace_photo};

use crate::known_truth::{SHAPES, laid, truth};
use crate::render::Scene;

/// A grey plane on white paper, lit from one side; its shadow leaves a share of the light.
fn grey(shape: usize, colour: f64, left: f64, shift: [f64; 2], soft: f64) -> Scene {
    let (plane, axis) = laid(SHAPES[shape], [148.0, 103.0], 88.0);
    let mut s = Scene::plain(plane, axis);
    s.photo = [1000, 750];
    s.tilt = 10.0;
    s.colour = s.paper.map(|c| c * colour);
    s.wings = [1.0, 1.0];
    s.shadow = (shift, soft, 1.0 - left);
    s.noise = 0.008;
    s.quality = Some(60);
    s
}

fn traced(scene: &Scene) -> Traced {
    trace(&scene.bytes(), &Ask::of_sheet(210.0, 297.0), &|_| true).unwrap_or_else(|e| panic!("{e}"))
}

fn off(t: &Traced, shape: usize) -> f64 {
    t.area.value / truth(SHAPES[shape], 60.0).0 - 1.0
}

fn says(t: &Traced, code: &str) -> bool {
    t.remarks.iter().any(|r| r.code == code)
}

/// With the shadow the first two are 3 to 5 % larger, and their noses lie 3 mm too far ahead.
#[test]
fn shadow_near_the_planes_own_shade_is_taken_off_and_told() {
    for (shape, colour, left, shift, soft) in [
        (1, 0.15, 0.30, [4.0, 3.0], 0.4),
        (3, 0.40, 0.45, [3.0, -2.5], 1.0),
        (2, 0.50, 0.35, [-2.0, 2.0], 0.4),
    ] {
        let t = traced(&grey(shape, colour, left, shift, soft));
        let (off, length) =
            (off(&t, shape), SHAPES[shape].iter().map(|p| p[1]).fold(0.0, f64::max));
        assert!(off.abs() < 0.01, "{shape}: {:+.2} %", 100.0 * off);
        assert!((t.length.value - length).abs() < 0.7, "{shape}: {}", t.length.value - length);
        assert!(says(&t, "shadow-taken-off"), "{shape}: {:?}", t.remarks);
    }
}

#[test]
fn a_plane_without_shadow_keeps_its_border() {
    for (shape, colour) in [(1, 0.15), (2, 0.6)] {
        let t = traced(&grey(shape, colour, 1.0, [0.0, 0.0], 1.0));
        assert!(off(&t, shape).abs() < 0.005, "{shape}: {:+.2} %", 100.0 * off(&t, shape));
        assert!(t.remarks.is_empty(), "{:?}", t.remarks);
        assert!(t.area.sd < 0.01 * t.area.value, "{:?}", t.area);
    }
}

/// A coin of the plane's own colour at its edge: nothing tells it but that the halves differ, and the
/// intervals leave room for it.
#[test]
fn what_makes_the_halves_unlike_is_in_the_intervals() {
    let mut scene = grey(1, 0.3, 1.0, [0.0, 0.0], 1.0);
    scene.colour = [0.10, 0.22, 0.55];
    scene.other_colour = scene.colour;
    let wing = scene.plane[2];
    scene.other = (0..24)
        .map(|i| (f64::from(i) * 15.0).to_radians())
        .map(|a| wing + nalgebra::Vector2::new(a.cos(), a.sin()) * 9.0)
        .collect();
    let t = traced(&scene);
    let off = off(&t, 1);
    assert!(says(&t, "asymmetric"), "{off} {:?}", t.remarks);
    let sd = t.area.sd / t.area.value;
    assert!(off.abs() > 0.004 && off.abs() < 1.96 * sd && sd < 0.05, "{off} {sd}");
}

/// Both wings have it: it may be a fold of the plane as well as a shadow cast straight ahead.
#[test]
fn a_hem_on_both_halves_stays_on_and_leaves_room_for_doubt() {
    let mut scene = grey(1, 0.35, 1.0, [0.0, 0.0], 1.0);
    let without = traced(&scene).area.sd;
    scene.hem = Some((3.0, 1.3));
    let t = traced(&scene);
    assert!(!says(&t, "shadow-taken-off"), "{:?}", t.remarks);
    assert!(says(&t, "shadow-or-plane"), "{:?}", t.remarks);
    assert!(off(&t, 1).abs() < 0.01 && t.area.sd > 2.0 * without, "{} {:?}", off(&t, 1), t.area);
}

/// Light between the shadow's and the plane's own: without its colour the border of that would pass
/// for the plane's.
#[test]
fn a_coloured_plane_is_told_from_a_narrow_shadow_by_its_colour() {
    let mut scene = grey(1, 1.0, 0.35, [1.2, 1.0], 0.3);
    scene.colour = [0.07, 0.42, 0.09];
    scene.blur = 1.2;
    let t = traced(&scene);
    assert!(off(&t, 1).abs() < 0.006, "{:+.2} %", 100.0 * off(&t, 1));
}

/// One wing of a white plane is in the light, the other has nearly the shade of the paper.
#[test]
fn half_a_plane_is_refused_until_its_axis_is_said() {
    let mut scene = grey(1, 1.0, 0.6, [1.5, 1.0], 1.2);
    scene.wings = [0.97, 0.80];
    let photo = Photo::from_rgb(scene.image());
    let mut ask = Ask::of_sheet(210.0, 297.0);
    let found = trace_photo(&photo, &ask, &|_| true).map(|t| t.area);
    assert!(matches!(found, Err(TraceError::Unlike { .. })), "{found:?}");
    let [nose, tail] = scene.axis;
    ask.axis = Some((Spot::Sheet(nose), Spot::Sheet(tail)));
    let found = trace_photo(&photo, &ask, &|_| true).map(|t| t.area);
    assert!(!matches!(found, Err(TraceError::Unlike { .. })), "{found:?}");
}

/// Paper coloured on one side, its nose flaps white as the sheet and 4 % darker by their slant: what stands
/// out is symmetric and sharp, and a third of the plane's length short.
#[test]
fn flaps_of_the_sheets_own_colour_are_not_left_out_in_silence() {
    const REAR: &[[f64; 2]] = &[[22.1, 60.0], [70.0, 190.0], [70.0, 200.0], [0.0, 200.0]];
    let (plane, axis) = laid(REAR, [160.0, 103.0], 88.0);
    let mut scene = Scene::plain(plane, axis);
    scene.photo = [1200, 900];
    let ask = Ask::of_sheet(210.0, 297.0);
    let found =
        |s: &Scene| trace_photo(&Photo::from_rgb(s.image()), &ask, &|_| true).map(|t| t.area.value);
    assert!(found(&scene).is_ok(), "without flaps nothing goes on");
    scene.other = laid(&[[0.0, 0.0], [22.1, 60.0], [0.0, 200.0]], [160.0, 103.0], 88.0).0;
    scene.other_colour = scene.paper.map(|c| 0.96 * c);
    assert_eq!(found(&scene), Err(TraceError::GoesOn));
}
