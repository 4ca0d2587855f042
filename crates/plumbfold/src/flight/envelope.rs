//! The map over throw speed and elevation.

use rayon::prelude::*;

use crate::air::AirLoads;

use super::rigid::{Body, FlightError};
use super::throw::{Flight, Hall, Throw, fly};

/// Most throws in one map: 100 x 100 is finer than a picture shows.
pub const CELLS_MAX: usize = 10_000;

/// Time between samples of the flights of a map, s. Short enough for what is judged from them.
const SAMPLE_EVERY_S: f64 = 0.02;

/// One throw of a map.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell<B> {
    /// Speed, m/s.
    pub speed_m_s: f64,
    /// Elevation, rad.
    pub elevation_rad: f64,
    /// What the judge said.
    pub behaviour: B,
    /// Distance, m.
    pub distance_m: f64,
    /// Time aloft, s.
    pub time_aloft_s: f64,
    /// Greatest height, m.
    pub max_height_m: f64,
    /// See [`Flight::suspect`].
    pub suspect: bool,
}

/// Flies every speed at every elevation (row by row, elevations outside), the rest of the throw as
/// in `throw`, and has each flight judged. The same answer on any number of threads.
///
/// # Errors
/// [`FlightError::MapTooLarge`], or that of the first throw that fails.
pub fn envelope<A: AirLoads + Sync, B: Send>(
    body: &Body<A>,
    throw: &Throw,
    hall: &Hall,
    (speeds_m_s, elevations_rad): (&[f64], &[f64]),
    judge: impl Fn(&Flight) -> B + Sync,
) -> Result<Vec<Cell<B>>, FlightError> {
    let cells = speeds_m_s.len() * elevations_rad.len();
    if cells > CELLS_MAX {
        return Err(FlightError::MapTooLarge { cells, most: CELLS_MAX });
    }
    let cell = |i: usize| {
        let speed_m_s = speeds_m_s[i % speeds_m_s.len()];
        let elevation_rad = elevations_rad[i / speeds_m_s.len()];
        let flight =
            fly(body, &Throw { speed_m_s, elevation_rad, ..*throw }, hall, SAMPLE_EVERY_S)?;
        Ok(Cell {
            speed_m_s,
            elevation_rad,
            behaviour: judge(&flight),
            distance_m: flight.distance_m,
            time_aloft_s: flight.time_aloft_s,
            max_height_m: flight.max_height_m,
            suspect: flight.suspect(),
        })
    };
    let flown: Vec<_> = (0..cells).into_par_iter().map(cell).collect();
    flown.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use nalgebra::Matrix3;

    use super::super::textbook::Ball;
    use super::*;

    #[test]
    fn a_map_of_parabolas_is_the_same_on_any_number_of_threads() {
        let body = Body::new(0.005, Matrix3::identity() * 1e-5, Ball { drag_kg_m: 0.001 });
        let body = body.expect("a ball");
        let throw = Throw::straight(1.0, 0.0, 1.6);
        let axes = (&[2.0, 4.0, 6.0][..], &[-0.2, 0.0, 0.2, 0.7][..]);
        let map = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("pool");
            pool.install(|| envelope(&body, &throw, &Hall::default(), axes, |f| f.end))
                .expect("map")
        };
        let one = map(1);
        assert_eq!(one, map(2));
        assert_eq!(one, map(3));
        assert_eq!((one.len(), one[4].speed_m_s, one[4].elevation_rad), (12, 4.0, 0.0));
        assert!(one[2].distance_m > one[1].distance_m);
        let many = vec![1.0; 200];
        let big = envelope(&body, &throw, &Hall::default(), (&many, &many), |_| ());
        assert!(matches!(big, Err(FlightError::MapTooLarge { cells: 40_000, .. })));
    }
}
