//! Pages of steps: each with its number, the model before and after, and what to do.

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

pub fn leaves(lesson: &Lesson<'_>, paper: Paper, layout: Layout, id: &str) -> Vec<Leaf> {
    let layout = layout.even(lesson.shown.len());
    let per_page = layout.holds();
    let steps: Vec<usize> = (0..lesson.shown.len()).collect();
    let page = |(i, chunk): (usize, &[usize])| {
        let mut leaf = Leaf::new(paper, &format!("{id}-{i}"));
        let area = leaf.area();
        let w = (area.w - GAP * (layout.columns - 1) as f64) / layout.columns as f64;
        let h = (area.h - GAP * (layout.rows - 1) as f64) / layout.rows as f64;
        for (k, &step) in chunk.iter().enumerate() {
            let (column, row) = (k % layout.columns, k / layout.columns);
            let x = area.x + column as f64 * (w + GAP);
            let y = area.y + row as f64 * (h + GAP);
            panel(&mut leaf, lesson, step, Rect::new(x, y, w, h));
        }
        leaf
    };
    steps.chunks(per_page).enumerate().map(page).collect()
}

fn panel(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    let shown = &lesson.shown[step];
    let number = Text::TITLE.sized(5.0);
    leaf.heading([into.x, into.y], 20.0, &shown.number.to_string(), number.size);
    let style = if into.w < 70.0 { BODY.sized(3.0) } else { BODY };
    let words = leaf::height(&shown.says, into.w, style) + 1.5;
    let pictures = Rect::new(into.x, into.y + NUMBER, into.w, (into.h - NUMBER - words).max(20.0));
    draw(leaf, lesson, step, pictures);
    leaf.paragraph([into.x, pictures.bottom() + 1.0], into.w, &shown.says, style);
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
    let [before_w, after_w] = [free * 0.55, free * 0.45];
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
