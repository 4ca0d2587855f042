//! How to find a measure on the flat sheet by folding alone.
//!
//! Marks are pinched at the edges of the sheet. Three folds make new ones from old: halving the
//! stretch between two marks; laying a short edge along a long one, which carries its length over;
//! and bringing a corner onto a mark of another edge, when the fold meets an edge of the sheet, or
//! the moved edge crosses one
//! (K. Haga's construction of thirds and others, here on sheets of any shape: K. Haga, "Origamics:
//! Mathematical Explorations through Paper Folding", World Scientific 2008).

mod crossing;
mod turned;

use plumbfold_draw::units::Units;

pub use crossing::find_crossings;
pub use turned::find_on;

/// Nearer than this the eye takes it for the measure, m (as good as careful folding).
pub const NEAR_M: f64 = 0.5e-3;
/// More folds than this are more work than a ruler.
pub const FOLDS_MAX: usize = 3;

/// Which edge a mark lies on, and from where it is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Along {
    /// A left or right edge, from the bottom up.
    Upright,
    /// A top or bottom edge, from the left.
    Level,
}

/// An edge of the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs, reason = "the names say it")]
pub enum Edge {
    Left,
    Right,
    Top,
    Bottom,
}

impl Edge {
    /// `left`
    pub fn word(self) -> &'static str {
        ["left", "right", "top", "bottom"][self as usize]
    }

    /// Which way it runs.
    pub fn along(self) -> Along {
        match self {
            Self::Left | Self::Right => Along::Upright,
            Self::Top | Self::Bottom => Along::Level,
        }
    }
}

/// One fold that makes a mark.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fold {
    /// Two marks of one edge onto each other.
    Halve(Along, f64, f64),
    /// A level edge laid along an upright one: from the top or the bottom corner.
    Carry { from_top: bool },
    /// The corner at the bottom right onto a mark of the top edge, this far from the left: the
    /// bottom edge then crosses the left one; or the same with the sheet turned: the corner at the
    /// top left onto a mark of the right edge.
    Corner(Along, f64),
    /// The same fold, where its crease meets the right edge, or the top one.
    Crease(Along, f64),
    /// The corner at the bottom right onto a mark of the left edge: the crease meets the bottom
    /// edge; or, the sheet turned, the corner at the top left onto a mark of the bottom edge: the
    /// crease meets the left edge.
    Across(Along, f64),
}

/// A mark and how it is made.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Mark {
    along: Along,
    at_m: f64,
    fold: Fold,
}

/// What marks a place that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Found {
    /// A pinch on this edge.
    Pinch(Edge),
    /// The crossing of two creases, this far from the left and from the bottom, m.
    Crossing([f64; 2]),
}

/// How to find a measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// What to do, one fold each.
    pub folds: Vec<String>,
    /// What marks the place.
    pub found: Found,
    /// How far the last mark is from the measure, m.
    pub error_m: f64,
}

/// The shortest way to a place on an edge of a sheet of this width and length; the truest of
/// equally short ones. None within [`FOLDS_MAX`] folds and [`NEAR_M`].
pub fn find(sheet_m: [f64; 2], along: Along, at_m: f64, units: Units) -> Option<Recipe> {
    for folds in 1..=FOLDS_MAX {
        let mut search = Search { sheet_m, along, at_m, best: None };
        search.deeper(&mut Vec::new(), folds);
        if let Some((error_m, marks)) = search.best {
            let edges = edges(&marks)?;
            let folds = (0..marks.len()).map(|i| say(sheet_m, &marks[..=i], edges[i], units));
            let found = Found::Pinch(*edges.last()?);
            return Some(Recipe { folds: folds.collect(), found, error_m });
        }
    }
    None
}

struct Search {
    sheet_m: [f64; 2],
    along: Along,
    at_m: f64,
    best: Option<(f64, Vec<Mark>)>,
}

impl Search {
    fn length(&self, along: Along) -> f64 {
        self.sheet_m[if along == Along::Upright { 1 } else { 0 }]
    }

    fn deeper(&mut self, made: &mut Vec<Mark>, left: usize) {
        for mark in self.next(made) {
            made.push(mark);
            if left > 1 {
                self.deeper(made, left - 1);
            } else if mark.along == self.along {
                let error = (mark.at_m - self.at_m).abs();
                let better = self.best.as_ref().is_none_or(|(best, _)| error < best - 1e-7);
                if error <= NEAR_M && better && every_one_used(made) && edges(made).is_some() {
                    self.best = Some((error, made.clone()));
                }
            }
            made.pop();
        }
    }

    /// Marks that one more fold can make.
    fn next(&self, made: &[Mark]) -> Vec<Mark> {
        let marks = |along: Along| {
            // Where a mark is needed on another edge than it was made on, `edges` says so.
            let own = made.iter().filter(move |m| m.along == along).map(|m| m.at_m);
            [0.0, self.length(along)].into_iter().chain(own).collect::<Vec<f64>>()
        };
        let [width, length] = self.sheet_m;
        let mut out = Vec::new();
        for along in [Along::Upright, Along::Level] {
            let all = marks(along);
            for (i, &a) in all.iter().enumerate() {
                for &b in &all[i + 1..] {
                    let at_m = (a + b) / 2.0;
                    out.push(Mark { along, at_m, fold: Fold::Halve(along, a, b) });
                }
            }
        }
        if length > width {
            for from_top in [false, true] {
                let at_m = if from_top { length - width } else { width };
                out.push(Mark { along: Along::Upright, at_m, fold: Fold::Carry { from_top } });
            }
        }
        let own = |along: Along| {
            let own = made.iter().filter(move |m| m.along == along);
            own.map(|m| m.at_m).collect::<Vec<f64>>()
        };
        for (along, other, w, l) in [
            (Along::Level, Along::Upright, width, length),
            (Along::Upright, Along::Level, length, width),
        ] {
            // A corner onto the corner across from it: the crease meets two edges.
            let at_m = (w * w + l * l) / (2.0 * l);
            out.push(Mark { along: other, at_m, fold: Fold::Crease(along, 0.0) });
            for t in own(along) {
                // As far from the corner (w, 0) as from where it comes to lie, (t, l).
                let at_m = ((w - t).powi(2) + l * l) / (2.0 * l);
                out.push(Mark { along: other, at_m, fold: Fold::Crease(along, t) });
                // As far from the corner (0, w) as from where it comes to lie, (t, 0), which is
                // within the edge only where t is less than w.
                if t < l && t < w {
                    let at_m = (l * l - t * t) / (2.0 * l);
                    out.push(Mark { along: other, at_m, fold: Fold::Across(along, t) });
                }
            }
        }
        for t in own(Along::Level) {
            // (width, 0) onto (t, length); the left edge is x = 0.
            out.extend(crossing([width, length], t).map(|at_m| Mark {
                along: Along::Upright,
                at_m,
                fold: Fold::Corner(Along::Level, t),
            }));
        }
        for t in own(Along::Upright) {
            // The same with the axes exchanged: (0, length) onto (width, t), the bottom edge.
            out.extend(crossing([length, width], t).map(|at_m| Mark {
                along: Along::Level,
                at_m,
                fold: Fold::Corner(Along::Upright, t),
            }));
        }
        let new =
            |m: &Mark| made.iter().all(|o| o.along != m.along || (o.at_m - m.at_m).abs() > 1e-6);
        out.retain(|m| new(m) && m.at_m > 1e-3 && m.at_m < self.length(m.along) - 1e-3);
        out
    }
}

impl Fold {
    /// Whether it begins at a mark.
    fn uses(self, mark: &Mark) -> bool {
        match self {
            Self::Halve(on, a, b) => on == mark.along && [a, b].contains(&mark.at_m),
            Self::Corner(on, t) | Self::Crease(on, t) | Self::Across(on, t) => {
                on == mark.along && t == mark.at_m
            }
            Self::Carry { .. } => false,
        }
    }

    /// The edge on which it takes its mark; a halving takes those of the edge it makes one on.
    fn takes_on(self) -> Option<Edge> {
        match self {
            Self::Halve(..) | Self::Carry { .. } => None,
            Self::Corner(Along::Level, _) | Self::Crease(Along::Level, _) => Some(Edge::Top),
            Self::Across(Along::Level, _) => Some(Edge::Bottom),
            Self::Corner(Along::Upright, _) | Self::Crease(Along::Upright, _) => Some(Edge::Right),
            Self::Across(Along::Upright, _) => Some(Edge::Left),
        }
    }

    /// The edge on which it makes a mark; a halving can on either.
    fn makes_on(self) -> Option<Edge> {
        match self {
            Self::Halve(..) => None,
            Self::Carry { .. } | Self::Corner(Along::Level, _) | Self::Across(Along::Level, _) => {
                Some(Edge::Left)
            }
            Self::Crease(Along::Level, _) => Some(Edge::Right),
            Self::Crease(Along::Upright, _) => Some(Edge::Top),
            Self::Corner(Along::Upright, _) | Self::Across(Along::Upright, _) => Some(Edge::Bottom),
        }
    }
}

/// No fold is made for nothing: each mark but the last is used by a later fold.
fn every_one_used(made: &[Mark]) -> bool {
    let used = |i: usize| made[i + 1..].iter().any(|later| later.fold.uses(&made[i]));
    (0..made.len() - 1).all(used)
}

/// The corner (w, 0) of a sheet w by l comes onto (t, l): where the moved bottom edge crosses the
/// left edge, from below. None where it misses, or where the crossing lies on paper that moved.
fn crossing([w, l]: [f64; 2], t: f64) -> Option<f64> {
    // The crease is the perpendicular bisector; it mirrors the bottom edge, whose end is now at
    // (t, l), into the direction d.
    let (nx, ny) = (t - w, l);
    let square = nx * nx + ny * ny;
    let d = [-1.0 + 2.0 * nx * nx / square, 2.0 * nx * ny / square];
    // From (t, l) along d to x = 0, within the length of the edge.
    let s = -t / d[0];
    let y = l + s * d[1];
    let stays = |x: f64, y: f64| (x - (w + t) / 2.0) * nx + (y - l / 2.0) * ny > 0.0;
    (d[0] < -1e-6 && s > 0.0 && s <= w && 0.0 < y && y < l && stays(0.0, y)).then_some(y)
}

/// The edge on which each mark is pinched: where its fold makes it, and for one half way between two
/// others where later folds want it. None where they want it on another edge than it is made on.
fn edges(marks: &[Mark]) -> Option<Vec<Edge>> {
    let mut edges: Vec<Option<Edge>> = vec![None; marks.len()];
    for (i, mark) in marks.iter().enumerate().rev() {
        let later = (i + 1..marks.len()).filter(|&j| marks[j].fold.uses(mark));
        let wanted = later.filter_map(|j| marks[j].fold.takes_on().or(edges[j]));
        let wanted: Vec<Edge> = wanted.chain(mark.fold.makes_on()).collect();
        let edge = wanted.first().copied().unwrap_or_else(|| beside(marks, i));
        if wanted.iter().any(|&e| e != edge) {
            return None;
        }
        edges[i] = Some(edge);
    }
    edges.into_iter().collect()
}

/// Where a mark that nothing wants is pinched: on the edge of the marks it lies between.
fn beside(marks: &[Mark], i: usize) -> Edge {
    let usual = if marks[i].along == Along::Upright { Edge::Left } else { Edge::Top };
    let between = (0..i).filter(|&k| marks[i].fold.uses(&marks[k]));
    between
        .map(|k| marks[k].fold.makes_on().unwrap_or_else(|| beside(marks, k)))
        .find(|&e| e != usual)
        .unwrap_or(usual)
}

/// The last of these folds in words.
fn say(sheet_m: [f64; 2], marks: &[Mark], edge: Edge, units: Units) -> String {
    let (last, before) = (marks[marks.len() - 1], &marks[..marks.len() - 1]);
    let length = |along| sheet_m[if along == Along::Upright { 1 } else { 0 }];
    let name = |along: Along, at: f64| match along {
        _ if before.iter().any(|m| m.along == along && m.at_m == at) => {
            let i = before.iter().position(|m| m.along == along && m.at_m == at).unwrap_or(0);
            format!("mark {}", i + 1)
        }
        Along::Upright if at == 0.0 => "its bottom end".to_owned(),
        Along::Upright => "its top end".to_owned(),
        Along::Level if at == 0.0 => "its left end".to_owned(),
        Along::Level if at == length(along) => "its right end".to_owned(),
        Along::Level => "the mark".to_owned(),
    };
    let number = marks.len();
    let from = if last.along == Along::Upright { "from the bottom" } else { "from the left" };
    let place = format!("mark {number}, {} {from}", units.length(last.at_m));
    // The corner that is brought to a mark on this edge.
    let corner = |onto: Edge, t: f64, pinch: &str| {
        let (which, along) = match onto {
            Edge::Top => ("bottom right", Along::Level),
            Edge::Left => ("bottom right", Along::Upright),
            Edge::Right => ("top left", Along::Upright),
            Edge::Bottom => ("top left", Along::Level),
        };
        let onto = match (onto, t) {
            (Edge::Top, 0.0) => "the top left corner".to_owned(),
            (Edge::Right, 0.0) => "the bottom right corner".to_owned(),
            _ => format!("{} on the {} edge", name(along, t), onto.word()),
        };
        format!("Bring the {which} corner to {onto}; pinch where {pinch}: {place}.")
    };
    match last.fold {
        Fold::Halve(along, a, b) => format!(
            "Bend the {} edge until {} meets {}, and pinch: {place}.",
            edge.word(),
            name(along, a),
            name(along, b)
        ),
        Fold::Carry { from_top: false } => {
            format!("Lay the bottom edge along the left edge; pinch where its end lies: {place}.")
        }
        Fold::Carry { from_top: true } => {
            format!("Lay the top edge along the left edge; pinch where its end lies: {place}.")
        }
        Fold::Corner(Along::Level, t) => {
            corner(Edge::Top, t, "the bottom edge now crosses the left edge")
        }
        Fold::Crease(Along::Level, t) => corner(Edge::Top, t, "the fold meets the right edge"),
        Fold::Across(Along::Upright, t) => corner(Edge::Left, t, "the fold meets the bottom edge"),
        Fold::Corner(Along::Upright, t) => {
            corner(Edge::Right, t, "the left edge now crosses the bottom edge")
        }
        Fold::Crease(Along::Upright, t) => corner(Edge::Right, t, "the fold meets the top edge"),
        Fold::Across(Along::Level, t) => corner(Edge::Bottom, t, "the fold meets the left edge"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn haga_finds_the_third_of_a_square() {
        // Haga's first theorem: the corner onto the middle of the far edge cuts the near edge at
        // two thirds (K. Haga, "Origamics", World Scientific 2008, chapter 2; from memory).
        let y = crossing([1.0, 1.0], 0.5).expect("a crossing");
        assert!((y - 1.0 / 3.0).abs() < 1e-12 || (y - 2.0 / 3.0).abs() < 1e-12, "{y}");
        let recipe = find([0.15, 0.15], Along::Upright, y * 0.15, Units::Mm).expect("a way");
        assert_eq!(recipe.folds.len(), 2, "{recipe:?}");
    }

    #[test]
    fn a_mark_is_used_on_the_edge_on_which_it_was_pinched() {
        let sheets = [[0.21, 0.297], [0.2159, 0.2794], [0.15, 0.15], [0.0374, 0.0374]];
        let mut used = 0;
        for (sheet_m, along) in
            sheets.into_iter().flat_map(|s| [Along::Upright, Along::Level].map(|a| (s, a)))
        {
            let length = sheet_m[if along == Along::Upright { 1 } else { 0 }];
            for k in 1..120 {
                let Some(recipe) = find(sheet_m, along, length * f64::from(k) / 120.0, Units::Mm)
                else {
                    continue;
                };
                // `… the left edge …: mark 1, …` and later `… to mark 1 on the left edge …`.
                let mut on: Vec<&str> = Vec::new();
                for fold in &recipe.folds {
                    let edge_in = |text: &str| {
                        ["left", "right", "top", "bottom"]
                            .into_iter()
                            .find(|e| text.contains(&format!("the {e} edge")))
                    };
                    if let Some((_, after)) = fold.split_once("corner to mark ") {
                        let n: usize = after[..1].parse().expect("a number");
                        let named = edge_in(after.split(';').next().unwrap_or(after));
                        assert_eq!(named, Some(on[n - 1]), "{recipe:?}");
                        used += 1;
                    }
                    let made = ["meets the ", "crosses the ", "along the ", "Bend the "];
                    let made = made.iter().find_map(|w| fold.split_once(w));
                    let after = format!("the {}", made.expect("an edge").1);
                    on.push(edge_in(&after).expect("an edge"));
                }
            }
        }
        assert!(used > 20, "{used}");
    }

    #[test]
    fn every_mark_is_as_far_from_a_corner_before_and_after() {
        // A crease is the set of places equally far from a corner and from where it goes: every
        // mark made on a crease is checked against that, on sheets of several shapes.
        for sheet_m in [[0.21, 0.297], [0.2159, 0.2794], [0.15, 0.15], [0.297, 0.21]] {
            let [w, h] = sheet_m;
            let search = Search { sheet_m, along: Along::Level, at_m: 0.0, best: None };
            let half = |along, length: f64| Mark {
                along,
                at_m: length / 2.0,
                fold: Fold::Halve(along, 0.0, length),
            };
            let made = [half(Along::Level, w), half(Along::Upright, h)];
            for mark in search.next(&made) {
                let (corner, to, at) = match mark.fold {
                    Fold::Crease(Along::Level, t) => ([w, 0.0], [t, h], [w, mark.at_m]),
                    Fold::Crease(Along::Upright, t) => ([0.0, h], [w, t], [mark.at_m, h]),
                    Fold::Across(Along::Upright, t) => ([w, 0.0], [0.0, t], [mark.at_m, 0.0]),
                    Fold::Across(Along::Level, t) => ([0.0, h], [t, 0.0], [0.0, mark.at_m]),
                    _ => continue,
                };
                let far = |p: [f64; 2]| (p[0] - at[0]).hypot(p[1] - at[1]);
                assert!((far(corner) - far(to)).abs() < 1e-12, "{mark:?} on {sheet_m:?}");
            }
        }
    }

    #[test]
    fn halves_and_quarters_take_one_and_two_folds() {
        let sheet = [0.21, 0.297];
        assert_eq!(find(sheet, Along::Upright, 0.1485, Units::Mm).map(|r| r.folds.len()), Some(1));
        assert_eq!(find(sheet, Along::Level, 0.0525, Units::Mm).map(|r| r.folds.len()), Some(2));
        assert_eq!(find(sheet, Along::Upright, 0.21, Units::Mm).map(|r| r.folds.len()), Some(1));
        let odd = find(sheet, Along::Upright, 0.1234, Units::Mm);
        assert!(odd.is_none_or(|r| r.error_m <= NEAR_M), "too far");
    }
}
