//! Every quantity of a design against the kind due in its place, so that all such mistakes are
//! told at once and not one a run.

use super::{Values, names_in};
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;

/// Kind of quantity due in a place.
#[derive(Clone, Copy)]
enum Due {
    Length,
    /// A length people give in m.
    Height,
    Angle,
    Count,
    Mass,
    Speed,
    FractionOrLength,
}

/// Mistakes of quantity in a design whose lets have the given values. Expressions that use one
/// of the `missing` lets are left alone.
pub fn check_quantities(design: &Design, values: &Values, missing: &[&str]) -> Vec<Diagnostic> {
    let mut check = Check { values, missing, found: Vec::new() };
    check.sheet(design);
    check.steps(&design.steps);
    for item in design.pose.iter().flat_map(|p| &p.node.items) {
        if check.readable(&item.angle) {
            let fault = values.pose_angle(item).err();
            check.found.extend(fault.filter(|f| f.code != "missing"));
        }
    }
    for trim in &design.trims {
        check.due(Due::Length, &trim.node.amount);
        check.maybe(Due::Length, &trim.node.depth);
    }
    for Spanned { node: ballast, .. } in &design.ballast {
        check.due(Due::Mass, &ballast.mass);
        match &ballast.at {
            BallastPlace::BehindNose { behind, above, right } => {
                check.due(Due::Length, behind);
                check.maybe(Due::Length, above);
                check.maybe(Due::Length, right);
            }
            BallastPlace::Paper(p) => check.point(p),
        }
    }
    for (right, back) in design.outline.iter().flat_map(|o| &o.node.corners) {
        check.due(Due::Length, right);
        check.due(Due::Length, back);
    }
    if let Some(Spanned { node: m, .. }) = &design.measured {
        check.due(Due::Mass, &m.mass);
        check.due(Due::Length, &m.balance);
        check.maybe(Due::Length, &m.above);
        check.maybe(Due::Angle, &m.dihedral);
        check.maybe(Due::Length, &m.keel);
    }
    if let Some(Spanned { node: throw, .. }) = &design.throw {
        check.due(Due::Speed, &throw.speed);
        check.maybe(Due::Angle, &throw.elevation);
        check.maybe(Due::Height, &throw.height);
        check.maybe(Due::Angle, &throw.bank);
    }
    check.found
}

struct Check<'a> {
    values: &'a Values,
    missing: &'a [&'a str],
    found: Vec<Diagnostic>,
}

impl Check<'_> {
    fn readable(&self, e: &Spanned<Expr>) -> bool {
        let mut names = Vec::new();
        names_in(e, &mut names);
        !names.iter().any(|n| self.missing.contains(&n.node.as_str()))
    }

    fn due(&mut self, due: Due, e: &Spanned<Expr>) {
        if !self.readable(e) {
            return;
        }
        let fault = match due {
            Due::Length => self.values.length(e).err(),
            Due::Height => self.values.height(e).err(),
            Due::Angle => self.values.angle(e).err(),
            Due::Count => self.values.count(e).err(),
            Due::Mass => self.values.mass_kg(e).err(),
            Due::Speed => self.values.speed_m_s(e).err(),
            Due::FractionOrLength => self.values.fraction_or_length(e).err(),
        };
        self.found.extend(fault.filter(|f| f.code != "missing"));
    }

    fn maybe(&mut self, due: Due, e: &Option<Spanned<Expr>>) {
        if let Some(e) = e {
            self.due(due, e);
        }
    }

    fn sheet(&mut self, design: &Design) {
        if design.sheet.is_none() && design.outline.is_some() {
            return;
        }
        let parts: Vec<&Spanned<Expr>> = design.sheet.iter().flat_map(|s| s.node.parts()).collect();
        if parts.into_iter().all(|e| self.readable(e)) {
            let fault = super::stock(design, self.values).err();
            self.found.extend(fault.filter(|f| f.code != "missing"));
        }
    }

    fn steps(&mut self, steps: &[Spanned<Step>]) {
        for step in steps {
            match &step.node {
                Step::Fold(fold) => self.fold(fold),
                Step::Rotate(angle) => self.due(Due::Angle, angle),
                Step::Mark(_, MarkTarget::Point(p)) => self.point(p),
                Step::Mark(_, MarkTarget::Line(l)) => self.line(l),
                Step::Repeat(count, steps) => {
                    self.due(Due::Count, count);
                    self.steps(steps);
                }
                Step::Collapse(collapse) => self.collapse(collapse),
                Step::Roll(roll) => {
                    self.layers(&roll.layers);
                    self.line(&roll.edge);
                    self.due(Due::Count, &roll.times);
                    self.due(Due::Length, &roll.by);
                }
                Step::Unfold(_) | Step::UnfoldAll | Step::Refold(_) | Step::TurnOver => {}
            }
        }
    }

    fn fold(&mut self, fold: &FoldStep) {
        self.layers(&fold.layers);
        self.fold_line(&fold.line);
        match fold.moving.as_ref().map(|m| &m.node) {
            Some(MovingRef::Point(p)) => self.point(p),
            Some(MovingRef::Line(l)) => self.line(l),
            Some(MovingRef::Table(_)) | None => {}
        }
        self.choice(&fold.choice);
        match fold.place.as_ref().map(|p| &p.node) {
            Some(Place::Under(p) | Place::Over(p)) => self.point(p),
            Some(Place::Inside) | None => {}
        }
    }

    fn layers(&mut self, layers: &Spanned<Layers>) {
        match &layers.node {
            Layers::Top(n) | Layers::Bottom(n) => self.due(Due::Count, n),
            Layers::FlapAt(p) => self.point(p),
            Layers::Default | Layers::All | Layers::NearHalf | Layers::FarHalf => {}
        }
    }

    fn choice(&mut self, choice: &Option<Spanned<Choice>>) {
        match choice.as_ref().map(|c| &c.node) {
            Some(Choice::Take(n)) => self.due(Due::Count, n),
            Some(Choice::Nearest(p)) => self.point(p),
            None => {}
        }
    }

    fn fold_line(&mut self, line: &Spanned<FoldLine>) {
        match &line.node {
            FoldLine::Along(l) => self.line(l),
            FoldLine::Through(p, q) | FoldLine::PointOntoPoint(p, q) => {
                self.point(p);
                self.point(q);
            }
            FoldLine::LineOntoLine(l, m) => {
                self.line(l);
                self.line(m);
            }
            FoldLine::Perpendicular(l, p) => {
                self.line(l);
                self.point(p);
            }
            FoldLine::PointOntoLine { point, onto, hinge } => {
                self.point(point);
                self.line(onto);
                self.point(hinge);
            }
            FoldLine::TwoPointsOntoLines(pairs) => {
                for (p, l) in pairs {
                    self.point(p);
                    self.line(l);
                }
            }
            FoldLine::PointOntoLinePerpendicular { point, onto, square_to } => {
                self.point(point);
                self.line(onto);
                self.line(square_to);
            }
            FoldLine::Parallel(l, distance, towards) => {
                self.line(l);
                self.due(Due::Length, distance);
                towards.iter().for_each(|p| self.point(p));
            }
            FoldLine::AtAngle(angle, l, p) => {
                self.due(Due::Angle, angle);
                self.line(l);
                self.point(p);
            }
            FoldLine::Over(l, by) => {
                self.line(l);
                self.due(Due::Length, by);
            }
            FoldLine::InHalf { .. } => {}
            FoldLine::Back(p, by, l) => {
                self.point(p);
                self.due(Due::Length, by);
                self.line(l);
            }
        }
    }

    fn point(&mut self, point: &Spanned<PointRef>) {
        match &point.node {
            PointRef::Along { by, of, from } => {
                self.due(Due::FractionOrLength, by);
                self.line(of);
                from.iter().for_each(|p| self.point(p));
            }
            PointRef::Crossing(l, m) => {
                self.line(l);
                self.line(m);
            }
            PointRef::Sheet(x, y) => {
                self.due(Due::Length, x);
                self.due(Due::Length, y);
            }
            PointRef::MiddleOf(of) | PointRef::End(_, of) => self.line(of),
            PointRef::Corner(..)
            | PointRef::ModelCorner(..)
            | PointRef::EdgeMiddle(_)
            | PointRef::Named(_) => {}
        }
    }

    fn line(&mut self, line: &Spanned<LineRef>) {
        match &line.node {
            LineRef::Join(p, q) => {
                self.point(p);
                self.point(q);
            }
            LineRef::At(line, place) => {
                self.line(line);
                self.point(place);
            }
            LineRef::Edge(_) | LineRef::Named(_) => {}
        }
    }

    fn collapse(&mut self, step: &CollapseStep) {
        self.choice(&step.choice);
        match &step.kind {
            CollapseKind::Creases { items, holding } => {
                for item in items {
                    self.line(&item.line);
                    if let Some((from, to)) = &item.part {
                        self.point(from);
                        self.point(to);
                    }
                }
                holding.iter().for_each(|p| self.point(p));
            }
            CollapseKind::InsideReverse(r)
            | CollapseKind::OutsideReverse(r)
            | CollapseKind::OpenSink(r)
            | CollapseKind::ClosedSink(r)
            | CollapseKind::Petal(r) => {
                self.point(&r.tip);
                self.fold_line(&r.line);
            }
            CollapseKind::Crimp(p, l, m) | CollapseKind::Pleat(p, l, m) => {
                self.point(p);
                self.fold_line(l);
                self.fold_line(m);
            }
            CollapseKind::Squash { spine: edge, onto, hinge }
            | CollapseKind::Swivel { edge, onto, hinge } => {
                self.line(edge);
                self.line(onto);
                self.point(hinge);
            }
            CollapseKind::RabbitEar { corners, towards } => {
                corners.iter().for_each(|p| self.point(p));
                self.point(towards);
            }
            CollapseKind::WaterbombBase(_) | CollapseKind::PreliminaryBase(_) => {}
            CollapseKind::Tuck { flap, under, line } => {
                self.point(flap);
                self.point(under);
                self.fold_line(line);
            }
        }
    }
}
