//! Moves in which several creases fold at once.

use super::cursor::{NameKind, Parsed, Parser};
use super::reference::Along;
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::limits::MAX_ITEMS;

const CLAUSES: &[&str] = &["take", "nearest", "both", "repeat", "call"];

/// How each of these is said in whole.
const FORMS: &[&str] = &[
    "collapse L valley, L mountain, L flat",
    "inside reverse P through P and P",
    "outside reverse P through P and P",
    "open sink P perpendicular to L through P",
    "closed sink P perpendicular to L through P",
    "crimp P between through P and P and through P and P",
    "pleat L 3 times by 10 mm",
    "pleat P between parallel to L, 20 mm from it and parallel to L, 30 mm from it",
    "squash L onto L, hinged at P",
    "swivel L onto L, hinged at P",
    "petal P through P and P",
    "rabbit ear P between P and P, towards P",
    "tuck P under P, P onto L, hinged at P",
    "waterbomb base on top square",
    "preliminary base on top square",
];

impl Parser<'_> {
    /// Everything after the word that begins a collapse.
    pub fn collapse(&mut self, word: &str) -> Parsed<CollapseStep> {
        let forms = FORMS.iter().filter(|f| f.split(' ').next() == Some(word));
        let forms: Vec<_> = forms.map(|f| format!("`{f}`")).collect();
        self.in_form(forms.join(", or "), |p| p.collapse_by_word(word))
    }

    fn collapse_by_word(&mut self, word: &str) -> Parsed<CollapseStep> {
        let kind = match word {
            "collapse" => self.creases()?,
            "inside" => {
                self.expect_word("reverse")?;
                CollapseKind::InsideReverse(self.reverse()?)
            }
            "outside" => {
                self.expect_word("reverse")?;
                CollapseKind::OutsideReverse(self.reverse()?)
            }
            "open" => {
                self.expect_word("sink")?;
                CollapseKind::OpenSink(self.reverse()?)
            }
            "closed" => {
                self.expect_word("sink")?;
                CollapseKind::ClosedSink(self.reverse()?)
            }
            "crimp" | "pleat" => {
                let tip = self.place()?;
                self.expect_word("between")?;
                let first = Box::new(self.fold_line(true)?);
                self.expect_word("and")?;
                let second = Box::new(self.fold_line(true)?);
                match word {
                    "crimp" => CollapseKind::Crimp(tip, first, second),
                    _ => CollapseKind::Pleat(tip, first, second),
                }
            }
            "squash" => {
                self.eat_word("fold");
                let (spine, onto, hinge) = self.edge_onto_hinged()?;
                CollapseKind::Squash { spine, onto, hinge }
            }
            "swivel" => {
                self.eat_word("fold");
                let (edge, onto, hinge) = self.edge_onto_hinged()?;
                CollapseKind::Swivel { edge, onto, hinge }
            }
            "petal" => CollapseKind::Petal(self.reverse()?),
            "rabbit" => {
                self.expect_word("ear")?;
                let ear = self.place()?;
                self.expect_word("between")?;
                let second = self.place()?;
                self.expect_word("and")?;
                let third = self.place()?;
                self.eat_commas();
                self.expect_word("towards")?;
                let towards = self.place()?;
                CollapseKind::RabbitEar { corners: [ear, second, third], towards }
            }
            "waterbomb" => {
                self.expect_word("base")?;
                CollapseKind::WaterbombBase(self.square_part()?)
            }
            "preliminary" => {
                self.expect_word("base")?;
                CollapseKind::PreliminaryBase(self.square_part()?)
            }
            _ => {
                debug_assert_eq!(word, "tuck", "every word that begins a line has its arm");
                let flap = self.place()?;
                self.expect_word("under")?;
                let under = self.point(Along::Follows)?;
                let line = Box::new(self.fold_line(false)?);
                CollapseKind::Tuck { flap, under, line }
            }
        };
        let c = self.clauses(CLAUSES)?;
        Ok(CollapseStep { kind, call: c.call, sides: c.sides, choice: c.choice })
    }

    fn reverse(&mut self) -> Parsed<Reverse> {
        self.eat_word("fold");
        let tip = self.point(Along::Follows)?;
        Ok(Reverse { tip, line: Box::new(self.fold_line(false)?) })
    }

    /// `L onto M, hinged at P`
    fn edge_onto_hinged(
        &mut self,
    ) -> Parsed<(Spanned<LineRef>, Spanned<LineRef>, Spanned<PointRef>)> {
        let edge = self.line()?;
        self.expect_word("onto")?;
        let onto = self.line()?;
        self.eat_commas();
        self.expect_word("hinged")?;
        self.expect_word("at")?;
        Ok((edge, onto, self.place()?))
    }

    /// Nothing, or `on top square`.
    fn square_part(&mut self) -> Parsed<Spanned<SquarePart>> {
        let start = self.here().start;
        if !self.eat_word("on") && !self.eat_word("of") {
            return Ok(Spanned { node: SquarePart::Whole, span: start..start });
        }
        let part = self.expect_one_of(&["top", "bottom"])?;
        self.expect_word("square")?;
        let node = if part == "top" { SquarePart::Top } else { SquarePart::Bottom };
        Ok(Spanned { node, span: self.span_from(start) })
    }

    /// `diagonal valley, cross mountain, centre flat, holding P`
    fn creases(&mut self) -> Parsed<CollapseKind> {
        let mut items = Vec::new();
        let mut holding = None;
        loop {
            if items.len() >= MAX_ITEMS {
                let message = format!("more than {MAX_ITEMS} creases in one collapse");
                return self.report(Diagnostic::error("too-many", self.here(), message));
            }
            let line = self.line()?;
            let part = if self.eat_word("from") {
                let from = self.place()?;
                self.expect_word("to")?;
                Some((from, self.place()?))
            } else {
                None
            };
            let state = match self.expect_one_of(&["valley", "mountain", "flat"])? {
                "valley" => CreaseState::Valley,
                "mountain" => CreaseState::Mountain,
                _ => CreaseState::Flat,
            };
            items.push(CollapseItem { line, part, state });
            self.eat_commas();
            self.eat_word("and");
            self.settle(
                "another crease",
                &[&["holding"], CLAUSES, super::words::REFERENCES],
                Some(NameKind::Line),
            );
            if self.eat_word("holding") {
                holding = Some(self.place()?);
                break;
            }
            if self.at_end() || self.peek_one_of(CLAUSES).is_some() {
                break;
            }
        }
        Ok(CollapseKind::Creases { items, holding })
    }
}
