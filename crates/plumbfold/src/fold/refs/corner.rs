//! Corners of the model as it lies now.

use super::{Fault, Refs, STRAIGHT_M};
use crate::design::ast::{Expr, PointRef, Reference, Side, Span, Spanned, Step, Unit};
use crate::fold::error::Problem;
use crate::fold::state::{FaceId, Folded};
use crate::numeric::geom::{SheetPoint, TablePoint, Vec2, hull};

impl Refs<'_> {
    /// The place of the paper at a corner of the model: the one farthest to a side, or nearest to
    /// that corner of the box round the model; of the paper there, the uppermost.
    pub(super) fn corner_of_model(
        &self,
        first: Side,
        second: Option<Side>,
        span: &Span,
    ) -> Result<SheetPoint, Fault> {
        let corners = rim_corners(self.model);
        let at = one_corner(&corners, first, second).ok_or_else(|| {
            let told = |(a, b): &(Side, Option<Side>)| one_corner(&corners, *a, *b).is_some();
            let ways = neighbours(first, second).into_iter().filter(told);
            let ways = ways.map(|(a, b)| PointRef::ModelCorner(a, b)).collect();
            Fault::from((span, Problem::WhichCorner { ways }))
        })?;
        let on_it = |&f: &FaceId| {
            let face = &self.model.faces[f];
            let lies_there = |p: &&SheetPoint| face.placement.apply(**p).distance(at) < STRAIGHT_M;
            face.polygon.iter().find(lies_there).copied()
        };
        self.model
            .order
            .iter()
            .rev()
            .find_map(on_it)
            .ok_or_else(|| (span, Problem::OffPaper).into())
    }

    /// A step that speaks of corners of the model, with the places of the paper that are there: so
    /// its mirrored half means their mirror images. `None` where it speaks of none.
    pub fn with_corners_found(&self, step: &Spanned<Step>) -> Result<Option<Step>, Fault> {
        let mut found = step.node.clone();
        let (mut any, mut fault) = (false, None);
        found.each_reference(&mut |r| {
            let Reference::Point(p) = r else { return };
            let PointRef::ModelCorner(a, b) = p.node else { return };
            any = true;
            match self.corner_of_model(a, b, &p.span) {
                Ok(at) => {
                    let length = |m| Expr::Number(m, Unit::M);
                    let spanned = |node| Spanned { node, span: p.span.clone() };
                    p.node = PointRef::Sheet(spanned(length(at.x)), spanned(length(at.y)));
                }
                Err(e) => fault = fault.take().or(Some(e)),
            }
        });
        fault.map_or(Ok(any.then_some(found)), Err)
    }
}

/// The corner farthest to a side, or nearest to that corner of the box round all, if it is one.
fn one_corner(corners: &[TablePoint], first: Side, second: Option<Side>) -> Option<TablePoint> {
    let out = |side: Side| match side {
        Side::Left => Vec2::new(-1.0, 0.0),
        Side::Right => Vec2::new(1.0, 0.0),
        Side::Top => Vec2::new(0.0, 1.0),
        Side::Bottom => Vec2::new(0.0, -1.0),
    };
    let reach = |side: Side| {
        let far = |p: &TablePoint| p.to_vec().dot(out(side));
        corners.iter().map(far).fold(f64::NEG_INFINITY, f64::max)
    };
    let short = |p: &TablePoint, side: Side| reach(side) - p.to_vec().dot(out(side));
    let away = |p: &TablePoint| short(p, first).hypot(second.map_or(0.0, |side| short(p, side)));
    let nearest = corners.iter().map(away).fold(f64::INFINITY, f64::min);
    let mut there = corners.iter().filter(|p| away(p) < nearest + STRAIGHT_M);
    match (there.next(), there.next()) {
        (Some(&at), None) => Some(at),
        _ => None,
    }
}

/// Other words for a corner that way: with a second side, or with one of its two alone.
fn neighbours(first: Side, second: Option<Side>) -> [(Side, Option<Side>); 2] {
    use Side::{Bottom, Left, Right, Top};
    match (first, second) {
        (a, Some(b)) => [(a, None), (b, None)],
        (Top | Bottom, None) => [Left, Right].map(|side| (first, Some(side))),
        (Left | Right, None) => [Top, Bottom].map(|side| (side, Some(first))),
    }
}

/// Corners of the convex outline round the model, anticlockwise; one that stands out by no more than
/// rounding is none.
fn rim_corners(model: &Folded) -> Vec<TablePoint> {
    hull((0..model.faces.len()).flat_map(|f| model.table_polygon(f)).collect(), STRAIGHT_M)
}
