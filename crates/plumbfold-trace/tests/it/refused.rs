//! What cannot be measured is said to be so, and why.

use std::cell::Cell;

use image::RgbImage;
use plumbfold_trace::Seen;
use plumbfold_trace::ask::{Ask, Spot};
use plumbfold_trace::error::TraceError;
use plumbfold_trace::photo::Photo;
use plumbfold_trace::trace::{trace, trace_photo, trace_seen};

use crate::by_hand::small;
use crate::known_truth::{SHAPES, laid};
use crate::render::{Pt, Scene};

fn refusal(scene: &Scene) -> TraceError {
    let found =
        trace_photo(&Photo::from_rgb(scene.image()), &Ask::of_sheet(210.0, 297.0), &|_| true);
    found.map(|t| t.area).unwrap_err()
}

#[test]
fn scenes_that_hold_no_one_plane_on_a_sheet_are_refused_with_the_reason() {
    let mut two = small();
    two.other = [[20.0, 20.0], [80.0, 20.0], [80.0, 60.0], [20.0, 60.0]]
        .map(|[x, y]| Pt::new(x, y))
        .to_vec();
    (two.plane, two.axis) = laid(SHAPES[2], [205.0, 110.0], 90.0);
    assert!(matches!(refusal(&two), TraceError::TwoPlanes { .. }), "{}", refusal(&two));

    let mut over = small();
    (over.plane, over.axis) = laid(SHAPES[0], [148.0, 55.0], 90.0);
    assert_eq!(refusal(&over), TraceError::OverTheEdge);

    let mut none = small();
    none.plane = vec![Pt::new(-500.0, -500.0), Pt::new(-499.0, -500.0), Pt::new(-500.0, -499.0)];
    none.shadow.2 = 0.0;
    assert_eq!(refusal(&none), TraceError::NoPlane);

    let mut bare = none.clone();
    bare.paper = bare.table;
    bare.noise = 0.02;
    // Only the grain of the table ends where the sheet begins.
    let _ = refusal(&bare);

    let mut close = small();
    close.fill = 1.25;
    assert_eq!(refusal(&close), TraceError::SheetCutOff);

    let mut blurred = small();
    blurred.blur = 5.0;
    assert!(matches!(refusal(&blurred), TraceError::Blurred { .. }), "{}", refusal(&blurred));

    let mut far = small();
    far.photo = [320, 240];
    assert!(matches!(refusal(&far), TraceError::TooSmall { .. }), "{}", refusal(&far));
}

/// Of a sheet that goes on beyond the photo the plane on it looks most like a whole sheet.
#[test]
fn a_photo_that_was_cut_through_the_sheet_says_so() {
    let mut scene = small();
    scene.colour = [0.12, 0.33, 0.38];
    let whole = scene.image();
    let (w, h) = whole.dimensions();
    for [x, y, cut_w, cut_h] in
        [[0, 0, w * 4 / 5, h], [w / 5, 0, w * 4 / 5, h], [0, h / 5, w, h * 4 / 5]]
    {
        let cut = image::imageops::crop_imm(&whole, x, y, cut_w, cut_h).to_image();
        let found = trace_photo(&Photo::from_rgb(cut), &Ask::of_sheet(210.0, 297.0), &|_| true);
        assert_eq!(found.map(|t| t.area), Err(TraceError::SheetCutOff), "{x} {y}");
    }
}

/// What is shown where the rest fails: the sheet, what stands out from it, the outline; or where the
/// sheet may lie.
#[test]
fn what_was_found_until_it_failed_is_told() {
    let seen = |scene: &Scene, change: &dyn Fn(&mut Ask)| {
        let mut ask = Ask::of_sheet(210.0, 297.0);
        change(&mut ask);
        let mut seen = Seen::default();
        let photo = Photo::from_rgb(scene.image());
        assert!(trace_seen(&photo, &ask, &|_| true, &mut seen).is_err(), "{seen:?}");
        seen
    };
    let mut two = small();
    two.other = [[20.0, 20.0], [80.0, 20.0], [80.0, 60.0], [20.0, 60.0]]
        .map(|[x, y]| Pt::new(x, y))
        .to_vec();
    (two.plane, two.axis) = laid(SHAPES[2], [205.0, 110.0], 90.0);
    let told = seen(&two, &|_| {});
    assert_eq!((told.sheet.len(), told.guessed, told.pieces.len()), (4, false, 2));
    let camera = two.camera();
    let off =
        |p: &Pt| told.pieces[1].iter().map(|q| (camera.dot(*p) - q).norm()).fold(99.0, f64::min);
    assert!(two.other.iter().map(off).fold(0.0, f64::max) < 4.0, "{:?}", told.pieces[1]);

    let beside = |ask: &mut Ask| ask.nose = Some(Spot::Sheet(Pt::new(-90.0, 5.0)));
    assert!(seen(&small(), &beside).outline.len() > 5);

    let mut cut = small();
    cut.fill = 1.06;
    let told = seen(&cut, &|_| {});
    assert!(told.guessed && told.sheet.len() == 4, "{told:?}");
}

/// Its long white edge is a stronger one than that of the dark sheet, 6 mm beside it.
#[test]
fn a_white_plane_close_to_the_edge_of_a_dark_sheet_is_no_sheet() {
    let mut scene = small();
    scene.paper = [0.05, 0.05, 0.05];
    scene.table = [0.30, 0.22, 0.14];
    scene.colour = [0.8, 0.8, 0.78];
    scene.plane = [[62.0, 6.0], [234.0, 6.0], [234.0, 154.0], [62.0, 154.0]]
        .map(|[x, y]| Pt::new(x, y))
        .to_vec();
    scene.axis = [Pt::new(62.0, 80.0), Pt::new(234.0, 80.0)];
    let photo = Photo::from_rgb(scene.image());
    let found = trace_photo(&photo, &Ask::of_sheet(210.0, 297.0), &|_| true);
    let area = found.unwrap_or_else(|e| panic!("{e}")).area.value;
    assert!((area / (172.0 * 148.0) - 1.0).abs() < 0.01, "{area}");
}

/// CRC-32 of a PNG chunk (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |crc, b| {
        (0..8).fold(
            crc ^ u32::from(*b),
            |c, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 },
        )
    })
}

/// A PNG whose header claims a size and whose picture is a few bytes.
fn lying_png(width: u32, height: u32) -> Vec<u8> {
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |kind: &[u8], data: &[u8]| {
        let body = [kind, data].concat();
        out.extend((data.len() as u32).to_be_bytes());
        out.extend(&body);
        out.extend(crc(&body).to_be_bytes());
    };
    let size = [width.to_be_bytes(), height.to_be_bytes()].concat();
    chunk(b"IHDR", &[size, vec![8, 2, 0, 0, 0]].concat());
    chunk(b"IDAT", &[0x78, 0x9c, 0x63, 0x60, 0x60, 0x60, 0, 0, 0, 4, 0, 1]);
    chunk(b"IEND", &[]);
    out
}

#[test]
fn files_that_lie_break_off_or_are_no_photos_are_refused() {
    let says = |bytes: &[u8]| Photo::decode(bytes).map(|p| p.size()).unwrap_err();
    assert_eq!(says(b""), TraceError::NoPhoto);
    assert_eq!(says(b"plane Scow"), TraceError::NoPhoto);
    assert_eq!(says(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"), TraceError::Heic);
    for (w, h) in [(0, 5), (100_000, 100_000), (20_000, 20_000), (8_000, 8_000), (90, 90)] {
        let e = says(&lying_png(w, h));
        let told = matches!(
            e,
            TraceError::Damaged { .. }
                | TraceError::TooLarge { .. }
                | TraceError::TooFewDots { .. }
                | TraceError::Truncated
        );
        assert!(told, "{w} x {h}: {e}");
    }
    let mut scene = small();
    scene.photo = [400, 300];
    let jpeg = scene.bytes();
    assert_eq!(says(&jpeg[..jpeg.len() * 2 / 3]), TraceError::Truncated);
    // Whatever is broken in a file, the answer is a photo or an error.
    for at in (2..jpeg.len()).step_by(jpeg.len() / 60) {
        let mut broken = jpeg.clone();
        broken[at] ^= 0x5a;
        let _ = trace(&broken, &Ask::of_sheet(210.0, 297.0), &|_| false);
        let _ = Photo::decode(&jpeg[..at]);
    }
    for (e, word) in [(TraceError::Heic, "JPEG"), (TraceError::NoSheet, "another shade")] {
        assert!(e.help().unwrap().contains(word));
    }
}

#[test]
fn pictures_of_noise_and_of_nothing_end_in_an_error() {
    let mut seed = 1u32;
    let mut noise = || {
        seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (seed >> 24) as u8
    };
    let noisy = RgbImage::from_fn(500, 400, |_, _| image::Rgb([noise(), noise(), noise()]));
    for image in
        [noisy, RgbImage::new(500, 400), RgbImage::from_pixel(400, 600, image::Rgb([255; 3]))]
    {
        assert!(
            trace_photo(&Photo::from_rgb(image), &Ask::of_sheet(210.0, 297.0), &|_| true).is_err()
        );
    }
}

#[test]
fn it_stops_when_told_to_at_any_step() {
    let photo = Photo::from_rgb(small().image());
    let asked = Cell::new(0);
    let count = |stop: usize| {
        asked.set(0);
        let found = trace_photo(&photo, &Ask::of_sheet(210.0, 297.0), &|_| {
            asked.set(asked.get() + 1);
            asked.get() != stop
        });
        found.map(|t| t.area.value)
    };
    assert!(count(0).is_ok());
    let all = asked.get();
    assert!(all > 8, "{all}");
    for stop in 1..=all {
        assert_eq!(count(stop), Err(TraceError::Stopped), "{stop}");
    }
}
