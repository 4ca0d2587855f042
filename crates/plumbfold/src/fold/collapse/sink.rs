//! Open sink: a closed point pushed inside out.
//!
//! ```text
//!      /\            ____ tip         all creases beyond the line turn over, mountain for
//!     /  \          |\  /|            valley; the line itself becomes a rim that is mountain
//!    /----\   ->    | \/ |            all round, seen from outside
//!   /      \        |    |
//! ```

use super::cut::Creased;
use super::{Call, CollapseError, Collapsed, collapse, flap};
use crate::fold::state::{Assignment, Folded};
use crate::numeric::geom::{SheetPoint, TableLine};

/// Sinks what lies beyond `line` (table frame) with the place `tip` of the paper.
///
/// # Errors
/// [`CollapseError`].
pub fn open_sink(
    model: &Folded,
    tip: SheetPoint,
    line: &TableLine,
    call: &Call,
    take: usize,
) -> Result<Collapsed, CollapseError> {
    let flap = flap::beyond(model, tip, line)?;
    let mut creased = Creased::new(model);
    creased.along(&flap.line, |f| flap.faces[f], call)?;
    let model = &creased.model;
    let beyond = |at| flap.line.side(at) > 0.0;
    let sunk = creased.parts(|from, at| usize::from(beyond(at) && flap.faces[from]));
    let mut plan = sunk.plan()?;
    // The rim is a mountain seen from outside, which is where the uppermost layer looks to.
    let top = sunk.layers(|p| p == 1).pop();
    let printed_outside = top.is_some_and(|f| model.faces[f].placement.det() > 0.0);
    let rim = if printed_outside { Assignment::Mountain } else { Assignment::Valley };
    let hinges = model.hinges.iter().enumerate();
    let crossing = hinges.filter(|(_, h)| sunk.of(h.faces[0]) != sunk.of(h.faces[1]));
    plan.marks = crossing.map(|(i, _)| (i, rim)).collect();
    collapse(model, &plan, take)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::ast::SquarePart;
    use crate::fold::collapse::bases::{Base, base};
    use crate::fold::collapse::testing::*;

    #[test]
    fn the_tip_of_a_waterbomb_base() {
        let side = 0.2;
        let m = base(&sheet(side, side), Base::Waterbomb, SquarePart::Whole, &call("base"), 1);
        let m = m.unwrap().model;
        let level = line((0.0, 0.07), (1.0, 0.07));
        let done = open_sink(&m, on_sheet(0.1, 0.1), &level, &call("sink"), 1).unwrap();
        sound(&done.model);
        // The tip comes to lie as far below the line as it was above it.
        let (x, y) = lies_at(&done.model, 0.1, 0.1);
        assert!((x - 100.0).hypot(y - 40.0) < 1e-9);
        // The rim: one closed square, mountains all round seen from outside. Seen from the printed
        // side (which is inside) they are valleys.
        let rim = done.model.creases.len() - 1;
        let ranks = done.model.ranks();
        let states: Vec<_> = done.model.hinges.iter().filter(|h| h.crease == rim).collect();
        assert_eq!(states.len(), 6);
        let first = done.model.assignment(states[0], &ranks);
        assert!(states.iter().all(|h| done.model.assignment(h, &ranks) == first));
    }
}
