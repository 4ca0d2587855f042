use nalgebra::Matrix3;

use super::super::textbook::{Ball, FallingCard, Lanchester};
use super::super::throw::{Hall, fly_from};
use super::*;

/// A flat plate with lift, drag and a centre of pressure, and optionally a lopsided wing.
#[derive(Clone, Copy)]
struct Plate {
    /// Centre of pressure ahead of the balance point at small incidence, m.
    ahead_m: f64,
    /// Nose-up moment coefficient at zero lift.
    cm0: f64,
    /// Rolling moment coefficient.
    roll: f64,
}

impl AirLoads for Plate {
    fn loads(&self, v: &Vector3<f64>, w: &Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let speed = v.norm();
        if speed == 0.0 {
            return (Vector3::zeros(), Vector3::zeros());
        }
        let (s, chord, span) = (0.03, 0.14, 0.21);
        let q = 0.6 * speed * speed * s;
        let alpha = v.z.atan2(v.x.hypot(v.y));
        let normal = q * (2.0 * alpha.sin() * alpha.cos() + 1.2 * alpha.sin() * alpha.sin().abs());
        let axial = q * 0.02 * v.x / speed;
        let side = -q * 0.3 * v.y / speed;
        // The centre of pressure moves to the middle of the plate as it turns broadside.
        let arm = self.ahead_m - 0.08 * alpha.sin().abs();
        let rate = w * (q * chord * chord / speed);
        let moment = Vector3::new(
            q * span * (self.roll - 0.1 * v.y / speed) - rate.x,
            q * chord * self.cm0 + normal * arm - rate.y,
            q * span * 0.05 * v.y / speed - rate.z,
        );
        (Vector3::new(-axial, side, -normal), moment)
    }
    fn added_mass(&self) -> Matrix6<f64> {
        let mut a = Matrix6::zeros();
        a[(2, 2)] = 0.002;
        a
    }
}

fn plate(ahead_m: f64, cm0: f64, roll: f64) -> Body<Plate> {
    let inertia = Matrix3::from_diagonal(&Vector3::new(1.5e-5, 1e-5, 2.4e-5));
    Body::new(0.005, inertia, Plate { ahead_m, cm0, roll }).unwrap()
}

/// The incidence and speed that the loads above give by hand.
#[test]
fn the_glide_of_a_plate_is_the_one_worked_out_by_hand() {
    let ahead = 0.012;
    let body = plate(ahead, 0.0, 0.0);
    let found = trims(&body);
    let alpha = (ahead / 0.08_f64).asin();
    let t = found.iter().find(|t| (t.alpha_rad - alpha).abs() < 1e-9).expect("the glide");
    let cn = 2.0 * alpha.sin() * alpha.cos() + 1.2 * alpha.sin().powi(2);
    let ca = 0.02 * alpha.cos();
    let speed = (body.weight_n() / (0.6 * 0.03 * cn.hypot(ca))).sqrt();
    assert!((t.speed_m_s - speed).abs() < 1e-9);
    let (cl, cd) = (cn * alpha.cos() - ca * alpha.sin(), cn * alpha.sin() + ca * alpha.cos());
    assert!((t.lift_to_drag - cl / cd).abs() < 1e-9);
    assert!((t.glide_angle_rad.tan() - cd / cl).abs() < 1e-9);
    assert!(t.statically_stable && t.balanced && !t.inverted);
    assert!((t.sink_m_s - speed * t.glide_angle_rad.sin()).abs() < 1e-12);
    // At no incidence it falls edge-on, and is not stable there: the balance point is too far aft.
    let dive = found.iter().find(|t| t.alpha_rad.abs() < 1e-9).expect("the dive");
    assert!(!dive.statically_stable && dive.lift_to_drag < 1e-6);
}

#[test]
fn upside_down_counts_as_upside_down() {
    let found = trims(&plate(0.012, 0.0, 0.0));
    let on_back: Vec<_> = found.iter().filter(|t| t.inverted).collect();
    assert!(on_back.iter().any(|t| t.alpha_rad < 0.0 && t.alpha_rad > -0.3));
}

#[test]
fn a_nose_heavy_plate_needs_the_bent_edge() {
    let gliding = |b: &Body<Plate>| {
        trims(b).iter().any(|t| t.lift_to_drag > 1.0 && !t.inverted && t.statically_stable)
    };
    assert!(!gliding(&plate(-0.004, 0.0, 0.0)));
    assert!(gliding(&plate(-0.004, 0.01, 0.0)));
}

#[test]
fn a_lopsided_plate_glides_in_a_steady_turn() {
    let body = plate(0.012, 0.0, 0.002);
    let found = trims(&body);
    let t = found.iter().find(|t| t.lift_to_drag > 3.0 && !t.inverted).expect("a glide");
    assert!(t.balanced);
    let a = body.acceleration(&t.velocity, &t.rate, &t.down);
    assert!(a.amax() < 1e-6, "{a}");
    assert!(t.turn_rate_rad_s.abs() > 1e-3);
    let mirror = trims(&plate(0.012, 0.0, -0.002));
    let m = mirror.iter().find(|m| (m.alpha_rad - t.alpha_rad).abs() < 1e-6).expect("its mirror");
    assert!((m.turn_rate_rad_s + t.turn_rate_rad_s).abs() < 1e-6);
    assert!((m.bank_rad + t.bank_rad).abs() < 1e-6);
}

#[test]
fn flown_from_trim_it_stays_there() {
    let body = plate(0.012, 0.0, 0.0);
    let t = trims(&body).into_iter().find(|t| t.lift_to_drag > 3.0 && !t.inverted).unwrap();
    let f = fly_from(&body, &t.motion(Vector3::new(0.0, 0.0, 1.6)), &Hall::default(), 0.05);
    let f = f.unwrap();
    assert!((f.distance_m / 1.6 - t.lift_to_drag).abs() < 1e-3 * t.lift_to_drag);
    assert!((f.time_aloft_s * t.sink_m_s / 1.6 - 1.0).abs() < 1e-3);
}

#[test]
fn a_ball_without_moments_is_in_balance_everywhere_and_without_air_nowhere() {
    let still = Body::new(0.005, Matrix3::identity() * 1e-5, Ball { drag_kg_m: 0.0 }).unwrap();
    assert_eq!(trims(&still), vec![]);
}

#[test]
fn a_card_falls_edge_on_and_flat() {
    let card = FallingCard { inertia_ratio: 1.2 };
    let found = trims(&card.body().unwrap());
    let speeds: Vec<f64> = found.iter().map(|t| t.speed_m_s / card.length_m()).collect();
    let edge = FallingCard::edge_on_speed();
    assert!(speeds.iter().any(|s| (s - edge).abs() < 1e-9), "{speeds:?}");
    assert!(speeds.iter().any(|s| (s - FallingCard::broadside_speed()).abs() < 1e-9));
}

#[test]
fn lanchester_has_one_glide() {
    let body = Lanchester { speed_m_s: 4.0, lift_to_drag: 5.0, thrust: false }.body().unwrap();
    let found = trims(&body);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!((found[0].speed_m_s - 4.0).abs() < 1e-9);
    assert!((found[0].lift_to_drag - 5.0).abs() < 1e-9);
}
