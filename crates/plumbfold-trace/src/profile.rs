//! Light across an edge of an outline, from the paper inwards, and steps in it: what lies just inside
//! may be the paper itself in shadow.

use std::f64::consts::SQRT_2;

use nalgebra::Vector2;
use statrs::function::erf::erf;

use crate::photo::Photo;
use crate::polygon::{Pt, distance};
use crate::view::View;

/// Deepest look inwards from the outline, mm: a plane lies some mm above the paper, and low light
/// draws shadows twice as wide as that.
const DEEP_MM: f64 = 9.0;
/// The paper beside the edge, mm outside it: clear of the blur.
const BESIDE_MM: [f64; 2] = [1.3, 2.5];
/// Steps across an edge, mm.
const STEP_MM: f64 = 0.15;
/// Readings along a stretch, mm apart.
const ALONG_MM: f64 = 0.3;
/// What is read begins so far inside the edge, mm, where only the tail of its blur is left.
const FROM_MM: f64 = 0.45;
/// Narrowest strip told from a blurred edge, mm.
const NARROW_MM: f64 = 0.6;
/// What lies behind a strip is seen this far, mm.
const BEHIND_MM: f64 = 1.2;
/// Least blur: that of dots themselves, mm, standard deviation.
const BLUR_MIN_MM: f64 = 0.12;
/// Least step between strip and plane, in shares of the paper's light: means of hundreds of dots hold
/// a third of that.
const STEP_MIN: f64 = 0.012;
/// The same in shares of the edge's own step: packed photos ring beside sharp edges by as much.
const RINGING: f64 = 0.03;
/// What a step must explain of all that a slope leaves; chosen: the best step through pure noise
/// explains a third.
const TOLD: f64 = 0.6;
/// What shadows leave of the light: more is none, less is left in no lit room (common practice, no
/// source).
const LEFT: [f64; 2] = [0.1, 0.97];
/// Channels may be left unequal by this, and by this share of what was taken: the light of the sky is
/// bluer than that of the sun (common practice, no source).
const TINT: [f64; 2] = [0.03, 0.12];

/// A step of light inside an edge.
pub struct Step {
    /// How far inside, mm.
    pub depth: f64,
    /// Light before and behind it, against the paper outside.
    pub light: [[f64; 3]; 2],
    /// Whether it is none of what photos do beside sharp edges.
    pub clear: bool,
}

/// Mean light across a stretch of an edge, from the edge inwards, against that of the paper beside
/// it; as deep as no other edge is near.
pub fn across(
    photo: &Photo,
    view: &View,
    corners: &[Pt],
    from: Pt,
    along: Vector2<f64>,
) -> Vec<[f64; 3]> {
    let count = ((along.norm() / ALONG_MM) as usize).max(6);
    let way = along.normalize();
    let inward = Vector2::new(-way.y, way.x);
    let places: Vec<Pt> =
        (0..count).map(|i| from + along * ((i as f64 + 0.5) / count as f64)).collect();
    let read = |depth: f64, places: &mut dyn Iterator<Item = &Pt>| {
        let (mut sum, mut n) = ([0.0; 3], 0usize);
        for p in places {
            let light = photo.light(view.dot(p + inward * depth));
            (0..3).for_each(|c| sum[c] += f64::from(light[c]));
            n += 1;
        }
        (sum.map(|s| s / n.max(1) as f64), n)
    };
    let mut beside = [0.0; 3];
    let outside = ((BESIDE_MM[1] - BESIDE_MM[0]) / STEP_MM) as usize;
    for k in 0..=outside {
        let (light, _) = read(-BESIDE_MM[0] - STEP_MM * k as f64, &mut places.iter());
        (0..3).for_each(|c| beside[c] += light[c] / (outside + 1) as f64);
    }
    let mut out = Vec::new();
    for k in 0..((DEEP_MM - FROM_MM) / STEP_MM) as usize {
        let depth = STEP_MM * k as f64 + FROM_MM;
        let free = |p: &&Pt| distance(corners, **p + inward * depth) > 0.75 * depth;
        let (light, n) = read(depth, &mut places.iter().filter(free));
        if 2 * n < count {
            break;
        }
        out.push([0, 1, 2].map(|c| light[c] / beside[c].max(1e-3)));
    }
    out
}

/// Light across an edge: the paper, then from a blurred edge on a strip, then from a second edge on
/// something else. None where one edge and a slope behind it say as much. `blur` is that of the photo,
/// a standard deviation, mm; borders of shadow are blurred by more.
pub fn step(light: &[[f64; 3]], blur: f64) -> Option<Step> {
    let n = light.len();
    let depth = |i: usize| STEP_MM * i as f64 + FROM_MM;
    let rise = |at: f64, sd: f64| -> Vec<f64> {
        (0..n).map(|i| 0.5 * (1.0 + erf((depth(i) - at) / (sd * SQRT_2)))).collect()
    };
    let blur = blur.max(BLUR_MIN_MM);
    if !light.iter().any(is_dimmed) {
        return None;
    }
    let narrow = NARROW_MM.max(2.5 * blur);
    let steps = ((depth(n.checked_sub(1)?) - BEHIND_MM - narrow) / STEP_MM).floor();
    if steps < 1.0 {
        return None;
    }
    let inner: Vec<(f64, Vec<f64>)> = (0..=steps as usize)
        .map(|k| narrow + STEP_MM * k as f64)
        .map(|at| (at, rise(at, blur)))
        .collect();
    let (mut one, mut two) = (f64::INFINITY, (f64::INFINITY, 0, [[0.0; 2]; 3], 0));
    let mut outers = Vec::new();
    for sd in [1.0, 1.5, 2.2, 3.3, 5.0].map(|k| k * blur) {
        for shift in [-0.6, -0.45, -0.3, -0.15, 0.0, 0.15, 0.3, 0.45, 0.6] {
            let outer = rise(shift, sd);
            let slope: Vec<f64> =
                outer.iter().enumerate().map(|(i, r)| r * depth(i) / DEEP_MM).collect();
            one = one.min(explained(light, &outer, &slope).0);
            for (k, (at, second)) in inner.iter().enumerate() {
                if *at < shift + 2.5 * sd.min(1.3) {
                    continue;
                }
                let (left_over, sizes) = explained(light, &outer, second);
                if left_over < two.0 {
                    two = (left_over, k, sizes, outers.len());
                }
            }
            outers.push(outer);
        }
    }
    let (left_over, best, sizes, outer) = two;
    let before = sizes.map(|[a, _]| 1.0 + a);
    let behind = sizes.map(|[a, b]| 1.0 + a + b);
    let change = sizes.map(|[_, b]| b);
    let least = STEP_MIN.max(RINGING * (1.0 - mean(&before)));
    let seen = mean(&change).abs() > least || change.iter().any(|c| c.abs() > 3.0 * least);
    // Narrower ones than are tried end up at the narrowest, and so does ringing.
    let clear = best > 0 || mean(&change).abs() > 3.0 * least;
    if !seen || left_over > (1.0 - TOLD) * one || !is_dimmed(&before) {
        return None;
    }
    // Between the places tried: the lowest point of a parabola.
    let at = |k: usize| explained(light, &outers[outer], &inner[k].1).0;
    let between = match (best.checked_sub(1), inner.get(best + 1)) {
        (Some(k), Some(_)) => {
            let (low, high) = (at(k), at(best + 1));
            (0.5 * (low - high) / (low - 2.0 * left_over + high)).clamp(-0.5, 0.5)
        }
        _ => 0.0,
    };
    Some(Step { depth: inner[best].0 + STEP_MM * between, light: [before, behind], clear })
}

/// How large two given changes of light are in each channel, by least squares, and the sum of squares
/// that they leave.
fn explained(light: &[[f64; 3]], a: &[f64], b: &[f64]) -> (f64, [[f64; 2]; 3]) {
    let dot = |u: &[f64], v: &[f64]| u.iter().zip(v).map(|(u, v)| u * v).sum::<f64>();
    let (aa, ab, bb) = (dot(a, a), dot(a, b), dot(b, b));
    let det = aa * bb - ab * ab;
    if det < 1e-9 * aa * bb {
        return (f64::INFINITY, [[0.0; 2]; 3]);
    }
    let mut left_over = 0.0;
    let sizes = [0, 1, 2].map(|c| {
        let of = |u: &[f64]| u.iter().zip(light).map(|(u, v)| u * (v[c] - 1.0)).sum::<f64>();
        let (ya, yb) = (of(a), of(b));
        let size = [(bb * ya - ab * yb) / det, (aa * yb - ab * ya) / det];
        let all: f64 = light.iter().map(|v| (v[c] - 1.0).powi(2)).sum();
        left_over += all - size[0] * ya - size[1] * yb;
        size
    });
    (left_over, sizes)
}

/// Mean of the channels.
pub fn mean(v: &[f64; 3]) -> f64 {
    v.iter().sum::<f64>() / 3.0
}

/// Whether light is that of the paper, dimmed.
fn is_dimmed(light: &[f64; 3]) -> bool {
    let left = mean(light);
    let tint = TINT[0] + TINT[1] * (1.0 - left).max(0.0);
    LEFT[0] < left
        && left < LEFT[1]
        && light.iter().all(|c| (c / left - 1.0).abs() < tint / left.sqrt())
}
