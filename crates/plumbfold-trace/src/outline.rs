//! From squares to straight edges: each edge of the plane is found again in the photo itself, to a
//! fraction of a dot, and a line laid through it. Corners are where lines cross, so smoothing
//! rounds none of them.

use nalgebra::Vector2;

use crate::edge::{Across, Met, toward};
use crate::error::TraceError;
use crate::flat::Flat;
use crate::line::{self, Line};
use crate::mask::Mask;
use crate::photo::Photo;
use crate::polygon::{Pt, cross, nearest_on, simplified};
use crate::view::View;

/// How surely a hand places a point, mm, standard deviation (common practice, no source).
pub const HAND_MM: f64 = 0.4;

/// The first rough outline keeps within this of the squares, mm.
const ROUGH_MM: f64 = 0.6;
/// Points of an edge may lie this far from its line, mm: paper is never quite straight.
const OFF_MM: f64 = 0.45;
/// An edge that bows by more is cut in two, mm.
const BOW_MM: f64 = 0.35;
/// Two edges that meet at less than this are one, if no farther apart than `BOW_MM`, rad.
const TURN_MIN: f64 = 0.05;
/// Lines that meet at more than this cross at a corner worth its name, rad: a line known to 0.02 mm
/// puts it within half a mm.
const CROSS_MIN: f64 = 0.04;
/// Edges that could not be seen are known to this, mm: the side of a square of the grid twice over.
const UNSEEN_MM: f64 = 0.5;
/// The first look at an edge reaches so far each way, mm, to see how blurred it is.
const WIDE_MM: f64 = 5.0;
/// From this blur on the wide look is believed rather than the near ones, which cut it off, mm.
const SOFT_MM: f64 = 0.5;
/// Closest points along an edge, mm.
const SPACING_MM: f64 = 0.4;

/// A closed line of straight edges.
#[derive(Clone, Debug)]
pub struct Traced {
    /// Corners on the sheet, mm, clockwise as seen.
    pub corners: Vec<Pt>,
    /// Standard deviation of the place of the edge from each corner to the next, across it, mm.
    pub sd: Vec<f64>,
    /// What may be shadow in each edge.
    pub shade: Vec<Shade>,
    /// Median blur across the edges, standard deviation, mm.
    pub blur: f64,
    /// Share of the outline whose edges were seen in the photo.
    pub seen: f64,
}

/// What an edge looks like to those who look for shadow in it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shade {
    /// Blur across it, standard deviation, mm; none where it was not seen.
    pub blur: Option<f64>,
    /// How far inside lies what no shadow changes, mm; none for a plane of the paper's colour. Photos
    /// keep colour less sharply than light: only differences between edges say something.
    pub colour_inside: Option<f64>,
    /// Mean width of strips along it that may be shadow, mm; 0 until they were looked for.
    pub strip_mm: f64,
}

impl Traced {
    /// As a hand drew it.
    pub fn by_hand(corners: Vec<Pt>) -> Self {
        let n = corners.len();
        let shade = vec![Shade::default(); n];
        Self { sd: vec![HAND_MM; n], shade, blur: 0.0, seen: 0.0, corners }
    }
}

/// An edge and how well it is known.
#[derive(Clone, Copy)]
struct Edge {
    line: Line,
    seen: bool,
    blur: f64,
    colour_inside: Option<f64>,
}

impl Edge {
    fn shade(&self) -> Shade {
        Shade {
            blur: self.seen.then_some(self.blur),
            colour_inside: self.colour_inside,
            strip_mm: 0.0,
        }
    }
}

/// Traces the border of a mask; `go_on` is asked between the rounds.
///
/// # Errors
/// Stopped, or a border without area.
pub fn trace(
    photo: &Photo,
    view: &View,
    flat: &Flat,
    mask: &Mask,
    go_on: &dyn Fn() -> bool,
) -> Result<Traced, TraceError> {
    let border = smoothed(&mask.border());
    let mm: Vec<Pt> = border.iter().map(|&p| flat.mm(p)).collect();
    let mut corners = simplified(&mm, ROUGH_MM);
    let mut edges = Vec::new();
    let mut blur = 0.0;
    for (round, reach) in [WIDE_MM, 1.6, 1.2, 0.9, 0.9].into_iter().enumerate() {
        if !go_on() {
            return Err(TraceError::Stopped);
        }
        if corners.len() < 3 {
            return Err(TraceError::NoPlane);
        }
        let n = corners.len();
        edges = (0..n)
            .map(|i| {
                let reach = if round == 0 { reach } else { f64::max(reach, 2.5 * blur) };
                seen(photo, view, corners[i], corners[(i + 1) % n], reach, round < 3)
            })
            .collect::<Vec<Edge>>();
        if round == 0 {
            // Only to see how wide the edges are: so far around, other things lie too.
            blur = usual_blur(&edges);
            continue;
        }
        corners = crossings(&corners, &edges);
        if round < 4 {
            corners =
                merged(sharpened(split_bows(&corners, &edges), ROUNDED_SQUARES / flat.per_mm));
        }
    }
    let n = corners.len();
    let length = |i: usize| (corners[(i + 1) % n] - corners[i]).norm();
    let all: f64 = (0..n).map(length).sum();
    let sd = |e: &Edge| match e.seen {
        // Neighbouring points share dots: half of them count.
        true => e.line.rms / (e.line.count as f64 / 2.0).max(1.0).sqrt(),
        false => UNSEEN_MM,
    };
    Ok(Traced {
        sd: edges.iter().map(sd).collect(),
        shade: edges.iter().map(Edge::shade).collect(),
        blur: usual_blur(&edges).max(if blur > SOFT_MM { blur } else { 0.0 }),
        seen: (0..n).filter(|&i| edges[i].seen).map(length).sum::<f64>() / all,
        corners,
    })
}

/// Median blur of the edges that were seen.
fn usual_blur(edges: &[Edge]) -> f64 {
    let mut b: Vec<f64> = edges.iter().filter(|e| e.seen).map(|e| e.blur).collect();
    b.sort_by(f64::total_cmp);
    b.get(b.len() / 2).copied().unwrap_or(0.0)
}

/// Corners of squares with the steps between them taken off.
fn smoothed(border: &[Pt]) -> Vec<Pt> {
    let n = border.len();
    let mean = |i: usize| {
        let sum: Vector2<f64> = (0..5).map(|k| border[(i + n + k - 2) % n].coords).sum();
        Pt::from(sum / 5.0)
    };
    match n {
        0..5 => border.to_vec(),
        _ => (0..n).map(mean).collect(),
    }
}

/// Finds one edge in the photo, near the line between two corners.
fn seen(photo: &Photo, view: &View, a: Pt, b: Pt, reach_mm: f64, rough: bool) -> Edge {
    let chord = Line::through(a, b);
    let unseen = Edge { line: chord, seen: false, blur: 0.0, colour_inside: None };
    let length = (b - a).norm();
    let margin = (0.15 * length).min(1.2);
    let count = (((length - 2.0 * margin) / SPACING_MM) as usize).clamp(5, 300);
    if length.is_nan() || length <= 1.0 {
        return unseen;
    }
    let inward = chord.normal();
    let read = |i: usize| {
        let t = (margin + (length - 2.0 * margin) * (i as f64 + 0.5) / count as f64) / length;
        let mm = a + (b - a) * t;
        let (from, to) = (view.dot(mm - inward * 0.5), view.dot(mm + inward * 0.5));
        let dots_per_mm = (to - from).norm();
        let way = (to - from) / dots_per_mm;
        let reach = (reach_mm * dots_per_mm).max(3.5);
        let dot = view.dot(mm);
        (dot, way, dots_per_mm, Across::read(photo, dot, way, reach, (reach / 40.0).max(0.2)))
    };
    let mut lines: Vec<_> = (0..count).map(read).collect();
    if rough {
        // Edges of shadows run beside those of the plane. Where it has another colour, colour finds
        // it; a plane without colour is told by its shade.
        let coloured = shadowless(&lines, 0.0);
        let (_, colour) = change(&coloured);
        lines = if colour > COLOUR_MIN { coloured } else { shadowless(&lines, 1.0) };
    }
    let (way, size) = change(&lines);
    let met: Vec<(Pt, Met, f64)> = lines
        .iter()
        .filter_map(|(dot, across, scale, line)| {
            let met = line.edge(way)?;
            Some((view.mm(dot + across * met.at), met, *scale))
        })
        .collect();
    let colour_inside = if rough { None } else { past_shadow(way, size, usual_ends(&lines, 0)) }
        .and_then(|past| {
            let apart = |(_, _, scale, line): &Cut| {
                Some((line.edge(past)?.at - line.edge(way)?.at) / scale)
            };
            let mut all: Vec<f64> = lines.iter().filter_map(apart).collect();
            all.sort_by(f64::total_cmp);
            all.get(all.len() / 2).copied()
        });
    let mut strengths: Vec<f64> = met.iter().map(|m| m.1.strength).collect();
    strengths.sort_by(f64::total_cmp);
    let usual = strengths.get(strengths.len() / 2).copied().unwrap_or(0.0);
    let strong = |m: &&(Pt, Met, f64)| m.1.strength > 0.25 * usual;
    let points: Vec<Pt> = met.iter().filter(strong).map(|m| m.0).collect();
    let mut blurs: Vec<f64> = met.iter().filter(strong).map(|m| m.1.blur / m.2).collect();
    blurs.sort_by(f64::total_cmp);
    match line::fit(&points, OFF_MM) {
        Some(line) if line.count * 5 >= count * 2 => {
            Edge { line, seen: true, blur: blurs[blurs.len() / 2], colour_inside }
        }
        _ => unseen,
    }
}

/// A line across an edge: its dot, its direction, dots for each mm along it, its shades.
type Cut = (Pt, Vector2<f64>, f64, Across);

fn shadowless(lines: &[Cut], grey: f32) -> Vec<Cut> {
    lines.iter().map(|(dot, way, scale, l)| (*dot, *way, *scale, l.shadowless(grey))).collect()
}

/// The usual change of shade from outside to inside, its direction and size.
fn change(lines: &[Cut]) -> ([f32; 3], f32) {
    toward(usual_ends(lines, 0), usual_ends(lines, 1))
}

/// The usual shade outside, 0, or inside, 1.
fn usual_ends(lines: &[Cut], side: usize) -> [f32; 3] {
    std::array::from_fn(|c| {
        let mut v: Vec<f32> = lines.iter().map(|l| l.3.ends(0.2)[side][c]).collect();
        v.sort_by(f32::total_cmp);
        v[v.len() / 2]
    })
}

/// The part of a change of light that lies across the paper's own colour. Shadow takes all channels
/// of that colour down by one factor and has no such part; blurring adds light and keeps it so, and
/// the edge stays where it is. None where it is too small to be told from noise.
fn past_shadow(way: [f32; 3], size: f32, paper: [f32; 3]) -> Option<[f32; 3]> {
    let (along, bright) = toward([0.0; 3], paper);
    let shared: f32 = (0..3).map(|c| way[c] * along[c]).sum();
    let rest: [f32; 3] = std::array::from_fn(|c| way[c] - shared * along[c]);
    let (direction, share) = toward([0.0; 3], rest);
    (share * size > ACROSS_MIN * bright).then_some(direction)
}

/// Least part of a change across the paper's colour that says where an edge is, in shares of the
/// paper's light: some ten times the noise of dots.
const ACROSS_MIN: f32 = 0.1;

/// Change of colour from which on it tells an edge, in logarithms of light: a fifth of the light of
/// a channel.
const COLOUR_MIN: f32 = 0.2;

/// Where neighbouring edges cross; of edges nearly in line, the middle between both.
fn crossings(corners: &[Pt], edges: &[Edge]) -> Vec<Pt> {
    let n = corners.len();
    let length = |i: usize| (corners[(i + 1) % n] - corners[i]).norm();
    (0..n)
        .map(|i| {
            let (before, after) = (&edges[(i + n - 1) % n].line, &edges[i].line);
            let between = nalgebra::center(&before.foot(corners[i]), &after.foot(corners[i]));
            let turn = cross(before.along, after.along).abs();
            let room = 1.5 + 0.5 * length(i).min(length((i + n - 1) % n));
            match before.crossing(after) {
                Some(p) if turn > CROSS_MIN && (p - corners[i]).norm() < room => p,
                _ => between,
            }
        })
        .collect()
}

/// A corner more in the middle of every edge that bows.
fn split_bows(corners: &[Pt], edges: &[Edge]) -> Vec<Pt> {
    let n = corners.len();
    let mut out = Vec::with_capacity(n + 8);
    for i in 0..n {
        let (a, b) = (corners[i], corners[(i + 1) % n]);
        out.push(a);
        let edge = &edges[i];
        if edge.seen && edge.line.bow.abs() > BOW_MM && (b - a).norm() > 6.0 {
            out.push(nalgebra::center(&a, &b) + edge.line.normal() * edge.line.bow);
        }
    }
    out
}

/// Short edges between two long ones whose lines cross close by are the rounding of squares, and
/// go: the corner is where the lines cross.
fn sharpened(mut corners: Vec<Pt>, short: f64) -> Vec<Pt> {
    let mut i = 0;
    while i < corners.len() && corners.len() > 4 {
        let n = corners.len();
        let [a, b, c, d] = [n - 1, 0, 1, 2].map(|k| corners[(i + k) % n]);
        let length = (c - b).norm();
        // Rounding by squares may have taken much of a tip; a short line fitted askew never does.
        let within = if length < short { 1.8 * length } else { 0.6 * length };
        let tip = (length < short.max(ASKEW_MM) && length > 0.0)
            .then(|| Line::through(a, b).crossing(&Line::through(c, d)))
            .flatten()
            .filter(|&p| (nearest_on(b, c, p) - p).norm() < within);
        match tip {
            Some(p) if (b - a).norm() > length && (d - c).norm() > length => {
                corners[i] = p;
                corners.remove((i + 1) % n);
            }
            _ => i += 1,
        }
    }
    corners
}

/// Edges up to this hold too few points for a line of their own where their neighbours cross on
/// them, mm.
const ASKEW_MM: f64 = 3.0;
/// Longest edge that may be a corner rounded by squares: taking their steps off is done over five,
/// and one on each side.
const ROUNDED_SQUARES: f64 = 6.0;

/// Without corners where hardly anything turns, and without edges too short to be one.
fn merged(mut corners: Vec<Pt>) -> Vec<Pt> {
    let mut i = 0;
    while i < corners.len() && corners.len() > 3 {
        let n = corners.len();
        let (a, b, c) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
        let off = Line::through(a, c).off(b).abs();
        let turn = cross((b - a).normalize(), (c - b).normalize()).abs();
        let ahead = (b - a).dot(&(c - b)) > 0.0;
        let short = (c - b).norm() < 0.5;
        if short || (ahead && (turn < TURN_MIN && off < BOW_MM || off < 0.1)) {
            corners.remove(i);
        } else {
            i += 1;
        }
    }
    corners
}
