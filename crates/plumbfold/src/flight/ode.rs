//! Ordinary differential equations: the embedded Runge-Kutta pair 5(4) of Dormand & Prince
//! (J. Comput. Appl. Math. 6, 1980, table 2) with the step control and the fourth-order dense
//! output of Hairer, Norsett & Wanner, *Solving Ordinary Differential Equations I* (1993),
//! sections II.4 to II.6.
//!
//! Nothing is allocated inside the loop. Every run ends: with the time asked for, with the caller
//! having seen enough, or with an error value.

use std::fmt;
use std::ops::ControlFlow;

use nalgebra::SVector;
use thiserror::Error;

/// State of `N` numbers.
pub type State<const N: usize> = SVector<f64, N>;

/// Places inside a step where an event function is looked at, so that a path that dips below
/// zero and comes back within one step is still seen. Guessed; steps are short against any event
/// of a flight.
const EVENT_LOOKS: usize = 8;

/// Step factor limits and safety of Hairer, Norsett & Wanner (1993), eq. II.4.13, and the
/// proportional-integral exponents of their code (beta = 0.04, section IV.2 of volume II).
const SHRINK_MIN: f64 = 0.2;
const GROW_MAX: f64 = 10.0;
const SAFETY: f64 = 0.9;
const PI_BETA: f64 = 0.04;
const PI_ALPHA: f64 = 0.2 - 0.75 * PI_BETA;

/// How exact a run shall be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Accuracy {
    /// Error a step may add, relative to the size of each number.
    pub relative: f64,
    /// Error a step may add to numbers near zero, in their own unit.
    pub absolute: f64,
    /// Longest step, s.
    pub step_max_s: f64,
    /// Most steps, accepted and rejected together.
    pub steps_max: usize,
}

/// Why a run could not be finished.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum OdeError {
    /// The derivative is not a number (or infinite) however short the step.
    #[error("the motion stops being a number at {t_s} s")]
    NotFinite {
        /// When.
        t_s: f64,
    },
    /// The step fell below the resolution of time.
    #[error("the motion changes too fast to follow at {t_s} s (step {step_s} s)")]
    StepTooSmall {
        /// When.
        t_s: f64,
        /// The step that was still too long.
        step_s: f64,
    },
    /// [`Accuracy::steps_max`] was reached.
    #[error("the motion could not be followed beyond {t_s} s in so many steps: {cost}")]
    TooManySteps {
        /// How far it came.
        t_s: f64,
        /// Steps taken.
        cost: Cost,
    },
}

/// What a run cost.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Steps kept.
    pub accepted: usize,
    /// Steps thrown away.
    pub rejected: usize,
}

impl Cost {
    /// Steps in all.
    pub fn steps(&self) -> usize {
        self.accepted + self.rejected
    }
}

impl fmt::Display for Cost {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{}", self.steps())
    }
}

/// One accepted step with its dense output.
#[derive(Clone, Debug)]
pub struct Step<const N: usize> {
    /// Start, s.
    pub from_s: f64,
    /// Length, s.
    pub length_s: f64,
    dense: [State<N>; 5],
}

impl<const N: usize> Step<N> {
    /// End, s.
    pub fn to_s(&self) -> f64 {
        self.from_s + self.length_s
    }

    /// State at a time within the step.
    pub fn at(&self, t_s: f64) -> State<N> {
        let k = (t_s - self.from_s) / self.length_s;
        let [y, a, b, c, d] = &self.dense;
        y + (a + (b + (c + d * (1.0 - k)) * k) * (1.0 - k)) * k
    }

    /// First time within the step at which `g` falls from above zero to zero or below, exact to
    /// rounding: bisection on the dense output until no time lies between the ends.
    pub fn first_fall_to_zero(&self, g: impl Fn(f64, &State<N>) -> f64) -> Option<f64> {
        let is_above = |t: f64| g(t, &self.at(t)) > 0.0;
        let mut lo = self.from_s;
        let mut above = is_above(lo);
        for look in 1..=EVENT_LOOKS {
            let hi = self.from_s + self.length_s * look as f64 / EVENT_LOOKS as f64;
            let here = is_above(hi);
            if above && !here {
                return Some(bisect(lo, hi, is_above));
            }
            (lo, above) = (hi, here);
        }
        None
    }
}

/// Narrows `lo..hi`, where `above` turns from true to false, to neighbouring numbers; gives the
/// one after the turn.
fn bisect(mut lo: f64, mut hi: f64, above: impl Fn(f64) -> bool) -> f64 {
    loop {
        let middle = lo + (hi - lo) / 2.0;
        if middle <= lo || middle >= hi {
            return hi;
        }
        if above(middle) { lo = middle } else { hi = middle }
    }
}

/// Follows dy/dt = `f(t, y)` from `(t0_s, y0)` to `t_end_s` (later than `t0_s`), handing each
/// accepted step to `on_step`, which may stop the run.
///
/// # Errors
/// See [`OdeError`].
pub fn integrate<const N: usize>(
    f: impl Fn(f64, &State<N>) -> State<N>,
    (t0_s, y0): (f64, State<N>),
    t_end_s: f64,
    accuracy: &Accuracy,
    mut on_step: impl FnMut(&Step<N>) -> ControlFlow<()>,
) -> Result<Cost, OdeError> {
    let (mut t, mut y) = (t0_s, y0);
    let mut k1 = f(t, &y);
    if !finite(&k1) || !finite(&y) {
        return Err(OdeError::NotFinite { t_s: t });
    }
    let mut h = first_step(&f, (t, &y, &k1), accuracy).min(t_end_s - t);
    let mut cost = Cost::default();
    let (mut last_error, mut just_rejected) = (1e-4_f64, false);
    while t < t_end_s {
        if cost.steps() >= accuracy.steps_max {
            return Err(OdeError::TooManySteps { t_s: t, cost });
        }
        h = h.min(accuracy.step_max_s);
        // A sliver left over after this step would cost a whole step of its own.
        let last = t + 1.01 * h >= t_end_s;
        if last {
            h = t_end_s - t;
        }
        if t + h <= t {
            return Err(OdeError::StepTooSmall { t_s: t, step_s: h });
        }
        let stages = Stages::take(&f, t, &y, k1, h);
        let error = stages.error(&y, h, accuracy);
        if error <= 1.0 {
            let step = Step { from_s: t, length_s: h, dense: stages.dense(&y, h) };
            (y, k1) = (stages.y_new, stages.k[6]);
            t = if last { t_end_s } else { t + h };
            cost.accepted += 1;
            if on_step(&step).is_break() {
                break;
            }
            let grow = SAFETY * error.max(1e-10).powf(-PI_ALPHA) * last_error.powf(PI_BETA);
            h *= grow.clamp(SHRINK_MIN, if just_rejected { 1.0 } else { GROW_MAX });
            last_error = error.max(1e-4);
            just_rejected = false;
        } else {
            // An error that is not a number fails the comparison above and lands here too.
            let shrink = if error.is_finite() { SAFETY * error.powf(-PI_ALPHA) } else { 0.0 };
            h *= shrink.clamp(SHRINK_MIN, 1.0);
            cost.rejected += 1;
            just_rejected = true;
            if t + h <= t && !error.is_finite() {
                return Err(OdeError::NotFinite { t_s: t });
            }
        }
    }
    Ok(cost)
}

fn finite<const N: usize>(y: &State<N>) -> bool {
    y.iter().all(|x| x.is_finite())
}

/// Root mean square of `v` measured in the error allowed for `a` and `b`.
fn norm<const N: usize>(v: &State<N>, a: &State<N>, b: &State<N>, accuracy: &Accuracy) -> f64 {
    let mut sum = 0.0;
    for i in 0..N {
        let allowed = accuracy.absolute + accuracy.relative * a[i].abs().max(b[i].abs());
        sum += (v[i] / allowed).powi(2);
    }
    (sum / N as f64).sqrt()
}

/// Starting step of Hairer, Norsett & Wanner (1993), section II.4, algorithm (4.14).
fn first_step<const N: usize>(
    f: &impl Fn(f64, &State<N>) -> State<N>,
    (t, y, k1): (f64, &State<N>, &State<N>),
    accuracy: &Accuracy,
) -> f64 {
    let d0 = norm(y, y, y, accuracy);
    let d1 = norm(k1, y, y, accuracy);
    let h0 = if d0 < 1e-5 || d1 < 1e-5 { 1e-6 } else { 0.01 * d0 / d1 };
    let d2 = norm(&(f(t + h0, &(y + k1 * h0)) - k1), y, y, accuracy) / h0;
    let d = d1.max(d2);
    let h1 = if d <= 1e-15 { (h0 * 1e-3).max(1e-6) } else { (0.01 / d).powf(0.2) };
    let h = (100.0 * h0).min(h1);
    if h.is_finite() { h.min(accuracy.step_max_s) } else { accuracy.step_max_s.min(1e-6) }
}

/// The seven stages of one trial step.
struct Stages<const N: usize> {
    k: [State<N>; 7],
    y_new: State<N>,
}

impl<const N: usize> Stages<N> {
    /// Dormand & Prince (1980), table 2. The last stage is the first of the next step.
    fn take(
        f: &impl Fn(f64, &State<N>) -> State<N>,
        t: f64,
        y: &State<N>,
        k1: State<N>,
        h: f64,
    ) -> Self {
        let k2 = f(t + h / 5.0, &(y + k1 * (h / 5.0)));
        let k3 = f(t + 0.3 * h, &(y + (k1 * (3.0 / 40.0) + k2 * (9.0 / 40.0)) * h));
        let k4 = f(
            t + 0.8 * h,
            &(y + (k1 * (44.0 / 45.0) - k2 * (56.0 / 15.0) + k3 * (32.0 / 9.0)) * h),
        );
        let k5 = f(
            t + 8.0 / 9.0 * h,
            &(y + (k1 * (19372.0 / 6561.0) - k2 * (25360.0 / 2187.0) + k3 * (64448.0 / 6561.0)
                - k4 * (212.0 / 729.0))
                * h),
        );
        let k6 = f(
            t + h,
            &(y + (k1 * (9017.0 / 3168.0) - k2 * (355.0 / 33.0)
                + k3 * (46732.0 / 5247.0)
                + k4 * (49.0 / 176.0)
                - k5 * (5103.0 / 18656.0))
                * h),
        );
        let y_new = y
            + (k1 * (35.0 / 384.0) + k3 * (500.0 / 1113.0) + k4 * (125.0 / 192.0)
                - k5 * (2187.0 / 6784.0)
                + k6 * (11.0 / 84.0))
                * h;
        let k7 = f(t + h, &y_new);
        Self { k: [k1, k2, k3, k4, k5, k6, k7], y_new }
    }

    /// Difference of the fifth- and fourth-order results; at most 1 is good enough.
    fn error(&self, y: &State<N>, h: f64, accuracy: &Accuracy) -> f64 {
        let [k1, _, k3, k4, k5, k6, k7] = &self.k;
        let e = k1 * (71.0 / 57600.0) - k3 * (71.0 / 16695.0) + k4 * (71.0 / 1920.0)
            - k5 * (17253.0 / 339200.0)
            + k6 * (22.0 / 525.0)
            - k7 * (1.0 / 40.0);
        norm(&(e * h), y, &self.y_new, accuracy)
    }

    /// Hairer, Norsett & Wanner (1993), section II.6 (the `contd5` polynomial).
    fn dense(&self, y: &State<N>, h: f64) -> [State<N>; 5] {
        let [k1, _, k3, k4, k5, k6, k7] = &self.k;
        let rise = self.y_new - y;
        let b = k1 * h - rise;
        let d = (k3 * (87487479700.0 / 32700410799.0)
            - k1 * (12715105075.0 / 11282082432.0)
            - k4 * (10690763975.0 / 1880347072.0)
            + k5 * (701980252875.0 / 199316789632.0)
            - k6 * (1453857185.0 / 822651844.0)
            + k7 * (69997945.0 / 29380423.0))
            * h;
        [*y, rise, b, rise - k7 * h - b, d]
    }
}

#[cfg(test)]
mod tests;
