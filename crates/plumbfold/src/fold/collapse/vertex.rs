//! Creases round a point of the paper.
//!
//! ```text
//!        \ a1 |
//!      a6 \   |  a2      a1 + a3 + a5 = a2 + a4 + a6 = 180 deg
//!   -------*-------      (Kawasaki-Justin: Kawasaki 1989, Justin 1986)
//!      a5 / \   a3
//!        / a4\
//! ```

use crate::fold::state::{Assignment, Folded};
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine, Vec2};
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
    let mut worst: Option<(f64, OpenVertex)> = None;
    for (end, hinges) in inner_points(model, folded) {
        let ray = |&h: &usize| {
            let [a, b] = model.hinges[h].ends;
            if a == end { b - a } else { a - b }
        };
        let sum_rad = alternate_sum(&hinges.iter().map(ray).collect::<Vec<_>>());
        // An odd number of folded creases can never close, whatever the angles.
        let off = if hinges.len().is_multiple_of(2) { (sum_rad - PI).abs() } else { TAU };
        if off > CLOSED_RAD && worst.as_ref().is_none_or(|(most, _)| off > *most) {
            worst = Some((off, OpenVertex { at: end, hinges, sum_rad }));
        }
    }
    worst.map(|(_, open)| open)
}

/// Inner points of the paper and the folded hinges that meet there.
fn inner_points(model: &Folded, folded: &[bool]) -> Vec<(SheetPoint, Vec<usize>)> {
    let mut points: Vec<(SheetPoint, Vec<usize>)> = Vec::new();
    for (i, h) in model.hinges.iter().enumerate().filter(|(i, _)| folded[*i]) {
        for end in h.ends {
            match points.iter_mut().find(|p| p.0 == end) {
                Some(point) => point.1.push(i),
                None => points.push((end, vec![i])),
            }
        }
    }
    points.retain(|p| !on_rim(model, p.0));
    points
}

/// A point where mountains and valleys are all given and their numbers do not differ by two.
#[derive(Clone, Debug, PartialEq)]
pub struct Miscounted {
    /// Where, sheet frame.
    pub at: SheetPoint,
    /// The hinges that fold there.
    pub hinges: Vec<usize>,
    /// How many of them are to be mountains; the rest, valleys.
    pub mountains: usize,
}

/// The first inner point that breaks the count of Maekawa and Justin, which holds at every flat
/// vertex (Justin 1986): mountains and valleys differ by two.
pub fn miscounted(
    model: &Folded,
    folded: &[bool],
    marks: &[(usize, Assignment)],
) -> Option<Miscounted> {
    inner_points(model, folded).into_iter().find_map(|(at, hinges)| {
        let mark = |h: &usize| marks.iter().find(|m| m.0 == *h).map(|m| m.1);
        let marked: Vec<Assignment> = hinges.iter().map(mark).collect::<Option<_>>()?;
        let mountains = marked.iter().filter(|&&m| m == Assignment::Mountain).count();
        let differ = mountains.abs_diff(hinges.len() - mountains);
        (differ != 2).then_some(Miscounted { at, hinges, mountains })
    })
}

/// Directions on the sheet in which one more crease from an open vertex would close it; unit
/// length.
pub fn closing(model: &Folded, open: &OpenVertex) -> Vec<Vec2> {
    let ray = |&h: &usize| {
        let [a, b] = model.hinges[h].ends;
        if a == open.at { b - a } else { a - b }
    };
    let mut rays: Vec<Vec2> = open.hinges.iter().map(ray).collect();
    rays.sort_by(|a, b| a.y.atan2(a.x).total_cmp(&b.y.atan2(b.x)));
    let n = rays.len();
    let missing = (0..n).filter_map(|i| {
        let others: Vec<Vec2> = (2..n).map(|k| rays[(i + k) % n]).collect();
        missing_ray(rays[i], rays[(i + 1) % n], &others)
    });
    missing.collect()
}

/// One crease of an open vertex turned so that it closes.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error(
    "{} turned about that point by {:.2} deg {} closes it, as the open sheet shows",
    match crease {
        Some(name) => format!("`{name}`"),
        None => "the crease made last".to_owned(),
    },
    by_rad.abs().to_degrees(),
    if *by_rad > 0.0 { "anticlockwise" } else { "clockwise" }
)]
pub struct Tilt {
    /// Its name, if it has one.
    pub crease: Option<String>,
    /// Anticlockwise on the sheet, rad.
    pub by_rad: f64,
}

/// How the crease made last of those at an open vertex must be turned so that it closes; `None` for
/// an odd number of creases, which no turning closes, and where it would pass its neighbour.
pub fn tilt(model: &Folded, open: &OpenVertex) -> Option<Tilt> {
    let angle = |h: usize| {
        let [a, b] = model.hinges[h].ends;
        let v = if a == open.at { b - a } else { a - b };
        v.y.atan2(v.x)
    };
    let mut rays: Vec<(f64, usize)> = open.hinges.iter().map(|&h| (angle(h), h)).collect();
    rays.sort_by(|a, b| a.0.total_cmp(&b.0));
    let n = rays.len();
    let last = (0..n).max_by_key(|&i| model.hinges[rays[i].1].crease)?;
    // The sum is of the angles from each ray of even number to the next.
    let wanting = PI - open.sum_rad;
    let by_rad = if last % 2 == 1 { wanting } else { -wanting };
    let neighbour = rays[(if by_rad > 0.0 { last + 1 } else { last + n - 1 }) % n].0;
    let room = ((neighbour - rays[last].0) * by_rad.signum()).rem_euclid(TAU);
    let crease = &model.creases[model.hinges[rays[last].1].crease];
    let crease = crease.name.as_deref().map(str::to_owned);
    (n.is_multiple_of(2) && by_rad.abs() < room).then_some(Tilt { crease, by_rad })
}

/// A ray from a place of the sheet as it lies on the table now, where it begins.
pub fn on_table(model: &Folded, at: SheetPoint, dir: Vec2) -> Option<TableLine> {
    let nearby = at + dir * (10.0 * TOLERANCE_M);
    let placement = model.faces[model.faces_at(nearby).next()?].placement;
    TableLine::from_dir(placement.apply(at), placement.turn(dir))
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
    let inside = gaps.len().is_multiple_of(2) && CLOSED_RAD < x && x < wedge - CLOSED_RAD;
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

    #[test]
    fn a_crease_turned_as_told_closes_its_point() {
        let text = |deg: f64| {
            format!(
                "sheet square 100 mm\ncreep off\n\
                 crease at 0 deg to bottom edge through (50 mm, 50 mm), call it level\n\
                 crease at 90 deg to bottom edge through (50 mm, 50 mm), call it upright\n\
                 crease at {deg} deg to bottom edge through (50 mm, 50 mm), call it slant\n\
                 collapse level from (50 mm, 50 mm) to (100 mm, 50 mm) mountain, \
                 level from (50 mm, 50 mm) to (0 mm, 50 mm) mountain, \
                 upright from (50 mm, 50 mm) to (50 mm, 100 mm) mountain, \
                 slant from (50 mm, 50 mm) to (80 mm, 0 mm) valley, holding top left corner\n"
            )
        };
        let fold = |deg| crate::fold::tests::try_fold(&text(deg), &[]);
        let said = fold(280.0).expect_err("it does not close").diagnostic().help;
        let said = said.unwrap_or_default();
        assert!(said.contains("`slant` turned about that point by 10.00 deg clockwise"), "{said}");
        assert!(fold(270.0).is_ok());
    }
}
