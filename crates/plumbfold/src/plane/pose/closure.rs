//! Whether every posed crease still joins its two sides.

use super::clusters::Clusters;
use super::follow::Followed;
use super::{Bent, CLOSURE_M, Closes, HingeAngle, Placed, PoseError, place};
use crate::design::ast::PoseKind;
use crate::fold::state::Folded;

/// Gap at a loop of hinges that paper closes by bending a little, m. Chosen: what a reversed tail or
/// a crimp of a few degrees asks for, and no more than a hand sees.
const GIVES_M: f64 = 1e-3;

/// Every posed hinge must still join its two faces, but for what paper gives. Tells the widest gap
/// of each crease where it gives.
pub(super) fn check_closure(
    folded: &Folded,
    angles: &[HingeAngle],
    clusters: &Clusters,
    placed: &[Placed],
) -> Result<Vec<Bent>, PoseError> {
    let mut widest = vec![0.0_f64; angles.len()];
    for &(h, item) in clusters.posed.iter().chain(&clusters.closing) {
        widest[item] = widest[item].max(gap_m(folded, clusters, placed, h));
    }
    let gaps = angles.iter().zip(widest).filter(|(_, gap_m)| *gap_m > CLOSURE_M);
    gaps.map(|(angle, gap_m)| {
        let (crease, span) = (angle.crease.clone(), angle.span.clone());
        if gap_m > GIVES_M {
            return Err(PoseError::Torn { crease, gap_mm: gap_m * 1e3, closes: None, span });
        }
        Ok(Bent { crease, gap_m, span })
    })
    .collect()
}

/// How far apart the two sides of a hinge stand.
pub(super) fn gap_m(folded: &Folded, clusters: &Clusters, placed: &[Placed], h: usize) -> f64 {
    let hinge = &folded.hinges[h];
    let apart = folded.hinge_on_table(hinge).map(|p| {
        let [a, b] = hinge.faces.map(|f| placed[clusters.of_face[f]].at(p));
        (a - b).norm()
    });
    apart[0].max(apart[1])
}

/// Adds to a refused pose how far the keel can be opened instead, if that closes it.
pub(super) fn with_a_way_out(error: PoseError, said: &Followed<'_>) -> PoseError {
    let (folded, angles) = (&*said.folded, &*said.angles);
    let keel = said.clusters().ok().and_then(|clusters| clusters.keel);
    let (PoseError::Torn { crease, gap_mm, span, .. }, Some(keel)) = (&error, keel) else {
        return error;
    };
    let closes = |deg: u32| {
        let mut angles = angles.to_vec();
        angles[keel].angle_rad = f64::from(deg).to_radians();
        let opened = Followed::none(folded, &angles);
        let stiff = opened.clusters().and_then(|clusters| {
            let (placed, _) = place(folded, &angles, &clusters, 0.0)?;
            check_closure(folded, &angles, &clusters, &placed)
        });
        stiff.is_ok() || opened.closed().is_some()
    };
    let opens = angles[keel].angle_rad.to_degrees().max(0.0) as u32;
    if angles[keel].kind != PoseKind::Opens || !closes(0) {
        return error;
    }
    let (mut deg, mut torn) = (0, opens + 1);
    while torn - deg > 1 {
        let middle = (deg + torn) / 2;
        *(if closes(middle) { &mut deg } else { &mut torn }) = middle;
    }
    let closes = Some(Closes { keel: angles[keel].crease.clone(), deg });
    PoseError::Torn { crease: crease.clone(), gap_mm: *gap_mm, closes, span: span.clone() }
}
