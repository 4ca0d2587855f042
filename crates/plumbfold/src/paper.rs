//! The sheet before it is folded: sizes by name, mass per area, thickness.

/// A range within which a quantity must lie, with the words to say so.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// What is limited, as said to people.
    pub what: &'static str,
    /// Least, SI.
    pub min: f64,
    /// Most, SI.
    pub max: f64,
    /// One of the unit people read, in SI.
    pub unit: f64,
    /// Name of that unit.
    pub unit_name: &'static str,
}

impl Bounds {
    const fn mm(what: &'static str, min_mm: f64, max_mm: f64) -> Self {
        Self { what, min: min_mm * 1e-3, max: max_mm * 1e-3, unit: 1e-3, unit_name: "mm" }
    }

    /// The value itself, or how it misses the range. NaN misses every range.
    pub fn check(&self, value: f64) -> Result<f64, OutOfBounds> {
        if self.min <= value && value <= self.max {
            Ok(value)
        } else {
            Err(OutOfBounds { value, bounds: *self })
        }
    }
}

/// A quantity outside its range.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "{} must lie between {} and {} {}, not {}",
    bounds.what,
    round(bounds.min / bounds.unit),
    round(bounds.max / bounds.unit),
    bounds.unit_name,
    round(value / bounds.unit)
)]
pub struct OutOfBounds {
    /// The quantity, SI.
    pub value: f64,
    /// The range it misses.
    pub bounds: Bounds,
}

/// Six decimals: below them only rounding of the conversion shows.
fn round(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// Width and length of a sheet. Chosen: from a postage stamp's width to A0 and beyond.
pub const SHEET_SIDE: Bounds = Bounds::mm("the side of a sheet", 20.0, 2000.0);
/// Mass per area. Chosen: from wrapping tissue to heavy card.
pub const GRAMMAGE: Bounds = Bounds {
    what: "the mass of the paper",
    min: 20e-3,
    max: 400e-3,
    unit: 1e-3,
    unit_name: "g/m2",
};
/// Thickness of one layer. Chosen: from wrapping tissue to heavy card.
pub const THICKNESS: Bounds = Bounds::mm("the thickness of the paper", 0.01, 1.0);

/// Mass per area of ordinary office paper, kg/m2. Common practice, no source.
pub const DEFAULT_GRAMMAGE_KG_M2: f64 = 80e-3;

const INCH_M: f64 = 25.4e-3;
/// International avoirdupois pound, exact (international yard and pound agreement, 1959).
const POUND_KG: f64 = 0.453_592_37;

/// Mass per area of one pound of bond paper, kg/m2: a ream of 500 sheets of 17 x 22 in weighs
/// as many pounds as its number says (basis of the US trade's bond weights, common practice).
pub const LB_BOND_KG_M2: f64 = POUND_KG / (500.0 * 17.0 * 22.0 * INCH_M * INCH_M);

/// A size people ask for by name: the short side and the long side, m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NamedSize {
    /// Name as written in a design.
    pub name: &'static str,
    /// Short side, m.
    pub short_m: f64,
    /// Long side, m.
    pub long_m: f64,
}

const fn mm(name: &'static str, short: f64, long: f64) -> NamedSize {
    NamedSize { name, short_m: short * 1e-3, long_m: long * 1e-3 }
}
const fn inches(name: &'static str, short: f64, long: f64) -> NamedSize {
    NamedSize { name, short_m: short * INCH_M, long_m: long * INCH_M }
}

/// ISO 216:2007 table 1 (A series), the US office sizes, and the drawing sheets of
/// ANSI/ASME Y14.1. Tabloid and Ledger are one sheet, upright and sideways.
pub const SIZES: &[NamedSize] = &[
    mm("A0", 841.0, 1189.0),
    mm("A1", 594.0, 841.0),
    mm("A2", 420.0, 594.0),
    mm("A3", 297.0, 420.0),
    mm("A4", 210.0, 297.0),
    mm("A5", 148.0, 210.0),
    mm("A6", 105.0, 148.0),
    mm("A7", 74.0, 105.0),
    mm("A8", 52.0, 74.0),
    inches("Letter", 8.5, 11.0),
    inches("Legal", 8.5, 14.0),
    inches("Tabloid", 11.0, 17.0),
    inches("Ledger", 11.0, 17.0),
    inches("ANSI A", 8.5, 11.0),
    inches("ANSI B", 11.0, 17.0),
    inches("ANSI C", 17.0, 22.0),
    inches("ANSI D", 22.0, 34.0),
    inches("ANSI E", 34.0, 44.0),
];

/// A size by its name; capitals do not matter.
pub fn named_size(name: &str) -> Option<NamedSize> {
    SIZES.iter().copied().find(|s| s.name.eq_ignore_ascii_case(name))
}

/// Thickness of uncoated office paper by mass per area (g/m2, mm), for papers nobody measured.
/// From memory: middle of what makers print on the wrapper, about 5 % either way; the 80 g/m2
/// line is common practice. Measure your own: ten sheets between the jaws, divided by ten.
const TYPICAL_THICKNESS: &[(f64, f64)] = &[
    (60.0, 0.080),
    (70.0, 0.092),
    (80.0, 0.105),
    (90.0, 0.115),
    (100.0, 0.125),
    (120.0, 0.145),
    (160.0, 0.185),
    (200.0, 0.225),
];

/// Thickness of uncoated office paper of a given mass per area, m: straight lines between the
/// entries of the stock table, and the bulk (thickness per mass per area) of its first or last
/// entry beyond them.
pub fn typical_thickness_m(grammage_kg_m2: f64) -> f64 {
    let g = grammage_kg_m2 * 1e3;
    let (first, last) = (TYPICAL_THICKNESS[0], TYPICAL_THICKNESS[TYPICAL_THICKNESS.len() - 1]);
    let mm = if g <= first.0 {
        g * first.1 / first.0
    } else if g >= last.0 {
        g * last.1 / last.0
    } else {
        let above = TYPICAL_THICKNESS.partition_point(|e| e.0 < g).max(1);
        let ((g0, t0), (g1, t1)) = (TYPICAL_THICKNESS[above - 1], TYPICAL_THICKNESS[above]);
        t0 + (t1 - t0) * (g - g0) / (g1 - g0)
    };
    mm * 1e-3
}

/// A sheet of paper, sizes in the sheet frame (width along x, length along y).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// Along x, m.
    pub width_m: f64,
    /// Along y, m.
    pub length_m: f64,
    /// Mass per area, kg/m2.
    pub grammage_kg_m2: f64,
    /// One layer, m.
    pub thickness_m: f64,
}

impl Stock {
    /// A sheet, its thickness taken from the stock table where it was not measured.
    ///
    /// # Errors
    /// [`OutOfBounds`] names the first quantity outside its range.
    pub fn new(
        width_m: f64,
        length_m: f64,
        grammage_kg_m2: f64,
        thickness_m: Option<f64>,
    ) -> Result<Self, OutOfBounds> {
        let grammage_kg_m2 = GRAMMAGE.check(grammage_kg_m2)?;
        let thickness_m = thickness_m.unwrap_or_else(|| typical_thickness_m(grammage_kg_m2));
        Ok(Self {
            width_m: SHEET_SIDE.check(width_m)?,
            length_m: SHEET_SIDE.check(length_m)?,
            grammage_kg_m2,
            thickness_m: THICKNESS.check(thickness_m)?,
        })
    }

    /// Area of the sheet, m2.
    pub fn area_m2(&self) -> f64 {
        self.width_m * self.length_m
    }

    /// Mass of the sheet, kg (mass per area as defined by ISO 536).
    pub fn mass_kg(&self) -> f64 {
        self.area_m2() * self.grammage_kg_m2
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_series_follows_the_rule_of_iso_216() {
        // ISO 216:2007 clause 3: A0 has an area of 1 m2, sides 1 : sqrt 2, each size is the one
        // before cut in half and rounded down to a whole millimetre.
        let (mut short, mut long) = (2f64.powf(-0.25), 2f64.powf(0.25));
        assert_eq!((short * 1e3).round(), 841.0);
        assert_eq!((long * 1e3).round(), 1189.0);
        (short, long) = (841.0, 1189.0);
        for size in &SIZES[..9] {
            assert_relative_eq!(size.short_m * 1e3, short, max_relative = 1e-12);
            assert_relative_eq!(size.long_m * 1e3, long, max_relative = 1e-12);
            (short, long) = ((long / 2.0f64).floor(), short);
        }
    }

    #[test]
    fn drawing_sheets_double_as_in_asme_y14_1() {
        // ANSI/ASME Y14.1: A is 8.5 x 11 in, each next sheet twice the one before.
        let (mut short, mut long) = (8.5, 11.0);
        for letter in ["A", "B", "C", "D", "E"] {
            let size = named_size(&format!("ansi {letter}")).unwrap();
            assert_relative_eq!(size.short_m / INCH_M, short, max_relative = 1e-12);
            assert_relative_eq!(size.long_m / INCH_M, long, max_relative = 1e-12);
            (short, long) = (long, 2.0 * short);
        }
        let letter = named_size("letter").unwrap();
        assert_relative_eq!(letter.short_m, 0.2159, max_relative = 1e-12);
        assert_relative_eq!(letter.long_m, 0.2794, max_relative = 1e-12);
    }

    #[test]
    fn sheet_masses_by_iso_536_arithmetic() {
        // ISO 536: grammage is mass over area, so A4 at 80 g/m2 is 0.210 * 0.297 * 80 g.
        let a4 = Stock::new(0.210, 0.297, 80e-3, None).unwrap();
        assert_relative_eq!(a4.mass_kg(), 4.9896e-3, max_relative = 1e-12);
        // Four Letter sheets are cut from one 17 x 22 in sheet (bond weight, common practice).
        let letter = Stock::new(0.2159, 0.2794, 20.0 * LB_BOND_KG_M2, None).unwrap();
        assert_relative_eq!(letter.mass_kg(), 20.0 * POUND_KG / 2000.0, max_relative = 1e-12);
        assert_relative_eq!(letter.mass_kg(), 4.536e-3, max_relative = 1e-4);
        // 20 lb bond is 75.2 g/m2 (common practice, no source).
        assert_relative_eq!(20.0 * LB_BOND_KG_M2, 75.2e-3, max_relative = 2e-4);
    }

    #[test]
    fn typical_thickness_is_tabled_steady_and_rising() {
        assert_relative_eq!(typical_thickness_m(80e-3), 0.105e-3, max_relative = 1e-12);
        let mut last = 0.0;
        for tenth in 200..=4000 {
            let t = typical_thickness_m(f64::from(tenth) * 1e-4);
            assert!(t > last && t - last < 0.2e-3, "{tenth}: {t}");
            assert!(THICKNESS.check(t).is_ok());
            last = t;
        }
    }

    #[test]
    fn absurd_sheets_are_refused_by_name() {
        let message = |w, l, g, t| Stock::new(w, l, g, t).unwrap_err().to_string();
        assert_eq!(
            message(0.21, 2.5, 0.08, None),
            "the side of a sheet must lie between 20 and 2000 mm, not 2500"
        );
        assert_eq!(
            message(0.21, 0.297, 0.5, None),
            "the mass of the paper must lie between 20 and 400 g/m2, not 500"
        );
        assert_eq!(
            message(0.21, 0.297, 0.08, Some(2e-3)),
            "the thickness of the paper must lie between 0.01 and 1 mm, not 2"
        );
        assert!(Stock::new(f64::NAN, 0.297, 0.08, None).is_err());
        assert!(SIZES.iter().all(|s| Stock::new(s.short_m, s.long_m, 0.08, None).is_ok()));
    }
}
