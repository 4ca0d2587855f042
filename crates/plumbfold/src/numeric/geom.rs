//! Plane geometry shared by folding, balance and drawing.
//!
//! Frames (metres):
//! ```text
//!   sheet frame                      table frame
//!   y ^                              y ^   as the folder sees the model now;
//!     |  printed side up               |   turning the model over mirrors x
//!     +------> x                       +------> x
//!   origin: lower left corner of the unfolded sheet (both frames agree before the first step)
//! ```
//! A point carries its frame in its type, and only a [`Placement`] takes one to the other.

use std::marker::PhantomData;
use std::ops::{Add, Mul, Neg, Sub};

/// Two places closer than this are one place, and areas or overlaps thinner than this are
/// nothing. 1e-9 m = one millionth of a millimetre: seven orders above rounding on a sheet of
/// 0.3 m, four below anything a hand can fold. The only length tolerance of the folding engine.
pub const TOLERANCE_M: f64 = 1e-9;

/// Marker: sheet frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {}
/// Marker: table frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {}

/// A displacement in the plane, metres (or a direction, unit length).
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Vec2 {
    /// Right.
    pub x: f64,
    /// Up.
    pub y: f64,
}

impl Vec2 {
    /// A displacement.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// Scalar product.
    pub fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y
    }
    /// z of the vector product: positive when `o` is anticlockwise of `self`.
    pub fn cross(self, o: Self) -> f64 {
        self.x * o.y - self.y * o.x
    }
    /// Length.
    pub fn norm(self) -> f64 {
        // Metres of paper are far from where a square overflows, so the slower hypot buys nothing.
        self.dot(self).sqrt()
    }
    /// Turned 90 degrees anticlockwise.
    pub fn perp(self) -> Self {
        Self::new(-self.y, self.x)
    }
    /// Unit vector, or `None` where the length is within tolerance of zero.
    pub fn unit(self) -> Option<Self> {
        let n = self.norm();
        (n > TOLERANCE_M).then(|| self * (1.0 / n))
    }
}

impl Add for Vec2 {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y)
    }
}
impl Sub for Vec2 {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y)
    }
}
impl Mul<f64> for Vec2 {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k)
    }
}
impl Neg for Vec2 {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.x, -self.y)
    }
}

/// A place in frame `F`, metres.
#[derive(Debug, PartialEq)]
pub struct Point<F> {
    /// Right.
    pub x: f64,
    /// Up.
    pub y: f64,
    frame: PhantomData<F>,
}
impl<F> Clone for Point<F> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<F> Copy for Point<F> {}

/// A place on the paper.
pub type SheetPoint = Point<Sheet>;
/// A place on the table.
pub type TablePoint = Point<Table>;

impl<F> Point<F> {
    /// A place.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y, frame: PhantomData }
    }
    /// Displacement from the origin.
    pub const fn to_vec(self) -> Vec2 {
        Vec2::new(self.x, self.y)
    }
    /// Distance.
    pub fn distance(self, o: Self) -> f64 {
        (self - o).norm()
    }
    /// The place a fraction `t` of the way to `o`.
    pub fn lerp(self, o: Self, t: f64) -> Self {
        self + (o - self) * t
    }
    /// Within [`TOLERANCE_M`].
    pub fn near(self, o: Self) -> bool {
        self.distance(o) <= TOLERANCE_M
    }
}
impl<F> Sub for Point<F> {
    type Output = Vec2;
    fn sub(self, o: Self) -> Vec2 {
        Vec2::new(self.x - o.x, self.y - o.y)
    }
}
impl<F> Add<Vec2> for Point<F> {
    type Output = Self;
    fn add(self, v: Vec2) -> Self {
        Self::new(self.x + v.x, self.y + v.y)
    }
}

/// An endless line: a place on it and a unit direction.
#[derive(Debug, PartialEq)]
pub struct Line<F> {
    /// A place on the line.
    pub at: Point<F>,
    /// Unit direction.
    pub dir: Vec2,
}
impl<F> Clone for Line<F> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<F> Copy for Line<F> {}
/// A line on the table.
pub type TableLine = Line<Table>;
/// A line on the paper.
pub type SheetLine = Line<Sheet>;

impl<F> Line<F> {
    /// Through two places; `None` when they coincide.
    pub fn through(a: Point<F>, b: Point<F>) -> Option<Self> {
        Some(Self { at: a, dir: (b - a).unit()? })
    }
    /// From a place and any non-zero direction.
    pub fn from_dir(at: Point<F>, dir: Vec2) -> Option<Self> {
        let n = dir.norm();
        (n > 0.0).then(|| Self { at, dir: dir * (1.0 / n) })
    }
    /// Signed distance, positive on the left of the direction.
    pub fn side(&self, p: Point<F>) -> f64 {
        self.dir.cross(p - self.at)
    }
    /// Position along the line of the foot of the perpendicular from `p`.
    pub fn along(&self, p: Point<F>) -> f64 {
        self.dir.dot(p - self.at)
    }
    /// The place at position `s` along the line.
    pub fn place(&self, s: f64) -> Point<F> {
        self.at + self.dir * s
    }
    /// Mirror image of a place.
    pub fn reflect(&self, p: Point<F>) -> Point<F> {
        p + self.dir.perp() * (-2.0 * self.side(p))
    }
    /// Crossing with another line; `None` when parallel to rounding.
    pub fn crossing(&self, o: &Self) -> Option<Point<F>> {
        let d = self.dir.cross(o.dir);
        (d.abs() > 1e-12).then(|| self.place(o.dir.cross(self.at - o.at) / -o.dir.cross(self.dir)))
    }
    /// The same line run the other way.
    pub fn reversed(&self) -> Self {
        Self { at: self.at, dir: -self.dir }
    }
}

/// Rigid motion of a face from the sheet frame to the table frame: a turn or a mirror image,
/// then a shift. `det() < 0` means the face lies printed side down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Row-major 2x2 orthogonal matrix.
    m: [f64; 4],
    t: Vec2,
}

impl Placement {
    /// The sheet as it lies before the first step.
    pub const IDENTITY: Self = Self { m: [1.0, 0.0, 0.0, 1.0], t: Vec2::new(0.0, 0.0) };

    /// Where a place on the paper lies on the table.
    pub fn apply(&self, p: SheetPoint) -> TablePoint {
        let v = self.turn(p.to_vec()) + self.t;
        TablePoint::new(v.x, v.y)
    }
    /// A direction on the paper as it lies on the table.
    pub fn turn(&self, v: Vec2) -> Vec2 {
        Vec2::new(self.m[0] * v.x + self.m[1] * v.y, self.m[2] * v.x + self.m[3] * v.y)
    }
    /// Which place on the paper lies at a place on the table.
    pub fn unapply(&self, p: TablePoint) -> SheetPoint {
        let v = p.to_vec() - self.t;
        SheetPoint::new(self.m[0] * v.x + self.m[2] * v.y, self.m[1] * v.x + self.m[3] * v.y)
    }
    /// A direction on the table as it lies on the paper.
    pub fn unturn(&self, v: Vec2) -> Vec2 {
        Vec2::new(self.m[0] * v.x + self.m[2] * v.y, self.m[1] * v.x + self.m[3] * v.y)
    }
    /// +1 printed side up, -1 printed side down.
    pub fn det(&self) -> f64 {
        self.m[0] * self.m[3] - self.m[1] * self.m[2]
    }
    /// This placement followed by a reflection in a table line.
    pub fn reflected(&self, l: &TableLine) -> Self {
        let (c, s) = (l.dir.x * l.dir.x - l.dir.y * l.dir.y, 2.0 * l.dir.x * l.dir.y);
        let r = Self { m: [c, s, s, -c], t: Vec2::default() };
        let a = l.at.to_vec();
        let shift = a - r.turn(a);
        self.then(&Self { t: shift, ..r })
    }
    /// This placement followed by a turn about the table origin, anticlockwise, radians.
    pub fn rotated(&self, angle_rad: f64) -> Self {
        let (s, c) = angle_rad.sin_cos();
        self.then(&Self { m: [c, -s, s, c], t: Vec2::default() })
    }
    /// This placement followed by a shift on the table.
    pub fn shifted(&self, by: Vec2) -> Self {
        Self { m: self.m, t: self.t + by }
    }
    /// This placement followed by a table-to-table motion written in the same form.
    fn then(&self, o: &Self) -> Self {
        let (a, b) = (o.m, self.m);
        Self {
            m: [
                a[0] * b[0] + a[1] * b[2],
                a[0] * b[1] + a[1] * b[3],
                a[2] * b[0] + a[3] * b[2],
                a[2] * b[1] + a[3] * b[3],
            ],
            t: o.turn(self.t) + o.t,
        }
    }
    /// Same motion, to a tolerance fit for paper of a metre or two.
    pub fn near(&self, o: &Self) -> bool {
        self.m.iter().zip(o.m).all(|(a, b)| (a - b).abs() < 1e-7)
            && (self.t - o.t).norm() < 10.0 * TOLERANCE_M
    }
}

/// Signed area of a polygon (anticlockwise positive), m2.
pub fn area<F>(polygon: &[Point<F>]) -> f64 {
    let Some(&o) = polygon.first() else { return 0.0 };
    polygon.windows(2).map(|w| (w[0] - o).cross(w[1] - o)).sum::<f64>() / 2.0
}

/// Centroid of a polygon; the mean of its corners where it has no area.
pub fn centroid<F>(polygon: &[Point<F>]) -> Point<F> {
    let Some(&o) = polygon.first() else { return Point::new(0.0, 0.0) };
    let (mut a, mut c) = (0.0, Vec2::default());
    for w in polygon.windows(2) {
        let (p, q) = (w[0] - o, w[1] - o);
        let k = p.cross(q);
        a += k;
        c = c + (p + q) * (k / 3.0);
    }
    if a.abs() < TOLERANCE_M * TOLERANCE_M {
        let s = polygon.iter().fold(Vec2::default(), |s, &p| s + (p - o));
        return o + s * (1.0 / polygon.len() as f64);
    }
    o + c * (1.0 / a)
}

/// Part of a convex polygon on the left of a line (`side >= 0`); empty or thinner than the
/// tolerance gives an empty list. Sutherland & Hodgman 1974 for one clipping line.
pub fn clip_left<F>(polygon: &[Point<F>], line: &Line<F>) -> Vec<Point<F>> {
    let mut out = Vec::with_capacity(polygon.len() + 1);
    clip_left_into(polygon, line, &mut out);
    out
}

/// Likewise, added to the end of a list.
pub fn clip_left_into<F>(polygon: &[Point<F>], line: &Line<F>, out: &mut Vec<Point<F>>) {
    let side = |&p: &Point<F>| {
        let s = line.side(p);
        if s.abs() > TOLERANCE_M { s } else { 0.0 }
    };
    let Some(first) = polygon.first().map(|p| (*p, side(p))) else { return };
    let (start, mut inside) = (out.len(), false);
    let (mut p, mut s) = first;
    for next in polygon[1..].iter().map(|p| (*p, side(p))).chain([first]) {
        let (q, t) = next;
        inside |= s > 0.0;
        if s >= 0.0 {
            out.push(p);
        }
        if s * t < 0.0 {
            out.push(p.lerp(q, s / (s - t)));
        }
        (p, s) = next;
    }
    if !inside {
        out.truncate(start);
    }
}

/// Common part of two convex anticlockwise polygons; empty when they only touch.
pub fn intersect_convex<F>(a: &[Point<F>], b: &[Point<F>]) -> Vec<Point<F>> {
    let mut out = a.to_vec();
    for edge in edges(b).filter_map(|(p, q)| Line::through(p, q)) {
        out = clip_left(&out, &edge);
        if out.is_empty() {
            break;
        }
    }
    out
}

/// Do two convex anticlockwise polygons share area? Touching, or overlapping by a strip no wider
/// than the tolerance, does not count. Separating axes: some edge of one has the other wholly
/// outside, or they overlap.
pub fn overlap_convex<F>(a: &[Point<F>], b: &[Point<F>]) -> bool {
    // The hottest test of folding, so without a square root or a division more than it needs.
    let parted = |a: &[Point<F>], b: &[Point<F>]| {
        edges(a).any(|(at, next)| {
            let edge = next - at;
            let length = edge.dot(edge).sqrt();
            length > TOLERANCE_M && b.iter().all(|&p| edge.cross(p - at) <= TOLERANCE_M * length)
        })
    };
    !parted(a, b) && !parted(b, a)
}

/// Corners of the convex outline round points, anticlockwise (A. M. Andrew's monotone chain, 1979).
/// A corner that stands out by no more than `slack`, m, is passed over.
pub fn hull<F>(mut points: Vec<Point<F>>, slack: f64) -> Vec<Point<F>> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x));
    // Points that stand above each other within the slack are sorted by height alone.
    let mut x = f64::NEG_INFINITY;
    for p in &mut points {
        x = if p.x - x < slack { x } else { p.x };
        p.x = x;
    }
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = Point<F>>| {
        let mut chain: Vec<Point<F>> = Vec::new();
        for p in points {
            let flat = |chain: &[Point<F>]| match chain {
                [.., a, b] => (*b - *a).cross(p - *a) <= slack * (p - *a).norm(),
                [b] => b.distance(p) < slack,
                [] => false,
            };
            while flat(&chain) {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut corners = half(&mut points.iter().copied());
    corners.extend(half(&mut points.iter().rev().copied()));
    corners
}

/// Edges of an outline as pairs of corners, the one that closes it first.
pub fn edges<F>(outline: &[Point<F>]) -> impl Iterator<Item = (Point<F>, Point<F>)> + '_ {
    let mut from = outline.last().copied();
    outline.iter().filter_map(move |&to| Some((from.replace(to)?, to)))
}

/// Whether a place lies inside a convex anticlockwise outline and farther than `margin`, m, from all
/// lines of its edges; with a negative margin it may lie outside by so much.
pub fn is_inside<F>(outline: &[Point<F>], p: Point<F>, margin: f64) -> bool {
    outline.len() > 2 && edges(outline).all(|(a, b)| (b - a).cross(p - a) > margin * (b - a).norm())
}

/// Part of the straight piece from `a` to `b` that runs inside a convex anticlockwise polygon, as
/// distances from `a`; `None` where it only touches the outline, or runs along it.
pub fn clip_segment<F>(a: Point<F>, b: Point<F>, polygon: &[Point<F>]) -> Option<(f64, f64)> {
    let length = a.distance(b);
    let (mut from, mut to) = (0.0, length);
    for edge in edges(polygon).filter_map(|(p, q)| Line::through(p, q)) {
        let (p, q) = (edge.side(a) - TOLERANCE_M, edge.side(b) - TOLERANCE_M);
        if p <= 0.0 && q <= 0.0 {
            return None;
        } else if p < 0.0 {
            from = f64::max(from, length * p / (p - q));
        } else if q < 0.0 {
            to = f64::min(to, length * p / (p - q));
        }
    }
    (to - from > 2.0 * TOLERANCE_M).then_some((from, to))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Vec<TablePoint> {
        [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(|(x, y)| Point::new(x, y)).to_vec()
    }

    #[test]
    fn area_and_centroid_of_a_square() {
        assert_eq!(area(&square()), 4.0);
        assert_eq!(centroid(&square()), Point::new(1.0, 1.0));
    }

    #[test]
    fn crossing_of_two_lines() {
        let l = TableLine::through(Point::new(0.0, 1.0), Point::new(2.0, 1.0)).unwrap();
        let m = TableLine::through(Point::new(1.5, 0.0), Point::new(1.5, 3.0)).unwrap();
        assert!(l.crossing(&m).unwrap().near(Point::new(1.5, 1.0)));
        assert!(m.crossing(&l).unwrap().near(Point::new(1.5, 1.0)));
    }

    #[test]
    fn reflection_is_its_own_inverse_and_flips_the_side() {
        let l = TableLine::through(Point::new(0.3, 0.1), Point::new(1.0, 0.8)).unwrap();
        let p = Placement::IDENTITY.rotated(0.4).shifted(Vec2::new(0.1, 0.2));
        let q = p.reflected(&l);
        assert!((q.det() + 1.0).abs() < 1e-12);
        assert!(q.reflected(&l).near(&p));
        let s = SheetPoint::new(0.7, 0.2);
        assert!(q.apply(s).near(l.reflect(p.apply(s))));
        assert!(q.unapply(q.apply(s)).near(s));
    }

    #[test]
    fn half_a_square() {
        let l = TableLine::through(Point::new(1.0, 0.0), Point::new(1.0, 5.0)).unwrap();
        assert_eq!(area(&clip_left(&square(), &l)), 2.0);
        let tri = [(1.0, -1.0), (4.0, 2.0), (1.0, 2.0)].map(|(x, y)| Point::new(x, y));
        let common = intersect_convex(&square(), &tri);
        assert!((area(&common) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn touching_is_not_overlapping() {
        let shifted =
            |by| -> Vec<TablePoint> { square().iter().map(|&p| p + Vec2::new(by, 0.5)).collect() };
        assert!(overlap_convex(&square(), &shifted(1.9)));
        assert!(!overlap_convex(&square(), &shifted(2.0)));
        assert!(!overlap_convex(&square(), &shifted(2.0 - TOLERANCE_M / 2.0)));
    }

    #[test]
    fn a_segment_along_the_outline_is_not_inside() {
        let p = |x, y| TablePoint::new(x, y);
        assert_eq!(clip_segment(p(-1.0, 0.0), p(3.0, 0.0), &square()), None);
        let (from, to) = clip_segment(p(-1.0, 1.0), p(3.0, 1.0), &square()).unwrap();
        assert!((from - 1.0).abs() < 1e-8 && (to - 3.0).abs() < 1e-8);
    }
}
