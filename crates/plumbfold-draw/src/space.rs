//! Panels of paper in space, seen from somewhere, hidden parts hidden.
//!
//! Painter's order comes from a binary space partition (H. Fuchs, Z. M. Kedem, B. F. Naylor, "On
//! visible surface generation by a priori tree structures", SIGGRAPH 1980): right for every
//! viewpoint, cutting a face only where it must.

use nalgebra::{Point3, Vector3};
use plumbfold::airframe::Airframe;

use crate::fit::{Bounds, Fit};
use crate::style::{Ink, Stroke, weight};
use crate::svg::{Canvas, Paint, Path, Pt};

/// A viewing direction, as three unit vectors in the datum frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// To the right on the picture.
    pub right: Vector3<f64>,
    /// Upwards on the picture.
    pub up: Vector3<f64>,
}

impl View {
    /// From above, nose at the top.
    pub fn above() -> Self {
        Self { right: Vector3::y(), up: Vector3::x() }
    }
    /// From behind: the right wing is on the right.
    pub fn behind() -> Self {
        Self { right: Vector3::y(), up: -Vector3::z() }
    }
    /// From the right-hand side: the nose is on the right, as in the pictures of a throw.
    pub fn side() -> Self {
        Self { right: Vector3::x(), up: -Vector3::z() }
    }
    /// From the right, turned by `azimuth` towards the nose and raised by `elevation`, rad.
    pub fn oblique(azimuth_rad: f64, elevation_rad: f64) -> Self {
        let (s, c) = azimuth_rad.sin_cos();
        let right = Vector3::new(c, -s, 0.0);
        let level_towards = Vector3::new(s, c, 0.0);
        let (se, ce) = elevation_rad.sin_cos();
        let towards = level_towards * ce - Vector3::z() * se;
        Self { right, up: towards.cross(&right) }
    }
    /// Towards the viewer.
    pub fn towards(&self) -> Vector3<f64> {
        self.right.cross(&self.up)
    }
    /// On the picture plane, m.
    pub fn project(&self, p: &Point3<f64>) -> Pt {
        [p.coords.dot(&self.right), p.coords.dot(&self.up)]
    }
}

/// A flat convex piece; `rim[k]` says whether the edge from corner k to the next is an edge of
/// paper, not a cut made for drawing.
#[derive(Clone, Debug)]
struct Piece {
    corners: Vec<Point3<f64>>,
    rim: Vec<bool>,
    normal: Vector3<f64>,
}

/// Places closer to a plane than this lie on it, m: far below the thickness of paper.
const PLANE_M: f64 = 1e-6;

enum Tree {
    Leaf,
    Node { pieces: Vec<Piece>, back: Box<Tree>, front: Box<Tree> },
}

/// The layers of a plane in space, ready to be drawn from anywhere.
pub struct Scene {
    tree: Tree,
    corners: Vec<Point3<f64>>,
}

impl Scene {
    /// Of a posed plane, datum frame.
    pub fn of(airframe: &Airframe) -> Self {
        let mut pieces: Vec<Piece> = Vec::new();
        for panel in &airframe.panels {
            for lamina in &panel.laminae {
                let corners: Vec<Point3<f64>> = lamina
                    .polygon
                    .iter()
                    .map(|&[u, v]| panel.placement * Point3::new(u, v, lamina.height_m))
                    .collect();
                if corners.len() < 3 || corners.iter().any(|p| !p.coords.norm().is_finite()) {
                    continue;
                }
                let normal = panel.placement.rotation * Vector3::z();
                pieces.push(Piece { rim: vec![true; corners.len()], corners, normal });
            }
        }
        let corners = pieces.iter().flat_map(|p| p.corners.iter().copied()).collect();
        Self { tree: build(pieces), corners }
    }

    /// Extent as seen from there, m.
    pub fn bounds(&self, view: &View) -> Bounds {
        Bounds::of(self.corners.iter().map(|p| view.project(p)))
    }

    /// Draws it.
    pub fn draw(&self, canvas: &mut Canvas<'_>, view: &View, fit: &Fit) {
        canvas.group("plane", |c| paint(c, &self.tree, view, fit));
    }
}

fn build(mut pieces: Vec<Piece>) -> Tree {
    if pieces.is_empty() {
        return Tree::Leaf;
    }
    // The middle one: stacked layers come in order, so the tree stays shallow.
    let root = pieces.swap_remove(pieces.len() / 2);
    let (at, normal) = (root.corners[0], root.normal);
    let (mut on, mut front, mut back) = (vec![root], Vec::new(), Vec::new());
    for piece in pieces {
        let heights: Vec<f64> = piece
            .corners
            .iter()
            .map(|p| normal.dot(&(p - at)))
            .map(|h| if h.abs() < PLANE_M { 0.0 } else { h })
            .collect();
        match (heights.iter().any(|&h| h > 0.0), heights.iter().any(|&h| h < 0.0)) {
            (false, false) => on.push(piece),
            (true, false) => front.push(piece),
            (false, true) => back.push(piece),
            (true, true) => {
                front.extend(cut(&piece, &heights, 1.0));
                back.extend(cut(&piece, &heights, -1.0));
            }
        }
    }
    Tree::Node { pieces: on, back: Box::new(build(back)), front: Box::new(build(front)) }
}

/// The part of a piece on one side of a plane, from its corners' heights over the plane.
fn cut(piece: &Piece, heights: &[f64], side: f64) -> Option<Piece> {
    let n = piece.corners.len();
    let mut out = Piece { corners: Vec::new(), rim: Vec::new(), normal: piece.normal };
    for i in 0..n {
        let j = (i + 1) % n;
        let (a, b) = (heights[i] * side, heights[j] * side);
        if a >= 0.0 {
            out.corners.push(piece.corners[i]);
            // From here the outline runs on along its edge, or leaves along the cut.
            out.rim
                .push(piece.rim[i] && (b > 0.0 || (a > 0.0 && b <= 0.0) || (a == 0.0 && b == 0.0)));
        }
        if a * b < 0.0 {
            let t = a / (a - b);
            out.corners.push(piece.corners[i] + (piece.corners[j] - piece.corners[i]) * t);
            // Leaving: the cut follows. Entering: the rest of the edge follows.
            out.rim.push(piece.rim[i] && b > 0.0);
        }
    }
    (out.corners.len() >= 3).then_some(out)
}

fn paint(c: &mut Canvas<'_>, tree: &Tree, view: &View, fit: &Fit) {
    let Tree::Node { pieces, back, front } = tree else { return };
    // Seen from so far away that only the direction counts.
    let facing = pieces[0].normal.dot(&view.towards()) > 0.0;
    let (first, last) = if facing { (back, front) } else { (front, back) };
    paint(c, first, view, fit);
    for piece in pieces {
        draw(c, piece, view, fit);
    }
    paint(c, last, view, fit);
}

fn draw(c: &mut Canvas<'_>, piece: &Piece, view: &View, fit: &Fit) {
    let at = |p: &Point3<f64>| fit.at(view.project(p));
    let edge_on = piece.normal.dot(&view.towards()).abs() < 1e-3;
    if !edge_on {
        let shape = Path::polygon(piece.corners.iter().map(at));
        // Light from over the viewer's left shoulder.
        let light = (view.towards() + view.up * 0.9 - view.right * 0.5).normalize();
        let seen = piece.normal * piece.normal.dot(&view.towards()).signum();
        let shade = 0.42 * (1.0 - seen.dot(&light).max(0.0));
        let upper = piece.normal.dot(&view.towards()) > 0.0;
        let ink = if upper { Ink::Plain } else { Ink::Printed };
        // A hairline of the same colour closes the seams between pieces.
        c.path(&shape, Paint::both(ink, Stroke::solid(ink, 0.08)));
        c.path(&shape, Paint::veil(Ink::Shade, shade));
    }
    let n = piece.corners.len();
    let rim = (0..n).filter(|&i| piece.rim[i]).fold(Path::new(), |path, i| {
        path.and(&Path::segment(at(&piece.corners[i]), at(&piece.corners[(i + 1) % n])))
    });
    // Edge-on there is nothing but the line, drawn on the ground instead of on paper.
    let (ink, width) = if edge_on { (Ink::Text, weight::LINE) } else { (Ink::Edge, weight::THIN) };
    c.path(&rim, Paint::stroke(Stroke::solid(ink, width)));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn views_are_right_handed_and_unit() {
        for view in [View::above(), View::behind(), View::side(), View::oblique(0.6, 0.4)] {
            let t = view.towards();
            assert!((t.norm() - 1.0).abs() < 1e-12, "{view:?}");
            assert!(view.right.dot(&view.up).abs() < 1e-12, "{view:?}");
        }
        // z points down in the datum frame, so what is seen from above faces -z.
        assert!((View::above().towards() + Vector3::z()).norm() < 1e-12);
        assert!((View::behind().towards() + Vector3::x()).norm() < 1e-12);
        assert!((View::side().towards() - Vector3::y()).norm() < 1e-12);
        assert!(View::oblique(0.6, 0.4).towards().z < 0.0);
    }

    fn square(z: f64) -> Piece {
        let corners = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        let corners = corners.map(|(x, y)| Point3::new(x, y, z)).to_vec();
        Piece { rim: vec![true; 4], corners, normal: Vector3::z() }
    }

    #[test]
    fn a_cut_edge_is_no_edge_of_paper() {
        let piece = square(0.0);
        let heights: Vec<f64> = piece.corners.iter().map(|p| p.x - 0.4).collect();
        for (side, rim) in [(1.0, 0.6 + 1.0 + 0.6), (-1.0, 0.4 + 1.0 + 0.4)] {
            let part = cut(&piece, &heights, side).unwrap();
            let n = part.corners.len();
            let length: f64 = (0..n)
                .filter(|&i| part.rim[i])
                .map(|i| (part.corners[(i + 1) % n] - part.corners[i]).norm())
                .sum();
            assert!((length - rim).abs() < 1e-12, "{side}: {length}");
        }
    }

    /// Order in which the pieces are painted, by their height.
    fn order(tree: &Tree, view: &View, out: &mut Vec<f64>) {
        let Tree::Node { pieces, back, front, .. } = tree else { return };
        let facing = pieces[0].normal.dot(&view.towards()) > 0.0;
        let (first, last) = if facing { (back, front) } else { (front, back) };
        order(first, view, out);
        out.extend(pieces.iter().map(|p| p.corners[0].z));
        order(last, view, out);
    }

    #[test]
    fn far_layers_are_painted_first_from_above_and_from_below() {
        let heights = [0.3e-3, 0.1e-3, 0.5e-3, 0.0, 0.4e-3];
        let tree = build(heights.iter().map(|&z| square(z)).collect());
        let (mut above, mut below) = (vec![], vec![]);
        // Datum z points down: from above the greatest z is farthest.
        order(&tree, &View::above(), &mut above);
        order(&tree, &View { right: -Vector3::y(), up: Vector3::x() }, &mut below);
        assert!(above.windows(2).all(|w| w[0] > w[1]), "{above:?}");
        assert!(below.windows(2).all(|w| w[0] < w[1]), "{below:?}");
    }
}
