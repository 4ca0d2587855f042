//! Everything found can be said by hand instead.

use std::sync::OnceLock;

use nalgebra::Vector2;
use plumbfold_trace::ask::{Ask, Balanced, Edit, Reference, Spot};
use plumbfold_trace::error::TraceError;
use plumbfold_trace::photo::Photo;
use plumbfold_trace::trace::{Traced, trace, trace_photo};
use plumbfold_trace::view::Lens;

use crate::known_truth::{SHAPES, laid, truth};
use crate::render::{Pt, Scene};

/// A small photo of a plain scene.
pub fn small() -> Scene {
    let (plane, axis) = laid(SHAPES[1], [148.0, 96.0], 80.0);
    let mut scene = Scene::plain(plane, axis);
    scene.photo = [800, 600];
    scene.tilt = 8.0;
    scene.noise = 0.004;
    scene
}

fn photo() -> &'static Photo {
    static PHOTO: OnceLock<Photo> = OnceLock::new();
    PHOTO.get_or_init(|| Photo::from_rgb(small().image()))
}

fn a4() -> Ask {
    Ask::of_sheet(210.0, 297.0)
}

fn traced(ask: &Ask) -> Traced {
    trace_photo(photo(), ask, &|_| true).unwrap_or_else(|e| panic!("{e}"))
}

fn area() -> f64 {
    truth(SHAPES[1], 60.0).0
}

#[test]
fn the_same_photo_gives_the_same_answer_and_its_corners_in_place() {
    let (a, b) = (traced(&a4()), traced(&a4()));
    assert_eq!(a.corners, b.corners);
    let scene = small();
    for p in &scene.plane {
        let near = a.on_sheet.iter().map(|q| (q - p).norm()).fold(f64::MAX, f64::min);
        // Where the leading edge kinks by 4 degrees the corner is the less sharp.
        assert!(near < 1.0, "{p}: {near:.2} mm");
    }
    // Nose found, right is right: the corner at 8 mm right, 0 behind.
    let nearest = |x: f64, y: f64| {
        a.corners.iter().map(|c| (c - Pt::new(x, y)).norm()).fold(f64::MAX, f64::min)
    };
    assert!(nearest(8.0, 0.0) < 0.5 && nearest(88.0, 150.0) < 0.5, "{:?}", a.corners);
}

#[test]
fn points_are_moved_added_and_dropped_by_their_numbers() {
    let before = traced(&a4());
    let n = before.on_sheet.len();
    let middle = nalgebra::center(&before.on_sheet[1], &before.on_sheet[2]);
    let mut ask = a4();
    ask.edits = vec![
        Edit::Move(1, Spot::Sheet(before.on_sheet[0] + Vector2::new(0.0, 0.5))),
        Edit::Add(2, Spot::Sheet(middle)),
        Edit::Drop(4),
    ];
    let after = traced(&ask);
    assert_eq!(after.on_sheet.len(), n);
    assert!(after.on_sheet.iter().any(|p| (p - middle).norm() < 1e-9));
    assert!(!after.on_sheet.iter().any(|p| (p - before.on_sheet[3]).norm() < 1e-6));
    for bad in [0, n + 1, 4000] {
        ask.edits = vec![Edit::Drop(bad)];
        let e = trace_photo(photo(), &ask, &|_| true).map(|t| t.area.value);
        assert_eq!(e, Err(TraceError::NoSuchPoint { number: bad, count: n }));
    }
    let at = |k: usize| Spot::Sheet(before.on_sheet[k - 1]);
    ask.edits = vec![Edit::Move(3, at(5)), Edit::Move(5, at(3))];
    let crossed = trace_photo(photo(), &ask, &|_| true).map(|t| t.area.value);
    assert!(matches!(crossed, Err(TraceError::Crosses { .. })), "{crossed:?}");
    ask.edits = (1..n).map(Edit::Drop).collect();
    assert_eq!(
        trace_photo(photo(), &ask, &|_| true).map(|t| t.area.value),
        Err(TraceError::NoArea)
    );
}

#[test]
fn nose_axis_and_side_are_as_said() {
    let found = traced(&a4());
    let [nose, tail] = found.axis;
    let mut ask = a4();
    ask.nose = Some(Spot::Sheet(tail));
    let turned = traced(&ask);
    assert!((turned.axis[0] - tail).norm() < 0.5, "{:?}", turned.axis);
    assert!((turned.length.value - found.length.value).abs() < 1e-6);
    ask.nose = None;
    ask.axis = Some((Spot::Sheet(nose), Spot::Photo(found.view.dot(tail))));
    let by_axis = traced(&ask);
    assert!((by_axis.axis[0] - nose).norm() < 0.5);
    // From the tail: as said, but not in silence.
    ask.axis = Some((Spot::Sheet(tail), Spot::Sheet(nose)));
    let backwards = traced(&ask);
    assert!((backwards.axis[0] - tail).norm() < 0.5);
    assert!(backwards.remarks.iter().any(|r| r.code == "axis-backwards"));
    assert!(by_axis.remarks.iter().all(|r| r.code != "axis-backwards"));
    ask.axis = None;
    ask.underside = true;
    let under = traced(&ask);
    assert!((under.corners[1].x + found.corners[1].x).abs() < 1e-9);
    ask.axis = Some((Spot::Sheet(nose), Spot::Sheet(nose)));
    assert!(trace_photo(photo(), &ask, &|_| true).is_err());
}

#[test]
fn corners_marks_and_a_ruler_give_the_scale_as_well() {
    let camera = small().camera();
    let at = |x: f64, y: f64| camera.dot(Pt::new(x, y));
    let near = |t: &Traced, within: f64| {
        let off = t.area.value / area() - 1.0;
        assert!(off.abs() < within, "{:+.2} %", 100.0 * off);
    };
    let mut ask = a4();
    // Clicked a few dots off, in another order.
    ask.corners = Some([at(297.5, 0.4), at(297.0, 209.0), at(0.0, 210.6), at(-0.5, 0.5)]);
    near(&traced(&ask), 0.01);
    ask.corners = Some([at(0.0, 0.0), at(297.0, 210.0), at(297.0, 0.0), at(0.0, 210.0)]);
    let crossed = trace_photo(photo(), &ask, &|_| true).map(|t| t.area.value);
    assert_eq!(crossed, Err(TraceError::BadCorners));

    let places = [[3.0, 3.0], [290.0, 5.0], [292.0, 207.0], [4.0, 205.0], [150.0, 3.0]];
    let mark = |[x, y]: [f64; 2]| (at(x, y), Pt::new(x, y));
    near(&traced(&Ask::of(Reference::Marks(places.map(mark).to_vec()))), 0.01);
    let line =
        Reference::Marks([[0.0, 0.0], [50.0, 0.0], [90.0, 0.0], [99.0, 0.0]].map(mark).to_vec());
    let bad = trace_photo(photo(), &Ask::of(line), &|_| true).map(|t| t.area.value);
    assert!(matches!(bad, Err(TraceError::BadMarks { .. })), "{bad:?}");
}

/// A ruler needs a camera straight above; the sheet under the plane is all that lies around.
#[test]
fn a_ruler_measures_what_is_seen_straight_from_above() {
    let mut scene = small();
    scene.tilt = 0.0;
    scene.sheet = [900.0, 700.0];
    scene.fill = 2.6;
    let shift = Vector2::new(300.0, 240.0);
    scene.plane.iter_mut().chain(&mut scene.axis).for_each(|p| *p += shift);
    let camera = scene.camera();
    let at = |x: f64, y: f64| camera.dot(Pt::new(x, y));
    let ruler = Reference::Ruler { from: at(340.0, 250.0), to: at(540.0, 250.0), length_mm: 200.0 };
    let t = trace_photo(&Photo::from_rgb(scene.image()), &Ask::of(ruler), &|_| true)
        .unwrap_or_else(|e| panic!("{e}"));
    assert!((t.area.value / area() - 1.0).abs() < 0.01, "{}", t.area.value / area());
    assert!(t.remarks.iter().any(|r| r.code == "ruler-only"));
}

/// A tag of Exif 2.32 (CIPA DC-008) in front of the picture: the camera was held turned.
#[test]
fn a_photo_lying_on_its_side_is_turned_upright() {
    let jpeg = small().bytes();
    let tiff = [
        b"Exif\0\0MM\0*\0\0\0\x08\0\x01".as_slice(),
        // Orientation, one short, 6: turn a quarter clockwise to see it upright.
        &[0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0],
    ]
    .concat();
    let length = (tiff.len() as u16 + 2).to_be_bytes();
    let turned = [&jpeg[..2], &[0xff, 0xe1], &length, &tiff, &jpeg[2..]].concat();
    let (a, b) =
        (trace(&jpeg, &a4(), &|_| true).unwrap(), trace(&turned, &a4(), &|_| true).unwrap());
    assert_eq!((a.photo, b.photo), ([800.0, 600.0], [600.0, 800.0]));
    assert!((a.area.value / b.area.value - 1.0).abs() < 1e-3);
    // Dot (x, y) of the picture lies at (600 - y, x) upright.
    let place = |t: &Traced| t.view.dot(t.axis[0]);
    assert!((place(&b) - Pt::new(600.0 - place(&a).y, place(&a).x)).norm() < 0.5);
}

#[test]
fn a_sheet_tilted_about_one_axis_is_not_taken_for_another() {
    // Then the focal length cannot be told, and with it the ratio of the sides.
    for toward in [0.0, 90.0] {
        let mut scene = small();
        (scene.tilt, scene.tilt_toward, scene.turn) = (13.0, toward, 0.0);
        let found = trace_photo(&Photo::from_rgb(scene.image()), &a4(), &|_| true);
        let found = found.unwrap_or_else(|e| panic!("{e}"));
        assert!(found.remarks.iter().all(|r| r.code != "sheet-size"), "{:?}", found.aspect);
    }
}

#[test]
fn a_wrong_sheet_and_a_bent_lens_are_told() {
    let letter = traced(&Ask::of_sheet(215.9, 279.4));
    assert!(letter.remarks.iter().any(|r| r.code == "sheet-size"), "{:?}", letter.aspect);
    assert!(traced(&a4()).remarks.is_empty(), "{:?}", traced(&a4()).remarks);
    let mut bent = small();
    bent.k1 = -0.08;
    let mut ask = a4();
    ask.lens = Some(Lens::default());
    let t = trace_photo(&Photo::from_rgb(bent.image()), &ask, &|_| true).unwrap();
    assert!(t.remarks.iter().any(|r| r.code == "edges-bow"), "{:?}", t.remarks);
    ask.lens = Some(Lens { k1: f64::NAN, k2: 0.0 });
    assert!(trace_photo(photo(), &ask, &|_| true).is_err());
}

/// Without its lens this photo is measured 2 % wrong; a grid of marks, or dots along things that are
/// straight, give it. Each dot is clicked up to half a dot off.
#[test]
fn a_lens_is_straightened_by_a_grid_or_by_straight_lines() {
    let mut scene = small();
    scene.k1 = -0.12;
    let image = Photo::from_rgb(scene.image());
    let camera = scene.camera();
    let dot = |x: f64, y: f64| {
        let d = camera.dot(Pt::new(x, y));
        Pt::new(d.x + 0.5 * (12.9 * x + y).sin(), d.y + 0.5 * (x + 78.2 * y).cos())
    };
    // Round the plane, which hides the others.
    let seen = (0..20).filter(|i| i % 5 % 4 == 0 || i / 5 % 3 == 0);
    let places = seen.map(|i| [3.0 + 72.0 * f64::from(i % 5), 5.0 + 66.0 * f64::from(i / 5)]);
    let marks: Vec<(Pt, Pt)> = places.map(|[x, y]| (dot(x, y), Pt::new(x, y))).collect();
    let traced = |ask: &Ask| trace_photo(&image, ask, &|_| true).unwrap_or_else(|e| panic!("{e}"));
    let off = |t: &Traced| (t.area.value / area() - 1.0).abs();

    let mut ask = Ask::of(Reference::Marks(marks));
    let by_grid = traced(&ask);
    ask.lens = Some(Lens::default());
    let unbent = traced(&ask);
    assert!(off(&by_grid) < 0.01 && off(&unbent) > 0.012, "{} {}", off(&by_grid), off(&unbent));

    let mut ask = a4();
    let row = |y: f64| (0..15).map(|i| dot(-20.0 + 24.0 * f64::from(i), y)).collect::<Vec<Pt>>();
    let column = |x: f64| (0..11).map(|i| dot(x, -20.0 + 25.0 * f64::from(i))).collect::<Vec<Pt>>();
    ask.straight = vec![row(-20.0), row(225.0), column(-20.0), column(320.0)];
    let by_lines = traced(&ask);
    assert!((by_lines.lens.k1 - scene.k1).abs() < 0.02, "{:?}", by_lines.lens);
    assert!(off(&by_lines) < 0.01, "{} {:?}", off(&by_lines), by_lines.lens);
    // Corners said by hand: its edges tell the lens all the same.
    ask = a4();
    let at = |x: f64, y: f64| camera.dot(Pt::new(x, y));
    ask.corners = Some([at(1.0, 0.5), at(297.0, 0.0), at(296.0, 211.0), at(0.0, 210.0)]);
    let by_corners = traced(&ask);
    assert!(
        off(&by_corners) < 0.01,
        "{} {:?} {:?}",
        off(&by_corners),
        by_corners.lens,
        by_corners.remarks
    );
    ask.straight = vec![vec![dot(3.0, 3.0), dot(200.0, 3.0)]];
    assert!(trace_photo(&image, &ask, &|_| true).is_err());
}

#[test]
fn a_balance_measured_off_the_plane_or_told_twice_differently_is_noticed() {
    let found = traced(&a4());
    let frame = |x: f64, y: f64| {
        let back = (found.axis[1] - found.axis[0]).normalize();
        Spot::Sheet(found.axis[0] + Vector2::new(back.y, -back.x) * x + back * y)
    };
    let mut ask = a4();
    ask.balance = vec![Balanced::Line(frame(-40.0, 70.0), frame(40.0, 70.0))];
    let one = traced(&ask);
    let b = one.balance.unwrap();
    assert!((b.at.y - 70.0).abs() < 0.1 && b.sd[1] < 1.0, "{b:?}");
    ask.balance.push(Balanced::Line(frame(-40.0, 76.0), frame(40.0, 78.0)));
    let two = traced(&ask);
    assert!(two.remarks.iter().any(|r| r.code == "balance-disagrees"), "{:?}", two.remarks);
    ask.balance = vec![Balanced::Line(frame(-40.0, -70.0), frame(40.0, -70.0))];
    let off = trace_photo(photo(), &ask, &|_| true).map(|t| t.area.value);
    assert!(matches!(off, Err(TraceError::BalanceOff { .. })), "{off:?}");
}
