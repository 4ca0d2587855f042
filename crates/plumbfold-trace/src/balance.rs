//! The balance point from what a hand can do: the plane laid over a straight edge, hung from a
//! point, weighed on two supports. Each gives a line on which the balance point lies, and how
//! surely; together they are solved by weighted least squares.
//!
//! Places are in mm in the plane's own frame: x right of the line of symmetry, y behind the nose.

use nalgebra::{Matrix2, Vector2};
use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::polygon::Pt;

/// How surely a plane is balanced on an edge, mm, standard deviation: the tipping of a light plane
/// on the edge of a ruler is felt to about half a millimetre (common practice, no source).
pub const EDGE_SD_MM: f64 = 0.5;
/// How surely a point is marked with a pencil or clicked, mm, standard deviation (common practice,
/// no source).
pub const MARK_SD_MM: f64 = 0.3;
/// How straight down a hung sheet hangs, rad, standard deviation: half a degree of friction at the
/// pin (common practice, no source).
pub const HANG_SD_RAD: f64 = 0.0087;
/// How surely the balance point of a plane that looks symmetric lies on its line of symmetry, mm,
/// standard deviation: one layer more on one side of a nose moves it by as much (common practice,
/// no source).
pub const MIDDLE_SD_MM: f64 = 1.0;
/// Measurements this unlikely to differ so by chance disagree.
pub const DISAGREE: f64 = 0.01;

/// Something measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Measure {
    /// Balanced over a straight edge.
    Line {
        /// A point of the edge.
        a: Pt,
        /// Another.
        b: Pt,
        /// Standard deviation across it, mm.
        sd_mm: f64,
    },
    /// Hung from a point.
    Plumb {
        /// The point.
        hang: Pt,
        /// Where the plumb line went through.
        through: Pt,
    },
    /// On two supports across the line of symmetry, each on a scale or the scale under each in turn.
    Weighed([Support; 2]),
    /// Known from elsewhere.
    Known {
        /// Place behind the nose, mm.
        behind_mm: f64,
        /// Its standard deviation, mm.
        sd_mm: f64,
    },
}

/// A support and the mass it carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// Mass on it, g.
    pub mass_g: f64,
    /// Half of the last digit shown, g: the reading is anywhere within it either way.
    pub half_digit_g: f64,
    /// Its place behind the nose, mm.
    pub behind_mm: f64,
}

/// What is wrong with what was measured.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
#[allow(missing_docs, reason = "the messages say it")]
pub enum BalanceError {
    #[error("nothing was measured: give a balance line, a plumb line or two weighings")]
    Nothing,
    #[error("the two points of {what} fall together")]
    SamePoint { what: String },
    #[error("{what} is not a number that means anything")]
    Meaningless { what: String },
    #[error("both scales read nothing: the plane must lie on them")]
    NoMass,
    #[error("the two supports stand at the same place")]
    SameSupport,
    #[error(
        "one line along which the balance point may lie anywhere is not enough: give another across it"
    )]
    Alone,
    #[error("the lines are parallel within {degrees:.0} degrees: they cross nowhere to speak of")]
    Parallel { degrees: f64 },
}

/// The balance point found.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    /// Right of the line of symmetry and behind the nose, mm.
    pub at: Pt,
    /// Standard deviations of both, mm; grown where the measurements disagree.
    pub sd: [f64; 2],
    /// How far each measurement passes from it, in the order given.
    pub passes: Vec<Pass>,
    /// Sides of the triangle in which three lines cross, or of the largest where there are more,
    /// mm; none for fewer than three lines.
    pub triangle: Option<[f64; 3]>,
    /// Chance that measurements as good as theirs differ as much or more; none where nothing is
    /// left over to compare.
    pub chance: Option<f64>,
}

/// One measurement against the balance point found.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// What it was, such as `balance line 2`.
    pub what: String,
    /// Distance, mm.
    pub off_mm: f64,
    /// What was to be expected, standard deviation, mm.
    pub sd_mm: f64,
    /// Place behind the nose at which it alone puts the balance of a symmetric plane, mm; none for
    /// a line along the line of symmetry.
    pub alone_mm: Option<f64>,
}

impl Located {
    /// Whether the measurements contradict each other.
    pub fn disagrees(&self) -> bool {
        self.chance.is_some_and(|p| p < DISAGREE)
    }

    /// The measurement that fits worst.
    pub fn worst(&self) -> Option<&Pass> {
        self.passes.iter().max_by(|a, b| (a.off_mm / a.sd_mm).total_cmp(&(b.off_mm / b.sd_mm)))
    }
}

/// A line n . p = c with the standard deviation of c.
#[derive(Clone, Copy)]
struct Constraint {
    n: Vector2<f64>,
    c: f64,
    sd: f64,
}

impl Constraint {
    fn off(&self, p: Pt) -> f64 {
        self.n.dot(&p.coords) - self.c
    }
    fn crossing(&self, other: &Self) -> Option<Pt> {
        let m = Matrix2::from_rows(&[self.n.transpose(), other.n.transpose()]);
        let p = m.try_inverse()? * Vector2::new(self.c, other.c);
        (m.determinant().abs() > 0.02).then(|| p.into())
    }
}

/// Lines that cross at less say too little of where a lopsided plane balances, rad.
const CROSS_MIN_RAD: f64 = 0.26;

/// Farther from the line of symmetry nothing balances that looks symmetric: a line was measured wrongly,
/// mm (common practice, no source).
const ASIDE_MAX_MM: f64 = 10.0;

/// Puts all together. A plane taken to be symmetric has its balance point on the line of symmetry
/// within [`MIDDLE_SD_MM`], so that one line is enough; lines that agree on another place are believed
/// rather than the symmetry.
///
/// # Errors
/// [`BalanceError`].
pub fn locate(measures: &[Measure], symmetric: bool) -> Result<Located, BalanceError> {
    let (found, _) = solved(measures, symmetric)?;
    if symmetric
        && found.disagrees()
        && let Ok((aside, spread)) = solved(measures, false)
        && spread > CROSS_MIN_RAD
        && aside.at.x.abs() < ASIDE_MAX_MM
        && !aside.disagrees()
    {
        return Ok(aside);
    }
    Ok(found)
}

/// The point of least squares, and the widest angle at which lines cross in it.
fn solved(measures: &[Measure], symmetric: bool) -> Result<(Located, f64), BalanceError> {
    if measures.is_empty() {
        return Err(BalanceError::Nothing);
    }
    let names = names(measures);
    let middle = Constraint { n: Vector2::x(), c: 0.0, sd: MIDDLE_SD_MM };
    let mut at: Option<Pt> = None;
    // How sure a plumb line is depends on how far below the pin the balance point lies: twice over
    // is enough.
    let mut lines = Vec::new();
    let mut covariance = Matrix2::zeros();
    let mut spread = 0.0;
    for _ in 0..3 {
        lines = measures
            .iter()
            .zip(&names)
            .map(|(m, name)| constraint(m, name, at))
            .collect::<Result<Vec<_>, _>>()?;
        let (mut m, mut b) = (Matrix2::zeros(), Vector2::zeros());
        for l in lines.iter().chain(symmetric.then_some(&middle)) {
            m += l.n * l.n.transpose() / (l.sd * l.sd);
            b += l.n * l.c / (l.sd * l.sd);
        }
        spread = widest_angle(lines.iter().chain(symmetric.then_some(&middle)));
        if spread < 0.035 && lines.len() == 1 {
            return Err(BalanceError::Alone);
        }
        if spread < 0.035 {
            return Err(BalanceError::Parallel { degrees: spread.to_degrees().ceil().max(1.0) });
        }
        covariance =
            m.try_inverse().ok_or(BalanceError::Parallel { degrees: spread.to_degrees() })?;
        at = Some((covariance * b).into());
    }
    let at = at.ok_or(BalanceError::Nothing)?;
    let all: Vec<&Constraint> = lines.iter().chain(symmetric.then_some(&middle)).collect();
    let chi2: f64 = all.iter().map(|l| (l.off(at) / l.sd).powi(2)).sum();
    let left_over = all.len().saturating_sub(2);
    let chance = match left_over {
        0 => None,
        n => ChiSquared::new(n as f64).ok().map(|d| d.sf(chi2)),
    };
    // Where they differ by more than expected, so does the error (R. T. Birge, "The calculation of
    // errors by the method of least squares", Physical Review 40, 1932).
    let birge = if left_over > 0 { (chi2 / left_over as f64).max(1.0).sqrt() } else { 1.0 };
    let alone = |l: &Constraint| (l.n.y.abs() > 0.1).then(|| l.c / l.n.y);
    let passes = lines
        .iter()
        .zip(names)
        .map(|(l, what)| Pass { what, off_mm: l.off(at).abs(), sd_mm: l.sd, alone_mm: alone(l) })
        .collect();
    let drawn: Vec<&Constraint> = lines
        .iter()
        .zip(measures)
        .filter(|(_, m)| matches!(m, Measure::Line { .. } | Measure::Plumb { .. }))
        .map(|(l, _)| l)
        .collect();
    let sd = [covariance.m11.sqrt() * birge, covariance.m22.sqrt() * birge];
    Ok((Located { at, sd, passes, triangle: triangle(&drawn), chance }, spread))
}

fn names(measures: &[Measure]) -> Vec<String> {
    let word = |m: &Measure| match m {
        Measure::Line { .. } => "balance line",
        Measure::Plumb { .. } => "plumb line",
        Measure::Weighed(_) => "weighing",
        Measure::Known { .. } => "balance point given",
    };
    let of = |i: usize| {
        let own = word(&measures[i]);
        let same = |range: &[Measure]| range.iter().filter(|m| word(m) == own).count();
        match same(measures) {
            1 => own.to_owned(),
            _ => format!("{own} {}", same(&measures[..=i])),
        }
    };
    (0..measures.len()).map(of).collect()
}

fn constraint(m: &Measure, name: &str, near: Option<Pt>) -> Result<Constraint, BalanceError> {
    let meaningless = || BalanceError::Meaningless { what: name.to_owned() };
    let through = |a: Pt, b: Pt, sd: &dyn Fn(f64, f64) -> f64| {
        if !(a - b).iter().all(|v| v.is_finite() && v.abs() < 1e5) {
            return Err(meaningless());
        }
        let length = (b - a).norm();
        if length < 1.0 {
            return Err(BalanceError::SamePoint { what: name.to_owned() });
        }
        let along = (b - a) / length;
        let n = Vector2::new(-along.y, along.x);
        // Both points are marked with an error; beyond them it grows.
        let place = near.map_or(length / 2.0, |p| (p - a).dot(&along));
        let t = place / length;
        let marks = MARK_SD_MM * ((1.0 - t).powi(2) + t * t).sqrt();
        Ok(Constraint { n, c: n.dot(&a.coords), sd: sd(marks, place) })
    };
    match *m {
        Measure::Line { a, b, sd_mm } => {
            if !(sd_mm > 0.0 && sd_mm < 100.0) {
                return Err(meaningless());
            }
            through(a, b, &|marks, _| marks.hypot(sd_mm))
        }
        Measure::Plumb { hang, through: to } => {
            through(hang, to, &|marks, place| marks.hypot(place * HANG_SD_RAD))
        }
        Measure::Known { behind_mm, sd_mm } => {
            let fine = behind_mm.is_finite() && sd_mm > 0.0 && sd_mm < 100.0;
            let known = Constraint { n: Vector2::y(), c: behind_mm, sd: sd_mm };
            if fine { Ok(known) } else { Err(meaningless()) }
        }
        Measure::Weighed(supports) => {
            let fine = |s: &Support| {
                s.mass_g >= 0.0
                    && s.mass_g.is_finite()
                    && s.half_digit_g >= 0.0
                    && s.half_digit_g.is_finite()
                    && s.behind_mm.is_finite()
            };
            let [p, q] = supports;
            let mass = p.mass_g + q.mass_g;
            if !(fine(&p) && fine(&q)) {
                return Err(meaningless());
            }
            if mass == 0.0 {
                return Err(BalanceError::NoMass);
            }
            let apart = q.behind_mm - p.behind_mm;
            if apart.abs() < 1.0 {
                return Err(BalanceError::SameSupport);
            }
            let share = q.mass_g / mass;
            let c = p.behind_mm + share * apart;
            // A reading is anywhere within its last digit: a flat distribution of standard
            // deviation half its width over the root of three.
            let reading = |s: &Support, lever: f64| s.half_digit_g / 3f64.sqrt() * lever / mass;
            let readings =
                reading(&p, (c - p.behind_mm).abs()).hypot(reading(&q, (q.behind_mm - c).abs()));
            let places = MARK_SD_MM * (1.0 - share).hypot(share);
            Ok(Constraint { n: Vector2::y(), c, sd: readings.hypot(places) })
        }
    }
}

/// The widest angle between two lines, rad.
fn widest_angle<'a>(lines: impl Iterator<Item = &'a Constraint>) -> f64 {
    let all: Vec<&Constraint> = lines.collect();
    let pairs = all.iter().enumerate().flat_map(|(i, a)| all[i + 1..].iter().map(move |b| (a, b)));
    pairs.map(|(a, b)| crate::polygon::cross(a.n, b.n).abs().min(1.0).asin()).fold(0.0, f64::max)
}

/// Sides of the largest triangle that three of the lines make.
fn triangle(lines: &[&Constraint]) -> Option<[f64; 3]> {
    let mut best: Option<[f64; 3]> = None;
    for i in 0..lines.len() {
        for j in i + 1..lines.len() {
            for k in j + 1..lines.len() {
                let p = [(i, j), (j, k), (k, i)].map(|(a, b)| lines[a].crossing(lines[b]));
                let [Some(p), Some(q), Some(r)] = p else { continue };
                let sides = [(q - p).norm(), (r - q).norm(), (p - r).norm()];
                let round = |s: &[f64; 3]| s.iter().sum::<f64>();
                if best.as_ref().is_none_or(|b| round(&sides) > round(b)) {
                    best = Some(sides);
                }
            }
        }
    }
    best
}

#[cfg(test)]
mod tests;
