//! Mountains and valleys that meet at an inner point of the paper differ by two
//! (Maekawa-Justin).

use super::{Violation, folded_round, inner_points};
use crate::fold::state::{Assignment, Folded};

pub fn check(model: &Folded) -> Vec<Violation> {
    let ranks = model.ranks();
    let mut found = Vec::new();
    for at in inner_points(model) {
        let (mut mountains, mut valleys) = (0_usize, 0_usize);
        for (h, _) in folded_round(model, at).0 {
            match model.assignment(&model.hinges[h], &ranks) {
                Assignment::Mountain => mountains += 1,
                Assignment::Valley => valleys += 1,
                Assignment::Flat => {}
            }
        }
        if mountains + valleys > 0 && mountains.abs_diff(valleys) != 2 {
            found.push(Violation::MountainsAndValleys { at, mountains, valleys });
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::tests::fold;

    #[test]
    fn wrong_mountains_are_seen() {
        let text = "sheet A4\nvalley top edge onto bottom edge\nvalley left edge onto right edge";
        let mut model = (*fold(text, &[]).folded).clone();
        assert_eq!(check(&model), []);
        model.order.swap(1, 2);
        assert_eq!(check(&model).len(), 1);
    }
}
