//! Small motions about a steady glide, and whether they die out.
//!
//! The equations of motion are linearised by central differences about a glide. State of the
//! longitudinal part: forward and downward velocity, pitch rate, pitch; of the lateral part:
//! sideways velocity, roll rate, yaw rate, bank. Pitch turns about the level line across the
//! plane, bank about the level line ahead, so both stay well defined in a vertical dive.

use nalgebra::{Complex, Matrix4, Rotation3, SMatrix, SVector, UnitVector3, Vector3};

use crate::air::AirLoads;

use super::rigid::{Body, GRAVITY_M_S2};
use super::trim::{Trim, radius_of_gyration, trims};

/// Step of the differences, as a share of speed, of speed over radius of gyration, and in radians.
/// The extrapolation below leaves an error of third order; rounding stays near 1e-11.
const STEP: f64 = 1e-3;

/// A spiral that takes longer than this to double is a drift no thrower sees: an indoor flight is
/// over by then.
pub const SLOW_SPIRAL_S: f64 = 5.0;

/// Kind of a mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ModeKind {
    /// Quick swing of incidence.
    ShortPeriod,
    /// Slow swing between speed and height.
    Phugoid,
    /// Pitching or speed change without swinging.
    PitchSubsidence,
    /// Roll dying out.
    Roll,
    /// Yaw and roll swinging together.
    DutchRoll,
    /// Slow roll-off into a turn, or out of it.
    Spiral,
    /// Roll and spiral merged into one slow swing.
    RollSpiral,
    /// Yaw without swinging.
    YawSubsidence,
}

impl ModeKind {
    /// Name in plain words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::ShortPeriod => "short period",
            Self::Phugoid => "phugoid",
            Self::PitchSubsidence => "pitch without swinging",
            Self::Roll => "roll",
            Self::DutchRoll => "Dutch roll",
            Self::Spiral => "spiral",
            Self::RollSpiral => "roll-spiral swing",
            Self::YawSubsidence => "yaw without swinging",
        }
    }
}

/// One mode: a root, or a pair of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Which.
    pub kind: ModeKind,
    /// Rate of growth, 1/s.
    pub growth_per_s: f64,
    /// Angular frequency, rad/s; 0 when it does not swing.
    pub frequency_rad_s: f64,
}

impl Mode {
    /// Period, s.
    pub fn period_s(&self) -> Option<f64> {
        (self.frequency_rad_s > 0.0).then(|| std::f64::consts::TAU / self.frequency_rad_s)
    }
    /// Share of critical damping; 1 or -1 for a mode that does not swing.
    pub fn damping_ratio(&self) -> f64 {
        let size = self.growth_per_s.hypot(self.frequency_rad_s);
        if size > 0.0 { -self.growth_per_s / size } else { 0.0 }
    }
    /// Time to half, s, of a mode that dies out.
    pub fn time_to_half_s(&self) -> Option<f64> {
        (self.growth_per_s < 0.0).then(|| std::f64::consts::LN_2 / -self.growth_per_s)
    }
    /// Time to double, s, of a mode that grows.
    pub fn time_to_double_s(&self) -> Option<f64> {
        (self.growth_per_s > 0.0).then(|| std::f64::consts::LN_2 / self.growth_per_s)
    }
    /// Dies out, or is a spiral too slow to be seen.
    pub fn harmless(&self) -> bool {
        let slow = self.kind == ModeKind::Spiral
            && self.time_to_double_s().is_some_and(|t| t > SLOW_SPIRAL_S);
        self.growth_per_s <= 0.0 || slow
    }
}

/// The equations of motion near a glide.
#[derive(Clone, Debug, PartialEq)]
pub struct Linearised {
    /// State u, w, q, pitch.
    pub longitudinal: Matrix4<f64>,
    /// State v, p, r, bank.
    pub lateral: Matrix4<f64>,
    /// Size of what couples the two, as a share of their own size: 0 for a symmetric plane.
    pub coupling: f64,
}

/// A steady glide with its modes.
#[derive(Clone, Debug, PartialEq)]
pub struct Glide {
    /// The glide.
    pub trim: Trim,
    /// Longitudinal modes first, quick before slow.
    pub modes: Vec<Mode>,
    /// Everything dies out (a slow spiral apart).
    pub stable: bool,
}

/// The glide a plane settles to: the right way up and stable; else the right way up and held in
/// pitch.
pub fn settled(glides: &[Glide]) -> Option<&Glide> {
    let upright = || glides.iter().filter(|g| !g.trim.inverted);
    let held = |g: &&Glide| g.trim.statically_stable && g.trim.lift_to_drag > 0.0;
    upright().find(|g| g.stable).or_else(|| upright().find(held))
}

/// Every steady glide with its modes, in order of incidence.
pub fn glides<A: AirLoads>(body: &Body<A>) -> Vec<Glide> {
    let with_modes = |trim: Trim| {
        let near = linearise(body, &trim);
        let mut modes = longitudinal_modes(&near.longitudinal, trim.speed_m_s);
        modes.extend(lateral_modes(&near.lateral));
        let stable = trim.balanced && !modes.is_empty() && modes.iter().all(Mode::harmless);
        Glide { trim, modes, stable }
    };
    trims(body).into_iter().map(with_modes).collect()
}

/// Linearises about a glide: central differences at three steps, extrapolated (Richardson 1911).
/// Loads hold terms like `|q| q`, whose central difference errs with the first power of the step,
/// so the first and the second power are both taken out.
pub fn linearise<A: AirLoads>(body: &Body<A>, trim: &Trim) -> Linearised {
    let speed = trim.speed_m_s;
    let rate = speed / radius_of_gyration(body);
    // u w q pitch, v p r bank.
    let scale = [speed, speed, rate, 1.0, speed, rate, rate, 1.0].map(|s| s * STEP);
    let full = (0..8).fold(SMatrix::<f64, 8, 8>::zeros(), |mut m, i| {
        let slope = |h: f64| {
            let mut x = SVector::<f64, 8>::zeros();
            x[i] = h;
            (change(body, trim, &x) - change(body, trim, &-x)) / (2.0 * h)
        };
        let [coarse, middle, fine] = [1.0, 2.0, 4.0].map(|n| slope(scale[i] / n));
        m.set_column(i, &((fine * 8.0 - middle * 6.0 + coarse) / 3.0));
        m
    });
    // Compared in units in which velocities, rates and angles are alike.
    let alike = SMatrix::<f64, 8, 8>::from_fn(|i, j| full[(i, j)] * scale[j] / scale[i]);
    let own = alike.fixed_view::<4, 4>(0, 0).norm() + alike.fixed_view::<4, 4>(4, 4).norm();
    let cross = alike.fixed_view::<4, 4>(0, 4).norm() + alike.fixed_view::<4, 4>(4, 0).norm();
    Linearised {
        longitudinal: full.fixed_view::<4, 4>(0, 0).into_owned(),
        lateral: full.fixed_view::<4, 4>(4, 4).into_owned(),
        coupling: if own > 0.0 { cross / own } else { 0.0 },
    }
}

/// Time derivative of a small deviation `u w q pitch v p r bank` from a glide.
fn change<A: AirLoads>(body: &Body<A>, trim: &Trim, x: &SVector<f64, 8>) -> SVector<f64, 8> {
    let down = trim.down;
    let across = (Vector3::y() - down * down.y)
        .try_normalize(1e-9)
        .unwrap_or_else(|| Vector3::x().cross(&down).normalize());
    let ahead = across.cross(&down);
    let turn = across * x[3] + ahead * x[7];
    let tilted = match UnitVector3::try_new(turn, 0.0) {
        Some(axis) => Rotation3::from_axis_angle(&axis, -turn.norm()) * down,
        None => down,
    };
    let dv = Vector3::new(x[0], x[4], x[1]);
    let dw = Vector3::new(x[5], x[2], x[6]);
    let a = body.acceleration(&(trim.velocity + dv), &(trim.rate + dw), &tilted);
    let swing = dw - trim.rate.cross(&turn);
    SVector::from([a[0], a[2], a[4], swing.dot(&across), a[1], a[3], a[5], swing.dot(&ahead)])
}

/// A root and, if it swings, its conjugate.
fn roots(m: &Matrix4<f64>) -> Vec<Complex<f64>> {
    if m.iter().any(|x| !x.is_finite()) {
        return Vec::new();
    }
    let scale = m.norm().max(f64::MIN_POSITIVE);
    let mut out: Vec<Complex<f64>> = m
        .complex_eigenvalues()
        .iter()
        // Rounding may leave a real root a hair off the axis.
        .map(|e| if e.im.abs() < 1e-12 * scale { Complex::new(e.re, 0.0) } else { *e })
        .filter(|e| e.im >= 0.0)
        .collect();
    out.sort_by(|a, b| b.norm().total_cmp(&a.norm()));
    out
}

fn mode(kind: ModeKind, root: Complex<f64>) -> Mode {
    Mode { kind, growth_per_s: root.re, frequency_rad_s: root.im }
}

/// Modes of a matrix over u, w, q, pitch. `speed_m_s` tells a lone swing apart: a phugoid's
/// frequency lies near `sqrt(2) g / V` (Lanchester 1908) in flight at that speed.
pub fn longitudinal_modes(m: &Matrix4<f64>, speed_m_s: f64) -> Vec<Mode> {
    let roots = roots(m);
    let swings = roots.iter().filter(|r| r.im > 0.0).count();
    let slow = std::f64::consts::SQRT_2 * GRAVITY_M_S2 / speed_m_s;
    let mut quickest = true;
    let name = |root: &Complex<f64>| {
        let kind = match (root.im > 0.0, swings) {
            (false, _) => ModeKind::PitchSubsidence,
            (true, 1) if root.norm() < 2.0 * slow => ModeKind::Phugoid,
            (true, _) if quickest => ModeKind::ShortPeriod,
            (true, _) => ModeKind::Phugoid,
        };
        quickest &= root.im == 0.0;
        mode(kind, *root)
    };
    roots.iter().map(name).collect()
}

/// Modes of a matrix over v, p, r, bank.
pub fn lateral_modes(m: &Matrix4<f64>) -> Vec<Mode> {
    let roots = roots(m);
    let (swings, plain): (Vec<_>, Vec<_>) = roots.iter().partition(|r| r.im > 0.0);
    let mut out: Vec<Mode> = Vec::new();
    for (i, &root) in swings.into_iter().enumerate() {
        out.push(mode(if i == 0 { ModeKind::DutchRoll } else { ModeKind::RollSpiral }, root));
    }
    let last = plain.len().saturating_sub(1);
    for (i, &root) in plain.into_iter().enumerate() {
        let kind = match i {
            0 if last > 0 => ModeKind::Roll,
            i if i == last => ModeKind::Spiral,
            _ => ModeKind::YawSubsidence,
        };
        out.push(mode(kind, root));
    }
    out
}

#[cfg(test)]
mod tests;
