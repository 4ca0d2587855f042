//! The flight model of a design as a calibration sees it.

use plumbfold::flight::throw::{Hall, Throw, fly};
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation, Uncertainty};

use super::{Hand, Model, Thrown};

/// A plane thrown as it is meant to be.
pub struct Flown {
    craft: Aircraft,
    meant: Throw,
    hall: Hall,
}

impl Flown {
    /// Of a plane, thrown so in such a hall.
    pub fn new(craft: Aircraft, meant: Throw, hall: Hall) -> Self {
        Self { craft, meant, hall }
    }

    /// Balance point behind the nose by the text, m.
    pub fn behind_nose_m(&self) -> f64 {
        self.craft.mass.behind_nose_m()
    }
}

impl Model for Flown {
    fn throw(&self, plane: &Perturbation, hand: &Hand, z: [f64; 4]) -> Option<Thrown> {
        let careful = Uncertainty::CAREFUL;
        let throw = Throw {
            speed_m_s: self.meant.speed_m_s * hand.speed * (hand.speed_scatter * z[0]).exp(),
            elevation_rad: self.meant.elevation_rad
                + hand.elevation_rad
                + hand.elevation_scatter_rad * z[1],
            bank_rad: self.meant.bank_rad + careful.bank_rad * z[2],
            incidence_rad: self.meant.incidence_rad + careful.incidence_rad * z[3],
            ..self.meant
        };
        let body = self.craft.perturbed(plane).ok()?;
        let flight = fly(&body, &throw, &self.hall, JUDGED_EVERY_S).ok()?;
        Some(Thrown { distance_m: flight.distance_m, time_s: flight.time_aloft_s })
    }

    fn meant(&self) -> [f64; 2] {
        [self.meant.speed_m_s, self.meant.elevation_rad]
    }

    fn path(
        &self,
        plane: &Perturbation,
        [speed_m_s, elevation_rad, incidence_rad]: [f64; 3],
        times_s: &[f64],
        fall_m: f64,
    ) -> Option<Vec<[f64; 2]>> {
        let straight = Throw::straight(speed_m_s, elevation_rad, fall_m);
        let throw = Throw { incidence_rad, ..straight };
        let body = self.craft.perturbed(plane).ok()?;
        let flight = fly(&body, &throw, &Hall::default(), JUDGED_EVERY_S).ok()?;
        let at = |t: &f64| {
            let place = |k: usize| {
                let p = flight.samples.get(k)?.motion.position;
                Some([p.x.hypot(p.y), p.z - fall_m])
            };
            let k = flight.samples.partition_point(|s| s.t_s <= *t).checked_sub(1)?;
            let (a, b) = (place(k)?, place(k + 1)?);
            let (from, to) = (flight.samples[k].t_s, flight.samples[k + 1].t_s);
            let share = (t - from) / (to - from);
            Some([0, 1].map(|i| a[i] + share * (b[i] - a[i])))
        };
        times_s.iter().map(at).collect()
    }
}
