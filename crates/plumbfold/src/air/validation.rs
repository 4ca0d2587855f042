//! The aerodynamics against published cases. Each function returns rows for the validation page;
//! the tests assert on the same rows.

pub mod bends;
pub mod lattice;
pub mod plates;

use super::analyse::{Aero, Options, analyse};
use crate::air::{Air, saturation_pressure_pa};
use crate::plane::airframe::Airframe;
use crate::validation::Mark::{self, Computed, FromMemory, SecondHand};
use crate::validation::Tolerance::{self, Absolute, Relative};
use crate::validation::ValidationRow;
use nalgebra::Vector3;

/// Cases of [`rows`] that do not hold, with what we know about why. The tests fail when any other
/// row fails, and when one of these begins to hold.
pub const SHORTFALLS: &[(&str, &str)] = &[
    (
        "sharp delta, aspect 0.5, CL at 4.0 deg",
        "the measured lift there is a fifth above the suction analogy itself, which meets the \
         other points; an offset of half a degree in the measurement would explain it",
    ),
    (
        "sharp delta, aspect 2, CL at 3.0 deg",
        "the measured lift there is below the linear lift of every lifting-surface theory; an \
         offset of half a degree in the measurement would explain it",
    ),
];

/// All rows of the aerodynamics.
pub fn rows() -> Vec<ValidationRow> {
    [
        air(),
        lattice::textbook_lattice(),
        lattice::rectangles(),
        lattice::deltas(),
        lattice::limits(),
        lattice::rotary(),
        lattice::edge_vortices(),
        plates::sharp_deltas(),
        plates::low_aspect_plate(),
        plates::weighted_plate(),
        plates::closed_forms(),
        bends::bends(),
        bends::steps(),
        bends::sideslip(),
    ]
    .concat()
}

const NU_SCALE_M: f64 = 0.2;

fn row(
    group: &'static str,
    case: String,
    source: (&'static str, Mark),
    expected: f64,
    computed: f64,
    tolerance: Tolerance,
) -> ValidationRow {
    ValidationRow::new(group, case, source, expected, computed, tolerance)
}

/// Air: standard atmosphere, viscosity, moist air.
pub fn air() -> Vec<ValidationRow> {
    const ISO: (&str, Mark) = ("ISO 2533:1975, table 5", FromMemory);
    const SEA: (&str, Mark) = ("ISO 2533:1975, table 1", SecondHand);
    const WATER: (&str, Mark) = ("IAPWS-95 saturation pressure, Wagner & Pruss 2002", FromMemory);
    const MOIST: (&str, Mark) = ("CIPM-2007, Picard et al., Metrologia 45, 2008", FromMemory);
    let at = |h: f64| Air::at_altitude_m(h).expect("the heights lie inside the range");
    let moist = |t: f64, h: f64| Air::new(t, 101_325.0, h).expect("inside the range");
    let g = "Air";
    let mut rows = vec![];
    let mut add = |case: &str, source, expected, computed, tolerance| {
        rows.push(row(g, case.into(), source, expected, computed, tolerance));
    };
    add("density at sea level, kg/m3", SEA, 1.225, at(0.0).density_kg_m3, Relative(1e-4));
    add("viscosity at sea level, Pa s", SEA, 1.789e-5, at(0.0).viscosity_pa_s, Relative(5e-4));
    add(
        "kinematic viscosity at sea level, m2/s",
        SEA,
        1.4607e-5,
        at(0.0).kinematic_viscosity_m2_s(),
        Relative(1e-4),
    );
    add("temperature at 1000 m, K", ISO, 281.651, at(1000.0).temperature_k, Absolute(5e-4));
    add("pressure at 1000 m, Pa", ISO, 89_876.0, at(1000.0).pressure_pa, Relative(1e-4));
    add("density at 1000 m, kg/m3", ISO, 1.1117, at(1000.0).density_kg_m3, Relative(1e-4));
    add("pressure at 5000 m, Pa", ISO, 54_048.0, at(5000.0).pressure_pa, Relative(1e-4));
    add("density at 5000 m, kg/m3", ISO, 0.73643, at(5000.0).density_kg_m3, Relative(1e-4));
    let dry = [(10.0, 1.2466, 1.765e-5), (20.0, 1.2041, 1.813e-5), (30.0, 1.1644, 1.861e-5)];
    for (t, density, viscosity) in dry {
        let a = moist(t + 273.15, 0.0);
        let source = ("ideal gas and Sutherland's law (US Standard Atmosphere 1976)", Computed);
        rows.push(row(
            g,
            format!("dry air at {t} C, kg/m3"),
            source,
            density,
            a.density_kg_m3,
            Relative(1e-4),
        ));
        rows.push(row(
            g,
            format!("dry air at {t} C, Pa s"),
            source,
            viscosity,
            a.viscosity_pa_s,
            Relative(5e-4),
        ));
    }
    for (t, pa) in [(0.0, 611.2), (20.0, 2339.3), (30.0, 4247.0)] {
        let ours = saturation_pressure_pa(t + 273.15);
        rows.push(row(
            g,
            format!("water vapour, saturated, {t} C, Pa"),
            WATER,
            pa,
            ours,
            Relative(0.004),
        ));
    }
    let half = moist(293.15, 0.5).density_kg_m3;
    rows.push(row(
        g,
        "air at 20 C, half saturated, kg/m3".into(),
        MOIST,
        1.1992,
        half,
        Relative(5e-4),
    ));
    rows
}

fn plane(airframe: &Airframe, cg: Vector3<f64>, speed: f64) -> Aero {
    analyse(airframe, cg, &Air::indoors(), speed, &Options::ORDINARY)
        .expect("the shapes of the checks can be analysed")
}

/// Speed, m/s, at which a chord has the given Reynolds number in the hall.
fn speed_for(reynolds: f64, chord_m: f64) -> f64 {
    reynolds * Air::indoors().kinematic_viscosity_m2_s() / chord_m
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::validation::failures;

    #[test]
    fn every_published_case_holds_but_the_known_shortfalls() {
        let rows = rows();
        let known = |r: &ValidationRow| SHORTFALLS.iter().any(|s| s.0 == r.case);
        let (known, others): (Vec<_>, Vec<_>) = rows.into_iter().partition(|r| known(r));
        assert_eq!(known.len(), SHORTFALLS.len(), "a shortfall names no row");
        let fails = failures(&others);
        assert!(fails.is_empty(), "{fails}");
        let mended: String = known.iter().filter(|r| r.pass).map(|r| r.case.as_str()).collect();
        assert!(mended.is_empty(), "holds now, take it off the list: {mended}");
    }
}
