//! The shipped font in a file, with the signs the file uses named so that it can be searched.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use plumbfold_draw::FONTS;
use plumbfold_draw::text::MISSING;
use subsetter::GlyphRemapper;
use ttf_parser::{Face, GlyphId};

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
