//! Pages to be printed: pictures of the drawing crate, each at its true size in its place.

use std::fmt::Write;

use plumbfold_draw::style::{Look, Theme};
use plumbfold_draw::svg::{Canvas, Pt, Rect, num};

/// Paper a printer takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Paper {
    /// Name.
    pub name: &'static str,
    /// Width and height, mm.
    pub size: Pt,
}

impl Paper {
    /// ISO 216:2007.
    pub const A4: Self = Self { name: "A4", size: [210.0, 297.0] };
    /// 8.5 by 11 inches.
    pub const LETTER: Self = Self { name: "Letter", size: [215.9, 279.4] };

    /// The paper of this size, mm, upright or sideways; a tenth of a millimetre is within the
    /// trade's cut.
    pub fn of(size_mm: Pt) -> Option<Self> {
        [Self::A4, Self::LETTER].into_iter().find(|p| same(p.size, size_mm))
    }

    /// What to print a plane of this sheet on, mm: the sheet's own paper if printers take it,
    /// otherwise A4. Half a millimetre more or less is the same sheet in other units.
    pub fn for_sheet(sheet_mm: Pt) -> Self {
        let [w, h] = Self::LETTER.size;
        let near = |s: Pt| (0..2).all(|k| (s[k] - sheet_mm[k]).abs() < 0.5);
        if [[w, h], [h, w]].into_iter().any(near) { Self::LETTER } else { Self::A4 }
    }

    /// What to print planes of these sheets on, mm: the paper they share, otherwise A4.
    pub fn for_sheets(sheets_mm: impl IntoIterator<Item = Pt>) -> Self {
        let mut papers = sheets_mm.into_iter().map(Self::for_sheet);
        let first = papers.next().unwrap_or(Self::A4);
        if papers.all(|p| p == first) { first } else { Self::A4 }
    }
}

/// The same paper, upright or sideways.
pub fn same(a: Pt, b: Pt) -> bool {
    let near = |p: f64, q: f64| (p - q).abs() < 0.1;
    (near(a[0], b[0]) && near(a[1], b[1])) || (near(a[0], b[1]) && near(a[1], b[0]))
}

/// A picture on a page.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The picture, one unit a millimetre.
    pub svg: String,
    /// Where its upper left corner lies, mm.
    pub at: Pt,
    /// One picture with its title as its text, read aloud as a whole; otherwise writing, read
    /// aloud as it stands.
    pub figure: bool,
}

/// One side of a sheet of paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Page {
    /// Width and height, mm.
    pub size: Pt,
    /// What is on it, in reading order.
    pub parts: Vec<Part>,
    /// Heading by which a reader of the file finds it, if it begins something.
    pub bookmark: Option<String>,
    /// Places that lead to other pages, by their index.
    pub links: Vec<(Rect, usize)>,
}

impl Page {
    /// Empty.
    pub fn new(size: Pt) -> Self {
        Self { size, parts: Vec::new(), bookmark: None, links: Vec::new() }
    }

    /// With what is written and drawn by hand on it.
    pub fn written(mut self, canvas: Canvas<'_>) -> Self {
        self.parts.push(Part { svg: canvas.finish(), at: [0.0; 2], figure: false });
        self
    }

    /// Puts a picture on it.
    pub fn put(&mut self, svg: String, at: Pt) {
        self.parts.push(Part { svg, at, figure: true });
    }

    /// The page as one picture.
    pub fn svg(&self) -> String {
        if let [one] = &self.parts[..] {
            return one.svg.clone();
        }
        let [w, h] = self.size.map(num);
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
             viewBox=\"0 0 {w} {h}\">\n"
        );
        for part in &self.parts {
            let [x, y] = part.at.map(num);
            let _ = write!(out, "<g transform=\"translate({x} {y})\">{}</g>", part.svg);
        }
        out.push_str("</svg>\n");
        out
    }
}

/// Colours for paper: a file's, without a heading of its own.
pub fn look(id: &str) -> Look {
    Look { theme: Theme::Light, standalone: false, ..Look::light(id) }
}
