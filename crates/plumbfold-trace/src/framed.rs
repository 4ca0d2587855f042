//! An outline in the plane's own frame: its line of symmetry, which end is the nose, its points in
//! order from there; and corrections of these points.

use crate::error::TraceError;
use crate::line::Line;
use crate::outline::HAND_MM;
use crate::polygon::{Pt, bounds, contains, distance, moments, signed_area};
use crate::remark::Remark;
use crate::shares::EdgeSd;
use crate::symmetry::{self, Axis};

/// A nose said so far from the plane is another thing, of the plane's size.
const NOSE_OFF: f64 = 0.15;
/// A nose that lies nearer to the middle of the area than the tail by this share of the length looks
/// like a tail.
const AXIS_LEAN: f64 = 0.08;
/// A line of symmetry said so far beside the middle of the area is none, of the plane's size.
const AXIS_OFF: f64 = 0.1;

/// Nose and axis said by hand, on the sheet.
pub struct Spots {
    /// Near the nose.
    pub nose: Option<Pt>,
    /// From nose to tail.
    pub axis: Option<(Pt, Pt)>,
}

/// An outline with its axis; points from the nose clockwise as seen.
pub struct Framed {
    /// Points on the sheet, mm.
    pub on_sheet: Vec<Pt>,
    /// How sure the edge from each to the next is.
    pub sd: Vec<EdgeSd>,
    /// The line of symmetry, from the nose backwards.
    pub axis: Axis,
    /// Foremost place of it level with the plane.
    pub nose: Pt,
    /// Hindmost.
    pub tail: Pt,
}

impl Framed {
    /// Finds axis and nose; `balance` is a balance line, which lies ahead of the middle.
    ///
    /// # Errors
    /// An outline without area, an axis between two places that are one.
    pub fn of(
        mut corners: Vec<Pt>,
        mut sd: Vec<EdgeSd>,
        spots: &Spots,
        balance: Option<(Pt, Pt)>,
        remarks: &mut Vec<Remark>,
    ) -> Result<Self, TraceError> {
        if corners.len() < 3 || signed_area(&corners).abs() < 1.0 {
            return Err(TraceError::NoArea);
        }
        if signed_area(&corners) < 0.0 {
            corners.reverse();
            // Edge i runs from corner i to the next.
            sd.reverse();
            sd.rotate_left(1);
        }
        let (_, centre, _) = moments(&corners);
        let mut axis = match spots.axis {
            Some((a, b)) if (b - a).norm() > 1.0 => symmetry::judged(&corners, Axis::through(a, b)),
            Some(_) => {
                let due = "name two places of the middle line, more than 1 mm apart";
                return Err(TraceError::Meaningless { what: "--axis", due });
            }
            None => {
                let found = symmetry::axes(&corners);
                let first = *found.first().ok_or(TraceError::NoArea)?;
                let toward =
                    |axis: &Axis, p: Pt| (p - centre).dot(&axis.along).abs() / (p - centre).norm();
                match spots.nose {
                    // A nose said picks the axis that leads to it.
                    Some(nose) => found
                        .into_iter()
                        .max_by(|a, b| toward(a, nose).total_cmp(&toward(b, nose)))
                        .unwrap_or(first),
                    None => {
                        if found.len() > 1 {
                            remarks.push(Remark {
                                code: "two-axes",
                                text: "More than one line of symmetry fits; look at the one drawn, and \
                                       say where the nose is if it is another."
                                    .into(),
                            });
                        }
                        first
                    }
                }
            }
        };
        let size = {
            let (low, high) = bounds(&corners);
            (high - low).norm()
        };
        let beside = axis.mirrored(centre) - centre;
        let off_mm = beside.norm() / 2.0;
        if spots.axis.is_some() && off_mm > AXIS_OFF * size {
            return Err(TraceError::AxisOff { off_mm });
        }
        if let Some(nose) = spots.nose {
            let off_mm = distance(&corners, nose);
            if off_mm > NOSE_OFF * size && !contains(&corners, nose) {
                return Err(TraceError::NoseOff { off_mm });
            }
        }
        let along = |p: &Pt| (p - axis.at).dot(&axis.along);
        let (first, last) =
            corners.iter().map(along).fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        let middle = along(&centre);
        let length = last - first;
        // Wings lie at the back: the nose is the end farther from the middle of the area. A plane
        // that flies balances ahead of that middle (common practice, no source).
        let lean = ((middle - first) - (last - middle)) / length;
        // Where a balance line crosses the axis, if it does so on the plane and not at a slant.
        let balance = balance
            .filter(|(a, b)| (b - a).normalize().dot(&axis.along).abs() < 0.8)
            .and_then(|(a, b)| {
                let mirror = Line::through(axis.at, axis.at + axis.along);
                Line::through(a, b).crossing(&mirror)
            })
            .filter(|p| (first..=last).contains(&along(p)));
        let at_first = match (spots.axis, spots.nose, balance) {
            (Some(_), _, _) => true,
            (_, Some(nose), _) => along(&nose) < middle,
            (_, _, Some(balance)) if (along(&balance) - middle).abs() > 0.04 * length => {
                along(&balance) < middle
            }
            _ => {
                if lean.abs() < 0.08 {
                    remarks.push(Remark {
                        code: "which-end",
                        text: "Nose and tail look much alike; say which is the nose.".into(),
                    });
                }
                lean > 0.0
            }
        };
        // Said from tail to nose, as the plane looks: or a plane that is broad in front.
        if spots.axis.is_some() && lean < -AXIS_LEAN {
            remarks.push(Remark::new(
                "axis-backwards",
                "The line of symmetry was said from what looks like the tail: the area lies ahead of its \
                 middle. It is said from the nose on.",
            ));
        }
        if !at_first {
            axis.along = -axis.along;
        }
        let (from, to) = if at_first { (first, last) } else { (-last, -first) };
        let (nose, tail) = (axis.at + axis.along * from, axis.at + axis.along * to);
        let start = (0..corners.len())
            .min_by(|&i, &j| {
                let d = |k: usize| (corners[k] - nose).norm();
                d(i).total_cmp(&d(j))
            })
            .unwrap_or(0);
        corners.rotate_left(start);
        sd.rotate_left(start);
        Ok(Self { on_sheet: corners, sd, axis, nose, tail })
    }

    /// From the sheet to the plane's frame: seen from above with the nose ahead, right is right.
    pub fn frame(&self, p: Pt, underside: bool) -> Pt {
        let back = self.axis.along;
        let right = nalgebra::Vector2::new(back.y, -back.x);
        let d = p - self.nose;
        let side = if underside { -1.0 } else { 1.0 };
        Pt::new(side * d.dot(&right), d.dot(&back))
    }
}

/// Points moved, added and dropped, each with what it says of its edges. Numbers from 1.
///
/// # Errors
/// A number that is none of theirs.
pub fn edited(
    corners: &[Pt],
    sd: &[EdgeSd],
    edits: &[(usize, Option<Pt>, bool)],
) -> Result<(Vec<Pt>, Vec<EdgeSd>), TraceError> {
    let count = corners.len();
    if let Some(&(number, ..)) = edits.iter().find(|e| !(1..=count).contains(&e.0)) {
        return Err(TraceError::NoSuchPoint { number, count });
    }
    let (mut out, mut sds) = (Vec::new(), Vec::new());
    for i in 0..count {
        let of = |e: &&(usize, Option<Pt>, bool)| e.0 == i + 1 && !e.2;
        let next = (i + 1) % count;
        let by_hand = |k: usize| edits.iter().any(|e| e.0 == k + 1);
        // A hand that moves a point has seen what is shadow.
        let said = EdgeSd { own_mm: sd[i].own_mm.max(HAND_MM), shadow_mm: 0.0 };
        let known = if by_hand(i) || by_hand(next) { said } else { sd[i] };
        match edits.iter().rev().find(of) {
            Some((_, None, _)) => {}
            Some((_, Some(p), _)) => (out.push(*p), sds.push(known)).0,
            None => (out.push(corners[i]), sds.push(known)).0,
        }
        for p in edits.iter().filter(|e| e.0 == i + 1 && e.2).filter_map(|e| e.1) {
            out.push(p);
            sds.push(EdgeSd { own_mm: HAND_MM, shadow_mm: 0.0 });
        }
    }
    Ok((out, sds))
}
