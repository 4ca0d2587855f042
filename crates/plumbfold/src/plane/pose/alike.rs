//! Whether what opens on one side opens on the other.
//!
//! A name given to one wing's crease alone leaves the other wing shut against the keel, and half of
//! the plane would be flown as if it were folded away.

use super::{HingeAngle, PoseError};
use crate::design::ast::PoseKind;
use crate::fold::axis::Axis;
use crate::fold::refs::shared_m;
use crate::fold::state::{CreaseId, Folded, Hinge};

/// Two creases this near to each other's mirror image are the two sides of one, m (chosen: what the
/// two wings of a plane folded by hand, side by side, may differ by).
const ALIKE_M: f64 = 5e-3;

/// Looks for folded creases that stay shut while their mirror image opens, and for a wing without
/// its like.
///
/// # Errors
/// [`PoseError::OneSided`], [`PoseError::OneWing`].
pub(super) fn check(folded: &Folded, angles: &[HingeAngle]) -> Result<(), PoseError> {
    let posed: Vec<Vec<CreaseId>> =
        angles.iter().map(|a| folded.creases_named(&a.crease)).collect();
    let said = |c: CreaseId| posed.iter().any(|p| p.contains(&c));
    let one_sided = |p: &[CreaseId]| p.iter().all(|&c| !folded.creases[c].mirrored);
    let mut axis = None;
    for (angle, creases) in angles.iter().zip(&posed) {
        if angle.kind == PoseKind::Opens || !one_sided(creases) {
            continue;
        }
        let Some(axis) =
            *axis.get_or_insert_with(|| Axis::of(folded, true, Axis::creased_alone(folded, &[])))
        else {
            break;
        };
        let own = |h: &&Hinge| creases.contains(&h.crease);
        let long = |h: &Hinge| h.ends[0].distance(h.ends[1]);
        let hinges = folded.hinges.iter().filter(own);
        let Some(main) = hinges.max_by(|a, b| long(a).total_cmp(&long(b))) else { continue };
        let image = main.ends.map(|e| axis.image(e));
        let lies_there = |h: &&Hinge| shared_m(h.ends, image, ALIKE_M) > long(main) / 2.0;
        let shut = |h: &&Hinge| folded.is_folded(h) && !said(h.crease);
        if folded.hinges.iter().filter(own).any(|h| lies_there(&h)) {
            continue;
        }
        if let Some(other) = folded.hinges.iter().filter(shut).find(lies_there) {
            let other = folded.creases[other.crease].name.as_deref().map(str::to_owned);
            let (crease, span) = (angle.crease.clone(), angle.span.clone());
            let other = other.filter(|o| *o != crease);
            return Err(PoseError::OneSided { crease, other, span });
        }
    }
    both_wings(folded, angles)
}

/// In a model folded in two, wings that open on one half alone.
fn both_wings(folded: &Folded, angles: &[HingeAngle]) -> Result<(), PoseError> {
    let mut wings = angles.iter().filter(|a| a.kind == PoseKind::Dihedral).peekable();
    let Some(HingeAngle { crease, span, .. }) = wings.peek() else { return Ok(()) };
    let creases: Vec<CreaseId> = wings.flat_map(|a| folded.creases_named(&a.crease)).collect();
    let hinges = folded.hinges.iter().filter(|h| creases.contains(&h.crease));
    let mut halves = hinges.flat_map(|h| h.faces).map(|f| folded.faces[f].moved_half);
    let first = halves.next();
    if !folded.in_halves() || halves.any(|half| Some(half) != first) {
        return Ok(());
    }
    let made = creases.first().map(|&c| folded.creases[c].step);
    Err(PoseError::OneWing { crease: crease.clone(), made, span: span.clone() })
}
