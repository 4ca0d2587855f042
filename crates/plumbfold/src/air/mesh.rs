//! Surfaces cut into runs along the flight direction, runs into strips at the creases, and strips
//! into vortex panels.

mod chord;
mod end;
mod stations;

use super::AeroError;
use super::influence::{Horseshoe, Ring, mirror};
use super::plates::Side;
use super::surfaces::{Chord, Surface, mirror_partners, same_plates};
use crate::plane::airframe::PanelKind;
use nalgebra::Vector3;
use std::ops::Range;

pub use chord::{chord_cells, chord_points};
use end::{End, length, straightened};
use stations::{Stations, TIP_INSET, stations};

/// Most vortex panels one lattice may have (one half of a symmetric plane): 12 MB of matrix.
pub const MAX_PANELS: usize = 1200;
/// Chords shorter than this share of the longest are left out of the lattice.
const SHORTEST_CHORD: f64 = 0.01;
/// Stretches of a chord shorter than this share of it are left out.
const SHORTEST_STRETCH: f64 = 1e-3;
/// Smearing radius of a vortex in widths or lengths of its panel, the smaller. It only keeps a chance
/// hit of a leg on a control point finite.
const CORE: f64 = 0.005;
/// The same as other surfaces on its side of the plane see it: their meshes do not meet its own, so
/// a leg may pass anywhere between their control points (a quarter of a panel is usual in lattice
/// codes; from memory).
const CORE_ELSEWHERE: f64 = 0.25;
/// Closed rings along a chord: exact in two dimensions for shaking and turning from two on.
const RINGS: usize = 4;

/// How finely a plane is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshSize {
    /// Vortices along a chord.
    pub chordwise: usize,
    /// Strips on one half of the plane, shared among its surfaces by span.
    pub spanwise: usize,
    /// Whether the outermost vortices stand a quarter of a strip inside a free edge, where they
    /// represent the square-root fall of the load (Hough, J. Aircraft 10(5), 1973).
    pub tip_inset: bool,
}

impl MeshSize {
    /// Fine enough for 1 % in lift slope and neutral point of ordinary planes (see the tests),
    /// small enough for a slider.
    pub const ORDINARY: Self = Self { chordwise: 8, spanwise: 12, tip_inset: true };
}

/// One chord's worth of surface between two stations, over all its creases.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Which surface (of the right or central ones where the plane is symmetric).
    pub surface: usize,
    /// Its strips, front one first.
    pub strips: Range<usize>,
    /// Its vortex panels, front one first.
    pub panels: Range<usize>,
    /// Vortex and control point of each, in chords of the run.
    pub points: Vec<[f64; 2]>,
    /// Front and rear end of the part of the chord each stands for, in chords of the run.
    pub cells: Vec<[f64; 2]>,
    /// Station of the middle, m.
    pub station_m: f64,
    /// Front and rear of the chord in surface coordinates, m.
    pub chord_ends: [f64; 2],
    /// Whether the first and last station are free edges.
    pub free: [bool; 2],
}

/// One strip: the part of a run that lies on one plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Which surface (of the right or central ones where the plane is symmetric).
    pub surface: usize,
    /// Which of its plates.
    pub part: usize,
    /// Wing, keel or fin.
    pub kind: PanelKind,
    /// Middle of the chord, air axes, m.
    pub middle: Vector3<f64>,
    /// Forward.
    pub e: Vector3<f64>,
    /// Spanwise.
    pub s: Vector3<f64>,
    /// Positive load.
    pub n: Vector3<f64>,
    /// Chord, m.
    pub chord_m: f64,
    /// Width of the vortices, m.
    pub width_m: f64,
    /// Area with the part beyond the vortices at a free edge, m2.
    pub area_m2: f64,
    /// Slope de/ds of the leading and of the trailing edge of its run.
    pub edge_slopes: [f64; 2],
    /// Station of the middle on its surface, m.
    pub station_m: f64,
    /// Front and rear of the chord on its surface, m.
    pub chord_ends: [f64; 2],
    /// Whether it has the leading edge of its run.
    pub leads: bool,
}

/// One vortex panel.
#[derive(Clone, Debug, PartialEq)]
pub struct VortexPanel {
    /// Its vortex.
    pub vortex: Horseshoe,
    /// Where the flow must not cross it.
    pub control: Vector3<f64>,
    /// Its normal.
    pub normal: Vector3<f64>,
    /// Forward.
    pub forward: Vector3<f64>,
    /// Radius inside which its vortex is smeared, as its own surface and as other ones on its side
    /// of the plane see it, m.
    pub cores_m: [f64; 2],
    /// Where it is.
    pub home: Home,
}

/// Surface and side a panel belongs to.
pub type Home = (usize, Side);

/// A stretch of a panel's vortex that lies on a strip and carries load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carrier {
    /// Which strip.
    pub strip: usize,
    /// Whose vortex.
    pub panel: usize,
    /// From start to end, m.
    pub along: Vector3<f64>,
    /// Its middle, m.
    pub at: Vector3<f64>,
}

/// The mirror image of a surface, and where its places lie there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Image {
    /// Index.
    pub surface: usize,
    /// A place (x, y) has its image at (x + shift.0, shift.1 - y).
    pub shift_m: (f64, f64),
}

/// Runs, strips and panels, side ones first, central ones last.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Whether only the right half and the plane of symmetry are held.
    pub symmetric: bool,
    /// Runs.
    pub runs: Vec<Run>,
    /// Strips.
    pub strips: Vec<Strip>,
    /// Panels.
    pub panels: Vec<VortexPanel>,
    /// What carries load.
    pub carriers: Vec<Carrier>,
    /// Closed rings on the same plates, for the added mass.
    pub rings: Vec<Ring>,
    /// How many rings are not in the plane of symmetry.
    pub side_rings: usize,
    /// How many runs, strips and panels are not in the plane of symmetry.
    pub sides: [usize; 3],
    /// For each surface its mirror image (itself where the plane is not symmetric).
    pub images: Vec<Image>,
    /// How it was cut.
    pub size: MeshSize,
}

impl Mesh {
    /// Cuts surfaces.
    ///
    /// # Errors
    /// [`AeroError::TooFine`] beyond [`MAX_PANELS`].
    pub fn new(surfaces: &[Surface], size: MeshSize) -> Result<Self, AeroError> {
        let partners = mirror_partners(surfaces);
        let symmetric = partners.is_some();
        let partner = partners.unwrap_or_else(|| (0..surfaces.len()).collect());
        let image = |(from, &to): (&Surface, &usize)| {
            let there = &surfaces[to];
            let root = &there.parts[0];
            let x = (mirror(&from.parts[0].origin) - root.origin).dot(&root.grid[0]);
            Image { surface: to, shift_m: (x, there.ends[1] + from.ends[0]) }
        };
        let images = surfaces.iter().zip(&partner).map(image).collect();
        let span = |s: &Surface| s.ends[1] - s.ends[0];
        let half: f64 =
            surfaces.iter().filter(|s| s.side != Side::Centre).map(span).sum::<f64>() / 2.0;
        let central: f64 = surfaces.iter().filter(|s| s.side == Side::Centre).map(span).sum();
        let inset = if size.tip_inset { TIP_INSET } else { 0.0 };
        let width = (half + central) / (size.spanwise.max(1) as f64 + inset);
        let mut mesh = Self {
            symmetric,
            runs: vec![],
            strips: vec![],
            panels: vec![],
            carriers: vec![],
            rings: vec![],
            side_rings: 0,
            sides: [0; 3],
            images,
            size,
        };
        let held = |s: &Surface| !symmetric || s.side == Side::Right;
        for central in [false, true] {
            for (i, surface) in surfaces.iter().enumerate() {
                if (surface.side == Side::Centre) == central && (central || held(surface)) {
                    mesh.cut(i, surface, width)?;
                }
            }
            if !central {
                mesh.sides = [mesh.runs.len(), mesh.strips.len(), mesh.panels.len()];
                mesh.side_rings = mesh.rings.len();
            }
        }
        Ok(mesh)
    }

    fn cut(&mut self, index: usize, surface: &Surface, width: f64) -> Result<(), AeroError> {
        let shortest = SHORTEST_CHORD * surface.longest_chord();
        for stations in stations(surface, width, self.size) {
            let [lo, hi, lo_edge, hi_edge] = stations;
            let chords = straightened(surface, lo, hi);
            let matched = chords.is_some();
            let chords = chords.unwrap_or_else(|| {
                [(lo, 1.0), ((lo + hi) / 2.0, 0.0), (hi, -1.0)]
                    .map(|(y, k)| surface.chords_at(y, k))
            });
            let whole = surface.mean_chords(lo_edge, hi_edge);
            let whole = whole.filter(|w| matched && same_plates(w, &chords[1]));
            let connected = chords.iter().all(|c| c.len() == 1);
            for (k, middle) in chords[1].iter().enumerate() {
                let [a, b] = [(0, lo), (2, hi)].map(|(j, y)| match connected || matched {
                    true if matched => (y, chords[j][k].clone(), None),
                    true => (y, middle.clone(), Some(&chords[j][k])),
                    false => (y, middle.clone(), None),
                });
                let long = length(&a.1) + length(&b.1);
                if long / 2.0 > shortest {
                    // A hair of a stretch is none.
                    let counts = |k: &usize| {
                        [&a.1, &b.1].iter().map(|c| c[*k].ends[1] - c[*k].ends[0]).sum::<f64>()
                            > SHORTEST_STRETCH * long
                    };
                    let kept: Vec<usize> = (0..a.1.len()).filter(counts).collect();
                    let of = |chord: &Chord| -> Chord { kept.iter().map(|&k| chord[k]).collect() };
                    let [a, b] = [a, b].map(|(y, chord, paper)| match paper {
                        Some(paper) => End::unlike(y, &of(&chord), paper),
                        None => End::alike(y, of(&chord)),
                    });
                    let mean = whole.as_ref().map(|w| of(&w[k]));
                    self.add_run(index, surface, stations, &a, &b, mean.as_ref());
                }
                if self.panels.len() > MAX_PANELS {
                    return Err(AeroError::TooFine { panels: self.panels.len(), most: MAX_PANELS });
                }
            }
        }
        Ok(())
    }

    /// `a` and `b`: the two ends; `mean`: the mean chord with the part beyond a free edge, if the
    /// plates are the same there.
    fn add_run(
        &mut self,
        index: usize,
        surface: &Surface,
        st: Stations,
        a: &End,
        b: &End,
        mean_chord: Option<&Chord>,
    ) {
        let [lo, hi, lo_edge, hi_edge] = st;
        let (width, station) = (hi - lo, (lo + hi) / 2.0);
        let mean = |p: f64, q: f64| (p + q) / 2.0;
        let (first, last) = (a.chord.first().zip(b.chord.first()), a.chord.last());
        let (Some(front), Some(rear)) = (first, last.zip(b.chord.last())) else { return };
        let chord_ends =
            [mean(front.0.ends[1], front.1.ends[1]), mean(rear.0.ends[0], rear.1.ends[0])];
        let chord = chord_ends[0] - chord_ends[1];
        let [slope_front, slope_rear] = [
            (front.1.ends[1] - front.0.ends[1]) / width,
            (rear.1.ends[0] - rear.0.ends[0]) / width,
        ];
        let free = [lo > lo_edge, hi < hi_edge];
        let (first_strip, first_panel) = (self.strips.len(), self.panels.len());
        let (mut points, mut cells) = (Vec::new(), Vec::new());
        for (k, (p, q)) in a.chord.iter().zip(&b.chord).enumerate() {
            let part = &surface.parts[p.part];
            let [front, rear] = [mean(p.ends[1], q.ends[1]), mean(p.ends[0], q.ends[0])];
            let here = front - rear;
            let [e, s, n] = part.axes;
            // Slopes of edges against the flow on this plate.
            let against = |slope: f64| {
                let d = part.grid[0] * slope + part.grid[1];
                d.dot(&e) / d.dot(&s)
            };
            // Beyond the outermost vortex the edges run on as they do inside it.
            let [at_a, at_b] = [p, q].map(|s| s.ends[1] - s.ends[0]);
            let growth = (at_b - at_a) / width;
            let beyond = |d: f64, c: f64, g: f64| d * (c + 0.5 * g * d).max(0.0);
            let strip = self.strips.len();
            self.strips.push(Strip {
                surface: index,
                part: p.part,
                kind: part.kind,
                middle: surface.place(p.part, mean(front, rear), station),
                e,
                s,
                n,
                chord_m: here,
                width_m: width,
                area_m2: match mean_chord.and_then(|c| c.get(k)) {
                    Some(s) => (hi_edge - lo_edge) * (s.ends[1] - s.ends[0]),
                    None => {
                        width * here
                            + beyond(hi_edge - hi, at_b, growth)
                            + beyond(lo - lo_edge, at_a, -growth)
                    }
                },
                edge_slopes: [against(slope_front), against(slope_rear)],
                station_m: station,
                chord_ends: [front, rear],
                leads: k == 0,
            });
            let share = here / chord;
            let count = ((self.size.chordwise as f64 * share).round() as usize).max(1);
            let at = chord_points(count);
            let start = (chord_ends[0] - front) / chord;
            points.extend(at.iter().map(|p| p.map(|x| start + share * x)));
            cells.extend(chord_cells(&at).iter().map(|c| c.map(|x| start + share * x)));
            let smallest = width.min(here / count as f64);
            for [vortex, control] in at {
                let panel = self.panels.len();
                let vortex = Horseshoe {
                    a: a.place(surface, k, vortex),
                    b: b.place(surface, k, vortex),
                    bends: [a, b].map(|end| end.bends(surface, k, vortex)),
                };
                let (on_first_leg, strips) = (vortex.bends[0].len(), a.chord.len() - k);
                self.carriers.extend(vortex.on_plates().enumerate().map(|(i, [from, to])| {
                    // The bound segment, then the legs: each stretch lies on the plate ahead of
                    // the bend it runs to.
                    let behind = match i {
                        0 => 0,
                        i if i <= on_first_leg => i - 1,
                        i => i - 1 - on_first_leg,
                    };
                    Carrier {
                        strip: strip + behind.min(strips - 1),
                        panel,
                        along: to - from,
                        at: (from + to) / 2.0,
                    }
                }));
                self.panels.push(VortexPanel {
                    vortex,
                    control: surface.place(p.part, front - control * here, station),
                    normal: n,
                    forward: e,
                    cores_m: [CORE, CORE_ELSEWHERE].map(|c| c * smallest),
                    home: (index, surface.side),
                });
            }
        }
        self.add_rings(surface, a, b);
        self.runs.push(Run {
            surface: index,
            strips: first_strip..self.strips.len(),
            panels: first_panel..self.panels.len(),
            points,
            cells,
            station_m: station,
            chord_ends,
            free,
        });
    }

    /// Rings of a run: between vortices as [`chord_points`] has them where it lies on one plate, else
    /// between equal steps that end on the creases and a quarter step inside the edges.
    fn add_rings(&mut self, surface: &Surface, a: &End, b: &End) {
        let whole = length(&a.chord) + length(&b.chord);
        for (k, (p, q)) in a.chord.iter().zip(&b.chord).enumerate() {
            let here = p.ends[1] - p.ends[0] + q.ends[1] - q.ends[0];
            let bounds: Vec<[f64; 2]> = if a.chord.len() == 1 {
                chord_points(RINGS + 1)
            } else {
                let count = ((RINGS as f64 * here / whole).round() as usize).max(1);
                let inset = |free: bool| if free { 0.25 } else { 0.0 };
                let (fore, aft) = (inset(k == 0), inset(k + 1 == a.chord.len()));
                let step = 1.0 / (count as f64 + fore + aft);
                let at = |j: usize| [0.0, 0.5].map(|half| (fore + j as f64 + half) * step);
                (0..=count).map(at).collect()
            };
            self.rings.extend(bounds.windows(2).map(|w| {
                let ([from, control], [to, _]) = (w[0], w[1]);
                Ring {
                    corners: [(a, from), (a, to), (b, to), (b, from)]
                        .map(|(end, share)| end.place(surface, k, share)),
                    control: [a, b]
                        .map(|end| end.place(surface, k, control))
                        .iter()
                        .sum::<Vector3<f64>>()
                        / 2.0,
                    normal: surface.parts[p.part].axes[2],
                }
            }));
        }
    }
}

impl VortexPanel {
    /// Its image in the plane of symmetry, circulation of the same sign for symmetric flow.
    pub fn mirrored(&self, images: &[Image]) -> Self {
        let side = match self.home.1 {
            Side::Right => Side::Left,
            Side::Left => Side::Right,
            Side::Centre => Side::Centre,
        };
        Self {
            vortex: self.vortex.mirrored(),
            control: mirror(&self.control),
            normal: mirror(&self.normal),
            forward: mirror(&self.forward),
            cores_m: self.cores_m,
            home: (images[self.home.0].surface, side),
        }
    }
}

impl Strip {
    /// Sweep of the leading edge, rad, as far as it holds a vortex: a wing swept forward counts as
    /// unswept, an edge of a keel or fin may lean either way.
    pub fn sweep_rad(&self) -> f64 {
        match self.kind {
            PanelKind::Wing => {
                let outward = (self.s.y * self.middle.y).signum();
                (-self.edge_slopes[0] * outward).max(0.0).atan()
            }
            _ => self.edge_slopes[0].abs().atan(),
        }
    }

    /// Its image in the plane of symmetry, on the mirror image of its surface.
    pub fn mirrored(&self, image: &Image) -> Self {
        let (x, y) = image.shift_m;
        Self {
            surface: image.surface,
            station_m: y - self.station_m,
            chord_ends: self.chord_ends.map(|c| c + x),
            middle: mirror(&self.middle),
            e: mirror(&self.e),
            s: -mirror(&self.s),
            n: mirror(&self.n),
            edge_slopes: self.edge_slopes.map(|k| -k),
            ..self.clone()
        }
    }
}

/// How far two plates act as one plate, by their normals: cos 2x of the angle between them, nothing
/// from 45 degrees on, so that a crease that is opened by a hair changes the load by a hair.
pub fn as_one(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    (2.0 * a.dot(b).powi(2) - 1.0).max(0.0)
}

impl Run {
    /// Its image in the plane of symmetry, whose strips and panels come so much later.
    pub fn mirrored(&self, image: &Image, strips: usize, panels: usize) -> Self {
        let (x, y) = image.shift_m;
        let later = |r: &Range<usize>, by: usize| r.start + by..r.end + by;
        Self {
            surface: image.surface,
            strips: later(&self.strips, strips),
            panels: later(&self.panels, panels),
            station_m: y - self.station_m,
            chord_ends: self.chord_ends.map(|c| c + x),
            free: [self.free[1], self.free[0]],
            ..self.clone()
        }
    }
}
