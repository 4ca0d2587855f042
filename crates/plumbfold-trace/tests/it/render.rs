//! Photos of known truth: a pinhole camera with a bending lens looks at a sheet with a plane on
//! it. Written apart from the code it tests: its own camera, its own distances.

use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder, RgbImage};
use nalgebra::{Matrix3, Point2, Rotation3, Vector2, Vector3};
use rand::{Rng, RngExt};
use rand_pcg::Pcg64;

pub type Pt = Point2<f64>;

/// What stands before the camera and how it is taken.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Dots.
    pub photo: [u32; 2],
    /// The sheet as it is, mm.
    pub sheet: [f64; 2],
    /// The plane on it, mm, any way round.
    pub plane: Vec<Pt>,
    /// A second thing.
    pub other: Vec<Pt>,
    /// The plane's line of symmetry, nose to tail.
    pub axis: [Pt; 2],
    /// Light given back by table, sheet, plane, other thing.
    pub table: [f64; 3],
    pub paper: [f64; 3],
    pub colour: [f64; 3],
    pub other_colour: [f64; 3],
    /// Shade of the left and right wing.
    pub wings: [f64; 2],
    /// Tilt of the camera, its direction, turn of the photo, degrees.
    pub tilt: f64,
    pub tilt_toward: f64,
    pub turn: f64,
    /// Distortion.
    pub k1: f64,
    /// Light falls off along a direction, by this share over the sheet.
    pub falling: [f64; 2],
    /// The plane's shadow: shift mm, softness mm, depth.
    pub shadow: ([f64; 2], f64, f64),
    /// The photographer's: a soft straight border through a place, its direction, depth.
    pub hand: Option<(Pt, [f64; 2], f64)>,
    /// A hem along both outer edges of the plane: width, shade.
    pub hem: Option<(f64, f64)>,
    /// Folds of the sheet: two places, a width in mm and a shade.
    pub creases: Vec<([Pt; 2], f64, f64)>,
    /// Pencil dots on the plane.
    pub pencil: Vec<Pt>,
    /// Standard deviation of the blur, dots; of the noise at full light.
    pub blur: f64,
    pub noise: f64,
    /// How much of the photo the sheet spans.
    pub fill: f64,
    /// JPEG quality; none for PNG.
    pub quality: Option<u8>,
    pub seed: u64,
}

/// The camera.
pub struct Camera {
    h: Matrix3<f64>,
    centre: Vector2<f64>,
    unit: f64,
    k1: f64,
}

impl Camera {
    pub fn dot(&self, mm: Pt) -> Pt {
        let v = self.h * Vector3::new(mm.x, mm.y, 1.0);
        let d = (Vector2::new(v.x / v.z, v.y / v.z) - self.centre) / self.unit;
        (self.centre + d * (1.0 + self.k1 * d.norm_squared()) * self.unit).into()
    }
    fn mm(&self, inverse: &Matrix3<f64>, dot: Pt) -> Pt {
        let d = (dot.coords - self.centre) / self.unit;
        let r = d.norm();
        // Newton on r = u (1 + k1 u^2).
        let mut u = r;
        for _ in 0..6 {
            u -= (u + self.k1 * u * u * u - r) / (1.0 + 3.0 * self.k1 * u * u);
        }
        let s = self.centre + if r > 0.0 { d * (u / r) } else { d } * self.unit;
        let v = inverse * Vector3::new(s.x, s.y, 1.0);
        Pt::new(v.x / v.z, v.y / v.z)
    }
}

/// Distance to the border, negative inside.
fn signed(p: &[Pt], at: Pt) -> f64 {
    let (mut d, mut inside) = (f64::MAX, false);
    for i in 0..p.len() {
        let (a, b) = (p[i], p[(i + 1) % p.len()]);
        let e = b - a;
        let w = at - a;
        let t = (w.dot(&e) / e.norm_squared()).clamp(0.0, 1.0);
        d = d.min((w - e * t).norm_squared());
        if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / e.y * e.x {
            inside = !inside;
        }
    }
    if inside { -d.sqrt() } else { d.sqrt() }
}

fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

impl Scene {
    /// A dark table, a white sheet of A4, daylight, a camera straight above.
    pub fn plain(plane: Vec<Pt>, axis: [Pt; 2]) -> Self {
        Self {
            photo: [1600, 1200],
            sheet: [297.0, 210.0],
            plane,
            other: vec![],
            axis,
            table: [0.10, 0.07, 0.05],
            paper: [0.80, 0.80, 0.78],
            colour: [0.10, 0.22, 0.55],
            other_colour: [0.5, 0.1, 0.1],
            wings: [1.0, 0.92],
            tilt: 0.0,
            tilt_toward: 0.0,
            turn: 0.0,
            k1: 0.0,
            falling: [0.1, 0.05],
            shadow: ([0.8, 0.6], 1.5, 0.3),
            hand: None,
            hem: None,
            creases: vec![],
            pencil: vec![],
            blur: 0.8,
            noise: 0.008,
            fill: 0.86,
            quality: Some(90),
            seed: 1,
        }
    }

    pub fn camera(&self) -> Camera {
        let [w, h] = self.photo.map(f64::from);
        let f = 0.8 * w.max(h);
        let toward = self.tilt_toward.to_radians();
        let about = Vector3::new(toward.cos(), toward.sin(), 0.0) * self.tilt.to_radians();
        let r = Rotation3::new(about)
            * Rotation3::from_axis_angle(&Vector3::z_axis(), self.turn.to_radians());
        let k = Matrix3::new(f, 0.0, w / 2.0, 0.0, f, h / 2.0, 0.0, 0.0, 1.0);
        let middle = Vector3::new(self.sheet[0] / 2.0, self.sheet[1] / 2.0, 0.0);
        let at = |distance: f64| {
            let shift = r * -middle + Vector3::new(0.0, 0.0, distance);
            let m = k * Matrix3::from_columns(&[
                r.matrix().column(0).into_owned(),
                r.matrix().column(1).into_owned(),
                shift,
            ]);
            Camera {
                h: m,
                centre: Vector2::new(w / 2.0, h / 2.0),
                unit: w.hypot(h) / 2.0,
                k1: self.k1,
            }
        };
        let fits = |c: &Camera| {
            let [sw, sh] = self.sheet;
            [[0.0, 0.0], [sw, 0.0], [sw, sh], [0.0, sh]].iter().all(|&[x, y]| {
                let d = c.dot(Pt::new(x, y)).coords - c.centre;
                d.x.abs() < self.fill * w / 2.0 && d.y.abs() < self.fill * h / 2.0
            })
        };
        let (mut near, mut far) = (250.0, 5000.0);
        for _ in 0..40 {
            let middle = (near + far) / 2.0;
            if fits(&at(middle)) { far = middle } else { near = middle }
        }
        at(far)
    }

    fn light(&self, p: Pt) -> [f64; 3] {
        let [w, h] = self.sheet;
        let on = |p: Pt| p.x > 0.0 && p.y > 0.0 && p.x < w && p.y < h;
        let mut shade = 1.0 - self.falling[0] * (p.x / w - 0.5) - self.falling[1] * (p.y / h - 0.5);
        if let Some((at, dir, depth)) = self.hand {
            let d = (p - at).dot(&Vector2::from(dir).normalize());
            shade *= 1.0 - depth * smooth(d / 25.0 + 0.5);
        }
        if signed(&self.plane, p) < 0.0 {
            let along = self.axis[1] - self.axis[0];
            let side = (p - self.axis[0]).x * along.y - (p - self.axis[0]).y * along.x;
            let off = side.abs() / along.norm();
            if self.pencil.iter().any(|q| (q - p).norm() < 0.9) {
                return [0.03 * shade; 3];
            }
            let wing = self.wings[usize::from(side > 0.0)] * if off < 0.3 { 0.75 } else { 1.0 };
            let hem = self.hem.filter(|(wide, _)| -signed(&self.plane, p) < *wide && off > 12.0);
            return self.colour.map(|c| c * shade * wing * hem.map_or(1.0, |h| h.1));
        }
        if !self.other.is_empty() && signed(&self.other, p) < 0.0 {
            return self.other_colour.map(|c| c * shade);
        }
        let ([dx, dy], soft, depth) = self.shadow;
        if depth > 0.0 {
            let d = signed(&self.plane, p - Vector2::new(dx, dy));
            shade *= 1.0 - depth * smooth(0.5 - d / soft);
        }
        if on(p) {
            for ([a, b], width, dark) in &self.creases {
                let e = b - a;
                let off = ((p - a).x * e.y - (p - a).y * e.x) / e.norm();
                shade *= 1.0 - dark * (-(off / width).powi(2)).exp();
                // The halves of a creased sheet face different ways.
                shade *= if off > 0.0 { 1.0 + dark * 0.25 } else { 1.0 };
            }
            return self.paper.map(|c| c * shade);
        }
        // Grain of the table.
        let grain = 1.0 + 0.15 * (0.9 * p.y + 2.0 * (0.05 * p.x).sin()).sin();
        self.table.map(|c| c * shade * grain)
    }

    /// The photo, as bytes of a file.
    pub fn bytes(&self) -> Vec<u8> {
        let image = self.image();
        let (w, h) = image.dimensions();
        let mut bytes = Vec::new();
        match self.quality {
            Some(q) => JpegEncoder::new_with_quality(&mut bytes, q).encode_image(&image).unwrap(),
            None => image::codecs::png::PngEncoder::new(&mut bytes)
                .write_image(image.as_raw(), w, h, image::ExtendedColorType::Rgb8)
                .unwrap(),
        }
        bytes
    }

    /// The photo, not yet packed.
    pub fn image(&self) -> RgbImage {
        let camera = self.camera();
        let inverse = camera.h.try_inverse().unwrap();
        let [w, h] = self.photo.map(|n| n as usize);
        let mut light = vec![[0f32; 3]; w * h];
        let [sw, sh] = self.sheet;
        for y in 0..h {
            for x in 0..w {
                let at = |u: f64, v: f64| camera.mm(&inverse, Pt::new(x as f64 + u, y as f64 + v));
                let mm = at(0.5, 0.5);
                let dot = (at(1.0, 0.5) - at(0.0, 0.5)).norm().max(0.01);
                let rim =
                    (mm.x.abs()).min((mm.x - sw).abs()).min(mm.y.abs()).min((mm.y - sh).abs());
                let mut near = rim.min(signed(&self.plane, mm).abs());
                for q in &self.pencil {
                    near = near.min(((q - mm).norm() - 0.9).abs());
                }
                if !self.other.is_empty() {
                    near = near.min(signed(&self.other, mm).abs());
                }
                let mut sum = [0.0; 3];
                let n = if near < 1.5 * dot { 5 } else { 1 };
                for i in 0..n * n {
                    let [u, v] = [i % n, i / n].map(|k| (f64::from(k) + 0.5) / f64::from(n));
                    let c = self.light(at(u, v));
                    (0..3).for_each(|k| sum[k] += c[k] / f64::from(n * n));
                }
                light[y * w + x] = sum.map(|v| v as f32);
            }
        }
        let light = blurred(&light, w, self.blur);
        let mut random = Pcg64::new(self.seed.into(), 7);
        let mut out = RgbImage::new(w as u32, h as u32);
        for (dot, l) in out.pixels_mut().zip(&light) {
            for c in 0..3 {
                let l = f64::from(l[c]);
                // Shot noise grows with the root of the light; a floor of read noise.
                let sd = self.noise * (l.max(0.0) + 0.02).sqrt();
                let v = (l + sd * normal(&mut random)).clamp(0.0, 1.0);
                let coded =
                    if v <= 0.0031308 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
                dot.0[c] = (coded * 255.0).round() as u8;
            }
        }
        out
    }
}

fn blurred(light: &[[f32; 3]], w: usize, sd: f64) -> Vec<[f32; 3]> {
    if sd <= 0.0 {
        return light.to_vec();
    }
    let reach = (3.0 * sd).ceil() as isize;
    let kernel: Vec<f32> =
        (-reach..=reach).map(|i| (-(i as f64 / sd).powi(2) / 2.0).exp() as f32).collect();
    let sum: f32 = kernel.iter().sum();
    let h = light.len() / w;
    let pass = |from: &[[f32; 3]], along_x: bool| -> Vec<[f32; 3]> {
        (0..from.len())
            .map(|i| {
                let (x, y) = ((i % w) as isize, (i / w) as isize);
                let mut out = [0.0; 3];
                for (k, weight) in (-reach..=reach).zip(&kernel) {
                    let (x, y) = if along_x { (x + k, y) } else { (x, y + k) };
                    let j = y.clamp(0, h as isize - 1) as usize * w
                        + x.clamp(0, w as isize - 1) as usize;
                    (0..3).for_each(|c| out[c] += from[j][c] * weight / sum);
                }
                out
            })
            .collect()
    };
    pass(&pass(light, true), false)
}

/// A number of a standard normal distribution (G. E. P. Box and M. E. Muller, 1958).
pub fn normal(random: &mut impl Rng) -> f64 {
    let (u, v): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
    (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
}
