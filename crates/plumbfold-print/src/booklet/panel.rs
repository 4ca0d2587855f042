//! Pages of steps: each with its number, the model before and after, and what to do.

use plumbfold_draw::steps::{self, Pair};
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Paint, Path, Pt, Rect};
use plumbfold_draw::text::Text;

use super::{Layout, Lesson};
use crate::leaf::{self, BODY, Leaf};
use crate::page::{Paper, look};

/// Between panels, mm.
const GAP: f64 = 7.0;
/// Height of the line with the number, mm.
const NUMBER: f64 = 6.0;
/// Width of the arrow between before and after, mm.
const ARROW: f64 = 5.0;

/// A step takes a whole row where its words would leave less than this share of a panel to the
/// pictures.
const PICTURES_LEAST: f64 = 0.5;

pub fn leaves(lesson: &Lesson<'_>, paper: Paper, layout: Layout, id: &str) -> Vec<Leaf> {
    let layout = layout.even(lesson.shown.len());
    let area = Leaf::new(paper, id).area();
    let w = (area.w - GAP * (layout.columns - 1) as f64) / layout.columns as f64;
    let h = (area.h - GAP * (layout.rows - 1) as f64) / layout.rows as f64;
    let long = |step: usize| {
        let words = leaf::height(&lesson.shown[step].says, w, style(w));
        layout.columns > 1 && h - NUMBER - words < PICTURES_LEAST * h
    };
    let mut rows: Vec<Vec<usize>> = Vec::new();
    for step in 0..lesson.shown.len() {
        match rows.last_mut() {
            Some(row) if row.len() < layout.columns && !long(step) && !long(row[0]) => {
                row.push(step)
            }
            _ => rows.push(vec![step]),
        }
    }
    // As few pages as hold the rows, each with about as many.
    let pages = rows.len().div_ceil(layout.rows).max(1);
    let each = rows.len().div_ceil(pages).max(1);
    let h = (area.h - GAP * (each - 1) as f64) / each as f64;
    let page = |(i, rows): (usize, &[Vec<usize>])| {
        let mut leaf = Leaf::new(paper, &format!("{id}-{i}"));
        for (r, row) in rows.iter().enumerate() {
            let y = area.y + r as f64 * (h + GAP);
            for (k, &step) in row.iter().enumerate() {
                if long(step) || layout.columns > 1 && row.len() == 1 {
                    wide_panel(&mut leaf, lesson, step, Rect::new(area.x, y, area.w, h));
                } else {
                    let x = area.x + k as f64 * (w + GAP);
                    panel(&mut leaf, lesson, step, Rect::new(x, y, w, h));
                }
            }
        }
        leaf
    };
    rows.chunks(each).enumerate().map(page).collect()
}

/// Words of narrow panels are smaller.
fn style(width: f64) -> Text {
    if width < 70.0 { BODY.sized(3.0) } else { BODY }
}

fn number(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, at: Pt) {
    let number = lesson.shown[step].number.to_string();
    leaf.heading(at, 20.0, &number, 5.0);
}

fn panel(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    number(leaf, lesson, step, [into.x, into.y]);
    let (says, style) = (&lesson.shown[step].says, style(into.w));
    let words = leaf::height(says, into.w, style) + 1.5;
    let free = (into.h - NUMBER - words).max(20.0);
    // No higher than it can fill, so that the words stand under the pictures.
    let high = free.min(natural_height(lesson, step, [into.w, free]));
    let pictures = Rect::new(into.x, into.y + NUMBER, into.w, high);
    draw(leaf, lesson, step, pictures);
    leaf.paragraph([into.x, pictures.bottom() + 1.0], into.w, says, style);
}

/// How high the pictures of a step are at the width they have, mm.
fn natural_height(lesson: &Lesson<'_>, step: usize, room: Pt) -> f64 {
    let after = &lesson.folded.run.steps[step].after;
    let pair = Pair::within(&lesson.shown[step], after, [room[0] - ARROW, room[1]]);
    pair.sizes[0][1].max(25.0)
}

/// A step with a row for itself: pictures on the left, words beside them.
fn wide_panel(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    number(leaf, lesson, step, [into.x, into.y]);
    let left = into.w * 0.56;
    draw(leaf, lesson, step, Rect::new(into.x, into.y + NUMBER, left, into.h - NUMBER));
    let (says, width) = (&lesson.shown[step].says, into.w - left - GAP);
    let top = into.y + ((into.h - leaf::height(says, width, BODY)) / 2.0).max(0.0);
    leaf.paragraph([into.x + left + GAP, top], width, says, BODY);
}

fn draw(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    let shown = &lesson.shown[step];
    let after = &lesson.folded.run.steps[step].after;
    let small = |side: f64| {
        let look = look(&leaf.next_id());
        steps::detail(&look, shown, [side, side])
    };
    // A fold too small to be seen is shown larger between before and after.
    let side = (into.w * 0.3).min(into.h);
    let detail = small(side);
    let beside = ARROW + if detail.is_some() { side + 2.0 } else { 0.0 };
    let pair = Pair::within(shown, after, [into.w - beside, into.h]);
    let [before, result] = pair.sizes;
    let y = into.y + (into.h - before[1]) / 2.0;
    // Steps that turn the model need little width: they stand in the middle.
    let mut x = into.x + (into.w - beside - before[0] - result[0]) / 2.0;
    let picture = pair.before(&look(&leaf.next_id()), shown);
    leaf.picture(picture, [x, y]);
    x += before[0];
    if let Some(detail) = detail {
        leaf.picture(detail, [x + 1.0, into.y + (into.h - side) / 2.0]);
        x += side + 2.0;
    }
    let arrow = Rect::new(x, into.y + into.h / 2.0 - 3.0, ARROW, 6.0);
    leaf.drawn(arrow, "becomes", |c, area| {
        let y = area.h / 2.0;
        let head = Path::polygon([[4.6, y], [2.4, y - 1.4], [2.4, y + 1.4]]);
        let line = Path::segment([0.6, y], [2.6, y]);
        c.path(&line, Paint::stroke(Stroke::solid(Ink::Soft, weight::BOLD)));
        c.path(&head, Paint::fill(Ink::Soft));
    });
    let picture = pair.after(&look(&leaf.next_id()), shown, after);
    leaf.picture(picture, [x + ARROW, y]);
}
