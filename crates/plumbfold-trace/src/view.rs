//! Where a dot of the photo lies on the sheet, and back: the lens, then a homography.

use nalgebra::{DMatrix, Matrix3, Vector2, Vector3};

use crate::polygon::Pt;

/// Radial distortion of a lens (D. C. Brown, "Close-range camera calibration", Photogrammetric
/// Engineering 37, 1971): a point that a perfect lens draws at distance r from the middle of the
/// photo, in half diagonals, is drawn at r (1 + k1 r^2 + k2 r^4). Negative k1 bows lines outwards
/// (barrel).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lens {
    /// First coefficient.
    pub k1: f64,
    /// Second.
    pub k2: f64,
}

/// A lens on a photo of a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Optics {
    lens: Lens,
    centre: Pt,
    unit: f64,
}

impl Optics {
    /// The middle of the photo is that of the lens.
    pub fn new(lens: Lens, [w, h]: [f64; 2]) -> Self {
        Self { lens, centre: Pt::new(w / 2.0, h / 2.0), unit: w.hypot(h) / 2.0 }
    }

    fn factor(&self, r2: f64) -> f64 {
        1.0 + r2 * (self.lens.k1 + r2 * self.lens.k2)
    }

    /// Where a perfect lens would have drawn a dot.
    pub fn straight(&self, dot: Pt) -> Pt {
        let d = (dot - self.centre) / self.unit;
        let mut u = d;
        // A fixed point; coefficients below a half contract it within the photo.
        for _ in 0..30 {
            let next = d / self.factor(u.norm_squared());
            let done = (next - u).norm() < 1e-12;
            u = next;
            if done {
                break;
            }
        }
        self.centre + u * self.unit
    }

    /// Where this lens draws it.
    pub fn drawn(&self, straight: Pt) -> Pt {
        let u = (straight - self.centre) / self.unit;
        self.centre + u * (self.factor(u.norm_squared()) * self.unit)
    }
}

/// How the sheet lies in the photo.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    optics: Optics,
    to_mm: Matrix3<f64>,
    to_dots: Matrix3<f64>,
}

/// Focal length of a phone's camera against the longer side of its photo (common practice, no source).
const USUAL: f64 = 0.8;

impl View {
    /// From dots (as drawn by the lens) and their places on the sheet, mm. Four or more.
    pub fn new(optics: Optics, pairs: &[(Pt, Pt)]) -> Option<Self> {
        let straight: Vec<(Pt, Pt)> =
            pairs.iter().map(|&(dot, mm)| (optics.straight(dot), mm)).collect();
        let to_mm = homography(&straight)?;
        Some(Self { optics, to_mm, to_dots: to_mm.try_inverse()? })
    }

    /// From two dots and their distance: a camera that looks straight down. The first dot is the
    /// origin; x and y stay those of the photo.
    pub fn from_ruler(optics: Optics, a: Pt, b: Pt, length_mm: f64) -> Option<Self> {
        let (a, b) = (optics.straight(a), optics.straight(b));
        let scale = length_mm / (b - a).norm();
        let to_mm = Matrix3::new(scale, 0.0, -a.x * scale, 0.0, scale, -a.y * scale, 0.0, 0.0, 1.0);
        scale.is_finite().then_some(())?;
        Some(Self { optics, to_mm, to_dots: to_mm.try_inverse()? })
    }

    /// Place on the sheet of a dot, mm.
    pub fn mm(&self, dot: Pt) -> Pt {
        apply(&self.to_mm, self.optics.straight(dot))
    }

    /// Dot of a place on the sheet.
    pub fn dot(&self, mm: Pt) -> Pt {
        self.optics.drawn(apply(&self.to_dots, mm))
    }

    /// Dots for each mm at a place: the root of what the area is magnified.
    pub fn dots_per_mm(&self, mm: Pt) -> f64 {
        let step = 0.5;
        let d =
            |v: Vector2<f64>| (self.dot(mm + v * step) - self.dot(mm - v * step)) / (2.0 * step);
        crate::polygon::cross(d(Vector2::x()), d(Vector2::y())).abs().sqrt()
    }

    /// First two columns of the map from sheet to photo, the middle of the photo as origin.
    fn columns(&self) -> [Vector3<f64>; 2] {
        let c = self.optics.centre;
        let shift = Matrix3::new(1.0, 0.0, -c.x, 0.0, 1.0, -c.y, 0.0, 0.0, 1.0);
        let m = shift * self.to_dots;
        [m.column(0).into_owned(), m.column(1).into_owned()]
    }

    /// What the sheet measures along x over what it measures along y, as against what was said: 1
    /// where the photo agrees. Both axes of a plane are drawn by one camera of square dots, so their
    /// images obey two equations (Z. Zhang, "A flexible new technique for camera calibration", IEEE
    /// Transactions on Pattern Analysis and Machine Intelligence 22, 2000, equations 3 and 4). One
    /// gives the focal length where there is enough perspective; else it is taken as that of a
    /// phone, 0.8 of the longer side (common practice, no source).
    pub fn aspect(&self) -> f64 {
        let [a, b] = self.columns();
        let longest = self.longest();
        let usual = USUAL * longest;
        let found = -(a.x * b.x + a.y * b.y) / (a.z * b.z);
        let usable = found.is_finite() && (0.5..=2.5).contains(&(found.max(0.0).sqrt() / longest));
        let f2 = if usable { found } else { usual * usual };
        self.aspect_by(f2)
    }

    /// The same for a focal length, squared, dots.
    fn aspect_by(&self, f2: f64) -> f64 {
        let length = |v: Vector3<f64>| ((v.x * v.x + v.y * v.y) / f2 + v.z * v.z).sqrt();
        let [a, b] = self.columns();
        // A sheet longer along x than said is drawn longer: its column is longer.
        length(a) / length(b)
    }

    /// The longer side of the photo, dots.
    fn longest(&self) -> f64 {
        2.0 * self.optics.centre.x.max(self.optics.centre.y)
    }

    /// How far off the camera stood, mm, if it sees as a phone's does: see [`View::aspect`].
    pub fn distance_mm(&self, dots_per_mm: f64) -> f64 {
        USUAL * self.longest() / dots_per_mm
    }

    /// How far the sides of a sheet of this size, mm, are from those said, as a logarithm. Tilted about
    /// one axis alone a sheet does not tell the focal length: then whatever camera took the photo,
    /// 0.6 to 2 of the longer side of the photo being what lenses of phones and cameras have (common
    /// practice, no source).
    pub fn shape_off(&self, [w, h]: [f64; 2]) -> f64 {
        // Less change of scale across the sheet is known too badly, with corners to a third of a dot.
        const TELLS: f64 = 0.03;
        let [a, b] = self.columns();
        let middle = a.z * w / 2.0 + b.z * h / 2.0 + self.to_dots[(2, 2)];
        let change = [a.z * w / middle, b.z * h / middle].map(f64::abs);
        if change.iter().all(|c| *c > TELLS) {
            return self.aspect().ln().abs();
        }
        let longest = self.longest();
        let lenses = (0..=14).map(|i| longest * (0.6 + 0.1 * f64::from(i)));
        let all: Vec<f64> = lenses.map(|f| self.aspect_by(f * f).ln()).collect();
        let (low, high) = all.iter().fold((f64::MAX, f64::MIN), |(l, h), &v| (l.min(v), h.max(v)));
        low.max(-high).max(0.0)
    }
}

/// A projective map at a point.
pub fn apply(m: &Matrix3<f64>, p: Pt) -> Pt {
    let v = m * Vector3::new(p.x, p.y, 1.0);
    Pt::new(v.x / v.z, v.y / v.z)
}

/// The homography that takes first points to second ones, in the least-squares sense of the
/// normalised direct linear transform (R. Hartley and A. Zisserman, Multiple View Geometry in
/// Computer Vision, 2nd ed., 2004, algorithm 4.2). None where the points fix none.
pub fn homography(pairs: &[(Pt, Pt)]) -> Option<Matrix3<f64>> {
    if pairs.len() < 4 {
        return None;
    }
    let (from, to): (Vec<Pt>, Vec<Pt>) = pairs.iter().copied().unzip();
    let (t, u) = (normaliser(&from)?, normaliser(&to)?);
    // Nine rows at least, so that the decomposition gives the vector of the null space too.
    let mut m = DMatrix::zeros((2 * pairs.len()).max(9), 9);
    for (i, &(p, q)) in pairs.iter().enumerate() {
        let (p, q) = (apply(&t, p), apply(&u, q));
        let row = [p.x, p.y, 1.0];
        for k in 0..3 {
            m[(2 * i, k)] = -row[k];
            m[(2 * i, k + 6)] = q.x * row[k];
            m[(2 * i + 1, k + 3)] = -row[k];
            m[(2 * i + 1, k + 6)] = q.y * row[k];
        }
    }
    let svd = m.svd(false, true);
    let mut order: Vec<usize> = (0..9).collect();
    order.sort_by(|&a, &b| svd.singular_values[a].total_cmp(&svd.singular_values[b]));
    // Two small values: the points lie on a line or fall together.
    if svd.singular_values[order[1]] < 1e-6 * svd.singular_values[order[8]] {
        return None;
    }
    let v = svd.v_t?.row(order[0]).transpose();
    let h = Matrix3::from_row_slice(v.as_slice());
    let h = u.try_inverse()? * h * t;
    let h = h / h.m33;
    h.iter().all(|v| v.is_finite()).then_some(h)
}

/// Moves points to their middle, at a mean distance of root two.
fn normaliser(points: &[Pt]) -> Option<Matrix3<f64>> {
    let n = points.len() as f64;
    let middle = points.iter().map(|p| p.coords).sum::<Vector2<f64>>() / n;
    let mean = points.iter().map(|p| (p.coords - middle).norm()).sum::<f64>() / n;
    let s = 2f64.sqrt() / mean;
    let m = Matrix3::new(s, 0.0, -s * middle.x, 0.0, s, -s * middle.y, 0.0, 0.0, 1.0);
    (mean > 1e-9 && s.is_finite()).then_some(m)
}

#[cfg(test)]
mod tests;
