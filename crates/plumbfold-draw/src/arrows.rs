//! The trade's arrows: fold towards the folder (full head), fold behind (half a hollow head), fold
//! and unfold (a head at either end), open (hollow all along), tuck under (its end hidden), push in
//! (a wedge), turn over, rotate; a stroke across an arrow: once more behind.

use crate::style::{Ink, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt};
use crate::text::{Text, decimals};

/// Which fold an arrow shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FoldArrow {
    /// Towards the folder.
    #[default]
    Valley,
    /// Away from the folder, behind.
    Mountain,
    /// Fold and unfold.
    Crease,
    /// Open a fold.
    Unfold,
    /// Under another flap.
    Tuck,
    /// Pushed in, between layers.
    Push,
}

#[derive(Clone, Copy)]
enum Head {
    Full,
    Hollow,
    /// One barb.
    Half,
}

const HEAD: f64 = 2.7;

/// A curved arrow from where the moving paper is to where it goes. It bows to the left of its
/// direction for a positive `bow`, by that fraction of its length.
pub fn fold_arrow(canvas: &mut Canvas<'_>, from: Pt, to: Pt, bow: f64, kind: FoldArrow) {
    let d = [to[0] - from[0], to[1] - from[1]];
    let length = d[0].hypot(d[1]);
    if length < 0.5 {
        return;
    }
    if kind == FoldArrow::Push {
        return push(canvas, from, [d[0] / length, d[1] / length]);
    }
    let head = HEAD.min(length * 0.4);
    let control = [(from[0] + to[0]) / 2.0 + d[1] * bow, (from[1] + to[1]) / 2.0 - d[0] * bow];
    canvas.group("fold-arrow", |c| {
        let (a, b) = (shy(from, control, 0.4), shy(to, control, 0.4));
        let start = if kind == FoldArrow::Crease { shy(a, control, head * 0.8) } else { a };
        let end = shy(b, control, head * 0.8);
        let line = Path::new().to(start).quad(control, end);
        // A rim keeps the arrow apart from the creases it crosses.
        c.path(&line, Paint::stroke(Stroke::solid(Ink::Plain, weight::BOLD + 0.6)));
        match kind {
            FoldArrow::Unfold => {
                c.path(&line, Paint::stroke(Stroke::solid(Ink::Move, SHAFT)));
                c.path(&line, Paint::stroke(Stroke::solid(Ink::Plain, SHAFT - 2.0 * weight::LINE)));
            }
            FoldArrow::Tuck => {
                let [seen, hidden] = halves(start, control, end, 0.6);
                c.path(&seen, Paint::stroke(Stroke::ARROW));
                c.path(&hidden, Paint::stroke(Stroke { dash: &[0.9, 0.7], ..Stroke::ARROW }));
            }
            _ => c.path(&line, Paint::stroke(Stroke::ARROW)),
        }
        let kind_of_head = match kind {
            FoldArrow::Valley | FoldArrow::Crease | FoldArrow::Tuck | FoldArrow::Push => Head::Full,
            FoldArrow::Mountain => Head::Half,
            FoldArrow::Unfold => Head::Hollow,
        };
        arrow_head(c, b, control, head, kind_of_head);
        if kind == FoldArrow::Crease {
            arrow_head(c, a, control, head, Head::Hollow);
        }
    });
}

/// A stroke across the arrow between these places: the same once more, on the half behind.
pub fn repeat(canvas: &mut Canvas<'_>, from: Pt, to: Pt, bow: f64) {
    const HALF: f64 = 1.9;
    let d = [to[0] - from[0], to[1] - from[1]];
    let length = d[0].hypot(d[1]).max(1e-9);
    // The curve's own middle lies half way out to its control.
    let middle = [(from[0] + to[0] + d[1] * bow) / 2.0, (from[1] + to[1] - d[0] * bow) / 2.0];
    let out = [d[1] / length * HALF, -d[0] / length * HALF];
    let [a, b] = [1.0, -1.0].map(|k| [middle[0] + k * out[0], middle[1] + k * out[1]]);
    canvas.group("repeat", |c| {
        c.path(&Path::segment(a, b), Paint::stroke(Stroke::solid(Ink::Plain, weight::BOLD + 0.6)));
        c.path(&Path::segment(a, b), Paint::stroke(Stroke::ARROW));
    });
}

/// Width of an arrow that is hollow all along, mm.
const SHAFT: f64 = 1.3;

/// A curve cut in two at a share of its way.
fn halves(from: Pt, control: Pt, to: Pt, share: f64) -> [Path; 2] {
    let between = |a: Pt, b: Pt| [0, 1].map(|k| a[k] + (b[k] - a[k]) * share);
    let (p, q) = (between(from, control), between(control, to));
    let cut = between(p, q);
    [Path::new().to(from).quad(p, cut), Path::new().to(cut).quad(q, to)]
}

/// Length of the wedge that shows where to push, mm.
const WEDGE: f64 = 5.0;

/// A wedge just outside a corner, pointing the way that corner is pushed.
fn push(canvas: &mut Canvas<'_>, corner: Pt, way: Pt) {
    let n = [-way[1], way[0]];
    let at = |back: f64, out: f64| {
        [corner[0] - way[0] * back + n[0] * out, corner[1] - way[1] * back + n[1] * out]
    };
    let (near, far) = (0.8, 0.8 + WEDGE);
    let shape = Path::polygon([at(near, 0.0), at(far, 1.6), at(far - 1.3, 0.0), at(far, -1.6)]);
    canvas.group("push", |c| c.path(&shape, Paint::fill(Ink::Move)));
}

/// A place moved `by` mm towards another.
fn shy(p: Pt, towards: Pt, by: f64) -> Pt {
    let d = [towards[0] - p[0], towards[1] - p[1]];
    let l = d[0].hypot(d[1]).max(1e-9);
    [p[0] + d[0] / l * by, p[1] + d[1] / l * by]
}

fn arrow_head(c: &mut Canvas<'_>, tip: Pt, from: Pt, length: f64, head: Head) {
    let d = [tip[0] - from[0], tip[1] - from[1]];
    let l = d[0].hypot(d[1]).max(1e-9);
    let u = [d[0] / l, d[1] / l];
    let n = [-u[1], u[0]];
    let back = |along: f64, out: f64| {
        [tip[0] - u[0] * along + n[0] * out, tip[1] - u[1] * along + n[1] * out]
    };
    let barbs = match head {
        Head::Half => [back(length, length * 0.45), back(length, 0.0)],
        _ => [back(length, length * 0.36), back(length, -length * 0.36)],
    };
    let shape = Path::polygon([tip, barbs[0], barbs[1]]);
    match head {
        Head::Full => {
            c.path(&shape, Paint::both(Ink::Move, Stroke::solid(Ink::Move, weight::THIN)))
        }
        Head::Hollow | Head::Half => {
            c.path(&shape, Paint::both(Ink::Plain, Stroke::solid(Ink::Move, weight::LINE)));
        }
    }
}

/// A straight arrow, full head at its end.
pub fn straight(canvas: &mut Canvas<'_>, from: Pt, to: Pt, ink: Ink) {
    let head = 2.0;
    canvas.path(
        &Path::segment(from, shy(to, from, head * 0.8)),
        Paint::stroke(Stroke::solid(ink, weight::LINE)),
    );
    let d = [to[0] - from[0], to[1] - from[1]];
    let l = d[0].hypot(d[1]).max(1e-9);
    let (u, n) = ([d[0] / l, d[1] / l], [-d[1] / l, d[0] / l]);
    let wing = |k: f64| [to[0] - u[0] * head + n[0] * k, to[1] - u[1] * head + n[1] * k];
    canvas.path(&Path::polygon([to, wing(0.7), wing(-0.7)]), Paint::fill(ink));
}

/// Turn the model over, left to right: an arrow with a loop. `at` is its middle.
pub fn turn_over(canvas: &mut Canvas<'_>, at: Pt) {
    canvas.group("turn-over", |c| {
        const N: usize = 40;
        let place = |i: usize| {
            let t = i as f64 / N as f64;
            let phase = std::f64::consts::TAU * t;
            [at[0] + 17.0 * (t - 0.5) + 5.6 * phase.sin(), at[1] + 1.6 - 2.5 * (1.0 - phase.cos())]
        };
        let line = Path::polyline((0..N).map(place));
        c.path(&line, Paint::stroke(Stroke::ARROW));
        arrow_head(c, place(N), place(N - 2), HEAD, Head::Full);
    });
}

/// Turn the model on the table by an angle, anticlockwise positive.
pub fn rotate(canvas: &mut Canvas<'_>, at: Pt, angle_rad: f64) {
    canvas.group("rotate", |c| {
        let r = 5.0;
        let clockwise = angle_rad < 0.0;
        let place = |degrees: f64| {
            let a = degrees.to_radians();
            let x = if clockwise { a.sin() } else { -a.sin() };
            [at[0] + r * x, at[1] - r * a.cos()]
        };
        let arc = Path::new().to(place(-130.0)).arc(r, true, clockwise, place(115.0));
        c.path(&arc, Paint::stroke(Stroke::ARROW));
        arrow_head(c, place(135.0), place(112.0), HEAD, Head::Full);
        let label = format!("{}°", decimals(angle_rad.to_degrees().abs(), 1));
        c.text(at, &label, Text::SMALL.in_ink(Ink::Text).centred());
    });
}
