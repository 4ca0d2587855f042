//! Small drawings that explain a word: one for each number a reader may ask about.

use crate::arrows::straight;
use crate::frame::{balance_mark, neutral_mark};
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::Text;

/// Words with a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the words say it")]
pub enum Term {
    BalancePoint,
    AreaAhead,
    MeanChord,
    NeutralPoint,
    StaticMargin,
    Phugoid,
    GlideRatio,
}

const SIZE: Pt = [72.0, 44.0];
const THIN: Stroke = Stroke::solid(Ink::Soft, weight::THIN);
const NOTE: Text = Text::SMALL.in_ink(Ink::Text);

impl Term {
    /// Every word.
    pub const EVERY: [Self; 7] = [
        Self::BalancePoint,
        Self::AreaAhead,
        Self::MeanChord,
        Self::NeutralPoint,
        Self::StaticMargin,
        Self::Phugoid,
        Self::GlideRatio,
    ];

    /// The word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::BalancePoint => "balance point",
            Self::AreaAhead => "area ahead",
            Self::MeanChord => "mean aerodynamic chord",
            Self::NeutralPoint => "neutral point",
            Self::StaticMargin => "static margin",
            Self::Phugoid => "phugoid",
            Self::GlideRatio => "glide ratio",
        }
    }

    /// One plain sentence.
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::BalancePoint => "Where the plane rests level on one support.",
            Self::AreaAhead => {
                "How much of the wing, seen from above, lies ahead of the balance point."
            }
            Self::MeanChord => {
                "The chord of the rectangle that stands for the whole wing; its first quarter is where slender planes like to balance."
            }
            Self::NeutralPoint => {
                "The balance point at which a plane no longer cares where its nose points; ahead of it the plane rights itself."
            }
            Self::StaticMargin => {
                "How far the balance point lies ahead of the neutral point, in shares of the mean chord."
            }
            Self::Phugoid => "The slow swing between height and speed.",
            Self::GlideRatio => "How far the plane goes for each metre of height.",
        }
    }
}

/// The drawing of a word.
pub fn explain(look: &Look, term: Term) -> String {
    let mut c = Canvas::new(look, SIZE, term.word(), term.sentence());
    match term {
        Term::BalancePoint => on_edge(&mut c),
        Term::AreaAhead => area_ahead(&mut c),
        Term::MeanChord => mean_chord(&mut c),
        Term::NeutralPoint => margin(&mut c, false),
        Term::StaticMargin => margin(&mut c, true),
        Term::Phugoid => phugoid(&mut c),
        Term::GlideRatio => ratio(&mut c),
    }
    c.finish()
}

fn paper(c: &mut Canvas<'_>, points: &[Pt]) {
    let shape = Path::polygon(points.iter().copied());
    c.path(&shape, Paint::both(Ink::Printed, Stroke::EDGE));
}

/// The wing of a dart from above, nose on the right; `cut` is where it is divided.
const WING: [Pt; 6] =
    [[62.0, 20.0], [20.0, 36.0], [12.0, 36.0], [12.0, 4.0], [20.0, 4.0], [62.0, 20.0]];

/// A plate from the side, nose on the right; gives places along it, counted from its middle.
fn plate(c: &mut Canvas<'_>, middle: Pt, length: f64) -> impl Fn(f64) -> Pt + use<> {
    let at = move |along: f64| [middle[0] + along, middle[1]];
    let line = Path::segment(at(-length / 2.0), at(length / 2.0));
    c.path(&line, Paint::stroke(Stroke::solid(Ink::Text, weight::HEAVY)));
    at
}

fn on_edge(c: &mut Canvas<'_>) {
    let at = plate(c, [36.0, 18.0], 48.0);
    let p = at(6.0);
    let edge = Path::polygon([[p[0], p[1] + 2.2], [p[0] + 5.0, 36.0], [p[0] - 5.0, 36.0]]);
    c.path(&edge, Paint::both(Ink::Behind, THIN));
    balance_mark(c, p, 2.2);
    c.text([p[0], 10.0], "balance point", NOTE.middle());
    c.text([62.0, 19.0], "nose", Text::SMALL);
}

fn area_ahead(c: &mut Canvas<'_>) {
    // A quarter of the area lies beyond: half-width 16/42 of the distance from the nose, wing of
    // 42 * 16 + 8 * 32 mm2 (closed form).
    let x = 62.0 - (232.0_f64 * 42.0 / 16.0).sqrt();
    // On the slanted edge from (62, 20) to (20, 36).
    let y = 20.0 + (62.0 - x) * 16.0 / 42.0;
    paper(c, &WING[..5]);
    let ahead = Path::polygon([[62.0, 20.0], [x, y], [x, 40.0 - y]]);
    c.path(&ahead, Paint::fill(Ink::Ahead));
    c.pattern(&ahead, Hatch::Rising, Ink::Edge);
    c.path(&ahead, Paint::stroke(Stroke::EDGE));
    c.path(
        &Path::segment([x, 2.0], [x, 38.0]),
        Paint::stroke(Stroke::solid(Ink::Text, weight::BOLD)),
    );
    balance_mark(c, [x, 20.0], 2.2);
    c.text([51.0, 11.0], "25 % ahead", NOTE);
    c.text([14.0, 42.0], "75 % behind", NOTE);
}

fn mean_chord(c: &mut Canvas<'_>) {
    paper(c, &WING[..5]);
    // Chord 50 - 2.625 y and leading edge 62 - 2.625 y, y from 0 to 16: the integrals of Yates
    // 1952 give a chord of 34.07 that begins at 46.07, the chord of the wing at y = 6.07.
    let (tail, le, y) = (12.0, 46.07, 26.07);
    let quarter = le - (le - tail) / 4.0;
    c.path(
        &Path::rect(Rect::new(tail, y - 1.1, le - tail, 2.2)),
        Paint::both(Ink::Ground, Stroke::EDGE),
    );
    c.path(&Path::rect(Rect::new(quarter, y - 1.1, le - quarter, 2.2)), Paint::fill(Ink::Text));
    c.path(
        &Path::segment([quarter, 2.0], [quarter, 34.0]),
        Paint::stroke(Stroke::HIDDEN.in_ink(Ink::Text)),
    );
    c.text([quarter + 1.5, 4.5], "first quarter", NOTE);
    c.text([14.0, 42.0], "mean aerodynamic chord", NOTE);
}

fn margin(c: &mut Canvas<'_>, measured: bool) {
    let at = plate(c, [36.0, 20.0], 54.0);
    let (cg, neutral) = (at(9.0), at(0.0));
    if measured {
        crate::frame::dimension(c, [neutral[0], 17.0], [cg[0], 17.0], 6.0, "margin");
    } else {
        c.text([neutral[0] - 3.0, 33.5], "neutral point", NOTE.end());
        c.text([cg[0] + 5.0, 33.5], "stable ahead", NOTE);
        straight(c, [neutral[0] + 2.0, 29.0], [cg[0] + 14.0, 29.0], Ink::Move);
    }
    neutral_mark(c, neutral, 2.2);
    balance_mark(c, cg, 2.2);
    if measured {
        c.text([neutral[0] - 2.0, 30.0], "neutral point", NOTE.end());
        c.text([cg[0] + 2.0, 30.0], "balance point", NOTE);
    }
}

fn phugoid(c: &mut Canvas<'_>) {
    let place = |t: f64| {
        let swing = 8.0 * (-0.012 * t).exp() * (t / 7.0).cos();
        [5.0 + t, 10.0 + t * 0.28 - swing]
    };
    let line = Path::polyline((0..=124).map(|i| place(f64::from(i) * 0.5)));
    c.path(&line, Paint::stroke(Stroke::solid(Ink::Move, weight::BOLD)));
    let mean = Path::segment([5.0, 10.0], [67.0, 10.0 + 62.0 * 0.28]);
    c.path(&mean, Paint::stroke(Stroke::HIDDEN.in_ink(Ink::Text)));
    c.text([36.0, 7.0], "high and slow", NOTE);
    c.text([18.0, 29.0], "low and fast", NOTE);
    c.path(
        &Path::segment([2.0, 40.0], [70.0, 40.0]),
        Paint::stroke(Stroke::solid(Ink::Text, weight::BOLD)),
    );
}

fn ratio(c: &mut Canvas<'_>) {
    let (a, b) = ([8.0, 9.0], [64.0, 36.0]);
    c.path(&Path::segment(a, b), Paint::stroke(Stroke::solid(Ink::Move, weight::BOLD)));
    c.path(&Path::polyline([a, [a[0], b[1]], b]), Paint::stroke(Stroke::HIDDEN.in_ink(Ink::Text)));
    c.text([a[0] + 2.0, 24.0], "1 m down", NOTE.level());
    c.text([36.0, 41.0], "so many metres along", NOTE.middle());
}
