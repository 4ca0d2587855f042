use super::*;

macro_rules! vector {
    ($($x:expr),+) => { State::from([$($x),+]) };
}

const FINE: Accuracy =
    Accuracy { relative: 1e-10, absolute: 1e-10, step_max_s: 1.0, steps_max: 20_000 };

/// Runs with steps of exactly `h` (the tolerance never rejects) and gives the end state.
fn fixed(h: f64, t_end: f64, f: impl Fn(f64, &State<2>) -> State<2>, y0: State<2>) -> State<2> {
    let loose = Accuracy { relative: 1e9, absolute: 1e9, step_max_s: h, steps_max: 20_000 };
    let mut y = y0;
    integrate(f, (0.0, y0), t_end, &loose, |s| {
        y = s.at(s.to_s());
        ControlFlow::Continue(())
    })
    .unwrap();
    y
}

#[test]
fn global_error_falls_with_the_fifth_power_of_the_step() {
    let oscillator = |_: f64, y: &State<2>| vector![y[1], -y[0]];
    let error = |h: f64| {
        let y = fixed(h, 2.0, oscillator, vector![1.0, 0.0]);
        (y - vector![2.0_f64.cos(), -(2.0_f64.sin())]).norm()
    };
    let order = (error(0.1) / error(0.05)).log2();
    assert!((4.8..5.4).contains(&order), "order {order}");
}

#[test]
fn dense_output_is_of_fourth_order() {
    let oscillator = |_: f64, y: &State<2>| vector![y[1], -y[0]];
    let worst = |h: f64| {
        let loose = Accuracy { relative: 1e9, absolute: 1e9, step_max_s: h, steps_max: 20_000 };
        let mut worst = 0.0_f64;
        integrate(oscillator, (0.0, vector![1.0, 0.0]), 2.0, &loose, |s| {
            for i in 1..10 {
                let t = s.from_s + s.length_s * f64::from(i) / 10.0;
                worst = worst.max((s.at(t)[0] - t.cos()).abs());
            }
            ControlFlow::Continue(())
        })
        .unwrap();
        worst
    };
    let order = (worst(0.2) / worst(0.1)).log2();
    assert!((3.8..5.6).contains(&order), "order {order}");
}

#[test]
fn events_are_exact_to_rounding() {
    // Dropped from 1.6 m without air: t = sqrt(2 h / g).
    let fall = |_: f64, y: &State<2>| vector![y[1], -9.80665];
    let mut hit = None;
    integrate(fall, (0.0, vector![1.6, 0.0]), 9.0, &FINE, |s| {
        hit = s.first_fall_to_zero(|_, y| y[0]).map(|t| (t, s.at(t)[0]));
        if hit.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    })
    .unwrap();
    let (t, z) = hit.unwrap();
    assert!((t - (3.2_f64 / 9.80665).sqrt()).abs() < 1e-14, "{t}");
    assert!(z.abs() < 1e-14, "{z}");
}

#[test]
fn a_dip_within_one_step_is_seen() {
    // Parabola reaching -0.1 at t = 0.5, in one step of length 1.
    let f = |t: f64, _: &State<1>| vector![8.0 * (t - 0.5)];
    let loose = Accuracy { relative: 1e9, absolute: 1e9, step_max_s: 1.0, steps_max: 20_000 };
    let mut hit = None;
    integrate(f, (0.0, vector![0.9]), 1.0, &loose, |s| {
        hit = hit.or(s.first_fall_to_zero(|_, y| y[0]));
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!((hit.unwrap() - (0.5 - 0.025_f64.sqrt())).abs() < 1e-12);
}

#[test]
fn adaptive_error_follows_the_tolerance() {
    // Arenstorf orbit, Hairer, Norsett & Wanner (1993), eq. II.0.1-2: closes after one period.
    let arenstorf = |_: f64, s: &State<4>| {
        let (mu, nu) = (0.012277471, 1.0 - 0.012277471);
        let (x, y) = (s[0], s[1]);
        let d1 = ((x + mu).powi(2) + y * y).powf(1.5);
        let d2 = ((x - nu).powi(2) + y * y).powf(1.5);
        vector![
            s[2],
            s[3],
            x + 2.0 * s[3] - nu * (x + mu) / d1 - mu * (x - nu) / d2,
            y - 2.0 * s[2] - nu * y / d1 - mu * y / d2
        ]
    };
    let start = vector![0.994, 0.0, 0.0, -2.001_585_106_379_082_5];
    let period = 17.065_216_560_157_964;
    let accuracy =
        Accuracy { relative: 1e-12, absolute: 1e-12, step_max_s: 20.0, steps_max: 20_000 };
    let mut end = start;
    let cost = integrate(arenstorf, (0.0, start), period, &accuracy, |s| {
        end = s.at(s.to_s());
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!((end - start).norm() < 1e-5, "{}", (end - start).norm());
    assert!(cost.accepted < 3000, "{cost:?}");
}

#[test]
fn bad_equations_end_in_errors() {
    let go = |f: fn(f64, &State<1>) -> State<1>, t_end| {
        integrate(f, (0.0, vector![1.0]), t_end, &FINE, |_| ControlFlow::Continue(()))
    };
    assert_eq!(go(|_, _| vector![f64::NAN], 1.0), Err(OdeError::NotFinite { t_s: 0.0 }));
    // y' = y^2 runs away at t = 1.
    assert!(go(|_, y| y.component_mul(y), 2.0).is_err());
    // A derivative that jumps at every look.
    assert!(go(|t, _| vector![if t > 0.5 { f64::NAN } else { 1.0 }], 1.0).is_err());
}
