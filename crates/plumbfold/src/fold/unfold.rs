//! Opening folds.

use std::sync::Arc;

use super::error::Problem;
use super::layers::{Stack, first_crossing};
use super::layout::Layout;
use super::state::{CreaseId, FaceId, Folded};
use crate::numeric::geom::{TableLine, Vec2, area, centroid};

/// A motion of the whole model on the table.
#[derive(Clone, Copy, Debug)]
pub enum Motion {
    /// Turned over about a line.
    Over(TableLine),
    /// Turned about a place, anticlockwise, radians.
    About(Vec2, f64),
}

impl Motion {
    /// Turning over about the upright middle line of the model.
    pub fn over(model: &Folded) -> Self {
        let at = Layout::new(model).model_bounds().middle();
        Self::Over(TableLine { at, dir: Vec2::new(0.0, 1.0) })
    }

    /// Turning about the middle of the model.
    pub fn about(model: &Folded, angle_rad: f64) -> Self {
        Self::About(Layout::new(model).model_bounds().middle().to_vec(), angle_rad)
    }

    /// Moves a model.
    pub fn apply(&self, model: &mut Folded) {
        for face in &mut model.faces {
            match *self {
                Self::Over(line) => face.turn_over(&line),
                Self::About(middle, angle_rad) => {
                    let on_paper = face.placement.unturn(face.shift);
                    let there = face.placement.shifted(-middle).rotated(angle_rad);
                    face.placement = there.shifted(middle);
                    face.shift = face.placement.turn(on_paper);
                }
            }
        }
        if let Self::Over(_) = self {
            model.order.reverse();
        }
    }
}

/// What is needed to take a fold back.
#[derive(Clone, Debug)]
pub struct Undo {
    /// The model before the fold.
    pub before: Arc<Folded>,
    /// The step that made it.
    pub step: usize,
    /// How the model has been moved on the table since.
    pub since: Vec<Motion>,
}

/// The model before a fold, with all creases made since.
pub fn undo(model: &Folded, undo: &Undo) -> Folded {
    let before = &undo.before;
    let mut folded = model.clone();
    // Every face is part of one face of the model before.
    let whole = |f: FaceId| {
        let middle = centroid(&model.faces[f].polygon);
        before.faces_at(middle).next()
    };
    let ranks = before.ranks();
    let mut rank = vec![0; model.faces.len()];
    for (f, face) in folded.faces.iter_mut().enumerate() {
        if let Some(w) = whole(f) {
            face.placement = before.faces[w].placement;
            face.moved_half = before.faces[w].moved_half;
            face.shift = before.faces[w].shift;
            rank[f] = ranks[w];
        }
    }
    folded.order.sort_by_key(|&f| rank[f]);
    for motion in &undo.since {
        motion.apply(&mut folded);
    }
    folded
}

/// Parts whose areas differ by less than this are as large, m2 (chosen: far above rounding, far
/// below what a hand can see).
const ALIKE_M2: f64 = 1e-10;

/// Opens the folds of some creases: the smaller part turns back about them, of two as large the one
/// that was folded over, else the one on top.
///
/// # Errors
/// [`Problem::OpenAlready`], [`Problem::NotFree`] where other paper holds the flap,
/// [`Problem::BrokenLine`] where the creases do not lie on one line.
pub fn open(model: &Folded, creases: &[CreaseId]) -> Result<Folded, Problem> {
    let opens =
        |h: usize| creases.contains(&model.hinges[h].crease) && model.is_folded(&model.hinges[h]);
    let bent: Vec<usize> = (0..model.hinges.len()).filter(|&h| opens(h)).collect();
    let first = *bent.first().ok_or(Problem::OpenAlready)?;
    let ends = |h: usize| model.hinge_on_table(&model.hinges[h]);
    let line = TableLine::through(ends(first)[0], ends(first)[1]).ok_or(Problem::EmptyLine)?;
    let off = |h: usize| ends(h).iter().any(|&p| line.side(p).abs() > super::state::HINGE_GAP_M);
    if bent.iter().any(|&h| off(h)) {
        let pieces = bent.iter().map(|&h| ends(h)).collect();
        return Err(Problem::BrokenLine { pieces });
    }
    // Everything that hangs on to one face of a bent hinge other than through the bends.
    let part_of = |start: FaceId| model.hanging_together([start], |i, _| !bent.contains(&i));
    let [a, b] = model.hinges[first].faces.map(part_of);
    let size = |part: &[bool]| -> f64 {
        let faces = model.faces.iter().zip(part).filter(|(_, p)| **p);
        faces.map(|(f, _)| area(&f.polygon)).sum()
    };
    let ranks = model.ranks();
    let [rank_a, rank_b] = model.hinges[first].faces.map(|f| ranks[f] as f64);
    let folded_over = |part: &[bool]| -> f64 {
        let moved = model.faces.iter().zip(part).filter(|(f, p)| **p && f.moved_half);
        moved.map(|(f, _)| area(&f.polygon)).sum()
    };
    // Of two parts as large the one that was folded over, or the one on top.
    let reasons = [size(&b) - size(&a), folded_over(&a) - folded_over(&b), rank_a - rank_b];
    let tells = reasons.into_iter().find(|r| r.abs() > ALIKE_M2).unwrap_or(0.0);
    let flap = if tells > 0.0 { a } else { b };
    let outlines = || {
        let faces = (0..flap.len()).filter(|&f| flap[f]);
        faces.map(|f| model.table_polygon(f)).collect()
    };
    let held = || Problem::NotFree { flap: outlines() };
    // Every bend must join the flap to the rest, and the flap must lie outside.
    if bent.iter().any(|&h| flap[model.hinges[h].faces[0]] == flap[model.hinges[h].faces[1]]) {
        return Err(held());
    }
    let layout = Layout::new(model);
    let (mut above, mut below) = (false, false);
    for f in (0..flap.len()).filter(|&f| flap[f]) {
        for g in (0..flap.len()).filter(|&g| !flap[g]) {
            if layout.overlap(f, g) {
                above |= ranks[g] > ranks[f];
                below |= ranks[g] < ranks[f];
            }
        }
    }
    if above && below {
        return Err(held());
    }
    let mut folded = model.clone();
    for (face, _) in folded.faces.iter_mut().zip(&flap).filter(|(_, m)| **m) {
        face.turn_over(&line);
    }
    // Open paper has no bend that could part it.
    let [a, b] = model.hinges[first].faces;
    let (turned, stayed) = if flap[a] { (a, b) } else { (b, a) };
    let back = folded.faces[stayed].shift - folded.faces[turned].shift;
    for (face, _) in folded.faces.iter_mut().zip(&flap).filter(|(_, m)| **m) {
        face.shift = face.shift + back;
    }
    let staying = model.order.iter().copied().filter(|&f| !flap[f]);
    let turned = model.order.iter().rev().copied().filter(|&f| flap[f]);
    folded.order =
        if above { turned.chain(staying).collect() } else { staying.chain(turned).collect() };
    match first_crossing(&Stack::of(&folded), &folded.order) {
        Some(_) => Err(held()),
        None => Ok(folded),
    }
}
