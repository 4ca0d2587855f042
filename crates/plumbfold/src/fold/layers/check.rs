//! A second look at an order of layers, by cutting the stack across every crease.
//!
//! ```text
//!   the cut, seen along the crease line        left | right
//!                                            ______ | ______   runs through
//!                                              ____ |)         bend that opens to the left
//!                                             (____ |          (its two layers are one pair)
//! ```
//! On each side, bends must close like brackets, and nothing may run through inside one. This is
//! the whole of the non-crossing condition at that place, whatever the layers are called.

use super::conditions::coincide;
use super::{Stack, StackHinge};
use crate::fold::state::FaceId;
use crate::numeric::geom::{Line, TOLERANCE_M, TableLine, TablePoint, centroid, clip_segment};

/// A place where paper would pass through paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossing {
    /// The two faces that are in each other's way.
    pub faces: [FaceId; 2],
    /// The hinge that was cut across.
    pub hinge: usize,
    /// Where, table frame.
    pub place: TablePoint,
}

/// The first place where an order of layers (all faces, from the table upwards) lets paper pass
/// through paper, or `None` if it is sound. Hinges shorter than the tolerance are passed over.
pub fn first_crossing(stack: &Stack, order: &[FaceId]) -> Option<Crossing> {
    let mut rank = vec![0; stack.outlines.len()];
    order.iter().enumerate().for_each(|(r, &f)| rank[f] = r);
    (0..stack.hinges.len()).find_map(|hinge| {
        let line = Line::through(stack.hinges[hinge].ends[0], stack.hinges[hinge].ends[1])?;
        let layers = Layers::on(stack, hinge, &line);
        layers.cuts().into_iter().find_map(|at| {
            // A cut shared by several hinges is looked at once, for the first of them.
            let first = layers.hinges.iter().all(|&(i, span)| i >= hinge || !within(span, at));
            let faces = if first { layers.crossed_at(stack, at, &rank, &line) } else { None };
            faces.map(|faces| Crossing { faces, hinge, place: line.place(at) })
        })
    })
}

/// What lies across or along one hinge, as intervals on its line.
struct Layers {
    span: (f64, f64),
    hinges: Vec<(usize, (f64, f64))>,
    interiors: Vec<(FaceId, (f64, f64))>,
}

fn within((from, to): (f64, f64), at: f64) -> bool {
    from < at && at < to
}

impl Layers {
    fn on(stack: &Stack, hinge: usize, line: &TableLine) -> Self {
        let span = |h: &StackHinge| {
            let [a, b] = h.ends.map(|p| line.along(p));
            (a.min(b), a.max(b))
        };
        let h = &stack.hinges[hinge];
        let on_it = stack.hinges.iter().enumerate().filter(|(_, k)| coincide(line, h, k));
        let hinges: Vec<(usize, (f64, f64))> = on_it.map(|(i, k)| (i, span(k))).collect();
        // A face with an edge on the line cannot have it run through its inside as well, though
        // rounding may make it look so.
        let ends_here = |f: FaceId| hinges.iter().any(|&(i, _)| stack.hinges[i].faces.contains(&f));
        let inside = stack
            .outlines
            .iter()
            .enumerate()
            .filter(|&(f, _)| !ends_here(f))
            .filter_map(|(f, outline)| Some((f, clip_segment(h.ends[0], h.ends[1], outline)?)));
        let interiors = inside.collect();
        Self { span: span(h), hinges, interiors }
    }

    /// One place in each stretch of the hinge along which the layers do not change.
    fn cuts(&self) -> Vec<f64> {
        let spans = self.hinges.iter().map(|h| h.1).chain(self.interiors.iter().map(|f| f.1));
        let mut ends: Vec<f64> =
            spans.flat_map(|(a, b)| [a, b]).map(|s| s.clamp(self.span.0, self.span.1)).collect();
        ends.sort_by(f64::total_cmp);
        let stretches = ends.windows(2).filter(|w| w[1] - w[0] > 4.0 * TOLERANCE_M);
        stretches.map(|w| (w[0] + w[1]) / 2.0).collect()
    }

    fn crossed_at(
        &self,
        stack: &Stack,
        at: f64,
        rank: &[usize],
        line: &TableLine,
    ) -> Option<[FaceId; 2]> {
        let left = |f: FaceId| line.side(centroid(&stack.outlines[f])) > 0.0;
        // (rank, face, on the left, other end of what it is joined to)
        let mut ends: Vec<(usize, FaceId, bool, Joined)> = Vec::new();
        for &(i, span) in &self.hinges {
            if within(span, at) {
                let h = &stack.hinges[i];
                for [f, other] in [h.faces, [h.faces[1], h.faces[0]]] {
                    let joined = if h.folded { Joined::Bend(other) } else { Joined::Flat(other) };
                    ends.push((rank[f], f, left(f), joined));
                }
            }
        }
        for &(f, span) in &self.interiors {
            if within(span, at) {
                ends.extend([true, false].map(|side| (rank[f], f, side, Joined::Flat(f))));
            }
        }
        ends.sort_by_key(|e| (e.0, e.2));
        let mut open: [Vec<FaceId>; 2] = [Vec::new(), Vec::new()];
        let mut begun: [Vec<FaceId>; 2] = [Vec::new(), Vec::new()];
        for (_, f, side, joined) in ends {
            let side = usize::from(side);
            match joined {
                Joined::Bend(other) if open[side].last() == Some(&other) => {
                    open[side].pop();
                }
                Joined::Bend(other) if open[side].contains(&other) => {
                    return open[side].last().map(|&top| [top, f]);
                }
                Joined::Bend(_) => open[side].push(f),
                Joined::Flat(_) if !open[side].is_empty() => {
                    return open[side].last().map(|&bend| [bend, f]);
                }
                // Flat layers must turn up in the same sequence on both sides.
                Joined::Flat(other) => {
                    let there = &mut begun[1 - side];
                    match there.first() {
                        None => begun[side].push(f),
                        Some(&first) if first == other => {
                            there.remove(0);
                        }
                        Some(&first) => return Some([first, f]),
                    }
                }
            }
        }
        None
    }
}

/// How a layer goes on at the cut.
#[derive(Clone, Copy)]
enum Joined {
    Bend(FaceId),
    Flat(FaceId),
}
