//! The forces of the air as text.

use std::fmt::Write as _;

use plumbfold_view::air::Aero;
use plumbfold_view::said::fixed;

use super::Rows;

/// Incidences of the table, degrees.
const SHOWN: [f64; 12] = [-5.0, 0.0, 2.0, 4.0, 6.0, 8.0, 10.0, 15.0, 20.0, 30.0, 45.0, 90.0];

/// A pressure centre further off than this many chords belongs to next to no force.
const FAR_CHORDS: f64 = 1.5;

/// The report.
pub fn to_text(Aero { name, air: a }: &Aero, cg_behind_nose_mm: f64) -> Rows {
    let s = &a.stability;
    let margin = s.static_margin_mac_fraction * 100.0;
    // At the incidence a broad wing glides at, its lift has moved back: `check` tells the margin
    // there.
    let says = if margin > 0.0 { "holds its nose" } else { "does not hold its nose" };
    let mut table = vec!["   alpha      CL      CD      Cm   pressure centre".to_owned()];
    for wanted in SHOWN {
        let Some(p) = a.polar.iter().find(|p| (p.alpha_deg - wanted).abs() < 0.01) else {
            continue;
        };
        let mut line = format!(
            "{wanted:>5.0} deg {:>7} {:>7} {:>7}",
            fixed(p.cl, 3),
            fixed(p.cd, 3),
            fixed(p.cm, 3)
        );
        match p.cp_behind_nose_mm {
            // Writing to a String cannot fail.
            Some(x) if x.abs() < FAR_CHORDS * a.reference.chord_mm => {
                _ = write!(line, "   {x:>6.1} mm behind the nose");
            }
            _ => line.push_str("   far off: next to no force"),
        }
        table.push(line);
    }
    Rows::titled(name)
        .gap()
        .row(
            "air",
            &format!("{:.1} m/s through air of {:.3} kg/m3", a.speed_mps, a.air_density_kg_m3),
        )
        .row("lift slope", &format!("{:.3} per radian at small incidence", a.cl_alpha_per_rad))
        .row(
            "neutral point",
            &format!(
                "{:.1} mm behind the nose, {:.1} % of the MAC",
                s.neutral_point_behind_nose_mm,
                s.neutral_point_mac_fraction * 100.0
            ),
        )
        .row(
            "margin",
            &format!(
                "{margin:.1} % of the MAC, {:.1} mm: {says} at small incidence",
                s.neutral_point_behind_nose_mm - cg_behind_nose_mm
            ),
        )
        .gap()
        .drawn(&table)
}
