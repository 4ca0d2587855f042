//! Where a surface is cut into runs.

use crate::air::surfaces::Surface;

/// A break of the outline nearer to the last one than this share of a strip is not followed.
const NARROWEST_STRIP: f64 = 0.35;
/// The first and last station of a run, and both with the part beyond a free edge.
pub(super) type Stations = [f64; 4];

/// Stations of the runs of a surface: first, last, and both with the part beyond a free edge.
pub(super) fn stations(surface: &Surface, width: f64, tip_inset: bool) -> Vec<Stations> {
    let [lo, hi] = surface.ends;
    // A surface narrower than three strips still gets three: its load is not constant.
    let width = width.min((hi - lo) / 3.0);
    let mut breaks = vec![lo];
    breaks.extend(outline_breaks(surface, width));
    breaks.push(hi);
    let mut strips = Vec::new();
    for (i, w) in breaks.windows(2).enumerate() {
        let free = [i == 0 && !surface.joined[0], i + 2 == breaks.len() && !surface.joined[1]];
        let inset = free.map(|f| if f && tip_inset { 0.25 } else { 0.0 });
        let count = ((w[1] - w[0]) / width).round().max(1.0);
        let step = (w[1] - w[0]) / (count + inset[0] + inset[1]);
        let at = |k: f64| w[0] + step * (inset[0] + k);
        for k in 0..count as usize {
            let [a, b] = [at(k as f64), at(k as f64 + 1.0)];
            let last = k as f64 + 1.0 == count;
            let edges = [if k == 0 { w[0] } else { a }, if last { w[1] } else { b }];
            strips.push([a, if last && inset[1] == 0.0 { w[1] } else { b }, edges[0], edges[1]]);
        }
    }
    strips
}

/// Stations at which the outline jumps or bends, jumps first, thinned so that no strip becomes
/// much narrower than the others.
fn outline_breaks(surface: &Surface, width: f64) -> Vec<f64> {
    let near = |a: f64, b: f64| (a - b).abs() <= NARROWEST_STRIP * width;
    let mut found = surface.breaks();
    found.sort_by(|a, b| a.1.total_cmp(&b.1));
    // A crease that runs so nearly along the chord that no strip fits between its ends is one
    // break, in its middle.
    let mut breaks: Vec<(f64, f64)> = Vec::new();
    for creases in [false, true] {
        let of_kind: Vec<_> = found.iter().filter(|b| (b.0 >= 2.0) == creases).collect();
        breaks.extend(of_kind.chunk_by(|a, b| creases && near(a.1, b.1)).map(|group| {
            let size = group.iter().map(|b| b.0).fold(0.0, f64::max);
            (size, (group[0].1 + group[group.len() - 1].1) / 2.0)
        }));
    }
    breaks.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut kept: Vec<f64> = Vec::new();
    for (_, y) in breaks {
        if kept.iter().chain(&surface.ends).all(|&k| !near(k, y)) {
            kept.push(y);
        }
    }
    kept.sort_by(f64::total_cmp);
    kept
}
