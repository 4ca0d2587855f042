//! Corners of the model as it lies now.

use super::{Fault, Refs, STRAIGHT_M};
use crate::design::ast::{Expr, LineRef, PointRef, Reference, Side, Span, Spanned, Step, Unit};
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
        let at = match corners_that_way(&corners, first, second)[..] {
            [at] => at,
            ref several => {
                let one =
                    |(a, b): &(Side, Option<Side>)| corners_that_way(&corners, *a, *b).len() == 1;
                let ways = neighbours(first, second).into_iter().filter(one);
                let ways = ways.map(|(a, b)| PointRef::ModelCorner(a, b));
                let ways = self.places_at(several).chain(ways).collect();
                return Err((span, Problem::WhichCorner { ways }).into());
            }
        };
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

    /// Corners of the sheet and ends of named creases that lie at some corners of the model.
    fn places_at(&self, corners: &[TablePoint]) -> impl Iterator<Item = PointRef> {
        use Side::{Bottom, Left, Right, Top};
        let span = 0..0;
        let lies_at = |p: &PointRef| {
            let place = self.place(&Spanned { node: p.clone(), span: span.clone() }).ok()?;
            corners.iter().position(|c| c.distance(place.table) < STRAIGHT_M)
        };
        let of_sheet = [(Top, Left), (Top, Right), (Bottom, Left), (Bottom, Right)];
        let of_sheet = of_sheet.map(|(a, b)| PointRef::Corner(a, b));
        let mut names: Vec<&str> = self.names.of_lines().collect();
        names.reverse();
        let ends = names.into_iter().flat_map(|name| {
            let line = LineRef::Named(name.to_owned().into());
            [Left, Right, Top, Bottom].map(|side| PointRef::End(side, line.clone().into()))
        });
        // Each corner by a few of the words there are for it.
        let mut told = vec![0; corners.len()];
        let mut places = Vec::new();
        for place in of_sheet.into_iter().chain(ends) {
            if let Some(at) =
                lies_at(&place).filter(|&at| told[at] < MOST_WAYS / corners.len().max(1))
            {
                told[at] += 1;
                places.push(place);
            }
        }
        places.into_iter()
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

/// Most places named where several corners may be meant (chosen: what is still read).
const MOST_WAYS: usize = 4;

/// The corners farthest to a side, or nearest to that corner of the box round all.
fn corners_that_way(corners: &[TablePoint], first: Side, second: Option<Side>) -> Vec<TablePoint> {
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
    corners.iter().copied().filter(|p| away(p) < nearest + STRAIGHT_M).collect()
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
