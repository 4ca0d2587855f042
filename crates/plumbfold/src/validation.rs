//! Rows of the validation page. Every check against something outside the program is a function
//! that returns rows; the tests assert on the rows and `docs/validation.md` prints the same rows,
//! so the page can't claim what the tests don't run.

/// How well the published value is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Read in a copy of the source itself.
    Seen,
    /// Read in a public work that quotes the source.
    SecondHand,
    /// Recalled, not looked up.
    FromMemory,
    /// Follows from the source's formula by independent arithmetic.
    Computed,
    /// A fact of the trade.
    CommonPractice,
}

impl Mark {
    /// The word printed beside the row.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::SecondHand => "second-hand",
            Self::FromMemory => "from memory",
            Self::Computed => "computed",
            Self::CommonPractice => "common practice, no source",
        }
    }
}

/// What the tolerance is measured against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// |computed - expected| at most this.
    Absolute(f64),
    /// |computed - expected| at most this share of |expected|.
    Relative(f64),
    /// computed at most expected.
    AtMost,
    /// computed at least expected.
    AtLeast,
}

/// One published case and what we get for it.
#[derive(Clone, Debug, PartialEq)]
pub struct ValidationRow {
    /// Heading it stands under, e.g. "Vortex lattice".
    pub group: &'static str,
    /// What is compared, e.g. "square wing, CLalpha per rad".
    pub case: String,
    /// Author, year, table or equation.
    pub source: &'static str,
    /// How well the expected value is known.
    pub mark: Mark,
    /// Published value.
    pub expected: f64,
    /// Ours.
    pub computed: f64,
    /// computed - expected.
    pub error: f64,
    /// How close they must be.
    pub tolerance: Tolerance,
    /// Whether they are.
    pub pass: bool,
}

impl ValidationRow {
    /// Compares a value of ours with a published one. A value that is not a number never passes.
    pub fn new(
        group: &'static str,
        case: impl Into<String>,
        (source, mark): (&'static str, Mark),
        expected: f64,
        computed: f64,
        tolerance: Tolerance,
    ) -> Self {
        let error = computed - expected;
        let pass = match tolerance {
            Tolerance::Absolute(t) => error.abs() <= t,
            Tolerance::Relative(t) => error.abs() <= t * expected.abs(),
            Tolerance::AtMost => error <= 0.0,
            Tolerance::AtLeast => error >= 0.0,
        };
        Self { group, case: case.into(), source, mark, expected, computed, error, tolerance, pass }
    }
}

/// The rows that fail, one a line, for the message of a test; empty when all pass.
pub fn failures(rows: &[ValidationRow]) -> String {
    let line = |r: &ValidationRow| {
        format!(
            "{} | {} | expected {} computed {} ({:?})\n",
            r.group, r.case, r.expected, r.computed, r.tolerance
        )
    };
    rows.iter().filter(|r| !r.pass).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_passes_only_within_its_tolerance() {
        let row = |computed, tolerance| {
            ValidationRow::new("g", "c", ("s", Mark::Computed), 2.0, computed, tolerance).pass
        };
        assert!(row(2.1, Tolerance::Relative(0.06)) && !row(2.1, Tolerance::Relative(0.04)));
        assert!(row(1.9, Tolerance::Absolute(0.11)) && !row(1.9, Tolerance::Absolute(0.09)));
        assert!(row(1.0, Tolerance::AtMost) && !row(1.0, Tolerance::AtLeast));
        assert!(!row(f64::NAN, Tolerance::Absolute(9.0)) && !row(f64::NAN, Tolerance::AtMost));
    }
}
