use std::ops::ControlFlow;

use proptest::prelude::*;

use super::super::ode::{self, Accuracy};
use super::super::textbook::{FallingCard, Ideal};
use super::*;

const FINE: Accuracy =
    Accuracy { relative: 1e-10, absolute: 1e-10, step_max_s: 0.1, steps_max: 20_000 };

fn follow<A: AirLoads>(body: &Body<A>, start: &Motion, t_s: f64) -> Vec<Motion> {
    let mut path = vec![*start];
    ode::integrate(
        |_, s| body.derivative(s),
        (0.0, start.to_state()),
        t_s,
        &FINE,
        |step| {
            path.push(Motion::from_state(&step.at(step.to_s())));
            ControlFlow::Continue(())
        },
    )
    .unwrap();
    path
}

/// A paper-like body in ideal fluid: anisotropic added mass with force-moment coupling.
fn ideal() -> Body<Ideal> {
    let b = Matrix6::from_fn(|i, j| {
        let k = [0.01, 0.02, 0.05, 0.002, 0.001, 0.0015];
        if i == j { k[i] } else { 0.0003 * ((i + 2 * j) as f64).sin() }
    });
    let added_mass = b * b.transpose();
    let inertia = Matrix3::new(8e-6, 0.0, 1e-6, 0.0, 1.1e-5, 0.0, 1e-6, 0.0, 1.8e-5);
    Body::new(0.005, inertia, Ideal { added_mass }).unwrap()
}

fn start() -> Motion {
    Motion {
        position: Vector3::new(0.0, 0.0, 2.0),
        attitude: attitude(0.3, -0.2, 0.1),
        velocity: Vector3::new(3.0, 0.4, 0.8),
        rate: Vector3::new(2.0, -3.0, 1.0),
    }
}

#[test]
fn ideal_fluid_keeps_energy() {
    let body = ideal();
    let path = follow(&body, &start(), 3.0);
    let e0 = body.energy_j(&path[0]);
    let worst = path.iter().map(|m| (body.energy_j(m) / e0 - 1.0).abs()).fold(0.0, f64::max);
    assert!(worst < 1e-7, "{worst}");
    assert!(path.len() > 20, "the motion should be lively");
}

#[test]
fn drag_never_adds_energy() {
    let body = FallingCard { inertia_ratio: 1.4 }.body().unwrap();
    let m = Motion { velocity: Vector3::new(8.0, 0.0, 3.0), rate: Vector3::y(), ..start() };
    let m = Motion { attitude: attitude(0.0, 0.2, 0.0), ..m };
    let path = follow(&body, &m, 20.0);
    for w in path.windows(2) {
        let (a, b) = (body.energy_j(&w[0]), body.energy_j(&w[1]));
        assert!(b <= a + 1e-9 * a.abs(), "{a} -> {b}");
    }
}

#[test]
fn free_spin_keeps_angular_momentum() {
    let still = Ideal { added_mass: Matrix6::zeros() };
    let inertia = Matrix3::from_diagonal(&Vector3::new(1.0, 2.0, 2.5));
    let body = Body::new(1.0, inertia, still).unwrap();
    let path = follow(&body, &start(), 4.0);
    let h = |m: &Motion| m.attitude * (inertia * m.rate);
    let drift = path.iter().map(|m| (h(m) - h(&path[0])).norm()).fold(0.0, f64::max);
    assert!(drift < 1e-7, "{drift}");
}

#[test]
fn angles_go_there_and_back() {
    for (b, p, h) in [(0.0, 0.0, 0.0), (0.3, -0.4, 1.0), (-2.0, 1.2, -0.5)] {
        let m = Motion { attitude: attitude(b, p, h), ..start() };
        let (b2, p2, h2) = m.bank_pitch_heading();
        assert!((b - b2).abs() + (p - p2).abs() + (h - h2).abs() < 1e-12);
    }
    // Nose up points up, a heading to the right points to -y, right wing down points down.
    assert!((attitude(0.0, 0.5, 0.0) * Vector3::x()).z > 0.4);
    assert!((attitude(0.0, 0.0, 0.5) * Vector3::x()).y < -0.4);
    assert!((attitude(0.5, 0.0, 0.0) * Vector3::y()).z < -0.4);
}

#[test]
fn things_without_mass_are_refused() {
    let air = Ideal { added_mass: Matrix6::zeros() };
    let one = Matrix3::identity();
    for (m, i) in [(0.0, one), (-1.0, one), (f64::NAN, one), (1.0, one * 0.0), (1.0, one * -1.0)] {
        assert!(Body::new(m, i, air.clone()).is_err(), "{m} {i}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Turning the room about its vertical turns the path and nothing else.
    #[test]
    fn headings_are_all_alike(turn in -3.0..3.0_f64) {
        let body = ideal();
        let about_z = UnitQuaternion::from_axis_angle(&Vector3::z_axis(), turn);
        let a = start();
        let b = Motion { position: about_z * a.position, attitude: about_z * a.attitude, ..a };
        let (p, q) = (follow(&body, &a, 0.7), follow(&body, &b, 0.7));
        let (p, q) = (p.last().unwrap(), q.last().unwrap());
        prop_assert!((about_z * p.position - q.position).norm() < 1e-7);
        prop_assert!((p.rate - q.rate).norm() < 1e-6);
    }
}
