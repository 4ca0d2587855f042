//! Folds: where the crease runs, which layers it takes, where they go.

use super::cursor::{NameKind, Parsed, Parser};
use super::read_as::place_of;
use super::reference::{A_LINE, Along, Reference};
use super::trade::left_strip;
use super::words;
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::lexer::{Token, TokenKind};
use crate::design::print::references as print;

const A_CREASE: &str = "where the crease runs, such as `left edge onto right edge`";
const ONTO_LINE: &str = "`onto` and the line it comes to lie on, or `over by` and a width";
const A_CLAUSE: &str = "the end of the line, or a clause such as `both sides` or `call it …`";

/// The clauses that can follow a fold or a collapse.
#[derive(Default)]
pub struct Clauses {
    moving: Option<Spanned<MovingRef>>,
    pub(super) choice: Option<Spanned<Choice>>,
    place: Option<Spanned<Place>>,
    pub(super) sides: Sides,
    pub(super) call: Option<Name>,
}

impl Parser<'_> {
    /// Everything after `valley`, `mountain` or `crease`.
    pub fn fold(&mut self, verb: FoldVerb) -> Parsed<FoldStep> {
        if verb != FoldVerb::Crease {
            self.eat_word("fold");
        }
        self.no_saying(true)?;
        let starts = [words::REFERENCES, words::FOLD_LINES, words::LAYERS];
        self.settle(A_CREASE, &starts, Some(NameKind::Unknown));
        let layers = self.layers()?;
        self.eat_commas();
        let thirds = self.peek_word("in") && self.peek_nth(1).is_some_and(|t| t.is_word("thirds"));
        let line = self.fold_line(false)?;
        let c = self.clauses(words::CLAUSES)?;
        let Clauses { moving, choice, place, sides, call } = c;
        let sides = if thirds { Sides::Both } else { sides };
        Ok(FoldStep { verb, layers, line, moving, choice, place, sides, call })
    }

    /// The layers named, if any are.
    pub fn layers(&mut self) -> Parsed<Spanned<Layers>> {
        let start = self.here().start;
        let node = if self.eat_word("all") {
            self.expect_one_of(&["layers"])?;
            Layers::All
        } else if self.eat_word("near") {
            self.expect_word("half")?;
            Layers::NearHalf
        } else if self.eat_word("far") {
            self.expect_word("half")?;
            Layers::FarHalf
        } else if self.eat_word("flap") {
            self.expect_word("at")?;
            Layers::FlapAt(self.point(Along::Follows)?)
        } else if self.counts_layers() {
            let top = self.eat_word("top");
            self.at += usize::from(!top);
            let count = if self.peek_word("layer") {
                Spanned { node: Expr::Number(1.0, Unit::None), span: self.here() }
            } else {
                self.expression("how many layers")?
            };
            self.expect_one_of(&["layer", "layers"])?;
            if top { Layers::Top(count) } else { Layers::Bottom(count) }
        } else {
            return Ok(Spanned { node: Layers::Default, span: start..start });
        };
        Ok(Spanned { node, span: self.span_from(start) })
    }

    /// `top layer`, `bottom 2 layers`, `top n layers`; but not `top edge`.
    fn counts_layers(&self) -> bool {
        (self.peek_word("top") || self.peek_word("bottom"))
            && self.peek_nth(1).is_some_and(|t| match t.kind {
                TokenKind::Number(_) | TokenKind::Mark('(') => true,
                TokenKind::Word => {
                    let calls = |t: &Token<'_>| t.kind == TokenKind::Mark('(');
                    t.is_word("layer")
                        || self.lets.contains(&t.text)
                        || self.peek_nth(2).is_some_and(calls)
                }
                TokenKind::Mark(_) => false,
            })
    }

    /// Where a crease runs. `bare` allows a line alone to stand for `along` it.
    pub fn fold_line(&mut self, bare: bool) -> Parsed<Spanned<FoldLine>> {
        self.settle(A_CREASE, &[words::REFERENCES, words::FOLD_LINES], Some(NameKind::Unknown));
        self.spanned(|p| match p.peek_one_of(words::FOLD_LINES) {
            Some(word) => {
                p.at += 1;
                p.fold_line_by_word(word)
            }
            None => p.fold_line_by_reference(bare),
        })
    }

    fn fold_line_by_word(&mut self, word: &str) -> Parsed<FoldLine> {
        let start = self.tokens[self.at - 1].span.start;
        match word {
            "along" => Ok(FoldLine::Along(self.line()?)),
            "in" => match self.expect_one_of(&["half", "thirds"])? {
                "half" => Ok(FoldLine::InHalf { across: self.eat_word("across") }),
                _ => Ok(left_strip(3.0, &self.span_from(start))),
            },
            "bisector" => {
                self.expect_word("of")?;
                let line = self.line()?;
                self.expect_word("and")?;
                Ok(FoldLine::LineOntoLine(line, self.line()?))
            }
            "through" => {
                let first = self.place()?;
                self.expect_word("and")?;
                Ok(FoldLine::Through(first, self.place()?))
            }
            "perpendicular" => {
                self.expect_word("to")?;
                let line = self.line()?;
                self.expect_word("through")?;
                Ok(FoldLine::Perpendicular(line, self.place()?))
            }
            "parallel" => {
                self.expect_word("to")?;
                let line = self.line()?;
                self.eat_commas();
                let distance = self.expression("how far away, such as `22 mm from it`")?;
                self.expect_word("from")?;
                self.expect_word("it")?;
                let towards = self.eat_clause("towards");
                let towards = if towards { Some(self.place()?) } else { None };
                Ok(FoldLine::Parallel(line, distance, towards))
            }
            _ => {
                let angle = self.expression("an angle, such as `22.5 deg`")?;
                self.expect_word("to")?;
                let line = self.line()?;
                self.expect_word("through")?;
                Ok(FoldLine::AtAngle(angle, line, self.place()?))
            }
        }
    }

    fn fold_line_by_reference(&mut self, bare: bool) -> Parsed<FoldLine> {
        let first = self.reference(A_CREASE, Along::Measures)?;
        let (span, first) = (first.span, first.node);
        if bare
            && !self.peek_word("onto")
            && let Reference::Line(node) = first
        {
            return Ok(FoldLine::Along(Spanned { node, span }));
        }
        if self.peek_word("over")
            && self.peek_nth(1).is_none_or(|t| !(t.is_word("to") || t.is_word("onto")))
            && let Reference::Point(node) = first
        {
            return self.over_by(Spanned { node, span });
        }
        match first {
            Reference::Line(_) => self.settle(ONTO_LINE, &[&["onto", "over"]], None),
            _ if self.goes_to_or_by() => {}
            _ => self.settle("`onto`", &[&["onto", "back"]], None),
        }
        match first {
            Reference::Line(node) => self.line_onto(Spanned { node, span }),
            Reference::Point(node) => self.point_to(Spanned { node, span }),
            Reference::Either(name) => self.either_onto(name),
        }
    }

    /// Whether a direction and `to` or `by` come next.
    pub(super) fn goes_to_or_by(&self) -> bool {
        ["down", "up", "over"].into_iter().any(|w| self.peek_word(w))
            && self.peek_nth(1).is_some_and(|t| ["to", "onto", "by"].iter().any(|w| t.is_word(w)))
    }

    fn line_onto(&mut self, first: Spanned<LineRef>) -> Parsed<FoldLine> {
        if self.eat_word("over") {
            self.expect_word("by")?;
            let by = self.expression("the width of the strip, such as `30 mm`")?;
            return Ok(FoldLine::Over(first, by));
        }
        if self.peek_word("parallel") {
            let edge = &self.text[first.span.clone()];
            let form = format!("`parallel to {edge}, 15 mm from it`");
            return self.in_form(form, |p| p.unexpected(ONTO_LINE, &["onto"]));
        }
        if self.peek_word("of") && matches!(first.node, LineRef::Edge(_)) {
            let edge = &self.text[first.span.clone()];
            let form = format!(
                "`{edge} onto L`; an edge that a fold made is named by its crease, `call it NAME`"
            );
            return self.in_form(form, |p| p.unexpected(ONTO_LINE, &["onto"]));
        }
        if !self.eat_word("onto") {
            let options = if self.at_end() { &[][..] } else { &["onto"] };
            return self.unexpected(ONTO_LINE, options);
        }
        self.settle(A_LINE, &[words::REFERENCES], Some(NameKind::Line));
        let onto = self.reference(A_LINE, Along::Measures)?;
        let span = onto.span.clone();
        let place = match onto.node {
            Reference::Line(node) => {
                return Ok(FoldLine::LineOntoLine(first, Spanned { node, span }));
            }
            Reference::Either(name) => {
                let onto = Spanned { node: LineRef::Named(name), span };
                return Ok(FoldLine::LineOntoLine(first, onto));
            }
            Reference::Point(node) => Spanned { node, span },
        };
        // A line cannot come onto a place, but a place of it can.
        let carried = place_of(&first, &place.node);
        let (from, to) = (first.span.clone(), place.span.clone());
        let [line, at] = [&from, &to].map(|span| &self.text[span.clone()]);
        let message = format!("`{at}` is a place, and `{line}` can only come onto a line");
        let put_right = format!("{} onto {at}", print::place(&carried.node));
        let span = from.start..to.end;
        self.put_right("wrong-kind", span, message, "a place of it can come there", put_right);
        Ok(FoldLine::PointOntoPoint(carried, place))
    }

    fn point_to(&mut self, point: Spanned<PointRef>) -> Parsed<FoldLine> {
        if self.eat_word("back") {
            self.expect_word("by")?;
            let by = self.expression("how far, such as `24 mm`")?;
            self.expect_word("along")?;
            return Ok(FoldLine::Back(point, by, self.line()?));
        }
        if let Some(line) = self.moved_to(&point)? {
            return Ok(line);
        }
        if !self.eat_word("onto") {
            let at = &self.text[point.span.clone()];
            let form = format!("`{at} onto P`, or `{at} back by 60 mm along L`");
            return self.in_form(form, |p| {
                p.unexpected("`onto`, or `back by … along …`", &["onto", "back"])
            });
        }
        let due = "a place or a line";
        self.settle(due, &[words::REFERENCES], Some(NameKind::Unknown));
        let onto = self.reference(due, Along::Measures)?;
        let span = onto.span;
        match onto.node {
            Reference::Point(node) => Ok(FoldLine::PointOntoPoint(point, Spanned { node, span })),
            Reference::Line(node) => self.point_onto_line(point, Spanned { node, span }),
            Reference::Either(name) => {
                if self.tells_point_onto_line() {
                    let onto = Spanned { node: LineRef::Named(name), span };
                    return self.point_onto_line(point, onto);
                }
                let onto = Spanned { node: PointRef::Named(name), span };
                Ok(FoldLine::PointOntoPoint(point, onto))
            }
        }
    }

    fn point_onto_line(
        &mut self,
        point: Spanned<PointRef>,
        onto: Spanned<LineRef>,
    ) -> Parsed<FoldLine> {
        self.eat_commas();
        const DUE: &str = "what else holds the crease: `hinged at P`, `perpendicular to L`, \
                           or `and P onto L`";
        self.settle(DUE, &[&["hinged", "perpendicular", "and"]], None);
        if self.eat_word("hinged") {
            self.expect_word("at")?;
            return Ok(FoldLine::PointOntoLine { point, onto, hinge: self.place()? });
        }
        if self.eat_word("perpendicular") {
            self.expect_word("to")?;
            let square_to = self.line()?;
            return Ok(FoldLine::PointOntoLinePerpendicular { point, onto, square_to });
        }
        if self.eat_word("and") {
            let second = self.place()?;
            self.expect_word("onto")?;
            return Ok(FoldLine::TwoPointsOntoLines([(point, onto), (second, self.line()?)]));
        }
        let measured = self.peek().is_some_and(|t| matches!(t.kind, TokenKind::Number(_)));
        if measured && self.tokens[self.at..].iter().any(|t| t.is_word("from")) {
            return self.onto_measured(point, onto);
        }
        let span = point.span.start..onto.span.end;
        let message = "many creases bring this place onto this line";
        // What follows is shown again only where it can be read.
        let rest = self.at_end() || self.peek_one_of(words::CLAUSES).is_some();
        let hinged = |p: &Self, at: &str| {
            let bare = format!("{} onto {}", print::place(&point.node), print::line(&onto.node));
            let line = p.line_with(&format!(", hinged at {at}"), p.at).filter(|_| rest);
            line.unwrap_or_else(|| format!("{bare}, hinged at {at}"))
        };
        let help = match &point.node {
            PointRef::Corner(upright, other) => {
                let side = if *upright == Side::Top { "top" } else { "bottom" };
                let line = hinged(self, &format!("{side} middle"));
                let corner = print::place(&PointRef::Corner(*upright, *other));
                let there = print::place(&PointRef::ModelCorner(*upright, Some(*other)));
                format!(
                    "say where the crease holds: `{line}`; if that corner of the sheet is folded in \
                     already, mean the corner that is there now: `{}`",
                    line.replacen(&corner, &there, 1)
                )
            }
            PointRef::ModelCorner(side @ (Side::Top | Side::Bottom), Some(_)) => {
                let line = hinged(self, &print::place(&PointRef::EdgeMiddle(*side)));
                format!("say where the crease holds: `{line}`")
            }
            PointRef::End(_, of) => {
                let line = hinged(self, &format!("middle of {}", print::line(&of.node)));
                format!("say where the crease holds: `{line}`")
            }
            _ => {
                let line = hinged(self, "P");
                format!(
                    "say where the crease holds: `{line}`, where P is a place, such as `middle of \
                     NAME` of a folded edge, or `crossing of NAME and {}`",
                    print::line(&onto.node)
                )
            }
        };
        self.forget_words_put_right();
        let fault = Diagnostic::error("open-crease", span.clone(), message);
        let fault = fault.label(format!("expected {DUE}")).help(help);
        let hinge = match &point.node {
            PointRef::Corner(side, _)
            | PointRef::ModelCorner(side @ (Side::Top | Side::Bottom), Some(_)) => {
                PointRef::EdgeMiddle(*side)
            }
            PointRef::End(_, of) => PointRef::MiddleOf(of.clone()),
            _ => return self.report(fault),
        };
        if !rest {
            return self.report(fault);
        }
        // Read so, the fold itself tells whether that corner lies where it can be folded.
        self.diagnostics.push(fault.read_as_meant());
        let hinge = Spanned { node: hinge, span };
        Ok(FoldLine::PointOntoLine { point, onto, hinge })
    }

    /// Goes on after a name that nobody knows; that is reported, so be content with anything.
    fn either_onto(&mut self, name: Name) -> Parsed<FoldLine> {
        let span = name.span.clone();
        let ahead = |p: &Self, word| p.peek_word(word);
        if ahead(self, "back") {
            return self.point_to(Spanned { node: PointRef::Named(name), span });
        }
        if !self.eat_word("onto") {
            return self.unexpected("`onto`", &["onto"]);
        }
        let onto = self.reference("a place or a line", Along::Measures)?;
        let place = |name| Spanned { node: PointRef::Named(name), span: span.clone() };
        let line = |name| Spanned { node: LineRef::Named(name), span: span.clone() };
        match onto.node {
            Reference::Point(node) => {
                Ok(FoldLine::PointOntoPoint(place(name), Spanned { node, span: onto.span }))
            }
            Reference::Line(node) if self.tells_point_onto_line() => {
                self.point_onto_line(place(name), Spanned { node, span: onto.span })
            }
            Reference::Line(node) => {
                Ok(FoldLine::LineOntoLine(line(name), Spanned { node, span: onto.span }))
            }
            Reference::Either(other) => {
                let onto = Spanned { node: LineRef::Named(other), span: onto.span };
                if self.tells_point_onto_line() {
                    self.point_onto_line(place(name), onto)
                } else {
                    Ok(FoldLine::LineOntoLine(line(name), onto))
                }
            }
        }
    }

    /// Whether what follows can only follow `P onto L`.
    fn tells_point_onto_line(&self) -> bool {
        let mut ahead = self.tokens[self.at..].iter();
        let next = ahead.find(|t| !matches!(t.kind, TokenKind::Mark(',' | ';')));
        next.is_some_and(|t| ["hinged", "perpendicular", "and"].iter().any(|w| t.is_word(w)))
    }

    /// The clauses up to the line's end, in any order, with or without commas.
    pub fn clauses(&mut self, allowed: &[&'static str]) -> Parsed<Clauses> {
        let mut c = Clauses::default();
        loop {
            self.eat_commas();
            if self.at_end() {
                return Ok(c);
            }
            self.settle(A_CLAUSE, &[allowed], None);
            let span = self.here();
            let Some(word) = self.peek_one_of(allowed) else {
                return self.unexpected(A_CLAUSE, allowed);
            };
            self.at += 1;
            let twice = match word {
                "moving" => c.moving.replace(self.spanned(Self::moving)?).is_some(),
                "take" => {
                    let choice = self.expression("which, such as `take 2`")?;
                    let choice = Spanned { span: choice.span.clone(), node: Choice::Take(choice) };
                    c.choice.replace(choice).is_some()
                }
                "nearest" => {
                    let to = self.place()?;
                    let choice = Spanned { span: to.span.clone(), node: Choice::Nearest(to) };
                    c.choice.replace(choice).is_some()
                }
                "inside" => {
                    let place = Spanned { node: Place::Inside, span: span.clone() };
                    c.place.replace(place).is_some()
                }
                "under" | "over" => {
                    let at = self.place()?;
                    let at_span = at.span.clone();
                    let node = if word == "under" { Place::Under(at) } else { Place::Over(at) };
                    c.place.replace(Spanned { node, span: at_span }).is_some()
                }
                "both" => {
                    self.expect_one_of(&["sides"])?;
                    std::mem::replace(&mut c.sides, Sides::Both).both()
                }
                "repeat" => {
                    self.expect_one_of(&["behind"])?;
                    std::mem::replace(&mut c.sides, Sides::Behind).both()
                }
                _ => {
                    self.eat_word("it");
                    c.call.replace(self.new_name("a name for the crease")?).is_some()
                }
            };
            if twice {
                let message = format!("`{word}` says again what is said already");
                return self.report(Diagnostic::error("duplicate", span, message));
            }
        }
    }

    fn moving(&mut self) -> Parsed<MovingRef> {
        const DUE: &str = "the part that moves: a place, a line, `left`, `right`, `up` or `down`";
        self.settle(DUE, &[words::REFERENCES, &["up", "down"]], Some(NameKind::Unknown));
        if let Some(direction) = self.peek_direction() {
            let goes_on =
                self.peek_nth(1).is_some_and(|t| words::AFTER_A_SIDE.iter().any(|w| t.is_word(w)));
            if !goes_on {
                self.at += 1;
                return Ok(MovingRef::Table(direction));
            }
        }
        let Spanned { node, span } = self.reference(DUE, Along::Measures)?;
        Ok(match node {
            Reference::Point(node) => MovingRef::Point(Spanned { node, span }),
            Reference::Line(node) => MovingRef::Line(Spanned { node, span }),
            Reference::Either(name) => {
                MovingRef::Point(Spanned { node: PointRef::Named(name), span })
            }
        })
    }

    /// The direction that stands next.
    pub fn peek_direction(&self) -> Option<Direction> {
        [
            ("left", Direction::Left),
            ("right", Direction::Right),
            ("up", Direction::Up),
            ("down", Direction::Down),
        ]
        .into_iter()
        .find(|(word, _)| self.peek_word(word))
        .map(|(_, direction)| direction)
    }
}
