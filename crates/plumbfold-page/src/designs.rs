//! The designs that the page offers to begin with.

use std::collections::BTreeMap;

use plumbfold::design::begin::{self, Outlined, Shape};
use plumbfold::pipeline::{self, Settings};
use plumbfold_draw::explain::{self, Term};
use plumbfold_draw::style::Look;
use plumbfold_view::page::analyse;
use serde::{Deserialize, Serialize};

/// Designs that come with the program, in the order they are offered.
pub const SHIPPED: [&str; 10] = [
    include_str!("../../../designs/scow.plane"),
    include_str!("../../../designs/halyard.plane"),
    include_str!("../../../designs/marlinspike.plane"),
    include_str!("../../../designs/bowline.plane"),
    include_str!("../../../designs/cleat.plane"),
    include_str!("../../../designs/fender.plane"),
    include_str!("../../../designs/gaff.plane"),
    include_str!("../../../designs/oilskin.plane"),
    include_str!("../../../designs/painter.plane"),
    include_str!("../../../designs/tiller.plane"),
];

/// What there is where designs are kept: a folder, or a browser.
#[derive(Debug, Default, Deserialize)]
pub struct Shelf {
    /// Its name, for people.
    pub folder: String,
    /// File to open first.
    pub first: Option<String>,
    /// In the order they are offered.
    pub files: Vec<File>,
}

/// A file that may hold a design.
#[derive(Debug, Deserialize)]
pub struct File {
    /// Its name.
    pub name: String,
    /// What is in it, if it can be read.
    pub text: Option<String>,
}

/// A design that is begun on the page.
#[derive(Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NewDesign {
    /// A sheet nothing has been folded from.
    Sheet {
        /// Name of the plane.
        name: String,
        /// As a design says it.
        paper: String,
    },
    /// A plane drawn by half of its outline.
    Outline {
        /// Corners, mm right of the middle and behind the nose.
        corners: Vec<[f64; 2]>,
        /// Mass, g.
        mass_g: f64,
        /// Balance point, mm behind the nose.
        balance_mm: f64,
    },
}

/// The text of a design that is begun.
#[derive(Serialize)]
pub struct Text {
    text: String,
}

impl NewDesign {
    /// Its text.
    ///
    /// # Errors
    /// The paper is none.
    pub fn text(self) -> Result<Text, String> {
        let text = match self {
            Self::Sheet { name, paper } => begin::sheet(&name, &paper)?,
            Self::Outline { corners, mass_g, balance_mm } => Outlined {
                name: "Traced".to_owned(),
                notes: Vec::new(),
                shape: Shape::Corners(corners),
                mirrored: true,
                mass_g,
                balance_mm,
                dihedral_deg: 0.0,
                keel_mm: 0.0,
                speed_m_s: None,
            }
            .text(),
        };
        Ok(Text { text })
    }
}

/// What can be begun with.
#[derive(Serialize)]
pub struct Listing {
    folder: String,
    first: Option<String>,
    files: Vec<Listed>,
    shipped: Vec<Shipped>,
    lesson: Vec<String>,
}

/// Files that are folded to be shown; the rest are offered by name.
pub const THUMBNAILS_MAX: usize = 60;

#[derive(Serialize)]
struct Listed {
    name: String,
    plane: Option<String>,
    thumb: Option<String>,
}

#[derive(Serialize)]
struct Shipped {
    text: &'static str,
    #[serde(flatten)]
    shown: Shown,
}

#[derive(Serialize)]
struct Shown {
    name: String,
    about: String,
    thumb: Option<String>,
}

/// Designs of one's own and those that come with the program, with a small picture of each.
pub fn listing(shelf: Shelf) -> Listing {
    let listed = |(n, File { name, text }): (usize, File)| {
        // One that is no design has its name only.
        let shown = text.filter(|_| n < THUMBNAILS_MAX).map(|text| Shown::new(100 + n, &text));
        let (plane, thumb) = shown.map_or((None, None), |s| (Some(s.name), s.thumb));
        Listed { name, plane, thumb }
    };
    // A folder that has them need not be offered them again.
    let own: Vec<String> = shelf.files.iter().filter_map(|f| f.text.clone()).collect();
    let shipped = SHIPPED.iter().enumerate().filter(|(_, text)| !own.iter().any(|o| o == *text));
    Listing {
        folder: shelf.folder,
        first: shelf.first,
        files: shelf.files.into_iter().enumerate().map(listed).collect(),
        shipped: shipped.map(|(n, text)| Shipped { text, shown: Shown::new(n, text) }).collect(),
        lesson: crate::lesson::pages().unwrap_or_default(),
    }
}

impl Shown {
    fn new(n: usize, text: &str) -> Self {
        let reading = pipeline::read(text, &Settings::default());
        let about = reading.design.about.iter().map(|a| a.node.as_str()).collect::<Vec<_>>();
        let folded = pipeline::fold(text, &Settings::default()).ok();
        Self {
            name: plumbfold::plane::assembly::name(&reading.design),
            about: about.join(" "),
            // Numbers of steps end far below a hundred; these thumbnails need ids of their own.
            thumb: folded.map(|f| analyse::thumbnail(1000 + n, &f.run.folded)),
        }
    }
}

/// Small drawings that explain a number, by the page's names of the numbers.
pub fn explanations() -> BTreeMap<&'static str, String> {
    const DRAWN: [(&str, Term); 7] = [
        ("cg", Term::BalancePoint),
        ("area_ahead", Term::AreaAhead),
        ("mac", Term::MeanChord),
        ("neutral", Term::NeutralPoint),
        ("margin", Term::StaticMargin),
        ("phugoid", Term::Phugoid),
        ("glide", Term::GlideRatio),
    ];
    let draw = |(key, term)| (key, explain::explain(&Look::page(&format!("term-{key}")), term));
    DRAWN.into_iter().map(draw).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_design_that_the_folder_has_is_offered_once() {
        let file = File { name: "own.plane".into(), text: Some(SHIPPED[1].into()) };
        let offered = listing(Shelf { files: vec![file], ..Shelf::default() });
        assert_eq!(offered.shipped.len(), SHIPPED.len() - 1);
        assert!(offered.shipped.iter().all(|s| s.text != SHIPPED[1]));
        assert_eq!(offered.lesson.len(), 6);
    }

    #[test]
    fn shipped_designs_fold_and_are_drawn() {
        for (n, text) in SHIPPED.iter().enumerate() {
            let shown = Shown::new(n, text);
            assert!(shown.thumb.is_some() && !shown.about.is_empty(), "{}", shown.name);
        }
    }
}
