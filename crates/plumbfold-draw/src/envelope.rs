//! Which throws do what: the map over speed and elevation.

use plumbfold::flight::envelope::Cell;
use plumbfold::verdict::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::chart::{Axis, BELOW, Chart, LEFT};
use crate::frame::{self, Sample};
use crate::style::{Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Text, decimals};

/// The map of behaviours with the distance written into each field, m. `cells` row by row, each
/// from the slowest throw to the fastest, rows evenly spaced in elevation (as
/// [`plumbfold::flight::envelope`] gives them); `meant` is the throw the plane is meant for: speed,
/// m/s, and elevation, rad.
pub fn envelope(
    look: &Look,
    name: &str,
    cells: &[Cell<Behaviour>],
    meant: Option<[f64; 2]>,
) -> String {
    let (speeds, elevations) = (levels(cells, |c| c.speed_m_s), levels(cells, |c| c.elevation_rad));
    let behaviours = cells.iter().map(|o| o.behaviour);
    let mut items = key_of(behaviours);
    if meant.is_some() {
        items.push((Sample::Meant, "the throw it is meant for"));
    }
    let (columns, rows) = (speeds.len().max(1), elevations.len().max(1));
    let field = [(150.0 / columns as f64).clamp(6.0, 16.0), (96.0 / rows as f64).clamp(6.0, 11.0)];
    let plot = [field[0] * columns as f64, field[1] * rows as f64];
    let width = (plot[0] + LEFT).max(110.0);
    let key_top = plot[1] + BELOW + 4.0;
    let glides: Vec<f64> =
        cells.iter().filter(|o| o.behaviour == Behaviour::Glides).map(|o| o.distance_m).collect();
    let best = glides.iter().copied().fold(0.0, f64::max);
    let note = if glides.is_empty() {
        "which throw, made exactly so, does what; none of these glides".to_owned()
    } else {
        format!(
            "which throw, made exactly so, does what; the longest glide: {} m",
            decimals(best, 1)
        )
    };
    let content = [width, key_top + frame::key_height(&items, width)];
    let description = format!("{note}. Numbers are distances in metres.");
    let (mut c, area) = frame::start(look, name, &note, &description, content);
    let (dv, de) = (step(&speeds), step(&elevations).to_degrees());
    let ends = |v: &[f64], d: f64, k: f64| {
        let first = v.first().copied().unwrap_or(0.0) * k;
        let last = v.last().copied().unwrap_or(1.0) * k;
        (first - d / 2.0, last + d / 2.0)
    };
    let (x0, x1) = ends(&speeds, dv, 1.0);
    let (y0, y1) = ends(&elevations, de, 1.0_f64.to_degrees());
    let chart = Chart {
        area: Rect::new(area.x + LEFT, area.y, plot[0], plot[1]),
        x: Axis::between("speed of the throw, m/s", x0, x1),
        y: Axis::between("elevation, degrees", y0, y1),
    };
    chart.axes(&mut c);
    c.group("outcomes", |c| {
        for behaviour in Behaviour::EVERY {
            let (ink, hatch, letter) = dress(behaviour);
            let mut area = Path::new();
            let mut clear = Path::new();
            let mut writing = Vec::new();
            for o in cells.iter().filter(|o| o.behaviour == behaviour) {
                let m = chart.at([o.speed_m_s, o.elevation_rad.to_degrees()]);
                let r = Rect::new(m[0] - field[0] / 2.0, m[1] - field[1] / 2.0, field[0], field[1]);
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
        borders(c, cells, columns, &chart, field);
    });
    let frame_of = Path::rect(chart.area);
    c.path(&frame_of, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    if let Some([speed, elevation]) = meant {
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
fn borders(
    c: &mut Canvas<'_>,
    cells: &[Cell<Behaviour>],
    columns: usize,
    chart: &Chart,
    field: [f64; 2],
) {
    let mut lines = Path::new();
    for (i, o) in cells.iter().enumerate() {
        let [x, y] = chart.at([o.speed_m_s, o.elevation_rad.to_degrees()]);
        let (l, t) = (x - field[0] / 2.0, y - field[1] / 2.0);
        let differs = |n: Option<&Cell<Behaviour>>| n.is_some_and(|n| n.behaviour != o.behaviour);
        if (i + 1) % columns > 0 && differs(cells.get(i + 1)) {
            let x = l + field[0];
            lines = lines.and(&Path::segment([x, t], [x, t + field[1]]));
        }
        if differs(cells.get(i + columns)) {
            lines = lines.and(&Path::segment([l, t], [l + field[0], t]));
        }
    }
    c.path(&lines, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
}

/// The different values of one number of the throws, in growing order.
fn levels(cells: &[Cell<Behaviour>], of: impl Fn(&Cell<Behaviour>) -> f64) -> Vec<f64> {
    let mut out: Vec<f64> = cells.iter().map(of).collect();
    out.sort_by(f64::total_cmp);
    out.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    out
}

/// Distance between neighbours of evenly spaced values.
fn step(values: &[f64]) -> f64 {
    match values {
        [first, .., last] => (last - first) / (values.len() - 1) as f64,
        _ => 1.0,
    }
}
