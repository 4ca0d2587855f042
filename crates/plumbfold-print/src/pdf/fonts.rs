//! The shipped font in a file, with the signs the file uses named so that it can be searched.

use std::collections::BTreeMap;

use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use plumbfold_draw::FONTS;
use ttf_parser::{Face, GlyphId, Tag};

use super::{PdfError, packed};

/// Names of the two weights inside a file.
const NAMES: [(&str, &str); 2] = [("F0", "Inter-Regular"), ("F1", "Inter-SemiBold")];
const IDENTITY: SystemInfo<'_> =
    SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };

struct Font {
    face: Face<'static>,
    used: BTreeMap<u16, char>,
}

/// Both weights.
pub struct Fonts([Font; 2]);

impl Fonts {
    pub fn new() -> Result<Self, PdfError> {
        let font = |bytes| -> Result<Font, PdfError> {
            let face = Face::parse(bytes, 0).map_err(|e| PdfError::Font(e.to_string()))?;
            Ok(Font { face, used: BTreeMap::new() })
        };
        Ok(Self([font(FONTS[0])?, font(FONTS[1])?]))
    }

    /// Name of a weight inside the file.
    pub fn name(strong: bool) -> Name<'static> {
        Name(NAMES[usize::from(strong)].0.as_bytes())
    }

    /// The signs of a text as the file spells them, and its width at size 1. A letter the font
    /// lacks becomes a question mark: the font holds Latin and Greek.
    pub fn spell(&mut self, text: &str, strong: bool) -> (Vec<u8>, f64) {
        let Font { face, used } = &mut self.0[usize::from(strong)];
        let mut bytes = Vec::with_capacity(2 * text.len());
        let mut width = 0.0;
        for c in text.chars() {
            let Some(GlyphId(id)) = face.glyph_index(c).or_else(|| face.glyph_index('?')) else {
                continue;
            };
            used.entry(id).or_insert(c);
            bytes.extend(id.to_be_bytes());
            width += f64::from(face.glyph_hor_advance(GlyphId(id)).unwrap_or(0));
        }
        (bytes, width / f64::from(face.units_per_em()))
    }

    /// Writes the weights that are used; each with its name inside the file.
    pub fn write(&self, pdf: &mut Pdf, next: &mut impl FnMut() -> Ref) -> Vec<(&'static str, Ref)> {
        let used = self.0.iter().zip(NAMES).filter(|(font, _)| !font.used.is_empty());
        used.map(|(font, (name, family))| (name, font.write(pdf, family, next))).collect()
    }
}

impl Font {
    fn write(&self, pdf: &mut Pdf, family: &str, next: &mut impl FnMut() -> Ref) -> Ref {
        let face = &self.face;
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
        cid.subtype(CidFontType::Type0).base_font(base).system_info(IDENTITY);
        cid.font_descriptor(descriptor).default_width(0.0);
        let mut widths = cid.widths();
        for &id in self.used.keys() {
            let width = f32::from(face.glyph_hor_advance(GlyphId(id)).unwrap_or(0)) * per_em;
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
            .font_file3(file);
        // The outlines alone; what else a font file holds a page does not need.
        let outlines = face.raw_face().table(Tag::from_bytes(b"CFF ")).unwrap_or_default();
        let outlines = packed(outlines);
        let mut stream = pdf.stream(file, &outlines);
        stream.filter(Filter::FlateDecode).pair(Name(b"Subtype"), Name(b"CIDFontType0C"));
        stream.finish();
        let mut map = UnicodeCmap::new(Name(b"Custom"), IDENTITY);
        for (&id, &c) in &self.used {
            map.pair(id, c);
        }
        pdf.stream(meaning, &packed(&map.finish())).filter(Filter::FlateDecode);
        font
    }
}
