//! Motions that keep to one-sided limits.

use nalgebra::{DMatrix, DVector};

/// The direction nearest to `wish` among those `x` with `row . x >= 0` for every row, and the rows
/// that hold it back; a wish that is wholly against the rows gives a direction of length 0.
///
/// By Moreau's decomposition it is what least squares with non-negative weights leaves of the wish
/// (C. L. Lawson, R. J. Hanson, Solving Least Squares Problems, 1974, ch. 23, from memory). `None`
/// where the search does not settle, which rounding alone can cause.
pub fn nearest_allowed(
    rows: &[DVector<f64>],
    wish: &DVector<f64>,
) -> Option<(DVector<f64>, Vec<usize>)> {
    let (mut weights, mut held) = (vec![0.0; rows.len()], Vec::<usize>::new());
    let left = |weights: &[f64], held: &[usize]| {
        held.iter().fold(wish.clone(), |left, &k| left + &rows[k] * weights[k])
    };
    for _ in 0..ROUNDS * (wish.len() + 1) {
        let now = left(&weights, &held);
        let free = (0..rows.len()).filter(|k| !held.contains(k));
        let worst = free.map(|k| (k, rows[k].dot(&now))).min_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            Some((k, short)) if short < -ROUNDING => held.push(k),
            _ => return Some((now, held)),
        }
        // Weights that would turn negative leave, the nearest to it first.
        while !held.is_empty() {
            let columns: Vec<DVector<f64>> = held.iter().map(|&k| rows[k].clone()).collect();
            let system = DMatrix::from_columns(&columns).svd(true, true);
            let best = system.solve(&-wish, ROUNDING).ok()?;
            let steps = held.iter().zip(best.iter()).filter(|(_, b)| **b <= ROUNDING);
            let steps = steps.map(|(&k, &b)| (k, weights[k] / (weights[k] - b).max(ROUNDING)));
            let Some((_, step)) = steps.min_by(|a, b| a.1.total_cmp(&b.1)) else {
                held.iter().zip(best.iter()).for_each(|(&k, &b)| weights[k] = b);
                break;
            };
            for (&k, &b) in held.iter().zip(best.iter()) {
                weights[k] += step * (b - weights[k]);
            }
            held.retain(|&k| weights[k] > ROUNDING);
        }
    }
    None
}

/// Rounds before it gives up, for each unknown. Chosen: ten times what is ever needed.
const ROUNDS: usize = 30;
/// Rows and wishes of length 1 know nothing smaller.
const ROUNDING: f64 = 1e-10;

#[cfg(test)]
mod tests {
    use super::*;

    fn at(x: f64, y: f64) -> DVector<f64> {
        DVector::from_vec(vec![x, y])
    }

    #[test]
    fn a_wish_that_is_allowed_is_kept() {
        let (found, held) = nearest_allowed(&[at(1.0, 0.0), at(0.0, 1.0)], &at(1.0, 2.0)).unwrap();
        assert_eq!((found, held), (at(1.0, 2.0), Vec::new()));
    }

    #[test]
    fn a_wish_across_a_limit_slides_along_it() {
        let s = 0.5_f64.sqrt();
        let (found, held) = nearest_allowed(&[at(-s, s)], &at(1.0, 0.0)).unwrap();
        assert!((found - at(0.5, 0.5)).norm() < 1e-12);
        assert_eq!(held, [0]);
    }

    #[test]
    fn limits_on_both_sides_leave_nothing() {
        let limits = [at(1.0, 0.0), at(-1.0, 0.0), at(0.6, 0.8)];
        let (found, held) = nearest_allowed(&limits, &at(0.0, -1.0)).unwrap();
        assert!(found.norm() < 1e-9, "{found}");
        assert!(held.contains(&2) && held.contains(&1));
    }
}
