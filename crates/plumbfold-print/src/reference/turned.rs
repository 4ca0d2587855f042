//! The search on the sheet as it lies, turned and mirrored: what is folded from one corner can be
//! folded from any.

use plumbfold_draw::units::Units;

use super::{Along, Edge, Found, Recipe, find};

/// The shortest way to a place on this edge, the truest of equally short ones: that of [`find`] on
/// the sheet as it lies, on its mirror images left for right and top for bottom, and on all of these
/// with its upright and its level edges exchanged.
pub fn find_on(sheet_m: [f64; 2], edge: Edge, at_m: f64, units: Units) -> Option<Recipe> {
    let mirrors = [[false, false], [true, false], [false, true], [true, true]];
    let all = [false, true].into_iter().flat_map(|across| mirrors.map(|mirror| (across, mirror)));
    let ways = all.filter_map(|(across, mirror)| {
        let (sheet, own) = match across {
            true => ([sheet_m[1], sheet_m[0]], edge.across()),
            false => (sheet_m, edge),
        };
        let along = own.along();
        let [sideways, upside_down] = mirror;
        let from_far = if along == Along::Level { sideways } else { upside_down };
        let length = sheet[if along == Along::Level { 0 } else { 1 }];
        let at = if from_far { length - at_m } else { at_m };
        let recipe = find(sheet, along, at, units)?.turned(mirror);
        let recipe = if across { recipe.across() } else { recipe };
        (recipe.found == Found::Pinch(edge)).then_some(recipe)
    });
    ways.min_by(|a, b| (a.folds.len().cmp(&b.folds.len())).then(a.error_m.total_cmp(&b.error_m)))
}

/// A text with two words exchanged.
fn exchanged(text: String, [a, b]: [&str; 2]) -> String {
    text.replace(a, "\0").replace(b, a).replace('\0', b)
}

impl Recipe {
    /// As it reads where the words are read so and edges are those.
    fn read(self, words: impl Fn(String) -> String, edges: impl Fn(Edge) -> Edge) -> Self {
        let found = match self.found {
            Found::Pinch(edge) => Found::Pinch(edges(edge)),
            crossing @ Found::Crossing(_) => crossing,
        };
        Self { folds: self.folds.into_iter().map(words).collect(), found, ..self }
    }

    /// As it reads with left and bottom, right and top exchanged.
    fn across(self) -> Self {
        // Corners are called by their upper or lower edge first.
        let corners = [
            ["left bottom", "bottom left"],
            ["left top", "top left"],
            ["right bottom", "bottom right"],
            ["right top", "top right"],
        ];
        let words = |fold: String| {
            let fold = exchanged(exchanged(fold, ["left", "bottom"]), ["right", "top"]);
            corners.iter().fold(fold, |text, [a, b]| text.replace(a, b))
        };
        self.read(words, Edge::across)
    }

    /// As it reads on the mirror image.
    fn turned(self, mirror: [bool; 2]) -> Self {
        let pairs = [["left", "right"], ["top", "bottom"]];
        let words = |fold: String| {
            let turned = pairs.into_iter().zip(mirror).filter(|(_, turned)| *turned);
            turned.fold(fold, |fold, (pair, _)| exchanged(fold, pair))
        };
        self.read(words, |edge| edge.turned(mirror))
    }
}

impl Edge {
    /// With left and bottom, right and top exchanged.
    fn across(self) -> Self {
        match self {
            Self::Left => Self::Bottom,
            Self::Bottom => Self::Left,
            Self::Right => Self::Top,
            Self::Top => Self::Right,
        }
    }

    fn turned(self, [sideways, upside_down]: [bool; 2]) -> Self {
        match self {
            Self::Left if sideways => Self::Right,
            Self::Right if sideways => Self::Left,
            Self::Top if upside_down => Self::Bottom,
            Self::Bottom if upside_down => Self::Top,
            same => same,
        }
    }
}
