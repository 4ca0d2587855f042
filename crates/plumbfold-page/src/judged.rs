//! What the notebook's throws say, asked from the page: whether a change was real or luck, and what they
//! make of the prediction.

use plumbfold::air::Air;
use plumbfold::flight::throw::{Hall, Throw};
use plumbfold::pipeline::{self, Settings};
use plumbfold::plane::assembly;
use plumbfold_stats::calibration::calibrate;
use plumbfold_stats::calibration::flown::Flown;
use plumbfold_stats::calibration::gather::{Asked, Gathered};
use plumbfold_stats::record::{self, Entry, Record, holding, version_of};
use plumbfold_stats::results::{Measure, Shelf};
use plumbfold_view::calibrated::Calibrated;
use plumbfold_view::settle::Settle;
use serde::Serialize;

/// An answer in words.
#[derive(Debug, Serialize)]
pub struct Told {
    said: String,
    /// What makes it less sure.
    warnings: Vec<String>,
}

/// Whether the throws of b differ from those of a by more than luck; both are named as the results name
/// them. The look is to be kept: who looks often sees luck as progress.
///
/// # Errors
/// No such throws, or too few.
pub fn settled(entries: &[Entry], a: &str, b: &str) -> Result<(Told, Record), String> {
    let holding = holding(entries);
    let shelf = Shelf::new(&holding);
    let groups = shelf.groups();
    let named = |name: &str| {
        let found = groups.iter().find(|g| g.label == name);
        found.ok_or_else(|| format!("the notebook has no throws of {name}"))
    };
    let both = [named(a)?, named(b)?];
    let measured = |m| both.iter().all(|g| g.values(m).len() > 1);
    let measure = if measured(Measure::Distance) { Measure::Distance } else { Measure::Time };
    let (answer, look) = Settle::new(&holding, &shelf, both, measure, 1).map_err(|e| e.why)?;
    Ok((Told { said: answer.said, warnings: answer.warnings }, look.into()))
}

/// What throws and filmed paths of a design make of its prediction.
///
/// # Errors
/// A design that does not fly, or what the fit is refused for.
pub fn calibrated(entries: &[Entry], text: &str) -> Result<(Told, Record), String> {
    let plane = pipeline::balance(text, &Settings::default()).map_err(|p| p.to_string())?;
    let name = assembly::name(plane.source.design());
    let version = version_of(text);
    let asked = Asked { plane: &name, version: Some(&version), ..Asked::default() };
    let gathered = Gathered::new(entries, &asked);
    let meant: Throw = plane.throw.into();
    let meant = Throw { height_m: gathered.hand_m.unwrap_or(meant.height_m), ..meant };
    let craft =
        pipeline::aircraft(&plane, &Air::indoors(), meant.speed_m_s).map_err(|p| p.to_string())?;
    let flown = Flown::new(craft, meant, Hall::default());
    let other = match gathered.of_other_texts {
        0 => Vec::new(),
        n => vec![format!("{n} throws of other texts of {name} are left out")],
    };
    let evidence = gathered.against(flown.behind_nose_m());
    let fitted = calibrate(&flown, &evidence, SEED, &|_, _| ()).map_err(|e| e.to_string())?;
    let record = record::Calibration::of(&fitted, &asked).map_err(|e| e.to_string())?;
    let answer = Calibrated::new(&fitted, &name, &evidence, None);
    let number = |n: &plumbfold_stats::calibration::Fitted| {
        let [low, now, high] = [n.interval[0], n.now, n.interval[1]].map(|v| format!("{v:.2}"));
        format!("{}: {now} {} ({low} to {high})", n.what, n.unit)
    };
    let told = answer.numbers.iter().filter(|n| n.told).map(number);
    let warnings = told.chain(other).collect();
    Ok((Told { said: answer.said, warnings }, record.into()))
}

/// Of the draws: the same as the program's, so that both say the same.
const SEED: u64 = 1;
