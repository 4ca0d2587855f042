//! Round an inner point of the paper, every other angle between folded creases adds up to half a
//! turn (Kawasaki-Justin).

use std::f64::consts::PI;

use super::{Violation, folded_round, inner_points};
use crate::fold::state::{Folded, HINGE_GAP_M};
use crate::numeric::geom::Vec2;

/// Rounding of an angle between creases of a millimetre or more, radians (chosen, far above).
const CLOSED_RAD: f64 = 1e-9;

pub fn check(model: &Folded) -> Vec<Violation> {
    let mut found = Vec::new();
    for at in inner_points(model) {
        let (round, left_out_rad) = folded_round(model, at);
        let rays: Vec<Vec2> = round.into_iter().map(|(_, ray)| ray).collect();
        let angles: Vec<f64> = rays.iter().map(|r| r.y.atan2(r.x)).collect();
        let sum_rad: f64 = angles.chunks_exact(2).map(|pair| pair[1] - pair[0]).sum();
        // Faces may part by the hinge gap, which turns a short crease by much.
        let slack: f64 =
            rays.iter().map(|r| 2.0 * HINGE_GAP_M / r.norm()).sum::<f64>() + left_out_rad;
        let closed = rays.len().is_multiple_of(2) && (sum_rad - PI).abs() <= CLOSED_RAD + slack;
        if !rays.is_empty() && !closed {
            found.push(Violation::VertexOpen { at, sum_rad });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::tests::fold;
    use crate::numeric::geom::SheetPoint;

    #[test]
    fn a_vertex_that_cannot_close_is_seen() {
        let text = "sheet A4\nvalley top edge onto bottom edge\nvalley left edge onto right edge";
        let mut model = (*fold(text, &[]).folded).clone();
        assert_eq!(check(&model), []);
        // Move one crease's far end along the rim.
        let h = model.hinges.iter_mut().find(|h| h.ends.iter().any(|p| p.x < 1e-12)).unwrap();
        for end in &mut h.ends {
            if end.x < 1e-12 {
                *end = SheetPoint::new(0.0, end.y + 0.01);
            }
        }
        assert!(matches!(check(&model)[..], [Violation::VertexOpen { .. }]));
    }
}
