//! One line of the text.

use super::cursor::{NameKind, Parsed, Parser, quoted};
use super::fold::Clauses;
use super::reference::{Along, Reference};
use super::words;
use crate::design::ast::*;
use crate::design::diagnostic::Diagnostic;
use crate::design::lexer::{Line, TokenKind};
use crate::design::limits::MAX_ITEMS;
use crate::paper::{SIZES, named_size};

/// What one line says.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::large_enum_variant, reason = "one a line; boxes would only obscure")]
#[allow(missing_docs, reason = "named for the words that begin the line")]
pub enum Statement {
    Plane(Name),
    About(Name),
    Sheet(SheetDecl),
    Outline(OutlineDecl),
    Measured(Measured),
    Creep(bool),
    Let(Let),
    /// Any step but `repeat`.
    Step(Step),
    Repeat(Spanned<Expr>),
    End,
    Pose(Pose),
    Trim(Trim),
    Ballast(Ballast),
    Throw(Throw),
    /// `blintz fold`: every corner onto the middle, two steps.
    Blintz,
}

impl Parser<'_> {
    /// The line whose tokens are loaded.
    pub fn statement(&mut self, line: &Line) -> Parsed<Statement> {
        let due = "the first word of a line, such as `valley`, `crease`, `let` or `sheet`";
        let verb_at = self.here();
        self.pulled_out();
        self.no_saying(false)?;
        if self.peek_one_of(words::STATEMENTS).is_none() {
            self.settle(due, &[words::STATEMENTS], None);
        }
        let Some(word) = self.peek_one_of(words::STATEMENTS) else {
            return self.unexpected(due, words::STATEMENTS);
        };
        self.at += 1;
        let statement = match word {
            "plane" | "about" => {
                let start = verb_at.end.min(line.body.end);
                return self.free_text(word, start..line.body.end);
            }
            "sheet" => Statement::Sheet(self.sheet()?),
            "outline" => self.outline(line.body.end)?,
            "measured" => Statement::Measured(self.measured()?),
            "creep" => Statement::Creep(self.expect_one_of(&["on", "off"])? == "on"),
            "let" => Statement::Let(self.let_line(line)?),
            "valley" => Statement::Step(Step::Fold(Box::new(self.fold(FoldVerb::Valley)?))),
            "mountain" => Statement::Step(Step::Fold(Box::new(self.fold(FoldVerb::Mountain)?))),
            "crease" => Statement::Step(Step::Fold(Box::new(self.fold(FoldVerb::Crease)?))),
            "book" | "gate" | "cupboard" => {
                self.eat_word("fold");
                Statement::Step(Step::Fold(Box::new(self.trade_fold(word)?)))
            }
            "blintz" => {
                self.eat_word("fold");
                Statement::Blintz
            }
            "unfold" if self.eat_word("all") => Statement::Step(Step::UnfoldAll),
            "refold" => Statement::Step(Step::Refold(self.crease_name()?)),
            "roll" => Statement::Step(Step::Roll(Box::new(self.roll(false)?))),
            "pleat" if self.tokens.iter().any(|t| t.is_word("times")) => {
                Statement::Step(Step::Roll(Box::new(self.roll(true)?)))
            }
            "unfold" => {
                let name = if self.at_end() { None } else { Some(self.crease_name()?) };
                Statement::Step(Step::Unfold(name))
            }
            "turn" => {
                self.expect_word("over")?;
                Statement::Step(Step::TurnOver)
            }
            "rotate" => Statement::Step(Step::Rotate(self.rotation()?)),
            "mark" => Statement::Step(self.mark()?),
            "repeat" => {
                let count = self.expression("how often, such as `3 times`")?;
                self.expect_one_of(&["times"])?;
                Statement::Repeat(count)
            }
            "end" => {
                self.eat_word("repeat");
                Statement::End
            }
            "pose" => Statement::Pose(self.pose()?),
            "trim" => Statement::Trim(self.trim()?),
            "ballast" => Statement::Ballast(self.ballast()?),
            "throw" => Statement::Throw(self.throw()?),
            _ => Statement::Step(Step::Collapse(Box::new(self.collapse(word)?))),
        };
        self.eat_commas();
        if !self.at_end() {
            return self.unexpected("the end of the line", &[]);
        }
        Ok(statement)
    }

    /// The rest of a line as it stands.
    fn free_text(&mut self, word: &str, span: Span) -> Parsed<Statement> {
        let said = self.text[span.clone()].trim();
        if said.is_empty() {
            let due = if word == "plane" { "the name of the plane" } else { "what it is for" };
            self.at = self.tokens.len();
            return self.unexpected(due, &[]);
        }
        let start = span.end - self.text[span.clone()].trim_start().len();
        // A name or a sentence carried over to a second line is still one.
        let node = said.split_whitespace().filter(|w| *w != "\\").collect::<Vec<_>>().join(" ");
        let name = Spanned { node, span: start..start + said.len() };
        Ok(if word == "plane" { Statement::Plane(name) } else { Statement::About(name) })
    }

    fn sheet(&mut self) -> Parsed<SheetDecl> {
        let size = self.sheet_size()?;
        let mut decl = SheetDecl {
            size,
            sideways: false,
            grammage: None,
            thickness: None,
            printed_down: false,
        };
        const WORDS: &[&str] = &["upright", "sideways", "thickness", "printed"];
        const DUE: &str = "`upright` or `sideways`, the mass such as `80 g/m2`, `thickness` or \
                           `printed side down`";
        loop {
            self.eat_commas();
            if self.at_end() {
                return Ok(decl);
            }
            self.settle(DUE, &[WORDS], None);
            let span = self.here();
            let twice = match self.peek_one_of(WORDS) {
                Some(word @ ("upright" | "sideways")) => {
                    self.at += 1;
                    if !matches!(decl.size, SheetSize::Named(_)) {
                        let message = format!("`{word}` is for sheets with a name");
                        let help = "give the width first, then the length";
                        return self
                            .report(Diagnostic::error("misplaced", span, message).help(help));
                    }
                    decl.sideways = word == "sideways";
                    false
                }
                Some("thickness") => {
                    self.at += 1;
                    let thickness = self.expression("the thickness, such as `0.1 mm`")?;
                    decl.thickness.replace(thickness).is_some()
                }
                Some(_) => {
                    self.at += 1;
                    self.expect_word("side")?;
                    decl.printed_down = self.expect_one_of(&["up", "down"])? == "down";
                    false
                }
                None if self.peek_stray_word() => return self.unexpected(DUE, WORDS),
                None => decl.grammage.replace(self.expression(DUE)?).is_some(),
            };
            if twice {
                let message = "this is said twice";
                return self.report(Diagnostic::error("duplicate", span, message));
            }
        }
    }

    /// Whether a word comes next that no expression begins with.
    fn peek_stray_word(&self) -> bool {
        let calls = self.peek_nth(1).is_some_and(|t| t.kind == TokenKind::Mark('('));
        let word = self.peek().filter(|t| t.kind == TokenKind::Word);
        word.is_some_and(|t| !calls && !self.is_let(&t.text))
    }

    fn sheet_size(&mut self) -> Parsed<SheetSize> {
        const DUE: &str = "a size such as `A4`, `Letter`, `square 150 mm` or `210 mm by 297 mm`";
        if self.eat_word("square") {
            return Ok(SheetSize::Square(self.expression("its side, such as `150 mm`")?));
        }
        let word = self.peek().filter(|t| t.kind == TokenKind::Word);
        let Some(token) = word.filter(|t| !self.lets.contains(&t.text)) else {
            return self.custom_size();
        };
        let mut name = Name { node: token.text.to_string(), span: token.span.clone() };
        if name.node.eq_ignore_ascii_case("ansi")
            && let Some(letter) = self.peek_nth(1)
        {
            name.node = format!("{} {}", name.node, letter.text);
            name.span.end = letter.span.end;
            self.at += 1;
        }
        let by = self.peek_nth(1).is_some_and(|t| t.is_word("by") || t.kind != TokenKind::Word);
        if let Some(size) = named_size(&name.node) {
            self.at += 1;
            let node = size.name.to_owned();
            return Ok(SheetSize::Named(Name { node, span: name.span }));
        }
        let names: Vec<_> = SIZES.iter().map(|s| s.name).chain(["square"]).collect();
        match words::suggest(&name.node, &names) {
            None if by && !self.peek_nth(1).is_some_and(|t| t.kind == TokenKind::Mark(',')) => {
                self.custom_size()
            }
            meant => {
                let message = format!("no sheet is called {}", quoted(&name.node));
                let help = match meant {
                    Some(meant) => format!("did you mean `{meant}`?"),
                    None => format!("sizes are {}", names.join(", ")),
                };
                self.report(
                    Diagnostic::error("unknown-size", name.span, message)
                        .label(format!("expected {DUE}"))
                        .help(help),
                )
            }
        }
    }

    fn custom_size(&mut self) -> Parsed<SheetSize> {
        let width =
            self.expression("a size such as `A4`, `square 150 mm` or `210 mm by 297 mm`")?;
        self.expect_word("by")?;
        Ok(SheetSize::Custom(width, self.expression("the length, such as `297 mm`")?))
    }

    fn let_line(&mut self, line: &Line) -> Parsed<Let> {
        let name = self.new_name("a name for the value")?;
        self.expect_mark('=')?;
        let value = self.expression("a value such as `24 mm`, `3/8 in`, `10 deg` or `2`")?;
        let range = if self.eat_clause("from") {
            let least = self.expression("the least value")?;
            self.expect_word("to")?;
            Some((least, self.expression("the greatest value")?))
        } else {
            None
        };
        let note = line.comment.clone().map(|c| self.text[c].trim_matches('#').trim().to_owned());
        Ok(Let { name, value, range, note: note.filter(|n| !n.is_empty()) })
    }

    /// `top edge 3 times by 15 mm, both sides, call it front`
    fn roll(&mut self, pleated: bool) -> Parsed<Roll> {
        let layers = self.layers()?;
        let edge = self.line()?;
        let times = self.expression("how often, such as `3 times by 15 mm`")?;
        self.expect_word("times")?;
        self.expect_word("by")?;
        let by = self.expression("the width of the strip, such as `15 mm`")?;
        let Clauses { sides, call, .. } = self.clauses(&["both", "repeat", "call"])?;
        Ok(Roll { layers, edge, times, by, pleated, sides, call })
    }

    fn rotation(&mut self) -> Parsed<Spanned<Expr>> {
        let start = self.here().start;
        let angle = self.expression("an angle, such as `90 deg`")?;
        if self.eat_word("clockwise") {
            let node = Expr::Neg(Box::new(angle));
            return Ok(Spanned { node, span: self.span_from(start) });
        }
        self.eat_word("anticlockwise");
        Ok(angle)
    }

    fn mark(&mut self) -> Parsed<Step> {
        let name = self.new_name("a name for the place or line")?;
        self.expect_mark('=')?;
        let due = "a place or a line, such as `top middle` or `top edge`";
        self.settle(due, &[words::REFERENCES], Some(NameKind::Unknown));
        let Spanned { node, span } = self.reference(due, Along::Measures)?;
        let target = match node {
            Reference::Point(node) => MarkTarget::Point(Spanned { node, span }),
            Reference::Line(node) => MarkTarget::Line(Spanned { node, span }),
            Reference::Either(name) => {
                MarkTarget::Point(Spanned { node: PointRef::Named(name), span })
            }
        };
        Ok(Step::Mark(name, target))
    }

    fn pose(&mut self) -> Parsed<Pose> {
        let mut items = Vec::new();
        if self.eat_word("flat") {
            return Ok(Pose { items });
        }
        loop {
            if items.len() >= MAX_ITEMS {
                let message = format!("more than {MAX_ITEMS} hinges in the pose");
                return self.report(Diagnostic::error("too-many", self.here(), message));
            }
            if items.is_empty() && self.at_end() {
                return self.unexpected("`flat`, or a crease and how far it opens", &[]);
            }
            let crease = self.crease_name()?;
            let kind = match self.expect_one_of(&["opens", "dihedral", "up", "down"])? {
                "opens" => PoseKind::Opens,
                "dihedral" => PoseKind::Dihedral,
                "up" => PoseKind::Up,
                _ => PoseKind::Down,
            };
            let angle = self.expression("an angle, such as `8 deg`")?;
            items.push(PoseItem { crease, kind, angle });
            self.eat_commas();
            if self.at_end() {
                return Ok(Pose { items });
            }
        }
    }

    fn trim(&mut self) -> Parsed<Trim> {
        let surface = match self.expect_one_of(&["elevator", "left", "right", "rudder"])? {
            "elevator" => TrimSurfaceName::Elevator,
            "rudder" => TrimSurfaceName::Rudder,
            side => {
                self.expect_word("wing")?;
                if side == "left" { TrimSurfaceName::LeftWing } else { TrimSurfaceName::RightWing }
            }
        };
        let ways =
            if surface == TrimSurfaceName::Rudder { ["left", "right"] } else { ["up", "down"] };
        let direction = match self.expect_one_of(&ways)? {
            "left" => Direction::Left,
            "right" => Direction::Right,
            "up" => Direction::Up,
            _ => Direction::Down,
        };
        let amount = self.expression("how far the edge moves, such as `2 mm`")?;
        self.eat_commas();
        let depth = if self.at_end() {
            None
        } else {
            let depth = self.expression("how deep the bend is, such as `10 mm deep`")?;
            self.expect_word("deep")?;
            Some(depth)
        };
        Ok(Trim { surface, direction, amount, depth })
    }

    fn ballast(&mut self) -> Parsed<Ballast> {
        const KINDS: &[&str] = &["clip", "tape", "staple", "glue"];
        let span = self.here();
        let kind = Name { node: self.expect_one_of(KINDS)?.to_owned(), span };
        let mass = self.expression("its mass, such as `0.5 g`")?;
        self.expect_word("at")?;
        let start = self.here().start;
        let at = if self.starts_place() {
            BallastPlace::Paper(self.place()?)
        } else {
            let behind = self.expression("where, such as `12 mm behind nose` or `top middle`")?;
            if self.peek_word("along") {
                let node = self.along(behind)?;
                BallastPlace::Paper(Spanned { node, span: self.span_from(start) })
            } else {
                self.behind_nose(behind)?
            }
        };
        Ok(Ballast { kind, mass, at })
    }

    /// Whether a place on the paper comes next, rather than a distance behind the nose.
    fn starts_place(&self) -> bool {
        let Some(token) = self.peek() else { return false };
        match token.kind {
            TokenKind::Word => {
                self.peek_one_of(words::REFERENCES).is_some()
                    || (!self.lets.contains(&token.text)
                        && !self.peek_nth(1).is_some_and(|t| {
                            t.is_word("behind") || t.is_word("along") || t.kind != TokenKind::Word
                        }))
            }
            // A comma before the bracket is shut makes it a place.
            TokenKind::Mark('(') => {
                let ahead = self.tokens[self.at..].iter();
                let mut depth = 0;
                for t in ahead {
                    match t.kind {
                        TokenKind::Mark('(') => depth += 1,
                        TokenKind::Mark(')') => depth -= 1,
                        TokenKind::Mark(',') if depth == 1 => return true,
                        _ => {}
                    }
                    if depth == 0 {
                        return false;
                    }
                }
                false
            }
            _ => false,
        }
    }

    fn behind_nose(&mut self, behind: Spanned<Expr>) -> Parsed<BallastPlace> {
        self.expect_word("behind")?;
        self.expect_word("nose")?;
        let (mut above, mut right) = (None, None);
        loop {
            self.eat_commas();
            if self.at_end() {
                return Ok(BallastPlace::BehindNose { behind, above, right });
            }
            let start = self.here();
            let distance = self.expression("a distance, such as `5 mm above keel`")?;
            let way = self.expect_one_of(&["above", "below", "right", "left"])?;
            let upwards = matches!(way, "above" | "below");
            if upwards {
                self.expect_word("keel")?;
            }
            let distance = match way {
                "below" | "left" => negated(distance),
                _ => distance,
            };
            let slot = if upwards { &mut above } else { &mut right };
            if slot.replace(distance).is_some() {
                let message = "this is said twice";
                return self.report(Diagnostic::error("duplicate", start, message));
            }
        }
    }

    fn throw(&mut self) -> Parsed<Throw> {
        let speed = self.expression("a speed, such as `4 m/s`")?;
        let mut throw = Throw { speed, elevation: None, height: None, bank: None };
        const WORDS: &[&str] = &["level", "up", "down", "from", "banked"];
        loop {
            self.eat_commas();
            if self.at_end() {
                return Ok(throw);
            }
            let span = self.here();
            let twice = match self.expect_one_of(WORDS)? {
                "level" => {
                    let level = Expr::Number(0.0, Unit::Deg);
                    let level = Spanned { node: level, span: span.clone() };
                    throw.elevation.replace(level).is_some()
                }
                "up" => {
                    let angle = self.expression("an angle, such as `10 deg`")?;
                    throw.elevation.replace(angle).is_some()
                }
                "down" => {
                    let angle = self.expression("an angle, such as `10 deg`")?;
                    throw.elevation.replace(negated(angle)).is_some()
                }
                "from" => {
                    let height = self.expression("the height of the hand, such as `1.6 m`")?;
                    throw.height.replace(height).is_some()
                }
                _ => {
                    let angle = self.expression("an angle, such as `5 deg right`")?;
                    let side = self.expect_one_of(&["left", "right"])?;
                    let angle = if side == "left" { negated(angle) } else { angle };
                    throw.bank.replace(angle).is_some()
                }
            };
            if twice {
                let message = "this is said twice";
                return self.report(Diagnostic::error("duplicate", span, message));
            }
        }
    }
}

fn negated(e: Spanned<Expr>) -> Spanned<Expr> {
    Spanned { span: e.span.clone(), node: Expr::Neg(Box::new(e)) }
}
