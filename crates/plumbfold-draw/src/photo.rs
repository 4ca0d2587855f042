//! What was found in a photo, drawn over it: the sheet, the outline with the numbers of its points,
//! the line of symmetry, and the area ahead of the balance point.

use crate::frame::{self, Sample};
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::Text;

/// A photo to draw over.
#[derive(Clone, Copy, Debug)]
pub struct Photo<'a> {
    /// The upright photo as JPEG, of any size.
    pub jpeg: &'a [u8],
    /// Width and height, in the dots the marks are in.
    pub size: Pt,
}

/// What was found, in dots of the photo, x right, y down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marks {
    /// Border of the sheet.
    pub sheet: Vec<Pt>,
    /// Measures along the sheet: where, a place outwards of it, what to write.
    pub ticks: Vec<(Pt, Pt, String)>,
    /// The outline.
    pub outline: Vec<Pt>,
    /// Its part ahead of the balance point.
    pub ahead: Vec<Pt>,
    /// Its corners, in the order of their numbers.
    pub points: Vec<Pt>,
    /// Nose and tail.
    pub axis: [Pt; 2],
    /// The balance point and the line across the wing through it.
    pub balance: Option<(Pt, [Pt; 2])>,
    /// Lines measured by hand.
    pub lines: Vec<[Pt; 2]>,
}

/// Largest photo on the canvas, mm.
const ROOM: Pt = [180.0, 200.0];
const SHEET: Stroke = Stroke::solid(Ink::Two, weight::LINE);
const OUTLINE: Stroke = Stroke::solid(Ink::Alarm, weight::LINE);
const AXIS: Stroke = Stroke::dashed(Ink::Alarm, weight::THIN, &[2.6, 0.8, 0.36, 0.8]);
const BALANCE: Stroke = Stroke::solid(Ink::Text, weight::BOLD);
const BY_HAND: Stroke = Stroke::dashed(Ink::Move, weight::LINE, &[1.4, 1.0]);
/// Points nearer to the last numbered one get no number, mm.
const CROWDED: f64 = 3.4;

/// Draws what was found over the photo.
pub fn traced(look: &Look, title: &str, note: &str, photo: Photo<'_>, marks: &Marks) -> String {
    let [w, h] = photo.size;
    let scale = (ROOM[0] / w).min(ROOM[1] / h);
    let extent = [w * scale, h * scale];
    let mut items = vec![
        (Sample::Line(SHEET), "sheet, with mm along it"),
        (Sample::Line(OUTLINE), "outline, with its points"),
        (Sample::Line(AXIS), "line of symmetry"),
    ];
    if marks.balance.is_some() {
        items.push((
            Sample::Patch(Ink::Ahead, Hatch::Rising, ""),
            "area ahead of the balance point",
        ));
    }
    if !marks.lines.is_empty() {
        items.push((Sample::Line(BY_HAND), "measured by hand"));
    }
    let width = extent[0].max(110.0);
    let key_top = extent[1] + 4.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, title, note, note, content);
    let into = Rect::new(area.x + (width - extent[0]) / 2.0, area.y, extent[0], extent[1]);
    let at = |p: &Pt| [into.x + p[0] * scale, into.y + p[1] * scale];
    let polygon = |points: &[Pt]| Path::polygon(points.iter().map(at));
    c.image(into, "image/jpeg", photo.jpeg);
    c.clipped("photo", into, |c| {
        if marks.balance.is_some() {
            let ahead = polygon(&marks.ahead);
            c.named_path("area-ahead", &ahead, Paint::veil(Ink::Ahead, 0.45));
            c.pattern(&ahead, Hatch::Rising, Ink::Edge);
        }
        haloed(c, "sheet", &polygon(&marks.sheet), SHEET);
        for (from, out, word) in &marks.ticks {
            let (from, out) = (at(from), at(out));
            haloed(c, "tick", &Path::segment(from, out), SHEET);
            let beyond = [2.2 * out[0] - 1.2 * from[0], 2.2 * out[1] - 1.2 * from[1]];
            c.text(beyond, word, Text::SMALL.in_ink(Ink::Text).centred().halo());
        }
        let [nose, tail] = marks.axis.map(|p| at(&p));
        haloed(c, "axis", &Path::segment(nose, tail), AXIS);
        haloed(c, "outline", &polygon(&marks.outline), OUTLINE);
        for [a, b] in &marks.lines {
            haloed(c, "by-hand", &Path::segment(at(a), at(b)), BY_HAND);
        }
        if let Some((_, [a, b])) = &marks.balance {
            haloed(c, "balance-line", &Path::segment(at(a), at(b)), BALANCE);
        }
        numbers(c, &marks.points.iter().map(at).collect::<Vec<_>>());
        if let Some((place, _)) = &marks.balance {
            frame::balance_mark(c, at(place), 2.0);
        }
    });
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// A line that shows on light and dark ground.
fn haloed(c: &mut Canvas<'_>, class: &str, path: &Path, stroke: Stroke) {
    let under = Stroke::solid(Ink::Ground, stroke.width + 0.5);
    c.path(path, Paint::stroke(under));
    c.named_path(class, path, Paint::stroke(stroke));
}

/// Points with their numbers outside the outline.
fn numbers(c: &mut Canvas<'_>, points: &[Pt]) {
    let n = points.len().max(1) as f64;
    let middle = points.iter().fold([0.0; 2], |m, p| [m[0] + p[0] / n, m[1] + p[1] / n]);
    let mut last: Option<Pt> = None;
    c.group("points", |c| {
        for (i, p) in points.iter().enumerate() {
            c.path(&Path::circle(*p, 0.75), Paint::fill(Ink::Ground));
            c.path(&Path::circle(*p, 0.5), Paint::fill(Ink::Alarm));
            let far = |q: Pt| (q[0] - p[0]).hypot(q[1] - p[1]);
            if last.is_some_and(|q| far(q) < CROWDED) {
                continue;
            }
            last = Some(*p);
            let out = [p[0] - middle[0], p[1] - middle[1]];
            let length = out[0].hypot(out[1]).max(1e-9);
            let place = [p[0] + out[0] / length * 3.0, p[1] + out[1] / length * 3.0];
            let style = Text::SMALL.in_ink(Ink::Text).strong().centred().halo();
            c.text(place, &(i + 1).to_string(), style);
        }
    });
}
