//! Charts: axes with round ticks, lines, points, bands, bars.

use crate::style::{Hatch, Ink, SERIES, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::Text;

/// One axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// What it measures, with the unit.
    pub label: String,
    /// Values at its two ends, left to right or bottom to top.
    pub range: [f64; 2],
}

impl Axis {
    /// An axis that shows all these values, with its ends on round numbers.
    pub fn over(label: &str, values: impl IntoIterator<Item = f64>) -> Self {
        let finite = values.into_iter().filter(|v| v.is_finite());
        let (lo, hi) = finite.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        let (lo, hi) = if lo > hi { (0.0, 1.0) } else { (lo, hi) };
        let pad = if hi - lo > 1e-12 * hi.abs().max(1e-12) { 0.0 } else { hi.abs().max(1.0) * 0.5 };
        let (lo, hi) = (lo - pad, hi + pad);
        let step = round_step(hi - lo, 8);
        Self {
            label: label.to_owned(),
            range: [(lo / step + 1e-9).floor() * step, (hi / step - 1e-9).ceil() * step],
        }
    }
    /// An axis with these ends.
    pub fn between(label: &str, low: f64, high: f64) -> Self {
        let fine = low.is_finite() && high.is_finite() && high > low;
        Self { label: label.to_owned(), range: if fine { [low, high] } else { [0.0, 1.0] } }
    }
    /// An upright axis that counts downwards from zero at the top.
    pub fn downwards(label: &str, most: f64) -> Self {
        Self { label: label.to_owned(), range: [Self::between("", 0.0, most).range[1], 0.0] }
    }
    /// Least and greatest value.
    fn limits(&self) -> [f64; 2] {
        [self.range[0].min(self.range[1]), self.range[0].max(self.range[1])]
    }
    /// Round values to mark, about `wanted` of them, and how many decimals they need.
    pub fn ticks(&self, wanted: usize) -> (Vec<f64>, usize) {
        let [lo, hi] = self.limits();
        let step = round_step(hi - lo, wanted);
        let first = (lo / step - 1e-9).ceil();
        let last = (hi / step + 1e-9).floor();
        let n = (last - first).clamp(0.0, 50.0) as usize;
        let places = (-(step.log10() + 1e-9).floor()).clamp(0.0, 6.0) as usize;
        ((0..=n).map(|i| (first + i as f64) * step).collect(), places)
    }
}

/// The 1-2-5 step that cuts a range into about `wanted` parts.
fn round_step(range: f64, wanted: usize) -> f64 {
    let raw = (range / wanted.max(1) as f64).abs().max(1e-12);
    let decade = 10_f64.powf(raw.log10().floor());
    let lead = raw / decade;
    decade
        * if lead <= 1.0001 {
            1.0
        } else if lead <= 2.0001 {
            2.0
        } else if lead <= 5.0001 {
            5.0
        } else {
            10.0
        }
}

/// Markers by order of the series.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum Marker {
    Disc,
    Square,
    Triangle,
    Diamond,
}

impl Marker {
    /// Of the series with this number.
    pub fn of(series: usize) -> Self {
        [Self::Disc, Self::Square, Self::Triangle, Self::Diamond][series % 4]
    }
    fn path(self, [x, y]: Pt, r: f64) -> Path {
        match self {
            Self::Disc => Path::circle([x, y], r),
            Self::Square => {
                let a = r * 0.9;
                Path::rect(Rect::new(x - a, y - a, 2.0 * a, 2.0 * a))
            }
            Self::Triangle => Path::polygon([
                [x, y - 1.2 * r],
                [x + 1.1 * r, y + 0.8 * r],
                [x - 1.1 * r, y + 0.8 * r],
            ]),
            Self::Diamond => Path::polygon([
                [x, y - 1.25 * r],
                [x + 1.25 * r, y],
                [x, y + 1.25 * r],
                [x - 1.25 * r, y],
            ]),
        }
    }
}

/// A chart's place on the canvas and its axes.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    /// Where the data goes; ticks and labels stand outside, on the left and below.
    pub area: Rect,
    /// Across.
    pub x: Axis,
    /// Up.
    pub y: Axis,
}

/// Room for tick labels and axis label on the left of a chart, mm.
pub const LEFT: f64 = 15.0;
/// Room for tick labels and axis label below a chart, mm.
pub const BELOW: f64 = 11.0;

impl Chart {
    /// Where a value lies.
    pub fn at(&self, p: Pt) -> Pt {
        let part = |v: f64, r: [f64; 2]| (v - r[0]) / (r[1] - r[0]);
        [
            self.area.x + self.area.w * part(p[0], self.x.range),
            self.area.bottom() - self.area.h * part(p[1], self.y.range),
        ]
    }

    /// Grid, ticks and labels.
    pub fn axes(&self, canvas: &mut Canvas<'_>) {
        self.y_axis(canvas);
        self.x_axis(canvas, false);
    }

    /// Level grid lines with their values, and the label.
    pub fn y_axis(&self, canvas: &mut Canvas<'_>) {
        let area = self.area;
        canvas.group("y-axis", |c| {
            let (values, places) = self.y.ticks((area.h / 9.0).clamp(2.0, 8.0) as usize);
            for v in values {
                let y = self.at([0.0, v])[1];
                let zero = v.abs() < 1e-12 && self.y.limits()[0] < 0.0;
                let stroke = if zero { Stroke::AXIS } else { Stroke::GRID };
                c.path(&Path::segment([area.x, y], [area.right(), y]), Paint::stroke(stroke));
                let style = Text::SMALL.end().level();
                c.text([area.x - 1.8, y], &decimals_fixed(v, places), style);
            }
            let beside = [area.x - LEFT + 3.4, area.y + area.h / 2.0];
            c.text(beside, &self.y.label, Text::SMALL.in_ink(Ink::Text).middle().turned());
        });
    }

    /// Ticks and label below; with `rules` also upright grid lines.
    pub fn x_axis(&self, canvas: &mut Canvas<'_>, rules: bool) {
        let area = self.area;
        canvas.group("x-axis", |c| {
            let (values, places) = self.x.ticks((area.w / 14.0).clamp(2.0, 10.0) as usize);
            for v in values {
                let x = self.at([v, 0.0])[0];
                let zero = v.abs() < 1e-12 && self.x.limits()[0] < 0.0;
                if zero {
                    let line = Path::segment([x, area.y], [x, area.bottom()]);
                    c.path(&line, Paint::stroke(Stroke::AXIS));
                }
                if rules {
                    let line = Path::segment([x, area.y], [x, area.bottom()]);
                    c.path(&line, Paint::stroke(Stroke::GRID));
                }
                let tick = Path::segment([x, area.bottom()], [x, area.bottom() + 1.0]);
                c.path(&tick, Paint::stroke(Stroke::AXIS));
                let at = [x, area.bottom() + 4.2];
                c.text(at, &decimals_fixed(v, places), Text::SMALL.middle());
            }
            let foot = Path::segment([area.x, area.bottom()], [area.right(), area.bottom()]);
            c.path(&foot, Paint::stroke(Stroke::AXIS));
            let below = [area.x + area.w / 2.0, area.bottom() + 9.2];
            c.text(below, &self.x.label, Text::SMALL.in_ink(Ink::Text).middle());
        });
    }

    /// A line through values; it is broken where a value is not finite, and cut at the frame.
    pub fn line(&self, canvas: &mut Canvas<'_>, values: &[Pt], stroke: Stroke) {
        let mut path = Path::new();
        let mut pen_down = false;
        for v in values {
            if !(v[0].is_finite() && v[1].is_finite()) {
                pen_down = false;
                continue;
            }
            let p = self.at(*v);
            path = if pen_down { path.line(p) } else { path.to(p) };
            pen_down = true;
        }
        // Values outside the frame are rare (a shown range is chosen to hold them); the clip
        // keeps those few from running over labels.
        let name = format!("cut-{}-{}", self.area.x.round(), self.area.y.round());
        canvas.clipped(&name, self.area.inset(-0.4), |c| c.path(&path, Paint::stroke(stroke)));
    }

    /// Markers at values.
    pub fn points(&self, canvas: &mut Canvas<'_>, values: &[Pt], series: usize) {
        let ink = SERIES[series % 4].ink;
        for v in values.iter().filter(|v| v[0].is_finite() && v[1].is_finite()) {
            let shape = Marker::of(series).path(self.at(*v), 1.1);
            canvas.path(&shape, Paint::both(Ink::Ground, Stroke::solid(Ink::Ground, 1.0)));
            canvas.path(&shape, Paint::both(ink, Stroke::solid(ink, weight::THIN)));
        }
    }

    /// A line with its markers.
    pub fn series(&self, canvas: &mut Canvas<'_>, values: &[Pt], number: usize) {
        self.line(canvas, values, SERIES[number % 4]);
        self.points(canvas, values, number);
    }

    /// An upright band from one value of x to another.
    pub fn band(&self, canvas: &mut Canvas<'_>, from: f64, to: f64, ink: Ink, hatch: Hatch) {
        let [lo, hi] = self.x.limits();
        let (a, b) = (self.at([from.clamp(lo, hi), 0.0])[0], self.at([to.clamp(lo, hi), 0.0])[0]);
        if b - a > 1e-6 {
            let r = Path::rect(Rect::new(a, self.area.y, b - a, self.area.h));
            canvas.path(&r, Paint::veil(ink, 0.5));
            canvas.pattern(&r, hatch, Ink::Hair);
        }
    }

    /// A level band.
    pub fn level_band(&self, canvas: &mut Canvas<'_>, from: f64, to: f64, ink: Ink) {
        let [lo, hi] = self.y.limits();
        let (a, b) = (self.at([0.0, from.clamp(lo, hi)])[1], self.at([0.0, to.clamp(lo, hi)])[1]);
        if a - b > 1e-6 {
            let r = Path::rect(Rect::new(self.area.x, b, self.area.w, a - b));
            canvas.path(&r, Paint::veil(ink, 0.5));
        }
    }

    /// Bars from zero (or the least value shown), as wide as `width` in units of x.
    pub fn bars(&self, canvas: &mut Canvas<'_>, values: &[Pt], width: f64, ink: Ink) {
        let [lo, hi] = self.y.limits();
        let base = 0.0_f64.clamp(lo, hi);
        canvas.group("bars", |c| {
            for v in values.iter().filter(|v| v[0].is_finite() && v[1].is_finite()) {
                let (a, b) =
                    (self.at([v[0] - width / 2.0, v[1]]), self.at([v[0] + width / 2.0, base]));
                let gap = ((b[0] - a[0]) * 0.06).min(0.25);
                let r = Rect::new(
                    a[0] + gap,
                    a[1].min(b[1]),
                    (b[0] - a[0] - 2.0 * gap).max(0.05),
                    (b[1] - a[1]).abs(),
                );
                c.path(&Path::rect(r), Paint::fill(ink));
            }
        });
    }
}

fn decimals_fixed(value: f64, places: usize) -> String {
    let s = format!("{:.places$}", if value.abs() < 1e-12 { 0.0 } else { value });
    s.replace('-', "−")
}

/// Counts of values in `bins` equal parts of a range; what lies outside goes to the end parts.
/// Middle of the part and count.
pub fn histogram(values: &[f64], range: [f64; 2], bins: usize) -> Vec<Pt> {
    let bins = bins.clamp(1, 200);
    let width = (range[1] - range[0]) / bins as f64;
    let mut counts = vec![0.0; bins];
    for v in values.iter().filter(|v| v.is_finite()) {
        let k = ((v - range[0]) / width).floor().clamp(0.0, (bins - 1) as f64);
        counts[k as usize] += 1.0;
    }
    (0..bins).map(|k| [range[0] + (k as f64 + 0.5) * width, counts[k]]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        for (lo, hi) in [(0.0, 1.0), (-3.2, 7.9), (61.0, 70.0), (1e-4, 2e-4), (0.0, 1e5)] {
            let axis = Axis::between("", lo, hi);
            let (ticks, _) = axis.ticks(5);
            assert!((2..=12).contains(&ticks.len()), "{lo} {hi}: {ticks:?}");
            let slack = (hi - lo) * 1e-6;
            assert!(ticks.iter().all(|t| lo - slack <= *t && *t <= hi + slack), "{ticks:?}");
        }
    }

    #[test]
    fn an_axis_holds_its_values_whatever_they_are() {
        for values in [vec![], vec![f64::NAN], vec![3.0], vec![-1.0, 4.0], vec![0.0, 0.0]] {
            let axis = Axis::over("", values.clone());
            assert!(axis.range[1] > axis.range[0], "{values:?} {axis:?}");
            for v in values.iter().filter(|v| v.is_finite()) {
                assert!(axis.range[0] <= *v && *v <= axis.range[1], "{values:?} {axis:?}");
            }
        }
    }

    #[test]
    fn a_histogram_loses_nothing() {
        let h = histogram(&[0.1, 0.2, 0.9, 5.0, -2.0, f64::NAN], [0.0, 1.0], 4);
        assert_eq!(h.iter().map(|b| b[1]).sum::<f64>(), 5.0);
        assert_eq!(h[0], [0.125, 3.0]);
    }
}
