//! Shadow that was taken for plane.
//!
//! A cast shadow is the paper's own colour with less light. Beside a plane of nearly its shade it
//! looks like a part of it, and the outline runs round both. It gives itself away:
//!
//! ```text
//!     paper  | shadow |  plane        light across an edge, from outside inwards, against that
//!   ---------+                        of the paper: one, then a strip where all channels are
//!            |________                darker by the same factor, then the plane itself
//!                     |_________
//! ```
//!
//! Means along an edge show steps far below the noise of single dots. Light comes from one side:
//! strips of shadow lie on the edges that face away from it and on no other. A fold or a layer of the
//! plane makes strips too, but on both halves alike.

use nalgebra::{Matrix2, Vector2};

use crate::line::{self, Line};
use crate::outline::{Shade, Traced};
use crate::photo::Photo;
use crate::polygon::{Pt, edges, moments};
use crate::profile::{Step, across, mean, step};
use crate::symmetry;
use crate::view::View;

/// Stretches of an edge that are read as one, mm.
const STRETCH_MM: f64 = 12.0;
/// Edges shorter than this join a plane to the end of its shadow, or say too little, mm.
const SHORT_MM: f64 = 7.0;
/// Share of the stretches of an edge that must show a strip.
const MOST: f64 = 0.6;
/// Points of its inner side may lie this far from their line, mm.
const OFF_MM: f64 = 0.5;
/// What an edge may lie off where the halves are unlike, of the root mean square distance between
/// them: a strip along half of the edges puts these off by twice that distance.
const ASYMMETRY_SHARE: f64 = 0.5;
/// An edge moved to the inner side of a shadow is known to this at best, mm.
const INNER_SD_MM: f64 = 0.05;
/// Colours of edges this far apart, mm, say that one has shadow in it.
const COLOUR_APART_MM: f64 = 0.12;
/// Channels unequal by this share are another colour than the paper's; shadows are within half of it.
const COLOURED: f64 = 0.2;
/// A short edge is moved where its shadow is wider than this, mm.
const SHORT_MOVED_MM: f64 = 0.5;
/// Share of the strips, by length, that one direction of light must explain.
const ONE_WAY: f64 = 0.6;
/// Taking shadow off makes the halves more alike than this share of what they were.
const BETTER: f64 = 0.6;
/// Strips are on one half only where the other has at most this of them.
const OTHER_HALF: f64 = 0.4;

/// An outline without its shadow.
pub struct Freed {
    /// The outline.
    pub outline: Traced,
    /// How far each edge may lie off where strips may be shadow or plane, all of them together; mm,
    /// standard deviation.
    pub doubt_mm: Vec<f64>,
    /// Widest strip that was taken off, mm.
    pub taken_mm: f64,
    /// Widest strip that was left on in doubt, mm.
    pub left_mm: f64,
}

/// A strip beside an edge.
struct Strip {
    /// Its inner side.
    inner: Line,
    /// Mean width, mm.
    width: f64,
    /// Light behind it, against the paper beside it.
    behind: [f64; 3],
}

/// Takes shadow off an outline; strips that may be folds stay on, with the doubt.
pub fn freed(photo: &Photo, view: &View, outline: Traced) -> Freed {
    let mut outline = by_colour(outline);
    let (strips, widths): (Vec<Option<Strip>>, Vec<f64>) = (0..outline.corners.len())
        .map(|i| strip(photo, view, &outline.corners, outline.blur, i))
        .unzip();
    for (shade, width) in outline.shade.iter_mut().zip(widths) {
        shade.strip_mm = width;
    }
    let corners = &outline.corners;
    let widest = strips.iter().flatten().map(|s| s.width).fold(0.0, f64::max);
    let inner = inner_sides(corners, &strips);
    let without = if one_way(corners, &strips) { moved_in(&outline, &inner) } else { None };
    let certain = |freed: &Traced| {
        strips.iter().flatten().any(is_beside_another_colour)
            || on_one_half(corners, &strips)
            || asymmetry(&freed.corners) < BETTER * asymmetry(corners)
    };
    match without {
        Some(freed) if certain(&freed) => {
            Freed { doubt_mm: doubt(&freed), outline: freed, taken_mm: widest, left_mm: 0.0 }
        }
        _ => Freed { doubt_mm: doubt(&outline), outline, taken_mm: 0.0, left_mm: widest },
    }
}

/// Where the edges with strips go, and short ones among them: too short to be read, they have the
/// shadow that the others tell.
fn inner_sides(corners: &[Pt], strips: &[Option<Strip>]) -> Vec<Option<Line>> {
    let facing = facing(corners);
    // The shift of the shadow by least squares: across each edge it is as wide as its strip.
    let (mut m, mut b) = (Matrix2::identity() * 1e-6, Vector2::zeros());
    for ((out, length), strip) in facing.iter().zip(strips) {
        if let Some(s) = strip {
            m += out * out.transpose() * *length;
            b += out * *length * s.width;
        }
    }
    let shift = m.try_inverse().map_or(Vector2::zeros(), |inverse| inverse * b);
    edges(corners)
        .zip(facing)
        .zip(strips)
        .map(|(((a, b), (out, length)), strip)| match strip {
            Some(s) => Some(s.inner),
            None if length < SHORT_MM && out.dot(&shift) > SHORT_MOVED_MM => {
                let line = Line::through(a, b);
                // Its shadow may be narrower: a nose often lies lower than the wings.
                let rms = 0.5 * out.dot(&shift);
                Some(Line { at: line.at - out * out.dot(&shift), rms, count: 1, ..line })
            }
            None => None,
        })
        .collect()
}

/// Where the plane has a colour: edges whose colour lies farther inside than that of others have
/// shadow in them, and go there.
fn by_colour(outline: Traced) -> Traced {
    let all = outline.shade.iter().filter_map(|s| s.colour_inside);
    let Some(usual) = low_third(all) else { return outline };
    let inner: Vec<Option<Line>> = edges(&outline.corners)
        .zip(&outline.shade)
        .map(|((a, b), shade)| {
            let by = shade.colour_inside? - usual;
            let line = Line::through(a, b);
            (by > COLOUR_APART_MM).then_some(Line { at: line.at + line.normal() * by, ..line })
        })
        .collect();
    if inner.iter().all(Option::is_none) {
        return outline;
    }
    moved_in(&outline, &inner).unwrap_or(outline)
}

/// A value that a third of them do not reach: of edges, those that face the light.
fn low_third(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = values.collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 3).copied()
}

/// What shadows that were not told may do to each edge, mm, standard deviation; colour would tell
/// them. Narrow ones blur it: two steps a width w apart, the outer one a share p of both, have the
/// blur w sqrt(p (1 - p)) and their middle lies p w beside the inner one, about as far. Others make
/// the halves unlike. A strip that may be shadow or plane leaves room for both.
fn doubt(outline: &Traced) -> Vec<f64> {
    let unlike = ASYMMETRY_SHARE * asymmetry(&outline.corners);
    let sharp = low_third(outline.shade.iter().filter_map(|s| s.blur)).unwrap_or(0.0);
    let more = |b: f64| (b * b - (1.1 * sharp).powi(2)).max(0.0).sqrt();
    let doubt = |s: &Shade| match s.colour_inside {
        Some(_) => 0.0,
        None => s.blur.map_or(0.0, more).hypot(unlike).hypot(0.5 * s.strip_mm),
    };
    outline.shade.iter().map(doubt).collect()
}

fn asymmetry(corners: &[Pt]) -> f64 {
    symmetry::axes(corners).first().map_or(f64::INFINITY, |a| a.rms)
}

/// What lies behind the strip has another colour than dimmed paper: a plane's, whose own folds have it
/// too.
fn is_beside_another_colour(s: &Strip) -> bool {
    s.behind.iter().any(|c| (c / mean(&s.behind) - 1.0).abs() > COLOURED)
}

/// The strip inside an edge, if there is one along most of it, and the mean width of what there is of
/// strips, clear or not.
fn strip(photo: &Photo, view: &View, corners: &[Pt], blur: f64, i: usize) -> (Option<Strip>, f64) {
    let (a, b) = (corners[i], corners[(i + 1) % corners.len()]);
    let length = (b - a).norm();
    if length < SHORT_MM {
        return (None, 0.0);
    }
    let edge = Line::through(a, b);
    let margin = (0.15 * length).min(2.0);
    let stretches = ((length - 2.0 * margin) / STRETCH_MM).round().max(1.0) as usize;
    let each = (length - 2.0 * margin) / stretches as f64;
    let found: Vec<(Pt, Step)> = (0..stretches)
        .filter_map(|k| {
            let from = margin + each * k as f64;
            let light = across(photo, view, corners, a + edge.along * from, edge.along * each);
            let step = step(&light, blur)?;
            let middle = a + edge.along * (from + each / 2.0);
            Some((middle + edge.normal() * step.depth, step))
        })
        .collect();
    let width = found.iter().map(|f| f.1.depth).sum::<f64>() / stretches as f64;
    (whole(&edge, stretches, found), width)
}

/// One strip of the steps found along an edge, if most of its stretches have one in line.
fn whole(edge: &Line, stretches: usize, mut found: Vec<(Pt, Step)>) -> Option<Strip> {
    found.retain(|(_, step)| step.clear);
    if (found.len() as f64) < MOST * stretches as f64 {
        return None;
    }
    let points: Vec<Pt> = found.iter().map(|f| f.0).collect();
    let mut inner = match points.len() {
        1 => Line { at: points[0], ..*edge },
        2 | 3 => line::straight(&points)?,
        _ => line::fit(&points, OFF_MM).filter(|l| l.share >= MOST)?,
    };
    if inner.along.dot(&edge.along) < 0.0 {
        inner.along = -inner.along;
    }
    let mean = |f: &dyn Fn(&Step) -> f64| {
        found.iter().map(|(_, step)| f(step)).sum::<f64>() / found.len() as f64
    };
    let behind = [0, 1, 2].map(|c| mean(&|step| step.light[1][c]));
    let width = mean(&|step| step.depth);
    (inner.along.dot(&edge.along) > 0.97).then_some(Strip { inner, width, behind })
}

/// Outward directions and lengths of the edges.
fn facing(corners: &[Pt]) -> Vec<(Vector2<f64>, f64)> {
    edges(corners).map(|(a, b)| (-Line::through(a, b).normal(), (b - a).norm())).collect()
}

/// Whether one direction of light explains the strips: edges that face away from it have them, others
/// have none.
fn one_way(corners: &[Pt], strips: &[Option<Strip>]) -> bool {
    let facing = facing(corners);
    let all: f64 =
        facing.iter().zip(strips).filter(|(_, s)| s.is_some()).map(|((_, length), _)| length).sum();
    let explained = |toward: Vector2<f64>| -> f64 {
        facing
            .iter()
            .zip(strips)
            .map(|((out, length), strip)| match (strip, out.dot(&toward)) {
                (Some(_), turn) if turn > 0.1 => *length,
                (Some(_), turn) if turn < -0.1 => -length,
                // Short edges are not looked at.
                (None, turn) if turn > 0.5 && *length > SHORT_MM => -length,
                _ => 0.0,
            })
            .sum()
    };
    let ways = (0..48).map(|i| f64::from(i) * std::f64::consts::TAU / 48.0);
    let best = ways.map(|a| explained(Vector2::new(a.cos(), a.sin()))).fold(f64::MIN, f64::max);
    all > 0.0 && best > ONE_WAY * all
}

/// Whether nearly all strips lie on one half of the plane.
fn on_one_half(corners: &[Pt], strips: &[Option<Strip>]) -> bool {
    let Some(axis) = symmetry::axes(corners).first().copied() else { return false };
    let across = Vector2::new(-axis.along.y, axis.along.x);
    let mut halves = [0.0; 2];
    for ((a, b), _) in edges(corners).zip(strips).filter(|(_, s)| s.is_some()) {
        let side = |p: Pt| (p - axis.at).dot(&across);
        // An edge across the axis lies on both.
        let (u, v) = (side(a), side(b));
        let right = if u * v >= 0.0 { f64::from(u + v > 0.0) } else { u.max(v) / (u - v).abs() };
        let length = (b - a).norm();
        halves[0] += right * length;
        halves[1] += (1.0 - right) * length;
    }
    halves[0].min(halves[1]) < OTHER_HALF * halves[0].max(halves[1])
}

/// The outline with some edges moved to lines inside it. Short edges that joined the plane to the end
/// of its shadow go.
fn moved_in(outline: &Traced, inner: &[Option<Line>]) -> Option<Traced> {
    struct Side {
        line: Line,
        sd: f64,
        length: f64,
        shade: Shade,
    }
    let side = |(i, (a, b)): (usize, (Pt, Pt))| {
        let (sd, length) = (outline.sd[i], (b - a).norm());
        match inner[i] {
            Some(line) => {
                let own = line.rms / (line.count as f64).sqrt();
                let shade = Shade { blur: None, strip_mm: 0.0, ..outline.shade[i] };
                Side { line, sd: sd.hypot(own).max(INNER_SD_MM), length, shade }
            }
            None => Side { line: Line::through(a, b), sd, length, shade: outline.shade[i] },
        }
    };
    let mut sides: Vec<Side> = edges(&outline.corners).enumerate().map(side).collect();
    let mut ends: Vec<Pt> = outline.corners.clone();
    let farthest = edges(&outline.corners)
        .zip(inner)
        .filter_map(|((a, b), line)| Some(line.as_ref()?.off(nalgebra::center(&a, &b)).abs()))
        .fold(0.0, f64::max);
    loop {
        let n = sides.len();
        if n < 3 {
            return None;
        }
        let corner = |i: usize| {
            let (before, after) = (&sides[(i + n - 1) % n].line, &sides[i].line);
            let between = nalgebra::center(&before.foot(ends[i]), &after.foot(ends[i]));
            let near = |p: &Pt| (p - ends[i]).norm() < 4.0 * farthest + 4.0;
            before.crossing(after).filter(near).unwrap_or(between)
        };
        let corners: Vec<Pt> = (0..n).map(corner).collect();
        // The edge that has shrunk most, or turned round.
        let left = |i: usize| (corners[(i + 1) % n] - corners[i]).dot(&sides[i].line.along);
        let shrunk = (0..n)
            .filter(|&i| left(i) < 1.0 && left(i) < 0.6 * sides[i].length)
            .min_by(|&i, &j| left(i).total_cmp(&left(j)));
        let Some(i) = shrunk else {
            // Shadows are a small part of what was taken for a plane.
            let [(area, ..), (before, ..)] = [moments(&corners), moments(&outline.corners)];
            let sd = sides.iter().map(|s| s.sd).collect();
            let shade = sides.iter().map(|s| s.shade).collect();
            return (area > 0.6 * before).then_some(Traced { corners, sd, shade, ..*outline });
        };
        sides.remove(i);
        let next = (i + 1) % n;
        ends[next] = nalgebra::center(&ends[i], &ends[next]);
        ends.remove(i);
    }
}
