//! Moves of several creases at once.

use plumbfold::design::ast::{CollapseKind, CollapseStep, SquarePart};

use super::{Speaker, again};

impl Speaker<'_> {
    /// What is said of a collapse.
    pub(super) fn collapse(&mut self, step: &CollapseStep) -> Vec<String> {
        let mut out = match &step.kind {
            CollapseKind::InsideReverse(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    format!("Crease {line}, to the front and to the back, and open again."),
                    format!(
                        "Spread the two halves a little and push {tip} in between them, so \
                             that it turns inside out; press it flat."
                    ),
                ]
            }
            CollapseKind::OutsideReverse(r) => {
                let (tip, line) = (self.places.point(&r.tip), self.crease(&r.line));
                vec![
                    format!("Crease {line}, to the front and to the back, and open again."),
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
                let (spine, onto) = (self.places.line(spine), self.places.line(onto));
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
                let square = square(part.node);
                vec![
                    format!(
                        "In the {square}, crease both slanting lines from corner to corner, \
                             and behind them the level line through their crossing."
                    ),
                    "Push the two sides in at the level line and bring the top down: it falls \
                     flat as a triangle."
                        .to_owned(),
                ]
            }
            CollapseKind::PreliminaryBase(part) => {
                let square = square(part.node);
                vec![format!(
                    "In the {square}, crease the upright and the level line, and behind \
                              them both slanting lines. Bring the corners together: it falls flat \
                              as a smaller square."
                )]
            }
            CollapseKind::Swivel { edge, onto, hinge } => {
                let (edge, onto) = (self.places.line(edge), self.places.line(onto));
                let hinge = self.places.point(hinge);
                vec![format!("Swing {edge} round {hinge} to {onto}, and flatten what rises.")]
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

fn square(part: SquarePart) -> &'static str {
    match part {
        SquarePart::Whole => "square",
        SquarePart::Top => "square at the top",
        SquarePart::Bottom => "square at the bottom",
    }
}
