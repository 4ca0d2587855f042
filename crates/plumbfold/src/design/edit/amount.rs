//! Numbers that are written into a text: no more digits than a hand can use.

use crate::design::ast::{Expr, Unit};

/// A number as the tree has it: a minus stands before it.
pub fn number(value: f64, unit: Unit) -> Expr {
    if value < 0.0 {
        Expr::Neg(Box::new(Expr::Number(-value, unit).into()))
    } else {
        // Of two zeros only one can be read.
        Expr::Number(value.abs(), unit)
    }
}

/// A number with so many decimals at most, as a text would say it.
pub fn rounded(value: f64, decimals: usize) -> f64 {
    // Through its digits, so that it is the number a reader gets.
    let rounded = format!("{value:.decimals$}").parse().unwrap_or(value);
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// A value in SI as a person would type it in place of `old`: in the unit that stands there, which
/// for sums and names is `usual`, and as fine as a hand can fold.
pub fn typed(value_si: f64, old: Option<&Expr>, usual: Unit) -> Expr {
    let unit = old.map_or(usual, |e| unit_of(e, usual));
    let decimals = match unit {
        Unit::Mm | Unit::Deg | Unit::GramPerM2 | Unit::LbBond => 1,
        Unit::Cm | Unit::Gram | Unit::MPerS | Unit::FtPerS | Unit::KmPerH => 2,
        Unit::M | Unit::Inch | Unit::None => 3,
    };
    number(rounded(value_si / unit.quantity().value, decimals), unit)
}

/// Unit of a number in the text; `usual` for sums and names.
pub fn unit_of(e: &Expr, usual: Unit) -> Unit {
    match e {
        Expr::Number(_, unit) => *unit,
        Expr::Neg(inner) => unit_of(&inner.node, usual),
        _ => usual,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::print::expression;

    #[test]
    fn a_number_is_the_one_its_digits_say() {
        assert_eq!(rounded(2.4465, 2), 2.45);
        assert_eq!(rounded(-0.001, 2).to_bits(), 0.0f64.to_bits());
        assert_eq!(expression(&number(rounded(2.4465, 2), Unit::MPerS)), "2.45 m/s");
        assert_eq!(expression(&number(-4.0, Unit::Deg)), "-4 deg");
    }

    #[test]
    fn a_typed_number_keeps_the_unit_that_stands_there() {
        let old = Expr::Neg(Box::new(Expr::Number(0.5, Unit::Inch).into()));
        assert_eq!(typed(0.0254 / 8.0, Some(&old), Unit::Mm), Expr::Number(0.125, Unit::Inch));
        let sum = Expr::Let("tip".to_owned().into());
        assert_eq!(typed(0.01234, Some(&sum), Unit::Mm), Expr::Number(12.3, Unit::Mm));
        assert_eq!(typed(4.567, None, Unit::MPerS), Expr::Number(4.57, Unit::MPerS));
    }
}
