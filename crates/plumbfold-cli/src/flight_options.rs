//! Options of every command that throws a plane.

use plumbfold::air::Air;
use plumbfold::design::ast::Unit;
use plumbfold::design::eval::quantity_outside;
use plumbfold::flight::throw::{HEIGHT_MAX_M, Hall, SPEED_MAX_M_S};
use plumbfold::pipeline::ThrowChange;
use plumbfold::verdict::aircraft::Conditions;
use plumbfold::verdict::uncertainty::{DRAWS, DRAWS_MAX};
use plumbfold_draw::text::decimals;

use crate::error::Error;
use crate::notebook_file::NotebookOption;

/// How it is thrown, where, and how often.
#[derive(clap::Args)]
#[command(next_help_heading = "Throw and room")]
pub struct FlightOptions {
    /// Speed of the throw, m/s, instead of the design's
    #[arg(long, value_name = "SPEED", value_parser = speed, allow_hyphen_values = true)]
    speed: Option<f64>,
    /// Climb angle of the hand's path, degrees
    #[arg(long, value_name = "ANGLE", value_parser = elevation, allow_hyphen_values = true)]
    elevation: Option<f64>,
    /// Height of the hand above the floor, m
    #[arg(long, value_name = "HEIGHT", value_parser = height, allow_hyphen_values = true)]
    height: Option<f64>,
    /// Distance to the far wall, m; open without
    #[arg(long, value_name = "LENGTH", value_parser = room)]
    hall_length: Option<f64>,
    /// Height of the ceiling, m; open without
    #[arg(long, value_name = "HEIGHT", value_parser = room)]
    hall_height: Option<f64>,
    #[command(flatten)]
    air: AirOptions,
    /// Flights behind the probabilities
    #[arg(long, value_name = "N", default_value_t = DRAWS as u32,
          value_parser = clap::value_parser!(u32).range(1..=DRAWS_MAX as i64))]
    draws: u32,
    /// Seed of their random numbers: the same seed gives the same answer
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
    /// Plane and hand as the notebook's newest calibration found them
    #[arg(long)]
    calibrated: bool,
    #[command(flatten)]
    notebook: NotebookOption,
}

/// The air; an ordinary room without any of these.
#[derive(clap::Args)]
pub struct AirOptions {
    /// Temperature of the air, degrees Celsius
    #[arg(long, value_name = "C", allow_hyphen_values = true)]
    temperature: Option<f64>,
    /// Pressure of the air, hPa
    #[arg(long, value_name = "HPA")]
    pressure: Option<f64>,
    /// Relative humidity, per cent
    #[arg(long, value_name = "PERCENT")]
    humidity: Option<f64>,
    /// Height above the sea, m, in the standard atmosphere
    #[arg(long, value_name = "M", allow_hyphen_values = true,
          conflicts_with_all = ["temperature", "pressure", "humidity"])]
    altitude: Option<f64>,
}

impl FlightOptions {
    /// What differs from the throw the design is meant for.
    pub fn change(&self) -> ThrowChange {
        ThrowChange { speed_m_s: self.speed, elevation_rad: self.elevation, height_m: self.height }
    }

    /// Predictions are to use a calibration.
    pub fn calibrated(&self) -> bool {
        self.calibrated
    }

    /// The notebook.
    pub fn notebook(&self) -> &NotebookOption {
        &self.notebook
    }

    /// Room, air and number of flights.
    pub fn conditions(&self) -> Result<Conditions, Error> {
        Ok(Conditions {
            air: self.air.air()?,
            hall: Hall {
                length_m: self.hall_length,
                ceiling_m: self.hall_height,
                ..Hall::default()
            },
            draws: self.draws as usize,
            seed: self.seed,
            ..Conditions::default()
        })
    }
}

impl AirOptions {
    /// The air.
    pub fn air(&self) -> Result<Air, Error> {
        let indoors = Air::indoors();
        let air = match self.altitude {
            Some(altitude) => Air::at_altitude_m(altitude),
            None => Air::new(
                self.temperature.map_or(indoors.temperature_k, |c| c + ZERO_CELSIUS_K),
                self.pressure.map_or(indoors.pressure_pa, |hpa| hpa * 100.0),
                self.humidity.map_or(indoors.humidity, |percent| percent / 100.0),
            ),
        };
        air.map_err(|e| Error::usage(e.to_string()))
    }
}

/// A quantity in its unit or another, between limits in SI.
pub fn between(text: &str, unit: Unit, [least, most]: [f64; 2]) -> Result<f64, String> {
    let value = quantity_outside(text, unit).map_err(|d| match d.help {
        Some(help) => format!("{}; {help}", d.message),
        None => d.message,
    })?;
    let (one, symbol) = (unit.quantity().value, unit.symbol());
    if least <= value && value <= most {
        return Ok(value);
    }
    let [least, most] = [least, most].map(|v| decimals(v / one, 4));
    Err(format!("must lie between {least} and {most} {symbol}"))
}

/// `3.5`, `3.5 m/s`
pub fn speed(text: &str) -> Result<f64, String> {
    let speed_m_s = between(text, Unit::MPerS, [0.0, SPEED_MAX_M_S])?;
    if speed_m_s == 0.0 {
        return Err("a throw needs some speed; a plane let go does not glide from the hand".into());
    }
    Ok(speed_m_s)
}

fn elevation(text: &str) -> Result<f64, String> {
    let right = std::f64::consts::FRAC_PI_2;
    between(text, Unit::Deg, [-right, right])
}

fn height(text: &str) -> Result<f64, String> {
    between(text, Unit::M, [0.0, HEIGHT_MAX_M])
}

/// Smallest and largest room, m. Chosen: a table top, and more than any plane crosses.
const ROOM_M: [f64; 2] = [0.3, 1000.0];

fn room(text: &str) -> Result<f64, String> {
    between(text, Unit::M, ROOM_M)
}

/// 0 degrees Celsius in kelvin (BIPM SI brochure, 2019, section 2.3.1).
const ZERO_CELSIUS_K: f64 = 273.15;
