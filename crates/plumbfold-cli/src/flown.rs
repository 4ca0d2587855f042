//! A design thrown as it is meant to be, for a calibration.

use plumbfold::air::Air;
use plumbfold::flight::throw::Hall;
use plumbfold::pipeline::ThrowChange;
use plumbfold_stats::calibration::flown::Flown;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::system::System;

/// The flight model of a design, thrown so in such air.
pub fn flown(
    file: &DesignFile,
    change: &ThrowChange,
    air: &Air,
    hall: Hall,
    system: &mut System,
) -> Result<Flown, Error> {
    let balanced = file.balance(system)?;
    let meant = change.apply(balanced.throw.into());
    let craft = file.aircraft(&balanced, air, meant.speed_m_s, system)?;
    Ok(Flown::new(craft, meant, hall))
}
