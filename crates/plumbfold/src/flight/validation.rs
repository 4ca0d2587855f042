//! Published cases of flight mechanics. The tests assert on these rows and the validation page
//! prints them.

use std::f64::consts::{LN_2, PI, SQRT_2, TAU};
use std::ops::ControlFlow;

use nalgebra::{Matrix3, Matrix4, Vector3};

use crate::validation::{Mark, Tolerance, ValidationRow};

use super::modes::{Mode, ModeKind, glides, lateral_modes, linearise, longitudinal_modes};
use super::ode::{self, Accuracy};
use super::rigid::{Body, GRAVITY_M_S2, Motion, attitude};
use super::textbook::{Ball, FallingCard, Lanchester, Linear};
use super::throw::{Hall, Throw, fly};
use super::trim::{Trim, trims};

const FINE: Accuracy =
    Accuracy { relative: 1e-9, absolute: 1e-9, step_max_s: 0.5, steps_max: 20_000 };

/// All rows of this module.
pub fn rows() -> Vec<ValidationRow> {
    let mut out = transport();
    out.extend(general_aviation());
    out.extend(phugoid());
    out.extend(falling_card_points());
    out.extend(falling_card_motion());
    out.extend(closed_forms());
    out
}

fn find(modes: &[Mode], kind: ModeKind) -> Mode {
    let missing = Mode { kind, growth_per_s: f64::NAN, frequency_rad_s: f64::NAN };
    modes.iter().copied().find(|m| m.kind == kind).unwrap_or(missing)
}

/// Rows for the real and, where given, the imaginary part of a mode's root.
fn root_rows(
    group: &'static str,
    source: (&'static str, Mark),
    m: Mode,
    (growth, frequency): (f64, Option<f64>),
    tolerance: Tolerance,
) -> Vec<ValidationRow> {
    let name = m.kind.name();
    let re = format!("{name}, growth (1/s)");
    let mut out = vec![ValidationRow::new(group, re, source, growth, m.growth_per_s, tolerance)];
    if let Some(f) = frequency {
        let im = format!("{name}, frequency (rad/s)");
        out.push(ValidationRow::new(group, im, source, f, m.frequency_rad_s, tolerance));
    }
    out
}

/// Printed system matrices of a transport aeroplane; eigenvalues recomputed from them.
#[expect(clippy::approx_constant, reason = "0.4342 is a derivative here, not the log of e")]
fn transport() -> Vec<ValidationRow> {
    const GROUP: &str = "Modes: transport aeroplane, Mach 0.8 at 40,000 ft";
    let source = (
        "Etkin & Reid, Dynamics of Flight (1996), eqs. 6.2,1 and 6.7,1 (equation numbers from memory)",
        Mark::SecondHand,
    );
    let long = Matrix4::new(
        -0.006868, 0.01395, 0.0, -32.2, //
        -0.09055, -0.3151, 773.98, 0.0, //
        0.0001187, -0.001026, -0.4285, 0.0, //
        0.0, 0.0, 1.0, 0.0,
    );
    let lat = Matrix4::new(
        -0.0558, 0.0, -774.0, 32.2, //
        -0.003865, -0.4342, 0.4136, 0.0, //
        0.001086, -0.006112, -0.1458, 0.0, //
        0.0, 1.0, 0.0, 0.0,
    );
    let modes: Vec<Mode> =
        longitudinal_modes(&long, 774.0 * 0.3048).into_iter().chain(lateral_modes(&lat)).collect();
    let digits = |d: f64| Tolerance::Absolute(d);
    let mut out = Vec::new();
    for (kind, root, tolerance) in [
        (ModeKind::Phugoid, (-0.003289, Some(0.06723)), digits(5e-6)),
        (ModeKind::ShortPeriod, (-0.3719, Some(0.8875)), digits(5e-5)),
        (ModeKind::Spiral, (-0.00730, None), digits(5e-6)),
        (ModeKind::Roll, (-0.56248, None), digits(5e-5)),
        (ModeKind::DutchRoll, (-0.03301, Some(0.94655)), digits(5e-5)),
    ] {
        out.extend(root_rows(GROUP, source, find(&modes, kind), root, tolerance));
    }
    out
}

/// From derivatives through the whole chain: loads, trim state, numerical linearisation, roots.
fn general_aviation() -> Vec<ValidationRow> {
    const GROUP: &str = "Modes: general-aviation aeroplane from its derivatives";
    let source = (
        "Nelson, Flight Stability and Automatic Control (1989), general-aviation example; roots computed from the derivatives",
        Mark::SecondHand,
    );
    let aeroplane = Linear::general_aviation();
    let speed_m_s = aeroplane.speed_m_s;
    let Ok(body) = aeroplane.body() else { return Vec::new() };
    let level = Trim::level(speed_m_s);
    let near = linearise(&body, &level);
    let mut modes = longitudinal_modes(&near.longitudinal, speed_m_s);
    modes.extend(lateral_modes(&near.lateral));
    // The book's gravity is 32.2 ft/s2, 0.08 % more than ours.
    let close = Tolerance::Relative(0.005);
    let mut out = Vec::new();
    for (kind, root, tolerance) in [
        (ModeKind::ShortPeriod, (-2.510, Some(2.592)), close),
        (ModeKind::Phugoid, (-0.0171, Some(0.2131)), close),
        (ModeKind::Roll, (-8.435, None), close),
        (ModeKind::DutchRoll, (-0.4870, Some(2.347)), close),
        // A small difference of large numbers: the printed derivatives fix it to about 2 %.
        (ModeKind::Spiral, (-0.0082, None), Tolerance::Relative(0.02)),
    ] {
        out.extend(root_rows(GROUP, source, find(&modes, kind), root, tolerance));
    }
    out
}

/// Lanchester's phugoid of an aeroplane that keeps its incidence. His damping is that of level
/// flight under thrust; in a glide the slope of the path adds half as much again.
fn phugoid() -> Vec<ValidationRow> {
    const GROUP: &str = "Phugoid of a plane that keeps its incidence";
    let level = (
        "Lanchester, Aerodonetics (1908): T = pi sqrt(2) V/g, damping 1/(sqrt(2) L/D)",
        Mark::FromMemory,
    );
    let glide = (
        "the same equations linearised about a glide: T = pi sqrt(2) V/g, damping 3 sin(slope)/(2 sqrt(2))",
        Mark::Computed,
    );
    let exact = Tolerance::Relative(1e-6);
    let mut out = Vec::new();
    for (speed_m_s, lift_to_drag, thrust) in
        [(4.0, 4.0, true), (6.0, 6.0, true), (4.0, 4.0, false), (6.0, 6.0, false)]
    {
        let Ok(body) = (Lanchester { speed_m_s, lift_to_drag, thrust }).body() else { continue };
        let (flight, source, damping) = if thrust {
            ("level", level, 1.0 / (SQRT_2 * lift_to_drag))
        } else {
            ("glide", glide, 1.5 / (SQRT_2 * lift_to_drag.hypot(1.0)))
        };
        let trim = if thrust { Some(Trim::level(speed_m_s)) } else { trims(&body).pop() };
        let Some(trim) = trim else { continue };
        let modes = longitudinal_modes(&linearise(&body, &trim).longitudinal, speed_m_s);
        let m = find(&modes, ModeKind::Phugoid);
        let undamped = TAU / m.growth_per_s.hypot(m.frequency_rad_s);
        let case = |what: &str| format!("{flight} at {speed_m_s} m/s, L/D {lift_to_drag}: {what}");
        let period = PI * SQRT_2 * speed_m_s / GRAVITY_M_S2;
        let row = |what, expected, got| {
            ValidationRow::new(GROUP, case(what), source, expected, got, exact)
        };
        out.push(row("undamped period (s)", period, undamped));
        out.push(row("damping ratio", damping, m.damping_ratio()));
    }
    out
}

const CARD: &str = "Andersen, Pesavento & Wang (J. Fluid Mech. 541, 2005, 91-104)";

/// Fixed points and the roots about the edge-on fall.
fn falling_card_points() -> Vec<ValidationRow> {
    const GROUP: &str = "Falling card: steady falls";
    let source = (CARD, Mark::SecondHand);
    let card = FallingCard { inertia_ratio: 1.2191 };
    let Ok(body) = card.body() else { return Vec::new() };
    let glides = glides(&body);
    // Falling edge-on, the card moves along itself (incidence 180 degrees in the paper's frame).
    let near = |alpha: f64| glides.iter().find(|g| (g.trim.alpha_rad.abs() - alpha).abs() < 1e-3);
    let speed = |alpha| near(alpha).map_or(f64::NAN, |g| g.trim.speed_m_s / card.length_m());
    let to = Tolerance::Absolute(5e-5);
    let mut out = vec![
        ValidationRow::new(GROUP, "edge-on speed", source, 2.80250, speed(PI), to),
        ValidationRow::new(GROUP, "broadside speed", source, 1.14411, speed(PI / 2.0), to),
    ];
    let mut roots: Vec<Mode> = near(PI).map_or(Vec::new(), |g| g.modes[..3].to_vec());
    roots.sort_by(|a, b| a.growth_per_s.total_cmp(&b.growth_per_s));
    let part = |i: usize, f: fn(&Mode) -> f64| roots.get(i).map_or(f64::NAN, f);
    let computed = ("the paper's equations; roots by independent arithmetic", Mark::Computed);
    for (what, expected, got) in [
        ("edge-on, swing, growth", -0.9861, part(0, |m| m.growth_per_s)),
        ("edge-on, swing, frequency", 2.5950, part(0, |m| m.frequency_rad_s)),
        ("edge-on, stable root", -0.5854, part(1, |m| m.growth_per_s)),
        ("edge-on, unstable root", 0.3813, part(2, |m| m.growth_per_s)),
    ] {
        out.push(ValidationRow::new(GROUP, what, computed, expected, got, to));
    }
    out
}

/// Greatest whole turns about the span in `seconds` of fall after the start has died out.
pub fn card_turns(inertia_ratio: f64, seconds: f64) -> Option<f64> {
    let card = FallingCard { inertia_ratio };
    let body = card.body().ok()?;
    let start = Motion {
        position: Vector3::zeros(),
        attitude: attitude(0.0, 0.3, 0.0),
        velocity: Vector3::new(0.1, 0.0, 1.0) * card.length_m(),
        rate: Vector3::zeros(),
    };
    let settle = 60.0;
    // The quaternion cannot count turns, so the rate is added up alongside.
    let (mut turned, mut last, mut lo, mut hi) = (0.0_f64, start.rate.y, 0.0_f64, 0.0_f64);
    let state = (0.0, start.to_state());
    ode::integrate(
        |_, s| body.derivative(s),
        state,
        settle + seconds,
        &FINE,
        |step| {
            let rate = step.at(step.to_s())[11];
            // Simpson's rule on the dense output.
            let middle = step.at(step.from_s + step.length_s / 2.0)[11];
            if step.from_s > settle {
                turned += step.length_s * (last + 4.0 * middle + rate) / 6.0;
                (lo, hi) = (lo.min(turned), hi.max(turned));
            }
            last = rate;
            ControlFlow::Continue(())
        },
    )
    .ok()?;
    Some((hi - lo) / TAU)
}

/// A light card flutters to and fro, a heavy one tumbles.
fn falling_card_motion() -> Vec<ValidationRow> {
    const GROUP: &str = "Falling card: flutter and tumble";
    let source = (CARD, Mark::SecondHand);
    // At the border a turn takes some 50 units of time, far from it a few.
    let cases = [
        (1.1, 60.0, 1.0, Tolerance::AtMost),
        (1.2190, 200.0, 1.0, Tolerance::AtMost),
        (1.2192, 200.0, 2.0, Tolerance::AtLeast),
        (1.4, 60.0, 3.0, Tolerance::AtLeast),
    ];
    let row = |(inertia_ratio, time, turns, tolerance)| {
        let (does, bound) = match tolerance {
            Tolerance::AtMost => ("flutters", "at most"),
            _ => ("tumbles", "at least"),
        };
        let case =
            format!("I* = {inertia_ratio:.4} {does}: turns in {time} units of time, {bound}");
        let counted = card_turns(inertia_ratio, time).unwrap_or(f64::NAN);
        ValidationRow::new(GROUP, case, source, turns, counted, tolerance)
    };
    cases.map(row).to_vec()
}

/// A ball without and with drag.
fn closed_forms() -> Vec<ValidationRow> {
    const GROUP: &str = "Throws in closed form";
    let ball = |drag_kg_m| Body::new(0.005, Matrix3::identity() * 1e-5, Ball { drag_kg_m });
    let (v, e, h) = (6.0_f64, 0.5_f64, 1.7);
    let time =
        (v * e.sin() + ((v * e.sin()).powi(2) + 2.0 * GRAVITY_M_S2 * h).sqrt()) / GRAVITY_M_S2;
    let flown = |drag: f64, throw: Throw| {
        ball(drag).and_then(|b| fly(&b, &throw, &Hall::default(), 0.02)).ok()
    };
    let parabola = flown(0.0, Throw::straight(v, e, h));
    let distance = parabola.as_ref().map_or(f64::NAN, |f| f.distance_m);
    let k = 0.01;
    let terminal = (0.005 * GRAVITY_M_S2 / k).sqrt();
    let dropped = flown(k, Throw::straight(0.0, 0.0, 10.0));
    let fall = dropped.map_or(f64::NAN, |f| f.time_aloft_s);
    // h = (vt^2 / g) ln cosh(g t / vt).
    let c = (10.0 * GRAVITY_M_S2 / (terminal * terminal)).exp();
    let exact_fall = terminal / GRAVITY_M_S2 * (c + (c * c - 1.0).sqrt()).ln();
    let source = |s| (s, Mark::Computed);
    vec![
        ValidationRow::new(
            GROUP,
            "parabola without air, distance (m)",
            source("Galilei's parabola, with the standard acceleration of free fall (CGPM 1901)"),
            v * e.cos() * time,
            distance,
            Tolerance::Absolute(1e-8),
        ),
        ValidationRow::new(
            GROUP,
            "drop with drag as the square of speed, time (s)",
            source("h = vt^2/g ln cosh(g t/vt)"),
            exact_fall,
            fall,
            Tolerance::Relative(1e-4),
        ),
        ValidationRow::new(
            GROUP,
            "time to half of a root of -0.35 1/s (s)",
            source("ln 2 over the rate"),
            LN_2 / 0.35,
            Mode { kind: ModeKind::Roll, growth_per_s: -0.35, frequency_rad_s: 0.0 }
                .time_to_half_s()
                .unwrap_or(f64::NAN),
            Tolerance::Absolute(1e-12),
        ),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::validation::failures;

    #[test]
    fn published_flight_mechanics() {
        let rows = rows();
        for r in &rows {
            println!("{:<52} {:>12.6} {:>12.6} {}", r.case, r.expected, r.computed, r.pass);
        }
        assert!(rows.len() >= 35, "{}", rows.len());
        assert!(rows.iter().all(|r| r.pass), "{}", failures(&rows));
    }
}
