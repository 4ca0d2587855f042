//! The part of a flap that lies beyond a line.

use super::CollapseError;
use crate::fold::layout::Layout;
use crate::fold::split::Sides;
use crate::fold::state::Folded;
use crate::numeric::geom::{SheetPoint, TOLERANCE_M, TableLine};

/// A flap's end.
#[derive(Clone, Debug, PartialEq)]
pub struct Flap {
    /// The line, run so that the end lies on its left.
    pub line: TableLine,
    /// The faces that reach into the end; those that the line runs through are still whole.
    pub faces: Vec<bool>,
}

/// What hangs together beyond a line with the place `tip` of the paper: the faces that carry the
/// tip, and everything hinged to them there.
///
/// # Errors
/// [`CollapseError::Unfit`] when the tip lies on the line, or no paper stays on the other side.
pub fn beyond(model: &Folded, tip: SheetPoint, line: &TableLine) -> Result<Flap, CollapseError> {
    let Some(place) = model.on_table(tip) else {
        return Err(CollapseError::unfit("the end that should move is not on the paper", &[]));
    };
    let side = line.side(place);
    if side.abs() <= TOLERANCE_M {
        let what = "the end that should move lies on the crease itself; name a place beyond it";
        return Err(CollapseError::unfit(what, &[place]));
    }
    let line = if side > 0.0 { *line } else { line.reversed() };
    let sides = Sides::new(model, &Layout::new(model), &line);
    let tips = model.faces_at(tip).filter(|&f| sides.reaches_left(f));
    let faces = model.hanging_together(tips, |_, h| sides.hinge_reaches_left(model, h));
    Ok(Flap { line, faces })
}
