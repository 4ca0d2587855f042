//! One side of the sheet, drawn at 1:1.

use plumbfold::fold::state::Assignment;
use plumbfold::numeric::geom::SheetPoint;
use plumbfold::plane::airframe::TrimSurface;
use plumbfold_draw::fit::{Bounds, Fit};
use plumbfold_draw::frame;
use plumbfold_draw::labels::Labels;
use plumbfold_draw::paper::CreaseRun;
use plumbfold_draw::sheet;
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Canvas, Paint, Path, Pt, Rect};
use plumbfold_draw::text::{Anchor, Text, shorten, wrap};
use plumbfold_draw::units::Units;

use super::Template;
use crate::page::{Page, look};
use crate::surface::{BendMark, Mark};

/// What printers leave white, mm.
const RIM: f64 = 3.0;

/// Width of a name on the sheet, mm, before it is cut.
pub const NAME: f64 = 60.0;

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
    let mut labels = Labels::within(sheet);
    let mut taken = Vec::new();
    // Small sheets have no room for bars beside the lines.
    if w > 125.0 && h > 130.0 {
        for [a, b] in lines(t, side, sheet) {
            labels.keep_clear_along(a, b);
        }
        // Above the usual bends along the lower edge, and along no crease.
        let y = h - 19.0;
        let crossed = |x: f64| labels.overlapping(&Rect::new(x - 4.0, y - 102.0, 5.5, 102.0));
        let x = [11.0, 15.0, 19.0, 23.0].into_iter().min_by_key(|&x| crossed(x)).unwrap_or(11.0);
        taken = bars(&mut c, [x, y], &mut labels);
        taken.push(words(&mut c, [x + 4.0, y - 3.5], t, side, &mut labels));
    }
    draw(&mut c, t, side, sheet, &taken);
    page.written(c)
}

pub fn title(t: &Template<'_>, side: Side) -> String {
    format!("{}, {}", t.name, side.words())
}

/// A place of the sheet as it is seen from a side.
fn seen(t: &Template<'_>, side: Side, p: SheetPoint) -> SheetPoint {
    match side {
        Side::Front => p,
        Side::Back => SheetPoint::new(t.model.sheet_m[0] - p.x, p.y),
    }
}

fn fit_of(t: &Template<'_>, sheet: Rect) -> Fit {
    fit_of_scale(t, 1e3, sheet)
}

fn fit_of_scale(t: &Template<'_>, scale: f64, sheet: Rect) -> Fit {
    Fit::centred(&Bounds { low: [0.0; 2], high: t.model.sheet_m }, scale, sheet)
}

/// Everything that is drawn as a line, on the canvas.
fn lines(t: &Template<'_>, side: Side, sheet: Rect) -> Vec<[Pt; 2]> {
    let fit = fit_of(t, sheet);
    let guides = t.guides.iter().flat_map(|g| g.marks());
    let marks = t.balance.iter().chain(t.bends.iter().map(|b| &b.mark)).chain(guides);
    let here = marks.filter(|m| m.printed == (side == Side::Front)).map(|m| m.ends);
    let ends = t.runs.iter().map(|r| r.ends).chain(here);
    ends.map(|e| e.map(|p| at(&fit, seen(t, side, p)))).collect()
}

/// The sheet with all its lines; `sheet` is where it lies on the canvas, `taken` where there is
/// writing.
pub fn draw(c: &mut Canvas<'_>, t: &Template<'_>, side: Side, sheet: Rect, taken: &[Rect]) {
    let fit = fit_of(t, sheet);
    let seen = |p: SheetPoint| seen(t, side, p);
    // No printer reaches the rim. Where no place is free of lines, one free of writing does.
    let mut labels = [(); 2].map(|()| Labels::within(sheet.inset(RIM)));
    labels.iter_mut().for_each(|l| taken.iter().for_each(|&r| l.keep_clear(r)));
    for [a, b] in lines(t, side, sheet) {
        labels[0].keep_clear_along(a, b);
    }
    let mut taken = taken.to_vec();
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
        let ends = bend.mark.ends.map(|p| at(&fit, seen(p)));
        taken.push(draw_bend(c, bend, t.units, ends, &mut labels));
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
    let balance = t.balance.iter().filter(here).map(|m| m.ends.map(|p| at(&fit, seen(p))));
    let balance: Vec<[Pt; 2]> = balance.collect();
    let signs = apart(balance.iter().map(|[a, b]| [0, 1].map(|k| (a[k] + b[k]) / 2.0)));
    taken.extend(signs.iter().map(|s| Rect::new(s[0], s[1], 0.0, 0.0).inset(-SIGN)));
    sheet::creases(c, &fit, t.model, &runs, &taken);
    draw_balance(c, &balance, &signs);
}

/// The front with its creases alone, reduced to fit the place.
pub fn plain(c: &mut Canvas<'_>, t: &Template<'_>, sheet: Rect) {
    let fit = fit_of_scale(t, sheet.w / t.model.sheet_m[0], sheet);
    c.named_path("sheet", &Path::rect(sheet), Paint::stroke(Stroke::EDGE));
    let lines = t.runs.iter().map(|r| r.ends.map(|p| at(&fit, p)));
    let lines = lines.fold(Path::new(), |path, [a, b]| path.and(&Path::segment(a, b)));
    c.path(&lines, Paint::stroke(Stroke::CREASE));
}

/// Radius of the sign of the balance, mm.
const SIGN: f64 = 1.7;

/// Of places, those far enough apart for a sign each.
fn apart(places: impl Iterator<Item = Pt>) -> Vec<Pt> {
    let mut out: Vec<Pt> = Vec::new();
    for p in places {
        if out.iter().all(|o| (o[0] - p[0]).hypot(o[1] - p[1]) > 3.0 * SIGN) {
            out.push(p);
        }
    }
    out
}

fn at(fit: &Fit, p: SheetPoint) -> Pt {
    fit.at([p.x, p.y])
}

/// Which way a trailing edge is bent: on the plane, and for the hand that has this print before it,
/// which may be the underside of the wing; and the same in short.
fn bend_words(bend: &BendMark, units: Units) -> [String; 2] {
    let amount = units.length(bend.deflection_m.abs());
    let way = match (bend.surface, bend.deflection_m > 0.0) {
        (TrimSurface::Rudder, true) => "right",
        (TrimSurface::Rudder, false) => "left",
        (_, true) => "up",
        (_, false) => "down",
    };
    let (hand, short) =
        if bend.towards { ("towards", "towards you") } else { ("away from", "away from you") };
    [format!("bend the edge {amount} {way}: {hand} this print"), format!("{amount} {way}, {short}")]
}

/// What the lines mean, of those that are drawn.
pub fn key(t: &Template<'_>, side: Side) -> String {
    let has = |state: Assignment| t.runs.iter().any(|r| r.state == state);
    let here = |m: &Mark| m.printed == (side == Side::Front);
    let marks = [
        (
            has(Assignment::Valley) || has(Assignment::Mountain),
            "Lines are those of the finished plane. \
            Dashes: valley, to this side. Dash and dots: mountain, behind.",
        ),
        (has(Assignment::Flat), "Thin line: crease, opened again."),
        (t.balance.iter().any(here), "Round sign: it balances here."),
        (t.bends.iter().any(|b| here(&b.mark)), "Long dashes: bend here."),
        (
            t.guides.iter().any(|g| g.marks().into_iter().any(here)),
            "Short strokes: an edge comes \
            to lie on the middle one.",
        ),
        (!t.runs.is_empty(), "Numbers: steps, as in the folding steps."),
    ];
    marks.into_iter().filter(|m| m.0).map(|m| m.1).collect::<Vec<_>>().join(" ")
}

/// The line, and what is done there; where the words stand.
fn draw_bend(
    c: &mut Canvas<'_>,
    bend: &BendMark,
    units: Units,
    [a, b]: [Pt; 2],
    [clear, apart]: &mut [Labels; 2],
) -> Rect {
    let stroke = Stroke::dashed(Ink::Move, weight::THIN, &[5.0, 1.5]);
    c.named_path("bend-line", &Path::segment(a, b), Paint::stroke(stroke));
    let style = Text::SMALL.in_ink(Ink::Move);
    let length = (b[0] - a[0]).hypot(b[1] - a[1]);
    let level = (b[1] - a[1]).abs() < 0.05 * length;
    let upright = (b[0] - a[0]).abs() < 0.05 * length;
    let style = if upright { style.turned() } else { style };
    // Right of the middle, out of the way of what stands there, before anywhere else; where the line
    // is short or slants, beside it.
    let along = [0.62, 0.5, 0.7, 0.38, 0.8, 0.25].map(|share| {
        let p = [0, 1].map(|k| a[k] + (b[k] - a[k]) * share);
        (if upright { [p[0] - 1.2, p[1]] } else { [p[0], p[1] - 1.2] }, Anchor::Middle)
    });
    let middle = [0, 1].map(|k| (a[k] + b[k]) / 2.0);
    let mut beside: Vec<(Pt, Anchor)> = [4.0, 8.0, 12.0, 16.0, 20.0, -6.0, -10.0]
        .map(|d| ([middle[0], middle[1] - d], Anchor::Middle))
        .to_vec();
    // Farther off, with a line that leads there.
    for up in [8.0, 14.0, 22.0, 32.0] {
        beside.extend(
            [-30.0, 30.0, -50.0, 50.0, -75.0, 75.0]
                .map(|aside| ([middle[0] + aside, middle[1] - up], Anchor::Middle)),
        );
    }
    let [full, short] = bend_words(bend, units);
    let places = |words: &str| match (level || upright) && style.width(words) + 4.0 < length {
        true => [&along[..], &beside].concat(),
        false => beside.clone(),
    };
    let on = |labels: &mut Labels, words: &str| labels.find(words, style, &places(words));
    let (at, style, words) = on(clear, &full)
        .map(|(at, style)| (at, style, &full))
        .or_else(|| on(clear, &short).map(|(at, style)| (at, style, &short)))
        .or_else(|| on(apart, &short).map(|(at, style)| (at, style.halo(), &short)))
        .unwrap_or((places(&short)[0].0, style.middle().halo(), &short));
    let taken = style.bounds(at, words);
    if (at[0] - middle[0]).abs() > length / 2.0 + 20.0 {
        // From the near end of the words.
        let near = if at[0] < middle[0] { taken.right() + 0.8 } else { taken.x - 0.8 };
        let leader = Path::segment([near, taken.centre()[1]], middle);
        c.named_path("leader", &leader, Paint::stroke(Stroke::solid(Ink::Move, weight::HAIR)));
    }
    c.text(at, words, style);
    clear.keep_clear(taken);
    apart.keep_clear(taken);
    taken
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

/// Where it balances: on either side of the keel, with one sign where both are near.
fn draw_balance(c: &mut Canvas<'_>, lines: &[[Pt; 2]], signs: &[Pt]) {
    c.group("balance", |c| {
        for &[a, b] in lines {
            let stroke = Paint::stroke(Stroke::solid(Ink::Move, weight::THIN));
            c.named_path("balance-line", &Path::segment(a, b), stroke);
        }
        signs.iter().for_each(|&at| frame::balance_mark(c, at, SIGN));
    });
}

/// A bar of 100 mm across and one of 4 inches up, from one corner: a printer that scales, or
/// scales one way only, shows.
pub fn bars(c: &mut Canvas<'_>, corner: Pt, labels: &mut Labels) -> Vec<Rect> {
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
    });
    let mut taken = vec![
        Rect::new(x, y - 0.3, 100.0, 2.8),
        Rect::new(x - 2.4, y - 4.0 * INCH, 2.7, 4.0 * INCH),
    ];
    let style = Text::SMALL.in_ink(Ink::EdgeSoft).halo();
    for (words, style, places) in [
        ("100 mm", style, [62.0, 72.0, 80.0, 50.0, 36.0, 22.0].map(|d| [x + d, y + 5.0])),
        ("4 in", style.turned(), [80.0, 66.0, 54.0, 40.0, 28.0, 16.0].map(|d| [x - 3.0, y - d])),
    ] {
        let (at, style) = labels
            .find(words, style, &places.map(|p| (p, Anchor::Start)))
            .unwrap_or((places[0], style));
        c.text(at, words, style);
        taken.push(style.bounds(at, words));
    }
    taken
}

/// What to do with the page.
fn words(c: &mut Canvas<'_>, at: Pt, t: &Template<'_>, side: Side, labels: &mut Labels) -> Rect {
    let [w, h] = t.sheet_mm();
    let begin = match (side, t.model.printed_down) {
        (Side::Front, false) => "Begin with this side up.",
        (Side::Front, true) => "Print it on the plain side and begin with that side up.",
        (Side::Back, _) if h >= w => "Printed on both sides: turned on the long edge.",
        (Side::Back, _) => "Printed on both sides: turned on the short edge.",
    };
    let text = format!(
        "{} ({}). Print at actual size (100 %) and measure both bars. {begin} {}",
        shorten(&t.name, Text::SMALL, NAME),
        side.words(),
        key(t, side)
    );
    // A rim, where no place is free of creases.
    let style = Text::SMALL.in_ink(Ink::EdgeSoft).halo();
    const STEP: f64 = 3.6;
    // Wide and near the bars before narrow and farther up.
    let block = |width: f64, [x, up]: Pt| {
        let lines = wrap(&text, style, width);
        let widest = lines.iter().map(|l| style.width(l)).fold(0.0, f64::max);
        let high = STEP * lines.len() as f64;
        (Rect::new(x, at[1] + 1.0 - up - high, widest, high), lines)
    };
    let places = [62.0, 54.0, 46.0, 38.0, 30.0].into_iter().flat_map(|width| {
        let ups = (0..12).map(|i| 10.0 * f64::from(i));
        let asides = [0.0, 8.0, 16.0, 28.0, 44.0, 64.0, 90.0, 120.0];
        ups.flat_map(move |up| asides.map(|aside| (width, [at[0] + aside, up])))
    });
    let (area, lines) = places
        .map(|(width, place)| block(width, place))
        .find(|(area, _)| labels.is_free(&area.inset(-0.8)))
        .unwrap_or_else(|| block(62.0, [at[0], 0.0]));
    c.group("paragraph", |c| {
        for (i, line) in lines.iter().enumerate() {
            c.text([area.x, area.y + STEP * (i as f64 + 0.75)], line, style);
        }
    });
    area
}
