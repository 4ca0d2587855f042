//! Lifting surfaces: plates joined at creases, laid out flat.
//!
//! A wing, its winglet and whatever else hangs on it edge to edge is one surface. It is laid out
//! flat, as the paper was before its creases were opened, and is cut there into strips that run
//! over the creases from leading to trailing edge; the corners of the mesh then go back to their
//! places in space. So strips meet at every crease, no edge inside a wing is free, and a crease that
//! is opened by a hair changes the mesh by a hair. A plate that stands on the middle of another one
//! starts a surface of its own, laid out along the crease it stands on.
//!
//! Places on a surface laid out flat are (x forward, y across), m.

mod ends;

use super::AeroError;
use super::influence::mirror;
use super::plates::{JOINT_M, Joint, Layer, Plate, Side, plates};
use crate::numeric::slabs::{Slabs, XY};
use crate::plane::airframe::{Airframe, PanelKind};
use nalgebra::{Rotation2, Vector2, Vector3};

/// A plate that would cover more than this share of itself on the surface it is joined to, laid
/// out flat, stands on the middle of it.
const STANDS_ON: f64 = 0.1;
/// A crease this near to the flow's direction (cosine of 45 degrees) is what the strips of a plate
/// that stands on it run along.
const ALONG_CREASE: f64 = 0.7;

/// A plate as part of a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Wing, keel or fin.
    pub kind: PanelKind,
    /// Where (0, 0) of the surface lies if this plate is carried on to there, m.
    pub origin: Vector3<f64>,
    /// x and y of the surface on this plate.
    pub grid: [Vector3<f64>; 2],
    /// Forward, spanwise and normal, `n x s = e`.
    pub axes: [Vector3<f64>; 3],
    /// Paper, in surface coordinates.
    pub layers: Vec<Layer>,
}

/// The stretch of a chord on one plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// Which of the surface's parts.
    pub part: usize,
    /// Rear and front, m.
    pub ends: [f64; 2],
}

/// Stretches that follow one another without a gap, front one first.
pub type Chord = Vec<Stretch>;

/// Part of a surface between two stations.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Piece {
    y: [f64; 2],
    rear: [f64; 2],
    front: [f64; 2],
    part: usize,
}

/// Plates joined edge to edge.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Its plates, the one it is laid out around first.
    pub parts: Vec<Part>,
    /// Where.
    pub side: Side,
    /// The outline by station and then from front to rear.
    pieces: Vec<Piece>,
    /// First and last station, m.
    pub ends: [f64; 2],
    /// Whether another surface goes on at the first and at the last station.
    pub joined: [bool; 2],
    /// Stations at which another surface stands on this one, m.
    pub stood_on: Vec<f64>,
}

impl Surface {
    /// A place on one of its plates.
    pub fn place(&self, part: usize, x: f64, y: f64) -> Vector3<f64> {
        let p = &self.parts[part];
        p.origin + p.grid[0] * x + p.grid[1] * y
    }

    /// Kind of its largest plate.
    pub fn kind(&self) -> PanelKind {
        self.parts[0].kind
    }

    /// Chords met at a station, front one first; beyond the ends, those of the end. At a jump of
    /// the outline, those on the side `towards` (+1 or -1).
    pub fn chords_at(&self, y: f64, towards: f64) -> Vec<Chord> {
        // Inside by a millionth of the span, where the outline is on the asked side of a jump.
        let inside = 1e-6 * (self.ends[1] - self.ends[0]);
        let beside = (y + towards * inside).clamp(self.ends[0] + inside, self.ends[1] - inside);
        let mut chords: Vec<Chord> = Vec::new();
        for p in self.pieces.iter().filter(|p| p.y[0] <= beside && beside < p.y[1]) {
            // At the station itself, so that both sides of it find a crease in one place.
            let k = ((y - p.y[0]) / (p.y[1] - p.y[0])).clamp(0.0, 1.0);
            let [rear, front] = [p.rear, p.front].map(|e| e[0] + k * (e[1] - e[0]));
            let mut next = Stretch { part: p.part, ends: [rear, front] };
            match chords.last_mut().and_then(|c| c.last_mut()) {
                Some(last) if last.ends[0] - front < JOINT_M => {
                    // What a crease leaves between its two plates is halved between them.
                    let crease = ((last.ends[0] + front) / 2.0).min(last.ends[1]).max(rear);
                    (last.ends[0], next.ends[1]) = (crease, crease);
                    if let Some(c) = chords.last_mut() {
                        c.push(next);
                    }
                }
                _ => chords.push(vec![next]),
            }
        }
        chords
    }

    /// The longest chord on one plate, m.
    pub fn longest_chord(&self) -> f64 {
        let ends = self.pieces.iter().flat_map(|p| [0, 1].map(|k| p.front[k] - p.rear[k]));
        ends.fold(0.0, f64::max)
    }

    /// The mean chords between two stations; none where the plates change between them.
    pub fn mean_chords(&self, from: f64, to: f64) -> Option<Vec<Chord>> {
        let mut cuts = vec![from];
        let inner = self.pieces.iter().map(|p| p.y[0]).filter(|y| from < *y && *y < to);
        cuts.extend(inner);
        cuts.push(to);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup();
        let mut sum: Option<Vec<Chord>> = None;
        for w in cuts.windows(2) {
            let share = (w[1] - w[0]) / (to - from);
            for (y, towards) in [(w[0], 1.0), (w[1], -1.0)] {
                let mut chords = self.chords_at(y, towards);
                chords.iter_mut().flatten().for_each(|s| s.ends = s.ends.map(|x| x * share / 2.0));
                match &mut sum {
                    None => sum = Some(chords),
                    Some(sum) if same_plates(sum, &chords) => {
                        let both = sum.iter_mut().flatten().zip(chords.iter().flatten());
                        both.for_each(|(s, c)| (0..2).for_each(|k| s.ends[k] += c.ends[k]));
                    }
                    Some(_) => return None,
                }
            }
        }
        sum
    }

    /// Stations at which the plates change, in order.
    pub fn plate_changes(&self) -> Vec<f64> {
        let groups: Vec<_> = self.pieces.chunk_by(|a, b| a.y == b.y).collect();
        let alike = |a: &[Piece], b: &[Piece]| {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.part == b.part)
        };
        let changes = groups.windows(2).filter(|w| !alike(w[0], w[1]));
        changes.map(|w| w[1][0].y[0]).collect()
    }

    /// The surface seen in the mirror x -> -x: flight tail first becomes flight nose first.
    pub fn reversed(&self) -> Self {
        let flip = |v: &Vector3<f64>| Vector3::new(-v.x, v.y, v.z);
        let part = |p: &Part| Part {
            kind: p.kind,
            origin: flip(&p.origin),
            grid: [-flip(&p.grid[0]), flip(&p.grid[1])],
            axes: [-flip(&p.axes[0]), flip(&p.axes[1]), flip(&p.axes[2])],
            layers: p
                .layers
                .iter()
                .map(|l| Layer {
                    outline: l.outline.iter().rev().map(|p| XY { x: -p.x, y: p.y }).collect(),
                    faces_m: l.faces_m,
                })
                .collect(),
        };
        let mut pieces = self.pieces.clone();
        for p in &mut pieces {
            (p.rear, p.front) = (p.front.map(|x| -x), p.rear.map(|x| -x));
        }
        sort(&mut pieces);
        Self {
            parts: self.parts.iter().map(part).collect(),
            pieces,
            stood_on: self.stood_on.clone(),
            ..*self
        }
    }
}

/// Whether two stations have the same plates.
pub fn same_plates(a: &[Chord], b: &[Chord]) -> bool {
    let alike = |(a, b): (&Chord, &Chord)| {
        a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.part == b.part)
    };
    a.len() == b.len() && a.iter().zip(b).all(alike)
}

fn sort(pieces: &mut [Piece]) {
    let front = |p: &Piece| p.front[0] + p.front[1];
    pieces.sort_by(|a, b| a.y[0].total_cmp(&b.y[0]).then(front(b).total_cmp(&front(a))));
}

/// How a plate lies on a surface laid out flat: turned, then shifted.
#[derive(Clone, Copy)]
struct Layout {
    turn: Rotation2<f64>,
    shift: Vector2<f64>,
}

impl Layout {
    fn apply(&self, p: &XY) -> XY {
        let q = self.turn * Vector2::new(p.x, p.y) + self.shift;
        XY { x: q.x, y: q.y }
    }
    fn outlines(&self, outlines: &[Vec<XY>]) -> Vec<Vec<XY>> {
        outlines.iter().map(|o| o.iter().map(|p| self.apply(p)).collect()).collect()
    }
}

/// The lifting surfaces of an airframe in air axes, left to right.
///
/// # Errors
/// As [`plates`].
pub fn surfaces(airframe: &Airframe) -> Result<Vec<Surface>, AeroError> {
    let mut waiting = plates(airframe)?;
    // The largest wings first; equal ones in the order of the panels.
    let area = |p: &Plate| p.slabs().area();
    let mut ranked: Vec<(bool, f64, Plate)> =
        waiting.drain(..).map(|p| (p.kind == PanelKind::Wing, area(&p), p)).collect();
    ranked.sort_by(|a, b| b.0.cmp(&a.0).then(b.1.total_cmp(&a.1)));
    let mut waiting: Vec<Plate> = ranked.into_iter().map(|r| r.2).collect();
    let mut placed: Vec<Plate> = Vec::new();
    let mut all: Vec<Surface> = Vec::new();
    let mut stands: Vec<(usize, Joint)> = Vec::new();
    while !waiting.is_empty() {
        let root = waiting.remove(0);
        let base = placed
            .iter()
            .filter(|p| p.side == root.side)
            .filter_map(|p| p.joint(&root))
            .find(|j| j.along.dot(&root.axes[0]).abs() > ALONG_CREASE);
        let chain = chain(root, base.as_ref(), &mut waiting);
        placed.extend(chain.iter().map(|c| c.0.clone()));
        if let Some(surface) = laid_out(&chain) {
            stands.extend(base.map(|j| (all.len(), j)));
            all.push(surface);
        }
    }
    for (own, joint) in &stands {
        let ends = joint.reach.map(|t| joint.at + joint.along * t);
        for other in (0..all.len()).filter(|k| k != own) {
            let on = ends.map(|p| all[other].station_of(&p));
            if let [Some(a), Some(b)] = on
                && (a - b).abs() < JOINT_M
            {
                all[other].stood_on.push((a + b) / 2.0);
            }
        }
    }
    let middle = |s: &Surface| s.place(0, 0.0, (s.ends[0] + s.ends[1]) / 2.0).y;
    all.sort_by(|a, b| middle(a).total_cmp(&middle(b)));
    ends::find(&mut all);
    Ok(all)
}

/// A root plate and all that is joined to it edge to edge, each with its place laid out flat.
fn chain(root: Plate, base: Option<&Joint>, waiting: &mut Vec<Plate>) -> Vec<(Plate, Layout)> {
    let turn = base.map_or(0.0, |j| {
        let along = j.along * j.along.dot(&root.axes[0]).signum();
        -f64::atan2(along.dot(&root.axes[1]), along.dot(&root.axes[0]))
    });
    let layout = Layout { turn: Rotation2::new(turn), shift: Vector2::zeros() };
    let mut chain = vec![(root, layout)];
    let mut from = 0;
    while from < chain.len() {
        let mut k = 0;
        while k < waiting.len() {
            match laid_beside(&chain[from], &waiting[k]) {
                Some((joint, next)) if !covers(&chain, &next) => {
                    chain[from].0.end_on(&joint);
                    chain.push(next);
                    waiting.remove(k);
                }
                _ => k += 1,
            }
        }
        from += 1;
    }
    chain
}

/// The crease that joins a plate edge to edge to another, and where the other comes to lie when it is
/// laid flat, both ending on the crease.
fn laid_beside(
    (plate, layout): &(Plate, Layout),
    other: &Plate,
) -> Option<(Joint, (Plate, Layout))> {
    if plate.side != other.side || plate.side == Side::Centre {
        return None;
    }
    let joint = plate.joint(other)?;
    let [Some(inward), Some(outward)] = joint.towards else { return None };
    let flat = |p: &Plate, v: &Vector3<f64>| Vector2::new(v.dot(&p.axes[0]), v.dot(&p.axes[1]));
    let cross = |a: Vector2<f64>, b: Vector2<f64>| a.x * b.y - a.y * b.x;
    // The other plate goes on where this one ends; laid out it must not be a mirror image.
    let along = flat(plate, &joint.along);
    let handed = cross(along, -flat(plate, &inward)).signum();
    let same = cross(flat(other, &joint.along), flat(other, &outward)).signum() == handed;
    let mut other = if same { other.clone() } else { other.turned_over() };
    other.end_on(&joint);
    let own = flat(&other, &joint.along);
    let there = layout.turn * along;
    let turn = Rotation2::new(cross(own, there).atan2(own.dot(&there)));
    let at = layout.apply(&plate.foot(&joint.at));
    let foot = other.foot(&joint.at);
    let shift = Vector2::new(at.x, at.y) - turn * Vector2::new(foot.x, foot.y);
    Some((joint, (other, Layout { turn, shift })))
}

/// Whether a plate laid out flat would lie on those that are there.
fn covers(chain: &[(Plate, Layout)], (plate, layout): &(Plate, Layout)) -> bool {
    let mine = layout.outlines(&plate.outline);
    let theirs: Vec<Vec<XY>> = chain.iter().flat_map(|(p, l)| l.outlines(&p.outline)).collect();
    let whole = Slabs::of_union(mine.clone()).area();
    Slabs::of_difference(mine, &theirs).area() < (1.0 - STANDS_ON) * whole
}

fn laid_out(chain: &[(Plate, Layout)]) -> Option<Surface> {
    // What would lie on plates that are there already is thickness.
    let mut there: Vec<Vec<XY>> = Vec::new();
    let mut slabs: Vec<Slabs> = Vec::with_capacity(chain.len());
    for (plate, layout) in chain {
        let own = layout.outlines(&plate.outline);
        slabs.push(Slabs::of_difference(own.clone(), &there));
        there.extend(own);
    }
    // All plates between the same stations.
    let mut stations: Vec<f64> = slabs.iter().flat_map(|s| &s.pieces).flat_map(|t| t.y).collect();
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|a, b| *a - *b < NARROWEST_M);
    let mut pieces = Vec::new();
    for w in stations.windows(2) {
        let y = [w[0], w[1]];
        let middle = (w[0] + w[1]) / 2.0;
        for (part, s) in slabs.iter().enumerate() {
            for t in s.pieces.iter().filter(|t| t.y[0] <= middle && middle < t.y[1]) {
                let at = |e: [f64; 2]| {
                    y.map(|y| e[0] + (y - t.y[0]) / (t.y[1] - t.y[0]) * (e[1] - e[0]))
                };
                pieces.push(Piece { y, rear: at(t.rear), front: at(t.front), part });
            }
        }
    }
    sort(&mut pieces);
    // Where panels of one plate meet there is no gap but a hand's error.
    pieces.dedup_by(|next, last| {
        let joined = (0..2).all(|k| last.rear[k] - next.front[k] < JOINT_M);
        let same = next.y == last.y && next.part == last.part && joined;
        if same {
            last.rear = next.rear;
        }
        same
    });
    let ends = [pieces.first()?.y[0], pieces.last()?.y[1]];
    let part = |(p, layout): &(Plate, Layout)| {
        let back = layout.turn.inverse();
        let lift = |v: Vector2<f64>| p.axes[0] * v.x + p.axes[1] * v.y;
        let grid = [Vector2::x(), Vector2::y()].map(|v| lift(back * v));
        let layers = p.layers.iter().map(|l| Layer {
            outline: l.outline.iter().map(|p| layout.apply(p)).collect(),
            faces_m: l.faces_m,
        });
        Part {
            kind: p.kind,
            origin: p.origin + lift(back * -layout.shift),
            grid,
            axes: p.axes,
            layers: layers.collect(),
        }
    };
    Some(Surface {
        parts: chain.iter().map(part).collect(),
        side: chain[0].0.side,
        pieces,
        ends,
        joined: [false; 2],
        stood_on: Vec::new(),
    })
}

/// Stations closer than this are one, m.
const NARROWEST_M: f64 = 1e-9;

impl Surface {
    /// The station of a place on the surface; none off it.
    fn station_of(&self, at: &Vector3<f64>) -> Option<f64> {
        self.parts.iter().enumerate().find_map(|(k, p)| {
            let d = at - p.origin;
            let (x, y) = (d.dot(&p.grid[0]), d.dot(&p.grid[1]));
            let on = |t: &Piece| {
                let share = (y - t.y[0]) / (t.y[1] - t.y[0]);
                let [rear, front] = [t.rear, t.front].map(|e| e[0] + share * (e[1] - e[0]));
                t.part == k
                    && (-1e-6..=1.0 + 1e-6).contains(&share)
                    && (rear - JOINT_M..=front + JOINT_M).contains(&x)
            };
            (d.dot(&p.axes[2]).abs() < JOINT_M && self.pieces.iter().any(on)).then_some(y)
        })
    }
}

/// For each surface the index of its mirror image, or `None` when the airframe is not its own
/// mirror image to a thousandth of a millimetre. A central surface is its own image.
pub fn mirror_partners(all: &[Surface]) -> Option<Vec<usize>> {
    let same = |a: &Surface, b: &Surface| {
        let spans = [a.ends[1] - a.ends[0], b.ends[1] - b.ends[0]];
        (spans[0] - spans[1]).abs() < 1e-6
            && [0.02, 0.23, 0.5, 0.77, 0.98].iter().all(|t| {
                // The mirror image of a right surface runs against the left one's axis.
                let (y, z) = (a.ends[0] + t * spans[0], b.ends[1] - t * spans[1]);
                let (mine, theirs) = (a.chords_at(y, 0.0).concat(), b.chords_at(z, 0.0).concat());
                let near = |(m, o): (&Stretch, &Stretch)| {
                    [0, 1].iter().all(|&k| {
                        let (p, q) = (a.place(m.part, m.ends[k], y), b.place(o.part, o.ends[k], z));
                        (mirror(&p) - q).norm() < 1e-6
                    })
                };
                mine.len() == theirs.len() && mine.iter().zip(&theirs).all(near)
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
