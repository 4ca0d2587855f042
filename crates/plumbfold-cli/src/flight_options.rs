//! Options of every command that throws a plane.

use plumbfold::air::{Air, TEMPERATURE_RANGE_K};
use plumbfold::design::ast::Unit;
use plumbfold::design::eval::quantity_outside;
use plumbfold::flight::throw::{HEIGHT_MAX_M, Hall, SPEED_MAX_M_S};
use plumbfold::flight::wind::{GUST_S, Gust, WIND_MAX_M_S, Wind};
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
    /// Path of the hand to the right of the nose, degrees: the air comes from the right
    #[arg(long, value_name = "ANGLE", value_parser = elevation, allow_hyphen_values = true)]
    sideslip: Option<f64>,
    /// Turn at release, degrees per second, nose to the right positive
    #[arg(long, value_name = "RATE", value_parser = turn, allow_hyphen_values = true)]
    turn: Option<f64>,
    /// The hall, from the hand: far wall, or far wall x width, or with the ceiling, `30x12x6m`
    #[arg(long, value_name = "SIZE", value_parser = hall)]
    hall: Option<Hall>,
    /// Distance to the far wall, m; open without
    #[arg(long, value_name = "LENGTH", value_parser = room)]
    hall_length: Option<f64>,
    /// Height of the ceiling, m; open without
    #[arg(long, value_name = "HEIGHT", value_parser = room)]
    hall_height: Option<f64>,
    /// Wind from ahead, behind, left or right, `"0.3 m/s ahead"`; may be given twice; still without
    #[arg(long, value_name = "WIND", value_parser = wind)]
    wind: Vec<[f64; 3]>,
    /// A gust, `"1 m/s left at 0.5 s for 1 s"`: swells and dies as 1 - cos; may be given twice
    #[arg(long, value_name = "GUST", value_parser = gust)]
    gust: Vec<Gust>,
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
    #[arg(value_parser = celsius, long, value_name = "C", allow_hyphen_values = true)]
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
        ThrowChange {
            speed_m_s: self.speed,
            elevation_rad: self.elevation,
            height_m: self.height,
            sideslip_rad: self.sideslip.unwrap_or(0.0),
            yaw_rate_rad_s: self.turn.unwrap_or(0.0),
        }
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
            hall: Hall { wind: self.air_moves()?, ..self.walls() },
            draws: self.draws as usize,
            seed: self.seed,
            ..Conditions::default()
        })
    }
}

impl FlightOptions {
    fn walls(&self) -> Hall {
        let (length_m, ceiling_m) = (self.hall_length, self.hall_height);
        self.hall.unwrap_or(Hall { length_m, ceiling_m, ..Hall::OPEN })
    }

    fn air_moves(&self) -> Result<Wind, Error> {
        if self.wind.len() > 2 {
            return Err(Error::usage("the wind is given twice at most, along and across")
                .hint("such as --wind \"0.3 m/s ahead\" --wind \"0.2 m/s left\""));
        }
        let mut air = Wind::STILL;
        for wind in &self.wind {
            for (sum, one) in air.steady_m_s.iter_mut().zip(wind) {
                *sum += one;
            }
        }
        if self.gust.len() > air.gusts.len() {
            return Err(Error::usage("at most two gusts can be flown through"));
        }
        for (place, gust) in air.gusts.iter_mut().zip(&self.gust) {
            *place = *gust;
        }
        Ok(air)
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

/// `30x12x6m`: from the hand to the far wall, from wall to wall with the hand in the middle, from
/// floor to ceiling; less of it leaves the rest open.
fn hall(text: &str) -> Result<Hall, String> {
    let sides: Vec<&str> = text.split(['x', '×']).map(str::trim).collect();
    let sides: Vec<f64> = sides.into_iter().map(room).collect::<Result<_, _>>()?;
    match sides[..] {
        [length] => Ok(Hall { length_m: Some(length), ..Hall::OPEN }),
        [length, width] => {
            Ok(Hall { length_m: Some(length), half_width_m: Some(width / 2.0), ..Hall::OPEN })
        }
        [length, width, ceiling] => Ok(Hall {
            length_m: Some(length),
            half_width_m: Some(width / 2.0),
            ceiling_m: Some(ceiling),
            ..Hall::OPEN
        }),
        _ => Err("takes length, width and height, such as 30x12x6m".to_owned()),
    }
}

/// `0.3 m/s ahead`, `0.3 from the left`, as it blows in the room: x down the hall, y to the left.
fn wind(text: &str) -> Result<[f64; 3], String> {
    let text = text.trim();
    let (rest, from) = text.rsplit_once(char::is_whitespace).unwrap_or(("", text));
    let way = match from {
        "ahead" => [-1.0, 0.0, 0.0],
        "behind" => [1.0, 0.0, 0.0],
        "left" => [0.0, -1.0, 0.0],
        "right" => [0.0, 1.0, 0.0],
        _ => {
            let where_from = "says last where it comes from: ahead, behind, left or right";
            return Err(format!("{where_from}, such as `0.3 m/s ahead`"));
        }
    };
    let rest = rest.trim_end();
    let rest = rest.strip_suffix(" the").unwrap_or(rest).trim_end();
    let rest = rest.strip_suffix(" from").unwrap_or(rest);
    let speed = between(rest, Unit::MPerS, [0.0, WIND_MAX_M_S])?;
    Ok(way.map(|w| w * speed))
}

/// `1 m/s left at 0.5 s for 1 s`
fn gust(text: &str) -> Result<Gust, String> {
    let parts = text.split_once(" at ").and_then(|(w, t)| Some((w, t.split_once(" for ")?)));
    let Some((blows, (begins, lasts))) = parts else {
        return Err("says how strong, when and how long: `1 m/s left at 0.5 s for 1 s`".to_owned());
    };
    let seconds = |text: &str, least: f64| {
        let number = text.trim().trim_end_matches('s').trim_end();
        match number.parse::<f64>() {
            Ok(s) if least <= s && s <= GUST_S[1] => Ok(s),
            _ => Err(format!("`{}` is no time between {least} and {} s", text.trim(), GUST_S[1])),
        }
    };
    Ok(Gust {
        peak_m_s: wind(blows)?,
        begins_s: seconds(begins, 0.0)?,
        lasts_s: seconds(lasts, GUST_S[0])?,
    })
}

/// Fastest turn of a hand accepted, degrees per second: once round in half a second. Chosen.
const TURN_MAX_DEG_PER_S: f64 = 720.0;

fn turn(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches("deg/s").trim_end();
    match number.parse::<f64>() {
        Ok(rate) if rate.abs() <= TURN_MAX_DEG_PER_S => Ok(rate.to_radians()),
        _ => Err(format!("takes degrees per second, up to {TURN_MAX_DEG_PER_S} either way")),
    }
}

/// A temperature in degrees Celsius that air can have here.
fn celsius(text: &str) -> Result<f64, String> {
    let [least, most] = TEMPERATURE_RANGE_K.map(|k| k - ZERO_CELSIUS_K);
    let number = text.trim().trim_end_matches('C').trim_end_matches('°').trim_end();
    match number.parse::<f64>() {
        Ok(c) if least <= c && c <= most => Ok(c),
        _ => Err(format!("takes degrees Celsius from {least:.0} to {most:.0}")),
    }
}

/// 0 degrees Celsius in kelvin (BIPM SI brochure, 2019, section 2.3.1).
const ZERO_CELSIUS_K: f64 = 273.15;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hall_is_length_width_and_height_and_less_of_it_leaves_the_rest_open() {
        let whole = hall("30x12x6m").unwrap();
        assert_eq!(
            (whole.length_m, whole.half_width_m, whole.ceiling_m),
            (Some(30.0), Some(6.0), Some(6.0))
        );
        let walls = hall("30 m x 12 m").unwrap();
        assert_eq!((walls.half_width_m, walls.ceiling_m), (Some(6.0), None));
        assert_eq!(hall("20").unwrap().length_m, Some(20.0));
        for wrong in ["", "x", "30x", "30x12x6x2", "-3", "nan"] {
            assert!(hall(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn wind_blows_from_where_it_is_said_to_come() {
        assert_eq!(wind("0.5 m/s from ahead").unwrap(), [-0.5, 0.0, 0.0]);
        assert_eq!(wind("0.5 behind").unwrap(), [0.5, 0.0, 0.0]);
        // The room has y to the left.
        assert_eq!(wind("1 m/s from the left").unwrap()[1], -1.0);
        assert_eq!(wind("1 right").unwrap()[1], 1.0);
        for wrong in ["", "ahead", "1 m/s", "1 m/s up", "99 m/s ahead", "-1 m/s ahead"] {
            assert!(wind(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_gust_says_how_strong_when_and_how_long() {
        let g = gust("1 m/s left at 0.5 s for 2").unwrap();
        assert_eq!((g.peak_m_s[1], g.begins_s, g.lasts_s), (-1.0, 0.5, 2.0));
        for wrong in
            ["1 m/s left", "1 m/s left at 0.5 s", "1 left at x for 1 s", "1 left at 1 for 0"]
        {
            assert!(gust(wrong).is_err(), "{wrong}");
        }
    }
}
