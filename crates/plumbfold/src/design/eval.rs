//! Lets to numbers: arithmetic with dimensions, settings from outside, ranges.

mod check;

use super::ast::*;
use super::diagnostic::{Diagnostic, did_you_mean};
use super::limits::MAX_COUNT;
use super::parser::parse_setting_value;
use super::quantity::{self, Dimension, Quantity};
use crate::paper::{Bounds, DEFAULT_GRAMMAGE_KG_M2, Stock, named_size};

pub use check::check_quantities;

/// Lengths in a design, forwards or backwards. Chosen: five times the largest sheet's side.
const LENGTH: Bounds =
    Bounds { what: "a length", min: -10.0, max: 10.0, unit: 1e-3, unit_name: "mm" };
/// Angles in a design. Chosen: one turn either way.
const ANGLE: Bounds = Bounds {
    what: "an angle",
    min: -std::f64::consts::TAU,
    max: std::f64::consts::TAU,
    unit: std::f64::consts::PI / 180.0,
    unit_name: "deg",
};
/// Plain numbers in a design. Chosen.
const NUMBER: Bounds = Bounds { what: "a number", min: -1e6, max: 1e6, unit: 1.0, unit_name: "" };
/// Masses put on a plane. Chosen: a tenth of a kilogram is no paper plane any more.
const MASS: Bounds = Bounds { what: "a mass", min: 0.0, max: 0.1, unit: 1e-3, unit_name: "g" };
/// Speeds of a throw. Chosen: faster than any arm.
const SPEED: Bounds = Bounds { what: "a speed", min: 0.0, max: 60.0, unit: 1.0, unit_name: "m/s" };

/// A let with its value.
#[derive(Clone, Debug, PartialEq)]
pub struct LetValue {
    /// Name.
    pub name: String,
    /// Value, after settings.
    pub quantity: Quantity,
    /// Least and greatest value, SI.
    pub range: Option<[f64; 2]>,
    /// Where its own value stands in the text.
    pub span: Span,
}

/// Every let's value, and the sheet's `width` and `length` where no let has that name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values {
    lets: Vec<LetValue>,
}

/// Splits a setting `tip=24mm` into its name and its value.
pub fn parse_setting(setting: &str) -> Option<(String, String)> {
    let (name, value) = setting.split_once('=')?;
    let (name, value) = (name.trim(), value.trim());
    let good = !name.is_empty() && !value.is_empty();
    good.then(|| (name.to_owned(), value.to_owned()))
}

/// Values of all lets of a design. `settings` (name, value) take the place of what the text
/// says; a plain number there takes the unit people use for that let (mm, deg, g, g/m2, m/s).
///
/// # Errors
/// All mistakes: unlike quantities in a sum, lets that need each other, values outside their
/// range, settings nobody asked for, and quantities anywhere in the design that cannot stand
/// where they stand. Values that depend on an unreadable line are not reported again, so the
/// list may be empty when the parser has reported mistakes.
pub fn evaluate(design: &Design, settings: &[(String, String)]) -> Result<Values, Vec<Diagnostic>> {
    let mut evaluation = Evaluation::new(design);
    evaluation.take_settings(settings);
    evaluation.run();
    let Evaluation { values, mut diagnostics, nodes, .. } = evaluation;
    let complete = nodes.iter().all(|n| n.state == State::Known);
    let missing: Vec<_> =
        nodes.iter().filter(|n| n.state != State::Known).map(|n| n.name).collect();
    diagnostics.extend(check_quantities(design, &values, &missing));
    if complete && diagnostics.is_empty() { Ok(values) } else { Err(diagnostics) }
}

/// A quantity given outside a design, such as `3.5`, `4 m/s` or `3/8 in` for an option of the
/// program, in SI; a plain number is in `unit`.
///
/// # Errors
/// Not a value, or one of another kind.
pub fn quantity_outside(text: &str, unit: Unit) -> Result<f64, Diagnostic> {
    let value = parse_setting_value(text)?;
    let (found, unit) = (Values::default().evaluate(&value)?, unit.quantity());
    match found.dimension {
        d if d == unit.dimension => Ok(found.value),
        Dimension::NUMBER => Ok(found.value * unit.value),
        other => {
            let (due, other) = (unit.dimension.describe(), other.describe());
            Err(Diagnostic::error(
                "wrong-quantity",
                value.span,
                format!("this is {other}, and {due} is due"),
            ))
        }
    }
}

/// The sheet a design is folded from.
///
/// # Errors
/// No `sheet` line, an unknown size, or a size, mass or thickness out of bounds.
pub fn stock(design: &Design, values: &Values) -> Result<Stock, Diagnostic> {
    let Some(Spanned { node: sheet, span }) = &design.sheet else {
        return Err(Diagnostic::error("no-sheet", 0..0, "this design has no `sheet` line")
            .help("add one, such as `sheet A4 upright, 80 g/m2`"));
    };
    let [width_m, length_m] = sheet_size(sheet, values)?;
    let amount = |e: &Option<Spanned<Expr>>, wanted: Dimension| {
        e.as_ref().map(|e| values.quantity(e, wanted)).transpose()
    };
    let grammage = amount(&sheet.grammage, Dimension::GRAMMAGE)?;
    let thickness = amount(&sheet.thickness, Dimension::LENGTH)?;
    Stock::new(width_m, length_m, grammage.unwrap_or(DEFAULT_GRAMMAGE_KG_M2), thickness)
        .map_err(|e| Diagnostic::error("out-of-range", span.clone(), e.to_string()))
}

/// Width and length, m.
fn sheet_size(sheet: &SheetDecl, values: &Values) -> Result<[f64; 2], Diagnostic> {
    match &sheet.size {
        SheetSize::Named(name) => {
            let size = named_size(&name.node).ok_or_else(|| {
                let message = format!("no sheet is called `{}`", name.node);
                Diagnostic::error("unknown-size", name.span.clone(), message)
            })?;
            let (short, long) = (size.short_m, size.long_m);
            Ok(if sheet.sideways { [long, short] } else { [short, long] })
        }
        SheetSize::Square(side) => values.length(side).map(|side| [side, side]),
        SheetSize::Custom(width, length) => Ok([values.length(width)?, values.length(length)?]),
    }
}

impl Values {
    /// The lets in the order of the text, then the sheet's `width` and `length`.
    pub fn lets(&self) -> &[LetValue] {
        &self.lets
    }

    /// A let by name.
    pub fn get(&self, name: &str) -> Option<&LetValue> {
        self.lets.iter().find(|l| l.name == name)
    }

    /// A length, m.
    pub fn length(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(LENGTH, self.quantity(e, Dimension::LENGTH)?, e)
    }
    /// A height above the floor, m; the same as a length, but people give it in m.
    pub fn height(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(LENGTH, self.quantity_in(e, Dimension::LENGTH, Unit::M)?, e)
    }
    /// An angle, radians.
    pub fn angle(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(ANGLE, self.quantity(e, Dimension::ANGLE)?, e)
    }
    /// A plain number.
    pub fn number(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(NUMBER, self.quantity(e, Dimension::NUMBER)?, e)
    }
    /// A whole number from 0 to [`MAX_COUNT`].
    pub fn count(&self, e: &Spanned<Expr>) -> Result<usize, Diagnostic> {
        let n = self.quantity(e, Dimension::NUMBER)?;
        let whole = n.round();
        // Arithmetic such as `3 * (1/3)` may miss a whole number by rounding.
        if (n - whole).abs() <= 1e-9 && (0.0..=MAX_COUNT as f64).contains(&whole) {
            return Ok(whole as usize);
        }
        let message = format!("a whole number from 0 to {MAX_COUNT} is due here, not {n}");
        Err(Diagnostic::error("bad-count", e.span.clone(), message))
    }
    /// A mass, kg.
    pub fn mass_kg(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(MASS, self.quantity(e, Dimension::MASS)?, e)
    }
    /// A speed, m/s.
    pub fn speed_m_s(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(SPEED, self.quantity(e, Dimension::SPEED)?, e)
    }
    /// A fraction (plain number) or a length in m, as `… along L` takes them.
    pub fn fraction_or_length(&self, e: &Spanned<Expr>) -> Result<FractionOrLength, Diagnostic> {
        let q = self.evaluate(e)?;
        if q.dimension == Dimension::NUMBER {
            return Ok(FractionOrLength::Fraction(bounded(NUMBER, q.value, e)?));
        }
        self.length(e).map(FractionOrLength::LengthM)
    }

    fn quantity(&self, e: &Spanned<Expr>, wanted: Dimension) -> Result<f64, Diagnostic> {
        self.quantity_in(e, wanted, wanted.usual_unit())
    }

    /// `unit` is what people would write here.
    fn quantity_in(
        &self,
        e: &Spanned<Expr>,
        wanted: Dimension,
        unit: Unit,
    ) -> Result<f64, Diagnostic> {
        let q = self.evaluate(e)?;
        let wrong = || self.wrong_dimension(e, q, wanted, unit.symbol());
        if q.dimension == wanted { Ok(q.value) } else { Err(wrong()) }
    }

    fn wrong_dimension(
        &self,
        e: &Spanned<Expr>,
        q: Quantity,
        wanted: Dimension,
        unit: &str,
    ) -> Diagnostic {
        let (due, found) = (wanted.describe(), q.dimension.describe());
        let bare = q.dimension == Dimension::NUMBER && !unit.is_empty();
        let fault = Diagnostic::error(
            if bare { "missing-unit" } else { "wrong-quantity" },
            e.span.clone(),
            if bare { format!("{due} needs a unit") } else { format!("{due} is due here") },
        );
        match &e.node {
            Expr::Number(n, Unit::None) if bare => {
                fault.label("this is a plain number").help(format!("did you mean `{n} {unit}`?"))
            }
            Expr::Let(name) => {
                let fault = fault.label(format!("`{}` is {found}", name.node));
                match self.get(&name.node) {
                    Some(l) if !l.span.is_empty() => fault.related(l.span.clone(), "set here"),
                    _ => fault,
                }
            }
            _ => fault.label(format!("this is {found}")),
        }
    }

    /// The value of an expression.
    ///
    /// # Errors
    /// Unknown lets and functions, unlike quantities, no finite value.
    pub fn evaluate(&self, e: &Spanned<Expr>) -> Result<Quantity, Diagnostic> {
        let fault = |error: quantity::QuantityError| {
            Diagnostic::error("bad-arithmetic", e.span.clone(), error.to_string())
        };
        match &e.node {
            Expr::Number(n, unit) => {
                let one = unit.quantity();
                Ok(Quantity { value: n * one.value, ..one })
            }
            Expr::Let(name) => match self.get(&name.node) {
                Some(l) => Ok(l.quantity),
                None => Err(self.unknown_let(name)),
            },
            Expr::Neg(inner) => Ok(-self.evaluate(inner)?),
            Expr::Binary(a, op, b) => {
                let (a, b) = (self.evaluate(a)?, self.evaluate(b)?);
                a.binary(*op, b).map_err(fault)
            }
            Expr::Call(name, args) => {
                let args = args.iter().map(|a| self.evaluate(a)).collect::<Result<Vec<_>, _>>()?;
                quantity::call(&name.node, &args)
                    .ok_or_else(|| {
                        let message = format!("no function is called `{}`", name.node);
                        Diagnostic::error("unknown-function", name.span.clone(), message)
                    })?
                    .map_err(fault)
            }
            Expr::Missing => {
                let message = "this could not be read";
                Err(Diagnostic::error("missing", e.span.clone(), message))
            }
        }
    }

    fn unknown_let(&self, name: &Name) -> Diagnostic {
        let known = self.lets.iter().map(|l| l.name.as_str());
        let help = did_you_mean(&name.node, known).map(|m| format!("did you mean `{m}`?"));
        let message = format!("no let is called `{}`", name.node);
        Diagnostic::error("unknown-let", name.span.clone(), message).maybe_help(help)
    }
}

/// How far along a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FractionOrLength {
    /// Of the line's length.
    Fraction(f64),
    /// In m.
    LengthM(f64),
}

fn bounded(bounds: Bounds, value: f64, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
    bounds
        .check(value)
        .map_err(|miss| Diagnostic::error("out-of-range", e.span.clone(), miss.to_string()))
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    Waiting,
    Known,
    /// Reported, or depends on something reported.
    Broken,
}

/// One value to find: a let, or the sheet's size under its two names.
struct Node<'d> {
    name: &'d str,
    what: What<'d>,
    needs: Vec<&'d Name>,
    state: State,
    setting: Option<&'d str>,
}

#[derive(Clone, Copy)]
enum What<'d> {
    Let(&'d Let),
    Sheet(&'d SheetDecl),
}

struct Evaluation<'d> {
    nodes: Vec<Node<'d>>,
    values: Values,
    diagnostics: Vec<Diagnostic>,
}

impl<'d> Evaluation<'d> {
    fn new(design: &'d Design) -> Self {
        let mut nodes: Vec<Node<'d>> = Vec::with_capacity(design.lets.len() + 2);
        for l in &design.lets {
            let l = &l.node;
            let mut needs = Vec::new();
            names_in(&l.value, &mut needs);
            if let Some((least, most)) = &l.range {
                names_in(least, &mut needs);
                names_in(most, &mut needs);
            }
            let (state, setting) = (State::Waiting, None);
            nodes.push(Node { name: &l.name.node, what: What::Let(l), needs, state, setting });
        }
        if let Some(sheet) = &design.sheet {
            let sheet = &sheet.node;
            for name in ["width", "length"] {
                if nodes.iter().any(|n| n.name == name) {
                    continue;
                }
                let mut needs = Vec::new();
                sheet.size.parts().into_iter().for_each(|e| names_in(e, &mut needs));
                let (state, setting) = (State::Waiting, None);
                nodes.push(Node { name, what: What::Sheet(sheet), needs, state, setting });
            }
        }
        Self { nodes, values: Values::default(), diagnostics: Vec::new() }
    }

    fn take_settings(&mut self, settings: &'d [(String, String)]) {
        for (name, value) in settings {
            let is_let = |n: &&mut Node<'d>| n.name == name && matches!(n.what, What::Let(_));
            if let Some(node) = self.nodes.iter_mut().find(is_let) {
                node.setting = Some(value);
                continue;
            }
            let lets = || self.nodes.iter().filter(|n| matches!(n.what, What::Let(_)));
            let help = match did_you_mean(name, lets().map(|n| n.name)) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if lets().next().is_none() => "this design has no lets".to_owned(),
                None => {
                    let names: Vec<_> = lets().map(|n| n.name).collect();
                    format!("lets are {}", names.join(", "))
                }
            };
            let message = format!("no let is called `{name}`, so `{name}={value}` sets nothing");
            self.diagnostics.push(Diagnostic::error("unknown-let", 0..0, message).help(help));
        }
    }

    /// Finds values in whatever order they allow.
    fn run(&mut self) {
        loop {
            let mut progress = false;
            for i in 0..self.nodes.len() {
                if self.nodes[i].state != State::Waiting {
                    continue;
                }
                let Some(state) = self.try_node(i) else { continue };
                self.nodes[i].state = state;
                progress = true;
            }
            if !progress {
                break;
            }
        }
        self.report_rings();
        // In the order of the text, whatever order they were found in.
        let place = |l: &LetValue| self.nodes.iter().position(|n| n.name == l.name);
        self.values.lets.sort_by_key(place);
    }

    /// `None` while something it needs is still waiting.
    fn try_node(&mut self, i: usize) -> Option<State> {
        let node = &self.nodes[i];
        for need in &node.needs {
            match self.nodes.iter().find(|n| n.name == need.node).map(|n| n.state) {
                Some(State::Known) => {}
                Some(State::Waiting) => return None,
                Some(State::Broken) => return Some(State::Broken),
                None => {
                    let fault = self.unknown(need);
                    self.diagnostics.push(fault);
                    return Some(State::Broken);
                }
            }
        }
        let found = match node.what {
            What::Let(l) => self.let_value(l, node.setting),
            What::Sheet(sheet) => sheet_size(sheet, &self.values).map(|[width, length]| LetValue {
                name: node.name.to_owned(),
                quantity: Quantity {
                    value: if node.name == "width" { width } else { length },
                    dimension: Dimension::LENGTH,
                },
                range: None,
                span: 0..0,
            }),
        };
        Some(match found {
            Ok(value) => {
                self.values.lets.push(value);
                State::Known
            }
            Err(fault) => {
                // The sheet's own size is reported where the sheet is checked.
                let again = matches!(node.what, What::Sheet(_)) || fault.code == "missing";
                if !again {
                    self.diagnostics.push(fault);
                }
                State::Broken
            }
        })
    }

    fn unknown(&self, need: &Name) -> Diagnostic {
        let known = self.nodes.iter().map(|n| n.name);
        let help = did_you_mean(&need.node, known).map(|m| format!("did you mean `{m}`?"));
        let message = format!("no let is called `{}`", need.node);
        Diagnostic::error("unknown-let", need.span.clone(), message).maybe_help(help)
    }

    fn let_value(&self, l: &Let, setting: Option<&str>) -> Result<LetValue, Diagnostic> {
        let own = self.values.evaluate(&l.value)?;
        if own.dimension == Dimension::NUMBER
            && let Some((least, _)) = &l.range
        {
            // A unit forgotten in the value, not one too many in its range.
            self.values.quantity(&l.value, self.values.evaluate(least)?.dimension)?;
        }
        let quantity = match setting {
            Some(text) => self.setting_value(l, own.dimension, text)?,
            None => own,
        };
        let range = l.range.as_ref().map(|(least, most)| {
            let range = [
                self.values.quantity(least, own.dimension)?,
                self.values.quantity(most, own.dimension)?,
            ];
            if range[0] > range[1] {
                let span = least.span.start..most.span.end;
                let message = "the least value is greater than the greatest";
                return Err(Diagnostic::error("bad-range", span, message));
            }
            // A value typed to the last digit of its own bound must not fail by rounding.
            let slack = 1e-12 * (range[0].abs() + range[1].abs());
            if !(range[0] - slack <= quantity.value && quantity.value <= range[1] + slack) {
                return Err(out_of_range(l, setting, quantity, range, least, most));
            }
            Ok(range)
        });
        let range = range.transpose()?;
        Ok(LetValue { name: l.name.node.clone(), quantity, range, span: l.value.span.clone() })
    }

    fn setting_value(
        &self,
        l: &Let,
        wanted: Dimension,
        text: &str,
    ) -> Result<Quantity, Diagnostic> {
        let setting = format!("{}={text}", l.name.node);
        let fault = |code, message, help: Option<String>| {
            Diagnostic::error(code, l.name.span.clone(), message).label("this let").maybe_help(help)
        };
        let parsed = parse_setting_value(text).and_then(|e| Values::default().evaluate(&e));
        let q = parsed.map_err(|inner| {
            let message = format!("the setting `{setting}` is not a value: {}", inner.message);
            let example = "write a number with its unit, such as `24mm`, `3/8in` or `10deg`";
            fault("bad-setting", message, Some(inner.help.unwrap_or(example.to_owned())))
        })?;
        if q.dimension == wanted {
            return Ok(q);
        }
        if q.dimension == Dimension::NUMBER {
            let unit = wanted.usual_unit().quantity();
            if unit.dimension == wanted {
                return Ok(Quantity { value: q.value * unit.value, dimension: wanted });
            }
        }
        let (due, found) = (wanted.describe(), q.dimension.describe());
        let message =
            format!("the setting `{setting}` gives {found}, and `{}` is {due}", l.name.node);
        Err(fault("wrong-quantity", message, None))
    }

    /// What is still waiting needs itself. One report a ring.
    fn report_rings(&mut self) {
        for start in 0..self.nodes.len() {
            let mut ring = vec![start];
            // Follow what each one waits for until a value comes up again.
            let closed = loop {
                let last = &self.nodes[ring[ring.len() - 1]];
                if last.state != State::Waiting {
                    break None;
                }
                let waits_for = last.needs.iter().find_map(|need| {
                    let n = self.nodes.iter().position(|n| n.name == need.node)?;
                    (self.nodes[n].state != State::Known).then_some(n)
                });
                let Some(next) = waits_for else { break None };
                if let Some(at) = ring.iter().position(|&n| n == next) {
                    break Some(at);
                }
                ring.push(next);
            };
            if let Some(at) = closed {
                let names: Vec<_> = ring[at..].iter().map(|&n| self.nodes[n].name).collect();
                let first = &self.nodes[ring[at]];
                let span = match first.what {
                    What::Let(l) => l.value.span.clone(),
                    What::Sheet(_) => first.needs[0].span.clone(),
                };
                let message = match names[..] {
                    [one] => format!("`{one}` needs itself"),
                    _ => format!(
                        "`{}` needs itself, by way of `{}`",
                        names[0],
                        names[1..].join("`, `")
                    ),
                };
                self.diagnostics.push(
                    Diagnostic::error("let-ring", span, message)
                        .help("give one of them a value of its own"),
                );
            }
            for n in ring {
                if self.nodes[n].state == State::Waiting {
                    self.nodes[n].state = State::Broken;
                }
            }
        }
    }
}

fn out_of_range(
    l: &Let,
    setting: Option<&str>,
    q: Quantity,
    range: [f64; 2],
    least: &Spanned<Expr>,
    most: &Spanned<Expr>,
) -> Diagnostic {
    let unit = q.dimension.usual_unit();
    let written = |si: f64| {
        let number = (si / unit.quantity().value * 1e6).round() / 1e6;
        format!("{number} {}", unit.symbol()).trim_end().to_owned()
    };
    let name = &l.name.node;
    let value = written(q.value);
    let message = format!(
        "`{name}` must lie between {} and {}, and is {value}",
        written(range[0]),
        written(range[1])
    );
    let span = if setting.is_some() { l.name.span.clone() } else { l.value.span.clone() };
    let fault = Diagnostic::error("out-of-range", span, message)
        .related(least.span.start..most.span.end, "its range");
    match setting {
        Some(text) => fault.label(format!("set to `{text}` from outside")),
        None => fault,
    }
}

/// The lets an expression needs.
fn names_in<'e>(e: &'e Spanned<Expr>, out: &mut Vec<&'e Name>) {
    match &e.node {
        Expr::Let(name) => out.push(name),
        Expr::Neg(a) => names_in(a, out),
        Expr::Binary(a, _, b) => {
            names_in(a, out);
            names_in(b, out);
        }
        Expr::Call(_, args) => args.iter().for_each(|a| names_in(a, out)),
        Expr::Number(..) | Expr::Missing => {}
    }
}

#[cfg(test)]
mod tests;
