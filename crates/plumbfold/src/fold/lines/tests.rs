use super::*;
use proptest::prelude::*;

fn p(x: f64, y: f64) -> TablePoint {
    TablePoint::new(x, y)
}
fn line(a: (f64, f64), b: (f64, f64)) -> TableLine {
    TableLine::through(p(a.0, a.1), p(b.0, b.1)).unwrap()
}
fn same(a: &TableLine, b: &TableLine) -> bool {
    a.dir.cross(b.dir).abs() < 1e-9 && a.side(b.at).abs() < 1e-9
}

#[test]
fn bisector_of_two_places() {
    let crease = point_onto_point(p(0.0, 0.0), p(2.0, 0.0)).unwrap();
    assert!(same(&crease, &line((1.0, 0.0), (1.0, 1.0))));
    assert!(point_onto_point(p(1.0, 1.0), p(1.0, 1.0)).is_none());
    assert!(through(p(0.0, 0.0), p(0.0, 0.0)).is_none());
}

#[test]
fn bisectors_of_two_lines() {
    // The axes: the two diagonals, anticlockwise from x.
    let both = line_onto_line(&line((0.0, 0.0), (1.0, 0.0)), &line((0.0, 0.0), (0.0, 1.0)));
    assert_eq!(both.len(), 2);
    assert!(same(&both[0], &line((0.0, 0.0), (1.0, 1.0))));
    assert!(same(&both[1], &line((0.0, 0.0), (-1.0, 1.0))));
    // Parallels: one, half way, whichever way they run.
    let one = line_onto_line(&line((0.0, 0.0), (1.0, 0.0)), &line((5.0, 2.0), (1.0, 2.0)));
    assert_eq!(one.len(), 1);
    assert!(same(&one[0], &line((0.0, 1.0), (1.0, 1.0))));
    // A line onto itself moves nothing.
    let none = line_onto_line(&line((0.0, 0.0), (1.0, 0.0)), &line((3.0, 0.0), (1.0, 0.0)));
    assert!(none.is_empty());
}

#[test]
fn square_to_a_line_through_a_place() {
    let crease = perpendicular(&line((0.0, 0.0), (1.0, 1.0)), p(1.0, 0.0));
    assert!(same(&crease, &line((1.0, 0.0), (0.0, 1.0))));
}

#[test]
fn swinging_a_place_onto_a_line() {
    // 3-4-5: from (5, 0) about the origin onto x = 3 lands at (3, 4) and (3, -4).
    let creases = point_onto_line(p(5.0, 0.0), &line((3.0, 0.0), (3.0, 1.0)), p(0.0, 0.0));
    assert_eq!(creases.len(), 2);
    assert!(same(&creases[0], &line((0.0, 0.0), (8.0, 4.0))));
    assert!(same(&creases[1], &line((0.0, 0.0), (8.0, -4.0))));
    // Touching circle: one. Out of reach: none.
    assert_eq!(point_onto_line(p(0.0, 3.0), &line((3.0, 0.0), (3.0, 1.0)), p(0.0, 0.0)).len(), 1);
    assert!(point_onto_line(p(0.0, 2.0), &line((3.0, 0.0), (3.0, 1.0)), p(0.0, 0.0)).is_empty());
}

#[test]
fn cube_root_of_two_by_one_fold() {
    // Doubling the cube by operation 6 (P. Messer, Crux Mathematicorum 12, 1986, from memory): a
    // unit square creased in thirds; a corner comes onto the far edge while the end of the first
    // crease comes onto the second. The corner divides the edge as 1 to the cube root of 2.
    let p0 = p(0.0, 0.0);
    let q0 = p(0.0, 1.0 / 3.0);
    let edge = line((1.0, 0.0), (1.0, 1.0));
    let third = line((0.0, 2.0 / 3.0), (1.0, 2.0 / 3.0));
    let creases = two_points_onto_lines((p0, &edge), (q0, &third));
    let ratio = |c: &TableLine| {
        let y = c.reflect(p0).y;
        y / (1.0 - y)
    };
    assert!(
        creases.iter().any(|c| (ratio(c) - 2f64.cbrt()).abs() < 1e-12
            || (1.0 / ratio(c) - 2f64.cbrt()).abs() < 1e-12),
        "{:?}",
        creases.iter().map(ratio).collect::<Vec<_>>()
    );
}

#[test]
fn common_tangents_of_two_parabolas() {
    // The creases of (6) are the common tangents of the parabolas with foci P, Q and directrices
    // L, M (Alperin & Lang 2009). y = x^2/4 (focus (0,1), directrix y = -1) and x = y^2/4 share
    // exactly one tangent, x + y + 1 = 0.
    let one = two_points_onto_lines(
        (p(0.0, 1.0), &line((0.0, -1.0), (1.0, -1.0))),
        (p(1.0, 0.0), &line((-1.0, 0.0), (-1.0, 1.0))),
    );
    assert_eq!(one.len(), 1);
    assert!(same(&one[0], &line((-1.0, 0.0), (0.0, -1.0))));
    // One focus, two directrices: the nested parabolas y = x^2/4 and y = 2 - x^2/4 cross, and a
    // common tangent would need m^2 + m^2 + 2 = 0.
    let none = two_points_onto_lines(
        (p(0.0, 1.0), &line((0.0, -1.0), (1.0, -1.0))),
        (p(0.0, 1.0), &line((0.0, 3.0), (1.0, 3.0))),
    );
    assert!(none.is_empty(), "{none:?}");
}

#[test]
fn square_to_one_line_onto_another() {
    let l = line((0.0, 0.0), (1.0, 1.0));
    let m = line((0.0, 0.0), (1.0, 0.0));
    let crease = point_onto_line_square_to(p(0.0, 2.0), &l, &m).unwrap();
    assert!(same(&crease, &line((1.0, 0.0), (1.0, 1.0))));
    assert!(point_onto_line_square_to(p(0.0, 2.0), &m, &m).is_none());
}

#[test]
fn cubics_with_known_roots() {
    let of = |r: [f64; 3]| {
        cubic_roots([
            -(r[0] + r[1] + r[2]),
            r[0] * r[1] + r[1] * r[2] + r[0] * r[2],
            -r[0] * r[1] * r[2],
        ])
    };
    for (roots, found) in [([1.0, 2.0, 3.0], 3), ([1.0, 1.0, 3.0], 2), ([2.0, 2.0, 2.0], 1)] {
        let got = of(roots);
        assert_eq!(got.len(), found, "{roots:?} {got:?}");
        for g in got {
            assert!(roots.iter().any(|r| (r - g).abs() < 1e-5), "{roots:?} {g}");
        }
    }
    assert_eq!(cubic_roots([0.0, 1.0, 0.0]).len(), 1);
}

fn place() -> impl Strategy<Value = TablePoint> {
    (-0.3..0.3f64, -0.3..0.3f64).prop_map(|(x, y)| p(x, y))
}
fn any_line() -> impl Strategy<Value = TableLine> {
    (place(), 0.0..std::f64::consts::TAU)
        .prop_map(|(at, a)| TableLine { at, dir: Vec2::new(a.cos(), a.sin()) })
}

proptest! {
    /// Planted root: take a crease, fold two places by it, draw any lines through their images,
    /// and the crease must be among the answers; every answer must do what was asked.
    #[test]
    fn planted_crease_is_found(
        crease in any_line(), a in place(), b in place(), s in 0.0..3.1f64, t in 0.0..3.1f64
    ) {
        let l = TableLine { at: crease.reflect(a), dir: Vec2::new(s.cos(), s.sin()) };
        let m = TableLine { at: crease.reflect(b), dir: Vec2::new(t.cos(), t.sin()) };
        prop_assume!(crease.side(a).abs() > 1e-3 && crease.side(b).abs() > 1e-3);
        prop_assume!(crease.dir.dot(l.dir).abs() < 0.99999 || crease.dir.dot(m.dir).abs() < 0.99999);
        let found = two_points_onto_lines((a, &l), (b, &m));
        for c in &found {
            prop_assert!(l.side(c.reflect(a)).abs() < LANDING_M);
            prop_assert!(m.side(c.reflect(b)).abs() < LANDING_M);
        }
        // A tangential pair of roots is found to the square root of rounding only.
        let near = |c: &TableLine| {
            c.dir.cross(crease.dir).abs() < 1e-6 && c.side(crease.at).abs() < 1e-6
        };
        prop_assert!(found.iter().any(near), "{crease:?} not in {found:?}");
        prop_assert!(found.len() <= 3);
    }

    #[test]
    fn swung_places_land(a in place(), l in any_line(), h in place()) {
        let creases = point_onto_line(a, &l, h);
        let reach = a.distance(h) - l.side(h).abs();
        prop_assume!(reach.abs() > 1e-8);
        prop_assert_eq!(creases.is_empty(), reach < 0.0 );
        for c in creases {
            prop_assert!(c.side(h).abs() < 1e-12);
            prop_assert!(l.side(c.reflect(a)).abs() < 1e-9);
        }
    }

    #[test]
    fn lines_land_on_lines(l in any_line(), m in any_line()) {
        let creases = line_onto_line(&l, &m);
        prop_assert!(!creases.is_empty());
        for c in creases {
            for s in [-0.2, 0.1] {
                prop_assert!(m.side(c.reflect(l.place(s))).abs() < 1e-6);
            }
        }
    }
}
