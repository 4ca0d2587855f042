//! Edges that go on beyond an outline.
//!
//! Paper coloured on one side shows its white back where a flap is folded over. On a white sheet such a
//! flap is no part of what stands out, on both halves alike, so that nothing in the outline tells. But
//! its edges run on in line with the plane's, as a faint step or a thin shadow, which means along them
//! show far below the noise of single dots:
//!
//! ```text
//!       colour \          |        across the line, 8 to 20 mm beyond the corner, against the same
//!   ------------\         |        read beside it, where paper alone lies
//!        flap    . . . . .|. . .
//! ```

use nalgebra::Vector2;

use crate::photo::Photo;
use crate::polygon::{Pt, contains};
use crate::view::View;

/// Stretches begin so far beyond a corner, mm: the plane's own shadow ends before.
const FROM_MM: [f64; 3] = [8.0, 12.0, 16.0];
/// Their length, mm.
const LONG_MM: f64 = 4.0;
/// An edge lies so near to the line that it goes on, mm.
const NEAR_MM: f64 = 1.5;
/// Paper is read from here to there beside it, mm.
const BESIDE_MM: [f64; 2] = [2.8, 6.0];
/// Steps across, mm.
const STEP_MM: f64 = 0.25;
/// Readings along, mm apart.
const ALONG_MM: f64 = 0.25;
/// Shades are compared over so much on each side, in steps: a mm.
const SIDE: usize = 4;
/// Least change of light that is an edge, in shares of the paper's: paper's own grain and packing leave
/// a third of it in such means (chosen on rendered photos).
const LEAST: f64 = 0.012;
/// So many times what lies beside it (chosen on rendered photos).
const TIMES: f64 = 4.0;
/// Each stretch must show so much of what all together do.
const EACH: f64 = 0.5;

/// How many corners of an outline have an edge that goes on beyond them, within a part of the sheet, mm.
pub fn goes_on(photo: &Photo, view: &View, corners: &[Pt], low: Pt, high: Pt) -> usize {
    let n = corners.len();
    (0..n)
        .filter(|&i| {
            let [before, at, after] = [i + n - 1, i, i + 1].map(|k| corners[k % n]);
            [before, after].into_iter().any(|from| {
                let way = (at - from).try_normalize(1.0);
                way.is_some_and(|way| is_edge(photo, view, corners, at, way, [low, high]))
            })
        })
        .count()
}

/// Whether a faint edge runs from a place along a way.
fn is_edge(
    photo: &Photo,
    view: &View,
    corners: &[Pt],
    at: Pt,
    way: Vector2<f64>,
    [low, high]: [Pt; 2],
) -> bool {
    let across = Vector2::new(-way.y, way.x);
    let free = |p: Pt| (0..2).all(|k| low[k] < p[k] && p[k] < high[k]) && !contains(corners, p);
    let ends = [FROM_MM[0], FROM_MM[2] + LONG_MM];
    let wide = BESIDE_MM[1] + 1.0;
    let clear = |t: f64| [-wide, 0.0, wide].into_iter().all(|d| free(at + way * t + across * d));
    if !(ends.into_iter().all(clear) && clear(0.5 * (ends[0] + ends[1]))) {
        return false;
    }
    let steps = (wide / STEP_MM) as i32;
    let read = |from: f64| -> Vec<f64> {
        let count = (LONG_MM / ALONG_MM) as usize;
        let light = |d: i32| {
            let sum: f64 = (0..count)
                .map(|k| {
                    at + way * (from + ALONG_MM * (k as f64 + 0.5))
                        + across * (f64::from(d) * STEP_MM)
                })
                .map(|p| photo.light(view.dot(p)).iter().map(|&c| f64::from(c)).sum::<f64>())
                .sum();
            sum / count as f64
        };
        let row: Vec<f64> = (-steps..=steps).map(light).collect();
        let mean = (row.iter().sum::<f64>() / row.len() as f64).max(1e-6);
        row.iter().map(|v| v / mean).collect()
    };
    let stretches = FROM_MM.map(read);
    let all: Vec<f64> = (0..stretches[0].len())
        .map(|i| stretches.iter().map(|s| s[i]).sum::<f64>() / 3.0)
        .collect();
    let middle = steps as usize;
    let near = (NEAR_MM / STEP_MM) as usize;
    let [inner, outer] = BESIDE_MM.map(|mm| (mm / STEP_MM) as usize);
    let most = |row: &[f64], range: std::ops::RangeInclusive<usize>| {
        range.map(|i| change(row, i)).fold(0.0, f64::max)
    };
    let here = most(&all, middle - near..=middle + near);
    let beside = most(&all, middle - outer..=middle - inner)
        .min(most(&all, middle + inner..=middle + outer));
    here > LEAST.max(TIMES * beside)
        && stretches.iter().all(|row| most(row, middle - near..=middle + near) > EACH * here)
}

/// Change of light at a place of a row: a step, or a thin dark or light line.
fn change(row: &[f64], i: usize) -> f64 {
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    let (Some(from), Some(after)) = (i.checked_sub(SIDE), row.get(i + 1..=i + SIDE)) else {
        return 0.0;
    };
    let (before, after) = (mean(&row[from..i]), mean(after));
    (before - after).abs().max((row[i] - 0.5 * (before + after)).abs())
}
