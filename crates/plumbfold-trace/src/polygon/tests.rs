use super::*;
use approx::assert_relative_eq;

fn points(p: &[[f64; 2]]) -> Vec<Pt> {
    p.iter().map(|&[x, y]| Pt::new(x, y)).collect()
}

/// Closed forms of any handbook of mechanics: a rectangle b x h has b h^3/12, a right triangle
/// b h^3/36 about its centroid.
#[test]
fn moments_are_those_of_the_closed_forms() {
    let (b, h) = (70.0, 30.0);
    for shift in [0.0, 1e4] {
        let at = |p: &[[f64; 2]]| {
            points(p).iter().map(|p| p + Vector2::repeat(shift)).collect::<Vec<_>>()
        };
        let (a, c, m) = moments(&at(&[[0.0, 0.0], [b, 0.0], [b, h], [0.0, h]]));
        assert_relative_eq!(a, b * h, max_relative = 1e-12);
        assert_relative_eq!(c.x - shift, b / 2.0, max_relative = 1e-9);
        assert_relative_eq!(m[0], h * b.powi(3) / 12.0, max_relative = 1e-9);
        assert_relative_eq!(m[1], b * h.powi(3) / 12.0, max_relative = 1e-9);
        let (a, c, m) = moments(&at(&[[0.0, 0.0], [0.0, h], [b, 0.0]]));
        assert_relative_eq!(a, b * h / 2.0, max_relative = 1e-12);
        assert_relative_eq!(c.y - shift, h / 3.0, max_relative = 1e-9);
        assert_relative_eq!(m[1], b * h.powi(3) / 36.0, max_relative = 1e-9);
        assert_relative_eq!(m[2], -b * b * h * h / 72.0, max_relative = 1e-9);
    }
}

/// `contourArea` and `moments` of opencv-python-headless 5.0.0 (tests/opencv.py) for a swallow-tailed
/// outline. That library holds corners as 32-bit numbers; these are whole, so nothing is lost.
#[test]
fn area_and_moments_agree_with_a_vision_library() {
    let p = [
        [0.0, 0.0],
        [30.0, 12.0],
        [80.0, 140.0],
        [62.0, 158.0],
        [15.0, 165.0],
        [-15.0, 165.0],
        [-62.0, 158.0],
        [-80.0, 140.0],
        [-30.0, 12.0],
    ];
    let p: Vec<Pt> = p.iter().map(|&[x, y]| Pt::new(x + 103.0, y + 40.0)).collect();
    let (a, c, m) = moments(&p);
    assert_relative_eq!(a, 17535.0, max_relative = 1e-12);
    assert_relative_eq!(a * c.x, 1_806_105.0, max_relative = 1e-12);
    assert_relative_eq!(a * c.y, 2_377_430.0, max_relative = 1e-12);
    assert_relative_eq!(m[0], 21_914_142.5, max_relative = 1e-10);
    assert_relative_eq!(m[1], 31_592_363.405_332_208, max_relative = 1e-10);
    assert_relative_eq!(m[2], 0.0, epsilon = 1e-4);
}

#[test]
fn a_cut_takes_the_part_before_it_notches_and_all() {
    let notched = points(&[[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [20.0, 10.0], [0.0, 30.0]]);
    let part = |y: f64| signed_area(&below(&notched, y)).abs();
    assert_relative_eq!(part(10.0), 400.0, epsilon = 1e-9);
    assert_relative_eq!(part(30.0), 800.0, epsilon = 1e-9);
    // Two wedges of 20 x 20 / 2, of which the lower half height holds three quarters.
    assert_relative_eq!(part(20.0), 400.0 + 300.0, epsilon = 1e-9);
    assert_eq!(part(-1.0), 0.0);
    assert!(contains(&notched, Pt::new(20.0, 5.0)) && !contains(&notched, Pt::new(20.0, 20.0)));
    assert_relative_eq!(distance(&notched, Pt::new(20.0, 4.0)), 4.0, epsilon = 1e-12);
}

#[test]
fn hulls_leave_out_what_lies_inside_and_simplifying_keeps_corners() {
    let mut p =
        points(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [5.0, 5.0], [2.0, 7.0]]);
    assert_eq!(hull(p.clone()).len(), 4);
    p = (0..400)
        .map(|i| {
            let (side, t) = (i / 100, f64::from(i % 100) / 100.0 * 50.0);
            match side {
                0 => Pt::new(t, 0.0),
                1 => Pt::new(50.0, t),
                2 => Pt::new(50.0 - t, 50.0),
                _ => Pt::new(0.0, 50.0 - t),
            }
        })
        .collect();
    let few = simplified(&p, 0.3);
    assert_eq!(few.len(), 4, "{few:?}");
    assert!(crossing(&few).is_none());
    few_crossed(&[[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]]);
}

fn few_crossed(p: &[[f64; 2]]) {
    assert_eq!(crossing(&points(p)), Some((0, 2)));
}
