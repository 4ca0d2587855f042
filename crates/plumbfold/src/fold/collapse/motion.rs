//! Where the faces come to lie when the hinges end folded or flat as asked.

use super::vertex;
use super::{CollapseError, Evidence};
use crate::fold::state::{FaceId, Folded, HINGE_GAP_M};
use crate::numeric::geom::{Line, Placement};
use std::collections::VecDeque;

/// Placement of each face, laid out from the one that stays: a neighbour lies as its neighbour
/// does across a flat hinge, and as its mirror image across a folded one. Faces that end where
/// they were keep their placement to the bit.
///
/// # Errors
/// [`CollapseError::OpenVertex`] or [`CollapseError::Torn`] when two ways round the paper lead to
/// two different places.
pub fn placements(
    model: &Folded,
    folded: &[bool],
    holding: FaceId,
) -> Result<Vec<Placement>, CollapseError> {
    let mut at_face: Vec<Vec<usize>> = vec![Vec::new(); model.faces.len()];
    for (i, h) in model.hinges.iter().enumerate() {
        h.faces.iter().for_each(|&f| at_face[f].push(i));
    }
    let mut placed: Vec<Option<Placement>> = vec![None; model.faces.len()];
    placed[holding] = Some(model.faces[holding].placement);
    let mut queue = VecDeque::from([holding]);
    while let Some(face) = queue.pop_front() {
        let Some(here) = placed[face] else { continue };
        for &i in &at_face[face] {
            let hinge = &model.hinges[i];
            let other = hinge.other(face);
            let Some(there) = across(here, hinge.ends.map(|p| here.apply(p)), folded[i]) else {
                continue;
            };
            match placed[other] {
                None => {
                    let old = model.faces[other].placement;
                    placed[other] = Some(if there.near(&old) { old } else { there });
                    queue.push_back(other);
                }
                Some(found) => {
                    let gaps = hinge.ends.map(|p| found.apply(p).distance(here.apply(p)));
                    let turned_over = found.det() * there.det() < 0.0;
                    if turned_over || gaps.iter().any(|&g| g > HINGE_GAP_M) {
                        return Err(torn(model, folded, i, gaps));
                    }
                }
            }
        }
    }
    // A sheet is one piece, so every face is reached; a face that is not has not moved.
    Ok(placed.iter().zip(&model.faces).map(|(p, f)| p.unwrap_or(f.placement)).collect())
}

fn across(
    here: Placement,
    ends: [crate::numeric::geom::TablePoint; 2],
    folded: bool,
) -> Option<Placement> {
    if folded { Some(here.reflected(&Line::through(ends[0], ends[1])?)) } else { Some(here) }
}

fn torn(model: &Folded, folded: &[bool], hinge: usize, gaps: [f64; 2]) -> CollapseError {
    if let Some(open) = vertex::worst(model, folded) {
        let lines = open.hinges.iter().map(|&h| model.hinge_on_table(&model.hinges[h]));
        let evidence = Evidence {
            lines: lines.collect(),
            points: model.on_table(open.at).into_iter().collect(),
            faces: Vec::new(),
            proposed: vertex::closing(model, &open)
                .into_iter()
                .filter_map(|dir| vertex::on_table(model, open.at, dir))
                .collect(),
        };
        let (creases, sum_deg) = (open.hinges.len(), open.sum_rad.to_degrees());
        let tilt = vertex::tilt(model, &open);
        return CollapseError::OpenVertex { creases, sum_deg, tilt, evidence };
    }
    let h = &model.hinges[hinge];
    let evidence = Evidence {
        faces: h.faces.iter().map(|&f| model.table_polygon(f)).collect(),
        lines: vec![model.hinge_on_table(h)],
        ..Evidence::default()
    };
    CollapseError::Torn { gap_m: gaps[0].max(gaps[1]), evidence }
}
