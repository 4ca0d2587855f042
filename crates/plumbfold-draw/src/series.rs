//! One let in steps: how the plane's numbers and its verdict follow; and what chance does to them.

use plumbfold::verdict::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::chart::{Axis, BELOW, Chart, LEFT, histogram};
use crate::frame::{self, Sample, letter_on};
use crate::multiples::{Flock, Plane};
use crate::style::{Hatch, Ink, Look, SERIES, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, decimals, percent, shorten};

/// One number followed along a series.
#[derive(Clone, Debug, PartialEq)]
pub struct Track<'a> {
    /// What it is, with the unit.
    pub label: &'a str,
    /// One value a step; not finite where there is none.
    pub values: &'a [f64],
    /// A band the value ought to lie in.
    pub wanted: Option<[f64; 2]>,
}

/// What [`series`] shows. Lists run along the values of the let, in growing order.
#[derive(Clone, Debug)]
pub struct Series<'a> {
    /// Name of the let, with the unit.
    pub along: &'a str,
    /// Its values.
    pub at: &'a [f64],
    /// The value the design has now.
    pub now: Option<f64>,
    /// The planes, none where the paper cannot be folded so; an empty list draws none.
    pub planes: &'a [Option<Plane<'a>>],
    /// What the plane does at each.
    pub behaviours: &'a [Option<Behaviour>],
    /// A number under each letter of the strip.
    pub numbers: &'a [String],
    /// What those numbers are.
    pub numbers_are: &'a str,
    /// Numbers followed.
    pub tracks: &'a [Track<'a>],
}

const STRIP: f64 = 11.0;
/// Widest and narrowest small plane, mm. Narrower ones show nothing and are left out.
const PLANES: [f64; 2] = [22.0, 8.0];

/// The planes over small charts one under the other along one let, over a strip of verdicts.
pub fn series(look: &Look, name: &str, s: &Series<'_>) -> String {
    // A number alone has room for a finer scale.
    let plot: Pt = [150.0, if s.tracks.len() > 1 { 27.0 } else { 46.0 }];
    const GAP: f64 = 8.0;
    const TOP: f64 = 5.0;
    let mut items = key_of(s.behaviours.iter().copied().flatten());
    if s.behaviours.iter().any(Option::is_none) {
        items.push((Sample::Patch(Ink::Ground, Hatch::None, "×"), "cannot be folded"));
    }
    let cells = cells(s.at);
    let ends = [cells.first().map_or(0.0, |c| c[0]), cells.last().map_or(1.0, |c| c[1])];
    let x = Axis::between(s.along, ends[0], ends[1]);
    let span = x.range[1] - x.range[0];
    let narrowest = cells.iter().map(|c| (c[1] - c[0]) / span * plot[0]).fold(plot[0], f64::min);
    let room = (narrowest - 2.0).min(PLANES[0]);
    let known = s.planes.iter().any(Option::is_some);
    let flock =
        (known && room >= PLANES[1]).then(|| Flock::new(s.planes.iter().copied(), [room, room]));
    let planes_high = flock.as_ref().map_or(0.0, |f| f.height() + 5.0);
    let top = TOP + planes_high;
    let width = plot[0] + LEFT;
    let strip_top = top + s.tracks.len() as f64 * (plot[1] + GAP);
    let key_top = strip_top + STRIP + BELOW + 4.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let note = format!("as {} changes", s.along.split(',').next().unwrap_or(s.along));
    let (mut c, area) = frame::start(look, name, &note, &note, content);
    let strip = Chart {
        area: Rect::new(area.x + LEFT, area.y + strip_top, plot[0], STRIP),
        x: x.clone(),
        y: Axis::between("", 0.0, 1.0),
    };
    if let Some(flock) = flock {
        for (i, at) in s.at.iter().enumerate() {
            let middle = strip.at([*at, 0.0])[0];
            let into = Rect::new(middle - room / 2.0, area.y, room, flock.height());
            flock.draw(&mut c, i, into);
        }
    }
    for (i, track) in s.tracks.iter().enumerate() {
        let y = area.y + top + i as f64 * (plot[1] + GAP);
        draw_track(&mut c, s, track, &x, Rect::new(area.x + LEFT, y, plot[0], plot[1]));
    }
    // Under the strip, so that the line of zero runs through no letter.
    strip.x_axis(&mut c, false);
    for (i, (cell, behaviour)) in cells.iter().zip(s.behaviours).enumerate() {
        let number = s.numbers.get(i).map_or("", String::as_str);
        verdict(&mut c, &strip, *cell, *behaviour, number);
    }
    let above = [strip.area.x + 1.0, strip.area.y - 1.6];
    c.text(above, s.numbers_are, Text::SMALL.in_ink(Ink::Text).strong());
    c.path(&Path::rect(strip.area), Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    if let Some(now) = s.now.filter(|n| (x.range[0]..=x.range[1]).contains(n)) {
        let x = strip.at([now, 0.0])[0];
        let line = Path::segment([x, area.y + top - 1.0], [x, strip.area.y]);
        let dashes = Stroke::dashed(Ink::Text, weight::THIN, &[1.2, 0.8]);
        c.path(&line, Paint::stroke(dashes));
        let style = Text::SMALL.in_ink(Ink::Text).halo();
        c.text([x + 1.4, area.y + top - 1.6], "now", style);
    }
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// From half way to the value before to half way to the value after.
fn cells(at: &[f64]) -> Vec<[f64; 2]> {
    let half = |a: Option<&f64>, b: Option<&f64>| match (a, b) {
        (Some(a), Some(b)) if b > a => (b - a) / 2.0,
        _ => f64::NAN,
    };
    let around = |i: usize| {
        let before = half(i.checked_sub(1).and_then(|k| at.get(k)), at.get(i));
        let after = half(at.get(i), at.get(i + 1));
        let only = if before.is_nan() && after.is_nan() { 0.5 } else { f64::NAN };
        let or = |a: f64, b: f64| if a.is_nan() { b } else { a };
        [at[i] - or(or(before, after), only), at[i] + or(or(after, before), only)]
    };
    (0..at.len()).map(around).collect()
}

fn draw_track(c: &mut Canvas<'_>, s: &Series<'_>, track: &Track<'_>, x: &Axis, area: Rect) {
    let values = track.values.iter().copied().chain(track.wanted.into_iter().flatten());
    let chart = Chart { area, x: x.clone(), y: Axis::over("", values) };
    if let Some([from, to]) = track.wanted {
        chart.level_band(c, from, to, Ink::Good);
    }
    chart.y_axis(c);
    let at = [area.x + 1.0, area.y - 2.2];
    c.text(at, track.label, Text::SMALL.in_ink(Ink::Text).strong());
    let line: Vec<Pt> = s.at.iter().zip(track.values).map(|(&x, &y)| [x, y]).collect();
    chart.series(c, &line, 0);
}

/// One field of the strip.
fn verdict(
    c: &mut Canvas<'_>,
    strip: &Chart,
    cell: [f64; 2],
    behaviour: Option<Behaviour>,
    number: &str,
) {
    let (ink, hatch, letter) = behaviour.map_or((Ink::Ground, Hatch::None, "×"), dress);
    let [a, b] = cell.map(|x| strip.at([x, 0.0])[0]);
    let r = Rect::new(a, strip.area.y, b - a, STRIP);
    c.path(&Path::rect(r), Paint::both(ink, Stroke::solid(ink, 0.1)));
    c.pattern(&Path::rect(r), hatch, Ink::Soft);
    if b - a > 4.0 {
        inscription(c, r, letter, number, ink);
    }
}

/// A letter, and a number under it where there is room.
pub(crate) fn inscription(c: &mut Canvas<'_>, r: Rect, letter: &str, number: &str, ground: Ink) {
    let style = Text::SMALL.sized(2.3).in_ink(Ink::Text).centred();
    let [x, y] = r.centre();
    let roomy = r.h >= 8.0 && !number.is_empty() && style.width(number) + 1.0 < r.w;
    letter_on(c, [x, if roomy { y - 1.7 } else { y }], letter, ground);
    if roomy {
        let at = [x, y + 2.3];
        c.path(&Path::rect(style.bounds(at, number).inset(-0.4)), Paint::fill(ground));
        c.text(at, number, style);
    }
}

/// Many throws with the errors hands make: how far they went, those that glided marked.
pub fn distances(look: &Look, name: &str, glided_m: &[f64], others_m: &[f64]) -> String {
    const PLOT: Pt = [122.0, 62.0];
    let items = [
        (Sample::Patch(Ink::One, Hatch::None, ""), "glided"),
        (Sample::Patch(Ink::Four, Hatch::None, ""), "did something else"),
    ];
    let width = PLOT[0] + LEFT;
    let key_top = PLOT[1] + BELOW + 4.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let total = glided_m.len() + others_m.len();
    let share = if total > 0 { glided_m.len() as f64 / total as f64 } else { 0.0 };
    let note = format!("{} of {total} throws glided", percent(share));
    let (mut c, area) = frame::start(look, name, &note, &note, content);
    let x = Axis::over("distance, m", glided_m.iter().chain(others_m).copied().chain([0.0]));
    const BINS: usize = 30;
    let bins = |v: &[f64]| histogram(v, x.range, BINS);
    let (lower, upper) = (bins(glided_m), bins(others_m));
    let stacked: Vec<Pt> = lower.iter().zip(&upper).map(|(a, b)| [a[0], a[1] + b[1]]).collect();
    let most = stacked.iter().map(|b| b[1]).fold(1.0, f64::max);
    let chart = Chart {
        area: Rect::new(area.x + LEFT, area.y, PLOT[0], PLOT[1]),
        y: Axis::over("throws", [0.0, most]),
        x,
    };
    chart.axes(&mut c);
    let bin = (chart.x.range[1] - chart.x.range[0]) / BINS as f64;
    chart.bars(&mut c, &stacked, bin, Ink::Four);
    chart.bars(&mut c, &lower, bin, Ink::One);
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// What matters most: shares of variance, first order full, total as an outline.
pub fn sensitivities(look: &Look, name: &str, rows: &[(&str, f64, f64)]) -> String {
    const NAMES: f64 = 58.0;
    const PLOT: f64 = 84.0;
    const ROW: f64 = 7.4;
    let items = [
        (Sample::Patch(Ink::One, Hatch::None, ""), "by itself"),
        (Sample::Patch(Ink::Ground, Hatch::None, ""), "with all it works together with"),
    ];
    let height = rows.len().max(1) as f64 * ROW;
    let width = NAMES + PLOT;
    let key_top = height + BELOW + 4.0;
    let content = [width + 8.0, key_top + frame::key_height(&items, width)];
    let note = "which errors of the hand matter, as shares of the scatter they cause";
    let (mut c, area) = frame::start(look, name, note, note, content);
    let most = rows.iter().flat_map(|r| [r.1, r.2]).fold(0.05, f64::max);
    let chart = Chart {
        area: Rect::new(area.x + NAMES, area.y, PLOT, height),
        x: Axis { label: "share of the variance".to_owned(), ..Axis::over("", [0.0, most]) },
        y: Axis::between("", 0.0, 1.0),
    };
    chart.x_axis(&mut c, true);
    for (i, (what, first, total)) in rows.iter().enumerate() {
        let y = area.y + (i as f64 + 0.5) * ROW;
        let style = Text::SMALL.in_ink(Ink::Text).level();
        c.text([area.x, y], &shorten(what, style, NAMES - 3.0), style);
        let bar = |v: f64, h: f64| {
            let x = chart.at([v.max(0.0), 0.0])[0];
            Path::rect(Rect::new(chart.area.x, y - h / 2.0, x - chart.area.x, h))
        };
        c.path(&bar(*total, 4.6), Paint::both(Ink::Ground, Stroke::solid(Ink::Text, weight::THIN)));
        c.path(&bar(*first, 4.6), Paint::fill(SERIES[0].ink));
        let x = chart.at([total.max(*first).max(0.0), 0.0])[0];
        c.text([x + 1.6, y], &decimals(*total, 2), Text::SMALL.level().halo());
    }
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}
