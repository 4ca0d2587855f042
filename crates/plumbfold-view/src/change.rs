//! One turn of a slider, written into the design text. Everything the change does not speak of
//! stays as it was typed: comments, layout, and sums that people wrote.

use plumbfold::design::ast::*;
use plumbfold::design::edit::{add_statement, remove_line, replace_span, replace_spans};
use plumbfold::design::quantity::Dimension;
use plumbfold::design::{eval, parser};
use serde::Deserialize;

use crate::controls::surface_words;

/// A change, as the page asks for it. Numbers are in the unit people use: mm, deg, g, m/s, and m
/// for the height of the hand.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Change {
    /// A let.
    Let {
        /// Name.
        name: String,
        /// In the usual unit of the let.
        value: f64,
    },
    /// A trailing edge; a line is added where the text has none for it.
    Trim {
        /// As the text spells it.
        surface: String,
        /// Up or to the right is positive.
        mm: f64,
    },
    /// A piece of ballast.
    Ballast {
        /// Which, in the order of the text.
        index: usize,
        /// Mass.
        mass_g: Option<f64>,
        /// Place.
        behind_mm: Option<f64>,
    },
    /// A clip near the nose.
    AddBallast,
    /// One less.
    RemoveBallast {
        /// Which.
        index: usize,
    },
    /// The throw; a line is added where there is none.
    Throw {
        /// Speed.
        speed_mps: Option<f64>,
        /// Upwards is positive.
        elevation_deg: Option<f64>,
        /// Height of the hand.
        height_m: Option<f64>,
        /// Right wing down is positive.
        bank_deg: Option<f64>,
    },
    /// A new fold after so many steps of the text; at the end without.
    AddStep {
        /// Steps of the text before it.
        after: Option<usize>,
        /// The line.
        line: String,
    },
    /// Takes a step out.
    RemoveStep {
        /// Which, in the order of the text.
        index: usize,
    },
}

/// Longest line the page may add.
const LINE_CHARS_MAX: usize = 400;

/// The changed text, or why it cannot be changed so.
pub fn apply(text: &str, change: &Change) -> Result<String, String> {
    let (design, _) = parser::parse(text);
    let writer = Writer { text, design: &design };
    match change {
        Change::Let { name, value } => writer.set_let(name, *value),
        Change::Trim { surface, mm } => writer.trim(surface, *mm),
        Change::Ballast { index, mass_g, behind_mm } => writer.ballast(*index, *mass_g, *behind_mm),
        Change::AddBallast => Ok(writer.add("ballast clip 0.5 g at 10 mm behind nose")),
        Change::RemoveBallast { index } => {
            let span = design.ballast.get(*index).ok_or("there is no such ballast")?.span.clone();
            writer.without_line(&span)
        }
        Change::Throw { speed_mps, elevation_deg, height_m, bank_deg } => {
            writer.throw(*speed_mps, *elevation_deg, *height_m, *bank_deg)
        }
        Change::AddStep { after, line } => writer.add_step(*after, line),
        Change::RemoveStep { index } => {
            let span = design.steps.get(*index).ok_or("there is no such step")?.span.clone();
            writer.without_line(&span)
        }
    }
}

struct Writer<'a> {
    text: &'a str,
    design: &'a Design,
}

impl Writer<'_> {
    fn set_let(&self, name: &str, value: f64) -> Result<String, String> {
        let l = self.design.lets.iter().map(|l| &l.node).find(|l| l.name.node == name);
        let l = l.ok_or("there is no such let")?;
        let known = eval::evaluate(self.design, &[]).ok();
        let dimension = known.as_ref().and_then(|v| v.get(name)).map(|v| v.quantity.dimension);
        let unit = unit_of(&l.value, dimension.map_or(Unit::None, Dimension::usual_unit));
        self.replaced(&l.value.span, &typed(value * usual(unit), unit))
    }

    fn trim(&self, surface: &str, mm: f64) -> Result<String, String> {
        let all = [
            TrimSurfaceName::Elevator,
            TrimSurfaceName::LeftWing,
            TrimSurfaceName::RightWing,
            TrimSurfaceName::Rudder,
        ];
        let name = all.into_iter().find(|&s| surface_words(s) == surface);
        let name = name.ok_or("there is no such trailing edge")?;
        let direction = match (name == TrimSurfaceName::Rudder, mm < 0.0) {
            (true, true) => "left",
            (true, false) => "right",
            (false, true) => "down",
            (false, false) => "up",
        };
        let there = self.design.trims.iter().find(|t| t.node.surface == name);
        // A bend given by a let is changed where the let is given.
        if let Some(Expr::Let(measure)) = there.map(|t| &t.node.amount.node)
            && there.is_some_and(|t| direction_word(t.node.direction) == direction)
        {
            return self.set_let(&measure.node, mm.abs());
        }
        let unit = there.map_or(Unit::Mm, |t| unit_of(&t.node.amount, Unit::Mm));
        let bend = format!("{direction} {}", typed(mm.abs() * 1e-3, unit));
        let Some(t) = there else {
            return Ok(self.add(&format!("trim {surface} {bend}, 10 mm deep")));
        };
        // From the word of direction to the amount, so that the rest of the line stays.
        let head = &self.text[t.span.start..t.node.amount.span.start];
        let word = head.rfind(direction_word(t.node.direction)).unwrap_or(head.len());
        self.replaced(&(t.span.start + word..t.node.amount.span.end), &bend)
    }

    fn ballast(
        &self,
        index: usize,
        mass_g: Option<f64>,
        behind_mm: Option<f64>,
    ) -> Result<String, String> {
        let b = &self.design.ballast.get(index).ok_or("there is no such ballast")?.node;
        let mut edits = Vec::new();
        if let Some(g) = mass_g {
            edits.push((b.mass.span.clone(), typed(g * 1e-3, unit_of(&b.mass, Unit::Gram))));
        }
        if let (Some(mm), BallastPlace::BehindNose { behind, .. }) = (behind_mm, &b.at) {
            edits.push((behind.span.clone(), typed(mm * 1e-3, unit_of(behind, Unit::Mm))));
        }
        replace_spans(self.text, &edits).map_err(|e| e.to_string())
    }

    fn throw(
        &self,
        speed_mps: Option<f64>,
        elevation_deg: Option<f64>,
        height_m: Option<f64>,
        bank_deg: Option<f64>,
    ) -> Result<String, String> {
        let there = self.design.throw.as_ref();
        let said = |e: Option<&Spanned<Expr>>| e.map(|e| self.text[e.span.clone()].to_owned());
        let speed = speed_mps.map(|v| typed(v, Unit::MPerS));
        let speed = speed.or(said(there.map(|t| &t.node.speed))).unwrap_or("4 m/s".to_owned());
        let signed = |deg: f64, positive: &str, negative: &str, zero: &str| {
            let amount = typed(deg.abs().to_radians(), Unit::Deg);
            match deg {
                d if d > 0.0 => positive.replace('@', &amount),
                d if d < 0.0 => negative.replace('@', &amount),
                _ => zero.to_owned(),
            }
        };
        // What stands before the speed keeps its layout.
        let head = there.map_or("throw ", |t| &self.text[t.span.start..t.node.speed.span.start]);
        let mut parts = vec![format!("{head}{speed}")];
        let old = there.map(|t| Said::new(self.text, &t.span)).unwrap_or_default();
        parts.push(match elevation_deg {
            Some(d) => signed(d, "up @", "down @", "level"),
            None => old.elevation.unwrap_or("level".to_owned()),
        });
        let height = height_m.map(|v| typed(v, Unit::M));
        let height = height.or(said(there.and_then(|t| t.node.height.as_ref())));
        parts.push(format!("from {}", height.unwrap_or("1.6 m".to_owned())));
        let bank = match bank_deg {
            Some(d) => signed(d, "banked @ right", "banked @ left", ""),
            None => old.bank.unwrap_or_default(),
        };
        if !bank.is_empty() {
            parts.push(bank);
        }
        let line = parts.join(", ");
        there.map_or_else(|| Ok(self.add(&line)), |t| self.replaced(&t.span, &line))
    }

    fn add_step(&self, after: Option<usize>, line: &str) -> Result<String, String> {
        if line.chars().count() > LINE_CHARS_MAX || line.contains(['\n', '\r']) {
            return Err("a step is one line".to_owned());
        }
        let steps = &self.design.steps;
        let before = after.unwrap_or(steps.len()).min(steps.len());
        let span = match before.checked_sub(1).and_then(|i| steps.get(i)) {
            Some(step) => Some(step.span.clone()),
            // Before the first step: after the last of what stands above steps.
            None => [
                self.design.lets.last().map(|l| l.span.clone()),
                self.design.creep.as_ref().map(|c| c.span.clone()),
                self.design.sheet.as_ref().map(|s| s.span.clone()),
                self.design.name.as_ref().map(|n| n.span.clone()),
            ]
            .into_iter()
            .flatten()
            .max_by_key(|s| s.end),
        };
        match span {
            Some(span) => self.line_after(&span, line),
            None => Ok(self.at_end(line)),
        }
    }

    fn replaced(&self, span: &Span, new: &str) -> Result<String, String> {
        replace_span(self.text, span.clone(), new).map_err(|e| e.to_string())
    }

    fn line_after(&self, span: &Span, line: &str) -> Result<String, String> {
        let end = self.text[span.end..].find('\n').map(|at| span.end + at + 1);
        match end {
            Some(end) => {
                let newline = if self.text[..end].ends_with("\r\n") { "\r\n" } else { "\n" };
                self.replaced(&(end..end), &format!("{line}{newline}"))
            }
            None => Ok(self.at_end(line)),
        }
    }

    fn at_end(&self, line: &str) -> String {
        let gap = if self.text.is_empty() || self.text.ends_with('\n') { "" } else { "\n" };
        format!("{}{gap}{line}\n", self.text)
    }

    fn without_line(&self, span: &Span) -> Result<String, String> {
        remove_line(self.text, span).map_err(|e| e.to_string())
    }

    fn add(&self, statement: &str) -> String {
        add_statement(self.text, self.design, statement)
    }
}

/// How a throw line says its direction and bank; those words carry signs, so they are kept whole.
#[derive(Default)]
struct Said {
    elevation: Option<String>,
    bank: Option<String>,
}

impl Said {
    fn new(text: &str, span: &Span) -> Self {
        let mut said = Self::default();
        for part in text[span.clone()].split(',').map(str::trim) {
            match part.split_whitespace().next() {
                Some("up" | "down" | "level") => said.elevation = Some(part.to_owned()),
                Some("banked") => said.bank = Some(part.to_owned()),
                _ => {}
            }
        }
        said
    }
}

fn direction_word(direction: Direction) -> &'static str {
    match direction {
        Direction::Left => "left",
        Direction::Right => "right",
        Direction::Up => "up",
        Direction::Down => "down",
    }
}

/// Unit of a number in the text; `usual` for sums and names, which a slider replaces by a number.
fn unit_of(e: &Spanned<Expr>, usual: Unit) -> Unit {
    match &e.node {
        Expr::Number(_, unit) => *unit,
        Expr::Neg(inner) => unit_of(inner, usual),
        _ => usual,
    }
}

/// SI value of one of the unit the page shows for things of this unit's kind.
fn usual(unit: Unit) -> f64 {
    unit.quantity().dimension.usual_unit().quantity().value
}

/// A number as a person would type it; as fine as a hand can fold, and no finer.
fn typed(value_si: f64, unit: Unit) -> String {
    let decimals = match unit {
        Unit::Mm | Unit::Deg => 1,
        Unit::Cm | Unit::Gram | Unit::MPerS => 2,
        Unit::M | Unit::Inch | Unit::None => 3,
        Unit::GramPerM2 | Unit::LbBond => 1,
    };
    let number = format!("{:.decimals$}", value_si / unit.quantity().value);
    let number = match number.contains('.') {
        true => number.trim_end_matches('0').trim_end_matches('.'),
        false => &number,
    };
    let number = if number == "-0" { "0" } else { number };
    match unit.symbol() {
        "" => number.to_owned(),
        symbol => format!("{number} {symbol}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\
plane Test
sheet A4 upright, 80 g/m2

let tip  = 24 mm, from 12 mm to 40 mm   # the point
let nose = 1/2 in, from 0 in to 1 in
let turns = 5, from 0 to 9

crease left edge onto right edge, call it centre   # first
mountain along centre

pose centre opens 8 deg
trim  elevator up 1.5 mm, 2 * tip deep # warp
throw 4 m/s, up 10 deg, from 1.8 m, banked 5 deg right
";

    fn changed(change: Change) -> String {
        let text = apply(TEXT, &change).unwrap();
        // Lines that differ, new against old.
        let old: Vec<_> = TEXT.lines().collect();
        text.lines().filter(|l| !old.contains(l)).collect::<Vec<_>>().join("\n")
    }
    fn set(name: &str, value: f64) -> Change {
        Change::Let { name: name.to_owned(), value }
    }

    #[test]
    fn lets_keep_their_unit_and_their_comment() {
        assert_eq!(
            changed(set("tip", 30.0)),
            "let tip  = 30 mm, from 12 mm to 40 mm   # the point"
        );
        assert_eq!(changed(set("nose", 25.4 / 4.0)), "let nose = 0.25 in, from 0 in to 1 in");
        assert_eq!(changed(set("turns", 7.0)), "let turns = 7, from 0 to 9");
        assert!(apply(TEXT, &set("nobody", 1.0)).is_err());
    }

    #[test]
    fn trim_turns_over_and_keeps_its_depth() {
        let trim = |surface: &str, mm| Change::Trim { surface: surface.to_owned(), mm };
        assert_eq!(
            changed(trim("elevator", -2.0)),
            "trim  elevator down 2 mm, 2 * tip deep # warp"
        );
        assert_eq!(changed(trim("rudder", 1.0)), "trim rudder right 1 mm, 10 mm deep");
        let text = apply(TEXT, &trim("rudder", 1.0)).unwrap();
        let lines: Vec<_> = text.lines().collect();
        assert!(lines[lines.len() - 2].starts_with("trim rudder"), "{text}");
    }

    #[test]
    fn a_bend_given_by_a_let_changes_the_let() {
        let text = TEXT.replace("up 1.5 mm", "up tip");
        let trim = |mm| Change::Trim { surface: "elevator".to_owned(), mm };
        let up = apply(&text, &trim(13.0)).unwrap();
        assert!(up.contains("let tip  = 13 mm,") && up.contains("elevator up tip,"), "{up}");
        // The other way the let cannot go: it says how far up.
        let down = apply(&text, &trim(-2.0)).unwrap();
        assert!(down.contains("tip  = 24 mm") && down.contains("elevator down 2 mm,"), "{down}");
    }

    #[test]
    fn sums_and_names_get_the_usual_unit() {
        let text = TEXT.replace("= 24 mm, from 12 mm to 40 mm", "= 2 * nose");
        assert!(apply(&text, &set("tip", 18.0)).unwrap().contains("let tip  = 18 mm "));
    }

    #[test]
    fn a_throw_keeps_what_is_not_spoken_of() {
        let throw = |speed_mps, elevation_deg, bank_deg| {
            changed(Change::Throw { speed_mps, elevation_deg, height_m: None, bank_deg })
        };
        assert_eq!(
            throw(Some(5.25), None, None),
            "throw 5.25 m/s, up 10 deg, from 1.8 m, banked 5 deg right"
        );
        assert_eq!(throw(None, Some(-4.0), Some(0.0)), "throw 4 m/s, down 4 deg, from 1.8 m");
    }

    #[test]
    fn steps_and_ballast_come_and_go() {
        let line = "valley top edge onto bottom edge".to_owned();
        let text = apply(TEXT, &Change::AddStep { after: Some(1), line: line.clone() }).unwrap();
        let at = |what: &str| text.lines().position(|l| l.starts_with(what)).unwrap();
        assert!(at("crease") < at(&line) && at(&line) < at("mountain"));
        assert_eq!(apply(&text, &Change::RemoveStep { index: 1 }).unwrap(), TEXT);
        let with = apply(TEXT, &Change::AddBallast).unwrap();
        assert_eq!(apply(&with, &Change::RemoveBallast { index: 0 }).unwrap(), TEXT);
        let heavier = Change::Ballast { index: 0, mass_g: Some(1.0), behind_mm: Some(5.5) };
        let heavier = apply(&with, &heavier).unwrap();
        assert!(heavier.contains("ballast clip 1 g at 5.5 mm behind nose"));
        let two = Change::AddStep { after: None, line: "unfold\nthrow 1 m/s".to_owned() };
        assert!(apply(TEXT, &two).is_err());
    }

    #[test]
    fn a_design_without_anything_can_be_changed() {
        let throw = Change::Throw {
            speed_mps: Some(3.0),
            elevation_deg: None,
            height_m: None,
            bank_deg: None,
        };
        assert_eq!(apply("", &throw).unwrap(), "throw 3 m/s, level, from 1.6 m\n");
        let step = Change::AddStep { after: None, line: "turn over".to_owned() };
        assert_eq!(apply("plane A\nsheet A4", &step).unwrap(), "plane A\nsheet A4\nturn over\n");
    }
}
