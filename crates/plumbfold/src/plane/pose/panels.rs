//! Placed stacks to panels, those that lie in one plane as one.

use super::clusters::Clusters;
use super::{LEVEL_COS, Placed, Posed};
use crate::fold::creep;
use crate::fold::state::Folded;
use crate::paper::Stock;
use crate::plane::airframe::{Lamina, Panel, PanelKind};
use nalgebra::{Isometry3, Matrix3, Point3, Rotation3, Translation3, UnitQuaternion, Vector3};

/// Stacks that hang on the same crease and take the same motion are one panel: a wing whose loose
/// layers are joined to it only through the keel. Tells which of the placed ones stand for them.
pub(super) fn merge_coplanar(clusters: &mut Clusters, placed: &[Placed]) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::with_capacity(placed.len());
    let mut new_index = Vec::with_capacity(placed.len());
    for (i, p) in placed.iter().enumerate() {
        let same = |&q: &usize| {
            let q = &placed[q];
            q.depth == p.depth && q.moves_with(p)
        };
        let index = kept.iter().position(same).unwrap_or_else(|| {
            kept.push(i);
            kept.len() - 1
        });
        new_index.push(index);
    }
    for c in &mut clusters.of_face {
        *c = new_index[*c];
    }
    clusters.count = kept.len();
    kept
}

pub(super) fn build(
    folded: &Folded,
    stock: &Stock,
    clusters: &Clusters,
    placed: &[Placed],
    keel: bool,
    thickness_m: f64,
) -> Posed {
    let outlines = creep::outlines(folded, thickness_m);
    let heights = clusters.heights(folded, |c| placed[c].from_top);
    let mut panels = Vec::with_capacity(placed.len());
    let mut signs = Vec::with_capacity(placed.len());
    for p in placed {
        let normal = p.to_datum.rotation * Vector3::z();
        let level = normal.z.abs() >= LEVEL_COS;
        let flip =
            if level { -normal.z } else { normal.y * if p.side == 0.0 { 1.0 } else { p.side } };
        let w = if flip < 0.0 { -normal } else { normal };
        let u = p.to_datum.rotation * Vector3::y();
        let v = w.cross(&u);
        let turn = Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[u, v, w]));
        let origin = p.to_datum * Point3::new(p.origin.x, p.origin.y, 0.0);
        let v_sign = (p.to_datum.rotation * Vector3::x()).dot(&v).signum();
        signs.push((v_sign, if flip < 0.0 { -1.0 } else { 1.0 }));
        panels.push(Panel {
            name: folded
                .creases
                .get(p.crease)
                .filter(|_| p.depth > 0)
                .and_then(|c| c.name.as_deref())
                .unwrap_or("body")
                .to_owned(),
            kind: match (level, keel && p.depth < 2) {
                (true, _) => PanelKind::Wing,
                (false, true) => PanelKind::Keel,
                (false, false) => PanelKind::Fin,
            },
            placement: Isometry3::from_parts(
                Translation3::from(origin.coords),
                UnitQuaternion::from_rotation_matrix(&turn),
            ),
            laminae: Vec::new(),
        });
    }
    let panel_of_face = clusters.of_face.clone();
    let mut lamina_of_face = vec![0; folded.faces.len()];
    for &f in &folded.order {
        let face = &folded.faces[f];
        let c = panel_of_face[f];
        let (v_sign, w_sign) = signs[c];
        let o = placed[c].origin;
        let mut polygon: Vec<[f64; 2]> =
            outlines[f].iter().map(|t| [t.y - o.y, (t.x - o.x) * v_sign]).collect();
        // Sheet polygons run anticlockwise; a mirror image seen from +w runs clockwise.
        if face.placement.det() * v_sign > 0.0 {
            polygon.reverse();
        }
        let panel: &mut Panel = &mut panels[c];
        lamina_of_face[f] = panel.laminae.len();
        panel.laminae.push(Lamina {
            polygon,
            height_m: heights[f] * stock.thickness_m * w_sign,
            areal_mass_kg_m2: stock.grammage_kg_m2,
            thickness_m: stock.thickness_m,
        });
    }
    let nose = panels
        .iter()
        .flat_map(|p| {
            p.laminae.iter().flat_map(move |l| {
                l.polygon.iter().map(move |q| (p.placement * Point3::new(q[0], q[1], 0.0)).x)
            })
        })
        .fold(f64::MIN, f64::max);
    let shift = Translation3::new(-nose, 0.0, 0.0);
    for p in &mut panels {
        p.placement = shift * p.placement;
    }
    let table_to_datum = placed.iter().map(|p| shift * p.to_datum).collect();
    let bent = Vec::new();
    Posed { panels, panel_of_face, lamina_of_face, table_to_datum, thickness_m, bent }
}
