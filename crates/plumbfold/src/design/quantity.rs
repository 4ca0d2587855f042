//! Numbers with dimensions: the arithmetic of the design text.

use super::ast::{BinaryOp, Unit};
use crate::paper::LB_BOND_KG_M2;

/// Exponents of length, mass, time and angle. Angle is kept apart from plain numbers so that
/// a forgotten `deg` is noticed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Dimension {
    length: i8,
    mass: i8,
    time: i8,
    angle: i8,
}

impl Dimension {
    /// Plain number.
    pub const NUMBER: Self = Self { length: 0, mass: 0, time: 0, angle: 0 };
    /// Length.
    pub const LENGTH: Self = Self { length: 1, ..Self::NUMBER };
    /// Angle.
    pub const ANGLE: Self = Self { angle: 1, ..Self::NUMBER };
    /// Mass.
    pub const MASS: Self = Self { mass: 1, ..Self::NUMBER };
    /// Mass per area.
    pub const GRAMMAGE: Self = Self { mass: 1, length: -2, ..Self::NUMBER };
    /// Speed.
    pub const SPEED: Self = Self { length: 1, time: -1, ..Self::NUMBER };

    /// As said to people, with its article.
    pub fn describe(self) -> &'static str {
        let area = Self { length: 2, ..Self::NUMBER };
        [
            (Self::NUMBER, "a plain number"),
            (Self::LENGTH, "a length"),
            (Self::ANGLE, "an angle"),
            (Self::MASS, "a mass"),
            (Self::GRAMMAGE, "a mass per area"),
            (Self::SPEED, "a speed"),
            (area, "an area"),
        ]
        .iter()
        .find(|(d, _)| *d == self)
        .map_or("a quantity of no use here", |(_, name)| name)
    }

    /// The unit in which people write this, where there is one.
    pub fn usual_unit(self) -> Unit {
        match self {
            Self::LENGTH => Unit::Mm,
            Self::ANGLE => Unit::Deg,
            Self::MASS => Unit::Gram,
            Self::GRAMMAGE => Unit::GramPerM2,
            Self::SPEED => Unit::MPerS,
            _ => Unit::None,
        }
    }

    fn combine(self, o: Self, f: fn(i8, i8) -> Option<i8>) -> Option<Self> {
        Some(Self {
            length: f(self.length, o.length)?,
            mass: f(self.mass, o.mass)?,
            time: f(self.time, o.time)?,
            angle: f(self.angle, o.angle)?,
        })
    }

    fn half(self) -> Option<Self> {
        self.combine(self, |e, _| (e % 2 == 0).then_some(e / 2))
    }
}

impl Unit {
    /// One of it in SI, with its dimension.
    pub fn quantity(self) -> Quantity {
        let (value, dimension) = match self {
            Self::None => (1.0, Dimension::NUMBER),
            Self::Mm => (1e-3, Dimension::LENGTH),
            Self::Cm => (1e-2, Dimension::LENGTH),
            Self::M => (1.0, Dimension::LENGTH),
            Self::Inch => (25.4e-3, Dimension::LENGTH),
            Self::Deg => (1f64.to_radians(), Dimension::ANGLE),
            Self::Gram => (1e-3, Dimension::MASS),
            Self::GramPerM2 => (1e-3, Dimension::GRAMMAGE),
            Self::LbBond => (LB_BOND_KG_M2, Dimension::GRAMMAGE),
            Self::MPerS => (1.0, Dimension::SPEED),
            // The international foot.
            Self::FtPerS => (0.3048, Dimension::SPEED),
            Self::KmPerH => (1.0 / 3.6, Dimension::SPEED),
        };
        Quantity { value, dimension }
    }

    /// As written in canonical text; empty for plain numbers.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Mm => "mm",
            Self::Cm => "cm",
            Self::M => "m",
            Self::Inch => "in",
            Self::Deg => "deg",
            Self::Gram => "g",
            Self::GramPerM2 => "g/m2",
            Self::LbBond => "lb",
            Self::MPerS => "m/s",
            Self::FtPerS => "ft/s",
            Self::KmPerH => "km/h",
        }
    }
}

/// A value in SI and radians with its dimension.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// SI, radians.
    pub value: f64,
    /// Dimension.
    pub dimension: Dimension,
}

/// Why quantities do not go together; the words complete a sentence about the place at fault.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// Sum of unlike things.
    #[error("{left} and {right} cannot be {how}")]
    Unlike {
        /// First.
        left: &'static str,
        /// Second.
        right: &'static str,
        /// Done with them.
        how: &'static str,
    },
    /// A function was given the wrong thing.
    #[error("`{function}` takes {wanted}, and this is {found}")]
    Argument {
        /// Function.
        function: String,
        /// What it takes.
        wanted: &'static str,
        /// What it got.
        found: &'static str,
    },
    /// Too few or too many arguments.
    #[error("`{function}` takes {wanted} value{}, and here are {found}", if *wanted == 1 { "" } else { "s" })]
    ArgumentCount {
        /// Function.
        function: String,
        /// How many it takes.
        wanted: usize,
        /// How many it got.
        found: usize,
    },
    /// Division by zero, root of a negative number and the like.
    #[error("this has no finite value")]
    NotFinite,
    /// Dimensions nobody needs.
    #[error("this multiplies too many quantities together")]
    TooManyDimensions,
}

impl Quantity {
    /// A plain number.
    pub const fn number(value: f64) -> Self {
        Self { value, dimension: Dimension::NUMBER }
    }

    fn finite(value: f64, dimension: Dimension) -> Result<Self, QuantityError> {
        if value.is_finite() {
            Ok(Self { value, dimension })
        } else {
            Err(QuantityError::NotFinite)
        }
    }

    /// Arithmetic with dimensions.
    ///
    /// # Errors
    /// Unlike terms in a sum, or no finite value.
    pub fn binary(self, op: BinaryOp, o: Self) -> Result<Self, QuantityError> {
        let unlike = |how| QuantityError::Unlike {
            left: self.dimension.describe(),
            right: o.dimension.describe(),
            how,
        };
        let combined =
            |f| self.dimension.combine(o.dimension, f).ok_or(QuantityError::TooManyDimensions);
        let same = self.dimension == o.dimension;
        match op {
            BinaryOp::Add if same => Self::finite(self.value + o.value, self.dimension),
            BinaryOp::Sub if same => Self::finite(self.value - o.value, self.dimension),
            BinaryOp::Add => Err(unlike("added")),
            BinaryOp::Sub => Err(unlike("subtracted")),
            BinaryOp::Mul => Self::finite(self.value * o.value, combined(i8::checked_add)?),
            BinaryOp::Div => Self::finite(self.value / o.value, combined(i8::checked_sub)?),
        }
    }
}

impl std::ops::Neg for Quantity {
    type Output = Self;
    fn neg(self) -> Self {
        Self { value: -self.value, ..self }
    }
}

/// Functions of the design text and how many values each takes.
pub const FUNCTIONS: &[(&str, usize)] = &[
    ("min", 2),
    ("max", 2),
    ("hypot", 2),
    ("abs", 1),
    ("sqrt", 1),
    ("sin", 1),
    ("cos", 1),
    ("tan", 1),
    ("asin", 1),
    ("acos", 1),
    ("atan", 1),
    ("round", 1),
];

/// The function of that name applied to its arguments; `None` when there is no such function.
pub fn call(name: &str, args: &[Quantity]) -> Option<Result<Quantity, QuantityError>> {
    let &(name, wanted) = FUNCTIONS.iter().find(|(n, _)| *n == name)?;
    Some(if args.len() == wanted {
        apply(name, args)
    } else {
        let function = name.to_owned();
        Err(QuantityError::ArgumentCount { function, wanted, found: args.len() })
    })
}

fn apply(name: &str, args: &[Quantity]) -> Result<Quantity, QuantityError> {
    let x = args[0];
    let take = |wanted: Dimension| {
        if x.dimension == wanted {
            return Ok(x.value);
        }
        Err(QuantityError::Argument {
            function: name.to_owned(),
            wanted: wanted.describe(),
            found: x.dimension.describe(),
        })
    };
    if let [x, y] = *args {
        if x.dimension != y.dimension {
            return Err(QuantityError::Unlike {
                left: x.dimension.describe(),
                right: y.dimension.describe(),
                how: "compared",
            });
        }
        let value = match name {
            "min" => x.value.min(y.value),
            "max" => x.value.max(y.value),
            _ => x.value.hypot(y.value),
        };
        return Quantity::finite(value, x.dimension);
    }
    let (number, angle) = (Dimension::NUMBER, Dimension::ANGLE);
    match name {
        "sin" => Quantity::finite(take(angle)?.sin(), number),
        "cos" => Quantity::finite(take(angle)?.cos(), number),
        "tan" => Quantity::finite(take(angle)?.tan(), number),
        "asin" => Quantity::finite(take(number)?.asin(), angle),
        "acos" => Quantity::finite(take(number)?.acos(), angle),
        "atan" => Quantity::finite(take(number)?.atan(), angle),
        "round" => Quantity::finite(take(number)?.round(), number),
        "sqrt" => {
            let dimension = x.dimension.half().ok_or_else(|| QuantityError::Argument {
                function: name.to_owned(),
                wanted: "a number or an area",
                found: x.dimension.describe(),
            })?;
            Quantity::finite(x.value.sqrt(), dimension)
        }
        _ => Quantity::finite(x.value.abs(), x.dimension),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_the_international_ones() {
        // BIPM SI brochure (2019) table 8 for the degree; inch and pound by the international
        // yard and pound agreement, 1959.
        assert_eq!(Unit::Inch.quantity().value, 0.0254);
        assert_eq!(Unit::Deg.quantity().value, std::f64::consts::PI / 180.0);
        assert_eq!(Unit::Cm.quantity().value, 10.0 * Unit::Mm.quantity().value);
    }

    #[test]
    fn dimensions_follow_the_arithmetic() {
        let mm = Unit::Mm.quantity();
        let g = Unit::Gram.quantity();
        let area = mm.binary(BinaryOp::Mul, mm).unwrap();
        assert_eq!(g.binary(BinaryOp::Div, area).unwrap().dimension, Dimension::GRAMMAGE);
        assert_eq!(mm.binary(BinaryOp::Div, mm).unwrap(), Quantity::number(1.0));
        assert_eq!(call("sqrt", &[area]).unwrap().unwrap().dimension, Dimension::LENGTH);
        assert!(call("sqrt", &[mm]).unwrap().is_err());
        let tan = call("tan", &[Quantity { value: 1.0, dimension: Dimension::ANGLE }]);
        assert_eq!(tan.unwrap().unwrap().dimension, Dimension::NUMBER);
        assert!(call("tan", &[Quantity::number(1.0)]).unwrap().is_err());
        assert_eq!(call("sine", &[mm]), None);
    }

    #[test]
    fn no_infinities_and_no_towers_of_dimensions() {
        let one = Quantity::number(1.0);
        let zero = Quantity::number(0.0);
        assert_eq!(one.binary(BinaryOp::Div, zero), Err(QuantityError::NotFinite));
        let mut q = Unit::M.quantity();
        for _ in 0..6 {
            q = q.binary(BinaryOp::Mul, q).unwrap();
        }
        assert_eq!(q.binary(BinaryOp::Mul, q), Err(QuantityError::TooManyDimensions));
    }
}
