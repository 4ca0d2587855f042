//! A walk over the places and lines that steps speak of.

use super::{
    Choice, CollapseKind, CollapseStep, FoldLine, FoldStep, Layers, LineRef, MarkTarget, MovingRef,
    Place, PointRef, Spanned, Step,
};

/// A place or a line in a step.
pub enum Reference<'a> {
    /// A place.
    Point(&'a mut Spanned<PointRef>),
    /// A line.
    Line(&'a mut Spanned<LineRef>),
}

type Seen<'f> = &'f mut dyn FnMut(Reference<'_>);

impl Step {
    /// Shows every reference of the step, and of the steps it repeats, in the order of the tree;
    /// one that holds others comes before them.
    pub fn each_reference(&mut self, seen: Seen<'_>) {
        match self {
            Self::Fold(fold) => fold.each_reference(seen),
            Self::Collapse(collapse) => collapse.each_reference(seen),
            Self::Mark(_, MarkTarget::Point(p)) => point(p, seen),
            Self::Mark(_, MarkTarget::Line(l)) => line(l, seen),
            Self::Repeat(_, inner) => inner.iter_mut().for_each(|s| s.node.each_reference(seen)),
            Self::Roll(roll) => {
                layers(&mut roll.layers, seen);
                line(&mut roll.edge, seen);
            }
            Self::Unfold(_)
            | Self::UnfoldAll
            | Self::Refold(_)
            | Self::TurnOver
            | Self::Rotate(_) => {}
        }
    }
}

impl FoldStep {
    fn each_reference(&mut self, seen: Seen<'_>) {
        layers(&mut self.layers, seen);
        fold_line(&mut self.line, seen);
        match self.moving.as_mut().map(|m| &mut m.node) {
            Some(MovingRef::Point(p)) => point(p, seen),
            Some(MovingRef::Line(l)) => line(l, seen),
            Some(MovingRef::Table(_)) | None => {}
        }
        choice(self.choice.as_mut(), seen);
        if let Some(Place::Under(p) | Place::Over(p)) = self.place.as_mut().map(|p| &mut p.node) {
            point(p, seen);
        }
    }
}

impl CollapseStep {
    fn each_reference(&mut self, seen: Seen<'_>) {
        match &mut self.kind {
            CollapseKind::Creases { items, holding } => {
                for item in items {
                    line(&mut item.line, seen);
                    if let Some((p, q)) = &mut item.part {
                        point(p, seen);
                        point(q, seen);
                    }
                }
                holding.iter_mut().for_each(|p| point(p, seen));
            }
            CollapseKind::InsideReverse(r)
            | CollapseKind::OutsideReverse(r)
            | CollapseKind::OpenSink(r)
            | CollapseKind::ClosedSink(r)
            | CollapseKind::Petal(r) => {
                point(&mut r.tip, seen);
                fold_line(&mut r.line, seen);
            }
            CollapseKind::Crimp(p, l, m) | CollapseKind::Pleat(p, l, m) => {
                point(p, seen);
                fold_line(l, seen);
                fold_line(m, seen);
            }
            CollapseKind::Squash { spine: l, onto, hinge }
            | CollapseKind::Swivel { edge: l, onto, hinge } => {
                line(l, seen);
                line(onto, seen);
                point(hinge, seen);
            }
            CollapseKind::RabbitEar { corners, towards } => {
                corners.iter_mut().for_each(|p| point(p, seen));
                point(towards, seen);
            }
            CollapseKind::WaterbombBase(_) | CollapseKind::PreliminaryBase(_) => {}
            CollapseKind::Tuck { flap, under, line } => {
                point(flap, seen);
                point(under, seen);
                fold_line(line, seen);
            }
        }
        choice(self.choice.as_mut(), seen);
    }
}

fn layers(layers: &mut Spanned<Layers>, seen: Seen<'_>) {
    if let Layers::FlapAt(p) = &mut layers.node {
        point(p, seen);
    }
}

fn choice(choice: Option<&mut Spanned<Choice>>, seen: Seen<'_>) {
    if let Some(Choice::Nearest(p)) = choice.map(|c| &mut c.node) {
        point(p, seen);
    }
}

fn fold_line(l: &mut Spanned<FoldLine>, seen: Seen<'_>) {
    match &mut l.node {
        FoldLine::Along(l) | FoldLine::Over(l, _) => line(l, seen),
        FoldLine::InHalf { .. } => {}
        FoldLine::Through(p, q) | FoldLine::PointOntoPoint(p, q) => {
            point(p, seen);
            point(q, seen);
        }
        FoldLine::LineOntoLine(l, m) => {
            line(l, seen);
            line(m, seen);
        }
        FoldLine::Perpendicular(l, p) | FoldLine::AtAngle(_, l, p) => {
            line(l, seen);
            point(p, seen);
        }
        FoldLine::PointOntoLine { point: p, onto, hinge } => {
            point(p, seen);
            line(onto, seen);
            point(hinge, seen);
        }
        FoldLine::TwoPointsOntoLines(both) => {
            for (p, l) in both {
                point(p, seen);
                line(l, seen);
            }
        }
        FoldLine::PointOntoLinePerpendicular { point: p, onto, square_to } => {
            point(p, seen);
            line(onto, seen);
            line(square_to, seen);
        }
        FoldLine::Parallel(l, _, towards) => {
            line(l, seen);
            towards.iter_mut().for_each(|p| point(p, seen));
        }
        FoldLine::Back(p, _, l) => {
            point(p, seen);
            line(l, seen);
        }
    }
}

fn point(p: &mut Spanned<PointRef>, seen: Seen<'_>) {
    seen(Reference::Point(p));
    match &mut p.node {
        PointRef::Along { of, from, .. } => {
            line(of, seen);
            from.iter_mut().for_each(|p| point(p, seen));
        }
        PointRef::Crossing(l, m) => {
            line(l, seen);
            line(m, seen);
        }
        PointRef::MiddleOf(of) | PointRef::End(_, of) => line(of, seen),
        PointRef::Corner(..)
        | PointRef::ModelCorner(..)
        | PointRef::EdgeMiddle(_)
        | PointRef::Sheet(..)
        | PointRef::Named(_) => {}
    }
}

fn line(l: &mut Spanned<LineRef>, seen: Seen<'_>) {
    seen(Reference::Line(l));
    match &mut l.node {
        LineRef::Join(p, q) => {
            point(p, seen);
            point(q, seen);
        }
        LineRef::At(of, p) => {
            line(of, seen);
            point(p, seen);
        }
        LineRef::Edge(_) | LineRef::Named(_) => {}
    }
}
