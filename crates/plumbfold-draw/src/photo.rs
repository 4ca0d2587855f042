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
            c.named_path("area-ahead", &ahead, Paint::veil(Ink::Ahead, 0.72));
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

/// What was found of a photo that could not be measured, in its dots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Unfinished {
    /// Corners of the sheet.
    pub sheet: Vec<Pt>,
    /// Whether they are only a guess.
    pub guessed: bool,
    /// Borders of what stands out from the paper.
    pub pieces: Vec<Vec<Pt>>,
    /// Points of the outline, in the order of their numbers.
    pub outline: Vec<Pt>,
}

const PIECE: Stroke = Stroke::dashed(Ink::Move, weight::LINE, &[1.4, 1.0]);

/// Draws over a photo how far its measuring went, with dots along its border for corrections.
pub fn unfinished(look: &Look, title: &str, why: &str, photo: Photo<'_>, u: &Unfinished) -> String {
    let [w, h] = photo.size;
    let scale = (ROOM[0] / w).min(ROOM[1] / h);
    let mut items = Vec::new();
    if !u.sheet.is_empty() {
        let words = if u.guessed { "the sheet, as a guess" } else { "sheet" };
        items.push((Sample::Line(SHEET), words));
    }
    if !u.pieces.is_empty() {
        items.push((Sample::Line(PIECE), "what stands out from the paper"));
    }
    if !u.outline.is_empty() {
        items.push((Sample::Line(OUTLINE), "outline, with its points"));
    }
    let width = (w * scale).max(110.0);
    let key_top = h * scale + 4.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, title, why, why, content);
    let into = Rect::new(area.x + (width - w * scale) / 2.0, area.y, w * scale, h * scale);
    let at = |p: &Pt| [into.x + p[0] * scale, into.y + p[1] * scale];
    let polygon = |points: &[Pt]| Path::polygon(points.iter().map(at));
    c.image(into, "image/jpeg", photo.jpeg);
    c.clipped("photo", into, |c| {
        if !u.sheet.is_empty() {
            haloed(c, "sheet", &polygon(&u.sheet), SHEET);
        }
        for piece in &u.pieces {
            haloed(c, "piece", &polygon(piece), PIECE);
        }
        if !u.outline.is_empty() {
            haloed(c, "outline", &polygon(&u.outline), OUTLINE);
            numbers(c, &u.outline.iter().map(at).collect::<Vec<_>>());
        }
        // Some six along the longer side, at round numbers.
        let step = [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];
        let step = step.into_iter().find(|s| w.max(h) / s < 8.0).unwrap_or(5000.0);
        let rounds = |length: f64| {
            (1..).map(|i| f64::from(i) * step).take_while(move |&v| v < length - 0.2 * step)
        };
        let style = || Text::SMALL.in_ink(Ink::Text).centred().halo();
        for x in rounds(w) {
            haloed(c, "tick", &Path::segment(at(&[x, 0.0]), at(&[x, 0.015 * w])), SHEET);
            c.text(
                [at(&[x, 0.0])[0], into.y + 0.015 * w * scale + 3.4],
                &format!("{x:.0}"),
                style(),
            );
        }
        for y in rounds(h) {
            haloed(c, "tick", &Path::segment(at(&[0.0, y]), at(&[0.015 * w, y])), SHEET);
            c.text(
                [into.x + 0.015 * w * scale + 4.0, at(&[0.0, y])[1] + 0.8],
                &format!("{y:.0}"),
                style(),
            );
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
