//! Paper neither grows nor shrinks: the faces add up to the sheet.

use super::Violation;
use crate::fold::state::Folded;
use crate::numeric::geom::area;

/// Rounding of a sum over some hundred faces, relative (derived: 400 machine epsilons, tenfold).
const SAME: f64 = 1e-12;

pub fn check(model: &Folded) -> Option<Violation> {
    let faces_m2: f64 = model.faces.iter().map(|f| area(&f.polygon)).sum();
    let sheet_m2 = model.sheet_m[0] * model.sheet_m[1];
    let changed = (faces_m2 - sheet_m2).abs() > SAME * sheet_m2;
    changed.then_some(Violation::AreaChanged { faces_m2, sheet_m2 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::Stock;

    #[test]
    fn a_face_lost_is_seen() {
        let mut model = Folded::new(&Stock::new(0.2, 0.3, 0.08, None).unwrap());
        assert_eq!(check(&model), None);
        model.faces[0].polygon.pop();
        assert!(matches!(check(&model), Some(Violation::AreaChanged { .. })));
    }
}
