//! The air a plane flies in: density and viscosity from temperature, pressure and humidity, or
//! from the height of the hall above the sea.

use thiserror::Error;

/// Specific gas constant of dry air, J/(kg K) (ISO 2533:1975, table 1).
pub const GAS_CONSTANT_DRY: f64 = 287.05287;
/// Specific gas constant of water vapour, J/(kg K): 8.314463 / 18.015257e-3 (CODATA 2018; IAPWS).
const GAS_CONSTANT_VAPOUR: f64 = 461.5236;
/// Sea-level temperature K and pressure Pa, lapse K/m, gravity m/s2, earth radius m
/// (ISO 2533:1975, tables 1 and 4).
const SEA_LEVEL_K: f64 = 288.15;
const SEA_LEVEL_PA: f64 = 101_325.0;
const LAPSE_K_M: f64 = -0.0065;
const GRAVITY_M_S2: f64 = 9.80665;
const EARTH_RADIUS_M: f64 = 6_356_766.0;

/// Ends of the range the formulas are published for and a paper plane may meet.
pub const TEMPERATURE_RANGE_K: [f64; 2] = [228.15, 333.15];
/// Lowest is the pressure at 11 km; highest leaves room over the record at sea level.
pub const PRESSURE_RANGE_PA: [f64; 2] = [22_000.0, 112_000.0];
/// ISO 2533 is used in its lowest layer only.
pub const ALTITUDE_RANGE_M: [f64; 2] = [-1_000.0, 11_000.0];

/// Why there is no such air.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum AirError {
    /// Outside its range, or not a number.
    #[error("the {quantity} of the air, {value} {unit}, must lie between {low} and {high} {unit}")]
    OutOfRange {
        /// What.
        quantity: &'static str,
        /// As given.
        value: f64,
        /// Smallest allowed.
        low: f64,
        /// Largest allowed.
        high: f64,
        /// Unit of the three.
        unit: &'static str,
    },
}

/// Still air in one state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pa_s: f64,
}

impl Air {
    /// Moist air. Density is that of two ideal gases side by side; the saturation pressure of
    /// water is Magnus' formula with the constants of WMO-No. 8 (Guide to Instruments, annex 4.B);
    /// viscosity is Sutherland's law for dry air with the constants of ISO 2533 (water vapour
    /// changes it by less than 1 % in any hall).
    pub fn new(temperature_k: f64, pressure_pa: f64, humidity: f64) -> Result<Self, AirError> {
        within("temperature", temperature_k, TEMPERATURE_RANGE_K, "K")?;
        within("pressure", pressure_pa, PRESSURE_RANGE_PA, "Pa")?;
        within("relative humidity", humidity, [0.0, 1.0], "")?;
        let vapour_pa = humidity * saturation_pressure_pa(temperature_k);
        let dry = (pressure_pa - vapour_pa) / (GAS_CONSTANT_DRY * temperature_k);
        Ok(Self {
            temperature_k,
            pressure_pa,
            humidity,
            density_kg_m3: dry + vapour_pa / (GAS_CONSTANT_VAPOUR * temperature_k),
            viscosity_pa_s: sutherland_pa_s(temperature_k),
        })
    }

    /// The standard atmosphere (ISO 2533:1975) at a height above the sea, dry.
    pub fn at_altitude_m(altitude_m: f64) -> Result<Self, AirError> {
        within("altitude", altitude_m, ALTITUDE_RANGE_M, "m")?;
        let geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m);
        let temperature_k = SEA_LEVEL_K + LAPSE_K_M * geopotential_m;
        let exponent = -GRAVITY_M_S2 / (GAS_CONSTANT_DRY * LAPSE_K_M);
        let pressure_pa = SEA_LEVEL_PA * (temperature_k / SEA_LEVEL_K).powf(exponent);
        Ok(Self {
            temperature_k,
            pressure_pa,
            humidity: 0.0,
            density_kg_m3: pressure_pa / (GAS_CONSTANT_DRY * temperature_k),
            viscosity_pa_s: sutherland_pa_s(temperature_k),
        })
    }

    /// A heated hall at sea level: 20 C, 101,325 Pa, half saturated.
    pub fn indoors() -> Self {
        Self::new(293.15, SEA_LEVEL_PA, 0.5).expect("an ordinary hall lies inside the ranges")
    }

    /// Kinematic viscosity, m2/s.
    pub fn kinematic_viscosity_m2_s(&self) -> f64 {
        self.viscosity_pa_s / self.density_kg_m3
    }
}

/// Saturation pressure of water vapour over water, Pa. Magnus' formula, WMO-No. 8, annex 4.B:
/// 6.112 exp(17.62 t / (243.12 + t)) hPa, published for -45 to 60 C.
pub fn saturation_pressure_pa(temperature_k: f64) -> f64 {
    let t = temperature_k - 273.15;
    611.2 * (17.62 * t / (243.12 + t)).exp()
}

/// Sutherland's law with the constants of ISO 2533:1975 (and US Standard Atmosphere 1976).
fn sutherland_pa_s(temperature_k: f64) -> f64 {
    1.458e-6 * temperature_k.powf(1.5) / (temperature_k + 110.4)
}

fn within(
    quantity: &'static str,
    value: f64,
    [low, high]: [f64; 2],
    unit: &'static str,
) -> Result<(), AirError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(AirError::OutOfRange { quantity, value, low, high, unit })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn air_outside_its_ranges_is_an_error_that_says_which() {
        let cases = [
            (100.0, SEA_LEVEL_PA, 0.5),
            (f64::NAN, SEA_LEVEL_PA, 0.5),
            (293.15, 0.0, 0.5),
            (293.15, SEA_LEVEL_PA, 1.01),
            (293.15, SEA_LEVEL_PA, -0.01),
        ];
        for (t, p, h) in cases {
            assert!(Air::new(t, p, h).is_err(), "{t} {p} {h}");
        }
        assert!(Air::at_altitude_m(12_000.0).is_err());
        let message = Air::new(293.15, 1.0, 0.5).unwrap_err().to_string();
        assert!(message.contains("pressure") && message.contains("112000"), "{message}");
    }

    #[test]
    fn dry_air_and_the_standard_atmosphere_agree_at_sea_level() {
        let (a, b) =
            (Air::new(288.15, SEA_LEVEL_PA, 0.0).unwrap(), Air::at_altitude_m(0.0).unwrap());
        assert!((a.density_kg_m3 - b.density_kg_m3).abs() < 1e-12);
        assert_eq!(a.viscosity_pa_s, b.viscosity_pa_s);
    }
}
