//! What is asked of a photo: what in it has a known size, and every correction by hand.

use crate::polygon::Pt;
use crate::view::Lens;

/// A place said by hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spot {
    /// In dots of the upright photo: right, down from its top left corner.
    Photo(Pt),
    /// In mm on the sheet: right, down from the corner of it that is seen at the top left.
    Sheet(Pt),
}

/// Length of a ruler, mm.
pub const RULER_MM: std::ops::RangeInclusive<f64> = 5.0..=2000.0;

/// What in the photo has a known size.
#[derive(Clone, Debug, PartialEq)]
pub enum Reference {
    /// A sheet, mm, either way round.
    Sheet([f64; 2]),
    /// Four or more dots whose places are known, mm right and down.
    Marks(Vec<(Pt, Pt)>),
    /// Two dots and their distance, seen straight from above.
    Ruler {
        /// One dot.
        from: Pt,
        /// The other.
        to: Pt,
        /// Their distance, mm.
        length_mm: f64,
    },
}

/// A correction of the outline. Numbers are those of the outline as it was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Edit {
    /// A point goes elsewhere.
    Move(usize, Spot),
    /// A new point after another.
    Add(usize, Spot),
    /// A point goes.
    Drop(usize),
}

/// Something measured on the plane, its points seen in the photo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Balanced {
    /// Balanced over a straight edge through two places.
    Line(Spot, Spot),
    /// Hung from a place, the plumb line through another.
    Plumb(Spot, Spot),
    /// On two supports.
    Weighed([crate::balance::Support; 2]),
    /// Known already, mm behind the nose, with a standard deviation.
    Known(crate::shares::Measured),
}

/// Everything asked. [`Ask::of_sheet`] is the start; fields are set as the hand corrects.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// What has a known size.
    pub reference: Reference,
    /// How exactly it has it, mm, standard deviation in each direction.
    pub reference_sd_mm: f64,
    /// Corners of the sheet, in order round it.
    pub corners: Option<[Pt; 4]>,
    /// The lens, where it is known; else what is straight tells, or a grid of marks, or the sheet's
    /// edges.
    pub lens: Option<Lens>,
    /// Dots along lines that are straight in the world, three or more on each.
    pub straight: Vec<Vec<Pt>>,
    /// Corners of the plane in order round it, where the photo does not show them: nothing is looked for.
    pub outline: Option<Vec<Spot>>,
    /// Difference of the plane from the paper, L*a*b*.
    pub threshold: Option<f64>,
    /// Near the nose.
    pub nose: Option<Spot>,
    /// The line of symmetry, from nose to tail.
    pub axis: Option<(Spot, Spot)>,
    /// The photo shows the underside.
    pub underside: bool,
    /// Corrections of the outline.
    pub edits: Vec<Edit>,
    /// What was measured.
    pub balance: Vec<Balanced>,
    /// How surely it was balanced on an edge, mm, standard deviation.
    pub edge_sd_mm: f64,
}

/// How exactly office paper is cut, mm, standard deviation. ISO 216:2007 allows 2 mm either way
/// for sides from 150 to 600 mm; what is sold keeps to about 0.3 mm (common practice, no source).
pub const SHEET_SD_MM: f64 = 0.3;

impl Ask {
    /// A plane on a sheet, nothing said by hand.
    pub fn of_sheet(width_mm: f64, height_mm: f64) -> Self {
        Self::of(Reference::Sheet([width_mm, height_mm]))
    }

    /// A plane beside something of known size.
    pub fn of(reference: Reference) -> Self {
        Self {
            reference,
            reference_sd_mm: SHEET_SD_MM,
            corners: None,
            lens: None,
            straight: Vec::new(),
            outline: None,
            threshold: None,
            nose: None,
            axis: None,
            underside: false,
            edits: Vec::new(),
            balance: Vec::new(),
            edge_sd_mm: crate::balance::EDGE_SD_MM,
        }
    }
}
