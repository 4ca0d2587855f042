//! A filmed path in numbers: how it was released, how it glides, how it swings.

use nalgebra::{DMatrix, DVector};
use plumbfold::flight::throw::SPEED_MAX_M_S;

use crate::exchange::{ExchangeError, Table};
use crate::least_squares::{Fit, fit};

mod release;
mod doubt;

/// One picture of a film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Time, s.
    pub t_s: f64,
    /// Forward over the floor, m.
    pub x_m: f64,
    /// Height, m.
    pub z_m: f64,
    /// Pitch, nose up, rad, where it was seen.
    pub pitch_rad: Option<f64>,
}

/// Why a path says nothing.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TrackError {
    /// The file.
    #[error(transparent)]
    Table(#[from] ExchangeError),
    /// A column that is missing.
    #[error("no column holds the {what}; the columns are {}", there.join(", "))]
    Missing {
        /// Which.
        what: &'static str,
        /// What there is.
        there: Vec<String>,
    },
    /// A cell that is no number.
    #[error("line {line}: `{cell}` is no number")]
    NoNumber {
        /// Line, from 1.
        line: u64,
        /// As it stands.
        cell: String,
    },
    /// Times that do not go on.
    #[error("line {line}: the time does not go on")]
    Backwards {
        /// Line, from 1.
        line: u64,
    },
    /// Too little of it.
    #[error("{0}")]
    TooLittle(String),
}

/// How a tracker's columns are to be read.
#[derive(Clone, Debug, Default)]
pub struct Columns {
    /// Names of the columns of time, x, height and pitch where they are not the usual ones.
    pub named: Vec<(String, String)>,
    /// Pictures a second, where the time is the number of the picture.
    pub rate_hz: Option<f64>,
    /// m to one of the file's lengths, where no column says.
    pub unit_m: Option<f64>,
    /// Heights are counted downwards, as in pictures.
    pub down: bool,
}

/// Usual names of the columns, small letters, unit and brackets apart.
const USUAL: [(&str, &[&str]); 4] = [
    ("t", &["t", "time", "zeit", "frame", "picture"]),
    ("x", &["x", "pos x", "forward", "position x"]),
    ("z", &["z", "y", "height", "pos y", "position y"]),
    ("pitch", &["pitch", "theta", "angle"]),
];
/// Fewest points of a path, and of the curve through its release: five more than its highest degree.
pub const POINTS_MIN: usize = 9;
/// Most points of a path: an hour at 60 pictures a second is 216 000.
pub const POINTS_MAX: usize = 20_000;

/// A column's name without its unit, and the unit.
fn parted(name: &str) -> (String, String) {
    let plain = name.trim().trim_end_matches([']', ')']).to_lowercase();
    match plain.rfind(['[', '(', '_', ' ']) {
        Some(at) => {
            let (head, unit) = plain.split_at(at);
            let unit = unit[1..].trim();
            let known =
                ["s", "ms", "m", "cm", "mm", "ft", "in", "deg", "rad", "px"].contains(&unit);
            if known { (head.trim().to_owned(), unit.to_owned()) } else { (plain, String::new()) }
        }
        None => (plain, String::new()),
    }
}

/// Reads a tracker's table. The path is turned so that it goes forward, its time begins at zero.
///
/// # Errors
/// A missing column, a cell that is no number, times that do not go on, too few points.
pub fn read(text: &str, columns: &Columns) -> Result<Vec<Point>, TrackError> {
    let table = Table::read(text)?;
    let place = |what: &'static str, key: &str| -> Result<Option<usize>, TrackError> {
        if let Some((_, name)) = columns.named.iter().find(|n| n.0 == key) {
            return Ok(Some(table.column(name)?));
        }
        let usual = USUAL.iter().find(|u| u.0 == key).map_or(&[][..], |u| u.1);
        let found = usual.iter().find_map(|u| table.heading.iter().position(|h| parted(h).0 == *u));
        match found {
            None if key != "pitch" => {
                Err(TrackError::Missing { what, there: table.heading.clone() })
            }
            other => Ok(other),
        }
    };
    let at = [
        place("time (t)", "t")?,
        place("place forward (x)", "x")?,
        place("height (z)", "z")?,
        place("pitch", "pitch")?,
    ];
    let scale = at.map(|k| k.map_or(1.0, |k| unit_of(&parted(&table.heading[k]), columns)));
    let mut points: Vec<Point> = Vec::new();
    for (line, row) in &table.rows {
        if row.iter().all(|c| c.trim().is_empty()) {
            continue;
        }
        let number = |k: Option<usize>, scale: f64| -> Result<Option<f64>, TrackError> {
            let Some(cell) = k.map(|k| row[k].trim()).filter(|c| !c.is_empty()) else {
                return Ok(None);
            };
            let plain = if table.decimal_comma { cell.replace(',', ".") } else { cell.to_owned() };
            match plain.parse::<f64>() {
                Ok(v) if v.is_finite() => Ok(Some(v * scale)),
                _ => Err(TrackError::NoNumber { line: *line, cell: cell.to_owned() }),
            }
        };
        let [t, x, z, pitch] = [0, 1, 2, 3].map(|k| number(at[k], scale[k]));
        // A picture in which the plane was not found has no place.
        let (Some(t_s), Some(x_m), Some(z_m)) = (t?, x?, z?) else { continue };
        if points.last().is_some_and(|p| p.t_s >= t_s) {
            return Err(TrackError::Backwards { line: *line });
        }
        points.push(Point {
            t_s,
            x_m,
            z_m: if columns.down { -z_m } else { z_m },
            pitch_rad: pitch?,
        });
        if points.len() > POINTS_MAX {
            return Err(TrackError::TooLittle(format!("more than {POINTS_MAX} points")));
        }
    }
    if points.is_empty() {
        return Err(TrackError::TooLittle("no picture shows the plane".into()));
    }
    if points.len() < POINTS_MIN {
        let n = points.len();
        return Err(TrackError::TooLittle(format!(
            "{n} points; a path takes at least {POINTS_MIN}"
        )));
    }
    begun(&mut points);
    Ok(points)
}

/// How a path was turned so that it goes forward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Begun {
    /// Where it begins, m.
    pub x_m: f64,
    /// 1, or -1 where it went backwards.
    pub way: f64,
}

/// Turns a path so that it goes forward and begins at place and time zero; pitch is told nose up
/// whichever way it goes.
pub fn begun(points: &mut [Point]) -> Begun {
    let (Some(first), Some(last)) = (points.first().copied(), points.last().copied()) else {
        return Begun { x_m: 0.0, way: 1.0 };
    };
    let way = if last.x_m < first.x_m { -1.0 } else { 1.0 };
    for p in points {
        p.t_s -= first.t_s;
        p.x_m = (p.x_m - first.x_m) * way;
    }
    Begun { x_m: first.x_m, way }
}

/// A path as [`read`] gives it back exactly.
pub fn written(points: &[Point]) -> String {
    let row = |p: &Point| {
        let pitch = p.pitch_rad.map_or(String::new(), |v| v.to_string());
        format!("{},{},{},{pitch}\n", p.t_s, p.x_m, p.z_m)
    };
    points.iter().fold("t_s,x_m,z_m,pitch_rad\n".to_owned(), |text, p| text + &row(p))
}

fn unit_of((name, unit): &(String, String), columns: &Columns) -> f64 {
    match unit.as_str() {
        "ms" | "mm" => 1e-3,
        "cm" => 1e-2,
        "ft" => 0.3048,
        "in" => 0.0254,
        "rad" | "s" | "m" => 1.0,
        "deg" => 1f64.to_radians(),
        _ if USUAL[3].1.contains(&name.as_str()) => 1f64.to_radians(),
        _ if USUAL[0].1.contains(&name.as_str()) => columns.rate_hz.map_or(1.0, |r| 1.0 / r),
        _ => columns.unit_m.unwrap_or(1.0),
    }
}

/// A number and its standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// Value.
    pub value: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// How it glides once the throw is forgotten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glide {
    /// Metres forward for each metre of height.
    pub ratio: Known,
    /// Speed along the mean path, m/s.
    pub speed_m_s: Known,
    /// Sinking, m/s.
    pub sink_m_s: Known,
}

/// How it swings about the glide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    /// Period, s.
    pub period_s: Known,
    /// Rate at which the swing dies, 1/s; negative grows.
    pub damping_per_s: Known,
    /// Greatest height of the swing at the beginning of the part fitted, m.
    pub amplitude_m: f64,
}

/// What a path says.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// The path.
    pub points: Vec<Point>,
    /// Speed at release, m/s.
    pub speed_m_s: Known,
    /// Climb angle at release, rad.
    pub elevation_rad: Known,
    /// The glide.
    pub glide: Glide,
    /// Pitch of the glide, nose up, rad, where enough points tell it.
    pub pitch_rad: Option<Known>,
    /// The swing; none where the path does not show one.
    pub swing: Option<Swing>,
    /// Why there is no swing told, in words.
    pub no_swing: Option<&'static str>,
    /// From when on glide and swing were fitted, s.
    pub settled_from_s: f64,
    /// Scatter of the points about the fit, m.
    pub rest_m: f64,
    /// How far off the scale may be, as a share, and the level, rad (one standard deviation), where that
    /// was asked ([`Track::doubted`]).
    pub scale_sd: Option<f64>,
    /// See `scale_sd`.
    pub level_sd_rad: Option<f64>,
}

/// The throw is taken to be forgotten after this share of the time filmed.
const FORGOTTEN: f64 = 0.25;

/// Fits a path.
///
/// # Errors
/// A path that hardly moves or is too short.
pub fn analyse(points: Vec<Point>) -> Result<Track, TrackError> {
    let (first, last) = (points[0], points[points.len() - 1]);
    if last.x_m - first.x_m < 0.3 {
        return Err(TrackError::TooLittle(format!(
            "it goes {:.2} m forward: too little to speak of a flight; is the unit right?",
            last.x_m - first.x_m
        )));
    }
    let (speed_m_s, elevation_rad) = release::release(&points)?;
    if speed_m_s.value > SPEED_MAX_M_S {
        return Err(TrackError::TooLittle(format!(
            "it is released at {:.0} m/s, and no hand throws at more than {SPEED_MAX_M_S}: are the \
             units of length and time right?",
            speed_m_s.value
        )));
    }
    let from = FORGOTTEN * last.t_s;
    let late: Vec<Point> = points.iter().copied().filter(|p| p.t_s >= from).collect();
    if late.len() < 12 {
        return Err(TrackError::TooLittle("too few points after the release".into()));
    }
    if late[late.len() - 1].z_m >= late[0].z_m {
        return Err(TrackError::TooLittle(
            "it does not come down: if heights are counted downwards, as in pictures, say --down"
                .into(),
        ));
    }
    let (swing, no_swing, swinging) = match swinging(&late) {
        Ok((swing, fit)) => (Some(swing), None, Some(fit)),
        Err(why) => (None, Some(why), None),
    };
    let (glide, rest_m) = glide(&late, swinging.as_ref());
    Ok(Track {
        points,
        speed_m_s,
        elevation_rad,
        glide,
        pitch_rad: pitch(&late),
        swing,
        no_swing,
        settled_from_s: from,
        rest_m,
        scale_sd: None,
        level_sd_rad: None,
    })
}

/// Least squares that are linear in the parameters: parameters, covariance widened for residuals
/// that hang together, and the residuals.
pub(crate) struct Linear {
    pub(crate) at: DVector<f64>,
    pub(crate) covariance: DMatrix<f64>,
    rss: f64,
}

pub(crate) fn linear(design: &DMatrix<f64>, values: &DVector<f64>) -> Option<Linear> {
    let svd = design.clone().svd(true, true);
    let at = svd.solve(values, 1e-12).ok()?;
    let rest = values - design * &at;
    let rss = rest.norm_squared();
    let freedom = (design.nrows().checked_sub(design.ncols())? as f64).max(1.0);
    let inverse = (design.transpose() * design).try_inverse()?;
    let wider = hanging_together(rest.as_slice());
    Some(Linear { at, covariance: inverse * (rss / freedom * wider), rss })
}

/// By how much the variance of a fit grows where neighbouring residuals are alike (correlation r
/// of neighbours: (1 + r) / (1 - r); Bayley & Hammersley, J. R. Stat. Soc. Suppl. 8, 1946).
fn hanging_together(rest: &[f64]) -> f64 {
    let square: f64 = rest.iter().map(|r| r * r).sum();
    let neighbours: f64 = rest.windows(2).map(|w| w[0] * w[1]).sum();
    let r = if square > 0.0 { (neighbours / square).clamp(0.0, 0.9) } else { 0.0 };
    (1.0 + r) / (1.0 - r)
}

/// x = x0 + u t + e^(-l t) (c cos w t + d sin w t), z the same with sinking: places of the ten
/// parameters are x0 u c d, z0 -s a b, l w.
fn swung(at: &[f64], t: f64) -> [f64; 2] {
    let (decay, phase) = ((-at[8] * t).exp(), at[9] * t);
    let (c, s) = (decay * phase.cos(), decay * phase.sin());
    [at[0] + at[1] * t + at[2] * c + at[3] * s, at[4] + at[5] * t + at[6] * c + at[7] * s]
}

/// Fits glide and swing together; or says why there is no swing to tell.
fn swinging(late: &[Point]) -> Result<(Swing, Fit), &'static str> {
    let n = late.len();
    let t0 = late[0].t_s;
    let span = late[n - 1].t_s - t0;
    let columns = |decay: f64, rate: f64| {
        DMatrix::from_fn(n, 4, |i, k| {
            let t = late[i].t_s - t0;
            let e = (-decay * t).exp();
            [1.0, t, e * (rate * t).cos(), e * (rate * t).sin()][k]
        })
    };
    let [x, z] = [|p: &Point| p.x_m, |p: &Point| p.z_m]
        .map(|of| DVector::from_iterator(n, late.iter().map(of)));
    // For a given rate and decay the rest is linear: all of them are looked at.
    let mut best: Option<(f64, Vec<f64>)> = None;
    let slowest = SWING_LEAST * std::f64::consts::TAU / span;
    for k in 0..60 {
        let rate = slowest * (FASTEST_PER_S / slowest).powf(f64::from(k) / 59.0);
        for decay in [-0.3, 0.0, 0.3, 0.8, 1.6, 3.0] {
            let design = columns(decay, rate);
            let Some((fx, fz)) = linear(&design, &x).zip(linear(&design, &z)) else { continue };
            let rss = fx.rss + fz.rss;
            if best.as_ref().is_none_or(|b| rss < b.0) {
                let at = fx.at.iter().chain(fz.at.iter()).copied().chain([decay, rate]);
                best = Some((rss, at.collect()));
            }
        }
    }
    let (_, start) = best.ok_or("the path is too short for a swing")?;
    let residuals = |at: &[f64], out: &mut [f64]| {
        for (i, p) in late.iter().enumerate() {
            let [x, z] = swung(at, p.t_s - t0);
            out[2 * i] = p.x_m - x;
            out[2 * i + 1] = p.z_m - z;
        }
    };
    let mut found = fit(&start, 2 * n, &residuals).map_err(|_| "no one swing fits the path")?;
    let mut rest = vec![0.0; 2 * n];
    residuals(&found.at, &mut rest);
    let [even, odd] = [0, 1].map(|k| rest.iter().skip(k).step_by(2).copied().collect::<Vec<f64>>());
    let wider = hanging_together(&even).max(hanging_together(&odd));
    found.covariance *= wider;
    let (decay, rate) = (found.at[8], found.at[9].abs());
    let amplitude = found.at[6].hypot(found.at[7]);
    let amplitude_sd = found.covariance[(6, 6)].max(found.covariance[(7, 7)]).sqrt();
    let seen = rate * span / std::f64::consts::TAU;
    if seen < SWING_LEAST {
        return Err("less than one swing was filmed");
    }
    if amplitude < 4.0 * amplitude_sd
        || found.sd(9) > 0.2 * rate
        || amplitude.is_nan()
        || amplitude >= 20.0
    {
        return Err("no swing stands out of the scatter");
    }
    let period = std::f64::consts::TAU / rate;
    let swing = Swing {
        period_s: Known { value: period, sd: period * found.sd(9) / rate },
        damping_per_s: Known { value: decay, sd: found.sd(8) },
        amplitude_m: amplitude,
    };
    Ok((swing, found))
}

/// Least share of a swing that must be filmed to tell it.
const SWING_LEAST: f64 = 0.8;
/// Fastest swing looked for, rad/s: the fast swing of a paper plane is some 10.
const FASTEST_PER_S: f64 = 25.0;

/// The glide, from the fit with the swing or from straight lines, and the scatter.
fn glide(late: &[Point], swinging: Option<&Fit>) -> (Glide, f64) {
    let n = late.len();
    let (u, s, cov, rest) = match swinging {
        Some(f) => {
            let c = &f.covariance;
            (f.at[1], -f.at[5], [c[(1, 1)], -c[(1, 5)], c[(5, 5)]], f.residual_sd())
        }
        None => {
            let t0 = late[0].t_s;
            let design = DMatrix::from_fn(n, 2, |i, k| if k == 0 { 1.0 } else { late[i].t_s - t0 });
            let of = |value: fn(&Point) -> f64| {
                linear(&design, &DVector::from_iterator(n, late.iter().map(value)))
            };
            match of(|p| p.x_m).zip(of(|p| p.z_m)) {
                Some((x, z)) => (
                    x.at[1],
                    -z.at[1],
                    [x.covariance[(1, 1)], 0.0, z.covariance[(1, 1)]],
                    ((x.rss + z.rss) / (2 * n - 4).max(1) as f64).sqrt(),
                ),
                None => (f64::NAN, f64::NAN, [f64::NAN; 3], f64::NAN),
            }
        }
    };
    let speed = u.hypot(s);
    let [uu, us, ss] = cov;
    let spread =
        |du: f64, ds: f64| (du * du * uu + 2.0 * du * ds * us + ds * ds * ss).max(0.0).sqrt();
    let glide = Glide {
        ratio: Known { value: u / s, sd: spread(1.0 / s, -u / (s * s)) },
        speed_m_s: Known { value: speed, sd: spread(u / speed, s / speed) },
        sink_m_s: Known { value: s, sd: spread(0.0, 1.0) },
    };
    (glide, rest)
}

/// Mean pitch, where at least half of the points have one.
fn pitch(late: &[Point]) -> Option<Known> {
    let told: Vec<f64> = late.iter().filter_map(|p| p.pitch_rad).collect();
    if told.len() < 8 || 2 * told.len() < late.len() {
        return None;
    }
    let n = told.len() as f64;
    let value = told.iter().sum::<f64>() / n;
    let rest: Vec<f64> = told.iter().map(|p| p - value).collect();
    let variance = rest.iter().map(|r| r * r).sum::<f64>() / (n - 1.0) / n;
    Some(Known { value, sd: (variance * hanging_together(&rest)).sqrt() })
}

#[cfg(test)]
mod tests;
