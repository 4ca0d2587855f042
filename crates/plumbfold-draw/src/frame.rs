//! What pictures share beside the thing drawn: margins and heading, the key, dimension lines and
//! marks.

use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, shorten};

/// White space round a picture, mm.
pub const MARGIN: f64 = 7.0;
/// Room for the heading of a picture that stands alone, mm.
const HEADING: f64 = 14.0;

/// A canvas with margins and, for a picture that stands alone, a heading; the rectangle is what
/// is left for the thing drawn, of size `content` at least.
pub fn start<'a>(
    look: &'a Look,
    title: &str,
    note: &str,
    description: &str,
    content: Pt,
) -> (Canvas<'a>, Rect) {
    let [_, top] = origin(look);
    let size = [content[0] + 2.0 * MARGIN, content[1] + top + MARGIN];
    let spoken = if note.is_empty() { title.to_owned() } else { format!("{title}: {note}") };
    let mut canvas = Canvas::new(look, size, &spoken, description);
    if look.standalone {
        let w = size[0] - 2.0 * MARGIN;
        canvas.text([MARGIN, MARGIN + 3.6], &shorten(title, Text::TITLE, w), Text::TITLE);
        canvas.text([MARGIN, MARGIN + 8.6], &shorten(note, Text::SMALL, w), Text::SMALL);
    }
    (canvas, Rect::new(MARGIN, top, content[0], content[1]))
}

/// Upper left corner of what is drawn with [`start`].
pub fn origin(look: &Look) -> Pt {
    [MARGIN, if look.standalone { MARGIN + HEADING } else { MARGIN }]
}

/// One entry of a key.
#[derive(Clone, Debug, PartialEq)]
pub enum Sample {
    /// A stretch of line.
    Line(Stroke),
    /// A patch, with a letter where there is one.
    Patch(Ink, Hatch, &'static str),
    /// Paper marked as concerned in a fault.
    Marked,
    /// The throw a plane is meant for.
    Meant,
    /// A point as measured.
    Dot(Ink),
    /// The balance mark.
    Balance,
    /// The neutral point.
    Neutral,
}

const SAMPLE: f64 = 8.0;
/// Height of one row of a key, mm.
pub const KEY_ROW: f64 = 5.4;

fn key_places(items: &[(Sample, &str)], width: f64) -> (Vec<Pt>, usize) {
    let (mut x, mut row) = (0.0, 0);
    let mut places = Vec::with_capacity(items.len());
    for (_, label) in items {
        let w = SAMPLE + 1.8 + Text::SMALL.width(label);
        if x > 0.0 && x + w > width {
            (x, row) = (0.0, row + 1);
        }
        places.push([x, row as f64 * KEY_ROW]);
        x += w + 6.0;
    }
    (places, if items.is_empty() { 0 } else { row + 1 })
}

/// Height a key takes in the given width, mm.
pub fn key_height(items: &[(Sample, &str)], width: f64) -> f64 {
    key_places(items, width).1 as f64 * KEY_ROW
}

/// A key, filling rows from the left; `at` is its upper left corner.
pub fn key(canvas: &mut Canvas<'_>, at: Pt, width: f64, items: &[(Sample, &str)]) {
    let (places, _) = key_places(items, width);
    canvas.group("key", |c| {
        for ((sample, label), place) in items.iter().zip(places) {
            let [x, y] = [at[0] + place[0], at[1] + place[1] + KEY_ROW / 2.0];
            let mid = [x + SAMPLE / 2.0, y];
            match sample {
                Sample::Line(stroke) => {
                    // On the ground a line of paper takes the colour of writing.
                    let ink = match stroke.ink {
                        Ink::Edge => Ink::Text,
                        Ink::EdgeSoft => Ink::Soft,
                        other => other,
                    };
                    c.path(
                        &Path::segment([x, y], [x + SAMPLE, y]),
                        Paint::stroke(stroke.in_ink(ink)),
                    );
                }
                Sample::Patch(ink, hatch, letter) => {
                    let r = Path::rect(Rect::new(x, y - 1.9, SAMPLE, 3.8));
                    c.path(&r, Paint::fill(*ink));
                    c.pattern(&r, *hatch, Ink::Text);
                    c.path(&r, Paint::stroke(Stroke::solid(Ink::Soft, weight::HAIR)));
                    letter_on(c, mid, letter, *ink);
                }
                Sample::Marked => {
                    let r = Path::rect(Rect::new(x, y - 1.9, SAMPLE, 3.8));
                    marked(c, &r);
                }
                Sample::Meant => meant_mark(c, mid, 2.0),
                Sample::Dot(ink) => c.path(&Path::circle(mid, 0.9), Paint::fill(*ink)),
                Sample::Balance => balance_mark(c, mid, 1.7),
                Sample::Neutral => neutral_mark(c, [mid[0], y - 1.5], 1.7),
            }
            c.text([x + SAMPLE + 1.8, y], label, Text::SMALL.level());
        }
    });
}

/// A letter on a patterned ground, with a rim of the ground's colour so that the pattern does
/// not run into it.
pub fn letter_on(canvas: &mut Canvas<'_>, at: Pt, letter: &str, ground: Ink) {
    if letter.is_empty() {
        return;
    }
    canvas.path(&Path::circle(at, 1.75), Paint::fill(ground));
    canvas.text(at, letter, Text::SMALL.in_ink(Ink::Text).strong().centred());
}

/// Paper concerned in a fault.
pub fn marked(canvas: &mut Canvas<'_>, shape: &Path) {
    canvas.path(shape, Paint::veil(Ink::Alarm, 0.22));
    canvas.pattern(shape, Hatch::Rising, Ink::Alarm);
    canvas.path(shape, Paint::stroke(Stroke::solid(Ink::Alarm, weight::LINE)));
}

/// A ring round the throw a plane is meant for.
pub fn meant_mark(canvas: &mut Canvas<'_>, at: Pt, radius: f64) {
    let ring = Path::circle(at, radius);
    canvas.path(&ring, Paint::stroke(Stroke::solid(Ink::Ground, weight::HEAVY + 0.7)));
    canvas.path(&ring, Paint::stroke(Stroke::solid(Ink::Text, weight::HEAVY)));
}

/// The engineering sign for a centre of gravity: a circle in quarters, two of them dark. It reads
/// in black and white and on any ground.
pub fn balance_mark(canvas: &mut Canvas<'_>, at: Pt, radius: f64) {
    let [x, y] = at;
    canvas.group("balance-mark", |c| {
        c.path(&Path::circle(at, radius + 0.45), Paint::fill(Ink::Ground));
        c.path(&Path::circle(at, radius), Paint::fill(Ink::Ground));
        let quarter = |dx: f64, dy: f64| {
            Path::new()
                .to(at)
                .line([x + dx * radius, y])
                .arc(radius, false, dx * dy > 0.0, [x, y + dy * radius])
                .close()
        };
        c.path(&quarter(1.0, -1.0).and(&quarter(-1.0, 1.0)), Paint::fill(Ink::Text));
        c.path(&Path::circle(at, radius), Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    });
}

/// Our sign for the neutral point: an open triangle standing on its point, as on a knife edge.
pub fn neutral_mark(canvas: &mut Canvas<'_>, at: Pt, radius: f64) {
    let [x, y] = at;
    let (w, h) = (radius * 0.95, radius * 1.75);
    let shape = Path::polygon([[x, y], [x + w, y + h], [x - w, y + h]]);
    canvas.group("neutral-mark", |c| {
        c.path(&shape, Paint::stroke(Stroke::solid(Ink::Ground, weight::LINE + 0.9)));
        c.path(&shape, Paint::both(Ink::Ground, Stroke::solid(Ink::Text, weight::LINE)));
    });
}

/// A dimension line from `a` to `b` with its measure written at the middle, `out` mm to the left
/// of the direction from `a` to `b`.
pub fn dimension(canvas: &mut Canvas<'_>, a: Pt, b: Pt, out: f64, measure: &str) {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]);
    if length < 1e-6 {
        return;
    }
    let u = [d[0] / length, d[1] / length];
    // Left of the direction on a canvas whose y runs down.
    let n = [u[1], -u[0]];
    let shift = |p: Pt, k: f64| [p[0] + n[0] * k, p[1] + n[1] * k];
    let (p, q) = (shift(a, out), shift(b, out));
    canvas.group("dimension", |c| {
        for (end, foot) in [(p, a), (q, b)] {
            let from = shift(foot, out.signum() * 1.2);
            let to = shift(end, out.signum() * 1.2);
            c.path(&Path::segment(from, to), Paint::stroke(Stroke::GRID.in_ink(Ink::Soft)));
        }
        c.path(&Path::segment(p, q), Paint::stroke(Stroke::AXIS));
        for (end, dir) in [(p, 1.0), (q, -1.0)] {
            let back = [end[0] + u[0] * 1.9 * dir, end[1] + u[1] * 1.9 * dir];
            let wing = |k: f64| [back[0] + n[0] * k, back[1] + n[1] * k];
            c.path(&Path::polygon([end, wing(0.45), wing(-0.45)]), Paint::fill(Ink::Soft));
        }
        let mid = [(p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0];
        let upright = u[1].abs() > u[0].abs();
        let style = Text::SMALL.in_ink(Ink::Text).centred();
        let style = if upright { style.turned() } else { style };
        // The line is broken for its measure.
        let gap = Text::SMALL.width(measure) / 2.0 + 1.0;
        if 2.0 * gap + 5.0 < length {
            let g = |k: f64| [mid[0] + u[0] * k, mid[1] + u[1] * k];
            c.path(
                &Path::segment(g(-gap), g(gap)),
                Paint::stroke(Stroke::solid(Ink::Ground, weight::HEAVY)),
            );
            c.text(mid, measure, style);
        } else {
            c.text(shift(mid, out.signum() * 2.4), measure, style);
        }
    });
}
