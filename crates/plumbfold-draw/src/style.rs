//! What every picture shares: one palette, one set of stroke weights, the line styles of paper
//! folding and the patterns that tell areas apart without colour.
//!
//! A picture names its colours by role ([`Ink`]). How a role is spelled depends on where the
//! picture goes ([`Theme`]): a file gets plain colours, which every renderer understands; the
//! page gets custom properties, so that light and dark follow the reader without drawing anew.
//! Both are presentation attributes, which a strict content security policy allows.

use crate::shape::{Path, Pt};
use crate::units::Units;

/// Where the picture goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// A file, dark on light.
    Light,
    /// A file, light on dark.
    Dark,
    /// A page that carries [`page_css`].
    Page,
}

/// Colours and ids of one picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Look {
    /// How colours are spelled.
    pub theme: Theme,
    /// Prefix of the ids inside the picture; letters, digits and hyphens, and different for
    /// each picture on a page.
    pub id: String,
    /// Carries its own ground and heading. A page has both already.
    pub standalone: bool,
    /// What its lengths are told in.
    pub units: Units,
}

impl Look {
    /// A file, dark on light.
    pub fn light(id: &str) -> Self {
        Self { theme: Theme::Light, id: clean_id(id), standalone: true, units: Units::Mm }
    }
    /// A file, light on dark.
    pub fn dark(id: &str) -> Self {
        Self { theme: Theme::Dark, id: clean_id(id), standalone: true, units: Units::Mm }
    }
    /// A picture inside a page.
    pub fn page(id: &str) -> Self {
        Self { theme: Theme::Page, id: clean_id(id), standalone: false, units: Units::Mm }
    }
    /// How a role is spelled.
    pub fn paint(&self, ink: Ink) -> &'static str {
        let entry = ink.entry();
        match self.theme {
            Theme::Light => entry.light,
            Theme::Dark => entry.dark,
            Theme::Page => entry.page,
        }
    }
}

fn clean_id(id: &str) -> String {
    id.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '-' }).collect()
}

struct Entry {
    name: &'static str,
    light: &'static str,
    dark: &'static str,
    page: &'static str,
}

macro_rules! inks {
    ($($(#[$doc:meta])* $role:ident $name:literal $light:literal $dark:literal;)*) => {
        /// Colours by what they are for.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Ink { $($(#[$doc])* $role,)* }

        impl Ink {
            /// All roles.
            pub const ALL: &[Ink] = &[$(Ink::$role,)*];
            fn entry(self) -> Entry {
                match self {
                    $(Ink::$role => Entry {
                        name: $name,
                        light: $light,
                        dark: $dark,
                        page: concat!("var(--pf-", $name, ",", $light, ")"),
                    },)*
                }
            }
        }
    };
}

inks! {
    /// What the picture lies on.
    Ground "ground" "#ffffff" "#12181e";
    /// Writing, edges of paper.
    Text "text" "#18232d" "#edf1f4";
    /// Second-rank writing and lines.
    Soft "soft" "#52606c" "#a7b3bd";
    /// Grid and frames.
    Hair "hair" "#cdd5db" "#3a4651";
    /// Edges and creases on paper, which stays light in the dark theme too.
    Edge "edge" "#18232d" "#0c1217";
    /// Second-rank lines on paper.
    EdgeSoft "edge-soft" "#52606c" "#46535e";
    /// The plain side of the paper.
    Plain "plain" "#fbf8f1" "#e9e4d8";
    /// The printed side of the paper.
    Printed "printed" "#b9cdd3" "#93adb5";
    /// What casts a shade: always dark.
    Shade "shade" "#0e2a33" "#04141a";
    /// What moves: fold arrows, paths, the thing asked about.
    Move "move" "#00676f" "#4cc2c8";
    /// What is wrong, or will be.
    Alarm "alarm" "#b3400a" "#ff9a62";
    /// Sequence of data series: first.
    One "one" "#00707a" "#4cc2c8";
    /// Second.
    Two "two" "#c77f00" "#eeb24a";
    /// Third.
    Three "three" "#3f1742" "#f1d5ef";
    /// Fourth.
    Four "four" "#7b8fa6" "#6f86a3";
    /// Area ahead of the balance point.
    Ahead "ahead" "#e3b566" "#7f5a17";
    /// Area behind the balance point.
    Behind "behind" "#d3e3e4" "#35595d";
    /// Ground of a good outcome.
    Good "good" "#93d6ca" "#1f6f64";
    /// Ground of an outcome too fast or steep.
    Fast "fast" "#a9bfe6" "#243655";
    /// Ground of an outcome too slow.
    Slow "slow" "#f3d795" "#7c5c1c";
    /// Ground of an outcome that does not fly.
    Fall "fall" "#b487ad" "#8c4d82";
    /// Ground of an outcome that leaves the line.
    Stray "stray" "#dcd7ca" "#54504a";
}

impl Ink {
    /// Name, as in the custom property `--pf-NAME`.
    pub fn name(self) -> &'static str {
        self.entry().name
    }
}

/// Custom properties for a page: light, dark by the reader's setting or by `data-theme` on the
/// root, and light for print.
pub fn page_css() -> String {
    let list = |dark: bool| -> String {
        Ink::ALL
            .iter()
            .map(|ink| {
                let e = ink.entry();
                format!("--pf-{}:{};", e.name, if dark { e.dark } else { e.light })
            })
            .collect()
    };
    let (light, dark) = (list(false), list(true));
    format!(
        ":root{{{light}}}\n\
         @media screen and (prefers-color-scheme:dark){{:root:not([data-theme=light]){{{dark}}}}}\n\
         @media screen{{:root[data-theme=dark]{{{dark}}}}}\n"
    )
}

/// A line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// Colour.
    pub ink: Ink,
    /// Weight, mm.
    pub width: f64,
    /// Dashes and gaps, mm; none for a full line.
    pub dash: &'static [f64],
}

/// The five weights, mm.
pub mod weight {
    /// Grid.
    pub const HAIR: f64 = 0.13;
    /// Existing creases, dimension lines.
    pub const THIN: f64 = 0.2;
    /// Edges of paper, fold lines.
    pub const LINE: f64 = 0.34;
    /// Data, arrows.
    pub const BOLD: f64 = 0.55;
    /// The one thing the picture is about.
    pub const HEAVY: f64 = 0.9;
}

impl Stroke {
    /// A full line.
    pub const fn solid(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: &[] }
    }
    /// A dashed line.
    pub const fn dashed(ink: Ink, width: f64, dash: &'static [f64]) -> Self {
        Self { ink, width, dash }
    }
    /// The same line in another colour.
    pub const fn in_ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }

    /// Edge of the paper.
    pub const EDGE: Self = Self::solid(Ink::Edge, weight::LINE);
    /// Valley fold: dashes (Yoshizawa-Randlett).
    pub const VALLEY: Self = Self::dashed(Ink::Edge, weight::LINE, &[2.1, 1.05]);
    /// Mountain fold: dash, dot, dot (Yoshizawa-Randlett).
    pub const MOUNTAIN: Self =
        Self::dashed(Ink::Edge, weight::LINE, &[2.6, 0.8, 0.36, 0.8, 0.36, 0.8]);
    /// Existing crease: thin, ending short of the edges (Yoshizawa-Randlett).
    pub const CREASE: Self = Self::solid(Ink::EdgeSoft, weight::THIN);
    /// Hidden line: dots (Yoshizawa-Randlett).
    pub const HIDDEN: Self = Self::dashed(Ink::EdgeSoft, weight::THIN, &[0.36, 0.75]);
    /// Grid line.
    pub const GRID: Self = Self::solid(Ink::Hair, weight::HAIR);
    /// Axis, dimension line.
    pub const AXIS: Self = Self::solid(Ink::Soft, weight::THIN);
    /// Fold arrow.
    pub const ARROW: Self = Self::solid(Ink::Move, weight::BOLD);
}

/// Data series by order: each has a colour, a dash and (in charts) a marker of its own.
pub const SERIES: [Stroke; 4] = [
    Stroke::solid(Ink::One, weight::BOLD),
    Stroke::dashed(Ink::Two, weight::BOLD, &[2.4, 1.0]),
    Stroke::dashed(Ink::Three, weight::BOLD, &[0.6, 0.8]),
    Stroke::dashed(Ink::Four, weight::BOLD, &[3.0, 0.8, 0.6, 0.8]),
];

/// Patterns laid over a coloured ground, so that areas differ without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Hatch {
    /// Plain ground.
    None,
    /// Lines rising to the right.
    Rising,
    /// Lines falling to the right.
    Falling,
    /// Both.
    Cross,
    /// Level lines.
    Level,
    /// Upright lines.
    Upright,
    /// Dots.
    Dots,
    /// Sparse small crosses.
    Plus,
    /// The finest of dots: the printed side of the paper, in black and white too.
    Grain,
}

/// One tile of a pattern.
#[derive(Debug)]
pub(crate) struct Tile {
    pub size: Pt,
    pub path: Path,
    pub width: f64,
    pub solid: bool,
}

impl Hatch {
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Rising => "rising",
            Self::Falling => "falling",
            Self::Cross => "cross",
            Self::Level => "level",
            Self::Upright => "upright",
            Self::Dots => "dots",
            Self::Plus => "plus",
            Self::Grain => "grain",
        }
    }

    pub(crate) fn tile(self) -> Option<Tile> {
        const S: f64 = 1.8;
        // Slanted lines overshoot the tile's corners so that tiles join without notches.
        let rising = || {
            Path::segment([-0.2, S + 0.2], [S + 0.2, -0.2])
                .and(&Path::segment([-0.2, 0.2], [0.2, -0.2]))
                .and(&Path::segment([S - 0.2, S + 0.2], [S + 0.2, S - 0.2]))
        };
        let falling = || {
            Path::segment([-0.2, -0.2], [S + 0.2, S + 0.2])
                .and(&Path::segment([-0.2, S - 0.2], [0.2, S + 0.2]))
                .and(&Path::segment([S - 0.2, -0.2], [S + 0.2, 0.2]))
        };
        let (path, solid) = match self {
            Self::None => return None,
            Self::Rising => (rising(), false),
            Self::Falling => (falling(), false),
            Self::Cross => (rising().and(&falling()), false),
            Self::Level => (Path::segment([-0.2, S / 2.0], [S + 0.2, S / 2.0]), false),
            Self::Upright => (Path::segment([S / 2.0, -0.2], [S / 2.0, S + 0.2]), false),
            Self::Grain => {
                let dot = |x: f64, y: f64| Path::circle([x * S, y * S], 0.11);
                (dot(0.25, 0.25).and(&dot(0.75, 0.75)), true)
            }
            Self::Dots => (Path::circle([S / 2.0, S / 2.0], 0.3), true),
            Self::Plus => (
                Path::segment([0.5, S / 2.0], [S - 0.5, S / 2.0])
                    .and(&Path::segment([S / 2.0, 0.5], [S / 2.0, S - 0.5])),
                false,
            ),
        };
        Some(Tile { size: [S, S], path, width: weight::HAIR, solid })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn linear(hex: &str) -> [f64; 3] {
        let channel = |i: usize| {
            let v = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            // sRGB transfer function, IEC 61966-2-1:1999.
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        [channel(1), channel(3), channel(5)]
    }

    /// Relative luminance and contrast: WCAG 2.2 (W3C, 2023), definitions in section 5.
    fn contrast(a: &str, b: &str) -> f64 {
        let luminance = |hex| {
            let [r, g, b] = linear(hex);
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn writing_meets_the_contrast_of_wcag_aa() {
        for dark in [false, true] {
            let hex = |ink: Ink| if dark { ink.entry().dark } else { ink.entry().light };
            for ink in [Ink::Text, Ink::Soft, Ink::Move, Ink::Alarm] {
                let c = contrast(hex(ink), hex(Ink::Ground));
                assert!(c >= 4.5, "{ink:?} on the ground, dark {dark}: {c:.2}");
            }
            for ink in
                [Ink::Good, Ink::Fast, Ink::Slow, Ink::Fall, Ink::Stray, Ink::Ahead, Ink::Behind]
            {
                let c = contrast(hex(Ink::Text), hex(ink));
                assert!(c >= 4.5, "letters on {ink:?}, dark {dark}: {c:.2}");
            }
            for paper in [Ink::Plain, Ink::Printed] {
                let c = contrast(hex(Ink::Edge), hex(paper));
                assert!(c >= 7.0, "edges on {paper:?}, dark {dark}: {c:.2}");
            }
            // Graphics: 3 to 1 (success criterion 1.4.11).
            for ink in [Ink::One, Ink::Two, Ink::Three, Ink::Four] {
                let c = contrast(hex(ink), hex(Ink::Ground));
                assert!(c >= 3.0, "{ink:?} as a line, dark {dark}: {c:.2}");
            }
        }
    }

    /// Colours as a person without red or green cones sees them. Matrices on linear sRGB:
    /// F. Viénot, H. Brettel, J. D. Mollon, "Digital video colourmaps for checking the legibility
    /// of displays by dichromats", Color Research & Application 24 (1999), reduced to one matrix
    /// each; entries from memory.
    const DICHROMAT: [[[f64; 3]; 3]; 2] = [
        [[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]],
        [[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]],
    ];

    /// CIE 1976 L*a*b* from linear sRGB, white D65 (CIE 15:2004; matrix of IEC 61966-2-1:1999).
    fn lab([r, g, b]: [f64; 3]) -> [f64; 3] {
        let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
        let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
        let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
        let f = |t: f64| {
            if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 }
        };
        [116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))]
    }

    #[test]
    fn series_and_areas_differ_for_colour_blind_readers() {
        let sets: [&[Ink]; 3] = [
            &[Ink::One, Ink::Two, Ink::Three, Ink::Four],
            &[Ink::Good, Ink::Fast, Ink::Slow, Ink::Fall],
            &[Ink::Ahead, Ink::Behind],
        ];
        // Ten is a clear step between neighbouring patches (common practice, no source).
        for set in sets {
            for (i, a) in set.iter().enumerate() {
                for b in &set[i + 1..] {
                    for dark in [false, true] {
                        for m in DICHROMAT {
                            let see = |ink: &Ink| {
                                let e = ink.entry();
                                let c = linear(if dark { e.dark } else { e.light });
                                lab(m.map(|row| {
                                    row.iter().zip(c).map(|(k, v)| k * v).sum::<f64>().max(0.0)
                                }))
                            };
                            let (p, q) = (see(a), see(b));
                            let d = p.iter().zip(q).map(|(u, v)| (u - v).powi(2)).sum::<f64>();
                            assert!(d.sqrt() > 10.0, "{a:?} {b:?} dark {dark}: {:.1}", d.sqrt());
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn the_page_sheet_names_every_ink() {
        let css = page_css();
        for ink in Ink::ALL {
            assert_eq!(css.matches(&format!("--pf-{}:", ink.name())).count(), 3, "{ink:?}");
        }
    }
}
