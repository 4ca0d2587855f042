//! Faces are moved, never stretched, so paper stays whole exactly where neighbours agree along
//! their common edge; and a hinge is a whole edge of both of them.

use super::Violation;
use crate::fold::state::{Folded, HINGE_GAP_M};

pub fn check(model: &Folded) -> Vec<Violation> {
    let mut found = Vec::new();
    for (hinge, h) in model.hinges.iter().enumerate() {
        let [a, b] = h.faces.map(|f| model.faces[f].placement);
        let gap_m = h.ends.iter().map(|&p| a.apply(p).distance(b.apply(p))).fold(0.0, f64::max);
        if gap_m > HINGE_GAP_M {
            found.push(Violation::HingeParted { hinge, gap_m });
        }
        for face in h.faces {
            let polygon = &model.faces[face].polygon;
            let n = polygon.len();
            let is_edge = |i: usize| {
                let (a, b) = (polygon[i], polygon[(i + 1) % n]);
                [a, b] == h.ends || [b, a] == h.ends
            };
            if !(0..n).any(is_edge) {
                found.push(Violation::HingeIsNoEdge { hinge, face });
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::tests::fold;
    use crate::numeric::geom::Vec2;

    #[test]
    fn faces_pulled_apart_are_seen() {
        let run = fold("sheet A4\nvalley top edge onto bottom edge", &[]);
        let mut model = (*run.folded).clone();
        assert_eq!(check(&model), []);
        model.faces[1].placement = model.faces[1].placement.shifted(Vec2::new(1e-6, 0.0));
        assert!(matches!(check(&model)[..], [Violation::HingeParted { hinge: 0, .. }]));
    }
}
