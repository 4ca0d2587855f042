//! A page being written: headings, paragraphs and pictures, each a part of its own in reading order.

use plumbfold_draw::style::Ink;
use plumbfold_draw::svg::{Canvas, Pt, Rect};
use plumbfold_draw::text::{Text, shorten, wrap};

use crate::page::{Page, Paper, Part, look};

/// White round a page, mm: what every printer can do, and a hole punch needs.
pub const MARGIN: f64 = 14.0;
/// Running text.
pub const BODY: Text = Text::LABEL.sized(3.6);
/// Of lines of running text, from one to the next.
const LEADING: f64 = 1.35;

/// Before an item of a list.
const POINT: &str = "•\u{a0}";
/// How far the lines of an item stand in, of the size: as far as its point is wide in the shipped
/// font.
const HANG: f64 = 0.82;
/// Under an item of a list, mm.
const AFTER_ITEM: f64 = 0.8;

/// As much of a name as two lines hold.
pub fn first_lines(name: &str, size: f64, width: f64) -> String {
    let style = Text::TITLE.sized(size);
    let lines = wrap(name, style, width);
    match &lines[..] {
        [first, second, _, ..] => {
            format!("{first} {}", shorten(&format!("{second}…"), style, width))
        }
        _ => name.to_owned(),
    }
}

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
            let lines = wrap(item, style, width - 4.0);
            y = self.hanging([at[0], y], width, &lines, style, true);
        }
        y
    }

    /// Lines of a list; where it `begins`, the first hangs out by its point.
    fn hanging(&mut self, at: Pt, width: f64, lines: &[String], style: Text, begins: bool) -> f64 {
        let step = style.size * LEADING;
        let look = look(&self.next_id());
        let mut c = Canvas::new(&look, [width, step * lines.len() as f64 + 1.0], "", "");
        c.group("paragraph", |c| {
            for (i, line) in lines.iter().enumerate() {
                let first = begins && i == 0;
                let line = if first { format!("{POINT}{line}") } else { line.clone() };
                let x = if first { 0.0 } else { HANG * style.size };
                c.text([x, style.size + step * i as f64], &line, style);
            }
        });
        self.page.parts.push(Part { svg: c.finish(), at, figure: false });
        at[1] + step * lines.len() as f64 + AFTER_ITEM
    }

    /// The name of a plane over all that is said of it: as large as two lines of it can be, and cut
    /// where the smallest letters are too large.
    pub fn title(&mut self, at: Pt, width: f64, name: &str, size: f64) -> f64 {
        let fits = |size: &f64| wrap(name, Text::TITLE.sized(*size), width).len() <= 2;
        let sizes = [1.0, 0.8, 0.65, 0.5].map(|share| share * size);
        match sizes.iter().find(|s| fits(s)) {
            Some(&size) => self.heading(at, width, name, size),
            None => self.heading(at, width, &first_lines(name, sizes[3], width), sizes[3]),
        }
    }

    /// What stands at the foot of the page, and its number.
    pub fn finish(mut self, foot: &str, number: usize) -> Page {
        let area = self.area();
        let y = area.bottom() + 2.0;
        let style = Text::SMALL.in_ink(Ink::Soft);
        let foot = shorten(foot, style, area.w - 20.0);
        self.paragraph([area.x, y], area.w - 20.0, &foot, style);
        let number = number.to_string();
        let width = style.width(&number);
        self.paragraph([area.right() - width - 0.5, y], width + 2.0, &number, style);
        self.page
    }
}

/// What a picture says of its height, mm.
pub fn height_of(svg: &str) -> f64 {
    let written = svg.split_once("height=\"").and_then(|(_, rest)| rest.split_once("mm\""));
    written.and_then(|(height, _)| height.parse().ok()).unwrap_or(0.0)
}

/// Pages filled from the top down: what finds no room goes on with the next.
pub struct Flow {
    paper: Paper,
    id: String,
    full: Vec<Leaf>,
    leaf: Leaf,
    /// Where the next stands, mm from the top.
    pub y: f64,
}

impl Flow {
    /// Goes on below `y` of a page; `id` keeps its pages apart from others.
    pub fn below(leaf: Leaf, y: f64, paper: Paper, id: &str) -> Self {
        Self { paper, id: id.to_owned(), full: Vec::new(), leaf, y }
    }

    fn left(&self) -> f64 {
        self.leaf.area().bottom() - self.y
    }

    fn next_page(&mut self) {
        let leaf = Leaf::new(self.paper, &format!("{}-{}", self.id, self.full.len() + 1));
        self.y = leaf.area().y;
        self.full.push(std::mem::replace(&mut self.leaf, leaf));
    }

    /// A heading, never without the first lines of what stands under it.
    pub fn heading(&mut self, text: &str, size: f64) {
        let area = self.leaf.area();
        let lines = wrap(text, Text::TITLE.sized(size), area.w).len() as f64;
        if lines * size * LEADING + 0.35 * size + 3.0 * BODY.size * LEADING > self.left() {
            self.next_page();
        }
        self.y = self.leaf.heading([area.x, self.y], area.w, text, size);
    }

    /// Running text.
    pub fn paragraph(&mut self, text: &str, style: Text) {
        let area = self.leaf.area();
        self.lines(wrap(text, style, area.w), style, |leaf, y, lines, _| {
            leaf.lines("paragraph", [area.x, y], area.w, lines, style)
        });
    }

    /// Paragraphs each with a point before it.
    pub fn list(&mut self, items: &[String], style: Text) {
        let area = self.leaf.area();
        for item in items {
            self.lines(wrap(item, style, area.w - 4.0), style, |leaf, y, lines, begins| {
                leaf.hanging([area.x, y], area.w, lines, style, begins)
            });
        }
    }

    /// Lines kept together on one page where they can be; what is set may be the beginning.
    fn lines(
        &mut self,
        lines: Vec<String>,
        style: Text,
        set: impl Fn(&mut Leaf, f64, &[String], bool) -> f64,
    ) {
        let step = style.size * LEADING;
        let page = self.leaf.area().h;
        let mut rest = &lines[..];
        while !rest.is_empty() {
            let whole = rest.len() as f64 * step;
            if whole > self.left() && (whole <= page || self.left() < step) {
                self.next_page();
            }
            let (here, later) = rest.split_at(((self.left() / step) as usize).clamp(1, rest.len()));
            self.y = set(&mut self.leaf, self.y, here, rest.len() == lines.len());
            rest = later;
        }
    }

    /// The pages.
    pub fn finish(mut self) -> Vec<Leaf> {
        self.full.push(self.leaf);
        self.full
    }
}

/// Height of a list, mm.
pub fn list_height(items: &[String], width: f64, style: Text) -> f64 {
    items.iter().map(|i| height(i, width - 4.0, style) + AFTER_ITEM).sum()
}

/// Height of running text, mm.
pub fn height(text: &str, width: f64, style: Text) -> f64 {
    wrap(text, style, width).len() as f64 * style.size * LEADING
}
