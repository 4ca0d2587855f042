//! Planes side by side, and one plane before and after a change.

use plumbfold::flight::throw::Sample as Moment;
use plumbfold::study::usual::{ODD_AREA_AHEAD, USUAL_AREA_AHEAD};

use crate::chart::{Axis, BELOW, Chart};
use crate::fit::Bounds;
use crate::frame::{self, Sample};
use crate::style::{Hatch, Ink, Look, Stroke};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, percent, shorten};

/// Width of the column of names, mm.
const NAMES: f64 = 38.0;
const PLOT: f64 = 104.0;
const ROW: f64 = 8.0;

/// One row for each plane: name, and share of the wing area ahead of the balance point.
pub fn area_shares(look: &Look, title: &str, rows: &[(&str, f64)]) -> String {
    let [usual, odd] = share_key();
    let items = [usual, odd, (Sample::Balance, "area ahead of the balance point")];
    let shares = rows.iter().map(|r| r.1 * 100.0).chain([15.0, 33.0]);
    let axis = Axis::over("wing area ahead of the balance point, %", shares);
    let (mut c, chart, foot) =
        rows_chart(look, title, "share of the wing area ahead", rows.len(), axis, &items);
    usual_bands(&mut c, &chart);
    for (i, (name, share)) in rows.iter().enumerate() {
        let y = row(&mut c, &chart, i, name);
        share_mark(&mut c, &chart, y, *share);
    }
    frame::key(&mut c, foot, NAMES + PLOT, &items);
    c.finish()
}

/// What the bands of [`usual_bands`] are.
pub(crate) fn share_key() -> [(Sample, &'static str); 2] {
    [
        (Sample::Patch(Ink::Good, Hatch::None, ""), "rule of thumb: 23 to 27 %"),
        (Sample::Patch(Ink::Good, Hatch::Rising, ""), "odd ones: 19 to 29 %"),
    ]
}

/// The usual share, and that of the odd ones, along an axis of per cents.
pub(crate) fn usual_bands(c: &mut Canvas<'_>, chart: &Chart) {
    band(c, chart, ODD_AREA_AHEAD.map(|v| v * 100.0), true);
    band(c, chart, USUAL_AREA_AHEAD.map(|v| v * 100.0), false);
}

/// A share on an axis of per cents.
pub(crate) fn share_mark(c: &mut Canvas<'_>, chart: &Chart, y: f64, share: f64) {
    let x = chart.at([share * 100.0, 0.0])[0];
    frame::balance_mark(c, [x, y], 1.8);
    let style = Text::SMALL.in_ink(Ink::Text).level().halo();
    c.text([x + 3.2, y], &percent(share), style);
}

/// A plane's balance in fractions of its mean aerodynamic chord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin<'a> {
    /// Name.
    pub name: &'a str,
    /// Balance point.
    pub cg: f64,
    /// Neutral point.
    pub neutral: f64,
}

/// What the marks of [`margin_mark`] are.
pub(crate) fn margin_key() -> [(Sample, &'static str); 4] {
    [
        (Sample::Balance, "balance point"),
        (Sample::Neutral, "neutral point"),
        (Sample::Line(STABLE), "stable: balance point ahead"),
        (Sample::Line(UNSTABLE), "unstable at small incidence"),
    ]
}

const STABLE: Stroke = Stroke::solid(Ink::Good, 2.0);
const UNSTABLE: Stroke = Stroke::dashed(Ink::Alarm, 1.0, &[1.0, 0.8]);

/// Balance point and neutral point on an axis of per cents, and the margin between them.
pub(crate) fn margin_mark(c: &mut Canvas<'_>, chart: &Chart, y: f64, r: &Margin<'_>) {
    let [a, b] = [r.cg, r.neutral].map(|v| chart.at([v * 100.0, 0.0])[0]);
    let margin = r.neutral - r.cg;
    let stroke = if margin > 0.0 { STABLE } else { UNSTABLE };
    c.path(&Path::segment([a, y], [b, y]), Paint::stroke(stroke));
    // Where the two coincide, the neutral point stands under the balance point and holds it up.
    let below = if (a - b).abs() < 3.6 { 2.2 } else { -1.2 };
    frame::neutral_mark(c, [b, y + below], 1.6);
    frame::balance_mark(c, [a, y], 1.7);
    let style = Text::SMALL.in_ink(Ink::Text).level().halo();
    c.text([a.max(b) + 3.4, y], &percent(margin), style);
}

/// Rows of names beside an axis; also where the key goes.
fn rows_chart<'a>(
    look: &'a Look,
    title: &str,
    note: &str,
    rows: usize,
    x: Axis,
    items: &[(Sample, &str)],
) -> (Canvas<'a>, Chart, Pt) {
    let width = NAMES + PLOT;
    let height = rows.max(1) as f64 * ROW;
    let foot = height + BELOW + 4.0;
    let content = [width + 6.0, foot + frame::key_height(items, width)];
    let (mut c, area) = frame::start(look, title, note, note, content);
    let chart = Chart {
        area: Rect::new(area.x + NAMES, area.y, PLOT, height),
        x,
        y: Axis::between("", 0.0, rows.max(1) as f64),
    };
    chart.x_axis(&mut c, true);
    (c, chart, [area.x, area.y + foot])
}

fn row(c: &mut Canvas<'_>, chart: &Chart, i: usize, name: &str) -> f64 {
    let y = chart.area.y + (i as f64 + 0.5) * ROW;
    let left = chart.area.x - NAMES;
    let style = Text::LABEL.level();
    c.text([left, y], &shorten(name, style, NAMES - 4.0), style);
    if i > 0 {
        let rule = chart.area.y + i as f64 * ROW;
        c.path(
            &Path::segment([left, rule], [chart.area.right(), rule]),
            Paint::stroke(Stroke::GRID),
        );
    }
    y
}

fn band(c: &mut Canvas<'_>, chart: &Chart, [from, to]: [f64; 2], hatched: bool) {
    let (a, b) = (chart.at([from, 0.0])[0], chart.at([to, 0.0])[0]);
    let r = Path::rect(Rect::new(a, chart.area.y, b - a, chart.area.h));
    c.path(&r, Paint::fill(Ink::Ground));
    c.path(&r, Paint::veil(Ink::Good, if hatched { 0.35 } else { 0.7 }));
    if hatched {
        c.pattern(&r, Hatch::Rising, Ink::Soft);
    }
}

/// A chart of the hall from the side that holds all flights, no larger than a size, the same scale
/// along as up.
pub(crate) fn side_view<'m>(
    flights: impl Iterator<Item = &'m [Moment]>,
    at: Pt,
    size: Pt,
) -> Chart {
    const LEFT: f64 = 13.0;
    let places = flights.flatten().map(|m| [m.motion.position.x, m.motion.position.z]);
    let b = Bounds::of(places).and(Bounds { low: [0.0; 2], high: [0.5, 0.5] });
    let scale = ((size[0] - LEFT) / b.width()).min(size[1] / b.height());
    Chart {
        area: Rect::new(at[0] + LEFT, at[1], b.width() * scale, b.height() * scale),
        x: Axis::between("m", b.low[0], b.high[0]),
        y: Axis::between("m", b.low[1], b.high[1]),
    }
}

/// One flight in [`side_view`], a mark at its end.
pub(crate) fn flight(
    c: &mut Canvas<'_>,
    chart: &Chart,
    moments: &[Moment],
    stroke: Stroke,
    number: usize,
) {
    let line: Vec<Pt> =
        moments.iter().map(|m| [m.motion.position.x, m.motion.position.z]).collect();
    chart.line(c, &line, stroke);
    if let Some(&end) = line.last() {
        chart.points(c, &[end], number);
    }
}
