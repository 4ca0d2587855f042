//! A page being written: headings, paragraphs and pictures, each a part of its own in reading order.

use plumbfold_draw::style::Ink;
use plumbfold_draw::svg::{Canvas, Pt, Rect};
use plumbfold_draw::text::{Text, wrap};

use crate::page::{Page, Paper, Part, look};

/// White round a page, mm: what every printer can do, and a hole punch needs.
pub const MARGIN: f64 = 14.0;
/// Running text.
pub const BODY: Text = Text::LABEL.sized(3.6);
/// Of lines of running text, from one to the next.
const LEADING: f64 = 1.35;

/// A page being written.
pub struct Leaf {
    page: Page,
    id: String,
}

impl Leaf {
    /// Empty; `id` keeps it apart from others.
    pub fn new(paper: Paper, id: &str) -> Self {
        Self { page: Page::new(paper.size), id: id.to_owned() }
    }

    /// What is inside the margins.
    pub fn area(&self) -> Rect {
        let [w, h] = self.page.size;
        Rect::new(0.0, 0.0, w, h).inset(MARGIN)
    }

    /// A name for the ids of the next picture.
    pub fn next_id(&self) -> String {
        format!("{}-{}", self.id, self.page.parts.len())
    }

    /// The page begins something that a reader looks for.
    pub fn bookmark(&mut self, heading: &str) {
        self.page.bookmark = Some(heading.to_owned());
    }

    /// A place that leads to another page.
    pub fn link(&mut self, at: Rect, page: usize) {
        self.page.links.push((at, page));
    }

    /// A picture at a place; where what stands under it begins.
    pub fn picture(&mut self, svg: String, at: Pt) -> f64 {
        let height = height_of(&svg);
        self.page.put(svg, at);
        at[1] + height
    }

    /// A picture drawn here; `says` is read aloud.
    pub fn drawn(&mut self, into: Rect, says: &str, draw: impl FnOnce(&mut Canvas<'_>, Rect)) {
        let look = look(&self.next_id());
        let mut c = Canvas::new(&look, [into.w, into.h], says, "");
        let area = c.frame();
        draw(&mut c, area);
        self.page.put(c.finish(), [into.x, into.y]);
    }

    fn lines(&mut self, class: &str, at: Pt, width: f64, lines: &[String], style: Text) -> f64 {
        let step = style.size * LEADING;
        let height = step * lines.len() as f64 + 1.0;
        let look = look(&self.next_id());
        let mut c = Canvas::new(&look, [width, height], "", "");
        c.group(class, |c| {
            for (i, line) in lines.iter().enumerate() {
                c.text([0.0, style.size + step * i as f64], line, style);
            }
        });
        self.page.parts.push(Part { svg: c.finish(), at, figure: false });
        at[1] + step * lines.len() as f64
    }

    /// Running text; where the next begins.
    pub fn paragraph(&mut self, at: Pt, width: f64, text: &str, style: Text) -> f64 {
        let lines = wrap(text, style, width);
        self.lines("paragraph", at, width, &lines, style)
    }

    /// A heading; where the text under it begins.
    pub fn heading(&mut self, at: Pt, width: f64, text: &str, size: f64) -> f64 {
        let style = Text::TITLE.sized(size);
        let lines = wrap(text, style, width);
        self.lines("heading", at, width, &lines, style) + 0.35 * size
    }

    /// Paragraphs each with a point before it; where the next begins.
    pub fn list(&mut self, at: Pt, width: f64, items: &[String], style: Text) -> f64 {
        let mut y = at[1];
        for item in items {
            let lines: Vec<String> = wrap(item, style, width - 4.0)
                .into_iter()
                .enumerate()
                .map(|(i, line)| if i == 0 { format!("•\u{a0}{line}") } else { line })
                .collect();
            // The first line hangs out by its point.
            let hang = style.width("•\u{a0}");
            let step = style.size * LEADING;
            let look = look(&self.next_id());
            let mut c = Canvas::new(&look, [width, step * lines.len() as f64 + 1.0], "", "");
            c.group("paragraph", |c| {
                for (i, line) in lines.iter().enumerate() {
                    let x = if i == 0 { 0.0 } else { hang };
                    c.text([x, style.size + step * i as f64], line, style);
                }
            });
            let part = Part { svg: c.finish(), at: [at[0], y], figure: false };
            self.page.parts.push(part);
            y += step * lines.len() as f64 + 0.8;
        }
        y
    }

    /// What stands at the foot of the page, and its number.
    pub fn finish(mut self, foot: &str, number: usize) -> Page {
        let area = self.area();
        let y = area.bottom() + 2.0;
        let style = Text::SMALL.in_ink(Ink::Soft);
        self.paragraph([area.x, y], area.w - 20.0, foot, style);
        let number = number.to_string();
        let width = style.width(&number);
        self.paragraph([area.right() - width - 0.5, y], width + 2.0, &number, style);
        self.page
    }
}

/// What a picture says of its height, mm.
fn height_of(svg: &str) -> f64 {
    let written = svg.split_once("height=\"").and_then(|(_, rest)| rest.split_once("mm\""));
    written.and_then(|(height, _)| height.parse().ok()).unwrap_or(0.0)
}

/// Height of a list, mm.
pub fn list_height(items: &[String], width: f64, style: Text) -> f64 {
    items.iter().map(|i| height(i, width - 4.0, style) + 0.8).sum()
}

/// Height of running text, mm.
pub fn height(text: &str, width: f64, style: Text) -> f64 {
    wrap(text, style, width).len() as f64 * style.size * LEADING
}
