//! The airframe as flat plates of paper: what the air meets.
//!
//! Layers and panels that lie in one plane are one plate with their common outline: an open hinge
//! or a flap pressed flat is nothing to the air. Paper that lies nearly flat against a larger plate
//! is thickness, not a second wing.
//!
//! Every plate has axes `e` (forward, the projection of the air's x axis on it), `s` (spanwise) and
//! `n` (the side a positive load pushes towards), with `n x s = e`; for a level wing `s` points
//! right and `n` up. Places on a plate are (x along e, y along s), m.
//!
//! The two halves of a folded keel stand closer to each other than the strips of a lattice are
//! wide, and the air between them is nearly at rest, so they count as one plate in the plane of
//! symmetry, and the wings reach across the gap between them: the pressure under the gap carries.

use super::AeroError;
use crate::numeric::geom::{Line, Point, Vec2, clip_left};
use crate::numeric::slabs::{Slabs, Trapezoid, XY};
use crate::plane::airframe::{Airframe, Panel, PanelKind};
use nalgebra::Vector3;

/// Keel halves leaning less than this from upright are one plate (cosine of 25 degrees; a guess:
/// at that lean the gap on top is about as wide as the keel is deep).
const CLOSED_KEEL: f64 = 0.906;
/// Plates whose forward axis is shorter than this are broadside to the flight direction and carry
/// no circulation.
const BROADSIDE: f64 = 0.3;
/// Plates whose normals agree to a quarter of a degree lie in one plane (cosine).
const COPLANAR: f64 = 0.999_99;
/// Edges closer than this are joined, m: more than the offset of a stack of layers at a hinge.
pub const JOINT_M: f64 = 0.003;
/// Plates narrower than this carry no load of their own, m: paper that overlaps a crease by a
/// hand's error and was folded along with the rest, and lies against the plate beside it.
const HEM_M: f64 = 0.003;
/// Paper that leans against a larger plate by less than this (cosine of 30 degrees) and is nearer
/// to it than [`AGAINST_M`] is part of that plate's thickness: the wedge between them is narrower
/// than any strip of a lattice (both guessed).
const AGAINST: f64 = 0.866;
/// Less than this share of a plate is not taken away.
const LEAST_TAKEN: f64 = 1e-4;
/// See [`AGAINST`], m.
const AGAINST_M: f64 = 0.010;
/// A joint shorter than this is a corner, m.
const SHORTEST_JOINT_M: f64 = 0.004;
/// A plate lies on one side of a line if less than this share of it lies on the other.
const ONE_SIDED: f64 = 0.05;
/// Wings reach over a gap to the plane of symmetry if it is narrower than this share of their half
/// span: wider, and it is not the gap of a closed keel but another wing's place.
const WIDEST_GAP: f64 = 0.25;

/// Frame marker of places on a plate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum OnPlate {}

/// Where a plate stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// y > 0.
    Right,
    /// y < 0.
    Left,
    /// In the plane of symmetry.
    Centre,
}

/// Paper of a plate: one convex piece, and the heights of its faces along `n`.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Outline, (forward, spanwise), m.
    pub outline: Vec<XY>,
    /// Height of the lower and of the upper face, m.
    pub faces_m: [f64; 2],
}

/// A flat piece of wing, keel or fin.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Place of (0, 0), m.
    pub origin: Vector3<f64>,
    /// Forward, spanwise, and up (or to the right for a keel).
    pub axes: [Vector3<f64>; 3],
    /// Wing, keel or fin.
    pub kind: PanelKind,
    /// Where.
    pub side: Side,
    /// Paper.
    pub layers: Vec<Layer>,
    /// Convex pieces whose union is the plate.
    pub outline: Vec<Vec<XY>>,
}

/// Where two plates meet: a line and the part of it that both touch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// A place on the line, m.
    pub at: Vector3<f64>,
    /// Its direction.
    pub along: Vector3<f64>,
    /// First and last place along it, m.
    pub reach: [f64; 2],
    /// On which side of the line each plate lies, as a direction in it; none where it lies on both.
    pub towards: [Option<Vector3<f64>>; 2],
}

impl Plate {
    fn new(
        origin: Vector3<f64>,
        axes: [Vector3<f64>; 3],
        (kind, side): (PanelKind, Side),
        layers: Vec<Layer>,
    ) -> Self {
        let outline = layers.iter().map(|l| l.outline.clone()).collect();
        Self { origin, axes, kind, side, layers, outline }
    }

    /// A place on the plate.
    pub fn place(&self, p: XY) -> Vector3<f64> {
        self.origin + self.axes[0] * p.x + self.axes[1] * p.y
    }

    /// The place on the plate nearest to one in space.
    pub fn foot(&self, p: &Vector3<f64>) -> XY {
        let d = p - self.origin;
        XY { x: d.dot(&self.axes[0]), y: d.dot(&self.axes[1]) }
    }

    /// The plate as trapezoids between stations.
    pub fn slabs(&self) -> Slabs {
        Slabs::of_union(self.outline.clone())
    }

    /// The same plate with its other face counted as up.
    pub fn turned_over(&self) -> Self {
        let flip = |outline: &[XY]| outline.iter().rev().map(|p| XY { x: p.x, y: -p.y }).collect();
        let [e, s, n] = self.axes;
        Self {
            axes: [e, -s, -n],
            layers: self
                .layers
                .iter()
                .map(|l| Layer {
                    outline: flip(&l.outline),
                    faces_m: [-l.faces_m[1], -l.faces_m[0]],
                })
                .collect(),
            outline: self.outline.iter().map(|o| flip(o)).collect(),
            ..*self
        }
    }

    /// Width along s, m.
    fn width(&self) -> f64 {
        let y = self.outline.iter().flatten().map(|p| p.y);
        let (lo, hi) = y.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
        hi - lo
    }

    /// The part of the line through `at` along `along` that the plate touches, and the side of it
    /// on which the plate lies there.
    fn along_line(
        &self,
        at: &Vector3<f64>,
        along: &Vector3<f64>,
    ) -> Option<([f64; 2], Option<Vector3<f64>>)> {
        let [e, s, _] = self.axes;
        let foot = self.foot(at);
        let dir = Vec2::new(along.dot(&e), along.dot(&s));
        let line = |shift: Vec2, dir: Vec2| {
            Line::from_dir(Point::<OnPlate>::new(foot.x + shift.x, foot.y + shift.y), dir)
        };
        let across = dir.perp();
        let near = [line(across * -(JOINT_M / 2.0), dir)?, line(across * (JOINT_M / 2.0), -dir)?];
        let reach = self
            .outline
            .iter()
            .flat_map(|o| near.iter().fold(points(o), |o, l| clip_left(&o, l)))
            .map(|p| (p.x - foot.x) * dir.x + (p.y - foot.y) * dir.y)
            .fold([f64::MAX, f64::MIN], |[a, b], t| [a.min(t), b.max(t)]);
        if reach[1] - reach[0] < SHORTEST_JOINT_M {
            return None;
        }
        let ends = [line(dir * reach[0], -across)?, line(dir * reach[1], across)?];
        let within = |o: &Vec<XY>| ends.iter().fold(points(o), |o, l| clip_left(&o, l));
        let side = |dir: Vec2| -> Option<f64> {
            let edge = line(Vec2::new(0.0, 0.0), dir)?;
            let parts = self.outline.iter().map(|o| xy(&clip_left(&within(o), &edge)));
            Some(Slabs::of_union(parts.collect()).area())
        };
        let (left, right) = (side(dir)?, side(-dir)?);
        let out = e * across.x + s * across.y;
        let towards = match left.min(right) < ONE_SIDED * left.max(right) {
            true => Some(if left > right { out } else { -out }),
            false => None,
        };
        Some((reach, towards))
    }

    /// Brings the edge along a joint onto its line: where layers stand off a crease, or a hand
    /// missed it, the paper ends a hair before or beyond it.
    pub fn end_on(&mut self, joint: &Joint) {
        let [e, s, _] = self.axes;
        let (foot, dir) = (self.foot(&joint.at), (joint.along.dot(&e), joint.along.dot(&s)));
        for p in self.outline.iter_mut().flatten() {
            let (x, y) = (p.x - foot.x, p.y - foot.y);
            let (t, off) = (x * dir.0 + y * dir.1, x * dir.1 - y * dir.0);
            let within = joint.reach[0] - JOINT_M..=joint.reach[1] + JOINT_M;
            if off.abs() < JOINT_M / 2.0 && within.contains(&t) {
                *p = XY { x: foot.x + t * dir.0, y: foot.y + t * dir.1 };
            }
        }
    }

    /// Where this plate meets another one that is not in the same plane.
    pub fn joint(&self, other: &Self) -> Option<Joint> {
        let [a, b] = [self.axes[2], other.axes[2]];
        let cross = a.cross(&b);
        if a.dot(&b).abs() > COPLANAR {
            return None;
        }
        let [ha, hb] = [a.dot(&self.origin), b.dot(&other.origin)];
        let at = (b.cross(&cross) * ha + cross.cross(&a) * hb) / cross.norm_squared();
        let along = cross.normalize();
        let (mine, here) = self.along_line(&at, &along)?;
        let (its, there) = other.along_line(&at, &along)?;
        let reach = [mine[0].max(its[0]), mine[1].min(its[1])];
        (reach[1] - reach[0] > SHORTEST_JOINT_M).then_some(Joint {
            at,
            along,
            reach,
            towards: [here, there],
        })
    }
}

fn points(outline: &[XY]) -> Vec<Point<OnPlate>> {
    outline.iter().map(|p| Point::new(p.x, p.y)).collect()
}

fn xy(points: &[Point<OnPlate>]) -> Vec<XY> {
    points.iter().map(|p| XY { x: p.x, y: p.y }).collect()
}

fn corners(t: &Trapezoid) -> Vec<XY> {
    let at = |x: f64, k: usize| XY { x, y: t.y[k] };
    vec![at(t.rear[0], 0), at(t.front[0], 0), at(t.front[1], 1), at(t.rear[1], 1)]
}

/// The plates of an airframe, in no order: no two in one place, the closed keel last.
///
/// # Errors
/// [`AeroError::NoWing`] without a wing panel, [`AeroError::FoldedShut`] when the panels all stand
/// on edge.
pub fn plates(airframe: &Airframe) -> Result<Vec<Plate>, AeroError> {
    if !airframe.panels.iter().any(|p| p.kind == PanelKind::Wing) {
        return Err(match airframe.panels.is_empty() {
            true => AeroError::NoWing,
            false => AeroError::FoldedShut,
        });
    }
    let (keel, others): (Vec<&Panel>, Vec<&Panel>) =
        airframe.panels.iter().partition(|p| is_closed_keel(p));
    let mut all = merged(others.iter().flat_map(|p| of_panel(p)).collect());
    all.retain(|p| p.width() > HEM_M);
    all.iter_mut().for_each(keep_to_own_side);
    leave_out_paper_against(&mut all);
    all.retain(|p| p.width() > HEM_M);
    let halves: Vec<Plate> = keel.iter().flat_map(|p| of_panel(p)).collect();
    bridge_gap(&mut all, &halves);
    all.extend(central_plate(&keel));
    match all.iter().any(|s| s.kind == PanelKind::Wing) {
        true => Ok(all),
        false => Err(AeroError::NoWing),
    }
}

/// Panels that lie in one plane are one plate: two lattices in one place have no solution.
fn merged(all: Vec<Plate>) -> Vec<Plate> {
    let mut kept: Vec<Plate> = Vec::with_capacity(all.len());
    for p in all {
        let same = |k: &&mut Plate| {
            k.kind == p.kind
                && k.side == p.side
                && k.axes[2].dot(&p.axes[2]) > COPLANAR
                && (p.origin - k.origin).dot(&k.axes[2]).abs() < JOINT_M
        };
        let Some(k) = kept.iter_mut().find(same) else {
            kept.push(p);
            continue;
        };
        let shift = p.origin - k.origin;
        let [x, y, z] = k.axes.map(|axis| shift.dot(&axis));
        k.layers.extend(p.layers.into_iter().map(|l| Layer {
            outline: l.outline.iter().map(|p| XY { x: p.x + x, y: p.y + y }).collect(),
            faces_m: l.faces_m.map(|h| h + z),
        }));
        k.outline = k.layers.iter().map(|l| l.outline.clone()).collect();
    }
    kept
}

/// Cuts off what reaches over the plane of symmetry by less than a hand's error: two halves that lie
/// on each other there would be two sheets in one place.
fn keep_to_own_side(plate: &mut Plate) {
    let [e, s, _] = plate.axes;
    let gradient = Vec2::new(e.y, s.y);
    if plate.side == Side::Centre || gradient.norm() < BROADSIDE {
        return;
    }
    let foot = gradient * (-plate.origin.y / gradient.dot(gradient));
    // Left of a direction turned 90 degrees clockwise from the gradient lies y > 0.
    let out = if plate.side == Side::Right { -gradient.perp() } else { gradient.perp() };
    if let Some(line) = Line::from_dir(Point::<OnPlate>::new(foot.x, foot.y), out) {
        let kept = plate.outline.iter().map(|o| xy(&clip_left(&points(o), &line)));
        plate.outline = kept.filter(|o| o.len() >= 3).collect();
    }
}

/// Takes away from each plate what lies against a larger one.
fn leave_out_paper_against(all: &mut [Plate]) {
    let areas: Vec<f64> = all.iter().map(|p| p.slabs().area()).collect();
    for i in 0..all.len() {
        let small = &all[i];
        let [e, s, n] = small.axes;
        let mut covers: Vec<Vec<XY>> = Vec::new();
        for (j, large) in all.iter().enumerate() {
            let m = large.axes[2];
            // Equal ones: the later gives way.
            let gives_way = (areas[i], j) < (areas[j], i);
            if i == j || !gives_way || n.dot(&m).abs() < AGAINST {
                continue;
            }
            // The large plate's outline seen along its normal, on the small one's plane.
            let seen = |p: &XY| {
                let at = large.place(*p);
                small.foot(&(at + m * ((small.origin - at).dot(&n) / m.dot(&n))))
            };
            // Height of the small plate above the large one: h + gx x + gy y.
            let [h, gx, gy] = [(small.origin - large.origin).dot(&m), e.dot(&m), s.dot(&m)];
            let slope = Vec2::new(gx, gy);
            let near = |limit: f64| {
                let foot = slope * (-(h - limit) / slope.dot(slope));
                // Left of a direction turned 90 degrees anticlockwise from the way up lies below.
                let dir = slope.perp() * limit.signum();
                Line::from_dir(Point::<OnPlate>::new(foot.x, foot.y), dir)
            };
            let steep = slope.dot(slope) > 1e-12;
            if !steep && h.abs() > AGAINST_M {
                continue;
            }
            for outline in &large.outline {
                let mut cover = points(&outline.iter().map(seen).collect::<Vec<_>>());
                for limit in [-AGAINST_M, AGAINST_M].iter().filter(|_| steep) {
                    if let Some(line) = near(*limit) {
                        cover = clip_left(&cover, &line);
                    }
                }
                if cover.len() >= 3 {
                    covers.push(xy(&cover));
                }
            }
        }
        if !covers.is_empty() {
            let left = Slabs::of_difference(all[i].outline.clone(), &covers);
            // Cut only where there is something to take away: corners that the cutting makes amid
            // an edge are no corners of the paper.
            if areas[i] - left.area() > LEAST_TAKEN * areas[i] {
                all[i].outline = left.pieces.iter().map(corners).collect();
            }
        }
    }
}

fn is_closed_keel(p: &Panel) -> bool {
    p.kind == PanelKind::Keel && (p.placement.rotation * Vector3::z()).y.abs() > CLOSED_KEEL
}

/// Plates of one panel: two where it crosses the plane of symmetry.
fn of_panel(panel: &Panel) -> Vec<Plate> {
    let turn = panel.placement.rotation;
    let n = turn * Vector3::z();
    let along = Vector3::x() - n * n.x;
    if along.norm() < BROADSIDE {
        return Vec::new();
    }
    let e = along.normalize();
    let s = e.cross(&n);
    let origin = panel.placement.translation.vector;
    let (u, v) = (turn * Vector3::x(), turn * Vector3::y());
    let layers: Vec<Layer> = panel
        .laminae
        .iter()
        .map(|l| Layer {
            outline: l
                .polygon
                .iter()
                .map(|&[a, b]| {
                    let p = u * a + v * b;
                    XY { x: p.dot(&e), y: p.dot(&s) }
                })
                .collect(),
            faces_m: [-1.0, 1.0].map(|k| l.height_m + k * l.thickness_m / 2.0),
        })
        .collect();
    let build = |layers: Vec<Layer>, side| {
        (!layers.is_empty()).then(|| Plate::new(origin, [e, s, n], (panel.kind, side), layers))
    };
    // Where the panel meets the plane of symmetry: origin.y + x e.y + y s.y = 0.
    let heights = layers.iter().flat_map(|l| &l.outline).map(|p| origin.y + p.x * e.y + p.y * s.y);
    let (lo, hi) = heights.fold((f64::MAX, f64::MIN), |(a, b), y| (a.min(y), b.max(y)));
    let slack = JOINT_M / 2.0;
    if hi - lo < JOINT_M && hi.max(-lo) < JOINT_M {
        return build(layers, Side::Centre).into_iter().collect();
    }
    if lo > -slack || hi < slack {
        let side = if lo + hi > 0.0 { Side::Right } else { Side::Left };
        return build(layers, side).into_iter().collect();
    }
    let gradient = Vec2::new(e.y, s.y);
    let foot = gradient * (-origin.y / gradient.dot(gradient));
    let at = Point::<OnPlate>::new(foot.x, foot.y);
    let cut = |dir: Vec2| -> Vec<Layer> {
        let Some(line) = Line::from_dir(at, dir) else { return Vec::new() };
        let kept = |l: &Layer| Layer {
            outline: xy(&clip_left(&points(&l.outline), &line)),
            faces_m: l.faces_m,
        };
        layers.iter().map(kept).filter(|l| l.outline.len() >= 3).collect()
    };
    // Left of a direction turned 90 degrees clockwise from the gradient lies y > 0.
    let right = cut(-gradient.perp());
    let left = cut(gradient.perp());
    [build(left, Side::Left), build(right, Side::Right)].into_iter().flatten().collect()
}

/// The closed keel as one plate in the plane of symmetry, spanwise axis down.
fn central_plate(keel: &[&Panel]) -> Option<Plate> {
    let layers: Vec<Layer> = keel
        .iter()
        .flat_map(|panel| {
            panel.laminae.iter().map(|l| Layer {
                outline: l
                    .polygon
                    .iter()
                    .map(|&[a, b]| {
                        let p = panel.placement * nalgebra::Point3::new(a, b, 0.0);
                        XY { x: p.x, y: p.z }
                    })
                    .collect(),
                faces_m: [0.0; 2],
            })
        })
        .collect();
    let axes = [Vector3::x(), Vector3::z(), Vector3::y()];
    let plate = Plate::new(Vector3::zeros(), axes, (PanelKind::Keel, Side::Centre), layers);
    (!plate.layers.is_empty()).then_some(plate)
}

/// Lets the wings reach from their joints with the halves of a closed keel to the plane of symmetry.
fn bridge_gap(all: &mut [Plate], keel: &[Plate]) {
    for wing in all.iter_mut().filter(|p| p.kind == PanelKind::Wing && p.side != Side::Centre) {
        let [e, s, _] = wing.axes;
        if s.y.abs() < 0.5 {
            continue;
        }
        let half_span =
            wing.outline.iter().flatten().map(|p| wing.place(*p).y.abs()).fold(0.0, f64::max);
        let same_side = |k: &&Plate| k.side == wing.side || k.side == Side::Centre;
        let joints: Vec<Joint> =
            keel.iter().filter(same_side).filter_map(|k| wing.joint(k)).collect();
        for j in joints {
            let ends = j.reach.map(|t| wing.foot(&(j.at + j.along * t)));
            // Measured outwards: the other half of the keel is nothing to this wing.
            let out = if wing.side == Side::Right { 1.0 } else { -1.0 };
            let gap = ends.map(|p| wing.place(p).y * out);
            let (narrow, wide) = (gap[0].min(gap[1]), gap[0].max(gap[1]));
            if narrow < -JOINT_M || wide < 1e-9 || wide > WIDEST_GAP * half_span {
                continue;
            }
            // Where layers that stand off their crease carry its end across, it reaches as far as
            // the plane of symmetry.
            let share = (-narrow / (wide - narrow)).max(0.0);
            let cut = |k: usize| match gap[k] < 0.0 {
                true => XY {
                    x: ends[k].x + share * (ends[1 - k].x - ends[k].x),
                    y: ends[k].y + share * (ends[1 - k].y - ends[k].y),
                },
                false => ends[k],
            };
            let ends = [cut(0), cut(1)];
            let middle = |p: XY| XY { x: p.x, y: -(wing.origin.y + p.x * e.y) / s.y };
            wing.outline.push(vec![ends[0], ends[1], middle(ends[1]), middle(ends[0])]);
        }
    }
}
