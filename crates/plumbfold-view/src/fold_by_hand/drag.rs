//! What a drag on the paper means, as a step of the design: a place or an edge brought onto
//! another, or somewhere beside everything.

use plumbfold::design::ast::{
    FoldLine, FoldStep, FoldVerb, Layers, LineRef, MovingRef, PointRef, Sides, Unit,
};
use plumbfold::design::edit::amount::typed;
use plumbfold::numeric::geom::TablePoint;
use serde::Deserialize;

use super::{Line, Paper, Spot, place};

/// What was dragged where, and how the fold is to be made.
#[derive(Debug, Deserialize)]
pub struct Drag {
    from: Thing,
    onto: Thing,
    #[serde(rename = "as")]
    verb: Verb,
    #[serde(default)]
    layers: Taken,
    #[serde(default)]
    both: bool,
}

/// Something on the table, by the words it was offered with.
#[derive(Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum Thing {
    Spot {
        words: String,
    },
    Line {
        words: String,
    },
    /// Beside everything, table mm.
    Free {
        at: [f64; 2],
    },
}

#[derive(Clone, Copy, Debug, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Verb {
    Valley,
    Mountain,
    Crease,
}

#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Taken {
    #[default]
    Usual,
    All,
    Top,
}

/// How near, in parts of the paper's width, counts as meant.
const MEANT: f64 = 0.02;
/// Shorter drags than this mean nothing, mm.
const SHORT_MM: f64 = 1.0;
/// A place nearer a line than this lies on it, mm.
const ON_MM: f64 = 0.01;

impl Drag {
    /// The fold it means; `None` where it means none.
    pub(super) fn fold(&self, paper: &Paper) -> Option<FoldStep> {
        let spot = |words: &str| paper.spots.iter().find(|s| s.words == words);
        let line = |words: &str| paper.lines.iter().find(|l| l.words == words);
        let verb = match self.verb {
            Verb::Valley => FoldVerb::Valley,
            Verb::Mountain => FoldVerb::Mountain,
            Verb::Crease => FoldVerb::Crease,
        };
        let fold = match (&self.from, &self.onto) {
            (Thing::Spot { words }, Thing::Spot { words: onto }) => {
                let (point, onto) = (spot(words)?, spot(onto)?);
                FoldStep::plain(verb, FoldLine::PointOntoPoint(point.said(), onto.said()))
            }
            (Thing::Spot { words }, Thing::Line { words: onto }) => {
                FoldStep::plain(verb, spot(words)?.onto_line(line(onto)?, paper)?)
            }
            (Thing::Spot { words }, Thing::Free { at }) => {
                FoldStep::plain(verb, spot(words)?.to_place(*at, paper)?)
            }
            (Thing::Line { words }, Thing::Line { words: onto }) => {
                let (moved, onto) = (line(words)?, line(onto)?);
                FoldStep::plain(verb, FoldLine::LineOntoLine(moved.said(), onto.said()))
            }
            (Thing::Line { words }, Thing::Free { at }) => {
                let moved = line(words)?;
                // Folded over by half as far as it was dragged.
                let by = moved.laid.side(place(*at)).abs();
                if by <= SHORT_MM {
                    return None;
                }
                let parallel = FoldLine::Parallel(moved.said(), length(by / 2.0), None);
                let moving = Some(MovingRef::Line(moved.said()).into());
                FoldStep { moving, ..FoldStep::plain(verb, parallel) }
            }
            (Thing::Line { .. }, Thing::Spot { .. }) | (Thing::Free { .. }, _) => return None,
        };
        Some(self.dressed(fold))
    }

    /// With the layers and sides that were asked for.
    fn dressed(&self, fold: FoldStep) -> FoldStep {
        let layers = match self.layers {
            Taken::Usual => Layers::Default,
            Taken::All => Layers::All,
            Taken::Top => Layers::Top(typed(1.0, None, Unit::None).into()),
        };
        let sides = if self.both { Sides::Both } else { Sides::One };
        FoldStep { layers: layers.into(), sides, ..fold }
    }
}

/// A length of the table, mm, as a text would say it.
fn length<T: From<plumbfold::design::ast::Expr>>(mm: f64) -> T {
    typed(mm * 1e-3, None, Unit::Mm).into()
}

impl Spot {
    fn said<T: From<PointRef>>(&self) -> T {
        self.place.clone().into()
    }

    fn distance(&self, p: [f64; 2]) -> f64 {
        place(self.at).distance(place(p))
    }

    /// Onto a whole line, for which it needs a hinge: the corner or middle nearest the line about
    /// which it can be turned there.
    fn onto_line(&self, line: &Line, paper: &Paper) -> Option<FoldLine> {
        let off = |s: &Spot| line.laid.side(place(s.at)).abs();
        let reaches = |s: &&Spot| {
            let radius = s.distance(self.at);
            s.plain && s.words != self.words && radius > SHORT_MM && off(s) <= radius + 1e-6
        };
        let hinge = paper.spots.iter().filter(reaches).min_by(|a, b| {
            let key = |s: &Spot| (off(s), s.distance(self.at));
            key(a).partial_cmp(&key(b)).unwrap_or(std::cmp::Ordering::Equal)
        })?;
        Some(FoldLine::PointOntoLine { point: self.said(), onto: line.said(), hinge: hinge.said() })
    }

    /// Beside everything: turned onto a line that runs by, straight back along a line it lies on,
    /// or onto the place of the paper that lies there.
    fn to_place(&self, at: [f64; 2], paper: &Paper) -> Option<FoldLine> {
        let xs = || paper.faces.iter().flat_map(|f| &f.points).map(|p| p[0]);
        let near = MEANT * (xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min));
        if let Some(swing) = self.swing(at, 2.0 * near, paper) {
            return Some(swing);
        }
        let here = place(self.at);
        let off = |l: &Line, p: TablePoint| l.laid.side(p).abs();
        let along = |l: &&Line| off(l, here) < ON_MM && off(l, place(at)) < near;
        let back = paper.lines.iter().filter(along).find_map(|l| {
            let by = (l.laid.along(place(at)) - l.laid.along(here)).abs();
            (by > SHORT_MM).then(|| FoldLine::Back(self.said(), length(by), l.said()))
        });
        back.or_else(|| {
            let [x, y] = paper.on_sheet(at)?;
            let place = PointRef::Sheet(length(x), length(y));
            Some(FoldLine::PointOntoPoint(self.said(), place.into()))
        })
    }

    /// Dragged near a line, as far from a corner or middle as before: turned about that.
    fn swing(&self, at: [f64; 2], near: f64, paper: &Paper) -> Option<FoldLine> {
        let mut best: Option<(f64, FoldLine)> = None;
        for line in paper.lines.iter().filter(|l| l.laid.side(place(self.at)).abs() >= ON_MM) {
            for hinge in paper.spots.iter().filter(|s| s.plain) {
                let radius = hinge.distance(self.at);
                let foot = line.laid.along(place(hinge.at));
                let off = line.laid.side(place(hinge.at));
                if radius < SHORT_MM || off.abs() >= radius {
                    continue;
                }
                let reach = (radius * radius - off * off).sqrt();
                for s in [foot - reach, foot + reach] {
                    let miss = line.laid.place(s).distance(place(at));
                    let on_it = (-ON_MM..line.length() + ON_MM).contains(&s);
                    if on_it && miss < near && best.as_ref().is_none_or(|b| miss < b.0) {
                        let (point, onto) = (self.said(), line.said());
                        let hinge = hinge.said();
                        best = Some((miss, FoldLine::PointOntoLine { point, onto, hinge }));
                    }
                }
            }
        }
        best.map(|b| b.1)
    }
}

impl Line {
    fn said<T: From<LineRef>>(&self) -> T {
        self.line.clone().into()
    }
}

impl Paper {
    /// The place of the sheet under a place of the table, on the topmost face there, mm.
    fn on_sheet(&self, p: [f64; 2]) -> Option<[f64; 2]> {
        let holds = |points: &[[f64; 2]]| {
            (0..points.len()).all(|i| {
                let (a, b) = (points[i], points[(i + 1) % points.len()]);
                (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= -1e-6
            })
        };
        let face = self.faces.iter().rev().find(|f| holds(&f.points))?;
        let [a, b, c, d, e, f] = face.to_sheet;
        Some([a * p[0] + b * p[1] + e, c * p[0] + d * p[1] + f])
    }
}
