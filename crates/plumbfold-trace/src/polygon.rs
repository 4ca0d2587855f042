//! Polygons in the plane: area, centroid, distances, cuts. Corners in order, either way round.

use nalgebra::{Point2, Vector2};

/// A place; its unit and frame are said where it stands.
pub type Pt = Point2<f64>;

/// Edges, the last to the first included.
pub fn edges(p: &[Pt]) -> impl Iterator<Item = (Pt, Pt)> + '_ {
    (0..p.len()).map(|i| (p[i], p[(i + 1) % p.len()]))
}

/// Cross product.
pub fn cross(a: Vector2<f64>, b: Vector2<f64>) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Area, positive where the corners go from x towards y.
pub fn signed_area(p: &[Pt]) -> f64 {
    edges(p).map(|(a, b)| cross(a.coords, b.coords)).sum::<f64>() / 2.0
}

/// Area, centroid and second moments about the centroid: integrals of x^2, y^2 and x y (closed forms over edges, by Green's theorem).
pub fn moments(p: &[Pt]) -> (f64, Pt, [f64; 3]) {
    // About the first corner, which keeps the digits of a polygon far from the origin.
    let Some(&o) = p.first() else { return (0.0, Pt::origin(), [0.0; 3]) };
    let (mut a, mut s, mut m) = (0.0, Vector2::zeros(), [0.0; 3]);
    for (p, q) in edges(p) {
        let (p, q) = (p - o, q - o);
        let c = cross(p, q);
        a += c / 2.0;
        s += (p + q) * c / 6.0;
        m[0] += c * (p.x * p.x + p.x * q.x + q.x * q.x) / 12.0;
        m[1] += c * (p.y * p.y + p.y * q.y + q.y * q.y) / 12.0;
        m[2] += c * (2.0 * p.x * p.y + p.x * q.y + q.x * p.y + 2.0 * q.x * q.y) / 24.0;
    }
    let g = s / a;
    let about = [m[0] - a * g.x * g.x, m[1] - a * g.y * g.y, m[2] - a * g.x * g.y];
    let sign = a.signum();
    (a.abs(), o + g, about.map(|v| v * sign))
}

/// The point of a segment nearest to a place.
pub fn nearest_on(a: Pt, b: Pt, p: Pt) -> Pt {
    let d = b - a;
    let t = if d.norm_squared() > 0.0 { (p - a).dot(&d) / d.norm_squared() } else { 0.0 };
    a + d * t.clamp(0.0, 1.0)
}

/// Distance to the border.
pub fn distance(p: &[Pt], at: Pt) -> f64 {
    edges(p).map(|(a, b)| (nearest_on(a, b, at) - at).norm()).fold(f64::INFINITY, f64::min)
}

/// Whether a place lies inside.
pub fn contains(p: &[Pt], at: Pt) -> bool {
    let crossed = |&(a, b): &(Pt, Pt)| {
        (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) * (b.x - a.x) / (b.y - a.y)
    };
    edges(p).filter(crossed).count() % 2 == 1
}

/// The part with y less than a value. Where that part falls in pieces they stay joined along the
/// cut, which changes no area.
pub fn below(p: &[Pt], y: f64) -> Vec<Pt> {
    let mut out = Vec::with_capacity(p.len() + 2);
    for (a, b) in edges(p) {
        if a.y <= y {
            out.push(a);
        }
        if (a.y <= y) != (b.y <= y) {
            out.push(a + (b - a) * ((y - a.y) / (b.y - a.y)));
        }
    }
    out
}

/// The first two edges that cross, by their places in the list.
pub fn crossing(p: &[Pt]) -> Option<(usize, usize)> {
    let n = p.len();
    let all: Vec<(Pt, Pt)> = edges(p).collect();
    for i in 0..n {
        for j in i + 2..n {
            let ((a, b), (c, d)) = (all[i], all[j]);
            let sides = |a: Pt, b: Pt, c: Pt, d: Pt| cross(b - a, c - a) * cross(b - a, d - a);
            if sides(a, b, c, d) < 0.0 && sides(c, d, a, b) < 0.0 {
                return Some((i, j));
            }
        }
    }
    None
}

/// Convex hull, anticlockwise in x, y (Andrew's monotone chain, 1979).
pub fn hull(mut points: Vec<Pt>) -> Vec<Pt> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    points.dedup();
    if points.len() < 3 {
        return points;
    }
    let half = |points: &mut dyn Iterator<Item = Pt>| {
        let mut out: Vec<Pt> = Vec::new();
        for p in points {
            while let [.., a, b] = out[..] {
                if cross(b - a, p - a) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut lower = half(&mut points.iter().copied());
    lower.extend(half(&mut points.iter().rev().copied()));
    lower
}

/// Fewer corners within a distance of all left out (Ramer 1972; Douglas and Peucker 1973), for a
/// closed line.
pub fn simplified(p: &[Pt], tolerance: f64) -> Vec<Pt> {
    if p.len() < 4 {
        return p.to_vec();
    }
    let (_, g, _) = moments(p);
    let far = |from: Pt| {
        let far = |i: &usize, j: &usize| {
            (p[*i] - from).norm_squared().total_cmp(&(p[*j] - from).norm_squared())
        };
        (0..p.len()).max_by(far).unwrap_or(0)
    };
    let a = far(g);
    let b = far(p[a]);
    let mut keep = vec![false; p.len()];
    (keep[a], keep[b]) = (true, true);
    let n = p.len();
    let mut stack = vec![(a, (b + n - a) % n), (b, (a + n - b) % n)];
    while let Some((start, count)) = stack.pop() {
        if count < 2 {
            continue;
        }
        let (from, to) = (p[start], p[(start + count) % n]);
        let off = |k: usize| {
            let q = p[(start + k) % n];
            (nearest_on(from, to, q) - q).norm()
        };
        let Some(k) = (1..count).max_by(|&i, &j| off(i).total_cmp(&off(j))) else { continue };
        if off(k) > tolerance {
            keep[(start + k) % n] = true;
            stack.push((start, k));
            stack.push(((start + k) % n, count - k));
        }
    }
    (0..n).filter(|&i| keep[i]).map(|i| p[i]).collect()
}

/// Smallest and largest coordinates of some places, at least one.
pub fn bounds(points: &[Pt]) -> (Pt, Pt) {
    points.iter().fold((points[0], points[0]), |(l, h), p| (l.inf(p), h.sup(p)))
}

#[cfg(test)]
mod tests;
