use std::path::PathBuf;

use plumbfold_stats::calibration::{Evidence, calibrate};
use plumbfold_stats::record::{self, Entry, Kept, holding, version_of};
use plumbfold_stats::sample::mean;
use plumbfold_stats::track::{self, Columns};
use plumbfold_stats::typed::alike;
use plumbfold_view::calibrated as view;
use plumbfold_view::said::fixed;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::flown::Flown;
use crate::notebook_file::NotebookOption;
use crate::options::Global;
use crate::progress;
use crate::report::table::Table;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// Fit the prediction to what was measured: throws, balance, filmed paths
///
/// The numbers that nobody knows of a folded plane and of the hand that throws it (bends, friction,
/// centre of pressure; how fast and steeply it really throws, and its scatter) are fitted to the
/// throws of this text in the notebook, with what is known of them now as the prior. What the
/// throws do not tell is left as it was. The fit is kept; `check`, `fly`, `mend`, `tolerance` and
/// others use it with --calibrated and say how later throws lie in its band.
///
/// Examples:
///   plumbfold calibrate designs/halyard.plane
///   plumbfold calibrate my.plane --any-version --thrower Pim
///   plumbfold fly my.plane --calibrated
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Calibrate {
    /// Design; `-` is standard input
    file: PathBuf,
    /// Throws of other versions of the text count too
    #[arg(long)]
    any_version: bool,
    /// Throws by this hand only
    #[arg(long, value_name = "NAME")]
    thrower: Option<String>,
    /// Show it and do not keep it
    #[arg(long)]
    no_keep: bool,
    #[command(flatten)]
    flight: FlightOptions,
}

/// What the notebook holds of a design.
struct Measured {
    evidence: Evidence,
    paths: usize,
    hand_m: Option<f64>,
    version: Option<String>,
    /// Throws left out, since they are of other texts of this plane.
    of_other_texts: usize,
}

impl Calibrate {
    /// Fits, answers, keeps.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        if self.flight.calibrated() {
            return Err(Error::usage("a calibration begins from the design, not from another"));
        }
        let file = DesignFile::open(&self.file, global, system)?;
        let (name, notebook) = (file.name(), self.flight.notebook());
        let conditions = self.flight.conditions()?;
        let measured = self.measured(&file, &name, notebook)?;
        let mut change = self.flight.change();
        change.height_m = change.height_m.or(measured.hand_m);
        let flown = Flown::new(&file, &change, &conditions.air, conditions.hall, system)?;
        let mut evidence = measured.evidence;
        let balance = evidence.balance_aft_m.is_some();
        if let Some((behind_nose_m, sd)) = evidence.balance_aft_m {
            evidence.balance_aft_m = Some((behind_nose_m - flown.behind_nose_m(), sd));
        }
        let bar = progress::bar("steps of the fit");
        let fitted = calibrate(&flown, &evidence, conditions.seed, &|done, of| {
            progress::at(&bar, done, of);
        });
        bar.finish_and_clear();
        let fitted = fitted.map_err(|e| {
            let more = match measured.of_other_texts {
                0 => String::new(),
                n => format!(
                    "; {n} throws of other texts of {name} are there: --any-version takes them"
                ),
            };
            Error::input(format!("{name}: {e}{more}")).hint(
                "`plumbfold log plane FILE` keeps this text, `plumbfold log throw FILE …` and \
                     `plumbfold path --keep NAME` add to what is known of it",
            )
        })?;
        let kept = if self.no_keep {
            None
        } else {
            Some(keep(&fitted, &name, measured.version, notebook)?)
        };
        let basis = view::Basis {
            plane: &name,
            distances_m: &evidence.distances_m,
            times_s: &evidence.times_s,
            paths: measured.paths,
            balance,
        };
        let answer = view::Calibrated::new(&fitted, basis, kept);
        tell(&answer, || report(&answer), global, system)
    }

    /// Throws, paths and balance of this text, or of all versions.
    fn measured(
        &self,
        file: &DesignFile,
        name: &str,
        notebook: &NotebookOption,
    ) -> Result<Measured, Error> {
        let entries = notebook.entries()?;
        let holding: Vec<&Entry> = holding(&entries);
        let own = version_of(&file.source.text);
        let is_own = |plane: &str, version: Option<&str>| {
            alike(plane, name) && (self.any_version || version == Some(own.as_str()))
        };
        let by = |session: Option<&str>| {
            let session = holding.iter().find(|e| Some(e.id.as_str()) == session);
            session.and_then(|e| Kept::<record::Session>::of(e))?.record.thrower
        };
        let by_hand = |session: Option<&str>| match &self.thrower {
            Some(asked) => by(session).is_some_and(|own| alike(&own, asked)),
            None => true,
        };
        let mut of_other_texts = 0;
        let throws: Vec<record::Throw> = holding
            .iter()
            .filter_map(|e| Kept::<record::Throw>::of(e))
            .map(|t| t.record)
            .inspect(|t| {
                let other = alike(&t.plane, name) && !is_own(&t.plane, t.version.as_deref());
                of_other_texts += usize::from(other);
            })
            .filter(|t| is_own(&t.plane, t.version.as_deref()) && by_hand(t.session.as_deref()))
            // How far it would have gone is not known.
            .filter(|t| t.ended.is_none())
            .collect();
        let hands: Vec<f64> = throws.iter().filter_map(|t| t.hand_m).collect();
        let mut evidence = Evidence {
            distances_m: throws.iter().filter_map(|t| t.distance_m).collect(),
            times_s: throws.iter().filter_map(|t| t.time_s).collect(),
            ..Evidence::default()
        };
        let mut paths = 0;
        for p in holding.iter().filter_map(|e| Kept::<record::Path>::of(e)) {
            let p = p.record;
            if is_own(&p.plane, p.version.as_deref())
                && let Ok(track) =
                    track::read(&p.points, &Columns::default()).and_then(track::analyse)
            {
                evidence.speeds_m_s.push((track.speed_m_s.value, track.speed_m_s.sd));
                evidence.elevations_rad.push((track.elevation_rad.value, track.elevation_rad.sd));
                paths += 1;
            }
        }
        let balances: Vec<record::Balance> = holding
            .iter()
            .filter_map(|e| Kept::<record::Balance>::of(e))
            .map(|b| b.record)
            .filter(|b| is_own(&b.plane, b.version.as_deref()))
            .collect();
        if !balances.is_empty() {
            let places: Vec<f64> = balances.iter().map(|b| b.behind_nose_mm * 1e-3).collect();
            let n = balances.len() as f64;
            // Half a millimetre for a balance on an edge where nothing else is said (guessed).
            let own = |b: &record::Balance| b.give_or_take_mm.unwrap_or(0.5) * 1e-3;
            let sd = (balances.iter().map(|b| own(b).powi(2)).sum::<f64>() / n / n).sqrt();
            evidence.balance_aft_m = Some((mean(&places), sd));
        }
        let hand_m = (!hands.is_empty()).then(|| mean(&hands));
        let version = (!self.any_version).then_some(own);
        Ok(Measured { evidence, paths, hand_m, version, of_other_texts })
    }
}

fn keep(
    fitted: &plumbfold_stats::calibration::Calibration,
    name: &str,
    version: Option<String>,
    notebook: &NotebookOption,
) -> Result<String, Error> {
    let numbers = serde_json::to_string(fitted)
        .map_err(|e| Error::internal(format!("cannot write the calibration: {e}")))?;
    let record = record::Calibration { plane: name.to_owned(), version, numbers, note: None };
    let written = notebook.append(vec![(None, record.into())])?;
    Ok(written.first().map_or_else(String::new, |e| e.id.clone()))
}

fn report(c: &view::Calibrated) -> Rows {
    let heading = ["", "before", "now", "80 %", "margin", ""];
    let mut table = Table::new([heading.map(str::to_owned).to_vec()]);
    for n in &c.numbers {
        let name = format!("{} {}", n.what, n.unit);
        let number = |v: f64| fixed(v, 2);
        table.row(vec![
            name.trim().to_owned(),
            number(n.before),
            number(n.now),
            format!("{} to {}", number(n.interval[0]), number(n.interval[1])),
            format!("{} %", fixed(n.margin * 100.0, 0)),
            if n.told { "told" } else { "not told" }.to_owned(),
        ]);
    }
    let mut rows = Rows::titled(&format!("{} calibrated", c.plane)).paragraph(&c.said).gap();
    rows = rows.table(table).gap().paragraph(&format!(
        "margin: of what it was; worth of the draws about the most probable numbers: {} %",
        fixed(c.worth * 100.0, 0)
    ));
    match &c.kept {
        Some(id) => rows.paragraph(&format!(
            "kept as {}; --calibrated uses it",
            plumbfold_view::log::short(id)
        )),
        None => rows,
    }
}
