//! Where the outline of one plane differs from that of another, both laid flat: a design against
//! what somebody folded from it.

use nalgebra::{Point3, Rotation3, Vector3};

use crate::numeric::slabs::{Slabs, XY, border};
use crate::plane::airframe::{Airframe, PanelKind};
use crate::plane::planform::PlanformError;

/// Distance between places compared, m: finer than a hand folds.
const STEP_M: f64 = 1e-3;
/// Places told lie at least so far apart, m.
const APART_M: f64 = 0.03;
/// Most places told.
const PLACES_MAX: usize = 6;

/// A place of the other outline off the design's.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Right of the middle, m.
    pub right_m: f64,
    /// Behind the nose of the design, m.
    pub behind_nose_m: f64,
    /// How far it lies outside the design's outline, m; negative inside.
    pub outside_m: f64,
}

/// How two outlines differ.
#[derive(Clone, Debug, PartialEq)]
pub struct Deviation {
    /// The design laid flat, nose datum, x forward.
    pub design: Slabs,
    /// The other plane, moved so that the outlines lie best on one another.
    pub other: Slabs,
    /// How far forward it was moved, m: a place behind its own nose lies so much less behind the
    /// design's.
    pub forward_m: f64,
    /// How far its wing then reaches ahead of the design's, m.
    pub reaches_ahead_m: f64,
    /// Mean distance of its outline from the design's, m.
    pub mean_m: f64,
    /// Root mean square distance, m.
    pub rms_m: f64,
    /// The farthest places, the farthest first.
    pub places: Vec<Place>,
}

/// Compares two planes. Wings are laid flat at their roots and brought together in the middle, as
/// they lie for a photo, so neither dihedral nor the opening of the keel counts.
///
/// # Errors
/// A plane without wing.
pub fn deviation(design: &Airframe, other: &Airframe) -> Result<Deviation, PlanformError> {
    let (design, other) = (flat(design)?, flat(other)?);
    let rim = border(&design.pieces);
    let points = spread(&border(&other.pieces));
    // Forward until the mean signed slip along the flow is nothing: Gauss-Newton on distances, of
    // which only the part along x can be moved.
    let mut forward = 0.0;
    for _ in 0..20 {
        let (mut top, mut bottom) = (0.0, 0.0);
        for p in &points {
            let q = XY { x: p.x + forward, y: p.y };
            let (near, normal) = nearest(&rim, q);
            let off = (q.x - near.x) * normal.x + (q.y - near.y) * normal.y;
            // Far off places are faults of the fold and do not pull.
            let weight = 1.0 / (1.0 + (off / 3e-3).powi(2));
            top += weight * normal.x * off;
            bottom += weight * normal.x * normal.x;
        }
        if bottom <= 0.0 {
            break;
        }
        forward -= top / bottom;
        if (top / bottom).abs() < 1e-9 {
            break;
        }
    }
    let moved = Slabs {
        pieces: other
            .pieces
            .iter()
            .map(|t| {
                let mut t = *t;
                t.rear.iter_mut().chain(&mut t.front).for_each(|x| *x += forward);
                t
            })
            .collect(),
    };
    let mut all: Vec<Place> = points
        .iter()
        .map(|p| {
            let q = XY { x: p.x + forward, y: p.y };
            let (near, _) = nearest(&rim, q);
            let inside = design.pieces.iter().any(|t| t.contains(q));
            let off = (q.x - near.x).hypot(q.y - near.y);
            Place { right_m: q.y, behind_nose_m: -q.x, outside_m: if inside { -off } else { off } }
        })
        .collect();
    let n = all.len().max(1) as f64;
    let mean_m = all.iter().map(|p| p.outside_m.abs()).sum::<f64>() / n;
    let rms_m = (all.iter().map(|p| p.outside_m.powi(2)).sum::<f64>() / n).sqrt();
    all.sort_by(|a, b| b.outside_m.abs().total_cmp(&a.outside_m.abs()));
    let mut places: Vec<Place> = Vec::new();
    for p in all {
        let apart =
            |o: &Place| (o.right_m - p.right_m).hypot(o.behind_nose_m - p.behind_nose_m) > APART_M;
        if places.len() < PLACES_MAX && places.iter().all(apart) {
            places.push(p);
        }
    }
    let front = |s: &Slabs| s.pieces.iter().flat_map(|t| t.front).fold(f64::MIN, f64::max);
    Ok(Deviation {
        reaches_ahead_m: front(&moved) - front(&design),
        design,
        other: moved,
        forward_m: forward,
        mean_m,
        rms_m,
        places,
    })
}

/// Wings laid flat, their roots in the middle.
fn flat(airframe: &Airframe) -> Result<Slabs, PlanformError> {
    let mut polygons = Vec::new();
    for panel in airframe.panels.iter().filter(|p| p.kind == PanelKind::Wing) {
        let corner = |&[u, v]: &[f64; 2]| panel.placement * Point3::new(u, v, 0.0);
        let all: Vec<Point3<f64>> =
            panel.laminae.iter().flat_map(|l| l.polygon.iter().map(corner)).collect();
        let Some(root) = all.iter().copied().min_by(|a, b| a.y.abs().total_cmp(&b.y.abs())) else {
            continue;
        };
        let up = -Vector3::z();
        let normal = panel.placement * Vector3::z();
        let normal = if normal.dot(&up) < 0.0 { -normal } else { normal };
        let turn = Rotation3::rotation_between(&normal, &up).unwrap_or_default();
        // A panel across the middle stays where it is.
        let across = all.iter().any(|p| p.y > TOGETHER_M) && all.iter().any(|p| p.y < -TOGETHER_M);
        let gap = if across || root.y.abs() > TOGETHER_M { 0.0 } else { root.y };
        for lamina in &panel.laminae {
            let laid = |p: &[f64; 2]| {
                let q = root + turn * (corner(p) - root);
                XY { x: q.x, y: q.y - gap }
            };
            polygons.push(lamina.polygon.iter().map(laid).collect());
        }
    }
    let slabs = Slabs::of_union(polygons);
    if slabs.area() > 1e-9 { Ok(slabs) } else { Err(PlanformError::NoWing) }
}

/// Roots closer to the middle than this belong together, m: the mouth of an opened keel.
const TOGETHER_M: f64 = 0.01;

fn spread(rim: &[[XY; 2]]) -> Vec<XY> {
    let mut out = Vec::new();
    for [a, b] in rim {
        let length = (b.x - a.x).hypot(b.y - a.y);
        let n = (length / STEP_M).ceil().max(1.0) as usize;
        out.extend((0..n).map(|i| {
            let t = (i as f64 + 0.5) / n as f64;
            XY { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t }
        }));
    }
    out
}

/// The nearest place of a rim and the unit normal of its stretch.
fn nearest(rim: &[[XY; 2]], p: XY) -> (XY, XY) {
    let mut best = (f64::MAX, p, XY { x: 1.0, y: 0.0 });
    for [a, b] in rim {
        let (dx, dy) = (b.x - a.x, b.y - a.y);
        let l2 = dx * dx + dy * dy;
        if l2 <= 0.0 {
            continue;
        }
        let t = (((p.x - a.x) * dx + (p.y - a.y) * dy) / l2).clamp(0.0, 1.0);
        let q = XY { x: a.x + t * dx, y: a.y + t * dy };
        let d = (p.x - q.x).powi(2) + (p.y - q.y).powi(2);
        if d < best.0 {
            let l = l2.sqrt();
            best = (d, q, XY { x: -dy / l, y: dx / l });
        }
    }
    (best.1, best.2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::outline::{Outline, airframe};
    use approx::assert_relative_eq;

    fn plane(half: &[[f64; 2]], dihedral_deg: f64) -> Airframe {
        let outline = Outline {
            name: "P".into(),
            corners_m: half.iter().map(|[r, b]| [r * 1e-3, b * 1e-3]).collect(),
            mirrored: true,
            mass_kg: 5e-3,
            behind_nose_m: 0.08,
            above_keel_m: None,
            dihedral_rad: f64::to_radians(dihedral_deg),
            keel_m: 0.0,
        };
        airframe(&outline, vec![]).unwrap()
    }

    const DELTA: [[f64; 2]; 4] = [[0.0, 0.0], [80.0, 180.0], [80.0, 200.0], [0.0, 200.0]];

    #[test]
    fn a_plane_does_not_differ_from_itself_whatever_its_dihedral() {
        let d = deviation(&plane(&DELTA, 0.0), &plane(&DELTA, 12.0)).unwrap();
        assert!(d.mean_m < 1e-9 && d.places[0].outside_m.abs() < 1e-9, "{:?}", d.places);
        assert_relative_eq!(d.forward_m, 0.0, epsilon = 1e-9);
    }

    #[test]
    fn a_wider_wing_lies_outside_by_what_it_is_wider() {
        let wide = DELTA.map(|[r, b]| if r > 0.0 { [r + 2.0, b] } else { [r, b] });
        let d = deviation(&plane(&DELTA, 0.0), &plane(&wide, 0.0)).unwrap();
        // The tip: 2 mm to the side; the leading edge turns by little.
        assert_relative_eq!(d.places[0].outside_m, 2e-3, epsilon = 1e-4);
        assert!(d.places[0].right_m.abs() > 0.08);
        let narrow = DELTA.map(|[r, b]| if r > 0.0 { [r - 2.0, b] } else { [r, b] });
        let d = deviation(&plane(&DELTA, 0.0), &plane(&narrow, 0.0)).unwrap();
        assert!(d.places[0].outside_m < -1.5e-3);
    }

    /// A nose cut back by 6 mm shifts every distance behind it; the outlines are laid on one
    /// another first.
    #[test]
    fn a_blunted_nose_is_found_at_the_nose_only() {
        let blunt = [[0.0, 6.0], [2.67, 6.0], [80.0, 180.0], [80.0, 200.0], [0.0, 200.0]]
            .map(|[r, b]: [f64; 2]| [r, b - 6.0]);
        let d = deviation(&plane(&DELTA, 0.0), &plane(&blunt, 0.0)).unwrap();
        assert_relative_eq!(d.forward_m, -6e-3, epsilon = 3e-4);
        assert_relative_eq!(d.reaches_ahead_m, -6e-3, epsilon = 3e-4);
        assert!(d.mean_m < 0.3e-3, "{}", d.mean_m);
        assert!(d.places[0].behind_nose_m < 8e-3, "{:?}", d.places[0]);
    }
}
