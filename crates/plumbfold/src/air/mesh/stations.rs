//! Where a surface is cut into runs.
//!
//! All strips of a plane are equally wide, so that nothing jumps when paper moves by a hair: what
//! does not divide evenly is one narrower strip amid the others, and a strip without width carries
//! nothing. Only where the plates change does a strip have to end; bends and jumps of the outline
//! are in the strip's mean edges.

use super::MeshSize;
use crate::air::plates::Side;
use crate::air::surfaces::Surface;
use crate::plane::airframe::PanelKind;

/// How far inside a free edge the outermost vortices stand, in strips (see [`super::MeshSize`]).
pub(super) const TIP_INSET: f64 = 0.25;
/// Fewest strips on one side of a wing, and on a keel or fin, unless fewer are asked for in all.
const FEWEST_ON_WING: f64 = 6.0;
/// See [`FEWEST_ON_WING`].
const FEWEST: f64 = 3.0;
/// A change of plates nearer to the last one than this share of a strip is not followed.
const NARROWEST_STRIP: f64 = 0.02;
/// What is left over is shared out if it is less than this share of a strip.
const LEAST_LEFT: f64 = 0.02;

/// The first and last station of a run, and both with the part beyond a free edge.
pub(super) type Stations = [f64; 4];

/// Stations of the runs of a surface: first, last, and both with the part beyond a free edge.
pub(super) fn stations(surface: &Surface, width: f64, size: MeshSize) -> Vec<Stations> {
    let [lo, hi] = surface.ends;
    let inset = |joined: bool| if joined || !size.tip_inset { 0.0 } else { TIP_INSET };
    let ends = surface.joined.map(inset);
    // However narrow a surface is, its load is not constant.
    let least = if surface.kind() == PanelKind::Wing { FEWEST_ON_WING } else { FEWEST };
    let least = least.min(size.spanwise as f64);
    let width = width.min((hi - lo) / (least + ends[0] + ends[1]));
    let breaks = breaks(surface, width);
    let from = [&[lo], &breaks[..]].concat();
    let to = [&breaks[..], &[hi]].concat();
    let last = breaks.len();
    let parts = from.iter().zip(&to).enumerate().map(|(i, (&a, &b))| {
        let inset = [if i == 0 { ends[0] } else { 0.0 }, if i == last { ends[1] } else { 0.0 }];
        // Counted from the free edge; mirror images alike.
        let from_last = match inset[0] == inset[1] {
            true => surface.side != Side::Left,
            false => inset[1] > 0.0,
        };
        cut([a, b], inset, width, from_last)
    });
    parts.flatten().collect()
}

/// Strips of a width between two stations.
fn cut([lo, hi]: [f64; 2], inset: [f64; 2], width: f64, from_last: bool) -> Vec<Stations> {
    let width = width.min((hi - lo) / (1.0 + inset[0] + inset[1]));
    let [first, last] = [lo + inset[0] * width, hi - inset[1] * width];
    let fit = (last - first) / width;
    let whole = (fit + LEAST_LEFT).floor();
    let left = Some(fit - whole).filter(|left| *left > LEAST_LEFT);
    let step = if left.is_some() { width } else { (last - first) / whole };
    let outer = (whole / 2.0).ceil();
    let before = if from_last { whole - outer } else { outer };
    let count = whole as usize + usize::from(left.is_some());
    let at = |k: usize| match k as f64 {
        k if k <= before => first + step * k,
        k => last - step * (count as f64 - k),
    };
    let edge = |k: usize| match k {
        0 => lo,
        k if k == count => hi,
        k => at(k),
    };
    (0..count).map(|k| [at(k), at(k + 1), edge(k), edge(k + 1)]).collect()
}

/// Stations at which the plates change or another surface stands, thinned so that no strip between
/// plates becomes much narrower than the others.
fn breaks(surface: &Surface, width: f64) -> Vec<f64> {
    let narrowest = NARROWEST_STRIP * width;
    // Where another surface stands a strip has to end, or it would reach through that.
    let mut kept = surface.stood_on.clone();
    kept.sort_by(f64::total_cmp);
    kept.dedup_by(|a, b| *a - *b < narrowest);
    // A crease that runs so nearly along the chord that no strip fits between its ends is one
    // break, in its middle.
    let found = surface.plate_changes();
    for crease in found.chunk_by(|a, b| b - a <= narrowest) {
        let y = (crease[0] + crease[crease.len() - 1]) / 2.0;
        if kept.iter().chain(&surface.ends).all(|k| (k - y).abs() > narrowest) {
            kept.push(y);
        }
    }
    kept.sort_by(f64::total_cmp);
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strips_are_equal_but_for_one_and_move_with_the_ends_by_a_hair() {
        for (inset, from_last) in [([0.0, 0.25], true), ([0.25, 0.0], false), ([0.0; 2], true)] {
            let mut last: Option<Vec<Stations>> = None;
            for k in 0..400 {
                let hi = 0.5 + 0.01 * f64::from(k);
                let all = cut([0.0, hi], inset, 1.0, from_last);
                assert!(all.windows(2).all(|w| w[0][1] == w[1][0] && w[0][3] == w[1][2]));
                assert_eq!((all[0][2], all[all.len() - 1][3]), (0.0, hi));
                let narrow = all.iter().filter(|s| s[1] - s[0] < 0.97);
                assert!(hi < 1.3 || narrow.count() <= 1, "{all:?}");
                if let Some(before) = last.filter(|b| b.len() == all.len()) {
                    let moved = before.iter().flatten().zip(all.iter().flatten());
                    assert!(moved.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) < 0.03);
                }
                last = Some(all);
            }
        }
    }
}
