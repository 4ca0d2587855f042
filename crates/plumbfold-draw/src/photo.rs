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

/// What was found, in dots of the photo, x right, y down; of a photo that could not be measured, as far
/// as it went.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Marks {
    /// Border of the sheet.
    pub sheet: Vec<Pt>,
    /// Whether the sheet is only a guess.
    pub guessed: bool,
    /// Measures along the sheet: where, a place outwards of it, what to write. Without them dots are
    /// counted along the border of the photo.
    pub ticks: Vec<(Pt, Pt, String)>,
    /// Borders of what stands out from the paper, where that is no plane yet.
    pub pieces: Vec<Vec<Pt>>,
    /// The outline.
    pub outline: Vec<Pt>,
    /// Its part ahead of the balance point.
    pub ahead: Vec<Pt>,
    /// Its corners, in the order of their numbers.
    pub points: Vec<Pt>,
    /// Nose and tail.
    pub axis: Option<[Pt; 2]>,
    /// The balance point and the line across the wing through it.
    pub balance: Option<(Pt, [Pt; 2])>,
    /// Lines measured by hand.
    pub lines: Vec<[Pt; 2]>,
}

/// Largest photo on the canvas, mm.
const ROOM: Pt = [180.0, 200.0];
const SHEET: Stroke = Stroke::solid(Ink::Two, weight::LINE);
const PIECE: Stroke = Stroke::dashed(Ink::Move, weight::LINE, &[1.4, 1.0]);
const OUTLINE: Stroke = Stroke::solid(Ink::Alarm, weight::LINE);
const AXIS: Stroke = Stroke::dashed(Ink::Alarm, weight::THIN, &[2.6, 0.8, 0.36, 0.8]);
const BALANCE: Stroke = Stroke::solid(Ink::Text, weight::BOLD);
const BY_HAND: Stroke = Stroke::dashed(Ink::Move, weight::LINE, &[1.4, 1.0]);
/// Points nearer to the last numbered one get no number, mm.
const CROWDED: f64 = 3.4;
/// Length of a tick along the border of the photo, of its width.
const TICK: f64 = 0.015;

/// Draws what was found over the photo.
pub fn traced(look: &Look, title: &str, note: &str, photo: Photo<'_>, marks: &Marks) -> String {
    let [w, h] = photo.size;
    let scale = (ROOM[0] / w).min(ROOM[1] / h);
    let extent = [w * scale, h * scale];
    let items = key(marks);
    let width = extent[0].max(110.0);
    let key_top = extent[1] + 4.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, title, note, note, content);
    let into = Rect::new(area.x + (width - extent[0]) / 2.0, area.y, extent[0], extent[1]);
    let at = |p: &Pt| [into.x + p[0] * scale, into.y + p[1] * scale];
    let polygon = |points: &[Pt]| Path::polygon(points.iter().map(at));
    let segment = |[a, b]: &[Pt; 2]| Path::segment(at(a), at(b));
    c.image(into, "image/jpeg", photo.jpeg);
    c.clipped("photo", into, |c| {
        if !marks.ahead.is_empty() {
            let ahead = polygon(&marks.ahead);
            c.named_path("area-ahead", &ahead, Paint::veil(Ink::Ahead, 0.72));
            c.pattern(&ahead, Hatch::Rising, Ink::Edge);
        }
        if !marks.sheet.is_empty() {
            haloed(c, "sheet", &polygon(&marks.sheet), SHEET);
        }
        let label = Text::SMALL.in_ink(Ink::Text).centred().halo();
        for (from, out, word) in &marks.ticks {
            let (from, out) = (at(from), at(out));
            haloed(c, "tick", &Path::segment(from, out), SHEET);
            let beyond = [2.2 * out[0] - 1.2 * from[0], 2.2 * out[1] - 1.2 * from[1]];
            c.text(beyond, word, label);
        }
        if marks.ticks.is_empty() {
            for (ends, beyond, word) in dots_along_the_border(photo.size) {
                haloed(c, "tick", &segment(&ends), SHEET);
                let [x, y] = at(&ends[1]);
                c.text([x + beyond[0], y + beyond[1]], &word, label);
            }
        }
        for piece in &marks.pieces {
            haloed(c, "piece", &polygon(piece), PIECE);
        }
        if let Some(axis) = &marks.axis {
            haloed(c, "axis", &segment(axis), AXIS);
        }
        if !marks.outline.is_empty() {
            haloed(c, "outline", &polygon(&marks.outline), OUTLINE);
        }
        for line in &marks.lines {
            haloed(c, "by-hand", &segment(line), BY_HAND);
        }
        if let Some((_, line)) = &marks.balance {
            haloed(c, "balance-line", &segment(line), BALANCE);
        }
        numbers(c, &marks.points.iter().map(at).collect::<Vec<_>>());
        if let Some((place, _)) = &marks.balance {
            frame::balance_mark(c, at(place), 2.0);
        }
    });
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// What the lines mean.
fn key(marks: &Marks) -> Vec<(Sample, &'static str)> {
    let sheet = match (marks.guessed, marks.ticks.is_empty()) {
        (true, _) => "the sheet, as a guess",
        (false, true) => "sheet",
        (false, false) => "sheet, with mm along it",
    };
    let ahead = Sample::Patch(Ink::Ahead, Hatch::Rising, "");
    [
        (!marks.sheet.is_empty(), Sample::Line(SHEET), sheet),
        (!marks.pieces.is_empty(), Sample::Line(PIECE), "what stands out from the paper"),
        (!marks.outline.is_empty(), Sample::Line(OUTLINE), "outline, with its points"),
        (marks.axis.is_some(), Sample::Line(AXIS), "line of symmetry"),
        (!marks.ahead.is_empty(), ahead, "area ahead of the balance point"),
        (!marks.lines.is_empty(), Sample::Line(BY_HAND), "measured by hand"),
    ]
    .into_iter()
    .filter_map(|(drawn, sample, words)| drawn.then_some((sample, words)))
    .collect()
}

/// Ticks at round numbers of dots, some six along the longer side: both ends, where to write, what.
fn dots_along_the_border([w, h]: Pt) -> Vec<([Pt; 2], Pt, String)> {
    let step = [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];
    let step = step.into_iter().find(|s| w.max(h) / s < 8.0).unwrap_or(5000.0);
    let rounds = |length: f64| {
        (1..).map(|i| f64::from(i) * step).take_while(move |&v| v < length - 0.2 * step)
    };
    let along_x = rounds(w).map(|x| ([[x, 0.0], [x, TICK * w]], [0.0, 3.4], format!("{x:.0}")));
    let along_y = rounds(h).map(|y| ([[0.0, y], [TICK * w, y]], [4.0, 0.8], format!("{y:.0}")));
    along_x.chain(along_y).collect()
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
