//! Steps on pages: each with its number, the model before and after, and what to do.

use plumbfold_draw::steps::{Detail, Pair};
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Paint, Path, Pt, Rect};
use plumbfold_draw::text::Text;

use super::{Layout, Lesson};
use crate::leaf::{self, BODY, Flow, Leaf};
use crate::page::{Paper, look};

/// Between panels, mm.
const GAP: f64 = 7.0;
/// Height of the line with the number, mm.
const NUMBER: f64 = 6.0;
/// Width of the arrow between before and after, mm.
const ARROW: f64 = 5.0;
/// Between paragraphs of one step, mm.
const BETWEEN: f64 = 1.2;
/// Share of a row that its pictures take, least and most: high rows leave more to them.
const PICTURES: [f64; 2] = [0.55, 0.66];
/// How wide the pictures of a row are at most, for its height: two upright sheets and the arrow.
const WIDE: f64 = 1.5;
/// Pictures are at least so high, mm.
const PICTURE_LEAST: f64 = 20.0;
/// A step takes a whole row where its words would leave less than this share of a panel to the
/// pictures.
const PICTURES_LEAST: f64 = 0.5;

/// Sets all steps: as many as fit below what stands on the first page already, then on as few pages
/// as hold the rest, each with about as many.
pub fn leaves(
    lesson: &Lesson<'_>,
    paper: Paper,
    layout: Layout,
    id: &str,
    front: Flow,
) -> Vec<Leaf> {
    let below = front.y;
    let mut out = front.finish();
    let Some(first) = out.last_mut() else { return out };
    let area = first.area();
    let steps: Vec<usize> = (0..lesson.shown.len()).collect();
    let free = Rect { y: below, h: area.bottom() - below, ..area };
    let row = (area.h + GAP) / layout.rows as f64;
    let here = if layout.columns == 1 { ((free.h + GAP) / row) as usize } else { 0 };
    let alone = |steps: &[usize]| steps.iter().map(|&s| vec![s]).collect::<Vec<_>>();
    let fits = |&count: &usize| needed(lesson, &alone(&steps[..count]), area.w, 1) <= free.h;
    let here = (0..=here.min(steps.len())).rev().find(fits).unwrap_or(0);
    let (here, rest) = steps.split_at(here);
    rows(first, lesson, alone(here), free, 1);
    let all = rest_of(lesson, layout, area, rest);
    for (i, page) in packed(lesson, layout, area, &all).into_iter().enumerate() {
        let mut leaf = Leaf::new(paper, &format!("{id}-{i}"));
        match page {
            [row] if needed(lesson, page, area.w, layout.columns) > area.h && row.len() == 1 => {
                out.extend(long_step(leaf, lesson, row[0], paper, &format!("{id}-{i}")));
            }
            _ => {
                rows(&mut leaf, lesson, page.to_vec(), area, layout.columns);
                out.push(leaf);
            }
        }
    }
    out
}

/// Rows on as few pages as hold them, each with about as many, and with no more steps than a page
/// may have.
fn packed<'a>(
    lesson: &Lesson<'_>,
    layout: Layout,
    area: Rect,
    all: &'a [Vec<usize>],
) -> Vec<&'a [Vec<usize>]> {
    let holds = |rows: &[Vec<usize>]| {
        rows.iter().map(Vec::len).sum::<usize>() <= layout.columns * layout.rows
            && needed(lesson, rows, area.w, layout.columns) <= area.h
    };
    let pages = |each: usize| {
        let (mut out, mut rest) = (Vec::new(), all);
        while !rest.is_empty() {
            let fits = |n: &usize| holds(&rest[..*n]);
            let here = (1..=each.min(rest.len())).rev().find(fits).unwrap_or(1);
            let (page, later) = rest.split_at(here);
            out.push(page);
            rest = later;
        }
        out
    };
    let fewest = pages(all.len().max(1));
    let even = pages(all.len().div_ceil(fewest.len().max(1)).max(1));
    if even.len() > fewest.len() { fewest } else { even }
}

/// Least height of a row, mm: its words, and pictures that can be seen.
fn least(lesson: &Lesson<'_>, row: &[usize], width: f64, columns: usize) -> f64 {
    match *row {
        [one] => height(lesson, one, width * (1.0 - PICTURES[0]) - GAP).max(PICTURE_LEAST),
        _ => {
            let w = column(width, columns);
            let each = row.iter().map(|&s| NUMBER + height(lesson, s, w) + 1.0 + PICTURE_LEAST);
            each.fold(0.0, f64::max)
        }
    }
}

/// Least height of rows one under the other, mm.
fn needed(lesson: &Lesson<'_>, rows: &[Vec<usize>], width: f64, columns: usize) -> f64 {
    let each = rows.iter().map(|row| least(lesson, row, width, columns));
    each.sum::<f64>() + GAP * rows.len().saturating_sub(1) as f64
}

/// A step with more words than a page holds: they go on under its pictures, and on the next page.
fn long_step(
    mut leaf: Leaf,
    lesson: &Lesson<'_>,
    step: usize,
    paper: Paper,
    id: &str,
) -> Vec<Leaf> {
    let area = leaf.area();
    number(&mut leaf, lesson, step, [area.x, area.y]);
    let pictures = Rect { y: area.y + NUMBER, h: area.h / 2.0, ..area };
    let bottom = draw(&mut leaf, lesson, step, pictures);
    let mut flow = Flow::below(leaf, bottom + 1.0, paper, id);
    for paragraph in lesson.said[step].paragraphs() {
        flow.paragraph(&paragraph, BODY);
        flow.y += BETWEEN;
    }
    flow.finish()
}

/// Steps in rows; one with many words has a row to itself.
fn rest_of(lesson: &Lesson<'_>, layout: Layout, area: Rect, steps: &[usize]) -> Vec<Vec<usize>> {
    let w = column(area.w, layout.columns);
    let h = (area.h + GAP) / layout.rows as f64 - GAP;
    let long = |step: usize| h - NUMBER - height(lesson, step, w) < PICTURES_LEAST * h;
    let mut rows: Vec<Vec<usize>> = Vec::new();
    for &step in steps {
        match rows.last_mut() {
            Some(row) if row.len() < layout.columns && !long(step) && !long(row[0]) => {
                row.push(step);
            }
            _ => rows.push(vec![step]),
        }
    }
    rows
}

fn column(width: f64, columns: usize) -> f64 {
    (width + GAP) / columns as f64 - GAP
}

fn rows(leaf: &mut Leaf, lesson: &Lesson<'_>, rows: Vec<Vec<usize>>, into: Rect, columns: usize) {
    let total = into.h - GAP * rows.len().saturating_sub(1) as f64;
    let least = rows.iter().map(|row| least(lesson, row, into.w, columns)).collect();
    let mut y = into.y;
    for (row, h) in rows.iter().zip(shares(least, total)) {
        // A row that is not full has wider cells.
        let w = column(into.w, row.len());
        for (k, &step) in row.iter().enumerate() {
            if row.len() == 1 {
                wide_panel(leaf, lesson, step, Rect { y, h, ..into });
            } else {
                panel(leaf, lesson, step, Rect { x: into.x + k as f64 * (w + GAP), y, w, h });
            }
        }
        y += h + GAP;
    }
}

/// A length shared out evenly, except that each gets at least what it needs.
fn shares(least: Vec<f64>, total: f64) -> Vec<f64> {
    let mut needy = vec![false; least.len()];
    loop {
        let taken: f64 = least.iter().zip(&needy).filter(|(_, n)| **n).map(|(l, _)| l).sum();
        let others = needy.iter().filter(|n| !**n).count();
        let each = (total - taken) / others.max(1) as f64;
        let more: Vec<bool> =
            least.iter().zip(&needy).map(|(l, needy)| *needy || *l > each).collect();
        if more == needy {
            return least.iter().zip(&needy).map(|(l, n)| if *n { *l } else { each }).collect();
        }
        needy = more;
    }
}

/// Words of narrow panels are smaller.
fn style(width: f64) -> Text {
    if width < 50.0 { BODY.sized(3.0) } else { BODY }
}

/// Height of the words of a step, mm.
fn height(lesson: &Lesson<'_>, step: usize, width: f64) -> f64 {
    let paragraphs = lesson.said[step].paragraphs();
    paragraphs.iter().map(|p| leaf::height(p, width, style(width)) + BETWEEN).sum()
}

fn words(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, [x, mut y]: Pt, width: f64) {
    for paragraph in lesson.said[step].paragraphs() {
        y = leaf.paragraph([x, y], width, &paragraph, style(width)) + BETWEEN;
    }
}

fn number(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, at: Pt) {
    let number = lesson.shown[step].number.to_string();
    leaf.heading(at, 20.0, &number, 5.0);
}

fn panel(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    number(leaf, lesson, step, [into.x, into.y]);
    let free = (into.h - NUMBER - height(lesson, step, into.w) - 1.0).max(PICTURE_LEAST);
    let pictures = Rect::new(into.x, into.y + NUMBER, into.w, free);
    let bottom = draw(leaf, lesson, step, pictures);
    words(leaf, lesson, step, [into.x, bottom + 1.0], into.w);
}

/// A step with a row for itself: pictures on the left, words beside them.
fn wide_panel(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) {
    number(leaf, lesson, step, [into.x, into.y]);
    let left = (WIDE * into.h).clamp(PICTURES[0] * into.w, PICTURES[1] * into.w);
    let width = into.w - left - GAP;
    let left = if height(lesson, step, width) > into.h { PICTURES[0] * into.w } else { left };
    // Beside the number, of two digits from the tenth on.
    let number = if lesson.shown[step].number < 10 { NUMBER } else { 1.5 * NUMBER };
    draw(leaf, lesson, step, Rect::new(into.x + number, into.y, left - number, into.h));
    words(leaf, lesson, step, [into.x + left + GAP, into.y], into.w - left - GAP);
}

/// The pictures of a step, from the top; where they end.
fn draw(leaf: &mut Leaf, lesson: &Lesson<'_>, step: usize, into: Rect) -> f64 {
    let shown = &lesson.shown[step];
    let after = &lesson.folded.run.steps[step].after;
    if let Some(detail) = Detail::of(shown) {
        // Where it is, then twice the part, larger: before and after.
        let side = (into.h - 1.0).min((into.w - ARROW) * 0.36);
        let place = [into.w - ARROW - 2.0 * side, side];
        leaf.picture(detail.place(&look(&leaf.next_id()), shown, place), [into.x, into.y]);
        let x = into.x + place[0];
        let size = [side, side];
        leaf.picture(detail.before(&look(&leaf.next_id()), shown, size), [x, into.y]);
        becomes(leaf, [x + side, into.y + side / 2.0]);
        let svg = detail.after(&look(&leaf.next_id()), shown, after, size);
        return leaf.picture(svg, [x + side + ARROW, into.y]);
    }
    let pair = Pair::within(shown, after, [into.w - ARROW, into.h]);
    let [before, result] = pair.sizes;
    // What needs little width stands in the middle.
    let x = into.x + (into.w - ARROW - before[0] - result[0]) / 2.0;
    leaf.picture(pair.before(&look(&leaf.next_id()), shown), [x, into.y]);
    becomes(leaf, [x + before[0], into.y + before[1] / 2.0]);
    leaf.picture(pair.after(&look(&leaf.next_id()), shown, after), [x + before[0] + ARROW, into.y])
}

fn becomes(leaf: &mut Leaf, [x, y]: Pt) {
    leaf.drawn(Rect::new(x, y - 3.0, ARROW, 6.0), "becomes", |c, area| {
        let y = area.h / 2.0;
        let head = Path::polygon([[4.6, y], [2.4, y - 1.4], [2.4, y + 1.4]]);
        let line = Path::segment([0.6, y], [2.6, y]);
        c.path(&line, Paint::stroke(Stroke::solid(Ink::Soft, weight::BOLD)));
        c.path(&head, Paint::fill(Ink::Soft));
    });
}
