//! Surfaces cut into strips along the flight direction, and strips into vortex panels.

use super::AeroError;
use super::influence::{Horseshoe, mirror};
use super::sections::{Side, Surface, mirror_partners};
use crate::plane::airframe::PanelKind;
use nalgebra::Vector3;

/// Most vortex panels one lattice may have (one half of a symmetric plane): 12 MB of matrix.
pub const MAX_PANELS: usize = 1200;
/// Chords shorter than this share of the longest are left out of the lattice.
const SHORTEST_CHORD: f64 = 0.01;
/// A break of the outline nearer to the last one than this share of a strip is not followed.
const NARROWEST_STRIP: f64 = 0.35;
/// Edges whose slope changes by less are straight.
const STRAIGHT: f64 = 0.1;
/// Smearing radius of a vortex in widths or lengths of its panel, the smaller (see [`Horseshoe::core_m`]).
const CORE: f64 = 0.005;

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

/// One strip: a piece of surface between two stations and between two edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// Which surface (of the right or central ones where the plane is symmetric).
    pub surface: usize,
    /// Wing, keel or fin.
    pub kind: PanelKind,
    /// Middle of the chord, datum frame, m.
    pub middle: Vector3<f64>,
    /// Forward.
    pub e: Vector3<f64>,
    /// Spanwise.
    pub s: Vector3<f64>,
    /// Positive load.
    pub n: Vector3<f64>,
    /// Chord, m.
    pub chord_m: f64,
    /// Width of the vortices along s, m.
    pub width_m: f64,
    /// Area with the part beyond the vortices at a free edge, m2.
    pub area_m2: f64,
    /// Slope dx/dy of the leading and of the trailing edge in surface coordinates.
    pub edge_slopes: [f64; 2],
    /// Station of the middle on its surface, m.
    pub station_m: f64,
    /// Front and rear of the chord on its surface, m.
    pub chord_ends: [f64; 2],
    /// Whether the first and last station are free edges.
    pub free: [bool; 2],
    /// First vortex panel; the strip has as many as [`MeshSize::chordwise`].
    pub first: usize,
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
}

/// The mirror image of a surface, and where its places lie there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Image {
    /// Index.
    pub surface: usize,
    /// A place (x, y) has its image at (x + shift.0, shift.1 - y).
    pub shift_m: (f64, f64),
}

/// Strips and panels, side ones first, central ones last.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Whether only the right half and the plane of symmetry are held.
    pub symmetric: bool,
    /// Strips.
    pub strips: Vec<Strip>,
    /// Panels.
    pub panels: Vec<VortexPanel>,
    /// How many strips are not in the plane of symmetry.
    pub side_strips: usize,
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
            let x = (mirror(&from.origin) - there.origin).dot(&there.e);
            Image { surface: to, shift_m: (x, there.ends[1] + from.ends[0]) }
        };
        let images = surfaces.iter().zip(&partner).map(image).collect();
        let span = |s: &Surface| s.ends[1] - s.ends[0];
        let half: f64 =
            surfaces.iter().filter(|s| s.side != Side::Centre).map(span).sum::<f64>() / 2.0;
        let central: f64 = surfaces.iter().filter(|s| s.side == Side::Centre).map(span).sum();
        let width = (half + central) / size.spanwise.max(1) as f64;
        let mut mesh =
            Self { symmetric, strips: vec![], panels: vec![], side_strips: 0, images, size };
        let held = |s: &Surface| !symmetric || s.side == Side::Right;
        for central in [false, true] {
            for (i, surface) in surfaces.iter().enumerate() {
                if (surface.side == Side::Centre) == central && (central || held(surface)) {
                    mesh.cut(i, surface, width);
                }
            }
            if !central {
                mesh.side_strips = mesh.strips.len();
            }
            if mesh.panels.len() > MAX_PANELS {
                return Err(AeroError::TooFine { panels: mesh.panels.len(), most: MAX_PANELS });
            }
        }
        Ok(mesh)
    }

    /// Panels that are not in the plane of symmetry.
    pub fn side_panels(&self) -> usize {
        self.side_strips * self.size.chordwise
    }

    fn cut(&mut self, index: usize, surface: &Surface, width: f64) {
        let longest = self.longest_chord(surface);
        for [lo, hi, lo_edge, hi_edge] in stations(surface, width, self.size.tip_inset) {
            let chords = [
                surface.chords_at(lo, 1.0),
                surface.chords_at((lo + hi) / 2.0, 0.0),
                surface.chords_at(hi, -1.0),
            ];
            let matched = chords[0].len() == chords[1].len() && chords[1].len() == chords[2].len();
            for (k, &middle) in chords[1].iter().enumerate() {
                let [a, b] = if matched { [chords[0][k], chords[2][k]] } else { [middle; 2] };
                if (b[1] - b[0] + a[1] - a[0]) / 2.0 > SHORTEST_CHORD * longest {
                    self.add_strip(index, surface, [lo, hi, lo_edge, hi_edge], a, b);
                }
            }
        }
    }

    fn longest_chord(&self, surface: &Surface) -> f64 {
        let ends = surface
            .slabs
            .pieces
            .iter()
            .flat_map(|t| [t.front[0] - t.rear[0], t.front[1] - t.rear[1]]);
        ends.fold(0.0, f64::max)
    }

    /// `a` and `b`: rear and front at the two stations.
    fn add_strip(
        &mut self,
        index: usize,
        surface: &Surface,
        [lo, hi, lo_edge, hi_edge]: [f64; 4],
        a: [f64; 2],
        b: [f64; 2],
    ) {
        let width = hi - lo;
        let station = (lo + hi) / 2.0;
        let [rear, front] = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        let chord = front - rear;
        // Beyond the outermost vortex the edges run on as they do inside it.
        let growth = (b[1] - b[0] - a[1] + a[0]) / width;
        let beyond = |d: f64, c: f64, g: f64| d * (c + 0.5 * g * d).max(0.0);
        let area = width * chord
            + beyond(hi_edge - hi, b[1] - b[0], growth)
            + beyond(lo - lo_edge, a[1] - a[0], -growth);
        let free = [lo > lo_edge, hi < hi_edge];
        let n = self.size.chordwise;
        self.strips.push(Strip {
            surface: index,
            kind: surface.kind,
            middle: surface.place((rear + front) / 2.0, station),
            e: surface.e,
            s: surface.s,
            n: surface.n,
            chord_m: chord,
            width_m: width,
            area_m2: area,
            edge_slopes: [(b[1] - a[1]) / width, (b[0] - a[0]) / width],
            station_m: station,
            chord_ends: [front, rear],
            free,
            first: self.panels.len(),
        });
        for j in 0..n {
            let at = |[rear, front]: [f64; 2], share: f64| {
                front - (j as f64 + share) / n as f64 * (front - rear)
            };
            self.panels.push(VortexPanel {
                vortex: Horseshoe {
                    a: surface.place(at(a, 0.25), lo),
                    b: surface.place(at(b, 0.25), hi),
                    core_m: CORE * width.min(chord / n as f64),
                },
                control: surface.place(at([rear, front], 0.75), station),
                normal: surface.n,
                forward: surface.e,
            });
        }
    }
}

impl VortexPanel {
    /// Its image in the plane of symmetry, circulation of the same sign for symmetric flow.
    pub fn mirrored(&self) -> Self {
        Self {
            vortex: Horseshoe {
                a: mirror(&self.vortex.b),
                b: mirror(&self.vortex.a),
                ..self.vortex
            },
            control: mirror(&self.control),
            normal: mirror(&self.normal),
            forward: mirror(&self.forward),
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
            free: [self.free[1], self.free[0]],
            ..self.clone()
        }
    }
}

/// Stations of the strips of a surface: first, last, and both with the part beyond a free edge.
fn stations(surface: &Surface, width: f64, tip_inset: bool) -> Vec<[f64; 4]> {
    let [lo, hi] = [surface.ends[0] - surface.bridge_m[0], surface.ends[1] + surface.bridge_m[1]];
    // A surface narrower than three strips still gets three: its load is not constant.
    let width = width.min((hi - lo) / 3.0);
    let mut breaks = vec![lo];
    breaks.extend(outline_breaks(surface, width, [lo, hi]));
    breaks.push(hi);
    let mut strips = Vec::new();
    for (i, w) in breaks.windows(2).enumerate() {
        let free = [i == 0 && !surface.joined[0], i + 2 == breaks.len() && !surface.joined[1]];
        let inset = free.map(|f| if f && tip_inset { 0.25 } else { 0.0 });
        let count = ((w[1] - w[0]) / width).round().max(1.0);
        let step = (w[1] - w[0]) / (count + inset[0] + inset[1]);
        let at = |k: f64| w[0] + step * (inset[0] + k);
        for k in 0..count as usize {
            let [a, b] = [at(k as f64), at(k as f64 + 1.0)];
            let last = k as f64 + 1.0 == count;
            let edges = [if k == 0 { w[0] } else { a }, if last { w[1] } else { b }];
            strips.push([a, if last && inset[1] == 0.0 { w[1] } else { b }, edges[0], edges[1]]);
        }
    }
    strips
}

/// Stations at which the outline jumps or bends, jumps first, thinned so that no strip becomes
/// much narrower than the others.
fn outline_breaks(surface: &Surface, width: f64, ends: [f64; 2]) -> Vec<f64> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let groups: Vec<_> = surface.slabs.pieces.chunk_by(|a, b| a.y == b.y).collect();
    for pair in groups.windows(2) {
        let (left, right) = (pair[0], pair[1]);
        let y = right[0].y[0];
        let chord: f64 = left.iter().map(|t| t.front[1] - t.rear[1]).sum();
        let mut size = f64::from(u8::from(left.len() != right.len()));
        for (a, b) in left.iter().zip(right) {
            for (p, q) in [(a.rear, b.rear), (a.front, b.front)] {
                let slope = |e: [f64; 2], y: [f64; 2]| (e[1] - e[0]) / (y[1] - y[0]);
                let jump = (q[0] - p[1]).abs() / chord.max(f64::MIN_POSITIVE);
                let bend = (slope(q, b.y) - slope(p, a.y)).abs();
                size = size.max(if jump > 0.02 { 1.0 + jump } else { 0.0 });
                size = size.max(if bend > STRAIGHT { bend.min(1.0) } else { 0.0 });
            }
        }
        if size > 0.0 {
            found.push((size, y));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut kept: Vec<f64> = Vec::new();
    for (_, y) in found {
        let clear = |k: &f64| (k - y).abs() > NARROWEST_STRIP * width;
        if kept.iter().chain(&ends).all(clear) {
            kept.push(y);
        }
    }
    kept.sort_by(f64::total_cmp);
    kept
}
