//! What was found in a photo on the way to an outline.

use crate::polygon::Pt;

/// What was found on the way, as far as it went, in dots of the upright photo: shown where the rest
/// failed, so that it can be corrected.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Seen {
    /// Corners of the sheet, or the marks; where its edges could not be followed, a guess.
    pub sheet: Vec<Pt>,
    /// Whether they are only a guess.
    pub guessed: bool,
    /// Borders of what stands out from the paper.
    pub pieces: Vec<Vec<Pt>>,
    /// Points of the outline, in the order of their numbers.
    pub outline: Vec<Pt>,
}
