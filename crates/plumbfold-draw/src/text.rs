//! Writing: one family, three sizes, estimated widths, and labels that keep out of each other's
//! way.

use crate::shape::{Pt, Rect};
use crate::style::Ink;
use crate::units;
pub use crate::units::{decimals, mm, percent};

/// Family asked for. The first is the font shipped in `fonts/` ([`FONTS`]); where it is missing a
/// renderer takes its own, which the estimated widths leave room for.
pub const FAMILY: &str = "Inter, Helvetica, Arial, sans-serif";

/// Family name of the shipped font.
pub const FONT_FAMILY: &str = "Inter";

/// The shipped font, regular and semi-bold, for renderers of PNG and PDF.
/// Inter, SIL Open Font License 1.1 (`fonts/OFL.txt`), cut down to Latin, Greek and
/// Cyrillic letters and the signs the pictures use.
pub const FONTS: [&[u8]; 2] =
    [include_bytes!("../fonts/Inter-Regular.ttf"), include_bytes!("../fonts/Inter-SemiBold.ttf")];

/// What is printed for a letter the shipped font lacks; the font has it.
pub const MISSING: char = '□';

/// Width of the ground-coloured rim round writing that lies on lines, mm.
pub const HALO: f64 = 0.9;

/// Which part of the writing lies at the given place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum Anchor {
    Start,
    Middle,
    End,
}

impl Anchor {
    pub(crate) fn attribute(self) -> Option<&'static str> {
        match self {
            Self::Start => None,
            Self::Middle => Some("middle"),
            Self::End => Some("end"),
        }
    }
}

/// How a line of writing looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Text {
    /// Height of the body, mm.
    pub size: f64,
    /// Semi-bold.
    pub strong: bool,
    /// Colour.
    pub ink: Ink,
    /// Which part lies at the given place.
    pub anchor: Anchor,
    /// The given place is half the height of the capitals, not the baseline.
    pub level: bool,
    /// A rim in the colour of the ground.
    pub halo: bool,
    /// Reads upwards.
    pub turned: bool,
}

impl Text {
    /// Labels.
    pub const LABEL: Self = Self {
        size: 3.3,
        strong: false,
        ink: Ink::Text,
        anchor: Anchor::Start,
        level: false,
        halo: false,
        turned: false,
    };
    /// Ticks and notes.
    pub const SMALL: Self = Self { size: 2.75, ink: Ink::Soft, ..Self::LABEL };
    /// Headings.
    pub const TITLE: Self = Self { size: 4.4, strong: true, ..Self::LABEL };

    /// Centred on the given place, both ways.
    pub const fn centred(self) -> Self {
        Self { anchor: Anchor::Middle, level: true, ..self }
    }
    /// Centred sideways.
    pub const fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }
    /// Ending at the given place.
    pub const fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }
    /// Centred on the given height.
    pub const fn level(self) -> Self {
        Self { level: true, ..self }
    }
    /// In another colour.
    pub const fn in_ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }
    /// Semi-bold.
    pub const fn strong(self) -> Self {
        Self { strong: true, ..self }
    }
    /// With a rim.
    pub const fn halo(self) -> Self {
        Self { halo: true, ..self }
    }
    /// Reading upwards.
    pub const fn turned(self) -> Self {
        Self { turned: true, ..self }
    }
    /// In another size, mm.
    pub const fn sized(self, size: f64) -> Self {
        Self { size, ..self }
    }

    /// From the given place down to the baseline.
    pub(crate) fn baseline_shift(&self) -> f64 {
        if self.level { self.size * CAPITALS / 2.0 } else { 0.0 }
    }

    /// Estimated width, mm.
    pub fn width(&self, content: &str) -> f64 {
        let weight = if self.strong { 1.035 } else { 1.0 };
        content.chars().map(advance).sum::<f64>() * 1e-3 * self.size * weight
    }

    /// The rectangle the writing covers when placed at `at`.
    pub fn bounds(&self, at: Pt, content: &str) -> Rect {
        let w = self.width(content);
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => w / 2.0,
            Anchor::End => w,
        };
        let top = self.baseline_shift() - CAPITALS * self.size;
        let h = (CAPITALS + 0.2) * self.size;
        if self.turned {
            Rect::new(at[0] + top, at[1] + before - w, h, w)
        } else {
            Rect::new(at[0] - before, at[1] + top, w, h)
        }
    }
}

/// Height of capitals and digits as a fraction of the size, from the shipped font.
const CAPITALS: f64 = 0.727;

/// Advance widths of the shipped regular font, thousandths of the size, from space to `~`.
const ADVANCE: [u16; 95] = [
    281, 278, 403, 631, 638, 812, 639, 222, 362, 362, 500, 659, 280, 460, 276, 357, 625, 464, 605,
    636, 642, 608, 624, 571, 616, 624, 276, 280, 659, 659, 659, 507, 936, 676, 651, 727, 719, 598,
    587, 743, 740, 264, 543, 652, 562, 889, 753, 761, 635, 761, 639, 638, 642, 741, 676, 949, 642,
    665, 625, 362, 357, 362, 469, 452, 497, 564, 621, 558, 621, 582, 361, 609, 591, 237, 237, 544,
    237, 869, 585, 597, 609, 609, 372, 523, 364, 581, 557, 812, 540, 557, 541, 362, 327, 362, 659,
];

fn advance(c: char) -> f64 {
    let plain = (c as usize).checked_sub(32).and_then(|i| ADVANCE.get(i));
    plain.map_or_else(|| other_advance(c), |&w| f64::from(w))
}

/// Of letters beyond `~`: a capital's width for Latin and Greek, a wide one's for Cyrillic, the
/// body's height from the Asian scripts on.
fn other_advance(c: char) -> f64 {
    match c as u32 {
        0x400..0x530 => 720.0,
        0x2e80.. => 1000.0,
        _ => 640.0,
    }
}

/// Shortened with an ellipsis to at most `width` mm.
pub fn shorten(content: &str, style: Text, width: f64) -> String {
    if style.width(content) <= width {
        return content.to_owned();
    }
    let mut out = String::new();
    for c in content.chars() {
        out.push(c);
        if style.width(&out) + style.width("…") > width {
            out.pop();
            break;
        }
    }
    out.truncate(out.trim_end().len());
    out.push('…');
    out
}

/// Broken at spaces into lines of at most `width` mm; a number keeps its unit, and a word wider than
/// a line is broken where the line ends.
pub fn wrap(content: &str, style: Text, width: f64) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in content.split_whitespace() {
        match words.last_mut() {
            Some(before) if units::belongs(before, word) => {
                before.push(' ');
                before.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    let mut lines: Vec<String> = Vec::new();
    for word in words.iter().flat_map(|word| pieces(word, style, width)) {
        match lines.last_mut() {
            Some(line) if style.width(line) + style.width(" ") + style.width(&word) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines
}

/// A word, in pieces of at most `width` mm.
fn pieces(word: &str, style: Text, width: f64) -> Vec<String> {
    let mut out = vec![String::new()];
    for c in word.chars() {
        let last = out.len() - 1;
        out[last].push(c);
        if style.width(&out[last]) > width && out[last].chars().nth(1).is_some() {
            out[last].pop();
            out.push(c.to_string());
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_wider_than_its_line_is_broken_and_nothing_of_it_is_lost() {
        let name = "Bovenbramsteunzeilschootrechterhoekpunt".repeat(3);
        let lines = wrap(&format!("the {name}"), Text::LABEL, 20.0);
        assert!(lines.iter().all(|l| Text::LABEL.width(l) <= 20.0), "{lines:?}");
        assert_eq!(lines[1..].concat(), name);
        // No room at all: a letter a line, and an end.
        assert_eq!(wrap("abc", Text::LABEL, 0.0), ["a", "b", "c"]);
    }

    #[test]
    fn long_names_are_cut_and_wrapped_to_the_width() {
        let s = shorten("a very long name of a plane indeed", Text::LABEL, 20.0);
        assert!(s.ends_with('…') && Text::LABEL.width(&s) <= 20.0, "{s}");
        for line in wrap("a very long name of a plane indeed", Text::LABEL, 20.0) {
            assert!(Text::LABEL.width(&line) <= 20.0, "{line}");
        }
    }
}
