//! Two lets against each other: what the plane does at every pair of values.

use plumbfold::verdict::Behaviour;

use crate::behaviour::{dress, key_of};
use crate::chart::{BELOW, LEFT};
use crate::frame::{self, Sample};
use crate::series::inscription;
use crate::style::{Hatch, Ink, Look, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Rect};
use crate::text::{Text, decimals};

/// One let of a grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side<'a> {
    /// Name, with the unit.
    pub label: &'a str,
    /// Its values, in growing order.
    pub at: &'a [f64],
    /// The value the design has now.
    pub now: Option<f64>,
}

/// One pair of values.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// What the plane does; none where it cannot be folded.
    pub behaviour: Option<Behaviour>,
    /// A number under the letter, where there is room.
    pub number: String,
}

/// A map of fields. `fields` runs up the second side for each value of the first; `note` says
/// what the numbers are.
pub fn grid(
    look: &Look,
    name: &str,
    note: &str,
    across: Side<'_>,
    up: Side<'_>,
    fields: &[Field],
) -> String {
    let (columns, rows) = (across.at.len().max(1), up.at.len().max(1));
    let size = (150.0 / columns as f64).min(150.0 / rows as f64).clamp(5.0, 17.0);
    let mut items = key_of(fields.iter().filter_map(|f| f.behaviour));
    if fields.iter().any(|f| f.behaviour.is_none()) {
        items.push((Sample::Patch(Ink::Ground, Hatch::None, IMPOSSIBLE), "cannot be folded"));
    }
    let meant = now_place(&across).zip(now_place(&up));
    if meant.is_some() {
        items.push((Sample::Meant, "as the design is"));
    }
    let map = [size * columns as f64, size * rows as f64];
    let width = (map[0] + LEFT).max(110.0);
    let key_top = map[1] + BELOW + 5.0;
    let content = [width, key_top + frame::key_height(&items, width)];
    let (mut c, area) = frame::start(look, name, note, note, content);
    let map = Rect::new(area.x + LEFT, area.y, map[0], map[1]);
    let place = |i: usize, j: usize| {
        Rect::new(map.x + i as f64 * size, map.bottom() - (j + 1) as f64 * size, size, size)
    };
    c.group("fields", |c| {
        for (k, field) in fields.iter().take(columns * rows).enumerate() {
            draw_field(c, place(k / rows, k % rows), field);
        }
        borders(c, fields, rows, &place);
    });
    c.path(&Path::rect(map), Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
    labels(&mut c, &across, &up, map, size);
    if let Some((x, y)) = meant {
        let at = [map.x + (x + 0.5) * size, map.bottom() - (y + 0.5) * size];
        // Round a field, or a small ring between fields, where it hides no writing.
        let on = |v: f64| (v - v.round()).abs() < 1e-6;
        frame::meant_mark(&mut c, at, size * if on(x) && on(y) { 0.46 } else { 0.2 });
    }
    frame::key(&mut c, [area.x, area.y + key_top], width, &items);
    c.finish()
}

/// Letter of what cannot be folded.
const IMPOSSIBLE: &str = "×";

fn draw_field(c: &mut Canvas<'_>, r: Rect, field: &Field) {
    let (ink, hatch, letter) =
        field.behaviour.map_or((Ink::Ground, Hatch::None, IMPOSSIBLE), dress);
    let shape = Path::rect(r);
    c.path(&shape, Paint::both(ink, Stroke::solid(ink, 0.1)));
    c.pattern(&shape, hatch, Ink::Soft);
    inscription(c, r, letter, &field.number, ink);
}

/// Lines between fields that differ.
fn borders(
    c: &mut Canvas<'_>,
    fields: &[Field],
    rows: usize,
    place: &impl Fn(usize, usize) -> Rect,
) {
    let mut lines = Path::new();
    for (k, field) in fields.iter().enumerate() {
        let (i, j) = (k / rows, k % rows);
        let r = place(i, j);
        let differs = |n: Option<&Field>| n.is_some_and(|n| n.behaviour != field.behaviour);
        if differs(fields.get(k + rows)) {
            lines = lines.and(&Path::segment([r.right(), r.y], [r.right(), r.bottom()]));
        }
        if j + 1 < rows && differs(fields.get(k + 1)) {
            lines = lines.and(&Path::segment([r.x, r.y], [r.right(), r.y]));
        }
    }
    c.path(&lines, Paint::stroke(Stroke::solid(Ink::Text, weight::LINE)));
}

/// Values beside the fields, and the names of both lets.
fn labels(c: &mut Canvas<'_>, across: &Side<'_>, up: &Side<'_>, map: Rect, size: f64) {
    let small = Text::SMALL;
    let written = |at: &[f64]| -> Vec<String> { at.iter().map(|&v| decimals(v, 2)).collect() };
    let names = written(across.at);
    let widest = names.iter().map(|n| small.width(n)).fold(0.0, f64::max);
    let every = ((widest + 2.0) / size).ceil().max(1.0) as usize;
    for (i, name) in names.iter().enumerate().step_by(every) {
        let x = map.x + (i as f64 + 0.5) * size;
        c.text([x, map.bottom() + 4.2], name, small.middle());
    }
    for (j, name) in written(up.at).iter().enumerate() {
        let y = map.bottom() - (j as f64 + 0.5) * size;
        c.text([map.x - 1.8, y], name, small.end().level());
    }
    let style = small.in_ink(Ink::Text).middle();
    c.text([map.centre()[0], map.bottom() + 9.2], across.label, style);
    c.text([map.x - LEFT + 3.4, map.centre()[1]], up.label, style.turned());
}

/// Where the value now lies, counted in fields from the first; none beyond the ends.
fn now_place(side: &Side<'_>) -> Option<f64> {
    let now = side.now?;
    let beside = |w: &[f64]| {
        let [a, b] = [w[0], w[1]];
        (a <= now && now <= b && a < b).then(|| (now - a) / (b - a))
    };
    match side.at {
        [only] => (*only == now).then_some(0.0),
        at => at.windows(2).enumerate().find_map(|(i, w)| Some(i as f64 + beside(w)?)),
    }
}
