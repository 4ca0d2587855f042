//! A small renderer: a plane of paper flies a known path before a wall, filmed by a camera that is
//! tilted, with the shutter open for a while, noise and compression.
//!
//! Space: x along the flight, y away from the camera, z up; the flight is in the plane y = 0.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageFormat};
use plumbfold_film::film::Film;
use plumbfold_film::follow::Click;
use plumbfold_film::ground::{Ask, Marks, Nearer};
use plumbfold_trace::polygon::{Pt, contains};

/// A path with known numbers: a straight glide with one dying swing about it.
#[derive(Clone, Copy)]
pub struct Flight {
    /// Forward and sinking speed of the glide, m/s.
    pub glide: [f64; 2],
    /// Height of the swing at release, m, its period, s, and how it dies, 1/s.
    pub swing: [f64; 3],
    /// How long it is filmed, s.
    pub seconds: f64,
}

impl Flight {
    /// Forward, up and pitch at a time.
    pub fn at(&self, t: f64) -> [f64; 3] {
        let [u, s] = self.glide;
        let [a, period, decay] = self.swing;
        let rate = std::f64::consts::TAU / period;
        let e = a * (-decay * t).exp();
        let x = u * t + 0.7 * (e * (rate * t).cos() - a);
        let z = -s * t + e * (rate * t).sin();
        let h = 1e-4;
        let path = |t: f64| {
            let e = a * (-decay * t).exp();
            [u * t + 0.7 * e * (rate * t).cos(), -s * t + e * (rate * t).sin()]
        };
        let (p, q) = (path(t - h), path(t + h));
        // Its nose a little above its path.
        let pitch = f64::atan2(q[1] - p[1], q[0] - p[0]) + 0.09;
        [x, z, pitch]
    }

    /// Speed and climb angle at release.
    pub fn release(&self) -> [f64; 2] {
        let [u, s] = self.glide;
        let [a, period, decay] = self.swing;
        let (vx, vz) = (u - 0.7 * a * decay, -s + a * std::f64::consts::TAU / period);
        [vx.hypot(vz), vz.atan2(vx)]
    }
}

/// How it is filmed.
#[derive(Clone, Copy)]
pub struct Shot {
    pub size: [usize; 2],
    pub rate_hz: f64,
    /// Upwards, and about its own axis, degrees.
    pub tilt_deg: f64,
    pub roll_deg: f64,
    /// Contrast of what hangs on the wall, grey levels.
    pub busy: f64,
    /// How far a hand that holds the camera shakes, dots, and turns it about its axis, degrees.
    pub shake: f64,
    pub twist_deg: f64,
    /// Where the middle of the picture lies, dots right and down of its usual place.
    pub off: [f64; 2],
    /// Standard deviation of the noise of each dot, grey levels.
    pub noise: f64,
    /// Share of the time between pictures for which the shutter is open.
    pub shutter: f64,
    /// Quality of the compression, of 100.
    pub quality: u8,
    /// A click is off by so much each way, dots.
    pub click: f64,
    /// Of the random numbers.
    pub seed: u64,
}

/// From the camera to the wall, and from the wall to the flight, m.
pub const CAMERA_M: f64 = 7.0;
pub const BEFORE_M: f64 = 0.8;
/// Height at which it is released, m, and where along the wall.
const RELEASE: [f64; 2] = [-2.9, 2.0];
/// Corners of what is measured on the wall, m.
const WALL: [[f64; 2]; 2] = [[-2.4, 0.4], [2.4, 2.4]];
/// Depth of what is measured on the floor, m; the wall is taken away for it.
const FLOOR_M: f64 = 3.0;
/// The plane from the side: nose, the wing's raised edge, the keel; m.
const SIDE: [[f64; 2]; 4] = [[0.12, 0.0], [-0.09, 0.028], [-0.10, 0.005], [-0.08, -0.03]];

/// Random numbers of a fixed sequence (splitmix64, public domain, S. Vigna).
pub struct Dice(pub u64);
impl Dice {
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }
    /// Normal, by twelve even ones: quick, and good to three deviations.
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

impl Shot {
    fn height_m(&self) -> f64 {
        // Tilted up it stands lower, so that the flight stays in the picture.
        1.4 - 3.0 * self.tilt_deg.to_radians().tan()
    }

    fn focal(&self) -> f64 {
        0.8 * self.size[0] as f64
    }

    fn axes(&self) -> [[f64; 3]; 3] {
        let (s, c) = self.tilt_deg.to_radians().sin_cos();
        let (rs, rc) = self.roll_deg.to_radians().sin_cos();
        let (right, up, ahead) = ([1.0, 0.0, 0.0], [0.0, -s, c], [0.0, c, s]);
        let mix = |a: f64, b: f64| [0, 1, 2].map(|k| a * right[k] + b * up[k]);
        [mix(rc, rs), mix(-rs, rc), ahead]
    }

    /// The dot of a place.
    pub fn dot(&self, [x, y, z]: [f64; 3]) -> Pt {
        let d = [x, y + CAMERA_M - BEFORE_M, z - self.height_m()];
        let [r, u, a] = self.axes().map(|axis| (0..3).map(|k| axis[k] * d[k]).sum::<f64>());
        let [w, h] = self.size.map(|v| v as f64);
        let [right, down] = self.off;
        Pt::new(w / 2.0 + right + self.focal() * r / a, h / 2.0 + down - self.focal() * u / a)
    }

    /// Where the ray of a dot meets a plane y, as x and z.
    fn at(&self, dot: [f64; 2], y: f64) -> [f64; 2] {
        let [w, h] = self.size.map(|v| v as f64);
        let [right, up, ahead] = self.axes();
        let dot = [dot[0] - self.off[0], dot[1] - self.off[1]];
        let (r, u) = ((dot[0] - w / 2.0) / self.focal(), (h / 2.0 - dot[1]) / self.focal());
        let ray: [f64; 3] = [0, 1, 2].map(|k| r * right[k] + u * up[k] + ahead[k]);
        let far = (y + CAMERA_M - BEFORE_M) / ray[1];
        [far * ray[0], self.height_m() + far * ray[2]]
    }

    /// Grey of the wall: posters, shelves and a lamp's glow, always the same.
    fn wall(&self, [x, z]: [f64; 2]) -> f64 {
        let cell = |s: f64| {
            let (i, j) = ((x / s).floor() as i64, (z / s).floor() as i64);
            let seed = (i.wrapping_mul(7919) ^ j.wrapping_mul(104_729)) as u64;
            Dice(seed ^ self.seed).unit() - 0.5
        };
        let stripes = (x * 23.0).sin() * (z * 3.0).sin();
        let shade = 125.0 + 8.0 * x;
        shade + self.busy * (0.9 * cell(0.55) + 0.6 * cell(0.17) + 0.25 * stripes)
    }

    /// How far the picture at a time is shifted, dots: a hand shakes at some hertz, and drifts.
    fn shaken(&self, t: f64) -> [f64; 2] {
        let wave = |hz: f64, at: f64| (std::f64::consts::TAU * hz * t + at).sin();
        [
            self.shake * (wave(2.3, 0.3) + 0.5 * wave(6.1, 1.0) + 0.8 * t),
            self.shake * (wave(1.7, 2.0) + 0.5 * wave(5.3, 0.0)),
        ]
    }

    /// The same shot by a camera as it is held at a time; a lens that looks aside shifts the picture.
    pub fn held(&self, t: f64) -> Self {
        let turn = (std::f64::consts::TAU * 1.1 * t).sin();
        let [u, v] = self.shaken(t);
        let off = [self.off[0] + u, self.off[1] + v];
        Self { off, roll_deg: self.roll_deg + self.twist_deg * turn, shake: 0.0, ..*self }
    }

    /// The film, row by row.
    pub fn film(&self, flight: &Flight) -> (Vec<f64>, Vec<u8>) {
        let [w, h] = self.size;
        let mut dice = Dice(self.seed);
        let background = |shot: &Self| -> Vec<f64> {
            let dot = |i: usize| {
                let at = |du: f64, dv: f64| {
                    shot.wall(shot.at([(i % w) as f64 + du, (i / w) as f64 + dv], BEFORE_M))
                };
                (at(0.25, 0.25) + at(0.75, 0.25) + at(0.25, 0.75) + at(0.75, 0.75)) / 4.0
            };
            (0..w * h).map(dot).collect()
        };
        let stands = self.shake == 0.0 && self.twist_deg == 0.0;
        let still = background(self);
        let n = (flight.seconds * self.rate_hz) as usize;
        let mut grey = Vec::with_capacity(n * w * h);
        for k in 0..n {
            let t = k as f64 / self.rate_hz;
            let held = self.held(t);
            let mut picture = if stands { still.clone() } else { background(&held) };
            held.person(&mut picture, t);
            held.plane(&mut picture, flight, t);
            let light = 1.0 + 0.02 * (t * 37.0).sin();
            let bytes: Vec<u8> = picture
                .iter()
                .map(|v| (v * light + self.noise * dice.normal()).round().clamp(0.0, 255.0) as u8)
                .collect();
            grey.extend(self.compressed(&bytes));
        }
        ((0..n).map(|k| k as f64 / self.rate_hz).collect(), grey)
    }

    /// Who threw it sways at the left of the picture.
    fn person(&self, picture: &mut [f64], t: f64) {
        let [w, h] = self.size;
        let edge = self.dot([RELEASE[0] - 0.45 + 0.05 * (3.0 * t).sin(), 0.0, 1.0]).x.max(0.0);
        let top = self.dot([RELEASE[0], 0.0, 1.75]).y.max(0.0);
        for y in top as usize..h {
            for x in 0..(edge as usize).min(w) {
                picture[y * w + x] = 60.0 + 10.0 * (x as f64 * 0.2).sin();
            }
        }
    }

    fn plane(&self, picture: &mut [f64], flight: &Flight, t: f64) {
        const TIMES: usize = 6;
        const FINE: usize = 4;
        let [w, h] = self.size;
        let open = self.shutter / self.rate_hz;
        let poses: Vec<[f64; 3]> = (0..TIMES)
            .map(|k| flight.at(t + open * ((k as f64 + 0.5) / TIMES as f64 - 0.5)))
            .collect();
        let outline = SIDE.map(|[x, z]| Pt::new(x, z));
        let corners: Vec<Pt> = poses
            .iter()
            .flat_map(|p| {
                [[-0.14, -0.14], [0.14, -0.14], [0.14, 0.14], [-0.14, 0.14]]
                    .map(|[x, z]| self.dot([RELEASE[0] + p[0] + x, 0.0, RELEASE[1] + p[1] + z]))
            })
            .collect();
        let span = |of: fn(&Pt) -> f64, most: usize| {
            let low = corners.iter().map(of).fold(f64::INFINITY, f64::min).max(0.0) as usize;
            let high = corners.iter().map(of).fold(0.0, f64::max) as usize + 1;
            low..high.min(most)
        };
        for y in span(|p| p.y, h) {
            for x in span(|p| p.x, w) {
                let mut covered = 0;
                for k in 0..FINE * FINE {
                    let sub = |v: usize, k: usize| v as f64 + (k as f64 + 0.5) / FINE as f64;
                    let [px, pz] = self.at([sub(x, k % FINE), sub(y, k / FINE)], 0.0);
                    covered += poses
                        .iter()
                        .filter(|p| {
                            let (dx, dz) = (px - RELEASE[0] - p[0], pz - RELEASE[1] - p[1]);
                            let (s, c) = p[2].sin_cos();
                            contains(&outline, Pt::new(c * dx + s * dz, -s * dx + c * dz))
                        })
                        .count();
                }
                let share = covered as f64 / (FINE * FINE * TIMES) as f64;
                let dot = &mut picture[y * w + x];
                *dot += share * (228.0 - *dot);
            }
        }
    }

    fn compressed(&self, grey: &[u8]) -> Vec<u8> {
        let [w, h] = self.size.map(|v| v as u32);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, self.quality)
            .encode(grey, w, h, ExtendedColorType::L8)
            .expect("a picture");
        let back =
            image::load_from_memory_with_format(&bytes, ImageFormat::Jpeg).expect("the same");
        back.into_luma8().into_raw()
    }

    /// A click on the plane in a picture, as good as a hand is.
    pub fn click(&self, flight: &Flight, picture: usize) -> Click {
        let t = picture as f64 / self.rate_hz;
        let [x, z, _] = flight.at(t);
        let at = self.held(t).place(x, z);
        Click { picture, at: Pt::new(at.x + 3.0, at.y - 2.0) }
    }

    /// Where the picture shows the plane so far along its path.
    pub fn place(&self, x: f64, z: f64) -> Pt {
        self.dot([RELEASE[0] + x, 0.0, RELEASE[1] + z])
    }

    fn size_f(&self) -> [f64; 2] {
        self.size.map(|v| v as f64)
    }

    /// Four marks on the wall, and how far before it the plane flies.
    pub fn wall_marks(&self) -> Ask {
        let mut dice = Dice(self.seed ^ 0x5eed);
        let [[x0, z0], [x1, z1]] = WALL;
        let dots = [[x0, z0], [x1, z0], [x1, z1], [x0, z1]].map(|[x, z]| {
            let p = self.dot([x, BEFORE_M, z]);
            Pt::new(p.x + self.click * dice.normal(), p.y + self.click * dice.normal())
        });
        Ask {
            size: self.size_f(),
            marks: Marks::Wall { dots, width_m: x1 - x0, height_m: z1 - z0 },
            nearer: Nearer::Before { camera_m: CAMERA_M, before_m: BEFORE_M },
            click_dots: self.click.max(0.1),
        }
    }

    /// Four marks on the floor, the near ones below the flight.
    pub fn floor_marks(&self) -> Ask {
        let mut dice = Dice(self.seed ^ 0xf100);
        let dots = [[-2.0, 0.0], [2.0, 0.0], [2.0, FLOOR_M], [-2.0, FLOOR_M]].map(|[x, y]| {
            let p = self.dot([x, y, 0.0]);
            Pt::new(p.x + self.click * dice.normal(), p.y + self.click * dice.normal())
        });
        Ask {
            size: self.size_f(),
            marks: Marks::Floor { dots, width_m: 4.0, depth_m: FLOOR_M },
            nearer: Nearer::Same,
            click_dots: self.click.max(0.1),
        }
    }

    /// The plane's own ends in a picture, nothing else.
    pub fn own_length(&self, flight: &Flight, t: f64) -> Ask {
        let [x, z, pitch] = flight.at(t);
        let (s, c) = pitch.sin_cos();
        let dots =
            [0.12, -0.10].map(|l| self.dot([RELEASE[0] + x + c * l, 0.0, RELEASE[1] + z + s * l]));
        Ask {
            size: self.size_f(),
            marks: Marks::None,
            nearer: Nearer::Own { dots, length_m: 0.22 },
            click_dots: self.click.max(0.1),
        }
    }
}

/// The rendered bytes as a film.
pub fn as_film<'a>(shot: &Shot, times: &'a [f64], grey: &'a [u8]) -> Film<'a> {
    Film::new(shot.size, times, grey).expect("a film")
}
