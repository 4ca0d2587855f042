//! The folded model on the table: as it looks, and how many layers lie where.

use plumbfold::fold::state::Folded;
use plumbfold::numeric::slabs::{Cell, Trapezoid, XY};

use crate::cells::{border, layer_cells, path, point};
use crate::fit::{Bounds, Fit, Size};
use crate::frame::{self, Sample};
use crate::labels::Labels;
use crate::paper::{bounds, lay, shade_by_layers, silhouette, veil};
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt, Rect};
use crate::text::{Anchor, Text, mm};

/// The folded plane as it lies on the table, darker where more layers lie.
pub fn folded(look: &Look, name: &str, model: &Folded, size: Size) -> String {
    let cells = layer_cells(model);
    let most = most_layers(&cells);
    let b = bounds(model);
    let note = format!("folded: {} by {}, up to {most} layers", mm(b.width()), mm(b.height()));
    let mut items = vec![
        (Sample::Patch(Ink::Printed, Hatch::Grain, ""), "printed side"),
        (Sample::Patch(Ink::Plain, Hatch::None, ""), "plain side"),
    ];
    if model.hinges.iter().any(|h| !model.is_folded(h)) {
        items.push((Sample::Line(Stroke::CREASE), "crease, unfolded"));
    }
    let (mut c, area, fit) = table(look, name, &note, &b, size, &items);
    lay(&mut c, model, &fit);
    shade_by_layers(&mut c, &cells, &fit);
    silhouette(&mut c, &cells, &fit);
    dimensions(&mut c, &b, &fit);
    let width = c.size[0] - 2.0 * frame::MARGIN;
    frame::key(&mut c, area, width, &items);
    c.finish()
}

/// Layer counts, written into the areas.
pub fn layers(look: &Look, name: &str, model: &Folded, size: Size) -> String {
    let cells = layer_cells(model);
    let most = most_layers(&cells);
    let b = bounds(model);
    let least = cells.iter().map(|c| c.layers).min().unwrap_or(0);
    let note = format!("number of layers, {least} to {most}");
    let (mut c, area, fit) = table(look, name, &note, &b, size, &[]);
    let regions = regions(&cells);
    c.group("layers", |c| {
        for layers in 1..=most {
            let here = || cells.iter().filter(|c| c.layers == layers).map(|c| &c.shape);
            let shape = path(here(), &fit);
            c.named_path("layer", &shape, Paint::fill(Ink::Plain));
            c.path(&shape, Paint::veil(Ink::Shade, map_veil(layers, most)));
        }
    });
    let mut labels = Labels::default();
    let mut outlines = Path::new();
    for region in &regions {
        let shapes: Vec<_> = region.iter().map(|&k| cells[k].shape).collect();
        for (p, q) in border(&shapes) {
            outlines = outlines.and(&Path::segment(fit.at(p), fit.at(q)));
        }
    }
    c.path(&outlines, Paint::stroke(Stroke::solid(Ink::Edge, weight::THIN)));
    silhouette(&mut c, &cells, &fit);
    c.group("layer-counts", |c| {
        let mut placed: Vec<(Pt, f64, usize)> = regions
            .iter()
            .filter_map(|r| {
                let (at, room) = roomiest(&cells, r)?;
                Some((fit.at(at), room * fit.scale, cells[r[0]].layers))
            })
            .collect();
        placed.sort_by(|a, b| b.1.total_cmp(&a.1));
        for (at, room, layers) in placed {
            let style =
                Text::LABEL.strong().centred().sized((room * 1.1).clamp(Text::SMALL.size, 5.0));
            // Letters on a dark ground are light.
            let dark = map_veil(layers, most) > 0.45;
            let style = style.in_ink(if dark { Ink::Plain } else { Ink::Edge });
            let content = layers.to_string();
            if room > 1.1 + 0.3 * content.len() as f64 {
                labels.write(c, &content, style, &[(at, Anchor::Middle)], false);
            }
        }
    });
    let counts = counts_shown(&cells);
    let swatch = 9.0;
    for (i, &layers) in counts.iter().enumerate() {
        let r = Rect::new(area[0] + i as f64 * swatch, area[1] + 1.0, swatch, 4.4);
        c.path(&Path::rect(r), Paint::fill(Ink::Plain));
        c.path(&Path::rect(r), Paint::veil(Ink::Shade, map_veil(layers, most)));
        c.path(&Path::rect(r), Paint::stroke(Stroke::solid(Ink::Edge, weight::THIN)));
        let dark = map_veil(layers, most) > 0.45;
        let ink = if dark { Ink::Plain } else { Ink::Edge };
        c.text(r.centre(), &layers.to_string(), Text::SMALL.strong().in_ink(ink).centred());
    }
    let x = area[0] + counts.len() as f64 * swatch + 2.0;
    c.text([x, area[1] + 3.2], "layers", Text::SMALL.level());
    c.finish()
}

/// The model alone, without heading, key or measures: for rows of small pictures.
pub fn thumbnail(look: &Look, name: &str, model: &Folded, size: Pt) -> String {
    let cells = layer_cells(model);
    let b = bounds(model);
    let note = format!("{} by {}", mm(b.width()), mm(b.height()));
    let mut c = Canvas::new(look, size, name, &note);
    let fit = Fit::within(&b, c.frame().inset(1.5));
    lay(&mut c, model, &fit);
    shade_by_layers(&mut c, &cells, &fit);
    c.finish()
}

fn most_layers(cells: &[Cell]) -> usize {
    cells.iter().map(|c| c.layers).max().unwrap_or(0)
}

/// Counts that occur, thinned out where there are too many for a key.
fn counts_shown(cells: &[Cell]) -> Vec<usize> {
    const ROOM: usize = 8;
    let mut counts: Vec<usize> = cells.iter().map(|c| c.layers).collect();
    counts.sort_unstable();
    counts.dedup();
    let last = counts.len().saturating_sub(1);
    if counts.len() > ROOM {
        counts = (0..ROOM).map(|i| counts[i * last / (ROOM - 1)]).collect();
    }
    counts
}

/// The map spreads its shades over the counts there are.
fn map_veil(layers: usize, most: usize) -> f64 {
    let even = 0.72 * (layers.saturating_sub(1)) as f64 / most.saturating_sub(1).max(1) as f64;
    even.min(3.0 * veil(layers))
}

/// Canvas for something lying on the table; also the corner where its key goes.
fn table<'a>(
    look: &'a Look,
    name: &str,
    note: &str,
    b: &Bounds,
    size: Size,
    items: &[(Sample, &str)],
) -> (Canvas<'a>, Pt, Fit) {
    const LEFT: f64 = 8.0;
    let [w, h] = Fit::extent(b, size);
    // A heading wants some width; a picture for a frame keeps to it.
    let least = match size {
        Size::Within([room, _]) if !look.standalone => room.min(84.0),
        _ => 84.0,
    };
    let width = (w + 2.0 * LEFT).max(least);
    let foot = h + 11.0;
    let (c, area) = frame::start(
        look,
        name,
        note,
        "The folded model seen from above, nose at the top.",
        [width, foot + frame::key_height(items, width).max(frame::KEY_ROW)],
    );
    let into = Rect::new(area.x, area.y, width, h);
    let fit = Fit::centred(b, Fit::scale_of(b, size), into);
    (c, [area.x, area.y + foot], fit)
}

fn dimensions(c: &mut Canvas<'_>, b: &Bounds, fit: &Fit) {
    let [l, r] = [fit.at(b.low), fit.at([b.high[0], b.low[1]])];
    let top = fit.at([b.low[0], b.high[1]]);
    frame::dimension(c, r, l, 5.0, &mm(b.width()));
    frame::dimension(c, l, top, 5.0, &mm(b.height()));
}

/// Cells of one count that hang together.
fn regions(cells: &[Cell]) -> Vec<Vec<usize>> {
    let touch = |a: &Cell, b: &Cell| {
        // Neighbouring slabs, chords at the shared station overlapping.
        let meet = |l: &Cell, r: &Cell| {
            (l.shape.y[1] - r.shape.y[0]).abs() < 1e-8
                && l.shape.rear[1] < r.shape.front[0] - 1e-8
                && r.shape.rear[0] < l.shape.front[1] - 1e-8
        };
        a.layers == b.layers && (meet(a, b) || meet(b, a))
    };
    let mut group: Vec<usize> = (0..cells.len()).collect();
    for i in 0..cells.len() {
        for j in 0..i {
            if group[i] != group[j] && touch(&cells[i], &cells[j]) {
                let (from, to) = (group[i], group[j]);
                for g in &mut group {
                    if *g == from {
                        *g = to;
                    }
                }
            }
        }
    }
    let mut out: Vec<Vec<usize>> = Vec::new();
    for g in 0..cells.len() {
        let members: Vec<usize> = (0..cells.len()).filter(|&i| group[i] == g).collect();
        if !members.is_empty() {
            out.push(members);
        }
    }
    out
}

/// The place in a region farthest from its border among a few places in each cell, and that
/// distance, m.
fn roomiest(cells: &[Cell], region: &[usize]) -> Option<(Pt, f64)> {
    let shapes: Vec<_> = region.iter().map(|&k| cells[k].shape).collect();
    let lines = border(&shapes);
    let room = |p: Pt| lines.iter().map(|&(a, b)| distance(p, a, b)).fold(f64::INFINITY, f64::min);
    let mut best: Option<(Pt, f64)> = None;
    for t in &shapes {
        for u in [0.1, 0.3, 0.5, 0.7, 0.9] {
            let x = t.y[0] + (t.y[1] - t.y[0]) * u;
            let Some([rear, front]) = t.chord_at(x) else { continue };
            for v in [0.2, 0.35, 0.5, 0.65, 0.8] {
                let p = [x, rear + (front - rear) * v];
                let d = room(p);
                if best.is_none_or(|(_, most)| d > most + 1e-6) {
                    best = Some((p, d));
                }
            }
        }
    }
    // Walk uphill in shrinking steps; steps stay shorter than the distance to the border.
    let (mut at, mut most) = best?;
    let mut step = most / 2.0;
    while step > 1e-5 {
        let better = [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]
            .map(|d: Pt| [at[0] + d[0] * step, at[1] + d[1] * step])
            .into_iter()
            .find(|&p| room(p) > most + 1e-7);
        match better {
            Some(p) => (at, most) = (p, room(p)),
            None => step /= 2.0,
        }
    }
    // In a long region many places are as good: take the one nearest to its middle.
    let middle = middle(&shapes);
    let inside = shapes.iter().any(|t| t.contains(XY { x: middle[1], y: middle[0] }))
        && room(middle) > 0.97 * most;
    Some(if inside { (middle, room(middle)) } else { (at, most) })
}

/// Centroid of some trapezoids.
fn middle(shapes: &[Trapezoid]) -> Pt {
    let area: f64 = shapes.iter().map(Trapezoid::area).sum();
    let area = if area > 0.0 { area } else { 1.0 };
    let each = shapes.iter().map(|t| point(t.centroid()).map(|x| x * t.area() / area));
    each.fold([0.0; 2], |sum, c| [sum[0] + c[0], sum[1] + c[1]])
}

fn distance(p: Pt, a: Pt, b: Pt) -> f64 {
    let d = [b[0] - a[0], b[1] - a[1]];
    let w = [p[0] - a[0], p[1] - a[1]];
    let l2 = d[0] * d[0] + d[1] * d[1];
    let t = if l2 > 0.0 { ((w[0] * d[0] + w[1] * d[1]) / l2).clamp(0.0, 1.0) } else { 0.0 };
    (w[0] - d[0] * t).hypot(w[1] - d[1] * t)
}
