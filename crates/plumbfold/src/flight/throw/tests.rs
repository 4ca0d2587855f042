use nalgebra::Matrix3;
use proptest::prelude::*;

use super::super::plate::Plate;
use super::super::rigid::GRAVITY_M_S2;
use super::super::textbook::{Ball, FallingCard, Lanchester};
use super::*;

const OPEN: Hall = Hall { length_m: None, half_width_m: None, ceiling_m: None };

fn ball(drag_kg_m: f64) -> Body<Ball> {
    Body::new(0.005, Matrix3::identity() * 1e-5, Ball { drag_kg_m }).unwrap()
}

#[test]
fn a_throw_without_air_is_a_parabola() {
    let (v, e, h) = (6.0_f64, 0.5_f64, 1.7);
    let f = fly(&ball(0.0), &Throw::straight(v, e, h), &OPEN, 0.05).unwrap();
    let (vx, vz) = (v * e.cos(), v * e.sin());
    let t = (vz + (vz * vz + 2.0 * GRAVITY_M_S2 * h).sqrt()) / GRAVITY_M_S2;
    assert!((f.time_aloft_s - t).abs() < 1e-9, "{} {t}", f.time_aloft_s);
    assert!((f.distance_m - vx * t).abs() < 1e-9);
    assert!((f.max_height_m - h - vz * vz / (2.0 * GRAVITY_M_S2)).abs() < 1e-9);
    assert_eq!(f.end, End::Ground);
    assert!(f.last().motion.position.z.abs() < 1e-12);
    let t3 = f.samples[3].t_s;
    assert_eq!(t3, 3.0 * 0.05);
    let z3 = h + vz * t3 - GRAVITY_M_S2 * t3 * t3 / 2.0;
    assert!((f.samples[3].motion.position.z - z3).abs() < 1e-9);
}

#[test]
fn a_dropped_ball_nears_its_terminal_velocity() {
    // v = vt tanh(g t / vt).
    let k = 0.01;
    let terminal = (0.005 * GRAVITY_M_S2 / k).sqrt();
    let f = fly(&ball(k), &Throw::straight(0.0, 0.0, 10.0), &OPEN, 0.1).unwrap();
    for s in &f.samples {
        let exact = terminal * (GRAVITY_M_S2 * s.t_s / terminal).tanh();
        let fall = -s.motion.room_velocity().z;
        assert!((fall - exact).abs() < 1e-4 * terminal, "{} {fall} {exact}", s.t_s);
    }
    assert!((f.last().motion.velocity.norm() / terminal - 1.0).abs() < 1e-4);
}

#[test]
fn walls_and_ceiling_are_hit_exactly() {
    let throw = Throw::straight(9.0, 0.9, 1.5);
    let hall =
        |length, half, ceiling| Hall { length_m: length, half_width_m: half, ceiling_m: ceiling };
    let f = fly(&ball(0.0), &throw, &hall(Some(3.0), None, None), 0.02).unwrap();
    assert_eq!(f.end, End::FarWall);
    assert!((f.last().motion.position.x - 3.0).abs() < 1e-12);
    let f = fly(&ball(0.0), &throw, &hall(Some(3.0), None, Some(3.0)), 0.02).unwrap();
    assert_eq!(f.end, End::Ceiling);
    assert!((f.last().motion.position.z - 3.0).abs() < 1e-12);
    let mut m = throw.release().unwrap();
    m.attitude = attitude(0.0, 0.9, 0.4);
    let f = fly_from(&ball(0.0), &m, &hall(None, Some(1.0), None), 0.02).unwrap();
    assert_eq!(f.end, End::SideWall);
    assert!((f.last().motion.position.y + 1.0).abs() < 1e-12);
}

#[test]
fn a_banked_throw_leaves_along_the_hand() {
    let throw = Throw { bank_rad: 0.5, incidence_rad: 0.1, ..Throw::straight(4.0, 0.3, 1.6) };
    let m = throw.release().unwrap();
    let v = m.room_velocity();
    assert!((v - Vector3::new(4.0 * 0.3_f64.cos(), 0.0, 4.0 * 0.3_f64.sin())).norm() < 1e-12);
    assert!((m.velocity.z.atan2(m.velocity.x) - 0.1).abs() < 1e-12);
    assert!((m.attitude * Vector3::y()).z < -0.4);
}

#[test]
fn mirror_throws_fly_mirror_paths() {
    let body = Lanchester { speed_m_s: 4.0, lift_to_drag: 5.0, thrust: false }.body().unwrap();
    let throw = |bank_rad| Throw { bank_rad, ..Throw::straight(4.5, 0.1, 1.6) };
    let right = fly(&body, &throw(0.3), &OPEN, 0.05).unwrap();
    let left = fly(&body, &throw(-0.3), &OPEN, 0.05).unwrap();
    assert_eq!(right.samples.len(), left.samples.len());
    for (r, l) in right.samples.iter().zip(&left.samples) {
        let (r, l) = (r.motion.position, l.motion.position);
        assert!((r.x - l.x).abs() + (r.y + l.y).abs() + (r.z - l.z).abs() < 1e-10);
    }
    assert!(right.last().motion.position.y < -0.1, "banked right flies right (-y)");
}

#[test]
fn throws_no_hand_makes_are_errors() {
    let good = Throw::straight(4.0, 0.0, 1.6);
    let bad = [
        Throw { speed_m_s: f64::NAN, ..good },
        Throw { speed_m_s: -1.0, ..good },
        Throw { speed_m_s: 500.0, ..good },
        Throw { elevation_rad: 2.0, ..good },
        Throw { height_m: f64::INFINITY, ..good },
        Throw { pitch_rate_rad_s: 1e9, ..good },
    ];
    for t in bad {
        assert!(matches!(t.release(), Err(FlightError::Throw { .. })), "{t:?}");
    }
    let card = FallingCard { inertia_ratio: 1.1 }.body().unwrap();
    for e in [-PI / 2.0, PI / 2.0] {
        let f = fly(&card, &Throw::straight(5.0, e, 1.6), &OPEN, 0.02).unwrap();
        assert!(f.samples.iter().all(|s| s.motion.to_state().iter().all(|x| x.is_finite())));
    }
}

#[test]
fn the_height_of_zero_ends_at_once() {
    let f = fly(&ball(0.0), &Throw::straight(4.0, -0.1, 0.0), &OPEN, 0.02).unwrap();
    assert_eq!((f.end, f.samples.len() >= 2), (End::Ground, true));
    assert!(f.time_aloft_s < 1e-3, "{}", f.time_aloft_s);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Any throw a hand could make of any plate ends, in numbers, and is something.
    #[test]
    fn every_throw_ends_in_numbers(
        speed in 0.0..20.0_f64,
        elevation in -PI / 2.0..PI / 2.0,
        bank in -PI..PI,
        height in 0.0..5.0_f64,
        balance_mm in -20.0..200.0_f64,
        cm0 in -0.1..0.1_f64,
    ) {
        let plate = Plate { balance_m: balance_mm * 1e-3, cm0, roll: 0.001 };
        let throw = Throw { bank_rad: bank, ..Throw::straight(speed, elevation, height) };
        let flight = fly(&plate.body(), &throw, &OPEN, 0.02).unwrap();
        let finite = |m: &Motion| m.to_state().iter().all(|x| x.is_finite());
        prop_assert!(flight.samples.iter().all(|s| finite(&s.motion)));
        prop_assert!(flight.time_aloft_s <= TIME_LIMIT_S);
        let found = crate::verdict::judge(&crate::verdict::Path::new(&flight));
        prop_assert!(found.evidence.iter().all(|e| e.value.is_finite()), "{found:?}");
        prop_assert!(!found.sentence.contains("NaN"));
    }
}
