//! Which squares of the sheet the plane covers.
//!
//! No single rule serves a red plane on white paper, a white one on a dark sheet and a white one
//! on white. So several are tried (another colour, lighter, darker, either, and what edges of shade
//! close off) and the one whose border is sharpest all round is kept: the border of a shadow or of
//! a gradient of light is soft.

use crate::error::TraceError;
use crate::flat::Flat;
use crate::mask::{Mask, otsu};
use crate::polygon::Pt;

/// Least area of a plane, mm2: a postage stamp.
const AREA_MIN_MM2: f64 = 600.0;
/// A second thing of this share of the first is another plane.
const SECOND_SHARE: f64 = 0.1;
/// Shades are compared this far on each side of a border, mm.
const BESIDE_MM: f64 = 0.9;
/// Least change of shade across most of the border, in units of L*a*b*: what an eye just sees is
/// about 2 (common practice, no source).
const CONTRAST_MIN: f32 = 2.0;

/// From this change of shade on an edge cannot be taken for a shadow's, L*a*b*: shadows close to
/// a plane are about as deep in a lit room (common practice, no source).
pub const FAINT: f32 = 8.0;

/// What a change of lightness counts beside one of colour when borders are compared. Chosen: a
/// coloured plane's border then beats that of its shadow, and without colour all count alike.
const SHADOW_SHARE: f32 = 0.4;

/// The plane on the grid.
pub struct Covered {
    /// Its squares.
    pub mask: Mask,
    /// Change of shade that four fifths of its border reach, L*a*b*.
    pub contrast: f32,
    /// The rule that found it, in words.
    pub rule: &'static str,
    /// The threshold used, L*a*b*; none for edges.
    pub threshold: Option<f32>,
}

/// Finds the plane; `threshold` is a difference from the paper in L*a*b*, given by hand. `go_on` is
/// asked between the rules. What stands out goes to `seen`, also where it is no plane.
///
/// # Errors
/// None, two, or one that reaches over the edge.
pub fn covered(
    flat: &Flat,
    threshold: Option<f32>,
    ignored: &[Pt],
    go_on: &dyn Fn() -> bool,
    seen: &mut Option<Mask>,
) -> Result<Covered, TraceError> {
    let off = flat.from_paper();
    type Rule = (&'static str, fn(&[f32; 3]) -> f32);
    let rules: [Rule; 4] = [
        ("another colour", |d| d[1].hypot(d[2])),
        ("another shade", |d| (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt()),
        ("lighter", |d| d[0]),
        ("darker", |d| -d[0]),
    ];
    let mut best: Option<(f32, Covered)> = None;
    let mut consider = |mask: Mask, rule, threshold| {
        let Some(mask) = cleaned(flat, mask, ignored) else { return };
        let contrast = contrast(flat, &mask, 1.0);
        // Borders of shadows differ in lightness alone. Of two borders equally sharp, the one round more: a plane of two colours is one plane.
        let score = self::contrast(flat, &mask, SHADOW_SHARE) * (mask.count() as f32).powf(0.25);
        if best.as_ref().is_none_or(|b| score > b.0) {
            best = Some((score, Covered { mask, contrast, rule, threshold }));
        }
    };
    for (rule, value) in rules {
        if !go_on() {
            return Err(TraceError::Stopped);
        }
        let values: Vec<f32> = off.iter().map(value).collect();
        let at = |t: f32| Mask::of(flat.width, values.len(), |i| values[i] > t);
        if let Some(t) = threshold {
            consider(at(t), rule, Some(t));
            continue;
        }
        let parted = otsu(values.iter().copied());
        let mut above: Vec<f32> = values.iter().copied().filter(|&v| v > parted).collect();
        if above.is_empty() {
            continue;
        }
        let middle = above.len() / 2;
        let (_, &mut usual, _) = above.select_nth_unstable_by(middle, f32::total_cmp);
        // Half way between paper and plane, and lower for a plane of several shades.
        for share in [0.5, 0.3] {
            let t = usual * share;
            if t > 1.0 {
                consider(at(t), rule, Some(t));
            }
        }
    }
    if threshold.is_none() {
        if !go_on() {
            return Err(TraceError::Stopped);
        }
        for mask in closed_off(flat) {
            consider(mask, "edges of shade", None);
        }
    }
    let Some((_, found)) = best else { return Err(TraceError::NoPlane) };
    *seen = Some(found.mask.clone());
    let squares_per_mm2 = flat.per_mm * flat.per_mm;
    let faint = found.contrast < FAINT;
    if threshold.is_none() && found.contrast < CONTRAST_MIN {
        return Err(TraceError::NoPlane);
    }
    let [first, second] = two_largest(&found.mask);
    if second > SECOND_SHARE * first && second / squares_per_mm2 > AREA_MIN_MM2 {
        // Of a plane of the paper's own shade parts stand out here and there.
        if faint {
            return Err(TraceError::Faint);
        }
        let cm2 = |n: f64| n / squares_per_mm2 / 100.0;
        return Err(TraceError::TwoPlanes { first_cm2: cm2(first), second_cm2: cm2(second) });
    }
    let one = found.mask.largest(1).swap_remove(0).0;
    let (w, h) = (one.width, one.height());
    let touching = (0..w).filter(|&x| one.on[x] || one.on[(h - 1) * w + x]).count()
        + (0..h).filter(|&y| one.on[y * w] || one.on[y * w + w - 1]).count();
    if touching > flat.squares(2.0) {
        return Err(if faint { TraceError::Faint } else { TraceError::OverTheEdge });
    }
    Ok(Covered { mask: one, ..found })
}

/// Pieces the size of a plane, holes filled, thin lines (pencil, creases) gone. None where there is
/// none or where it is the whole sheet.
fn cleaned(flat: &Flat, mask: Mask, ignored: &[Pt]) -> Option<Mask> {
    let thin = flat.squares(0.5);
    let mask = mask.grown(1).filled().shrunk(1).shrunk(thin).grown(thin);
    let least = AREA_MIN_MM2 * flat.per_mm * flat.per_mm;
    let (label, sizes) = mask.pieces();
    let mut keep: Vec<bool> = sizes.iter().map(|&n| n as f64 >= least).collect();
    keep[0] = false;
    for p in ignored {
        let at = (*p - flat.corner) * flat.per_mm;
        let (x, y) = (at.x as usize, at.y as usize);
        if at.x >= 0.0 && at.y >= 0.0 && x < mask.width && y < mask.height() {
            keep[label[y * mask.width + x] as usize] = false;
        }
    }
    let kept = Mask::of(mask.width, label.len(), |i| keep[label[i] as usize]);
    let share = kept.count() as f64 / label.len() as f64;
    (share > 0.0 && share < 0.9).then_some(kept)
}

fn two_largest(mask: &Mask) -> [f64; 2] {
    let (_, mut sizes) = mask.pieces();
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    [0, 1].map(|i| sizes.get(i).copied().unwrap_or(0) as f64)
}

/// The change of shade across the border that four fifths of it reach; changes of lightness count so
/// much.
fn contrast(flat: &Flat, mask: &Mask, lightness: f32) -> f32 {
    let beside = flat.per_mm * BESIDE_MM;
    let (w, h) = (flat.width as f64, flat.height() as f64);
    let mut all = Vec::new();
    for (piece, _) in mask.largest(1) {
        let border = piece.border();
        let n = border.len();
        let span = flat.squares(1.5);
        for i in (0..n).step_by(3) {
            let along = border[(i + span) % n] - border[(i + n - span % n) % n];
            if along.norm() < 1e-9 {
                continue;
            }
            // Inside lies on the right hand of the way round.
            let inward = nalgebra::Vector2::new(-along.y, along.x).normalize() * beside;
            let shade = |p: Pt| {
                let inside = p.x >= 0.0 && p.y >= 0.0 && p.x < w && p.y < h;
                inside.then(|| flat.lab[p.y as usize * flat.width + p.x as usize])
            };
            let (Some(a), Some(b)) = (shade(border[i] + inward), shade(border[i] - inward)) else {
                continue;
            };
            let d: [f32; 3] = std::array::from_fn(|c| a[c] - b[c]);
            all.push(((lightness * d[0]).powi(2) + d[1].powi(2) + d[2].powi(2)).sqrt());
        }
    }
    all.sort_by(f32::total_cmp);
    all.get(all.len() / 5).copied().unwrap_or(0.0)
}

/// What strong edges of shade close off from the rim of the sheet, for planes of the sheet's own
/// colour. The walls are as thick as they must be to close small gaps; half is taken off again.
fn closed_off(flat: &Flat) -> Vec<Mask> {
    let (w, h) = (flat.width, flat.height());
    let reach = flat.squares(0.4);
    // Means along rows and columns first: noise falls, edges stay.
    let smooth = blurred(flat, reach);
    let slope: Vec<f32> = (0..w * h)
        .map(|i| {
            let (x, y) = (i % w, i / w);
            if x < reach || y < reach || x + reach >= w || y + reach >= h {
                return 0.0;
            }
            let change = |a: usize, b: usize| {
                (0..3).map(|c| (smooth[a][c] - smooth[b][c]).powi(2)).sum::<f32>()
            };
            (change(i - reach, i + reach) + change(i - reach * w, i + reach * w)).sqrt()
        })
        .collect();
    let mut sorted = slope.clone();
    let middle = sorted.len() / 2;
    let (_, &mut usual, _) = sorted.select_nth_unstable_by(middle, f32::total_cmp);
    // Slopes of noise alone have a Rayleigh distribution; one in a thousand passes 3.2 medians.
    let mut out = Vec::new();
    for times in [3.5f32, 7.0] {
        let walls = Mask::of(w, w * h, |i| slope[i] > (times * usual).max(1.2));
        // Specks are no walls.
        let (label, sizes) = walls.pieces();
        let long = flat.squares(8.0);
        let walls = Mask::of(w, w * h, |i| label[i] != 0 && sizes[label[i] as usize] >= long);
        let gap = flat.squares(1.0);
        out.push(walls.grown(gap).filled().shrunk(gap + reach / 2));
    }
    out
}

fn blurred(flat: &Flat, by: usize) -> Vec<[f32; 3]> {
    let (w, h) = (flat.width, flat.height());
    let mean = |from: &[[f32; 3]], stride: usize, at: usize, n: usize, i: usize| {
        let (low, high) = (at.saturating_sub(by), (at + by).min(n - 1));
        let mut sum = [0.0f32; 3];
        for k in low..=high {
            let v = from[i + k * stride - at * stride];
            (0..3).for_each(|c| sum[c] += v[c]);
        }
        sum.map(|s| s / (high - low + 1) as f32)
    };
    let rows: Vec<[f32; 3]> = (0..w * h).map(|i| mean(&flat.lab, 1, i % w, w, i)).collect();
    (0..w * h).map(|i| mean(&rows, w, i / w, h, i)).collect()
}
