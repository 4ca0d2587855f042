//! The flight model of a design as a calibration sees it, and predictions that use one.

use plumbfold::air::Air;
use plumbfold::flight::throw::{Hall, Throw, fly};
use plumbfold::pipeline::ThrowChange;
use plumbfold::verdict::aircraft::Aircraft;
use plumbfold::verdict::uncertainty::{Found, JUDGED_EVERY_S, Perturbation, Uncertainty};
use plumbfold_stats::calibration::{Calibration, Hand, Model, Thrown};
use plumbfold_stats::record::{self, Entry, Kept, holding};
use plumbfold_stats::typed::alike;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::notebook_file::NotebookOption;
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

/// The newest calibration of a plane that holds, and who it is.
fn newest(
    holding: &[&Entry],
    plane: &str,
) -> Option<(Kept<record::Calibration>, Option<Calibration>)> {
    let of =
        |e: &&Entry| Kept::<record::Calibration>::of(e).filter(|c| alike(&c.record.plane, plane));
    let kept = holding.iter().rev().find_map(of)?;
    let read = serde_json::from_str(&kept.record.numbers).ok();
    Some((kept, read))
}

/// The newest calibration of a plane, where there is one.
pub fn of_plane(entries: &[Entry], plane: &str) -> Option<Calibration> {
    newest(&holding(entries), plane)?.1
}

/// What the newest calibration of a plane found and how far off that may be. Says so, and how
/// throws measured since lie in its band.
pub fn found(
    plane: &str,
    notebook: &NotebookOption,
    system: &mut System,
) -> Result<(Found, Uncertainty), Error> {
    let entries = notebook.entries()?;
    let holding: Vec<&Entry> = holding(&entries);
    let (kept, read) = newest(&holding, plane).ok_or_else(|| {
        Error::input(format!("the notebook has no calibration of {plane}"))
            .hint("`plumbfold calibrate FILE` makes one from its throws")
    })?;
    let read = || {
        let c = read?;
        let (found, uncertainty) = c.found()?;
        Some((c, found, uncertainty))
    };
    let (c, found, uncertainty) = read().ok_or_else(|| {
        Error::input(format!("the calibration {} cannot be read", kept.id))
            .hint("`plumbfold calibrate FILE` makes a new one")
    })?;
    // In the order they were written into this notebook, whenever they were thrown.
    let later = holding.iter().skip_while(|e| e.id != kept.id);
    let later: Vec<Kept<record::Throw>> = later
        .filter_map(|e| Kept::<record::Throw>::of(e))
        .filter(|t| alike(&t.record.plane, plane) && t.record.version == kept.record.version)
        .filter(|t| t.record.ended.is_none())
        .collect();
    let distances: Vec<f64> = later.iter().filter_map(|t| t.record.distance_m).collect();
    let times: Vec<f64> = later.iter().filter_map(|t| t.record.time_s).collect();
    system.message(&plumbfold_view::calibrated::in_use(&c, &kept.at, &distances, &times));
    Ok((found, uncertainty))
}
