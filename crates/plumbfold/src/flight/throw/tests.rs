use nalgebra::Matrix3;
use proptest::prelude::*;

use super::super::plate::Plate;
use super::super::rigid::GRAVITY_M_S2;
use super::super::textbook::{Ball, FallingCard, Lanchester};
use super::super::wind::Gust;
use super::*;

const OPEN: Hall = Hall::OPEN;

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
    let hall = |length_m, half_width_m, ceiling_m| Hall {
        length_m,
        half_width_m,
        ceiling_m,
        ..Hall::OPEN
    };
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

/// Galileo: in a steady wind everything goes as in still air, seen from the wind.
#[test]
fn a_steady_wind_is_still_air_seen_from_a_floor_that_moves() {
    let plate = Plate::default();
    let throw = Throw::straight(4.0, 0.1, 1.6);
    let wind = |x: f64| Wind { steady_m_s: [x, 0.0, 0.0], ..Wind::STILL };
    let ahead = Hall { wind: wind(-0.5), ..OPEN };
    let in_wind = fly(&plate.body(), &throw, &ahead, 0.05).unwrap();
    // The same through the air: half a metre a second more along the floor of the hall.
    let mut faster = throw.release().unwrap();
    faster.velocity += faster.attitude.inverse_transform_vector(&Vector3::new(0.5, 0.0, 0.0));
    let still = fly_from(&plate.body(), &faster, &OPEN, 0.05).unwrap();
    assert!((in_wind.time_aloft_s - still.time_aloft_s).abs() < 1e-9);
    for (a, b) in in_wind.samples.iter().zip(&still.samples) {
        let blown = b.motion.position - Vector3::new(0.5, 0.0, 0.0) * b.t_s;
        assert!((a.motion.position - blown).norm() < 1e-9, "{}", a.t_s);
        assert!((a.motion.velocity - b.motion.velocity).norm() < 1e-9, "{}", a.t_s);
    }
    assert!(in_wind.distance_m < fly(&plate.body(), &throw, &OPEN, 0.05).unwrap().distance_m);
}

#[test]
fn a_gust_moves_nothing_that_the_air_does_not_push() {
    let gust = Gust { peak_m_s: [1.0, -2.0, 0.5], begins_s: 0.1, lasts_s: 0.4 };
    let hall = Hall { wind: Wind { gusts: [gust, Gust::default()], ..Wind::STILL }, ..OPEN };
    let throw = Throw::straight(5.0, 0.3, 1.7);
    let (calm, gusty) =
        (fly(&ball(0.0), &throw, &OPEN, 0.05), fly(&ball(0.0), &throw, &hall, 0.05));
    let (calm, gusty) = (calm.unwrap(), gusty.unwrap());
    let apart = calm.last().motion.position - gusty.last().motion.position;
    assert!(apart.norm() < 3e-4, "{apart}");
    // What the air pushes goes with it in the end.
    let wind = Wind { steady_m_s: [0.0, -1.5, 0.0], ..Wind::STILL };
    let blown = fly(&ball(0.02), &throw, &Hall { wind, ..OPEN }, 0.05).unwrap();
    let aside = blown.last().room_velocity().y;
    assert!((-1.5..-1.2).contains(&aside), "{aside}");
}

#[test]
fn walls_are_met_where_they_stand_though_the_air_moves() {
    let wind = Wind { steady_m_s: [0.0, -1.0, 0.0], ..Wind::STILL };
    let hall = Hall { half_width_m: Some(0.4), wind, ..OPEN };
    let f = fly(&ball(0.02), &Throw::straight(3.0, 0.2, 1.7), &hall, 0.02).unwrap();
    assert_eq!(f.end, End::SideWall);
    assert!((f.last().motion.position.y + 0.4).abs() < 1e-9, "blown to the right");
}

#[test]
fn a_throw_with_sideslip_meets_the_air_from_the_side_and_leaves_along_the_hand() {
    let throw = Throw { sideslip_rad: 0.2, yaw_rate_rad_s: 0.7, ..Throw::straight(4.0, 0.3, 1.6) };
    let m = throw.release().unwrap();
    assert!((m.velocity.y - 4.0 * 0.2_f64.sin()).abs() < 1e-12, "{}", m.velocity);
    let v = m.room_velocity();
    assert!((v - Vector3::new(4.0 * 0.3_f64.cos(), 0.0, 4.0 * 0.3_f64.sin())).norm() < 1e-12);
    assert_eq!(m.rate.z, 0.7);
}

#[test]
fn what_never_comes_down_is_still_up_and_costs_no_more_than_its_steps() {
    struct Kite;
    impl AirLoads for Kite {
        fn loads(&self, v: &Vector3<f64>, _: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
            // Weightless, and so strongly damped that each step must be short.
            (Vector3::new(0.0, 0.0, -0.005 * GRAVITY_M_S2) - v * 5.0, Vector3::zeros())
        }
        fn added_mass(&self) -> nalgebra::Matrix6<f64> {
            nalgebra::Matrix6::zeros()
        }
    }
    let body = Body::new(0.005, Matrix3::identity() * 1e-5, Kite).unwrap();
    let f = fly(&body, &Throw::straight(1.0, 0.0, 1.6), &OPEN, 0.05).unwrap();
    assert_eq!(f.end, End::StillUp);
    assert!(f.cost.steps() <= FLIGHT_ACCURACY.steps_max, "{:?}", f.cost);
    assert!(f.time_aloft_s > FOLLOWED_LEAST_S && f.last().t_s == f.time_aloft_s);
}
