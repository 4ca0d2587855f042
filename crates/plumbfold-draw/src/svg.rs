//! A small writer of SVG. One user unit is one millimetre of the printed picture, x right,
//! y down, so stroke weights and letters have true sizes and a 1:1 drawing can be measured with
//! a ruler. Numbers are written with at most three decimals (a micrometre): files are small and
//! equal pictures are equal texts.

use std::fmt::Write;

pub use crate::shape::{Path, Pt, Rect, num};
use crate::style::{Ink, Look, Stroke};
use crate::text::{self, Text};

/// How a path is painted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Paint {
    /// Inside.
    pub fill: Option<Ink>,
    /// Opacity of the inside, where it is not opaque.
    pub fill_opacity: Option<f64>,
    /// Outline.
    pub stroke: Option<Stroke>,
}

impl Paint {
    /// Inside only.
    pub const fn fill(ink: Ink) -> Self {
        Self { fill: Some(ink), fill_opacity: None, stroke: None }
    }
    /// Inside only, letting what is under it through.
    pub const fn veil(ink: Ink, opacity: f64) -> Self {
        Self { fill: Some(ink), fill_opacity: Some(opacity), stroke: None }
    }
    /// Outline only.
    pub const fn stroke(stroke: Stroke) -> Self {
        Self { fill: None, fill_opacity: None, stroke: Some(stroke) }
    }
    /// Inside and outline.
    pub const fn both(ink: Ink, stroke: Stroke) -> Self {
        Self { fill: Some(ink), fill_opacity: None, stroke: Some(stroke) }
    }
}

/// A picture being drawn.
#[derive(Debug)]
pub struct Canvas<'a> {
    /// Colours and the prefix of ids.
    pub look: &'a Look,
    /// Width and height, mm.
    pub size: Pt,
    title: String,
    description: String,
    defs: Vec<(String, String)>,
    body: String,
}

impl<'a> Canvas<'a> {
    /// An empty picture. Title and description are read aloud by screen readers.
    pub fn new(look: &'a Look, size: Pt, title: &str, description: &str) -> Self {
        Self {
            look,
            size,
            title: title.to_owned(),
            description: description.to_owned(),
            defs: Vec::new(),
            body: String::new(),
        }
    }

    /// The whole canvas.
    pub fn frame(&self) -> Rect {
        Rect::new(0.0, 0.0, self.size[0], self.size[1])
    }

    /// Everything drawn by `draw` goes into one group of that class.
    pub fn group(&mut self, class: &str, draw: impl FnOnce(&mut Self)) {
        let _ = writeln!(self.body, "<g class=\"{}\">", escape(class));
        draw(self);
        self.body.push_str("</g>\n");
    }

    /// A group cut off outside `clip`.
    pub fn clipped(&mut self, name: &str, clip: Rect, draw: impl FnOnce(&mut Self)) {
        let id = format!("{}-{name}", self.look.id);
        let shape =
            format!("<clipPath id=\"{id}\"><path d=\"{}\"/></clipPath>", Path::rect(clip).data());
        self.define(&id, shape);
        let _ = writeln!(self.body, "<g clip-path=\"url(#{id})\">");
        draw(self);
        self.body.push_str("</g>\n");
    }

    /// A path.
    pub fn path(&mut self, path: &Path, paint: Paint) {
        self.named_path("", path, paint);
    }

    /// A path with a class, by which tests and the page find it.
    pub fn named_path(&mut self, class: &str, path: &Path, paint: Paint) {
        if path.is_empty() {
            return;
        }
        self.body.push_str("<path");
        if !class.is_empty() {
            let _ = write!(self.body, " class=\"{}\"", escape(class));
        }
        let _ = write!(self.body, " d=\"{}\"", path.data());
        let fill = paint.fill.map_or("none".to_owned(), |ink| self.look.paint(ink).to_owned());
        let _ = write!(self.body, " fill=\"{fill}\"");
        if let Some(opacity) = paint.fill_opacity {
            let _ = write!(self.body, " fill-opacity=\"{}\"", num(opacity));
        }
        if let Some(stroke) = paint.stroke {
            self.body.push_str(&self.stroke_attributes(&stroke));
        }
        self.body.push_str("/>\n");
    }

    /// A path filled with one of the patterns of [`crate::style`].
    pub fn pattern(&mut self, path: &Path, hatch: crate::style::Hatch, ink: Ink) {
        let Some(tile) = hatch.tile() else { return };
        let id = format!("{}-{}-{}", self.look.id, hatch.name(), ink.name());
        let colour = self.look.paint(ink);
        let [w, h] = tile.size;
        let mut shape = format!(
            "<pattern id=\"{id}\" width=\"{}\" height=\"{}\" patternUnits=\"userSpaceOnUse\">",
            num(w),
            num(h)
        );
        let _ = write!(shape, "<path d=\"{}\" ", tile.path.data());
        if tile.solid {
            let _ = write!(shape, "fill=\"{colour}\"/></pattern>");
        } else {
            let width = num(tile.width);
            let _ = write!(
                shape,
                "fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\" stroke-linecap=\"square\"/></pattern>"
            );
        }
        self.define(&id, shape);
        let _ = writeln!(self.body, "<path d=\"{}\" fill=\"url(#{id})\"/>", path.data());
    }

    /// A picture of dots, stretched over a rectangle; its bytes go into the file.
    pub fn image(&mut self, into: Rect, kind: &str, bytes: &[u8]) {
        let _ = writeln!(
            self.body,
            "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" \
             href=\"data:{kind};base64,{}\"/>",
            num(into.x),
            num(into.y),
            num(into.w),
            num(into.h),
            base64(bytes)
        );
    }

    /// A line of writing.
    pub fn text(&mut self, at: Pt, content: &str, style: Text) {
        let _ = write!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"",
            num(at[0]),
            num(at[1] + style.baseline_shift()),
            num(style.size),
            self.look.paint(style.ink)
        );
        if style.strong {
            self.body.push_str(" font-weight=\"600\"");
        }
        if let Some(anchor) = style.anchor.attribute() {
            let _ = write!(self.body, " text-anchor=\"{anchor}\"");
        }
        if style.turned {
            let _ = write!(self.body, " transform=\"rotate(-90 {} {})\"", num(at[0]), num(at[1]));
        }
        if style.halo {
            let _ = write!(
                self.body,
                " paint-order=\"stroke\" stroke=\"{}\" stroke-width=\"{}\"",
                self.look.paint(Ink::Ground),
                num(text::HALO)
            );
        }
        let _ = writeln!(self.body, ">{}</text>", escape(content));
    }

    /// The finished SVG text.
    pub fn finish(self) -> String {
        let [w, h] = self.size;
        let (w, h, id) = (num(w), num(h), &self.look.id);
        let mut out = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
             viewBox=\"0 0 {w} {h}\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" \
             font-family=\"{}\" stroke-linejoin=\"round\" stroke-linecap=\"round\">\n",
            text::FAMILY
        );
        let _ = writeln!(out, "<title id=\"{id}-title\">{}</title>", escape(&self.title));
        let _ = writeln!(out, "<desc id=\"{id}-desc\">{}</desc>", escape(&self.description));
        if !self.defs.is_empty() {
            out.push_str("<defs>");
            for (_, shape) in &self.defs {
                out.push_str(shape);
            }
            out.push_str("</defs>\n");
        }
        if self.look.standalone {
            let _ = writeln!(
                out,
                "<path class=\"ground\" d=\"M0 0H{w}V{h}H0Z\" fill=\"{}\"/>",
                self.look.paint(Ink::Ground)
            );
        }
        out.push_str(&self.body);
        out.push_str("</svg>\n");
        out
    }

    fn define(&mut self, id: &str, shape: String) {
        if self.defs.iter().all(|(known, _)| known != id) {
            self.defs.push((id.to_owned(), shape));
        }
    }

    fn stroke_attributes(&self, stroke: &Stroke) -> String {
        let mut out = format!(
            " stroke=\"{}\" stroke-width=\"{}\"",
            self.look.paint(stroke.ink),
            num(stroke.width)
        );
        if !stroke.dash.is_empty() {
            let dashes: Vec<String> = stroke.dash.iter().map(|&d| num(d)).collect();
            // Round caps would eat the gaps.
            let _ =
                write!(out, " stroke-dasharray=\"{}\" stroke-linecap=\"butt\"", dashes.join(" "));
        }
        out
    }
}

/// Bytes as letters (RFC 4648, section 4).
pub fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for i in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * i)) as usize & 63];
            out.push(if i <= three.len() { char::from(letter) } else { '=' });
        }
    }
    out
}

/// Text made safe for XML content and attributes. Control characters, which XML forbids, become
/// spaces.
pub fn escape(content: &str) -> String {
    let mut out = String::with_capacity(content.len());
    for c in content.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() || ('\u{fffe}'..='\u{ffff}').contains(&c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_poison_the_picture() {
        assert_eq!(num(1.0), "1");
        assert_eq!(num(-0.0001), "0");
        assert_eq!(num(12.3456), "12.346");
        assert_eq!(num(f64::NAN), "0");
    }

    /// Test vectors of RFC 4648, section 10.
    #[test]
    fn bytes_are_written_as_the_standard_says() {
        let said = ["", "f", "fo", "foo", "foob", "fooba", "foobar"].map(|s| base64(s.as_bytes()));
        assert_eq!(said, ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"]);
    }

    #[test]
    fn names_cannot_break_out_of_the_text() {
        let look = Look::light("p");
        let mut c = Canvas::new(&look, [10.0, 10.0], "<b>&\"", "\u{1}");
        c.text([1.0, 1.0], "</text><script>", Text::LABEL);
        let svg = c.finish();
        assert!(!svg.contains("<script>") && !svg.contains("<b>"), "markup got through: {svg}");
    }
}
