//! Pages of steps: each with its number, the model before and after, and what to do.

use plumbfold_draw::paper::bounds;
use plumbfold_draw::steps;
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
    let page = |(i, rows): (usize, &[Vec<usize>])| {
        let mut leaf = Leaf::new(paper, &format!("{id}-{i}"));
        for (r, row) in rows.iter().enumerate() {
            let y = area.y + r as f64 * (h + GAP);
            for (k, &step) in row.iter().enumerate() {
                if long(step) {
                    wide_panel(&mut leaf, lesson, step, Rect::new(area.x, y, area.w, h));
                } else {
                    let x = area.x + k as f64 * (w + GAP);
                    panel(&mut leaf, lesson, step, Rect::new(x, y, w, h));
                }
            }
        }
        leaf
    };
    rows.chunks(layout.rows).enumerate().map(page).collect()
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
    let high = free.min(natural_height(lesson, step, into.w));
    let pictures = Rect::new(into.x, into.y + NUMBER, into.w, high);
    draw(leaf, lesson, step, pictures);
    leaf.paragraph([into.x, pictures.bottom() + 1.0], into.w, says, style);
}

/// Of the width of a panel, what the model before and after a step get.
const SHARES: [f64; 2] = [0.55, 0.45];
/// Room for arrows above and below the model, mm.
const AIR: f64 = 12.0;

/// How high the pictures of a step are at the width they have, mm.
fn natural_height(lesson: &Lesson<'_>, step: usize, width: f64) -> f64 {
    let models = [lesson.shown[step].before, &*lesson.folded.run.steps[step].after];
    let high = models.iter().zip(SHARES).map(|(model, share)| {
        let b = bounds(model);
        b.height() / b.width().max(1e-6) * (width - ARROW) * share + AIR
    });
    high.fold(25.0, f64::max)
}

/// Pictures on the left, words beside them.
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
    let free = into.w - ARROW - if detail.is_some() { side + 2.0 } else { 0.0 };
    let [before_w, after_w] = SHARES.map(|share| free * share);
    let size: Pt = [before_w, into.h];
    let picture = steps::step(&look(&leaf.next_id()), shown, size, false);
    leaf.picture(picture, [into.x, into.y]);
    let mut x = into.x + before_w;
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
    let picture = steps::result(&look(&leaf.next_id()), shown, after, [after_w, into.h]);
    leaf.picture(picture, [x + ARROW, into.y]);
}
