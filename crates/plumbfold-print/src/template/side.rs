//! One side of the sheet, drawn at 1:1.

use plumbfold::fold::state::Assignment;
use plumbfold::numeric::geom::SheetPoint;
use plumbfold::plane::airframe::TrimSurface;
use plumbfold_draw::fit::{Bounds, Fit};
use plumbfold_draw::frame;
use plumbfold_draw::paper::CreaseRun;
use plumbfold_draw::sheet;
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Canvas, Paint, Path, Pt, Rect};
use plumbfold_draw::text::{Anchor, Text};
use plumbfold_draw::units::Units;

use super::Template;
use crate::page::{Page, look};
use crate::surface::{BendMark, Mark};

/// A side of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The printed side of the design.
    Front,
    /// The other, seen from behind: left is right.
    Back,
}

impl Side {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Back => "back",
        }
    }
}

/// A page that is the sheet itself.
pub fn page(t: &Template<'_>, side: Side) -> Page {
    let size = t.sheet_mm();
    let mut page = Page::new(size);
    if side == Side::Front {
        page.bookmark = Some(t.name.clone());
    }
    let look = look(side.words());
    let mut c = Canvas::new(&look, size, &title(t, side), "The sheet at its true size.");
    let [w, h] = size;
    let sheet = Rect::new(0.0, 0.0, w, h);
    draw(&mut c, t, side, sheet);
    // Small sheets have no room for bars beside the lines.
    if w > 125.0 && h > 130.0 {
        // Above the usual bends along the lower edge.
        bars(&mut c, [11.0, h - 19.0]);
        words(&mut c, [15.0, h - 22.5], t, side);
    }
    page.written(c)
}

pub fn title(t: &Template<'_>, side: Side) -> String {
    format!("{}, {}", t.name, side.words())
}

/// The sheet with all its lines; `sheet` is where it lies on the canvas.
pub fn draw(c: &mut Canvas<'_>, t: &Template<'_>, side: Side, sheet: Rect) {
    let [w, h] = t.model.sheet_m;
    let fit = Fit::centred(&Bounds { low: [0.0; 2], high: [w, h] }, 1e3, sheet);
    let seen = |p: SheetPoint| match side {
        Side::Front => p,
        Side::Back => SheetPoint::new(w - p.x, p.y),
    };
    c.named_path("sheet", &Path::rect(sheet), Paint::stroke(Stroke::EDGE));
    let runs: Vec<CreaseRun> = t
        .runs
        .iter()
        .map(|r| CreaseRun {
            ends: r.ends.map(seen),
            state: match (side, r.state) {
                (Side::Back, Assignment::Mountain) => Assignment::Valley,
                (Side::Back, Assignment::Valley) => Assignment::Mountain,
                (_, state) => state,
            },
            ..*r
        })
        .collect();
    let here = |m: &&Mark| m.printed == (side == Side::Front);
    for bend in t.bends.iter().filter(|b| here(&&b.mark)) {
        draw_bend(c, bend, t.units, bend.mark.ends.map(|p| at(&fit, seen(p))));
    }
    for guide in &t.guides {
        for mark in guide.tick.iter().filter(here) {
            let [a, b] = mark.ends.map(|p| at(&fit, seen(p)));
            c.named_path("guide-tick", &Path::segment(a, b), Paint::stroke(GUIDE));
        }
        if here(&&guide.line) {
            draw_guide(c, guide.line.ends.map(|p| at(&fit, seen(p))));
        }
    }
    sheet::creases(c, &fit, t.model, &runs);
    for mark in t.balance.iter().filter(here) {
        draw_balance(c, mark.ends.map(|p| at(&fit, seen(p))));
    }
}

fn at(fit: &Fit, p: SheetPoint) -> Pt {
    fit.at([p.x, p.y])
}

/// Which way a trailing edge is bent, in the words of the hand that bends it.
fn bend_words(bend: &BendMark, units: Units) -> String {
    let amount = units.length(bend.deflection_m.abs());
    let way = match (bend.surface, bend.deflection_m > 0.0) {
        (TrimSurface::Rudder, true) => "right",
        (TrimSurface::Rudder, false) => "left",
        (_, true) => "up",
        (_, false) => "down",
    };
    format!("bend the edge {amount} {way}")
}

fn draw_bend(c: &mut Canvas<'_>, bend: &BendMark, units: Units, [a, b]: [Pt; 2]) {
    c.group("bend", |c| {
        let stroke = Stroke::dashed(Ink::Move, weight::THIN, &[5.0, 1.5]);
        c.named_path("bend-line", &Path::segment(a, b), Paint::stroke(stroke));
        let words = bend_words(bend, units);
        let style = Text::SMALL.in_ink(Ink::Move);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        let level = (b[1] - a[1]).abs() < 0.05 * length;
        if level && style.width(&words) + 4.0 < length {
            // Right of the middle, out of the way of what stands there.
            let x = a[0].min(b[0]) + length * 0.62;
            c.text([x, a[1] - 1.2], &words, Text { anchor: Anchor::Middle, ..style });
        }
    });
}

const GUIDE: Stroke = Stroke::solid(Ink::Two, weight::LINE);

/// The edge belongs on the middle line; the outer two are a millimetre off.
fn draw_guide(c: &mut Canvas<'_>, [a, b]: [Pt; 2]) {
    let d = [b[0] - a[0], b[1] - a[1]];
    let length = d[0].hypot(d[1]).max(1e-9);
    let beside = |out: f64, part: f64| {
        let n = [-d[1] / length * out, d[0] / length * out];
        let end = |t: f64| [a[0] + d[0] * t + n[0], a[1] + d[1] * t + n[1]];
        Path::segment(end(0.5 - part / 2.0), end(0.5 + part / 2.0))
    };
    c.group("guide", |c| {
        c.named_path("guide-line", &beside(0.0, 1.0), Paint::stroke(GUIDE));
        for out in [-1.0, 1.0] {
            let fine = Stroke { width: weight::HAIR, ..GUIDE };
            c.named_path("guide-fine", &beside(out, 0.6), Paint::stroke(fine));
        }
    });
}

fn draw_balance(c: &mut Canvas<'_>, [a, b]: [Pt; 2]) {
    c.group("balance", |c| {
        let line = Path::segment(a, b);
        c.named_path("balance-line", &line, Paint::stroke(Stroke::solid(Ink::Move, weight::THIN)));
        let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        frame::balance_mark(c, middle, 1.7);
    });
}

/// A bar of 100 mm across and one of 4 inches up, from one corner: a printer that scales, or
/// scales one way only, shows.
pub fn bars(c: &mut Canvas<'_>, corner: Pt) {
    const INCH: f64 = 25.4;
    let [x, y] = corner;
    let stroke = Paint::stroke(Stroke::solid(Ink::EdgeSoft, weight::THIN));
    c.group("check-bars", |c| {
        let ticks = (0..=10).fold(Path::new(), |path, i| {
            let at = x + f64::from(i) * 10.0;
            path.and(&Path::segment([at, y], [at, y + if i % 5 == 0 { 2.4 } else { 1.4 }]))
        });
        c.named_path("bar-100-mm", &Path::segment([x, y], [x + 100.0, y]), stroke);
        c.path(&ticks, stroke);
        let ticks = (0..=8).fold(Path::new(), |path, i| {
            let at = y - f64::from(i) * INCH / 2.0;
            path.and(&Path::segment([x, at], [x - if i % 2 == 0 { 2.4 } else { 1.4 }, at]))
        });
        c.named_path("bar-4-in", &Path::segment([x, y], [x, y - 4.0 * INCH]), stroke);
        c.path(&ticks, stroke);
        let style = Text::SMALL.in_ink(Ink::EdgeSoft);
        c.text([x + 62.0, y + 4.2], "100 mm", style);
        c.text([x - 1.2, y - 80.0], "4 in", style.turned());
    });
}

/// What to do with the page.
fn words(c: &mut Canvas<'_>, at: Pt, t: &Template<'_>, side: Side) {
    let [w, h] = t.sheet_mm();
    let begin = match (side, t.printed_down) {
        (Side::Front, false) => "Begin with this side up.",
        (Side::Front, true) => "Begin with this side down.",
        (Side::Back, _) if h >= w => "Printed on both sides: turned on the long edge.",
        (Side::Back, _) => "Printed on both sides: turned on the short edge.",
    };
    let text = format!(
        "{} ({}). Print at actual size (100 %) and measure both bars. {begin}",
        t.name,
        side.words()
    );
    // A rim, since it may lie on creases.
    let style = Text::SMALL.in_ink(Ink::EdgeSoft).halo();
    c.group("paragraph", |c| {
        let lines = plumbfold_draw::text::wrap(&text, style, 62.0);
        for (i, line) in lines.iter().enumerate() {
            let up = (lines.len() - 1 - i) as f64 * 3.6;
            c.text([at[0], at[1] - up], line, style);
        }
    });
}
