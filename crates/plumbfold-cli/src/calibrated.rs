//! Predictions that use a calibration.

use std::collections::BTreeSet;

use plumbfold::verdict::uncertainty::{Found, Uncertainty};
use plumbfold_stats::calibration::Calibration;
use plumbfold_stats::calibration::gather::{Asked, Picked};
use plumbfold_stats::record::{self, Entry, Kept, holding};
use plumbfold_stats::typed::alike;
use plumbfold_view::calibrated::InUse;

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

/// What the newest calibration of a plane found and how far off that may be. The answer then
/// says so, and how throws measured since lie in its band.
/// `version` is the text it is used for, none for one that was changed.
pub fn found(
    plane: &str,
    version: Option<&str>,
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
    let of_this = kept.record.version.as_deref().is_none_or(|fitted| version == Some(fitted));
    // In the order they were written into this notebook, whenever they were thrown.
    let since: BTreeSet<&str> =
        holding.iter().skip_while(|e| e.id != kept.id).map(|e| e.id.as_str()).collect();
    let throws = Picked::new(&holding, &Asked::again(&kept.record)).throws;
    let later = throws.into_iter().filter(|t| since.contains(t.id.as_str()));
    let later: Vec<record::Throw> = later.map(|t| t.record).filter(|t| t.ended.is_none()).collect();
    let later = of_this.then_some(&later[..]);
    system.count_with(InUse::new(&c, &kept, later));
    Ok((found, uncertainty))
}
