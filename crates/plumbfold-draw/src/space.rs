//! Panels of paper in space, seen from somewhere, hidden parts hidden.
//!
//! Painter's order comes from a binary space partition (H. Fuchs, Z. M. Kedem, B. F. Naylor, "On
//! visible surface generation by a priori tree structures", SIGGRAPH 1980): right for every
//! viewpoint, cutting a face only where it must.

use nalgebra::{Point3, Vector3};
use plumbfold::plane::airframe::{Airframe, Lamina, Panel};

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

/// A flat convex piece of the paper that shows on one side of a panel; `rim[k]` says whether the
/// edge from corner k to the next is an edge of paper, not a cut made for drawing.
#[derive(Clone, Debug)]
struct Piece {
    corners: Vec<Point3<f64>>,
    rim: Vec<bool>,
    /// Unit, out of the paper on the side that shows.
    outward: Vector3<f64>,
    /// The upper (outer) side of its panel.
    upper: bool,
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
        let pieces: Vec<Piece> = airframe
            .panels
            .iter()
            .flat_map(|panel| [skin(panel, true), skin(panel, false)].concat())
            .collect();
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

/// What shows of a panel's layers from its upper or its lower side: each layer less those over it.
fn skin(panel: &Panel, upper: bool) -> Vec<Piece> {
    let mut layers: Vec<&Lamina> = panel
        .laminae
        .iter()
        .filter(|l| l.polygon.iter().flatten().all(|x| x.is_finite()))
        .collect();
    layers.sort_by(|a, b| a.height_m.total_cmp(&b.height_m));
    if upper {
        layers.reverse();
    }
    let sign = if upper { 1.0 } else { -1.0 };
    let outward = panel.placement.rotation * Vector3::z() * sign;
    let mut out = Vec::new();
    for (k, layer) in layers.iter().enumerate() {
        let whole = Shown { corners: layer.polygon.clone(), rim: vec![true; layer.polygon.len()] };
        let mut parts = vec![whole];
        for over in &layers[..k] {
            // Layers at one height lie side by side.
            if (over.height_m - layer.height_m).abs() > PLANE_M {
                parts = parts.iter().flat_map(|p| p.without(&over.polygon)).collect();
            }
        }
        for part in parts.into_iter().filter(|p| p.corners.len() > 2) {
            let corners = part
                .corners
                .iter()
                .map(|&[u, v]| panel.placement * Point3::new(u, v, layer.height_m))
                .collect();
            out.push(Piece { corners, rim: part.rim, outward, upper });
        }
    }
    out
}

/// Part of a layer in the coordinates of its panel.
#[derive(Clone, Debug)]
struct Shown {
    corners: Vec<[f64; 2]>,
    rim: Vec<bool>,
}

impl Shown {
    /// What a convex outline (anticlockwise) over it leaves free, in convex parts.
    fn without(&self, over: &[[f64; 2]]) -> Vec<Self> {
        let (mut out, mut rest) = (Vec::new(), self.clone());
        for i in 0..over.len() {
            let (a, b) = (over[i], over[(i + 1) % over.len()]);
            let d = [b[0] - a[0], b[1] - a[1]];
            let length = d[0].hypot(d[1]);
            if length < PLANE_M {
                continue;
            }
            let side = |p: &[f64; 2]| {
                let s = (d[0] * (p[1] - a[1]) - d[1] * (p[0] - a[0])) / length;
                if s.abs() < PLANE_M { 0.0 } else { s }
            };
            let sides: Vec<f64> = rest.corners.iter().map(side).collect();
            if sides.iter().all(|&s| s <= 0.0) {
                // Wholly beyond this edge: nothing of it is covered.
                return vec![self.clone()];
            }
            out.extend(rest.part(&sides, -1.0));
            match rest.part(&sides, 1.0) {
                Some(inside) => rest = inside,
                None => return vec![self.clone()],
            }
        }
        out
    }

    /// The part on one side of a line, from the corners' distances from it.
    fn part(&self, sides: &[f64], sign: f64) -> Option<Self> {
        let lerp = |a: &[f64; 2], b: &[f64; 2], t: f64| {
            [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]
        };
        let (corners, rim) = cut(&self.corners, &self.rim, sides, sign, lerp)?;
        Some(Self { corners, rim })
    }
}

fn build(mut pieces: Vec<Piece>) -> Tree {
    if pieces.is_empty() {
        return Tree::Leaf;
    }
    // The middle one: stacked layers come in order, so the tree stays shallow.
    let root = pieces.swap_remove(pieces.len() / 2);
    let (at, normal) = (root.corners[0], root.outward);
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
                for (side, list) in [(1.0, &mut front), (-1.0, &mut back)] {
                    let lerp = |a: &Point3<f64>, b: &Point3<f64>, t: f64| a + (b - a) * t;
                    if let Some((corners, rim)) =
                        cut(&piece.corners, &piece.rim, &heights, side, lerp)
                    {
                        list.push(Piece { corners, rim, ..piece });
                    }
                }
            }
        }
    }
    Tree::Node { pieces: on, back: Box::new(build(back)), front: Box::new(build(front)) }
}

/// The part of a convex outline on one side of a line or plane, from its corners' distances from
/// it; `None` where nothing with an area is left.
fn cut<P: Clone>(
    corners: &[P],
    rim: &[bool],
    distances: &[f64],
    side: f64,
    lerp: impl Fn(&P, &P, f64) -> P,
) -> Option<(Vec<P>, Vec<bool>)> {
    let n = corners.len();
    let (mut kept, mut edges) = (Vec::new(), Vec::new());
    for i in 0..n {
        let j = (i + 1) % n;
        let (a, b) = (distances[i] * side, distances[j] * side);
        if a >= 0.0 {
            kept.push(corners[i].clone());
            // From here the outline runs on along its edge, or leaves along the cut.
            edges.push(rim[i] && (a > 0.0 || b >= 0.0));
        }
        if a * b < 0.0 {
            kept.push(lerp(&corners[i], &corners[j], a / (a - b)));
            // Leaving: the cut follows. Entering: the rest of the edge follows.
            edges.push(rim[i] && b > 0.0);
        }
    }
    let inside = distances.iter().any(|&d| d * side > 0.0);
    (inside && kept.len() >= 3).then_some((kept, edges))
}

fn paint(c: &mut Canvas<'_>, tree: &Tree, view: &View, fit: &Fit) {
    let Tree::Node { pieces, back, front } = tree else { return };
    // Seen from so far away that only the direction counts.
    let facing = pieces[0].outward.dot(&view.towards()) > 0.0;
    let (first, last) = if facing { (back, front) } else { (front, back) };
    paint(c, first, view, fit);
    for piece in pieces {
        draw(c, piece, view, fit);
    }
    paint(c, last, view, fit);
}

fn draw(c: &mut Canvas<'_>, piece: &Piece, view: &View, fit: &Fit) {
    let at = |p: &Point3<f64>| fit.at(view.project(p));
    let facing = piece.outward.dot(&view.towards());
    let edge_on = facing.abs() < 1e-3;
    if facing < 0.0 && !edge_on {
        return;
    }
    if !edge_on {
        let shape = Path::polygon(piece.corners.iter().map(at));
        // Light from over the viewer's left shoulder.
        let light = (view.towards() + view.up * 0.9 - view.right * 0.5).normalize();
        let shade = 0.42 * (1.0 - piece.outward.dot(&light).max(0.0));
        let ink = if piece.upper { Ink::Plain } else { Ink::Printed };
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
    use nalgebra::Isometry3;
    use plumbfold::plane::airframe::PanelKind;

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

    fn square(side: f64) -> Vec<[f64; 2]> {
        vec![[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]]
    }

    #[test]
    fn a_cut_edge_is_no_edge_of_paper() {
        let piece = Shown { corners: square(1.0), rim: vec![true; 4] };
        let sides: Vec<f64> = piece.corners.iter().map(|p| p[0] - 0.4).collect();
        for (side, rim) in [(1.0, 0.6 + 1.0 + 0.6), (-1.0, 0.4 + 1.0 + 0.4)] {
            let part = piece.part(&sides, side).unwrap();
            assert!((edge_length(&part) - rim).abs() < 1e-12, "{side}: {part:?}");
        }
    }

    fn edge_length(p: &Shown) -> f64 {
        let n = p.corners.len();
        (0..n)
            .filter(|&i| p.rim[i])
            .map(|i| {
                let (a, b) = (p.corners[i], p.corners[(i + 1) % n]);
                (b[0] - a[0]).hypot(b[1] - a[1])
            })
            .sum()
    }

    fn panel(layers: &[(f64, f64)]) -> Panel {
        let laminae = layers
            .iter()
            .map(|&(side, height_m)| Lamina {
                polygon: square(side),
                height_m,
                areal_mass_kg_m2: 0.08,
                thickness_m: 1e-4,
            })
            .collect();
        Panel {
            name: "body".into(),
            kind: PanelKind::Wing,
            placement: Isometry3::identity(),
            laminae,
        }
    }

    fn shown_area(pieces: &[Piece]) -> f64 {
        let area = |p: &Piece| {
            let o = p.corners[0];
            let fans = p.corners.windows(2).map(|w| (w[0] - o).cross(&(w[1] - o)).norm() / 2.0);
            fans.sum::<f64>()
        };
        pieces.iter().map(area).sum()
    }

    #[test]
    fn a_skin_covers_its_panel_once() {
        let p = panel(&[(0.2, 0.0), (0.1, 1e-4), (0.15, 2e-4), (0.1, 3e-4)]);
        for upper in [true, false] {
            let skin = skin(&p, upper);
            assert!((shown_area(&skin) - 0.04).abs() < 1e-12, "{upper}: {skin:?}");
        }
        assert_eq!(skin(&p, false).len(), 1, "from below only the large layer shows");
    }

    /// Order in which the pieces are painted, by their height.
    fn order(tree: &Tree, view: &View, out: &mut Vec<f64>) {
        let Tree::Node { pieces, back, front } = tree else { return };
        let facing = pieces[0].outward.dot(&view.towards()) > 0.0;
        let (first, last) = if facing { (back, front) } else { (front, back) };
        order(first, view, out);
        out.extend(pieces.iter().map(|p| p.corners[0].z));
        order(last, view, out);
    }

    #[test]
    fn far_layers_are_painted_first_from_above_and_from_below() {
        let pieces = [0.3e-3, 0.1e-3, 0.5e-3, 0.0, 0.4e-3]
            .iter()
            .flat_map(|&z| skin(&panel(&[(1.0, z)]), true))
            .collect();
        let tree = build(pieces);
        let (mut above, mut below) = (vec![], vec![]);
        // Datum z points down: from above the greatest z is farthest.
        order(&tree, &View::above(), &mut above);
        order(&tree, &View { right: -Vector3::y(), up: Vector3::x() }, &mut below);
        assert!(above.windows(2).all(|w| w[0] > w[1]), "{above:?}");
        assert!(below.windows(2).all(|w| w[0] < w[1]), "{below:?}");
    }
}
