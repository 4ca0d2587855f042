//! A let as something to turn: its value and its ends in the unit people write.

use super::ast::{Design, Expr, Let, Unit};
use super::diagnostic::{Diagnostic, did_you_mean};
use super::edit::Edit;
use super::edit::amount::{number, rounded};
use super::eval::{Values, quantity_outside};
use super::quantity::Dimension;

/// A let that can be turned. Numbers are in `unit`.
#[derive(Clone, Debug, PartialEq)]
pub struct Dial {
    /// Name of the let.
    pub name: String,
    /// The comment on its line.
    pub note: Option<String>,
    /// Unit people use for it; [`Unit::None`] for counts and plain numbers.
    pub unit: Unit,
    /// Value it has now.
    pub value: f64,
    /// Least and greatest value: the range the text states, or else from nothing to twice the
    /// value (of a value of nothing: one unit).
    pub ends: [f64; 2],
    /// The text states the range.
    pub stated: bool,
    /// A count: the value and both ends are whole plain numbers.
    pub whole: bool,
    /// The text gives it as a sum of other things, which turning would replace by a number.
    pub computed: bool,
}

impl Dial {
    /// Of a let; none where it has no value.
    pub fn new(l: &Let, values: &Values) -> Option<Self> {
        let known = values.get(&l.name.node)?;
        let dimension = known.quantity.dimension;
        let unit = dimension.usual_unit();
        let one = unit.quantity().value;
        let value = known.quantity.value / one;
        let ends = known.range.map_or_else(
            || {
                let most = if value == 0.0 { 1.0 } else { 2.0 * value };
                [most.min(0.0), most.max(0.0)]
            },
            |r| r.map(|v| v / one),
        );
        let is_whole = |v: f64| (v - v.round()).abs() < 1e-9;
        Some(Self {
            name: l.name.node.clone(),
            note: l.note.clone(),
            unit,
            value,
            ends,
            stated: known.range.is_some(),
            whole: dimension == Dimension::NUMBER
                && is_whole(value)
                && ends.iter().all(|&v| is_whole(v)),
            computed: !matches!(l.value.node, Expr::Number(..)),
        })
    }

    /// Every let of a design, in the order of the text.
    pub fn all(design: &Design, values: &Values) -> Vec<Self> {
        design.lets.iter().filter_map(|l| Self::new(&l.node, values)).collect()
    }

    /// The let with this name.
    ///
    /// # Errors
    /// There is none; says which there are.
    pub fn named(name: &str, design: &Design, values: &Values) -> Result<Self, Diagnostic> {
        let found = design.lets.iter().find(|l| l.node.name.node == name);
        found.and_then(|l| Self::new(&l.node, values)).ok_or_else(|| {
            let names: Vec<&str> = design.lets.iter().map(|l| l.node.name.node.as_str()).collect();
            let help = match did_you_mean(name, names.iter().copied()) {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if names.is_empty() => "this design has no lets".to_owned(),
                None => format!("lets are {}", names.join(", ")),
            };
            Diagnostic::error("unknown-let", 0..0, format!("no let is called `{name}`")).help(help)
        })
    }

    /// A value given by a person: a plain number is in the unit of the let.
    ///
    /// # Errors
    /// Not a value, or one of another kind.
    pub fn read(&self, text: &str) -> Result<f64, Diagnostic> {
        Ok(quantity_outside(text, self.unit)? / self.unit.quantity().value)
    }

    /// A value as exactly as a number can say it, for `Settings::sets`.
    pub fn exactly(&self, value: f64) -> String {
        format!("{value} {}", self.unit.symbol()).trim_end().to_owned()
    }

    /// Turns it to a value.
    pub fn edit(&self, value: f64) -> Edit {
        Edit::Let { name: self.name.clone(), value: number(value, self.unit) }
    }

    /// A value with so many decimals at most and its unit.
    pub fn say(&self, value: f64, decimals: usize) -> String {
        self.exactly(rounded(value, decimals))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::eval::evaluate;
    use crate::design::parser::parse;

    const TEXT: &str = "plane P\nsheet A4\nlet tip = 24 mm, from 8 mm to 45 mm # the point\nlet turns = 3\n\
                        let lean = -4 deg\nlet share = 0.3\nlet slot = 0 mm\nlet twice = 2 * tip\n";

    fn named(name: &str) -> Result<Dial, Diagnostic> {
        let design = parse(TEXT).0;
        let values = evaluate(&design, &[]).expect("lets with values");
        Dial::named(name, &design, &values)
    }

    fn dial(name: &str) -> Dial {
        named(name).unwrap()
    }

    #[test]
    fn ends_are_those_of_the_text_or_from_nothing_to_twice_the_value() {
        assert_eq!((dial("tip").ends, dial("tip").stated), ([8.0, 45.0], true));
        assert_eq!((dial("turns").ends, dial("turns").stated), ([0.0, 6.0], false));
        let lean = dial("lean").ends;
        assert!((lean[0] + 8.0).abs() < 1e-9 && lean[1] == 0.0, "{lean:?}");
        assert_eq!(dial("slot").ends, [0.0, 1.0]);
        assert_eq!(dial("twice").ends, [0.0, 96.0]);
    }

    #[test]
    fn only_whole_plain_numbers_are_counts() {
        let whole: Vec<bool> =
            ["tip", "turns", "share"].into_iter().map(|n| dial(n).whole).collect();
        assert_eq!(whole, [false, true, false]);
        assert!(dial("twice").computed && !dial("tip").computed);
    }

    #[test]
    fn values_are_read_and_written_in_the_unit_of_the_let() {
        let tip = dial("tip");
        for text in ["12", "12 mm", "1.2cm"] {
            assert!((tip.read(text).unwrap() - 12.0).abs() < 1e-9, "{text}");
        }
        assert!(tip.read("12 deg").is_err() && tip.read("long").is_err());
        assert_eq!((tip.say(24.0, 4), tip.say(1.0 / 3.0, 4)), ("24 mm".into(), "0.3333 mm".into()));
        assert_eq!((dial("turns").say(2.0, 4), tip.say(-1e-9, 4)), ("2".into(), "0 mm".into()));
        assert_eq!(
            tip.read(&tip.exactly(1.0 / 3.0)).map(|v| (v - 1.0 / 3.0).abs() < 1e-15),
            Ok(true)
        );
    }

    #[test]
    fn a_name_that_is_none_gets_the_one_that_was_meant() {
        let error = named("tipp").unwrap_err();
        assert_eq!(error.help.as_deref(), Some("did you mean `tip`?"));
    }
}
