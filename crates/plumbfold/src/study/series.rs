//! One let in steps, or two against each other: the same design over and over, each time with
//! other values.
//!
//! ```text
//! tip=8mm..40mm/9      nine values, evenly from 8 to 40 mm
//! tip=8mm,12mm,20mm    these three
//! turns=0..4           a count: every whole number
//! tip                  the whole range the text states
//! ```

use crate::design::diagnostic::Diagnostic;
use crate::design::dial::Dial;
use crate::pipeline::{self, Balanced, Problems, Settings};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// Values of a let that is not a count and has no number of steps given. Chosen: a curve is seen,
/// and nine small pictures stand in a row.
pub const STEPS: usize = 9;
/// Most values of one let. Chosen: more do not fit on a page.
pub const VALUES_MAX: usize = 60;
/// Most variants of a grid. Chosen: twenty by twenty.
pub const VARIANTS_MAX: usize = 400;

/// A let and the values it takes, in its unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Along {
    /// The let.
    pub dial: Dial,
    /// Its values.
    pub values: Vec<f64>,
}

/// One of the planes.
#[derive(Clone, Debug, PartialEq)]
pub struct Variant<T> {
    /// Value of each let, in their order.
    pub values: Vec<f64>,
    /// What it is, or why it is none.
    pub outcome: Result<T, Problems>,
}

impl Along {
    /// From what a person asks, such as `tip=8mm..40mm/9`.
    ///
    /// # Errors
    /// No such let, a value that is none, or more values than anyone compares.
    pub fn read(asked: &str, text: &str, settings: &Settings) -> Result<Self, Problems> {
        let reading = pipeline::read(text, settings);
        let Some(design_values) = reading.values else {
            return Err(Problems { diagnostics: reading.diagnostics, fold: None });
        };
        let (name, values) = match asked.split_once('=') {
            Some((name, values)) => (name.trim(), Some(values.trim())),
            None => (asked.trim(), None),
        };
        let dial = Dial::named(name, &reading.design, &design_values)?;
        let values = match values {
            None => evenly(&dial, dial.ends, None)?,
            Some(list) => match list.split_once("..") {
                None => list.split(',').map(|v| dial.read(v.trim())).collect::<Result<_, _>>()?,
                Some((first, last)) => {
                    let (last, steps) = steps_of(last);
                    let ends = [dial.read(first.trim())?, dial.read(last.trim())?];
                    evenly(&dial, ends, steps)?
                }
            },
        };
        if values.len() > VALUES_MAX {
            return Err(mistake(format!("at most {VALUES_MAX} values of one let")).into());
        }
        Ok(Self { dial, values })
    }
}

fn mistake(message: String) -> Diagnostic {
    Diagnostic::error("bad-series", 0..0, message)
}

/// `40mm/9` is `40mm` in nine steps; `1/2 in` is half an inch.
fn steps_of(last: &str) -> (&str, Option<usize>) {
    match last.rsplit_once('/') {
        Some((value, steps)) => match steps.trim().parse() {
            Ok(steps) => (value, Some(steps)),
            Err(_) => (last, None),
        },
        None => (last, None),
    }
}

/// Values from one end to the other; of a count, whole ones, each once.
fn evenly(
    dial: &Dial,
    [first, last]: [f64; 2],
    steps: Option<usize>,
) -> Result<Vec<f64>, Diagnostic> {
    let whole_ones = ((last - first).abs() as usize).saturating_add(1);
    let steps = steps.unwrap_or(if dial.whole { whole_ones } else { STEPS });
    if !(2..=VALUES_MAX).contains(&steps) && first != last {
        return Err(mistake(format!("from 2 to {VALUES_MAX} values of one let, not {steps}")));
    }
    let at = |k: usize| first + (last - first) * k as f64 / (steps.max(2) - 1) as f64;
    let mut values: Vec<f64> = (0..steps).map(at).collect();
    if dial.whole {
        values.iter_mut().for_each(|v| *v = v.round());
    }
    values.dedup();
    Ok(values)
}

/// Every variant, the first let changing slowest. `look` makes of each balanced plane what the
/// caller wants to know; `progress` is told, from any thread, how many of how many are done, and
/// may stop the rest by returning false: they are then left out. A variant that cannot be folded or
/// flown does not stop the others.
///
/// # Errors
/// More than [`VARIANTS_MAX`] variants.
pub fn variants<T: Send>(
    text: &str,
    settings: &Settings,
    along: &[Along],
    look: &(impl Fn(Balanced) -> Result<T, Problems> + Sync),
    progress: &(impl Fn(usize, usize) -> bool + Sync),
) -> Result<Vec<Variant<T>>, Problems> {
    let mut all: Vec<Vec<f64>> = vec![Vec::new()];
    for a in along {
        all = all
            .iter()
            .flat_map(|before| {
                a.values.iter().map(|&v| before.iter().copied().chain([v]).collect())
            })
            .collect();
        if all.len() > VARIANTS_MAX {
            let n: usize = along.iter().map(|a| a.values.len()).product();
            return Err(mistake(format!("{n} variants are more than {VARIANTS_MAX}"))
                .help("take fewer values of each let")
                .into());
        }
    }
    let (done, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let one = |values: &Vec<f64>| {
        if stop.load(Ordering::Relaxed) {
            return None;
        }
        let mut settings = settings.clone();
        for (a, &value) in along.iter().zip(values) {
            settings.sets.retain(|s| s.0 != a.dial.name);
            settings.sets.push((a.dial.name.clone(), a.dial.exactly(value)));
        }
        let outcome = pipeline::balance(text, &settings).and_then(look);
        if !progress(done.fetch_add(1, Ordering::Relaxed) + 1, all.len()) {
            stop.store(true, Ordering::Relaxed);
        }
        Some(Variant { values: values.clone(), outcome })
    };
    let variants: Vec<Option<Variant<T>>> = all.par_iter().map(one).collect();
    Ok(variants.into_iter().flatten().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "plane P\nsheet 200 mm by 100 mm, 100 g/m2\ncreep off\n\
        let band = 10 mm, from 5 mm to 120 mm\nlet n = 2, from 0 to 4\n\
        valley parallel to top edge, band from it, moving top edge, call it front\npose flat\n";

    fn values(asked: &str) -> Vec<f64> {
        Along::read(asked, TEXT, &Settings::default()).expect(asked).values
    }

    fn refused(asked: &str) -> String {
        let error = Along::read(asked, TEXT, &Settings::default()).unwrap_err();
        error.diagnostics[0].message.clone()
    }

    #[test]
    fn values_in_steps_in_lists_and_of_counts() {
        assert_eq!(values("band=8mm..40mm/5"), [8.0, 16.0, 24.0, 32.0, 40.0]);
        assert_eq!(values("band = 8 .. 10 / 2"), [8.0, 10.0]);
        let list = values("band=8mm, 1.2cm,20");
        assert!(list.len() == 3 && (list[1] - 12.0).abs() < 1e-9 && list[2] == 20.0, "{list:?}");
        assert_eq!(values("band=8mm..40mm").len(), STEPS);
        assert_eq!(values("band").len(), STEPS);
        assert_eq!(values("n=0..4"), [0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(values("n=4..0/3"), [4.0, 2.0, 0.0]);
        assert_eq!(values("n=0..4/9").len(), 5, "half turns are none");
        let inches = values("band=1/4 in..1/2 in/2");
        assert!((inches[0] - 6.35).abs() < 1e-9 && (inches[1] - 12.7).abs() < 1e-9, "{inches:?}");
    }

    #[test]
    fn what_is_no_series_is_refused() {
        assert!(refused("bnad=1mm..2mm").contains("no let is called"));
        assert!(refused("band=1 deg..2 deg").contains("angle"));
        assert!(refused("band=1mm..2mm/1000").contains("not 1000"));
        assert!(refused("band=1mm..2mm/1").contains("not 1"));
        assert!(refused("n=0..99999999999999999999999").contains("60"));
        for asked in ["band=", "band=..", "band=1mm..", "band=,", "=1mm..2mm", ""] {
            assert!(!refused(asked).is_empty(), "{asked}");
        }
    }

    #[test]
    fn a_grid_has_every_pair_and_the_impossible_ones_say_why() {
        let read = |asked| Along::read(asked, TEXT, &Settings::default()).unwrap();
        let along = [read("band=10mm,60mm,130mm"), read("n=0..1")];
        let look = |b: Balanced| Ok(b.mass.behind_nose_m() * 1e3);
        let all = variants(TEXT, &Settings::default(), &along, &look, &|_, _| true).unwrap();
        let pairs: Vec<&[f64]> = all.iter().map(|v| &v.values[..]).collect();
        assert_eq!(pairs[..3], [[10.0, 0.0], [10.0, 1.0], [60.0, 0.0]]);
        assert_eq!(all.len(), 6);
        // 90 mm of single sheet about its middle and 10 mm of band at the front.
        let found = all[0].outcome.as_ref().unwrap();
        assert!((found - (90.0 * 45.0 + 10.0 * 5.0) / 100.0).abs() < 1e-9, "{found}");
        assert!(all[4].outcome.is_err() && all[5].outcome.is_err(), "out of its range");
    }

    #[test]
    fn too_large_a_grid_is_refused_before_it_is_begun() {
        let a = Along::read("band=10mm..60mm/30", TEXT, &Settings::default()).unwrap();
        let look = |_: Balanced| -> Result<(), Problems> { panic!("begun") };
        let along = [a.clone(), a];
        assert!(variants(TEXT, &Settings::default(), &along, &look, &|_, _| true).is_err());
    }

    #[test]
    fn the_caller_can_stop_it() {
        let along = [Along::read("band=8mm..40mm/40", TEXT, &Settings::default()).unwrap()];
        let look = |b: Balanced| Ok(b.area_ahead_fraction);
        let some = variants(TEXT, &Settings::default(), &along, &look, &|_, _| false).unwrap();
        assert!(!some.is_empty() && some.len() < 40, "{}", some.len());
    }
}
