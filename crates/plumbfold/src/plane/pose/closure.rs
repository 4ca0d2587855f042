//! Whether every posed crease still joins its two sides.

use super::clusters::Clusters;
use super::{Bent, CLOSURE_M, HingeAngle, Placed, PoseError};
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
