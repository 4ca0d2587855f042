//! What people measure by hand and type: lengths and sheets.

use plumbfold::design::ast::Unit;
use plumbfold::paper::named_size;

use crate::flight_options::between;

/// A length of a plane, mm: plain or with a unit.
pub fn mm(text: &str) -> Result<f64, String> {
    between(text, Unit::Mm, [0.0, 2.0]).map(|m| m * 1e3)
}

/// How surely something was measured by hand, mm: no hand is surer than a twentieth.
pub fn within(text: &str) -> Result<f64, String> {
    between(text, Unit::Mm, [0.05e-3, 50e-3]).map(|m| m * 1e3)
}

/// A sheet by name or by its sides, `210x297`, `8.5x11in`; mm.
pub fn sheet(text: &str) -> Result<[f64; 2], String> {
    if let Some(size) = named_size(text.trim()) {
        return Ok([size.short_m * 1e3, size.long_m * 1e3]);
    }
    let wrong =
        || format!("`{text}` is no sheet: a name such as A4 or Letter, or sides such as 300x400mm");
    let lower = text.to_lowercase();
    let (body, unit) = match lower.trim().strip_suffix("in") {
        Some(body) => (body, 25.4),
        None => (lower.trim().trim_end_matches("mm"), 1.0),
    };
    let (a, b) = body.split_once(['x', '×']).ok_or_else(wrong)?;
    let side = |s: &str| -> Result<f64, String> {
        let value: f64 = s.trim().trim_end_matches("mm").trim().parse().map_err(|_| wrong())?;
        let mm = value * unit;
        // As the sheets of a design.
        if (20.0..=2000.0).contains(&mm) {
            Ok(mm)
        } else {
            Err("a sheet measures from 20 to 2000 mm".into())
        }
    };
    Ok([side(a)?, side(b)?])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_are_named_or_measured() {
        assert_eq!(sheet("a4"), Ok([210.0, 297.0]));
        assert_eq!(sheet("300x400mm"), Ok([300.0, 400.0]));
        assert_eq!(sheet("8.5 x 11in").map(|s| s[1]), Ok(279.4));
        assert!(sheet("A44").unwrap_err().contains("A44") && sheet("0x5").is_err());
        assert!(sheet("nanxnan").is_err() && sheet("1e9x2").is_err() && sheet("").is_err());
    }
}
