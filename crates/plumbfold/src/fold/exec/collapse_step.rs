//! Collapses: the words of the text turned into places, lines and hinges for the move itself.

use crate::design::ast::*;
use crate::design::eval::Values;
use crate::fold::axis::Axis;
use crate::fold::collapse::bases::{Base, base};
use crate::fold::collapse::petal::petal;
use crate::fold::collapse::rabbit_ear::rabbit_ear;
use crate::fold::collapse::reverse::{Way, closed_sink, crimp, pleat, reverse};
use crate::fold::collapse::sink::open_sink;
use crate::fold::collapse::squash::{squash, swivel};
use crate::fold::collapse::{Call, CollapseError, Collapsed, named};
use crate::fold::error::Problem;
use crate::fold::layout::Layout;
use crate::fold::refs::{Fault, Names, Refs, stretches_meet};
use crate::fold::state::{CreaseId, Folded};
use crate::numeric::geom::{SheetPoint, TableLine, TablePoint};

use super::crease_line::{asked, chosen};
use super::mirror::Mirror;

/// A collapse about to be made on a model.
pub struct CollapsePass<'a> {
    /// The step.
    pub step: &'a CollapseStep,
    /// Its text.
    pub span: &'a Span,
    /// Its index.
    pub index: usize,
    /// The model before it.
    pub model: &'a Folded,
    /// What names stand for.
    pub names: &'a Names,
    /// Values of quantities.
    pub values: &'a Values,
    /// The line in which it is mirrored.
    pub axis: Axis,
    /// For the mirrored half.
    pub mirror: Option<Mirror>,
    /// In a slipped run.
    pub slipped: bool,
}

/// What a collapse did.
pub struct CollapsedPass {
    /// The model after it.
    pub folded: Folded,
    /// The lines given in the text, as they lay before.
    pub lines: Vec<TableLine>,
    /// Creases made or bent.
    pub creases: Vec<CreaseId>,
    /// The largest number of layers bent at one place.
    pub layers_bent: usize,
}

type Move = Result<Collapsed, CollapseError>;

impl CollapsePass<'_> {
    fn refs(&self) -> Refs<'_> {
        Refs {
            axis: self.axis,
            mirrored: self.mirror.is_some(),
            slipped: self.slipped,
            ..Refs::new(self.model, self.names, self.values)
        }
    }

    /// A place of the paper that takes part, to find the mirror image by.
    pub fn anchor(&self) -> Result<SheetPoint, Fault> {
        let refs = self.refs();
        let on_paper = |p: &Spanned<PointRef>| Ok(refs.place_on_paper(p)?.1);
        match &self.step.kind {
            CollapseKind::Creases { items, .. } => {
                let hinges = items.first().map(|item| self.hinges(item)).transpose()?;
                let first = hinges.into_iter().flatten().next();
                let ends = first.map(|h| self.model.hinges[h].ends);
                let [a, b] = ends.ok_or((self.span, Problem::EmptyLine))?;
                Ok(a.lerp(b, 0.5))
            }
            CollapseKind::InsideReverse(r)
            | CollapseKind::OutsideReverse(r)
            | CollapseKind::OpenSink(r)
            | CollapseKind::ClosedSink(r)
            | CollapseKind::Petal(r) => on_paper(&r.tip),
            CollapseKind::Crimp(tip, ..) | CollapseKind::Pleat(tip, ..) => on_paper(tip),
            CollapseKind::Squash { hinge, .. } | CollapseKind::Swivel { hinge, .. } => {
                on_paper(hinge)
            }
            CollapseKind::RabbitEar { corners, .. } => on_paper(&corners[0]),
            CollapseKind::WaterbombBase(_) | CollapseKind::PreliminaryBase(_) => {
                Ok(SheetPoint::new(0.0, 0.0))
            }
            CollapseKind::Tuck { flap, .. } => on_paper(flap),
        }
    }

    /// Makes the move.
    pub fn run(&self) -> Result<CollapsedPass, Fault> {
        let call = Call {
            name: self.step.call.as_ref().map(|n| n.node.clone()),
            mirrored: self.mirror.is_some(),
            step: self.index,
        };
        let wanted = match self.step.choice.as_ref().map(|c| &c.node) {
            Some(Choice::Take(n)) => self.values.count(n)?.max(1),
            _ => 1,
        };
        // A choice among creases is none among orders of layers.
        let take = |chose: bool| if chose { 1 } else { wanted };
        let refs = self.refs();
        let place = |p: &Spanned<PointRef>| refs.place_on_paper(p);
        let mut lines = Vec::new();
        let mut creases = Vec::new();
        let moved: Move = match &self.step.kind {
            CollapseKind::Creases { items, holding } => {
                let mut wishes = Vec::new();
                for item in items {
                    let state = self.state(item.state);
                    let hinges = self.hinges(item)?;
                    creases.extend(hinges.iter().map(|&h| self.model.hinges[h].crease));
                    wishes.extend(hinges.into_iter().map(|h| (h, state)));
                }
                let holding = holding.as_ref().map(place).transpose()?;
                named::creases(self.model, &wishes, holding.map(|p| p.1), &call, take(false))
            }
            CollapseKind::InsideReverse(r)
            | CollapseKind::OutsideReverse(r)
            | CollapseKind::OpenSink(r)
            | CollapseKind::ClosedSink(r)
            | CollapseKind::Petal(r) => {
                let (at, tip) = place(&r.tip)?;
                let (line, chose) = self.line(&r.line, at)?;
                lines.push(line);
                let (model, take) = (self.model, take(chose));
                match self.step.kind {
                    CollapseKind::InsideReverse(_) => {
                        reverse(model, Way::Inside, tip, &line, &call, take)
                    }
                    CollapseKind::OutsideReverse(_) => {
                        reverse(model, Way::Outside, tip, &line, &call, take)
                    }
                    CollapseKind::OpenSink(_) => open_sink(model, tip, &line, &call, take),
                    CollapseKind::ClosedSink(_) => closed_sink(model, tip, &line, &call, take),
                    _ => petal(model, tip, &line, &call, take),
                }
            }
            CollapseKind::Crimp(tip, l, m) | CollapseKind::Pleat(tip, l, m) => {
                let (at, tip) = place(tip)?;
                let [(one, chose), (two, chose_too)] = [self.line(l, at)?, self.line(m, at)?];
                let (both, take) = ([one, two], take(chose || chose_too));
                lines.extend(both);
                if matches!(self.step.kind, CollapseKind::Crimp(..)) {
                    crimp(self.model, tip, both, &call, take)
                } else {
                    pleat(self.model, tip, both, &call, take)
                }
            }
            CollapseKind::WaterbombBase(part) => {
                base(self.model, Base::Waterbomb, part.node, &call, take(false))
            }
            CollapseKind::PreliminaryBase(part) => {
                base(self.model, Base::Preliminary, part.node, &call, take(false))
            }
            CollapseKind::Squash { spine: edge, onto, hinge }
            | CollapseKind::Swivel { edge, onto, hinge } => {
                let spine = refs.hinges(edge)?;
                let (onto, hinge) = (refs.line(onto)?.ideal, refs.place(hinge)?.table);
                creases.extend(spine.iter().map(|&h| self.model.hinges[h].crease));
                lines.push(onto);
                if matches!(self.step.kind, CollapseKind::Squash { .. }) {
                    squash(self.model, &spine, &onto, hinge, &call, take(false))
                } else {
                    swivel(self.model, &spine, &onto, hinge, &call, take(false))
                }
            }
            CollapseKind::RabbitEar { corners, towards } => {
                let [ear, left, right] = corners;
                let (towards, left, right) = (place(towards)?.0, place(left)?, place(right)?);
                let nearer = usize::from(towards.distance(right.0) < towards.distance(left.0));
                let corners = [place(ear)?.1, left.1, right.1];
                rabbit_ear(self.model, corners, 1 + nearer, &call, take(false))
            }
            // Made by the executor as a fold.
            CollapseKind::Tuck { .. } => return Err((self.span, Problem::NoCrease).into()),
        };
        let mut folded = moved.map_err(|e| (self.span, Box::new(e)))?.model;
        creases.extend(self.model.creases.len()..folded.creases.len());
        creases.sort_unstable();
        creases.dedup();
        let layers_bent = count_layers(&mut folded, &creases);
        Ok(CollapsedPass { folded, lines, creases, layers_bent })
    }

    fn state(&self, state: CreaseState) -> CreaseState {
        match (state, self.mirror.is_some_and(|m| m.other_way_up())) {
            (CreaseState::Valley, true) => CreaseState::Mountain,
            (CreaseState::Mountain, true) => CreaseState::Valley,
            (state, _) => state,
        }
    }

    /// Hinges of one item, those of a part only where it is limited.
    fn hinges(&self, item: &CollapseItem) -> Result<Vec<usize>, Fault> {
        let refs = self.refs();
        let mut hinges = refs.hinges(&item.line)?;
        if let Some((p, q)) = &item.part {
            let (p, q) = (refs.place(p)?.table, refs.place(q)?.table);
            let span = &item.line.span;
            let line = TableLine::through(p, q).ok_or((span, Problem::SamePlace { at: p }))?;
            let reach = p.distance(q);
            hinges.retain(|&h| {
                let [a, b] = self.model.hinge_on_table(&self.model.hinges[h]);
                let s = line.along(a.lerp(b, 0.5));
                0.0 < s && s < reach
            });
        }
        if hinges.is_empty() {
            return Err((&item.line.span, Problem::EmptyLine).into());
        }
        Ok(hinges)
    }

    /// The one line meant, beyond which `tip` lies; and whether that took the choice the step makes.
    fn line(&self, line: &Spanned<FoldLine>, tip: TablePoint) -> Result<(TableLine, bool), Fault> {
        let (layout, refs) = (Layout::new(self.model), self.refs());
        let asked = asked(&refs, line, &layout, self.mirror.as_ref())?;
        let mut candidates = asked.lines.clone();
        // Of two parallels, the one between its line and the tip.
        if let Some(beside) = asked.parallel_to {
            candidates.retain(|c| c.side(beside.at) * c.side(tip) < 0.0);
        }
        let lands = |c: &TableLine| asked.lands_on_paper(c);
        if candidates.iter().filter(|c| lands(c)).count() == 1 {
            candidates.retain(lands);
        }
        match (&candidates[..], &self.step.choice) {
            ([], _) if asked.parallel_to.is_some() => Err((&line.span, Problem::NotBeyond).into()),
            ([], _) => Err((&line.span, Problem::NoCrease).into()),
            ([one], _) => Ok((*one, false)),
            (_, Some(choice)) => {
                let chosen = chosen(choice, &candidates, &refs)?;
                Ok((candidates[chosen], true))
            }
            (_, None) => Err((&line.span, Problem::Ambiguous { candidates }).into()),
        }
    }
}

/// Counts the layers that each crease of the move bends; tells the most at one place.
fn count_layers(folded: &mut Folded, creases: &[CreaseId]) -> usize {
    let bent = folded.hinges.iter().filter(|h| folded.is_folded(h));
    let bent: Vec<_> = bent
        .filter(|h| creases.contains(&h.crease))
        .map(|h| (h.crease, folded.hinge_on_table(h)))
        .collect();
    let mut most = 0;
    for &(crease, at) in &bent {
        let layers = bent.iter().filter(|other| stretches_meet(other.1, at)).count();
        most = most.max(layers);
        let crease = &mut folded.creases[crease];
        crease.layers = crease.layers.max(layers);
    }
    most
}
