//! A fold that runs straight across the sheet, led through the crossing of two creases: a diagonal and
//! the line from a corner to a mark, which finds the thirds of any sheet (similar triangles, Euclid
//! VI.4).

use plumbfold_draw::units::Units;

use super::{Along, Edge, Found, NEAR_M, Recipe, Search, say};

/// The corners of a sheet, with their names.
fn corners([w, h]: [f64; 2]) -> [([f64; 2], &'static str); 4] {
    [
        ([0.0, 0.0], "bottom left"),
        ([w, 0.0], "bottom right"),
        ([0.0, h], "top left"),
        ([w, h], "top right"),
    ]
}

/// Ways to a line straight across the sheet through a crossing of two creases, the truest first:
/// each takes one pinch, a diagonal, and the line from a corner to the pinch.
pub fn find_crossings(sheet_m: [f64; 2], along: Along, at_m: f64, units: Units) -> Vec<Recipe> {
    let (corners, axis) = (corners(sheet_m), if along == Along::Level { 0 } else { 1 });
    let search = Search { sheet_m, along, at_m, best: None };
    let mut out: Vec<Recipe> = Vec::new();
    for mark in search.next(&[]) {
        let edges: Vec<Edge> = match (mark.fold.makes_on(), mark.along) {
            (Some(edge), _) => vec![edge],
            (None, Along::Upright) => vec![Edge::Left, Edge::Right],
            (None, Along::Level) => vec![Edge::Top, Edge::Bottom],
        };
        for edge in edges {
            let [w, h] = sheet_m;
            let pinch = match edge {
                Edge::Left => [0.0, mark.at_m],
                Edge::Right => [w, mark.at_m],
                Edge::Bottom => [mark.at_m, 0.0],
                Edge::Top => [mark.at_m, h],
            };
            for (diagonal, (from, name)) in
                [[0, 3], [1, 2]].into_iter().flat_map(|d| corners.iter().map(move |c| (d, c)))
            {
                let [a, b] = diagonal.map(|i| corners[i]);
                let Some(at) = meet([a.0, b.0], [*from, pinch]) else { continue };
                let error_m = (at[axis] - at_m).abs();
                if error_m > NEAR_M {
                    continue;
                }
                let side = if axis == 0 { "left" } else { "bottom" };
                out.push(Recipe {
                    folds: vec![
                        say(sheet_m, &[mark], edge, units),
                        format!(
                            "Crease the line from the {} corner to the {} corner, and open again.",
                            a.1, b.1
                        ),
                        format!(
                            "Crease the line from the {name} corner to mark 1, and open again: the \
                             two creases cross {} from the {side}.",
                            units.length(at[axis])
                        ),
                    ],
                    found: Found::Crossing(at),
                    error_m,
                });
            }
        }
    }
    out.sort_by(|a, b| a.error_m.total_cmp(&b.error_m));
    out
}

/// Where two stretches cross, off their ends; none where they do not.
fn meet([a, b]: [[f64; 2]; 2], [p, q]: [[f64; 2]; 2]) -> Option<[f64; 2]> {
    let (d, e) = ([b[0] - a[0], b[1] - a[1]], [q[0] - p[0], q[1] - p[1]]);
    let cross = |u: [f64; 2], v: [f64; 2]| u[0] * v[1] - u[1] * v[0];
    let (between, turn) = ([p[0] - a[0], p[1] - a[1]], cross(d, e));
    let (s, t) = (cross(between, e) / turn, cross(between, d) / turn);
    let within = |s: f64| (0.02..0.98).contains(&s);
    (within(s) && within(t)).then(|| [a[0] + s * d[0], a[1] + s * d[1]])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_of_any_sheet_are_found_by_a_crossing() {
        // A diagonal and the line from a corner to the middle of an edge divide each other as 1 to 2
        // (Euclid VI.4): exact thirds, also where the pinches along the edges come nowhere near.
        for sheet_m in [[0.21, 0.297], [0.2159, 0.2794], [0.1, 0.3]] {
            for (along, length) in [(Along::Upright, sheet_m[1]), (Along::Level, sheet_m[0])] {
                let ways = find_crossings(sheet_m, along, length / 3.0, Units::Mm);
                let best = ways.first().expect("a third");
                assert!(best.error_m < 1e-12 && best.folds.len() == 3, "{best:?}");
            }
        }
        // As it is said: (w, 0) to the middle of the left edge, and the rising diagonal.
        let [w, h] = [0.21, 0.297];
        let at = meet([[0.0, 0.0], [w, h]], [[w, 0.0], [0.0, h / 2.0]]).expect("a crossing");
        assert!((at[0] - w / 3.0).abs() < 1e-15 && (at[1] - h / 3.0).abs() < 1e-15, "{at:?}");
        assert_eq!(meet([[0.0, 0.0], [w, h]], [[0.0, 0.0], [0.0, h / 2.0]]), None);
    }
}
