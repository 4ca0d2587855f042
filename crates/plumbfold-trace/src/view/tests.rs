use super::*;
use approx::assert_relative_eq;

/// `getPerspectiveTransform` of opencv-python-headless 5.0.0 (tests/opencv.py).
#[test]
fn the_homography_agrees_with_a_vision_library() {
    let from = [[102.0, 87.0], [1488.0, 121.0], [1402.0, 1103.0], [61.0, 1010.0]];
    let to = [[0.0, 0.0], [297.0, 0.0], [297.0, 210.0], [0.0, 210.0]];
    let pairs: Vec<(Pt, Pt)> =
        from.iter().zip(to).map(|(a, b)| (Pt::new(a[0], a[1]), Pt::new(b[0], b[1]))).collect();
    let h = homography(&pairs).unwrap();
    let theirs = Matrix3::new(
        2.289_863_648_033e-1,
        1.017_165_867_490e-2,
        -2.424_154_351_465e1,
        -5.428_867_828_578e-3,
        2.213_062_003_061e-1,
        -1.869_989_490_812e1,
        4.924_174_852_523e-5,
        -2.896_077_479_992e-5,
        1.0,
    );
    for (a, b) in h.iter().zip(theirs.iter()) {
        assert_relative_eq!(a, b, max_relative = 1e-9);
    }
    for (p, q) in &pairs {
        assert_relative_eq!(apply(&h, *p), *q, epsilon = 1e-9);
    }
}

#[test]
fn more_points_than_four_are_fitted_and_too_few_or_idle_ones_refused() {
    let h = Matrix3::new(1.2, 0.1, 30.0, -0.05, 0.9, 12.0, 1e-4, -2e-4, 1.0);
    let grid =
        |n: i32| (0..n * n).map(move |i| Pt::new(f64::from(i % n) * 40.0, f64::from(i / n) * 35.0));
    let pairs: Vec<(Pt, Pt)> = grid(4).map(|p| (p, apply(&h, p))).collect();
    let found = homography(&pairs).unwrap();
    for (a, b) in found.iter().zip(h.iter()) {
        assert_relative_eq!(a, b, epsilon = 1e-8);
    }
    assert!(homography(&pairs[..3]).is_none());
    let line: Vec<(Pt, Pt)> =
        (0..6).map(|i| (Pt::new(f64::from(i), 0.0), Pt::new(f64::from(i), 1.0))).collect();
    assert!(homography(&line).is_none());
    assert!(homography(&[pairs[0]; 5]).is_none());
}

#[test]
fn the_lens_is_undone_to_a_thousandth_of_a_dot() {
    for k1 in [-0.15, -0.03, 0.0, 0.08] {
        let optics = Optics::new(Lens { k1, k2: 0.01 }, [4000.0, 3000.0]);
        for p in [[2000.0, 1500.0], [3900.0, 2900.0], [120.0, 1400.0]] {
            let p = Pt::new(p[0], p[1]);
            assert_relative_eq!(optics.drawn(optics.straight(p)), p, epsilon = 1e-3);
        }
    }
}
