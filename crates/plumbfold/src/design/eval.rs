//! Lets to numbers: arithmetic with dimensions, settings from outside, ranges.

mod check;
mod said;
mod solve;

use super::ast::*;
use super::diagnostic::{Diagnostic, did_you_mean};
use super::limits::MAX_COUNT;
use super::parser::parse_setting_value;
use super::quantity::{self, Dimension, Quantity};
use crate::paper::{Bounds, DEFAULT_GRAMMAGE_KG_M2, Stock, named_size};

pub use check::check_quantities;
pub use said::in_numbers;
use solve::{Solution, solve};

/// Lengths in a design, forwards or backwards. Chosen: five times the largest sheet's side.
const LENGTH: Bounds =
    Bounds { what: "a length", min: -10.0, max: 10.0, unit: 1e-3, unit_name: "mm" };
/// Angles in a design. Chosen: one turn either way.
const ANGLE: Bounds = degrees("an angle", -360.0, 360.0);

const fn degrees(what: &'static str, min: f64, max: f64) -> Bounds {
    let unit = std::f64::consts::PI / 180.0;
    Bounds { what, min: min * unit, max: max * unit, unit, unit_name: "deg" }
}
/// Plain numbers in a design. Chosen.
const NUMBER: Bounds = Bounds { what: "a number", min: -1e6, max: 1e6, unit: 1.0, unit_name: "" };
/// Masses put on a plane. Chosen: a tenth of a kilogram is no paper plane any more.
const MASS: Bounds = Bounds { what: "a mass", min: 0.0, max: 0.1, unit: 1e-3, unit_name: "g" };
/// Speeds of a throw.
const SPEED: Bounds =
    Bounds { what: "a speed", min: 0.0, max: SPEED_MAX_M_S, unit: 1.0, unit_name: "m/s" };
/// Heights of a hand.
const HEIGHT: Bounds =
    Bounds { what: "a height", min: 0.0, max: HEIGHT_MAX_M, unit: 1.0, unit_name: "m" };

/// Fastest throw, m/s. A hand throws a ball at some 40 m/s; paper is slower.
pub const SPEED_MAX_M_S: f64 = 50.0;
/// Highest release, m: a balcony of a large hall.
pub const HEIGHT_MAX_M: f64 = 100.0;

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

/// Values of all lets of a design. `settings` (name, value) take the place of what the text
/// says; a plain number there takes the unit people use for that let (mm, deg, g, g/m2, m/s).
///
/// # Errors
/// All mistakes: unlike quantities in a sum, lets that need each other, values outside their
/// range, settings nobody asked for, and quantities anywhere in the design that cannot stand
/// where they stand. Values that depend on an unreadable line are not reported again, so the
/// list may be empty when the parser has reported mistakes.
pub fn evaluate(design: &Design, settings: &[(String, String)]) -> Result<Values, Vec<Diagnostic>> {
    let Solution { values, missing, mut diagnostics } = solve(design, settings);
    diagnostics.extend(check_quantities(design, &values, &missing));
    if missing.is_empty() && diagnostics.is_empty() { Ok(values) } else { Err(diagnostics) }
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
        bounded(HEIGHT, self.quantity_in(e, Dimension::LENGTH, Unit::M)?, e)
    }
    /// An angle, radians.
    pub fn angle(&self, e: &Spanned<Expr>) -> Result<f64, Diagnostic> {
        bounded(ANGLE, self.quantity(e, Dimension::ANGLE)?, e)
    }
    /// The angle of a hinge in the pose, radians: from shut to flat, or as far either way.
    pub fn pose_angle(&self, item: &PoseItem) -> Result<f64, Diagnostic> {
        let bounds = match item.kind {
            PoseKind::Opens => degrees("the angle a crease opens to", 0.0, 180.0),
            PoseKind::Dihedral => degrees("the slope of a wing", -90.0, 90.0),
            PoseKind::Up | PoseKind::Down => degrees("the angle of a bend", -180.0, 180.0),
        };
        bounded(bounds, self.quantity(&item.angle, Dimension::ANGLE)?, &item.angle)
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
            Expr::Binary(_, BinaryOp::Div, _) if bare && wanted == Dimension::LENGTH => {
                let help = "a share of the sheet is said so: `length / 3`, `width / 4`";
                fault.label(format!("this is {found}")).help(help)
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

/// The lets an expression needs.
pub(crate) fn names_in<'e>(e: &'e Spanned<Expr>, out: &mut Vec<&'e Name>) {
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
