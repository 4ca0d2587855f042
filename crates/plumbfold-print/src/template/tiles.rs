//! A sheet on paper of another size: centred where it fits, in tiles where it does not.

use plumbfold_draw::labels::Labels;
use plumbfold_draw::style::{Ink, Stroke, weight};
use plumbfold_draw::svg::{Canvas, Paint, Path, Pt, Rect};
use plumbfold_draw::text::{Text, shorten, wrap};

use super::Template;
use super::side::{self, Side};
use crate::page::{Page, Paper, look};

/// What printers leave white, and room for the bars, mm.
const MARGIN: f64 = 11.0;
/// How far tiles overlap, mm.
const OVERLAP: f64 = 10.0;

/// How a sheet is laid out.
struct Layout {
    page: Pt,
    columns: usize,
    rows: usize,
}

impl Layout {
    /// The way of laying the paper that takes fewer pages; upright where they are equal.
    fn of(sheet: Pt, paper: Pt) -> Self {
        let laid = |page: Pt| {
            if (0..2).all(|k| sheet[k] <= page[k] - 2.0 * BESIDE) {
                return Self { page, columns: 1, rows: 1 };
            }
            let count = |k: usize| {
                let window = page[k] - 2.0 * MARGIN;
                ((sheet[k] - OVERLAP) / (window - OVERLAP)).ceil().max(1.0) as usize
            };
            Self { page, columns: count(0), rows: count(1) }
        };
        let [upright, sideways] = [laid(paper), laid([paper[1], paper[0]])];
        if sideways.count() < upright.count() { sideways } else { upright }
    }

    fn count(&self) -> usize {
        self.columns * self.rows
    }

    fn one(&self) -> bool {
        self.count() == 1
    }

    /// Number of a tile, from 1.
    fn number(&self, [column, row]: [usize; 2]) -> usize {
        row * self.columns + column + 1
    }

    /// Part of the page that carries the sheet.
    fn window(&self) -> Rect {
        let [w, h] = self.page;
        if self.one() { Rect::new(0.0, 0.0, w, h) } else { Rect::new(0.0, 0.0, w, h).inset(MARGIN) }
    }

    /// Where the sheet lies on the page of a tile. The tiles together are centred on the sheet.
    fn sheet(&self, sheet: Pt, column: usize, row: usize) -> Rect {
        let window = self.window();
        let place = |k: usize, start: f64, length: f64, index: usize, count: usize| {
            let whole = count as f64 * (length - OVERLAP) + OVERLAP;
            start + (whole - sheet[k]) / 2.0 - index as f64 * (length - OVERLAP)
        };
        let x = place(0, window.x, window.w, column, self.columns);
        let y = place(1, window.y, window.h, row, self.rows);
        Rect::new(x, y, sheet[0], sheet[1])
    }
}

/// Least white beside a sheet that is smaller than the paper, mm.
const BESIDE: f64 = 3.0;

pub fn pages(t: &Template<'_>, paper: Paper, sides: &[Side]) -> Vec<Page> {
    let layout = Layout::of(t.sheet_mm(), paper.size);
    let mut out = Vec::new();
    if !layout.one() {
        out.push(plan(t, &layout));
        // Printed on both sides, every tile begins a leaf.
        out.extend(sides.iter().skip(1).map(|_| Page::new(layout.page)));
    }
    for row in 0..layout.rows {
        for column in 0..layout.columns {
            for &side in sides {
                out.push(tile(t, &layout, [column, row], side));
            }
        }
    }
    if let Some(first) = out.first_mut() {
        first.bookmark = Some(t.name.clone());
    }
    out
}

/// Room for the words above the plan, mm.
const ABOVE: f64 = 32.0;
/// Room for the bars below it, mm.
const BELOW: f64 = 4.0;

/// Where each tile belongs on the sheet: seen from the front.
fn plan(t: &Template<'_>, layout: &Layout) -> Page {
    let page = Page::new(layout.page);
    let look = look("plan");
    let [w, h] = layout.page;
    let mut c = Canvas::new(&look, layout.page, "Plan of the pages", "Where each page belongs.");
    let area = Rect::new(0.0, 0.0, w, h).inset(MARGIN);
    let (count, sheet) = (layout.count(), t.sheet_mm());
    let words = format!(
        "{}: how its {count} pages lie, seen from the front. They overlap by {}; the numbers are those \
         at the top of each page. Print at actual size (100 %). {}",
        shorten(&t.name, Text::LABEL, side::NAME),
        t.units.length(OVERLAP * 1e-3),
        side::key(t, Side::Front)
    );
    c.group("paragraph", |c| {
        for (i, line) in wrap(&words, Text::LABEL, area.w).iter().enumerate() {
            c.text([area.x, area.y + 4.0 + 4.6 * i as f64], line, Text::LABEL);
        }
    });
    // All tiles together, to scale, in what is left of the page.
    let window = layout.window();
    let step = [window.w - OVERLAP, window.h - OVERLAP];
    let whole = [layout.columns as f64 * step[0] + OVERLAP, layout.rows as f64 * step[1] + OVERLAP];
    let scale = (area.w / whole[0]).min((area.h - ABOVE - BELOW) / whole[1]);
    let [left, top] = [area.x + (area.w - whole[0] * scale) / 2.0, area.y + ABOVE];
    let first = layout.sheet(sheet, 0, 0);
    let outline = Rect::new(
        left + (first.x - window.x) * scale,
        top + (first.y - window.y) * scale,
        sheet[0] * scale,
        sheet[1] * scale,
    );
    side::plain(&mut c, t, outline);
    let line = Paint::stroke(Stroke::dashed(Ink::Move, weight::THIN, &[1.0, 1.0]));
    let style = Text::TITLE.sized((0.4 * scale * step[0].min(step[1])).clamp(2.0, 9.0));
    for row in 0..layout.rows {
        for column in 0..layout.columns {
            let x = left + column as f64 * step[0] * scale;
            let y = top + row as f64 * step[1] * scale;
            let tile = Rect::new(x, y, window.w * scale, window.h * scale);
            c.named_path("tile", &Path::rect(tile), line);
            let number = layout.number([column, row]);
            c.text(tile.centre(), &number.to_string(), style.centred().halo());
        }
    }
    side::bars(&mut c, [7.0, h - 7.5], &mut Labels::default());
    page.written(c)
}

fn tile(t: &Template<'_>, layout: &Layout, [column, row]: [usize; 2], side: Side) -> Page {
    let page = Page::new(layout.page);
    // The back of a tile is the mirrored column.
    let across = if side == Side::Front { column } else { layout.columns - 1 - column };
    let sheet = layout.sheet(t.sheet_mm(), across, row);
    let window = layout.window();
    let look = look(&format!("{}-{}-{}", side.words(), row + 1, column + 1));
    let mut c =
        Canvas::new(&look, layout.page, &side::title(t, side), "A part of the sheet at true size.");
    c.clipped("window", window, |c| side::draw(c, t, side, sheet, &[]));
    let style = Text::SMALL.in_ink(Ink::EdgeSoft);
    let [w, h] = layout.page;
    let turn = if h >= w { "long" } else { "short" };
    let back =
        if side == Side::Back { format!(", turned on the {turn} edge") } else { String::new() };
    let mut words = format!(
        "{} ({}{back}). Print at actual size (100 %).",
        shorten(&t.name, style, side::NAME),
        side.words()
    );
    if layout.one() {
        words += " Cut along the outline.";
    } else {
        words += &format!(
            " Page {} of {}: row {} of {}, column {} of {}. Lay the crosses on each other, tape, cut \
             along the outline.",
            layout.number([column, row]),
            layout.count(),
            row + 1,
            layout.rows,
            column + 1,
            layout.columns
        );
        crosses(&mut c, window);
    }
    c.group("paragraph", |c| {
        for (i, line) in wrap(&words, style, w - 20.0).iter().enumerate() {
            c.text([10.0, 6.0 + 3.4 * i as f64], line, style);
        }
    });
    side::bars(&mut c, [7.0, h - 7.5], &mut Labels::default());
    page.written(c)
}

/// Marks in the overlap of neighbouring tiles: the same places of the sheet on both.
fn crosses(c: &mut Canvas<'_>, window: Rect) {
    let stroke = Paint::stroke(Stroke::solid(Ink::Move, weight::THIN));
    let half = OVERLAP / 2.0;
    let inner = window.inset(half);
    c.group("joining-crosses", |c| {
        for x in [inner.x, inner.right()] {
            for y in [inner.y, inner.centre()[1], inner.bottom()] {
                let cross = Path::segment([x - 3.0, y], [x + 3.0, y])
                    .and(&Path::segment([x, y - 3.0], [x, y + 3.0]));
                c.named_path("cross", &cross, stroke);
            }
        }
        let [x, _] = window.centre();
        for y in [inner.y, inner.bottom()] {
            let cross = Path::segment([x - 3.0, y], [x + 3.0, y])
                .and(&Path::segment([x, y - 3.0], [x, y + 3.0]));
            c.named_path("cross", &cross, stroke);
        }
        let edge = Stroke::dashed(Ink::Hair, weight::THIN, &[1.0, 1.0]);
        c.path(&Path::rect(window), Paint::stroke(edge));
    });
}
