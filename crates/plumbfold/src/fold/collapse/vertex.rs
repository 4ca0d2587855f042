//! Creases round a point of the paper.
//!
//! ```text
//!        \ a1 |
//!      a6 \   |  a2      a1 + a3 + a5 = a2 + a4 + a6 = 180 deg
//!   -------*-------      (Kawasaki-Justin: Kawasaki 1989, Justin 1986)
//!      a5 / \   a3
//!        / a4\
//! ```

use crate::fold::state::Folded;
use crate::geom::{SheetPoint, Vec2};
use std::f64::consts::{PI, TAU};

/// Angles off by less than this are closed: 1e-9 m over a crease of 1 mm.
const CLOSED_RAD: f64 = 1e-6;

/// A point round which the paper does not close.
#[derive(Clone, Debug, PartialEq)]
pub struct OpenVertex {
    /// Where, sheet frame.
    pub at: SheetPoint,
    /// The hinges that would fold there.
    pub hinges: Vec<usize>,
    /// Sum of every other angle between them, radians; pi when closed.
    pub sum_rad: f64,
}

/// The inner point of the paper whose folded creases miss the Kawasaki-Justin condition by most,
/// or `None` when all keep it.
pub fn worst(model: &Folded, folded: &[bool]) -> Option<OpenVertex> {
    let mut seen: Vec<SheetPoint> = Vec::new();
    let mut worst: Option<(f64, OpenVertex)> = None;
    for end in model.hinges.iter().flat_map(|h| h.ends) {
        if seen.contains(&end) || on_rim(model, end) {
            continue;
        }
        seen.push(end);
        let here = |h: usize| folded[h] && model.hinges[h].ends.contains(&end);
        let hinges: Vec<usize> = (0..model.hinges.len()).filter(|&h| here(h)).collect();
        let ray = |&h: &usize| {
            let [a, b] = model.hinges[h].ends;
            if a == end { b - a } else { a - b }
        };
        let sum_rad = alternate_sum(&hinges.iter().map(ray).collect::<Vec<_>>());
        // An odd number of folded creases can never close, whatever the angles.
        let off = if hinges.len().is_multiple_of(2) { (sum_rad - PI).abs() } else { TAU };
        if !hinges.is_empty()
            && off > CLOSED_RAD
            && worst.as_ref().is_none_or(|(most, _)| off > *most)
        {
            worst = Some((off, OpenVertex { at: end, hinges, sum_rad }));
        }
    }
    worst.map(|(_, open)| open)
}

/// Does a place lie on the rim of the sheet?
fn on_rim(model: &Folded, p: SheetPoint) -> bool {
    let around: f64 = model.faces.iter().filter_map(|f| angle_at(&f.polygon, p)).sum();
    around < TAU - CLOSED_RAD
}

/// Angle of an anticlockwise outline at one of its corners.
fn angle_at(polygon: &[SheetPoint], p: SheetPoint) -> Option<f64> {
    let (i, n) = (polygon.iter().position(|&q| q == p)?, polygon.len());
    let (to, from) = (polygon[(i + 1) % n] - p, polygon[(i + n - 1) % n] - p);
    Some(to.cross(from).atan2(to.dot(from)))
}

/// Sum of the first, third, fifth … angle between rays, anticlockwise, radians.
fn alternate_sum(rays: &[Vec2]) -> f64 {
    let mut angles: Vec<f64> = rays.iter().map(|r| r.y.atan2(r.x)).collect();
    angles.sort_by(f64::total_cmp);
    angles.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum()
}

/// The direction of the one crease that is missing at an inner point, between the rays `from` and
/// `to` (anticlockwise of it), so that all of them close; unit length. `others` are the remaining
/// rays. `None` when no direction in between does it.
pub fn missing_ray(from: Vec2, to: Vec2, others: &[Vec2]) -> Option<Vec2> {
    let turn = |v: Vec2| from.cross(v).atan2(from.dot(v)).rem_euclid(TAU);
    let wedge = turn(to);
    let mut rest: Vec<f64> = others.iter().map(|&r| turn(r)).collect();
    rest.push(wedge);
    rest.sort_by(f64::total_cmp);
    // Angles in sequence: x, wedge - x, then the gaps beyond `to`, of which every other one goes
    // with x.
    let ring: Vec<f64> = rest.iter().copied().chain([TAU]).collect();
    let gaps: Vec<f64> = ring.windows(2).map(|w| w[1] - w[0]).collect();
    let x = PI - gaps.iter().step_by(2).sum::<f64>();
    let inside = gaps.len() % 2 == 0 && CLOSED_RAD < x && x < wedge - CLOSED_RAD;
    let (s, c) = x.sin_cos();
    let v = Vec2::new(from.x * c - from.y * s, from.x * s + from.y * c);
    if inside { v.unit() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_missing_crease_of_a_crossing() {
        let ray = |deg: f64| Vec2::new(deg.to_radians().cos(), deg.to_radians().sin());
        // Degree four with angles 60, 50, 120, 130: opposite angles add up to 180.
        let found = missing_ray(ray(0.0), ray(110.0), &[ray(230.0)]).unwrap();
        assert!((found - ray(60.0)).norm() < 1e-12);
        // The same, started from another ray.
        let found = missing_ray(ray(110.0), ray(360.0), &[ray(60.0)]).unwrap();
        assert!((found - ray(230.0)).norm() < 1e-12);
        // One wedge of a half turn leaves nothing to close with.
        assert_eq!(missing_ray(ray(0.0), ray(20.0), &[ray(300.0)]), None);
    }
}
