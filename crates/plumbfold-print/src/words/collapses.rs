//! Moves of several creases at once.

use plumbfold::design::ast::{CollapseKind, CollapseStep, SquarePart};
use plumbfold::numeric::geom::{SheetPoint, TablePoint};

use super::places::Places;
use super::{Speaker, again};

/// Whether a corner goes in between layers (Yoshizawa-Randlett: a wedge where to push).
pub(super) fn is_pushed(kind: &CollapseKind) -> bool {
    use CollapseKind::{ClosedSink, Crimp, InsideReverse, OpenSink};
    matches!(kind, InsideReverse(_) | OpenSink(_) | ClosedSink(_) | Crimp(..))
}

/// The corners that the hand takes: one, or all of a base.
pub(super) fn tips(kind: &CollapseKind, places: &Places<'_>) -> Vec<TablePoint> {
    use CollapseKind::{ClosedSink, InsideReverse, OpenSink, OutsideReverse, Petal};
    match kind {
        InsideReverse(r) | OutsideReverse(r) | OpenSink(r) | ClosedSink(r) | Petal(r) => {
            places.at(&r.tip).into_iter().collect()
        }
        CollapseKind::PreliminaryBase(_) => places.lettered(),
        _ => Vec::new(),
    }
}

/// The crease along which a move of several layers goes.
fn both_ways(line: &str) -> String {
    format!("Crease {line}, to the front and to the back, and open again.")
}

impl Speaker<'_> {
    /// What is said of a collapse.
    pub(super) fn collapse(&mut self, step: &CollapseStep) -> Vec<String> {
        let mut out = match &step.kind {
            CollapseKind::InsideReverse(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    both_ways(&line),
                    format!(
                        "Spread the two halves a little and push {tip} in between them, so \
                             that it turns inside out; press it flat."
                    ),
                ]
            }
            CollapseKind::OutsideReverse(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    both_ways(&line),
                    format!(
                        "Spread the two halves and wrap {tip} round the outside of both; \
                             press it flat."
                    ),
                ]
            }
            CollapseKind::OpenSink(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    format!("Crease {line}, both ways, and open the model there."),
                    format!("Push {tip} in, so that it turns inside out; press it flat."),
                ]
            }
            CollapseKind::ClosedSink(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    both_ways(&line),
                    format!(
                        "Push {tip} straight down between its layers without opening them; \
                             press it flat."
                    ),
                ]
            }
            CollapseKind::Petal(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![format!(
                    "Lift {tip} of the top layer, folding {line}; the sides come in by \
                              themselves. Press it flat."
                )]
            }
            CollapseKind::Crimp(tip, a, b) => {
                let (tip, a, b) = (self.places.point(tip), self.crease(a), self.crease(b));
                vec![format!(
                    "Crease {a} and {b}. Open the halves and push {tip} in and out again \
                              along the two creases; press it flat."
                )]
            }
            CollapseKind::Pleat(tip, a, b) => {
                let (tip, a, b) = (self.places.point(tip), self.crease(a), self.crease(b));
                vec![format!("Fold {tip} over {a}, and back again {b}.")]
            }
            CollapseKind::Squash { spine, onto, hinge } => {
                let [spine, onto] = self.places.two_lines(spine, onto);
                let hinge = self.places.point(hinge);
                vec![format!(
                    "Open the flap and squash it flat, so that {spine} comes to lie on \
                              {onto}; {hinge} stays where it is."
                )]
            }
            CollapseKind::RabbitEar { corners, towards } => {
                let towards = self.places.point(towards);
                let ear = self.places.point(&corners[0]);
                vec![format!(
                    "Pinch {ear} into an ear: crease the three lines that halve the \
                              corners, bring the sides together and lay the ear towards {towards}."
                )]
            }
            CollapseKind::WaterbombBase(part) => {
                let (mut out, [a, b, c, d]) = self.square(part.node);
                out.push(
                    "Fold the paper behind along the level line through the crossing of the two \
                     slanting creases, and open again."
                        .to_owned(),
                );
                out.push(format!(
                    "Push the two sides in at the level line and bring the top down,{a} to{c} \
                     and{b} to{d}: it falls flat as a triangle."
                ));
                out
            }
            CollapseKind::PreliminaryBase(part) => {
                let (mut out, [a, b, c, d]) = self.square(part.node);
                out.push(format!(
                    "Crease the upright and the level line through their crossing, and open \
                     again. The slanting creases go behind now: bring the corners{a},{b},{c} \
                     and{d} together, and it falls flat as a smaller square."
                ));
                out
            }
            CollapseKind::Swivel { edge, onto, hinge } => {
                let (edge, onto) = (self.places.line(edge), self.places.line(onto));
                let hinge = self.places.point(hinge);
                vec![format!(
                    "Swing {edge} round {hinge}, until it lies along {onto}, and flatten what \
                     rises."
                )]
            }
            CollapseKind::Tuck { flap, under, line } => {
                let (flap, line) = (self.places.point(flap), self.crease(line));
                let under = self.places.point(under);
                vec![format!("Fold {flap} {line} and tuck it under the flap with {under}.")]
            }
            CollapseKind::Creases { .. } => {
                vec![
                    "Fold all the marked creases at once, the way the lines show, and press the \
                      model flat."
                        .to_owned(),
                ]
            }
        };
        out.extend(again(step.sides, false));
        out
    }
}

impl Speaker<'_> {
    /// How a square of the sheet is found by folding its two slanting creases, and letters for its
    /// corners: those at the edge of the sheet, and those across from them.
    fn square(&mut self, part: SquarePart) -> (Vec<String>, [String; 4]) {
        let [w, h] = self.places.model().sheet_m;
        let (near, far, edge) = match part {
            SquarePart::Whole | SquarePart::Top => (h, h - w, "top"),
            SquarePart::Bottom => (0.0, w, "bottom"),
        };
        let corners = [(0.0, near), (w, near), (0.0, far), (w, far)];
        let letters = corners.map(|(x, y)| self.places.letter_on_sheet(SheetPoint::new(x, y)));
        let [a, b, c, d] = &letters;
        let way = |side: &str, corner: &str, to: &str| {
            format!(
                "Bring the {edge} edge exactly to the {side} edge, crease, and open again: the \
                 corner{corner} comes to{to}."
            )
        };
        let found = match part {
            SquarePart::Whole => {
                vec![format!(
                    "Crease both slanting lines, from{a} to{d} and from{b} to{c}, and open again."
                )]
            }
            _ => vec![way("right", a, d), way("left", b, c)],
        };
        (found, letters)
    }
}
