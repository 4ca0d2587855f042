//! The airframe as the air sees it: flat lifting surfaces cut into chordwise sections.
//!
//! Every surface has axes `e` (forward, the projection of datum x on the panel), `s` (spanwise)
//! and `n` (the side a positive load pushes towards), with `n x s = e`; for a level wing
//! `s` points right and `n` up. Places on a surface are (x along e, y along s), m.
//!
//! The two halves of a folded keel stand closer to each other than the strips of a lattice are
//! wide, and the air between them is nearly at rest, so they count as one plate in the plane of
//! symmetry, and the wings reach across the gap between them: the pressure under the gap carries.

use super::AeroError;
use super::influence::mirror;
use crate::numeric::geom::{Line, Point, Vec2, clip_left};
use crate::numeric::slabs::{Slabs, Trapezoid, XY};
use crate::plane::airframe::{Airframe, Panel, PanelKind};
use nalgebra::{Point3, Vector3};

/// Keel halves leaning less than this from upright are one plate (cosine of 25 degrees; a guess:
/// at that lean the gap on top is about as wide as the keel is deep).
const CLOSED_KEEL: f64 = 0.906;
/// Panels whose forward axis is shorter than this in the panel are broadside to the flight
/// direction and carry no circulation.
const BROADSIDE: f64 = 0.3;
/// Panels whose normals agree to a quarter of a degree lie in one plane (cosine).
const COPLANAR: f64 = 0.999_99;
/// Edges closer than this are joined, m: more than the offset of a stack of layers at a hinge.
const JOINT_M: f64 = 0.003;

/// Surfaces narrower than this carry no load of their own, m: paper that overlaps a crease by a
/// hand's error and was folded along with the rest, and lies against the surface beside it.
const HEM_M: f64 = 0.003;

/// Frame marker of places on a surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnSurface {}

/// Where a surface stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// y > 0.
    Right,
    /// y < 0.
    Left,
    /// In the plane of symmetry.
    Centre,
}

/// Paper of a surface: one convex piece, and the heights of its faces along `n`.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// Outline, (forward, spanwise), m.
    pub outline: Vec<XY>,
    /// Height of the lower and of the upper face, m.
    pub faces_m: [f64; 2],
}

/// A flat piece of wing, keel or fin.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Place of (0, 0), datum frame, m.
    pub origin: Vector3<f64>,
    /// Forward.
    pub e: Vector3<f64>,
    /// Spanwise.
    pub s: Vector3<f64>,
    /// Up, or to the right for a keel.
    pub n: Vector3<f64>,
    /// Wing, keel or fin.
    pub kind: PanelKind,
    /// Where.
    pub side: Side,
    /// Paper.
    pub layers: Vec<Layer>,
    /// The outline as trapezoids between stations.
    pub slabs: Slabs,
    /// First and last station, m.
    pub ends: [f64; 2],
    /// Whether another surface goes on at the first and at the last station.
    pub joined: [bool; 2],
    /// How far the lattice reaches beyond each end to bridge the gap over the keel, m.
    pub bridge_m: [f64; 2],
}

impl Surface {
    fn new(
        [origin, e, s, n]: [Vector3<f64>; 4],
        kind: PanelKind,
        side: Side,
        layers: Vec<Layer>,
    ) -> Option<Self> {
        let mut slabs = Slabs::of_union(layers.iter().map(|l| l.outline.clone()).collect());
        trim_slivers(&mut slabs);
        let ends = [slabs.pieces.first()?.y[0], slabs.pieces.last()?.y[1]];
        Some(Self {
            origin,
            e,
            s,
            n,
            kind,
            side,
            layers,
            slabs,
            ends,
            joined: [false; 2],
            bridge_m: [0.0; 2],
        })
    }

    /// A place on the surface in the datum frame.
    pub fn place(&self, x: f64, y: f64) -> Vector3<f64> {
        self.origin + self.e * x + self.s * y
    }

    /// Chords met at a station as rear and front, front one first; beyond the ends, those of the
    /// end. At a jump of the outline, those on the side `towards` (+1 or -1).
    pub fn chords_at(&self, y: f64, towards: f64) -> Vec<[f64; 2]> {
        // Inside by a millionth of the span, where the outline is on the asked side of a jump.
        let inside = 1e-6 * (self.ends[1] - self.ends[0]);
        let y = (y + towards * inside).clamp(self.ends[0] + inside, self.ends[1] - inside);
        let mut chords: Vec<[f64; 2]> = self
            .slabs
            .pieces
            .iter()
            .filter(|t| t.y[0] <= y && y < t.y[1])
            .map(|t| {
                let k = (y - t.y[0]) / (t.y[1] - t.y[0]);
                [t.rear, t.front].map(|edge| edge[0] + k * (edge[1] - edge[0]))
            })
            .collect();
        chords.sort_by(|a, b| b[1].total_cmp(&a[1]));
        chords
    }

    /// The surface seen in the mirror x -> -x: flight tail first becomes flight nose first.
    pub fn reversed(&self) -> Self {
        let flip = |v: &Vector3<f64>| Vector3::new(-v.x, v.y, v.z);
        let layers = self.layers.iter().map(|l| Layer {
            outline: l.outline.iter().rev().map(|p| XY { x: -p.x, y: p.y }).collect(),
            faces_m: l.faces_m,
        });
        let mut slabs = self.slabs.clone();
        for t in &mut slabs.pieces {
            (t.rear, t.front) = (t.front.map(|x| -x), t.rear.map(|x| -x));
        }
        Self {
            origin: flip(&self.origin),
            e: -flip(&self.e),
            s: flip(&self.s),
            n: flip(&self.n),
            layers: layers.collect(),
            slabs,
            ..*self
        }
    }
}

/// An end that is slanted by less than a hand's error counts as straight: its sliver of a triangle
/// is left off, because a strip of next to no chord there would cut the surface from its
/// neighbour.
fn trim_slivers(slabs: &mut Slabs) {
    /// Chord gained per width: an edge within 3 degrees of the flow.
    const STEEP: f64 = 20.0;
    for (outer, inner) in [(0, 1), (1, 0)] {
        while slabs.pieces.len() > 1 {
            let end = if outer == 0 { slabs.pieces.first() } else { slabs.pieces.last() };
            let Some([low, high]) = end.map(|t| t.y) else { return };
            let at_end = |t: &&Trapezoid| t.y == [low, high];
            let chord = |k: usize| {
                let all = slabs.pieces.iter().filter(at_end);
                all.map(|t| t.front[k] - t.rear[k]).sum::<f64>()
            };
            let width = high - low;
            if width > HEM_M || chord(inner) - chord(outer) < STEEP * width {
                break;
            }
            slabs.pieces.retain(|t| t.y != [low, high]);
        }
    }
}

/// The lifting surfaces of an airframe, left to right.
///
/// # Errors
/// [`AeroError::NoWing`] without a wing panel, [`AeroError::FoldedShut`] when the panels all stand
/// on edge.
pub fn surfaces(airframe: &Airframe) -> Result<Vec<Surface>, AeroError> {
    if !airframe.panels.iter().any(|p| p.kind == PanelKind::Wing) {
        return Err(match airframe.panels.is_empty() {
            true => AeroError::NoWing,
            false => AeroError::FoldedShut,
        });
    }
    let (keel, others): (Vec<&Panel>, Vec<&Panel>) =
        airframe.panels.iter().partition(|p| is_closed_keel(p));
    let mut all = merged(others.iter().flat_map(|p| of_panel(p)).collect());
    all.retain(|s| s.ends[1] - s.ends[0] > HEM_M);
    let central = central_plate(&keel);
    if central.is_some() {
        bridge_gap(&mut all);
    }
    all.extend(central);
    all.sort_by(|a, b| middle(a).y.total_cmp(&middle(b).y));
    mark_joints(&mut all);
    match all.iter().any(|s| s.kind == PanelKind::Wing) {
        true => Ok(all),
        false => Err(AeroError::NoWing),
    }
}

/// Panels that lie in one plane are one surface: an open hinge is nothing to the air, and two
/// lattices in one place have no solution.
fn merged(all: Vec<Surface>) -> Vec<Surface> {
    let mut kept: Vec<Surface> = Vec::with_capacity(all.len());
    for s in all {
        let same = |k: &&mut Surface| {
            k.kind == s.kind
                && k.side == s.side
                && k.n.dot(&s.n) > COPLANAR
                && (s.origin - k.origin).dot(&k.n).abs() < JOINT_M
        };
        let Some(k) = kept.iter_mut().find(same) else {
            kept.push(s);
            continue;
        };
        let shift = s.origin - k.origin;
        let [x, y, z] = [k.e, k.s, k.n].map(|axis| shift.dot(&axis));
        let moved = s.layers.into_iter().map(|l| Layer {
            outline: l.outline.iter().map(|p| XY { x: p.x + x, y: p.y + y }).collect(),
            faces_m: l.faces_m.map(|h| h + z),
        });
        let layers = std::mem::take(&mut k.layers).into_iter().chain(moved).collect();
        if let Some(both) = Surface::new([k.origin, k.e, k.s, k.n], k.kind, k.side, layers) {
            *k = both;
        }
    }
    kept
}

fn middle(s: &Surface) -> Vector3<f64> {
    s.place(0.0, (s.ends[0] + s.ends[1]) / 2.0)
}

fn is_closed_keel(p: &Panel) -> bool {
    p.kind == PanelKind::Keel && (p.placement.rotation * Vector3::z()).y.abs() > CLOSED_KEEL
}

/// Surfaces of one panel: two where it crosses the plane of symmetry.
fn of_panel(panel: &Panel) -> Vec<Surface> {
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
    let build = |layers, side| Surface::new([origin, e, s, n], panel.kind, side, layers);
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
    let at = Point::<OnSurface>::new(foot.x, foot.y);
    let cut = |dir: Vec2| -> Vec<Layer> {
        let Some(line) = Line::from_dir(at, dir) else { return Vec::new() };
        layers
            .iter()
            .filter_map(|l| {
                let points: Vec<_> = l.outline.iter().map(|p| Point::new(p.x, p.y)).collect();
                let kept = clip_left(&points, &line);
                (kept.len() >= 3).then(|| Layer {
                    outline: kept.iter().map(|p| XY { x: p.x, y: p.y }).collect(),
                    faces_m: l.faces_m,
                })
            })
            .collect()
    };
    // Left of a direction turned 90 degrees clockwise from the gradient lies y > 0.
    let right = cut(-gradient.perp());
    let left = cut(gradient.perp());
    [build(left, Side::Left), build(right, Side::Right)].into_iter().flatten().collect()
}

/// The closed keel as one plate in the plane of symmetry, spanwise axis down.
fn central_plate(keel: &[&Panel]) -> Option<Surface> {
    let layers = keel
        .iter()
        .flat_map(|panel| {
            panel.laminae.iter().map(|l| Layer {
                outline: l
                    .polygon
                    .iter()
                    .map(|&[a, b]| {
                        let p = panel.placement * Point3::new(a, b, 0.0);
                        XY { x: p.x, y: p.z }
                    })
                    .collect(),
                faces_m: [0.0; 2],
            })
        })
        .collect();
    let axes = [Vector3::zeros(), Vector3::x(), Vector3::z(), Vector3::y()];
    Surface::new(axes, PanelKind::Keel, Side::Centre, layers)
}

/// Lets the wings reach from their roots to the plane of symmetry.
fn bridge_gap(all: &mut [Surface]) {
    for s in all.iter_mut().filter(|s| s.kind == PanelKind::Wing && s.side != Side::Centre) {
        let outer = s.ends.map(|y| s.place(0.0, y).y.abs());
        let inner = usize::from(outer[1] < outer[0]);
        let gap = outer[inner];
        // Wider than this and it is not the gap of a closed keel but another wing's place.
        if gap < 0.25 * outer[1 - inner] && s.s.y.abs() > 0.5 {
            s.bridge_m[inner] = gap / s.s.y.abs();
            s.joined[inner] = true;
        }
    }
}

/// Marks the ends at which another surface, or the mirror image across the plane of symmetry,
/// goes on.
fn mark_joints(all: &mut [Surface]) {
    let edge = |s: &Surface, k: usize| -> Option<[Vector3<f64>; 2]> {
        let towards = if k == 0 { 1.0 } else { -1.0 };
        let chords = s.chords_at(s.ends[k], towards);
        let (rear, front) = (chords.last()?[0], chords.first()?[1]);
        Some([s.place(rear, s.ends[k]), s.place(front, s.ends[k])])
    };
    let edges: Vec<[Option<[Vector3<f64>; 2]>; 2]> =
        all.iter().map(|s| [edge(s, 0), edge(s, 1)]).collect();
    for i in 0..all.len() {
        for k in 0..2 {
            let Some([rear, front]) = edges[i][k] else { continue };
            let p = (rear + front) / 2.0;
            let on_centre = all[i].side != Side::Centre && p.y.abs() < JOINT_M;
            let meets =
                |j: usize| j != i && edges[j].iter().flatten().any(|q| distance(&p, q) < JOINT_M);
            // A keel hangs from the wings even where a gap separates them from its plane.
            let hangs = all[i].side == Side::Centre
                && all.iter().any(|o| {
                    o.side != Side::Centre && {
                        let inner = if o.bridge_m[0] > 0.0 { 0 } else { 1 };
                        o.bridge_m[inner] > 0.0
                            && (o.place(0.0, o.ends[inner]).z - p.z).abs() < 2.0 * JOINT_M
                    }
                });
            all[i].joined[k] |= on_centre || hangs || (0..all.len()).any(meets);
        }
    }
}

fn distance(p: &Vector3<f64>, [a, b]: &[Vector3<f64>; 2]) -> f64 {
    let ab = b - a;
    let t = ((p - a).dot(&ab) / ab.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    (p - a - ab * t).norm()
}

/// For each surface the index of its mirror image, or `None` when the airframe is not its own
/// mirror image to a thousandth of a millimetre. A central surface is its own image.
pub fn mirror_partners(all: &[Surface]) -> Option<Vec<usize>> {
    let same = |a: &Surface, b: &Surface| {
        let spans = [a.ends[1] - a.ends[0], b.ends[1] - b.ends[0]];
        let near = |p: Vector3<f64>, q: Vector3<f64>| (p - q).norm() < 1e-6;
        (spans[0] - spans[1]).abs() < 1e-6
            && (a.slabs.area() - b.slabs.area()).abs() < 1e-8
            && [0.02, 0.23, 0.5, 0.77, 0.98].iter().all(|t| {
                let y = a.ends[0] + t * spans[0];
                let mine = a.chords_at(y, 0.0);
                // The mirror image of a right surface runs against the left one's axis.
                let z = b.ends[1] - t * spans[1];
                let theirs = b.chords_at(z, 0.0);
                mine.len() == theirs.len()
                    && mine.iter().zip(&theirs).all(|(m, o)| {
                        near(mirror(&a.place(m[0], y)), b.place(o[0], z))
                            && near(mirror(&a.place(m[1], y)), b.place(o[1], z))
                    })
            })
    };
    all.iter()
        .enumerate()
        .map(|(i, a)| match a.side {
            Side::Centre => Some(i),
            _ => (0..all.len()).find(|&j| j != i && all[j].side != a.side && same(a, &all[j])),
        })
        .collect()
}
