//! The line of symmetry of an outline: the mirror that brings its border back onto itself best.

use nalgebra::{Matrix2, Vector2};

use crate::polygon::{Pt, distance, edges, moments, nearest_on};

/// Points of the border compared.
const POINTS: usize = 240;
/// Differences beyond this count no more than it does, mm: one bent wing tip does not turn the axis.
const FAR_MM: f64 = 2.0;

/// A mirror line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis {
    /// A place on it.
    pub at: Pt,
    /// Along it, unit.
    pub along: Vector2<f64>,
    /// Root mean square distance of the mirrored border from the border.
    pub rms: f64,
    /// Standard deviation of its place across itself, at `at`.
    pub sd: f64,
}

impl Axis {
    /// Through two places, from the first to the second.
    pub fn through(a: Pt, b: Pt) -> Self {
        Self { at: a, along: (b - a).normalize(), rms: 0.0, sd: 0.0 }
    }

    fn of_angle(at: Pt, angle: f64) -> Self {
        let along = Vector2::new(angle.cos(), angle.sin());
        Self { at, along, rms: f64::INFINITY, sd: 0.0 }
    }

    fn normal(&self) -> Vector2<f64> {
        Vector2::new(-self.along.y, self.along.x)
    }

    /// The mirror image of a place.
    pub fn mirrored(&self, p: Pt) -> Pt {
        p - self.normal() * (2.0 * self.normal().dot(&(p - self.at)))
    }
}

/// The axes of an outline, best first; others follow only where they fit nearly as well.
pub fn axes(outline: &[Pt]) -> Vec<Axis> {
    let (_, centre, _) = moments(outline);
    let points = spread(outline);
    let score = |axis: &Axis| {
        let far = |p: &Pt| distance(outline, axis.mirrored(*p)).min(4.0 * FAR_MM);
        points.iter().step_by(3).map(far).sum::<f64>()
    };
    const STEPS: usize = 90;
    let turned = |i: usize| std::f64::consts::PI * i as f64 / STEPS as f64;
    let scores: Vec<f64> = (0..STEPS).map(|i| score(&Axis::of_angle(centre, turned(i)))).collect();
    let mut starts: Vec<usize> = (0..STEPS)
        .filter(|&i| {
            scores[i] <= scores[(i + 1) % STEPS] && scores[i] <= scores[(i + STEPS - 1) % STEPS]
        })
        .collect();
    starts.sort_by(|&a, &b| scores[a].total_cmp(&scores[b]));
    let mut found: Vec<Axis> = Vec::new();
    for &i in starts.iter().take(5) {
        let axis = refined(outline, &points, Axis::of_angle(centre, turned(i)));
        if found.iter().all(|f| f.along.dot(&axis.along).abs() < 0.94) {
            found.push(axis);
        }
    }
    found.sort_by(|a, b| a.rms.total_cmp(&b.rms));
    let best = found.first().map_or(0.0, |a| a.rms);
    found.retain(|a| a.rms <= best || a.rms < (1.5 * best).max(0.7));
    found
}

/// How well a mirror given by hand fits.
pub fn judged(outline: &[Pt], axis: Axis) -> Axis {
    let points = spread(outline);
    let sum: f64 = points.iter().map(|&p| distance(outline, axis.mirrored(p)).powi(2)).sum();
    let rms = (sum / points.len() as f64).sqrt();
    Axis { rms, sd: rms / (points.len() as f64).sqrt(), ..axis }
}

/// Points at equal distances along the border.
fn spread(outline: &[Pt]) -> Vec<Pt> {
    let length: f64 = edges(outline).map(|(a, b)| (b - a).norm()).sum();
    let step = length / POINTS as f64;
    let mut out = Vec::with_capacity(POINTS);
    let mut next = step / 2.0;
    let mut done = 0.0;
    for (a, b) in edges(outline) {
        let l = (b - a).norm();
        while next < done + l {
            out.push(a + (b - a) * ((next - done) / l));
            next += step;
        }
        done += l;
    }
    out
}

/// Turns and shifts a mirror until the border falls on itself, by Gauss-Newton on the distances
/// across the nearest edges (iterated closest points with lines: Y. Chen and G. Medioni, "Object
/// modelling by registration of multiple range images", Image and Vision Computing 10, 1992).
fn refined(outline: &[Pt], points: &[Pt], start: Axis) -> Axis {
    let mut axis = start;
    for _ in 0..12 {
        let (mut m, mut b) = (Matrix2::zeros(), Vector2::zeros());
        let n = axis.normal();
        for &p in points {
            let image = axis.mirrored(p);
            let nearest =
                edges(outline).map(|(a, b)| (nearest_on(a, b, image), b - a)).min_by(|x, y| {
                    (x.0 - image).norm_squared().total_cmp(&(y.0 - image).norm_squared())
                });
            let Some((q, edge)) = nearest else { continue };
            if edge.norm() < 1e-9 {
                continue;
            }
            let across = Vector2::new(-edge.y, edge.x).normalize();
            let off = across.dot(&(image - q));
            let d = p - axis.at;
            // Change of the image with the turn and with the shift of the mirror.
            let turn = across.dot(&(2.0 * axis.along * n.dot(&d) + 2.0 * n * axis.along.dot(&d)));
            let shift = 2.0 * across.dot(&n);
            let weight = 1.0 / (1.0 + (off / FAR_MM).powi(2)).powi(2);
            let row = Vector2::new(turn, shift);
            m += weight * row * row.transpose();
            b -= weight * row * off;
        }
        let Some(step) = m.try_inverse().map(|i| i * b) else { break };
        let angle = axis.along.y.atan2(axis.along.x) + step[0].clamp(-0.2, 0.2);
        axis = Axis::of_angle(axis.at + n * step[1].clamp(-20.0, 20.0), angle);
        if step[0].abs() < 1e-9 && step[1].abs() < 1e-9 {
            break;
        }
    }
    judged(outline, axis)
}
