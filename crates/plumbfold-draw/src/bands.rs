//! The bars of what a plane does at each balance point, bend of the trailing edge or throw speed.

use plumbfold::verdict::Behaviour;
use plumbfold::verdict::bands::Band;

use crate::behaviour::{dress, key_of};
use crate::chart::{Axis, BELOW, Chart};
use crate::frame::{self, letter_on};
use crate::labels::Labels;
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::{Anchor, Text, decimals};

/// One number on which the behaviour depends, in the unit people read.
#[derive(Clone, Debug, PartialEq)]
pub struct BandRow<'a> {
    /// What it is, with the unit, as the axis says it.
    pub axis: &'a str,
    /// Unit by itself.
    pub unit: &'a str,
    /// What the plane does from one value to the next, in growing order.
    pub bands: Vec<([f64; 2], Behaviour)>,
    /// The value now.
    pub now: f64,
    /// How sure that is, one standard deviation; 0 where it is not asked.
    pub sigma: f64,
    /// Neutral point, where this is about balance and it is known.
    pub neutral: Option<f64>,
    /// This is about balance: the balance mark is drawn.
    pub balance: bool,
}

impl BandRow<'_> {
    /// The pieces round a gliding band; values beyond it reach `reach` further, or to the value
    /// now. `unit` is the size of the display unit in that of the band (1e-3 for mm from m).
    pub fn pieces(band: &Band, now: f64, reach: f64, unit: f64) -> Vec<([f64; 2], Behaviour)> {
        let (low, high) = (band.low / unit, band.high / unit);
        let mut out = Vec::new();
        if let Some(below) = band.below {
            out.push(([(low - reach).min(now - reach / 2.0), low], below));
        }
        out.push(([low, high], Behaviour::Glides));
        if let Some(above) = band.above {
            out.push(([high, (high + reach).max(now + reach / 2.0)], above));
        }
        out
    }
}

const WIDTH: f64 = 150.0;
const BAR: f64 = 11.0;
const ABOVE: f64 = 15.0;
const ROW: f64 = ABOVE + BAR + BELOW + 6.0;

/// One bar a row.
pub fn bands(look: &Look, name: &str, note: &str, rows: &[BandRow<'_>]) -> String {
    let items = key_of(rows.iter().flat_map(|r| r.bands.iter().map(|b| b.1)));
    let key_top = rows.len() as f64 * ROW - 2.0;
    let content = [WIDTH, key_top + frame::key_height(&items, WIDTH)];
    let said: Vec<String> = rows.iter().map(say).collect();
    let description = format!("{note}. {}.", said.join(". "));
    let (mut c, area) = frame::start(look, name, note, &description, content);
    for (i, r) in rows.iter().enumerate() {
        bar(&mut c, r, Rect::new(area.x, area.y + i as f64 * ROW, WIDTH, ROW));
    }
    frame::key(&mut c, [area.x, area.y + key_top], WIDTH, &items);
    c.finish()
}

/// The row in words.
fn say(r: &BandRow<'_>) -> String {
    let pieces: Vec<String> = r
        .bands
        .iter()
        .map(|([a, b], behaviour)| {
            format!("{} from {} to {}", behaviour.words(), decimals(*a, 1), decimals(*b, 1))
        })
        .collect();
    format!("{}: now {} {}; {}", r.axis, decimals(r.now, 1), r.unit, pieces.join(", "))
}

fn bar(c: &mut Canvas<'_>, r: &BandRow<'_>, area: Rect) {
    let ends =
        r.bands.iter().flat_map(|x| x.0).chain([r.now - 2.5 * r.sigma, r.now + 2.5 * r.sigma]);
    let (lo, hi) =
        ends.filter(|v| v.is_finite()).fold((f64::MAX, f64::MIN), |(p, q), v| (p.min(v), q.max(v)));
    let chart = Chart {
        area: Rect::new(area.x + 4.0, area.y + ABOVE, WIDTH - 8.0, BAR),
        x: Axis::between(r.axis, lo, hi),
        y: Axis::between("", 0.0, 1.0),
    };
    let x_of = |v: f64| chart.at([v, 0.0])[0];
    c.group("bands", |c| {
        for ([from, to], behaviour) in &r.bands {
            let (x0, x1) = (x_of(*from), x_of(*to));
            if x1 - x0 < 1e-6 {
                continue;
            }
            let (ink, hatch, letter) = dress(*behaviour);
            let shape = Path::rect(Rect::new(x0, chart.area.y, x1 - x0, BAR));
            c.path(&shape, Paint::fill(ink));
            c.pattern(&shape, hatch, Ink::Soft);
            c.path(&shape, Paint::stroke(Stroke::solid(Ink::Text, weight::THIN)));
            if x1 - x0 > 4.5 {
                // Beside the value now, not under its plumb line.
                let middle = (x0 + x1) / 2.0;
                let hidden = (x_of(r.now) - middle).abs() < 3.0;
                let at = if hidden && x1 - x0 > 16.0 { middle - (x1 - x0) / 4.0 } else { middle };
                letter_on(c, [at, chart.area.y + BAR / 2.0], letter, ink);
            }
        }
        c.path(&Path::rect(chart.area), Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    });
    chart.x_axis(c, false);
    let y = chart.area.y - 4.6;
    now(c, r, &chart, [area.x, area.right()], y);
    let mut labels = Labels::within(Rect::new(area.x, area.y - 2.0, WIDTH, ABOVE + 2.0));
    let above = y - 4.6;
    let beside = |x: f64, d: f64| {
        [
            ([x, above], Anchor::Middle),
            ([x - d, above], Anchor::Start),
            ([x + d, above], Anchor::End),
        ]
    };
    let spread =
        if r.sigma > 0.0 { format!(" ± {}", decimals(r.sigma, 1)) } else { String::new() };
    let label = format!("{}{spread} {}", decimals(r.now, 1), r.unit);
    labels.write(c, &label, Text::LABEL.strong(), &beside(x_of(r.now), 3.0), true);
    if let Some(neutral) = r.neutral.filter(|n| (lo..=hi).contains(n)) {
        let n = x_of(neutral);
        frame::neutral_mark(c, [n, chart.area.bottom() - 3.6], 1.9);
        labels.write(c, "neutral point", Text::SMALL, &beside(n, 2.0), false);
    }
}

/// The value now with its spread, standing on the bar.
fn now(c: &mut Canvas<'_>, r: &BandRow<'_>, chart: &Chart, [left, right]: [f64; 2], y: f64) {
    let x_of = |v: f64| chart.at([v, 0.0])[0];
    let x = x_of(r.now);
    c.group("now", |c| {
        let reach = |k: f64| x_of(r.now + k * r.sigma).clamp(left, right);
        if r.sigma > 0.0 {
            for (k, width) in [(2.0, weight::THIN), (1.0, weight::HEAVY)] {
                let line = Path::segment([reach(-k), y], [reach(k), y]);
                c.path(&line, Paint::stroke(Stroke::solid(Ink::Text, width)));
            }
            for k in [-2.0, 2.0] {
                let tick = Path::segment([reach(k), y - 1.0], [reach(k), y + 1.0]);
                c.path(&tick, Paint::stroke(Stroke::solid(Ink::Text, weight::THIN)));
            }
        }
        let plumb = Path::segment([x, y], [x, chart.area.bottom()]);
        c.path(&plumb, Paint::stroke(Stroke::solid(Ink::Ground, weight::LINE + 0.8)));
        c.path(&plumb, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
        if r.balance {
            frame::balance_mark(c, [x, y], 2.4);
        } else {
            let head = Path::polygon([[x, y + 2.2], [x - 1.6, y - 1.0], [x + 1.6, y - 1.0]]);
            c.path(&head, Paint::fill(Ink::Text));
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_join_and_reach_past_the_value_now() {
        let band = Band {
            low: 0.061,
            high: 0.067,
            below: Some(Behaviour::Dives),
            above: Some(Behaviour::Stalls),
        };
        let pieces = BandRow::pieces(&band, 80.0, 8.0, 1e-3);
        assert!(pieces.windows(2).all(|w| w[0].0[1] == w[1].0[0]), "{pieces:?}");
        assert!((pieces[1].0[0] - 61.0).abs() < 1e-9, "{pieces:?}");
        assert!(pieces[2].0[1] >= 84.0, "{pieces:?}");
    }
}
