//! The flight model of a design as a calibration sees it.

use plumbfold::air::Air;
use plumbfold::flight::throw::{Hall, Throw, fly};
use plumbfold::pipeline::ThrowChange;
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::uncertainty::{JUDGED_EVERY_S, Perturbation, Uncertainty};
use plumbfold_stats::calibration::{Hand, Model, Thrown};

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::system::System;

/// A plane thrown as it is meant to be.
pub struct Flown {
    craft: Aircraft,
    meant: Throw,
    hall: Hall,
}

impl Flown {
    /// Of a design, thrown so in such air.
    pub fn new(
        file: &DesignFile,
        change: &ThrowChange,
        air: &Air,
        hall: Hall,
        system: &mut System,
    ) -> Result<Self, Error> {
        let balanced = file.balance(system)?;
        let meant = change.apply(balanced.throw.into());
        let craft = file.aircraft(&balanced, air, meant.speed_m_s, system)?;
        Ok(Self { craft, meant, hall })
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
}
