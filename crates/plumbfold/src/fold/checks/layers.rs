//! The order holds every face once, and lets no paper through paper.

use super::Violation;
use crate::fold::layers::{Stack, first_crossing};
use crate::fold::state::Folded;

pub fn check(model: &Folded) -> Option<Violation> {
    let mut sorted = model.order.clone();
    sorted.sort_unstable();
    if !sorted.into_iter().eq(0..model.faces.len()) {
        return Some(Violation::OrderIncomplete);
    }
    let crossing = first_crossing(&Stack::of(model), &model.order)?;
    Some(Violation::LayersCross { faces: crossing.faces, at: crossing.place })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fold::tests::fold;

    #[test]
    fn a_layer_through_a_bend_is_seen() {
        let text = "sheet A4\nvalley top edge onto bottom edge\nvalley left edge onto right edge";
        let mut model = (*fold(text, &[]).folded).clone();
        assert_eq!(check(&model), None);
        model.order.swap(1, 2);
        assert!(matches!(check(&model), Some(Violation::LayersCross { .. })));
        model.order[0] = model.order[1];
        assert_eq!(check(&model), Some(Violation::OrderIncomplete));
    }
}
