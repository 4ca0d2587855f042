//! The line in which a model is alike, so that a fold can be made on both sides of it.
//!
//! It is a line of the sheet: the middle lines, and the diagonals of a square. Which of them is the
//! model's centre now is found from where its faces lie, whatever has been turned or turned over
//! since: paper and mirror image must lie on the table as one motion puts them, the same for all.
//!
//! ```text
//!   open: the motion is a          folded in two: both halves lie on each other,
//!   reflection of the table        and the motion leaves every place where it is
//!        ____|____                        ____
//!       |    |    |                      |____|   near half
//!       |____|____|                      |____|   far half
//! ```

use super::state::{CreaseId, FaceId, Folded, Hinge};
use crate::design::ast::Side;
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine, TablePoint, Vec2, area, centroid};

/// A line of the sheet that it can be mirrored in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    line: AxisLine,
    sheet_m: [f64; 2],
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum AxisLine {
    Upright,
    Level,
    /// From the lower left corner of a square.
    Rising,
    /// From its upper left corner.
    Falling,
}

/// At least this share of the paper is alike about a model's centre (chosen: more than half, so
/// that a flap folded on one side alone does not hide where the centre is).
const ALIKE_SHARE: f64 = 0.6;
/// Mirror images that lie this near to where they should are alike, m (chosen: what a hand's errors
/// add up to).
const ALIKE_M: f64 = 5e-3;

impl Axis {
    /// The sheet's upright middle line.
    pub fn upright(sheet_m: [f64; 2]) -> Self {
        Self { line: AxisLine::Upright, sheet_m }
    }

    /// The model's centre now; of lines that would do as well it is the `preferred` one, the one about
    /// which it is folded in two if `halves` are meant, the one that runs up the table. `None` where it
    /// is alike about no line.
    pub fn of(model: &Folded, halves: bool, preferred: Option<Self>) -> Option<Self> {
        let mut faces: Vec<(FaceId, f64)> =
            model.faces.iter().map(|f| area(&f.polygon)).enumerate().collect();
        faces.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        let mut axes = Self::all(model);
        axes.sort_by_key(|&axis| Some(axis) != preferred);
        let mut best: Option<((f64, u8), Self)> = None;
        for axis in axes {
            let Some((share, rank)) = axis.fit(model, &faces, halves) else { continue };
            let rank = if Some(axis) == preferred { BEST } else { rank };
            // Whole models first; shares that differ by rounding are one.
            let fit = ((share * 1e6).round(), rank);
            if best.as_ref().is_none_or(|(b, _)| fit > *b) {
                best = Some((fit, axis));
            }
            if fit == (1e6, BEST) {
                break;
            }
        }
        best.map(|(_, axis)| axis)
    }

    /// The line along which the model is creased, if it is creased along one of these alone: it is
    /// turned that way. Where it is folded along it, only if that crease is `spoken_of`.
    pub fn creased_alone(model: &Folded, spoken_of: &[CreaseId]) -> Option<Self> {
        let axes = Self::all(model).into_iter();
        let mut creased = axes.filter_map(|axis| Some((axis, axis.crease(model)?)));
        let (axis, crease) = creased.next().filter(|_| creased.next().is_none())?;
        let meant = !model.is_folded(crease) || spoken_of.contains(&crease.crease);
        meant.then_some(axis)
    }

    /// The line between the near and the far half of a model, whatever was folded on either since.
    pub fn between_halves(model: &Folded) -> Option<Self> {
        let half = |p: SheetPoint| model.faces_at(p).next().map(|f| model.faces[f].moved_half);
        let parts = |axis: &Self| {
            let across = |p| half(axis.image(p)).zip(half(p)).is_some_and(|(a, b)| a != b);
            model.faces.iter().all(|f| across(centroid(&f.polygon)))
        };
        Self::all(model).into_iter().find(parts)
    }

    /// Every line that the model may be alike about.
    fn all(model: &Folded) -> Vec<Self> {
        use AxisLine::{Falling, Level, Rising, Upright};
        let [w, l] = model.sheet_m;
        let lines = [Upright, Level, Rising, Falling].into_iter();
        let lines = lines.take(if (w - l).abs() <= TOLERANCE_M { 4 } else { 2 });
        lines.map(|line| Self { line, sheet_m: model.sheet_m }).collect()
    }

    /// Whether two stretches of the sheet are mirror images of each other in one of its lines.
    pub fn are_images(model: &Folded, a: [SheetPoint; 2], b: [SheetPoint; 2]) -> bool {
        Self::all(model).iter().any(|axis| {
            let [p, q] = a.map(|p| axis.image(p));
            p.near(b[0]) && q.near(b[1]) || p.near(b[1]) && q.near(b[0])
        })
    }

    /// A crease of the model along this line of the sheet.
    fn crease<'a>(&self, model: &'a Folded) -> Option<&'a Hinge> {
        let on_line = |p: &SheetPoint| self.image(*p).distance(*p) <= TOLERANCE_M;
        model.hinges.iter().find(|h| h.ends.iter().all(on_line))
    }

    /// Whether the model lies folded in two, one half on the other.
    pub fn folds_in_two(model: &Folded) -> bool {
        let Some(axis) = Self::of(model, true, Self::creased_alone(model, &[])) else {
            return false;
        };
        let largest = (0..model.faces.len()).max_by(|&a, &b| {
            area(&model.faces[a].polygon).total_cmp(&area(&model.faces[b].polygon))
        });
        let motion = largest.and_then(|f| axis.motion(model, f, std::iter::empty()));
        motion.is_some_and(|m| m.in_two())
    }

    /// The slanted line along which a model is folded in half: it is alike about it from end to end,
    /// and about no line that runs up the table.
    pub fn slanted_half(model: &Folded) -> Option<TableLine> {
        let lines = || Self::all(model).into_iter().filter_map(|axis| axis.on_table(model));
        let slanted = |l: &TableLine| l.dir.x.abs().min(l.dir.y.abs()) > ALIKE_M;
        let upright = lines().any(|l| l.dir.x.abs() <= ALIKE_M);
        lines().find(slanted).filter(|_| !upright)
    }

    /// Where this line lies on the table, if the whole of the model lies alike about it there.
    fn on_table(&self, model: &Folded) -> Option<TableLine> {
        let motion = |f| self.motion(model, f, std::iter::empty());
        let first = motion(0).filter(Motion::reflects)?;
        let alike = |f| motion(f).is_some_and(|m| m.alike(&first));
        // Half way between a place and its mirror image; not all of these are one.
        let [p, q, r] = [0, 1, 2].map(|i| {
            let (x, y) = PROBES[i];
            TablePoint::new(x, y).lerp(first.probes[i], 0.5)
        });
        let line = TableLine::through(p, q).or_else(|| TableLine::through(p, r));
        line.filter(|_| (1..model.faces.len()).all(alike))
    }

    /// Share of the paper that is alike about this line, and how well it serves as centre.
    fn fit(&self, model: &Folded, faces: &[(FaceId, f64)], halves: bool) -> Option<(f64, u8)> {
        let whole: f64 = self.sheet_m[0] * self.sheet_m[1];
        let (mut motions, mut seen): (Vec<(Motion, f64)>, f64) = (Vec::new(), 0.0);
        for (i, &(f, area)) in faces.iter().enumerate() {
            // The image of a face is as large as the face, most often.
            let alike =
                |other: &&(FaceId, f64)| (other.1 - area).abs() <= TOLERANCE_M * TOLERANCE_M;
            let before = faces[..i].iter().rev().take_while(alike);
            let alike = faces[i..].iter().take_while(alike).chain(before).map(|a| a.0);
            if let Some(motion) = self.motion(model, f, alike) {
                match motions.iter_mut().find(|(m, _)| m.alike(&motion)) {
                    Some((_, sum)) => *sum += area,
                    None => motions.push((motion, area)),
                }
            }
            seen += area;
            let most = motions.iter().map(|m| m.1).fold(0.0, f64::max);
            if most + (whole - seen) < ALIKE_SHARE * whole {
                return None;
            }
        }
        let (motion, area) = motions.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
        Some((area / whole, motion.rank(halves)))
    }

    /// How the mirror image of a face lies beside the face. It is sought among some faces first.
    fn motion(
        &self,
        model: &Folded,
        f: FaceId,
        mut likely: impl Iterator<Item = FaceId>,
    ) -> Option<Motion> {
        let face = &model.faces[f];
        let middle = self.image(centroid(&face.polygon));
        let there = likely.find(|&g| model.faces[g].carries(middle));
        let there = there.or_else(|| model.faces_at(middle).next())?;
        let to = model.faces[there].placement;
        let probes = PROBES
            .map(|(x, y)| to.apply(self.image(face.placement.unapply(TablePoint::new(x, y)))));
        Some(Motion { probes, halves: face.moved_half != model.faces[there].moved_half })
    }

    /// The mirror image of a place.
    pub fn image(&self, p: SheetPoint) -> SheetPoint {
        let [w, l] = self.sheet_m;
        let (x, y) = match self.line {
            AxisLine::Upright => (w - p.x, p.y),
            AxisLine::Level => (p.x, l - p.y),
            AxisLine::Rising => (p.y, p.x),
            AxisLine::Falling => (w - p.y, l - p.x),
        };
        SheetPoint::new(x, y)
    }

    /// The mirror image of a direction on the sheet.
    pub fn turned(&self, v: Vec2) -> Vec2 {
        match self.line {
            AxisLine::Upright => Vec2::new(-v.x, v.y),
            AxisLine::Level => Vec2::new(v.x, -v.y),
            AxisLine::Rising => Vec2::new(v.y, v.x),
            AxisLine::Falling => Vec2::new(-v.y, -v.x),
        }
    }

    /// The mirror image of an edge.
    pub fn side(&self, side: Side) -> Side {
        use Side::{Bottom, Left, Right, Top};
        match (self.line, side) {
            (AxisLine::Upright, Left) | (AxisLine::Rising, Top) | (AxisLine::Falling, Bottom) => {
                Right
            }
            (AxisLine::Upright, Right) | (AxisLine::Rising, Bottom) | (AxisLine::Falling, Top) => {
                Left
            }
            (AxisLine::Level, Top) | (AxisLine::Rising, Left) | (AxisLine::Falling, Right) => {
                Bottom
            }
            (AxisLine::Level, Bottom) | (AxisLine::Rising, Right) | (AxisLine::Falling, Left) => {
                Top
            }
            (AxisLine::Upright | AxisLine::Level, side) => side,
        }
    }
}

impl std::fmt::Display for Axis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self.line {
            AxisLine::Upright => "left for right",
            AxisLine::Level => "top for bottom",
            AxisLine::Rising | AxisLine::Falling => "in a diagonal",
        })
    }
}

/// Places of the table by which motions are told apart, m.
const PROBES: [(f64, f64); 3] = [(0.0, 0.0), (0.1, 0.0), (0.0, 0.1)];
/// [`Motion::rank`] of a centre that nothing could beat.
const BEST: u8 = 3;

/// A motion of the table, by where it takes [`PROBES`].
struct Motion {
    probes: [TablePoint; 3],
    /// It takes the near half to the far half.
    halves: bool,
}

impl Motion {
    fn alike(&self, o: &Self) -> bool {
        self.probes.iter().zip(&o.probes).all(|(a, b)| a.distance(*b) < ALIKE_M)
    }

    fn reflects(&self) -> bool {
        let [right, up] = [1, 2].map(|i| self.probes[i] - self.probes[0]);
        right.cross(up) < 0.0
    }

    /// Both halves lie on each other.
    fn in_two(&self) -> bool {
        let at = PROBES.map(|(x, y)| TablePoint::new(x, y));
        self.halves && (0..3).all(|i| self.probes[i].distance(at[i]) < ALIKE_M)
    }

    /// The centre people mean first runs up the table, or is the fold of a model folded in two.
    fn rank(&self, halves: bool) -> u8 {
        let [right, up] = [1, 2].map(|i| self.probes[i] - self.probes[0]);
        let upright = (up - Vec2::new(0.0, 0.1)).norm() < ALIKE_M
            && (right - Vec2::new(-0.1, 0.0)).norm() < ALIKE_M;
        match (self.in_two(), upright) {
            (true, _) if halves => BEST,
            (_, true) => BEST - 1 + u8::from(!halves),
            (true, _) => 1,
            _ => 0,
        }
    }
}
