//! Predictions that use a calibration.

use plumbfold::verdict::uncertainty::{Found, Uncertainty};
use plumbfold_stats::calibration::Calibration;
use plumbfold_stats::record::{self, Entry, Kept, holding};
use plumbfold_stats::typed::alike;

use crate::error::Error;
use crate::notebook_file::NotebookOption;
use crate::system::System;

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
