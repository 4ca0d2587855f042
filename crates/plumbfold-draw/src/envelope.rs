//! Which throws do what: the map over speed and elevation, and the bar over balance points.

use crate::behaviour::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::chart::{Axis, BELOW, Chart, LEFT};
use crate::frame::{self, Sample, letter_on};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Labels, Text, decimals, mm};

/// One throw of the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// What the plane does.
    pub behaviour: Behaviour,
    /// How far it gets, m.
    pub distance_m: f64,
}

/// Outcomes on a grid, rows by elevation from the lowest, columns by speed from the slowest.
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope<'a> {
    /// Speeds, m/s, evenly spaced.
    pub speeds_m_s: &'a [f64],
    /// Elevations, rad, evenly spaced.
    pub elevations_rad: &'a [f64],
    /// `outcomes[row][column]`.
    pub outcomes: &'a [Vec<Outcome>],
    /// The throw the plane is meant for: speed, m/s, and elevation, rad.
    pub meant: Option<[f64; 2]>,
}

fn step(values: &[f64]) -> f64 {
    match values {
        [first, .., last] => (last - first) / (values.len() - 1) as f64,
        _ => 1.0,
    }
}

/// The map of behaviours with the distance written into each field, m.
pub fn envelope(look: &Look, name: &str, e: &Envelope<'_>) -> String {
    let behaviours = e.outcomes.iter().flatten().map(|o| o.behaviour);
    let mut items = key_of(behaviours);
    if e.meant.is_some() {
        items.push((Sample::Meant, "the throw it is meant for"));
    }
    let (columns, rows) = (e.speeds_m_s.len().max(1), e.elevations_rad.len().max(1));
    let cell = [(150.0 / columns as f64).clamp(6.0, 16.0), (96.0 / rows as f64).clamp(6.0, 11.0)];
    let plot = [cell[0] * columns as f64, cell[1] * rows as f64];
    let width = (plot[0] + LEFT).max(110.0);
    let key_top = plot[1] + BELOW + 4.0;
    let glides: Vec<f64> = e
        .outcomes
        .iter()
        .flatten()
        .filter(|o| o.behaviour == Behaviour::Glides)
        .map(|o| o.distance_m)
        .collect();
    let best = glides.iter().copied().fold(0.0, f64::max);
    let note = if glides.is_empty() {
        "which throw does what; none of these glides".to_owned()
    } else {
        format!("which throw does what; the longest glide reaches {} m", decimals(best, 1))
    };
    let content = [width, key_top + frame::key_height(&items, width)];
    let description = format!("{note}. Numbers are distances in metres.");
    let (mut c, area) = frame::start(look, name, &note, &description, content);
    let (dv, de) = (step(e.speeds_m_s), step(e.elevations_rad).to_degrees());
    let ends = |v: &[f64], d: f64, k: f64| {
        let first = v.first().copied().unwrap_or(0.0) * k;
        let last = v.last().copied().unwrap_or(1.0) * k;
        (first - d / 2.0, last + d / 2.0)
    };
    let (x0, x1) = ends(e.speeds_m_s, dv, 1.0);
    let (y0, y1) = ends(e.elevations_rad, de, 1.0_f64.to_degrees());
    let chart = Chart {
        area: Rect::new(area.x + LEFT, area.y, plot[0], plot[1]),
        x: Axis::between("speed of the throw, m/s", x0, x1),
        y: Axis::between("elevation, degrees", y0, y1),
    };
    chart.axes(&mut c);
    c.group("outcomes", |c| {
        let fields = || {
            e.outcomes.iter().zip(e.elevations_rad).flat_map(|(row, &elevation)| {
                row.iter().zip(e.speeds_m_s).map(move |(o, &speed)| (o, speed, elevation))
            })
        };
        for behaviour in Behaviour::EVERY {
            let (ink, hatch, letter) = dress(behaviour);
            let mut area = Path::new();
            let mut clear = Path::new();
            let mut writing = Vec::new();
            for (o, speed, elevation) in fields().filter(|f| f.0.behaviour == behaviour) {
                let m = chart.at([speed, elevation.to_degrees()]);
                let r = Rect::new(m[0] - cell[0] / 2.0, m[1] - cell[1] / 2.0, cell[0], cell[1]);
                area = area.and(&Path::rect(r));
                for (at, content, style) in inscription(r, letter, o.distance_m) {
                    clear = clear.and(&Path::rect(style.bounds(at, &content).inset(-0.4)));
                    writing.push((at, content, style));
                }
            }
            c.path(&area, Paint::both(ink, Stroke::solid(ink, 0.1)));
            c.pattern(&area, hatch, Ink::Soft);
            c.path(&clear, Paint::fill(ink));
            for (at, content, style) in writing {
                c.text(at, &content, style);
            }
        }
        borders(c, e, &chart, cell);
    });
    let frame_of = Path::rect(chart.area);
    c.path(&frame_of, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    if let Some([speed, elevation]) = e.meant {
        let at = chart.at([speed, elevation.to_degrees()]);
        if chart.area.contains(at) {
            frame::meant_mark(&mut c, at, 5.1);
        }
    }
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// Letter and distance in one field; the letter alone where there is little room.
fn inscription(r: Rect, letter: &str, distance_m: f64) -> Vec<(Pt, String, Text)> {
    let [x, y] = r.centre();
    let strong = Text::SMALL.in_ink(Ink::Text).strong().centred();
    if r.w < 10.0 || r.h < 8.0 {
        return vec![([x, y], letter.to_owned(), strong)];
    }
    let distance = decimals(distance_m, if distance_m < 9.95 { 1 } else { 0 });
    let small = Text::SMALL.sized(2.3).in_ink(Ink::Text).centred();
    vec![([x, y - 1.9], letter.to_owned(), strong), ([x, y + 2.0], distance, small)]
}

/// Lines between fields that differ.
fn borders(c: &mut Canvas<'_>, e: &Envelope<'_>, chart: &Chart, cell: [f64; 2]) {
    let mut lines = Path::new();
    for (i, row) in e.outcomes.iter().enumerate() {
        for (j, o) in row.iter().enumerate() {
            let (Some(&v), Some(&el)) = (e.speeds_m_s.get(j), e.elevations_rad.get(i)) else {
                continue;
            };
            let [x, y] = chart.at([v, el.to_degrees()]);
            let (l, t) = (x - cell[0] / 2.0, y - cell[1] / 2.0);
            if row.get(j + 1).is_some_and(|n| n.behaviour != o.behaviour) {
                let x = l + cell[0];
                lines = lines.and(&Path::segment([x, t], [x, t + cell[1]]));
            }
            let above = e.outcomes.get(i + 1).and_then(|r| r.get(j));
            if above.is_some_and(|n| n.behaviour != o.behaviour) {
                lines = lines.and(&Path::segment([l, t], [l + cell[0], t]));
            }
        }
    }
    c.path(&lines, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
}

/// Where a plane may balance, for [`balance_bar`]. Places are behind the nose, m.
#[derive(Clone, Debug, PartialEq)]
pub struct BalanceBands<'a> {
    /// What it does from one balance point to the next, from the nose aft.
    pub bands: &'a [([f64; 2], Behaviour)],
    /// Where it balances.
    pub actual_m: f64,
    /// How sure that is, one standard deviation, m.
    pub sigma_m: f64,
    /// Neutral point, where it is known.
    pub neutral_m: Option<f64>,
}

/// The bar of balance points: what the plane does at each, where it balances now, and how sure
/// that is.
pub fn balance_bar(look: &Look, name: &str, b: &BalanceBands<'_>) -> String {
    const WIDTH: f64 = 150.0;
    const BAR: f64 = 11.0;
    const ABOVE: f64 = 15.0;
    let items = key_of(b.bands.iter().map(|band| band.1));
    let glide: Vec<[f64; 2]> =
        b.bands.iter().filter(|x| x.1 == Behaviour::Glides).map(|x| x.0).collect();
    let note = match (glide.first(), glide.last()) {
        (Some(first), Some(last)) => format!(
            "glides when it balances {} to {} behind the nose; it balances at {}",
            decimals(first[0] * 1e3, 1),
            mm(last[1]),
            mm(b.actual_m)
        ),
        _ => format!("glides at none of these balance points; it balances at {}", mm(b.actual_m)),
    };
    let key_top = ABOVE + BAR + BELOW + 3.0;
    let content = [WIDTH, key_top + frame::key_height(&items, WIDTH)];
    let (mut c, area) = frame::start(look, name, &note, &note, content);
    let ends = b
        .bands
        .iter()
        .flat_map(|x| x.0)
        .chain([b.actual_m - 2.5 * b.sigma_m, b.actual_m + 2.5 * b.sigma_m]);
    let (lo, hi) =
        ends.filter(|v| v.is_finite()).fold((f64::MAX, f64::MIN), |(p, q), v| (p.min(v), q.max(v)));
    let chart = Chart {
        area: Rect::new(area.x + 4.0, area.y + ABOVE, WIDTH - 8.0, BAR),
        x: Axis::between("balance point behind the nose, mm", lo * 1e3, hi * 1e3),
        y: Axis::between("", 0.0, 1.0),
    };
    let x_of = |m: f64| chart.at([m * 1e3, 0.0])[0];
    c.group("bands", |c| {
        for ([from, to], behaviour) in b.bands {
            let (x0, x1) = (x_of(*from), x_of(*to));
            if x1 - x0 < 1e-6 {
                continue;
            }
            let (ink, hatch, letter) = dress(*behaviour);
            let r = Path::rect(Rect::new(x0, chart.area.y, x1 - x0, BAR));
            c.path(&r, Paint::fill(ink));
            c.pattern(&r, hatch, Ink::Soft);
            c.path(&r, Paint::stroke(Stroke::solid(Ink::Text, weight::THIN)));
            if x1 - x0 > 4.5 {
                letter_on(c, [(x0 + x1) / 2.0, chart.area.y + BAR / 2.0], letter, ink);
            }
        }
        c.path(&Path::rect(chart.area), Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    });
    scale_below(&mut c, &chart);
    // The balance point with its spread, standing on the bar.
    let x = x_of(b.actual_m);
    let y = chart.area.y - 4.6;
    c.group("balance", |c| {
        let reach = |k: f64| x_of(b.actual_m + k * b.sigma_m).clamp(area.x, area.right());
        for (k, width) in [(2.0, weight::THIN), (1.0, weight::HEAVY)] {
            let line = Path::segment([reach(-k), y], [reach(k), y]);
            c.path(&line, Paint::stroke(Stroke::solid(Ink::Text, width)));
        }
        for k in [-2.0, 2.0] {
            let tick = Path::segment([reach(k), y - 1.0], [reach(k), y + 1.0]);
            c.path(&tick, Paint::stroke(Stroke::solid(Ink::Text, weight::THIN)));
        }
        let plumb = Path::segment([x, y], [x, chart.area.bottom()]);
        c.path(&plumb, Paint::stroke(Stroke::solid(Ink::Ground, weight::LINE + 0.8)));
        c.path(&plumb, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
        frame::balance_mark(c, [x, y], 2.4);
    });
    let mut labels = Labels::within(Rect::new(area.x, area.y - 2.0, WIDTH, ABOVE + 2.0));
    let label = if b.sigma_m > 0.0 {
        format!("{} ± {}", mm(b.actual_m), mm(b.sigma_m))
    } else {
        mm(b.actual_m)
    };
    let above = y - 4.6;
    let places = [
        ([x, above], Anchor::Middle),
        ([x - 3.0, above], Anchor::Start),
        ([x + 3.0, above], Anchor::End),
    ];
    labels.write(&mut c, &label, Text::LABEL.strong(), &places, true);
    if let Some(neutral) = b.neutral_m.filter(|n| (lo..=hi).contains(n)) {
        let n = x_of(neutral);
        frame::neutral_mark(&mut c, [n, chart.area.bottom() - 3.6], 1.9);
        let places = [
            ([n, above], Anchor::Middle),
            ([n + 2.0, above], Anchor::Start),
            ([n - 2.0, above], Anchor::End),
        ];
        labels.write(&mut c, "neutral point", Text::SMALL, &places, false);
    }
    frame::key(&mut c, [area.x, area.y + key_top], WIDTH, &items);
    c.finish()
}

fn scale_below(c: &mut Canvas<'_>, chart: &Chart) {
    let (values, places) = chart.x.ticks(9);
    let bottom = chart.area.bottom();
    for v in values {
        let x = chart.at([v, 0.0])[0];
        c.path(&Path::segment([x, bottom], [x, bottom + 1.2]), Paint::stroke(Stroke::AXIS));
        c.text([x, bottom + 4.4], &decimals(v, places), Text::SMALL.middle());
    }
    let at = [chart.area.x + chart.area.w / 2.0, bottom + 9.4];
    c.text(at, &chart.x.label, Text::SMALL.in_ink(Ink::Text).middle());
}
