//! The shipped font in a file, with the signs the file uses named so that it can be searched.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str};
use plumbfold_draw::FONTS;
use plumbfold_draw::text::MISSING;
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId, OutlineBuilder};

use super::{PdfError, packed};

/// Names of the two weights inside a file.
const NAMES: [(&str, &str); 2] = [("F0", "Inter-Regular"), ("F1", "Inter-SemiBold")];
const IDENTITY: SystemInfo<'_> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

struct Font {
    bytes: &'static [u8],
    face: Face<'static>,
    /// Numbers of its signs inside the file.
    numbers: GlyphRemapper,
    /// What stands for each sign of the file, and its width in thousandths of the size.
    used: BTreeMap<u16, (char, f32)>,
}

/// Both weights.
pub struct Fonts([Font; 2]);

impl Fonts {
    pub fn new() -> Result<Self, PdfError> {
        let font = |bytes| -> Result<Font, PdfError> {
            let face = Face::parse(bytes, 0).map_err(|e| PdfError::Font(e.to_string()))?;
            Ok(Font { bytes, face, numbers: GlyphRemapper::new(), used: BTreeMap::new() })
        };
        Ok(Self([font(FONTS[0])?, font(FONTS[1])?]))
    }

    /// Name of a weight inside the file.
    pub fn name(strong: bool) -> Name<'static> {
        Name(NAMES[usize::from(strong)].0.as_bytes())
    }

    /// The signs of a text as the file spells them, and its width at size 1. A letter the font
    /// lacks becomes an empty square.
    pub fn spell(&mut self, text: &str, strong: bool) -> (Vec<u8>, f64) {
        let font = &mut self.0[usize::from(strong)];
        let mut bytes = Vec::with_capacity(2 * text.len());
        let mut width = 0.0;
        for c in text.chars() {
            let c = if font.face.glyph_index(c).is_some() { c } else { MISSING };
            let Some(GlyphId(glyph)) = font.face.glyph_index(c) else { continue };
            let advance = f32::from(font.face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0))
                / f32::from(font.face.units_per_em());
            let id = font.numbers.remap(glyph);
            font.used.entry(id).or_insert((c, 1000.0 * advance));
            bytes.extend(id.to_be_bytes());
            width += f64::from(advance);
        }
        (bytes, width)
    }

    /// The outlines of a text as a path; `matrix` places its beginning.
    pub fn outline(
        &self,
        text: &str,
        strong: bool,
        size: f32,
        matrix: [f32; 6],
        out: &mut Content,
    ) {
        let Font { face, .. } = &self.0[usize::from(strong)];
        let scale = size / f32::from(face.units_per_em());
        let mut pen = Pen { out, matrix, scale, across: 0.0, at: [0.0; 2] };
        for c in text.chars() {
            let glyph = face.glyph_index(c).or_else(|| face.glyph_index(MISSING));
            let Some(glyph) = glyph else { continue };
            // A blank has no outline.
            let _ = face.outline_glyph(glyph, &mut pen);
            pen.across += f32::from(face.glyph_hor_advance(glyph).unwrap_or(0));
        }
    }

    /// Writes the weights that are used; each with its name inside the file.
    ///
    /// # Errors
    /// [`PdfError::Font`]; the shipped fonts raise none.
    pub fn write(
        &self,
        pdf: &mut Pdf,
        next: &mut impl FnMut() -> Ref,
    ) -> Result<Vec<(&'static str, Ref)>, PdfError> {
        let used = self.0.iter().zip(NAMES).filter(|(font, _)| !font.used.is_empty());
        used.map(|(font, (name, family))| Ok((name, font.write(pdf, family, next)?))).collect()
    }
}

/// Draws outlines of signs one after the other.
struct Pen<'a> {
    out: &'a mut Content,
    matrix: [f32; 6],
    scale: f32,
    /// Where the sign begins, units of the font.
    across: f32,
    /// Where the pen is, on the page.
    at: [f32; 2],
}

impl Pen<'_> {
    fn place(&self, x: f32, y: f32) -> [f32; 2] {
        let [a, b, c, d, e, f] = self.matrix;
        let (x, y) = ((x + self.across) * self.scale, y * self.scale);
        [a * x + c * y + e, b * x + d * y + f]
    }
}

impl OutlineBuilder for Pen<'_> {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.place(x, y);
        self.out.move_to(self.at[0], self.at[1]);
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.at = self.place(x, y);
        self.out.line_to(self.at[0], self.at[1]);
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        // A curve of the second degree as one of the third.
        let (from, by, to) = (self.at, self.place(x1, y1), self.place(x, y));
        let third = |a: [f32; 2]| [0, 1].map(|k| a[k] + (by[k] - a[k]) * 2.0 / 3.0);
        let (p, q) = (third(from), third(to));
        self.out.cubic_to(p[0], p[1], q[0], q[1], to[0], to[1]);
        self.at = to;
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (p, q, to) = (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.out.cubic_to(p[0], p[1], q[0], q[1], to[0], to[1]);
        self.at = to;
    }
    fn close(&mut self) {
        self.out.close_path();
    }
}

impl Font {
    fn write(
        &self,
        pdf: &mut Pdf,
        family: &str,
        next: &mut impl FnMut() -> Ref,
    ) -> Result<Ref, PdfError> {
        let face = &self.face;
        let outlines = subsetter::subset(self.bytes, 0, &self.numbers)
            .map_err(|e| PdfError::Font(e.to_string()))?;
        let per_em = 1000.0 / f32::from(face.units_per_em());
        let [font, descendant, descriptor, file, meaning] = [(); 5].map(|()| next());
        // Six capitals mark a font cut down to some of its signs (ISO 32000-1, 9.6.4).
        let base = format!("PLUMBF+{family}");
        let base = Name(base.as_bytes());
        pdf.type0_font(font)
            .base_font(base)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(descendant)
            .to_unicode(meaning);
        let mut cid = pdf.cid_font(descendant);
        cid.subtype(CidFontType::Type2).base_font(base).system_info(IDENTITY);
        cid.cid_to_gid_map_predefined(Name(b"Identity"));
        cid.font_descriptor(descriptor).default_width(0.0);
        let mut widths = cid.widths();
        for (&id, &(_, width)) in &self.used {
            widths.consecutive(id, [width]);
        }
        widths.finish();
        cid.finish();
        let b = face.global_bounding_box();
        let [x0, y0, x1, y1] = [b.x_min, b.y_min, b.x_max, b.y_max].map(|v| f32::from(v) * per_em);
        pdf.font_descriptor(descriptor)
            .name(base)
            .flags(FontFlags::SYMBOLIC)
            .bbox(Rect::new(x0, y0, x1, y1))
            .italic_angle(0.0)
            .ascent(f32::from(face.ascender()) * per_em)
            .descent(f32::from(face.descender()) * per_em)
            .cap_height(f32::from(face.capital_height().unwrap_or(face.ascender())) * per_em)
            // Width of an upright stem; readers use it only where the font itself is missing.
            .stem_v(90.0)
            .font_file2(file);
        let length = outlines.len() as i32;
        let outlines = packed(&outlines);
        let mut stream = pdf.stream(file, &outlines);
        stream.filter(Filter::FlateDecode).pair(Name(b"Length1"), length);
        stream.finish();
        let mut map = UnicodeCmap::new(Name(b"Custom"), IDENTITY);
        for (&id, &(c, _)) in &self.used {
            map.pair(id, c);
        }
        pdf.stream(meaning, &packed(&map.finish())).filter(Filter::FlateDecode);
        Ok(font)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_latin_greek_and_cyrillic_letters_are_printed_as_written() {
        let mut fonts = Fonts::new().expect("the shipped font");
        let written = "Čapek Łódź Ğülşen Ὀ Ωμέγα Сокол Nguyễn 東";
        for strong in [false, true] {
            fonts.spell(written, strong);
            let used: String = fonts.0[usize::from(strong)].used.values().map(|u| u.0).collect();
            let lost: Vec<char> = written.chars().filter(|&c| !used.contains(c)).collect();
            assert_eq!(lost, ['Ὀ', '東']);
            assert!(used.contains(MISSING));
        }
    }
}
