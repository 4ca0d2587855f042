//! Places in the picture as metres in the plane of flight: from marks of known distance on a wall, on
//! the floor or on the plane itself, each with how far off it may be.

use std::f64::consts::{FRAC_PI_2, PI};

use nalgebra::{Matrix2, Matrix3, Rotation3, Vector3};
use plumbfold_trace::polygon::{Pt, cross, edges};
use plumbfold_trace::view::{apply, homography};

use crate::film::FilmError;

/// What is known of the place.
#[derive(Clone, Debug, PartialEq)]
pub enum Marks {
    /// Nothing: the camera stands level and looks square at the flight.
    None,
    /// Two marks of known distance; the camera looks square at the flight.
    Two {
        /// The marks.
        dots: [Pt; 2],
        /// Their distance, m.
        apart_m: f64,
        /// How they lie.
        lie: Lie,
    },
    /// The corners of an upright rectangle, along the flight: lower left, lower right, upper right,
    /// upper left.
    Wall {
        /// The corners.
        dots: [Pt; 4],
        /// Along the floor, m.
        width_m: f64,
        /// Upwards, m.
        height_m: f64,
    },
    /// The corners of a rectangle on the floor, whose near side lies below the flight: near left, near
    /// right, far right, far left.
    Floor {
        /// The corners.
        dots: [Pt; 4],
        /// Along the flight, m.
        width_m: f64,
        /// Away from the camera, m.
        depth_m: f64,
    },
}

/// How two marks lie to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lie {
    /// Equally high.
    Level,
    /// One above the other.
    Upright,
    /// Anyhow: the camera stood level.
    Anyhow,
}

/// How much nearer to the camera than the marks the plane flies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Nearer {
    /// As far as they are.
    Same,
    /// The camera stands so far from the marks' wall, the plane flies so far before it, m.
    Before {
        /// From wall to camera.
        camera_m: f64,
        /// From wall to plane.
        before_m: f64,
    },
    /// The plane itself shows it: its ends in a picture where it flies by, and its length.
    Own {
        /// Nose and tail.
        dots: [Pt; 2],
        /// Its length, m.
        length_m: f64,
    },
}

/// All that gives scale and level.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// Width and height of the picture, dots.
    pub size: [f64; 2],
    /// What is known of the place.
    pub marks: Marks,
    /// Where the plane flies before it.
    pub nearer: Nearer,
    /// How far off a click may be each way (one standard deviation), dots.
    pub click_dots: f64,
}

/// The plane of flight in the picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Ground {
    to_m: Matrix3<f64>,
    to_dots: Matrix3<f64>,
}

/// A length measured by hand is off by this share (guessed: 5 mm in a metre).
const TAPE: f64 = 0.005;
/// A distance from a wall is off by so much (guessed: paced out), m.
const PACED_M: f64 = 0.1;
/// A camera that stood level and looked square was off by so much (guessed), rad.
const LEVEL_RAD: f64 = 0.0175;
const SQUARE_RAD: f64 = 0.035;
/// A flight goes aside of its plane by so much (guessed), rad.
const ASIDE_RAD: f64 = 0.035;
/// Focal length of a phone's main lens, of the longer side of its picture (common practice, no
/// source; about 26 mm on a frame of 36).
const FOCAL: f64 = 0.8;
/// How far off that may be, as a share: pictures that are steadied are cut narrower (guessed).
const FOCAL_SD: f64 = 0.1;
/// Lengths of marks that are taken, m.
const KNOWN_M: [f64; 2] = [0.03, 100.0];
/// Marks nearer to each other than this give no scale, dots.
const APART_DOTS: f64 = 8.0;

/// What may be otherwise than it is taken to be.
#[derive(Clone, Copy, Default)]
struct Otherwise {
    /// The camera turned about its own axes right, down and ahead, rad.
    turned: [f64; 3],
    /// Its focal length, as a share more.
    focal: f64,
}

impl Ground {
    /// From what is known.
    ///
    /// # Errors
    /// [`FilmError::Marks`]: lengths that cannot be, marks that fall together or are out of order.
    pub fn new(ask: &Ask) -> Result<Self, FilmError> {
        Self::with(ask, &Otherwise::default())
    }

    fn with(ask: &Ask, otherwise: &Otherwise) -> Result<Self, FilmError> {
        let marks = match &ask.marks {
            Marks::None => Matrix3::new(1.0, 0.0, 0.0, 0.0, -1.0, 0.0, 0.0, 0.0, 1.0),
            Marks::Two { dots, apart_m, lie } => two(dots, *apart_m, *lie)?,
            Marks::Wall { dots, width_m, height_m } => {
                rectangle(dots, known(*width_m)?, known(*height_m)?)?
            }
            Marks::Floor { dots, width_m, depth_m } => {
                let floor = rectangle(dots, known(*width_m)?, known(*depth_m)?)?;
                let up = above(&floor, ask.size, otherwise.focal);
                up.ok_or_else(|| wrong("the marks on the floor show no perspective"))?
            }
        };
        let marks = marks * seen_turned(ask.size, otherwise.turned);
        let nearer = match ask.nearer {
            Nearer::Same => match ask.marks {
                Marks::None => {
                    return Err(wrong(
                        "nothing gives the scale: set marks, or the plane's own length",
                    ));
                }
                _ => 1.0,
            },
            Nearer::Before { camera_m, before_m } => {
                if !(0.0 <= before_m && before_m < 0.95 * camera_m && camera_m <= KNOWN_M[1]) {
                    return Err(wrong(
                        "the plane flies between the camera and the wall: its distance from the wall is the smaller one",
                    ));
                }
                (camera_m - before_m) / camera_m
            }
            Nearer::Own { dots: [nose, tail], length_m } => {
                if (nose - tail).norm() < APART_DOTS {
                    return Err(wrong("nose and tail lie too close together to give a scale"));
                }
                known(length_m)? / (apply(&marks, nose) - apply(&marks, tail)).norm()
            }
        };
        let to_m = Matrix3::from_diagonal(&Vector3::new(nearer, nearer, 1.0)) * marks;
        let to_dots = to_m.try_inverse().filter(|m| m.iter().all(|v| v.is_finite()));
        let to_dots = to_dots.ok_or_else(|| wrong("these marks give no scale"))?;
        Ok(Self { to_m, to_dots })
    }

    /// Metres right and up of a dot.
    pub fn metres(&self, dot: Pt) -> Pt {
        apply(&self.to_m, dot)
    }

    /// The dot of a place.
    pub fn dot(&self, metres: Pt) -> Pt {
        apply(&self.to_dots, metres)
    }

    /// The same ground with one thing after the other off by its standard deviation, either way: each
    /// click, each length said, how the camera stood where no mark shows it, and that a flight is never
    /// quite in one plane.
    pub fn doubted(ask: &Ask) -> Vec<Self> {
        [1.0, -1.0].iter().flat_map(|sign| Self::doubted_one_way(ask, *sign)).collect()
    }

    fn doubted_one_way(ask: &Ask, sign: f64) -> Vec<Self> {
        let mut others: Vec<(Ask, Otherwise)> = Vec::new();
        let mut said = |change: &dyn Fn(&mut Ask)| {
            let mut other = ask.clone();
            change(&mut other);
            others.push((other, Otherwise::default()));
        };
        let corners = match ask.marks {
            Marks::None => 0,
            Marks::Two { .. } => 2,
            Marks::Wall { .. } | Marks::Floor { .. } => 4,
        };
        for k in 0..corners {
            for axis in 0..2 {
                said(&|a| a.marks.dots()[k][axis] += sign * a.click_dots);
            }
        }
        for k in 0..2 {
            said(&|a| {
                if let Some(length) = a.marks.lengths().get_mut(k) {
                    **length *= 1.0 + sign * TAPE;
                }
            });
        }
        for k in 0..2 {
            said(&|a| match &mut a.nearer {
                Nearer::Same => {}
                Nearer::Before { camera_m, before_m } => *[camera_m, before_m][k] += sign * PACED_M,
                // Along it; across it a click changes nothing.
                Nearer::Own { dots, .. } => {
                    let along = (dots[1] - dots[0]).normalize() * sign * a.click_dots;
                    dots[k] += along;
                }
            });
        }
        said(&|a| {
            if let Nearer::Own { length_m, .. } = &mut a.nearer {
                *length_m *= 1.0 + sign * TAPE;
            }
        });
        let mut stood = |turned: [f64; 3], focal: f64| {
            let (turned, focal) = (turned.map(|t| sign * t), sign * focal);
            others.push((ask.clone(), Otherwise { turned, focal }));
        };
        stood([0.0, ASIDE_RAD, 0.0], 0.0);
        if corners < 4 {
            stood([SQUARE_RAD, 0.0, 0.0], 0.0);
            stood([0.0, SQUARE_RAD, 0.0], 0.0);
        }
        if matches!(ask.marks, Marks::None | Marks::Two { lie: Lie::Anyhow, .. }) {
            stood([0.0, 0.0, LEVEL_RAD], 0.0);
        }
        if matches!(ask.marks, Marks::Floor { .. }) {
            stood([0.0; 3], FOCAL_SD);
        }
        others.iter().filter_map(|(ask, otherwise)| Self::with(ask, otherwise).ok()).collect()
    }
}

impl Marks {
    fn dots(&mut self) -> &mut [Pt] {
        match self {
            Self::None => &mut [],
            Self::Two { dots, .. } => dots,
            Self::Wall { dots, .. } | Self::Floor { dots, .. } => dots,
        }
    }

    fn lengths(&mut self) -> Vec<&mut f64> {
        match self {
            Self::None => Vec::new(),
            Self::Two { apart_m, .. } => vec![apart_m],
            Self::Wall { width_m, height_m, .. } => vec![width_m, height_m],
            Self::Floor { width_m, depth_m, .. } => vec![width_m, depth_m],
        }
    }
}

fn wrong(why: &str) -> FilmError {
    FilmError::Marks(why.to_owned())
}

fn known(length_m: f64) -> Result<f64, FilmError> {
    if (KNOWN_M[0]..=KNOWN_M[1]).contains(&length_m) {
        return Ok(length_m);
    }
    let [least, most] = KNOWN_M;
    Err(FilmError::Marks(format!(
        "a known length lies between {least} and {most} m, not {length_m}"
    )))
}

/// Scale and level of two marks.
fn two([a, b]: &[Pt; 2], apart_m: f64, lie: Lie) -> Result<Matrix3<f64>, FilmError> {
    let way = b - a;
    if way.norm() < APART_DOTS {
        return Err(wrong("the two marks lie too close together to give a scale"));
    }
    // Of the line through both, whichever was set first; z counts upwards.
    let angle = f64::atan2(-way.y, way.x);
    let of_line = |angle: f64| angle - PI * (angle / PI).round();
    let lean = match lie {
        Lie::Level => of_line(angle),
        Lie::Upright => of_line(angle - FRAC_PI_2),
        Lie::Anyhow => 0.0,
    };
    let scale = known(apart_m)? / way.norm();
    let (c, s) = (lean.cos() * scale, lean.sin() * scale);
    let turn = Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0);
    Ok(turn * Matrix3::new(1.0, 0.0, -a.x, 0.0, -1.0, a.y, 0.0, 0.0, 1.0))
}

/// From dots to the frame of a rectangle, whose first corner is the origin.
fn rectangle(dots: &[Pt; 4], w: f64, h: f64) -> Result<Matrix3<f64>, FilmError> {
    // Seen from the front the corners go round one way, and every corner bends that way.
    let bends =
        |k: usize| cross(dots[(k + 1) % 4] - dots[k], dots[(k + 2) % 4] - dots[(k + 1) % 4]);
    if edges(dots).any(|(a, b)| (b - a).norm() < APART_DOTS) || !(0..4).all(|k| bends(k) < 0.0) {
        return Err(wrong(
            "the four marks are the corners of a rectangle in their order: lower left, lower right, \
             upper right, upper left",
        ));
    }
    let at = [[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]].map(|[x, y]| Pt::new(x, y));
    let pairs: Vec<(Pt, Pt)> = dots.iter().copied().zip(at).collect();
    homography(&pairs).ok_or_else(|| wrong("these marks give no scale"))
}

/// From dots to the upright plane over the near side of a rectangle on the floor. Directions in space
/// are the columns of the map from floor to picture before the camera (R. Hartley and A. Zisserman,
/// Multiple View Geometry in Computer Vision, 2nd ed., 2004, section 8.1); upwards is across both, as
/// long as the near side says, which is measured better than the foreshortened depth. The focal length
/// is the usual one: a narrow strip of floor tells none.
fn above(to_floor: &Matrix3<f64>, size: [f64; 2], focal_more: f64) -> Option<Matrix3<f64>> {
    let centre = Matrix3::new(1.0, 0.0, -size[0] / 2.0, 0.0, 1.0, -size[1] / 2.0, 0.0, 0.0, 1.0);
    let floor = centre * to_floor.try_inverse()?;
    // What is seen lies ahead.
    let floor = floor * floor.m33.signum();
    let [along, across, corner] = [0, 1, 2].map(|k| floor.column(k).into_owned());
    let f = FOCAL * (1.0 + focal_more) * size[0].max(size[1]);
    let before = |c: &Vector3<f64>| Vector3::new(c.x / f, c.y / f, c.z);
    let (right, away) = (before(&along), before(&across));
    let up = right.cross(&away).normalize() * right.norm();
    let up = Vector3::new(up.x * f, up.y * f, up.z);
    let to_picture = centre.try_inverse()? * Matrix3::from_columns(&[along, up, corner]);
    to_picture.try_inverse()
}

/// Dots as a camera turned a little would have seen them, back to those of this one.
fn seen_turned(size: [f64; 2], turned: [f64; 3]) -> Matrix3<f64> {
    if turned == [0.0; 3] {
        return Matrix3::identity();
    }
    let f = FOCAL * size[0].max(size[1]);
    let camera = Matrix3::new(f, 0.0, size[0] / 2.0, 0.0, f, size[1] / 2.0, 0.0, 0.0, 1.0);
    let turn = Rotation3::new(Vector3::from(turned)).into_inner();
    let back = Matrix3::new(
        1.0 / f,
        0.0,
        -size[0] / 2.0 / f,
        0.0,
        1.0 / f,
        -size[1] / 2.0 / f,
        0.0,
        0.0,
        1.0,
    );
    camera * turn * back
}

/// How much larger and how turned a small thing at a dot is in metres: slopes of the map.
pub fn slopes(ground: &Ground, dot: Pt) -> Matrix2<f64> {
    let step = |v| (ground.metres(dot + v) - ground.metres(dot - v)) / 2.0;
    Matrix2::from_columns(&[step(nalgebra::Vector2::x()), step(nalgebra::Vector2::y())])
}
