use super::super::textbook::{Lanchester, Linear};
use super::*;

#[test]
fn linearising_gives_back_the_derivatives() {
    let a = Linear::general_aviation();
    let (m, iy, u0) = (a.mass_kg, a.inertia_kg_m2[(1, 1)], a.speed_m_s);
    let d = a.derivatives;
    let mw_dot = a.moment_per_w_dot / iy;
    let near = linearise(&a.body().unwrap(), &Trim::level(u0));
    let l = near.longitudinal;
    let (zw, mw, mq) = (d[(2, 2)] / m, d[(4, 2)] / iy, d[(4, 4)] / iy);
    for (got, expected) in [
        (l[(0, 0)], d[(0, 0)] / m),
        (l[(0, 3)], -GRAVITY_M_S2),
        (l[(1, 1)], zw),
        (l[(1, 2)], u0),
        (l[(2, 1)], mw + mw_dot * zw),
        (l[(2, 2)], mq + mw_dot * u0),
        (l[(3, 2)], 1.0),
        (near.lateral[(0, 3)], GRAVITY_M_S2),
        (near.lateral[(3, 1)], 1.0),
        (near.lateral[(0, 2)], -u0),
    ] {
        assert!((got - expected).abs() < 1e-7 * expected.abs().max(1.0), "{got} {expected}");
    }
    assert!(near.coupling < 1e-9);
}

#[test]
fn times_follow_from_the_root() {
    let m = Mode { kind: ModeKind::Phugoid, growth_per_s: -0.5, frequency_rad_s: 2.0 };
    assert!((m.time_to_half_s().unwrap() * 0.5 - 2.0_f64.ln()).abs() < 1e-12);
    assert_eq!(m.time_to_double_s(), None);
    assert!((m.period_s().unwrap() - std::f64::consts::PI).abs() < 1e-12);
    let slow = Mode { kind: ModeKind::Spiral, growth_per_s: 0.05, frequency_rad_s: 0.0 };
    let quick = Mode { growth_per_s: 0.5, ..slow };
    assert!(slow.harmless() && !quick.harmless());
}

#[test]
fn four_plain_lateral_roots_all_get_a_name() {
    let m = Matrix4::from_diagonal(&nalgebra::Vector4::new(-8.0, -0.1, -2.0, -1.0));
    let kinds: Vec<ModeKind> = lateral_modes(&m).iter().map(|m| m.kind).collect();
    use ModeKind::{Roll, Spiral, YawSubsidence};
    assert_eq!(kinds, [Roll, YawSubsidence, YawSubsidence, Spiral]);
    assert!(lateral_modes(&(m * f64::NAN)).is_empty());
}

#[test]
fn the_phugoid_of_a_bad_glider_is_dead() {
    let body = Lanchester { speed_m_s: 4.0, lift_to_drag: 0.5, thrust: false }.body().unwrap();
    let g = &glides(&body)[0];
    assert!(g.stable, "{g:?}");
}
