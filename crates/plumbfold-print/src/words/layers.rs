//! Which layers a step takes.

use plumbfold::design::ast::FoldVerb;
use plumbfold::numeric::geom::{TablePoint, centroid, edges};

use super::{BESIDE_M, Speaker};

/// Some layers and not the rest: the ones towards the folder, or those behind.
pub(super) fn only(behind: bool, layers: usize) -> String {
    let which = if behind { "back" } else { "front" };
    match layers {
        1 => format!("Take only the {which} layer."),
        n => format!("Take only the {n} {which} layers."),
    }
}

impl Speaker<'_> {
    /// Which layers move, where the step does not say so and others lie on or under them that
    /// stay.
    pub(super) fn not_all(&self, verb: FoldVerb) -> Option<String> {
        let pass = self.record.passes.first()?;
        let (before, after) = (self.places.model(), &self.record.after);
        // Each piece of paper after the step: where it lay, and whether it went.
        let pieces: Vec<(TablePoint, bool)> = (0..after.faces.len())
            .filter_map(|f| {
                let middle = centroid(&after.faces[f].polygon);
                let old = before.faces_at(middle).next()?;
                let went = !before.faces[old].placement.near(&after.faces[f].placement);
                Some((before.faces[old].placement.apply(middle), went))
            })
            .filter(|(at, _)| pass.line.side(*at) > BESIDE_M)
            .collect();
        let layers = |at: TablePoint, went: bool| {
            let over = (0..after.faces.len()).filter(|&f| {
                let middle = centroid(&after.faces[f].polygon);
                let Some(old) = before.faces_at(middle).next() else { return false };
                let placement = &before.faces[old].placement;
                let outline = after.faces[f].polygon.iter().map(|&p| placement.apply(p));
                let mut outline: Vec<TablePoint> = outline.collect();
                if placement.det() < 0.0 {
                    outline.reverse();
                }
                placement.near(&after.faces[f].placement) != went
                    && edges(&outline).all(|(a, b)| (b - a).cross(at - a) > -1e-9)
            });
            over.count()
        };
        let covered = |at: &TablePoint| layers(*at, false) > 0;
        if !pieces.iter().any(|(at, went)| *went && covered(at)) {
            return None;
        }
        let moved = pieces.iter().filter(|(_, went)| *went).map(|(at, _)| layers(*at, true));
        Some(only(verb == FoldVerb::Mountain, moved.max().unwrap_or(1)))
    }
}
