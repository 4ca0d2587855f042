use super::*;
use approx::assert_relative_eq;

/// A balance line through a place at an angle to the line of symmetry, shifted across itself.
fn line(at: [f64; 2], degrees: f64, shift: f64) -> Measure {
    let (s, c) = degrees.to_radians().sin_cos();
    let (along, across) = (Vector2::new(s, c), Vector2::new(c, -s));
    let p = Pt::new(at[0], at[1]) + across * shift;
    Measure::Line { a: p - along * 40.0, b: p + along * 40.0, sd_mm: EDGE_SD_MM }
}

#[test]
fn planted_lines_cross_where_they_were_planted() {
    for at in [[0.0, 80.0], [0.4, 120.0]] {
        let lines = [90.0, 40.0, 130.0, 10.0].map(|a| line(at, a, 0.0));
        let found = locate(&lines, false).unwrap();
        assert_relative_eq!(found.at.x, at[0], epsilon = 1e-9);
        assert_relative_eq!(found.at.y, at[1], epsilon = 1e-9);
        assert!(found.passes.iter().all(|p| p.off_mm < 1e-9) && !found.disagrees());
        assert!(found.triangle.unwrap().iter().all(|s| *s < 1e-9));
    }
}

/// Lines that cross beside the line of symmetry tell a lopsided plane, not a bad measurement; near it,
/// or at a small angle, the symmetry is the surer of both.
#[test]
fn lines_that_cross_aside_are_believed_rather_than_the_symmetry() {
    let at = [5.7, 80.0];
    for angles in [&[90.0, 48.0][..], &[90.0, 50.0, 140.0]] {
        let lines: Vec<Measure> = angles.iter().map(|&a| line(at, a, 0.0)).collect();
        let found = locate(&lines, true).unwrap();
        assert_relative_eq!(found.at, Pt::new(at[0], at[1]), epsilon = 1e-9);
        assert!(!found.disagrees());
    }
    let narrow = locate(&[90.0, 82.0].map(|a| line([40.0, 80.0], a, 0.0)), true).unwrap();
    assert!(narrow.disagrees() && narrow.at.x.abs() < 5.0, "{narrow:?}");
    let near = locate(&[90.0, 48.0].map(|a| line([0.9, 80.0], a, 0.0)), true).unwrap();
    assert!(near.at.x < 0.9, "{near:?}");
}

/// Three lines tangent to a circle of radius r, 60 degrees apart, make a triangle with sides
/// 2 sqrt(3) r whose point of least squares is the middle of the circle.
#[test]
fn the_error_triangle_has_the_sides_geometry_says() {
    let r = 0.7;
    let lines = [0.0, 120.0, 240.0].map(|a| line([0.0, 90.0], a, r));
    let found = locate(&lines, false).unwrap();
    assert_relative_eq!(found.at, Pt::new(0.0, 90.0), epsilon = 1e-9);
    for side in found.triangle.unwrap() {
        assert_relative_eq!(side, 2.0 * 3f64.sqrt() * r, epsilon = 1e-9);
    }
}

#[test]
fn one_line_is_enough_for_a_symmetric_plane_and_too_little_for_another() {
    let one = [line([0.0, 80.0], 90.0, 0.0)];
    let found = locate(&one, true).unwrap();
    assert_relative_eq!(found.at.y, 80.0, epsilon = 1e-9);
    assert!(found.chance.is_none());
    assert_eq!(locate(&one, false), Err(BalanceError::Alone));
    // Along the line of symmetry it says nothing of the place behind the nose.
    let along = [line([0.0, 80.0], 0.0, 0.0)];
    assert_eq!(locate(&along, true), Err(BalanceError::Alone));
}

#[test]
fn two_supports_share_the_mass_by_their_levers() {
    let support = |mass_g, behind_mm| Support { mass_g, half_digit_g: 0.05, behind_mm };
    // 3 g at 60 mm and 2 g at 160 mm: 100 mm times 2/5 behind the first.
    let found =
        locate(&[Measure::Weighed([support(3.0, 60.0), support(2.0, 160.0)])], true).unwrap();
    assert_relative_eq!(found.at.y, 100.0, epsilon = 1e-9);
    // Both readings to 0.05/sqrt(3) g: levers of 40 and 60 mm over 5 g; both places to 0.3 mm.
    let reading = 0.05 / 3f64.sqrt() / 5.0 * 40f64.hypot(60.0);
    let places = MARK_SD_MM * 0.6f64.hypot(0.4);
    assert_relative_eq!(found.sd[1], reading.hypot(places), epsilon = 1e-9);
    let same = [support(3.0, 60.0), support(2.0, 60.0)];
    assert_eq!(locate(&[Measure::Weighed(same)], true), Err(BalanceError::SameSupport));
}

#[test]
fn measurements_that_contradict_each_other_are_told_and_doubted() {
    let agreeing = [line([0.0, 80.0], 90.0, 0.3), line([0.0, 80.0], 50.0, -0.2)];
    let found = locate(&agreeing, true).unwrap();
    assert!(!found.disagrees(), "{found:?}");
    let wrong = [
        line([0.0, 80.0], 90.0, 0.0),
        line([0.0, 80.0], 100.0, 0.0),
        Measure::Known { behind_mm: 88.0, sd_mm: 0.5 },
    ];
    let doubted = locate(&wrong, true).unwrap();
    assert!(doubted.disagrees());
    assert_eq!(doubted.worst().unwrap().what, "balance point given");
    assert!(doubted.sd[1] > 2.0 * found.sd[1], "{doubted:?}");
}

/// Planted errors of the size claimed: the interval holds the truth 19 times in 20 (binomial, 2000
/// draws: 0.95 +- 0.015 is three standard deviations).
#[test]
fn intervals_hold_the_truth_as_often_as_they_say() {
    use rand::{RngExt, SeedableRng};
    let mut random = rand_pcg::Pcg64::seed_from_u64(5);
    let mut normal = || {
        let (u, v): (f64, f64) = (1.0 - random.random::<f64>(), random.random());
        (-2.0 * u.ln()).sqrt() * (2.0 * std::f64::consts::PI * v).cos()
    };
    let mut held = 0;
    const DRAWS: usize = 2000;
    for _ in 0..DRAWS {
        let truth = [MIDDLE_SD_MM * normal(), 90.0];
        let lines: Vec<Measure> = [90.0, 55.0, 120.0]
            .iter()
            .map(|a| {
                let Measure::Line { a, b, sd_mm } = line(truth, *a, EDGE_SD_MM * normal()) else {
                    unreachable!()
                };
                let mut near = |p: Pt| p + Vector2::new(normal(), normal()) * MARK_SD_MM;
                Measure::Line { a: near(a), b: near(b), sd_mm }
            })
            .collect();
        let found = locate(&lines, true).unwrap();
        held += usize::from((found.at.y - 90.0).abs() < 1.96 * found.sd[1]);
    }
    let share = held as f64 / DRAWS as f64;
    assert!((0.935..0.98).contains(&share), "{share}");
}

#[test]
fn what_means_nothing_is_refused() {
    assert_eq!(locate(&[], true), Err(BalanceError::Nothing));
    let nan = Measure::Line { a: Pt::new(f64::NAN, 0.0), b: Pt::new(1.0, 50.0), sd_mm: 0.5 };
    assert!(matches!(locate(&[nan], true), Err(BalanceError::Meaningless { .. })));
    let point = Measure::Line { a: Pt::new(1.0, 2.0), b: Pt::new(1.0, 2.0), sd_mm: 0.5 };
    assert!(matches!(locate(&[point], true), Err(BalanceError::SamePoint { .. })));
    let parallel = [line([0.0, 80.0], 90.0, 0.0), line([0.0, 90.0], 90.5, 0.0)];
    assert!(matches!(locate(&parallel, false), Err(BalanceError::Parallel { .. })));
}
