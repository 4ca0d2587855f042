//! Outlines cut into trapezoids between stations: what they cover together, how many lie where.
//!
//! Between two neighbouring stations (corners and edge crossings of all polygons) every chord end
//! is a straight line, so area, chord and moments come out exactly, and the chord at any station
//! is at hand for the lattice. This is the slab decomposition of Preparata & Shamos 1985, sec. 2.2.
//!
//! Stations, and ends of chords, closer than the tolerance of folding are one.

mod cells;

pub use cells::{Cell, border, layer_cells};

use super::geom::TOLERANCE_M;

/// A place in the level plane: x forward, y to the right, m.
#[derive(Clone, Copy, Debug, PartialEq)]
#[allow(missing_docs, reason = "the type says it")]
pub struct XY {
    pub x: f64,
    pub y: f64,
}

/// Part of the union between two stations: at station `y[k]` it reaches from `rear[k]` to `front[k]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trapezoid {
    /// Stations, m, ascending.
    pub y: [f64; 2],
    /// Rear edge x at the two stations, m.
    pub rear: [f64; 2],
    /// Front edge x at the two stations, m.
    pub front: [f64; 2],
}

impl Trapezoid {
    /// Area, m2.
    pub fn area(&self) -> f64 {
        (self.y[1] - self.y[0]) * (self.front[0] - self.rear[0] + self.front[1] - self.rear[1])
            / 2.0
    }

    /// Corners, anticlockwise when x runs to the right and y up.
    pub fn corners(&self) -> [XY; 4] {
        let at = |x: [f64; 2], k: usize| XY { x: x[k], y: self.y[k] };
        [at(self.rear, 0), at(self.front, 0), at(self.front, 1), at(self.rear, 1)]
    }

    /// Centroid; with no area, the mean of the corners.
    pub fn centroid(&self) -> XY {
        let chord = [0, 1].map(|k| self.front[k] - self.rear[k]);
        let sum = chord[0] + chord[1];
        // Weights of the two stations: the chord grows evenly between them.
        let w = if sum > 0.0 { (chord[0] + 2.0 * chord[1]) / (3.0 * sum) } else { 0.5 };
        let y = self.y[0] + (self.y[1] - self.y[0]) * w;
        // The middle of the chord at one station and the next, weighted by Simpson's rule.
        let middle = [0, 1].map(|k| (self.front[k] + self.rear[k]) / 2.0);
        let x = if sum > 0.0 {
            (chord[0] * middle[0] + sum * (middle[0] + middle[1]) + chord[1] * middle[1])
                / (3.0 * sum)
        } else {
            (middle[0] + middle[1]) / 2.0
        };
        XY { x, y }
    }

    /// Rear and front at a station; none beyond the ends.
    pub fn chord_at(&self, y: f64) -> Option<[f64; 2]> {
        let u = (y - self.y[0]) / (self.y[1] - self.y[0]);
        let at = |e: [f64; 2]| e[0] + (e[1] - e[0]) * u;
        (0.0..=1.0).contains(&u).then(|| [at(self.rear), at(self.front)])
    }

    /// Whether a place lies in it or on its rim.
    pub fn contains(&self, p: XY) -> bool {
        self.chord_at(p.y).is_some_and(|[rear, front]| rear <= p.x && p.x <= front)
    }

    /// Area with x greater than `x0`.
    fn area_beyond(&self, x0: f64) -> f64 {
        // The part beyond x0 is the trapezoid under max(front, x0) less that under max(rear, x0).
        let above = |e: [f64; 2]| -> f64 {
            let (a, b) = (e[0] - x0, e[1] - x0);
            let mean = if a >= 0.0 && b >= 0.0 {
                (a + b) / 2.0
            } else if a <= 0.0 && b <= 0.0 {
                0.0
            } else {
                let p = a.max(b);
                p * p / (2.0 * (a - b).abs())
            };
            mean * (self.y[1] - self.y[0])
        };
        above(self.front) - above(self.rear)
    }
}

/// The union of polygons as trapezoids, sorted by station and then from rear to front.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Slabs {
    /// The pieces.
    pub pieces: Vec<Trapezoid>,
}

impl Slabs {
    /// Union of convex polygons (either winding); pieces without area are left out.
    pub fn of_union(polygons: Vec<Vec<XY>>) -> Self {
        Self::of_difference(polygons, &[])
    }

    /// Union of convex polygons less that of others.
    pub fn of_difference(polygons: Vec<Vec<XY>>, less: &[Vec<XY>]) -> Self {
        let polygons = without_covered(polygons);
        let stations = match less {
            [] => stations(&polygons),
            _ => stations(&[&polygons, less].concat()),
        };
        let mut pieces = Vec::new();
        for w in stations.windows(2) {
            let middle = |e: [f64; 2]| e[0] + e[1];
            let holes = spans(less, w);
            for (mut rear, front) in spans(&polygons, w) {
                // No edges cross inside the slab, so comparing the middles is enough.
                for &(hole_rear, hole_front) in &holes {
                    if middle(hole_front) <= middle(rear) || middle(hole_rear) >= middle(front) {
                        continue;
                    }
                    if middle(hole_rear) > middle(rear) + 2.0 * TOLERANCE_M {
                        pieces.push(Trapezoid { y: [w[0], w[1]], rear, front: hole_rear });
                    }
                    rear = hole_front;
                }
                if middle(front) > middle(rear) + 2.0 * TOLERANCE_M {
                    pieces.push(Trapezoid { y: [w[0], w[1]], rear, front });
                }
            }
        }
        Self { pieces }
    }

    /// A polygon that does not cross itself, notched or not, cut at all its corners and at some
    /// other stations; pieces without area are left out.
    pub fn of_simple(polygon: &[XY], others: &[f64]) -> Self {
        let mut stations: Vec<f64> = polygon.iter().map(|p| p.y).chain(others.to_vec()).collect();
        once(&mut stations);
        let mut pieces = Vec::new();
        for w in stations.windows(2) {
            let mut cuts: Vec<(f64, [f64; 2])> = cuts(polygon, w).collect();
            cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
            // Paper lies between the first cut and the second, the third and the fourth.
            let paper = cuts.chunks_exact(2).filter(|pair| pair[1].0 - pair[0].0 > TOLERANCE_M);
            pieces.extend(paper.map(|pair| Trapezoid {
                y: [w[0], w[1]],
                rear: pair[0].1,
                front: pair[1].1,
            }));
        }
        Self { pieces }
    }

    /// Area, m2.
    pub fn area(&self) -> f64 {
        self.pieces.iter().map(Trapezoid::area).sum()
    }

    /// Area ahead of the line at `x`, m2.
    pub fn area_beyond(&self, x: f64) -> f64 {
        self.pieces.iter().map(|t| t.area_beyond(x)).sum()
    }

    /// The x ahead of which the given area lies: the monotone function is inverted by bisection
    /// bracketed secant steps (Illinois method; Dowell & Jarratt 1971).
    pub fn place_of_area(&self, area: f64) -> f64 {
        let ends = self.pieces.iter().flat_map(|t| [t.rear[0], t.rear[1], t.front[0], t.front[1]]);
        let (mut a, mut b) = ends.fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
        let f = |x: f64| self.area_beyond(x) - area;
        let (mut fa, mut fb) = (f(a), f(b));
        if fa <= 0.0 || fb >= 0.0 {
            return if fa <= 0.0 { a } else { b };
        }
        // Enough for rounding from any bracket; the method gains more than a digit a step.
        for _ in 0..100 {
            let x = (a * fb - b * fa) / (fb - fa);
            let fx = f(x);
            if fx.abs() <= 1e-15 * self.area() || (b - a).abs() < 1e-13 {
                return x;
            }
            if fx * fb < 0.0 {
                (a, fa) = (b, fb);
            } else {
                fa /= 2.0;
            }
            (b, fb) = (x, fx);
        }
        b
    }

    /// Distance between the outermost stations, m.
    pub fn extent(&self) -> f64 {
        let lo = self.pieces.iter().map(|t| t.y[0]).fold(f64::MAX, f64::min);
        let hi = self.pieces.iter().map(|t| t.y[1]).fold(f64::MIN, f64::max);
        (hi - lo).max(0.0)
    }

    /// Integrals over the span of c^2, of (leading edge x) c, and of (slope aft of the quarter
    /// chord line, outward from the middle) c. The chord c is the paper met along a station; a
    /// station cut by a notch counts the paper on both sides of it. m3, m3, m2.
    pub fn chord_integrals(&self) -> [f64; 3] {
        let middle = match (self.pieces.first(), self.pieces.last()) {
            (Some(a), Some(b)) => (a.y[0] + b.y[1]) / 2.0,
            _ => 0.0,
        };
        let mut sum = [0.0; 3];
        for group in self.pieces.chunk_by(|a, b| a.y == b.y) {
            let chord = [0, 1].map(|k| group.iter().map(|t| t.front[k] - t.rear[k]).sum::<f64>());
            let lead = [0, 1].map(|k| group.iter().map(|t| t.front[k]).fold(f64::MIN, f64::max));
            let dy = group[0].y[1] - group[0].y[0];
            // Simpson's rule is exact for the products of two straight lines met here.
            let product = |p: [f64; 2], q: [f64; 2]| {
                dy / 6.0 * (p[0] * q[0] + (p[0] + p[1]) * (q[0] + q[1]) + p[1] * q[1])
            };
            sum[0] += product(chord, chord);
            sum[1] += product(lead, chord);
            let quarter = [0, 1].map(|k| lead[k] - chord[k] / 4.0);
            let outward = if (group[0].y[0] + group[0].y[1]) / 2.0 >= middle { 1.0 } else { -1.0 };
            sum[2] += outward * (quarter[0] - quarter[1]) * (chord[0] + chord[1]) / 2.0;
        }
        sum
    }
}

/// The largest number of convex polygons (either winding) that lie on one another anywhere.
pub fn greatest_depth(polygons: &[Vec<XY>]) -> usize {
    let mut greatest = 0;
    for w in stations(polygons).windows(2) {
        let mut ends: Vec<(f64, i32)> = polygons
            .iter()
            .filter_map(|p| chord(p, w))
            .flat_map(|(rear, front)| {
                [((rear[0] + rear[1]) / 2.0, 1), ((front[0] + front[1]) / 2.0 - TOLERANCE_M, -1)]
            })
            .collect();
        ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut depth = 0;
        for (_, step) in ends {
            depth += step;
            greatest = greatest.max(depth);
        }
    }
    usize::try_from(greatest).unwrap_or(0)
}

/// Corners and edge crossings of all polygons along y, sorted, each once.
fn stations(polygons: &[Vec<XY>]) -> Vec<f64> {
    let boxes: Vec<[f64; 4]> = polygons
        .iter()
        .map(|p| {
            p.iter().fold([f64::MAX, f64::MAX, f64::MIN, f64::MIN], |b, q| {
                [b[0].min(q.x), b[1].min(q.y), b[2].max(q.x), b[3].max(q.y)]
            })
        })
        .collect();
    let mut stations: Vec<f64> = polygons.iter().flatten().map(|p| p.y).collect();
    for (i, a) in polygons.iter().enumerate() {
        for (j, b) in polygons[..i].iter().enumerate() {
            let (p, q) = (boxes[i], boxes[j]);
            if p[0] < q[2] && q[0] < p[2] && p[1] < q[3] && q[1] < p[3] {
                crossings(a, b, &mut stations);
            }
        }
    }
    once(&mut stations);
    stations
}

/// Stations in order, those closer than the tolerance as one.
fn once(stations: &mut Vec<f64>) {
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|a, b| *a - *b < TOLERANCE_M);
}

/// What convex polygons cover of a slab, rear and front edge at its two stations, rear first.
fn spans(polygons: &[Vec<XY>], stations: &[f64]) -> Vec<([f64; 2], [f64; 2])> {
    let mut each: Vec<_> = polygons.iter().filter_map(|p| chord(p, stations)).collect();
    each.sort_by(|a, b| (a.0[0] + a.0[1]).total_cmp(&(b.0[0] + b.0[1])));
    let mut merged: Vec<([f64; 2], [f64; 2])> = Vec::with_capacity(each.len());
    for (rear, front) in each {
        match merged.last_mut() {
            // No edges cross inside the slab, so comparing the middles is enough.
            Some((_, f)) if rear[0] + rear[1] <= f[0] + f[1] + 2.0 * TOLERANCE_M => {
                if front[0] + front[1] > f[0] + f[1] {
                    *f = front;
                }
            }
            _ => merged.push((rear, front)),
        }
    }
    merged
}

/// Where the edges of a polygon run through a slab: x at its middle, and at its two stations.
fn cuts(polygon: &[XY], stations: &[f64]) -> impl Iterator<Item = (f64, [f64; 2])> {
    let (low, high) = (stations[0], stations[1]);
    let mid = (low + high) / 2.0;
    (0..polygon.len()).filter_map(move |i| {
        let (p, q) = (polygon[i], polygon[(i + 1) % polygon.len()]);
        if (p.y - mid) * (q.y - mid) >= 0.0 {
            return None;
        }
        let slope = (q.x - p.x) / (q.y - p.y);
        let at = |y: f64| p.x + slope * (y - p.y);
        Some((at(mid), [at(low), at(high)]))
    })
}

/// Rear and front edge of a convex polygon at the two stations of a slab; `None` where the slab
/// misses it.
fn chord(polygon: &[XY], stations: &[f64]) -> Option<([f64; 2], [f64; 2])> {
    let mut best: [Option<(f64, [f64; 2])>; 2] = [None, None];
    for hit in cuts(polygon, stations) {
        if best[0].is_none_or(|b| hit.0 < b.0) {
            best[0] = Some(hit);
        }
        if best[1].is_none_or(|b| hit.0 > b.0) {
            best[1] = Some(hit);
        }
    }
    match best {
        [Some(rear), Some(front)] if front.0 - rear.0 > TOLERANCE_M => Some((rear.1, front.1)),
        _ => None,
    }
}

/// Stations at which an edge of one polygon crosses an edge of the other.
fn crossings(a: &[XY], b: &[XY], stations: &mut Vec<f64>) {
    for (i, &p) in a.iter().enumerate() {
        let q = a[(i + 1) % a.len()];
        let (dx, dy) = (q.x - p.x, q.y - p.y);
        for (j, &r) in b.iter().enumerate() {
            let s = b[(j + 1) % b.len()];
            let side = |k: XY| dx * (k.y - p.y) - dy * (k.x - p.x);
            let (c, d) = (side(r), side(s));
            if c * d >= 0.0 {
                continue;
            }
            let t = c / (c - d);
            let (x, y) = (r.x + t * (s.x - r.x), r.y + t * (s.y - r.y));
            let along = dx * (x - p.x) + dy * (y - p.y);
            if along > 0.0 && along < dx * dx + dy * dy {
                stations.push(y);
            }
        }
    }
}

/// The polygons, anticlockwise and largest first, without those that lie inside another one: most
/// layers of a folded plane do, and dropping them saves the quadratic search for crossings.
fn without_covered(polygons: Vec<Vec<XY>>) -> Vec<Vec<XY>> {
    let mut sorted: Vec<(f64, Vec<XY>)> = polygons
        .into_iter()
        .filter(|p| p.len() >= 3)
        .map(|mut p| {
            let double: f64 = (0..p.len())
                .map(|i| {
                    let (a, b) = (p[i], p[(i + 1) % p.len()]);
                    (a.x - p[0].x) * (b.y - p[0].y) - (b.x - p[0].x) * (a.y - p[0].y)
                })
                .sum();
            if double < 0.0 {
                p.reverse();
            }
            (double.abs() / 2.0, p)
        })
        .filter(|(area, _)| *area > TOLERANCE_M * TOLERANCE_M)
        .collect();
    sorted.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut kept: Vec<Vec<XY>> = Vec::with_capacity(sorted.len());
    for (_, p) in sorted {
        if !kept.iter().any(|k| covers(k, &p)) {
            kept.push(p);
        }
    }
    kept
}

fn covers(outer: &[XY], inner: &[XY]) -> bool {
    (0..outer.len()).all(|i| {
        let (p, q) = (outer[i], outer[(i + 1) % outer.len()]);
        let (dx, dy) = (q.x - p.x, q.y - p.y);
        let slack = -TOLERANCE_M * (dx.abs() + dy.abs());
        inner.iter().all(|k| dx * (k.y - p.y) - dy * (k.x - p.x) >= slack)
    })
}

#[cfg(test)]
mod tests;
