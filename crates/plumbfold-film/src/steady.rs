//! A camera that shakes or pans: how far each picture is shifted and turned against one of them, and the
//! film as a camera that stands would have taken it.
//!
//! Both are found from slopes of the background (B. D. Lucas and T. Kanade, "An iterative image
//! registration technique with an application to stereo vision", 1981), first in small pictures, which
//! show shifts of many dots, then in the whole ones; what differs much is a thing that moves and counts
//! little (P. J. Huber, "Robust estimation of a location parameter", 1964).

use nalgebra::{Isometry2, Matrix4, Point2, Vector2, Vector4};

use crate::film::Film;

/// How many times smaller the small pictures are.
const SMALLER: usize = 4;
/// Slopes of the background that show whether it moves, grey levels a dot; and how many standard
/// deviations of the noise stand out of it.
const EDGE_LEVELS: f32 = 8.0;
const EDGE_DEVIATIONS: f32 = 5.0;
/// The picture is parted into so many fields each way, of which each has a say with at most so many
/// slopes, and so many of all must have one: a person who sways before a plain wall is no background.
const FIELDS: usize = 4;
const SLOPES_MAX: usize = 400;
const SLOPES_MIN: usize = 16;
const FIELDS_MIN: usize = 8;
/// Grey levels from which a difference counts for less.
const ALIKE_LEVELS: f32 = 12.0;
/// Steps of the search, and the step that ends it, dots.
const STEPS: usize = 12;
const SETTLED_DOTS: f64 = 0.01;
/// A camera that shakes less than this stands, dots: the film is then left as it is.
const STANDS_DOTS: f64 = 0.35;
/// Share of the slopes that must be found again for a shift to be believed, and the share of what they
/// differ by without a shift that it may leave: noise is as much alike anywhere.
const FOUND: f64 = 0.5;
const LEFT: f32 = 0.8;

/// A film that was made steady.
pub struct Steady {
    /// Where each picture has what stands still in the reference, dots.
    pub moved: Vec<Isometry2<f64>>,
    /// The pictures shifted back; none where the camera stood.
    pub grey: Option<Vec<u8>>,
    /// Pictures in which the background was not found again.
    pub lost: usize,
}

/// The parts of how a picture lies: cosine and sine of its turn, dots right and down.
pub fn parts(moved: &Isometry2<f64>) -> [f64; 4] {
    let (turn, shift) = (moved.rotation, moved.translation);
    [turn.re, turn.im, shift.x, shift.y]
}

/// [`parts`] of a picture whose camera stood.
pub const STOOD: [f64; 4] = [1.0, 0.0, 0.0, 0.0];

/// A small or whole picture.
struct Grey<'a> {
    width: usize,
    height: usize,
    at: std::borrow::Cow<'a, [u8]>,
}

/// How a picture lies against the reference: turned about its middle, rad, and shifted, dots.
#[derive(Clone, Copy)]
struct Moved {
    shift: Vector2<f64>,
    turn_rad: f64,
}

impl Moved {
    const NOT: Self = Self { shift: Vector2::new(0.0, 0.0), turn_rad: 0.0 };

    fn smaller(self, by: f64) -> Self {
        Self { shift: self.shift / by, ..self }
    }

    fn isometry(&self, [width, height]: [usize; 2]) -> Isometry2<f64> {
        let middle = Vector2::new(width as f64, height as f64) / 2.0;
        let turned = Isometry2::rotation(self.turn_rad) * Point2::from(-middle);
        Isometry2::new(turned.coords + middle + self.shift, self.turn_rad)
    }

    /// How far the farthest place that matters is moved, dots.
    fn most(&self, [width, height]: [usize; 2]) -> f64 {
        self.shift.norm() + self.turn_rad.abs() * (width as f64).hypot(height as f64) / 2.0
    }
}

/// A place of the reference whose slope is steep.
struct Edge {
    at: [f32; 2],
    slope: [f32; 2],
    grey: f32,
}

/// Makes a film steady as one of its pictures shows the background.
pub fn steady(film: &Film<'_>, reference: usize) -> Steady {
    let n = film.count();
    let whole = |k: usize| {
        let [width, height] = film.size();
        Grey { width, height, at: film.picture(k).into() }
    };
    let levels = [SMALLER, 1];
    let beside = if reference > 0 { reference - 1 } else { 1 };
    let edges = levels.map(|by| whole(reference).smaller(by).edges(&whole(beside).smaller(by)));
    let size = film.size();
    let mut moved = vec![Moved::NOT; n];
    let mut lost = 0;
    if edges[1].is_empty() {
        return Steady { moved: vec![Isometry2::identity(); n], grey: None, lost };
    }
    // From the reference both ways, each picture from where its neighbour was.
    let onwards = (reference + 1..n).map(|k| (k, k - 1));
    let back = (0..reference).rev().map(|k| (k, k + 1));
    for (k, neighbour) in onwards.chain(back) {
        let mut near = moved[neighbour];
        let mut found = 0.0;
        for (by, edges) in levels.iter().zip(&edges).filter(|(_, e)| !e.is_empty()) {
            let by_f = *by as f64;
            let (small, share) = whole(k).smaller(*by).moved(edges, near.smaller(by_f));
            (near, found) = (small.smaller(1.0 / by_f), share);
        }
        let off = |m: &Moved| whole(k).off(&edges[1], m);
        if found >= FOUND {
            moved[k] = if off(&near) < LEFT * off(&Moved::NOT) { near } else { Moved::NOT };
        } else {
            moved[k] = moved[neighbour];
            lost += 1;
        }
    }
    let stands = moved.iter().all(|m| m.most(size) < STANDS_DOTS);
    if stands {
        moved.fill(Moved::NOT);
    }
    let moved: Vec<Isometry2<f64>> = moved.iter().map(|m| m.isometry(size)).collect();
    let back = || (0..n).flat_map(|k| whole(k).moved_back(&moved[k])).collect::<Vec<u8>>();
    let grey = (!stands).then(back);
    Steady { moved, grey, lost }
}

impl Grey<'_> {
    /// Means over squares of dots.
    fn smaller(self, by: usize) -> Self {
        if by == 1 {
            return self;
        }
        let (width, height) = (self.width / by, self.height / by);
        let mean = |i: usize| {
            let (x, y) = (i % width * by, i / width * by);
            let row = |v: usize| &self.at[v * self.width + x..][..by];
            let sum: u32 = (y..y + by).flat_map(row).map(|&g| u32::from(g)).sum();
            (sum / (by * by) as u32) as u8
        };
        Self { width, height, at: (0..width * height).map(mean).collect() }
    }

    /// Steep slopes from all over the picture; none where too few fields have any. The picture beside it
    /// tells the noise.
    fn edges(&self, beside: &Grey<'_>) -> Vec<Edge> {
        let mut off: Vec<u8> =
            self.at.iter().zip(beside.at.iter()).step_by(7).map(|(a, b)| a.abs_diff(*b)).collect();
        off.sort_unstable();
        // A median absolute difference of two normal numbers is 0.954 of the deviation of one, and a slope
        // over two dots scatters by 0.707 of it.
        let noise = off.get(off.len() / 2).map_or(0.0, |&m| f32::from(m) / 0.954);
        let least = EDGE_LEVELS.max(EDGE_DEVIATIONS * 0.707 * noise);
        let mut fields: Vec<Vec<Edge>> = (0..FIELDS * FIELDS).map(|_| Vec::new()).collect();
        for y in 1..self.height.saturating_sub(1) {
            for x in 1..self.width.saturating_sub(1) {
                let i = y * self.width + x;
                let g = |j: usize| f32::from(self.at[j]);
                let slope =
                    [(g(i + 1) - g(i - 1)) / 2.0, (g(i + self.width) - g(i - self.width)) / 2.0];
                if slope[0].hypot(slope[1]) >= least {
                    let field = y * FIELDS / self.height * FIELDS + x * FIELDS / self.width;
                    fields[field].push(Edge { at: [x as f32, y as f32], slope, grey: g(i) });
                }
            }
        }
        fields.retain(|f| f.len() >= SLOPES_MIN);
        if fields.len() < FIELDS_MIN {
            return Vec::new();
        }
        let some = |field: Vec<Edge>| {
            let step = field.len().div_ceil(SLOPES_MAX).max(1);
            field.into_iter().step_by(step)
        };
        fields.into_iter().flat_map(some).collect()
    }

    /// The grey between dots; none outside.
    fn between(&self, x: f32, y: f32) -> Option<f32> {
        let inside = |v: f32, most: usize| (0.0..(most - 1) as f32).contains(&v);
        if !inside(x, self.width) || !inside(y, self.height) {
            return None;
        }
        let (u, v) = (x as usize, y as usize);
        let (a, b) = (x - u as f32, y - v as f32);
        let g = |u: usize, v: usize| f32::from(self.at[v * self.width + u]);
        let above = g(u, v) * (1.0 - a) + g(u + 1, v) * a;
        let below = g(u, v + 1) * (1.0 - a) + g(u + 1, v + 1) * a;
        Some(above * (1.0 - b) + below * b)
    }

    /// Where this picture has a place of the reference, dots from the middle of its first.
    fn there(&self, moved: &Moved, at: [f32; 2]) -> [f32; 2] {
        let (sin, cos) = (moved.turn_rad as f32).sin_cos();
        let middle = [self.width as f32 / 2.0 - 0.5, self.height as f32 / 2.0 - 0.5];
        let [x, y] = [0, 1].map(|k| at[k] - middle[k]);
        let turned = [cos * x - sin * y, sin * x + cos * y];
        [0, 1].map(|k| turned[k] + middle[k] + moved.shift[k] as f32)
    }

    /// Mean difference at the places of these slopes, grey levels; what differs much counts as much as
    /// what differs clearly.
    fn off(&self, edges: &[Edge], moved: &Moved) -> f32 {
        const CLEARLY: f32 = 3.0 * ALIKE_LEVELS;
        let off = |e: &Edge| {
            let [u, v] = self.there(moved, e.at);
            self.between(u, v).map_or(CLEARLY, |g| (g - e.grey).abs().min(CLEARLY))
        };
        edges.iter().map(off).sum::<f32>() / edges.len().max(1) as f32
    }

    /// How this picture lies against the one of these edges, searched from a guess, and the share of them
    /// that is found again.
    fn moved(&self, edges: &[Edge], from: Moved) -> (Moved, f64) {
        let middle = [self.width as f32 / 2.0, self.height as f32 / 2.0];
        let mut moved = from;
        // Lamps that flicker make a picture brighter.
        let mut brighter = 0.0f32;
        let mut found = 0.0;
        for _ in 0..STEPS {
            let (mut normal, mut right) = (Matrix4::zeros(), Vector4::zeros());
            let mut alike = 0;
            for e in edges {
                let [x, y] = [0, 1].map(|k| e.at[k] + 0.5 - middle[k]);
                let [u, v] = self.there(&moved, e.at);
                let Some(grey) = self.between(u, v) else { continue };
                let off = grey - e.grey * (1.0 + brighter);
                alike += usize::from(off.abs() < 2.0 * ALIKE_LEVELS);
                let weight = (ALIKE_LEVELS / off.abs().max(ALIKE_LEVELS)).powi(2);
                let [sx, sy] = e.slope;
                // Turned a little, a place goes across its way from the middle.
                let row = Vector4::new(sx, sy, sy * x - sx * y, e.grey);
                normal += row * row.transpose() * weight;
                right += row * (-off * weight);
            }
            found = alike as f64 / edges.len() as f64;
            let Some(step) = normal.try_inverse().map(|inverse| inverse * right) else {
                return (from, 0.0);
            };
            brighter -= step.w;
            let by = Vector2::new(f64::from(step.x), f64::from(step.y));
            // A slope holds within a dot or two.
            let shorten = (2.0 / by.norm()).min(1.0);
            let next = Moved {
                shift: moved.shift + by * shorten,
                turn_rad: moved.turn_rad + f64::from(step.z) * shorten,
            };
            if !next.shift.iter().chain([&next.turn_rad]).all(|v| v.is_finite()) {
                return (from, 0.0);
            }
            moved = next;
            if by.norm() < SETTLED_DOTS {
                break;
            }
        }
        (moved, found)
    }

    /// The picture with its background where the reference has it; what was outside is as its rim.
    fn moved_back(&self, moved: &Isometry2<f64>) -> Vec<u8> {
        let within = |v: f64, most: usize| ((v - 0.5) as f32).clamp(0.0, most as f32 - 1.001);
        let dot = |i: usize| {
            let here = Point2::new((i % self.width) as f64 + 0.5, (i / self.width) as f64 + 0.5);
            let there = moved * here;
            let (x, y) = (within(there.x, self.width), within(there.y, self.height));
            self.between(x, y).map_or(0, |g| g.round() as u8)
        };
        (0..self.width * self.height).map(dot).collect()
    }
}
