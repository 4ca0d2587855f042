use std::path::PathBuf;

use plumbfold_stats::calibration::calibrate;
use plumbfold_stats::calibration::gather::{Asked, Gathered};
use plumbfold_stats::record::{self, version_of};
use plumbfold_view::calibrated as view;
use plumbfold_view::said::fixed;

use crate::design_file::DesignFile;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::flown::flown;
use crate::notebook_file::NotebookOption;
use crate::options::Global;
use crate::progress;
use crate::report::table::Table;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// Fit the prediction to what was measured: throws, balance, filmed paths
///
/// The numbers that nobody knows of a folded plane and of the hand that throws
/// it (bends, friction, centre of pressure; how fast and steeply it really
/// throws, and its scatter) are fitted to the throws and filmed paths of this
/// text in the notebook, with what is known of them now as the prior. What they
/// do not tell is left as it was. Its bands are for throws of some other day,
/// on which hand and plane are not quite the same. The fit is kept; `check`,
/// `fly`, `mend`, `tolerance` and others use it with --calibrated and say how
/// later throws lie in its band.
///
/// Examples:
///   plumbfold calibrate designs/halyard.plane
///   plumbfold calibrate my.plane --thrower Pim --paper "80 g copy paper"
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
    /// Throws of this folded copy only
    #[arg(long, value_name = "NAME")]
    copy: Option<String>,
    /// Throws of copies of this paper only
    #[arg(long, value_name = "PAPER")]
    paper: Option<String>,
    /// Show it and do not keep it
    #[arg(long)]
    no_keep: bool,
    #[command(flatten)]
    flight: FlightOptions,
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
        let own = version_of(&file.source.text);
        let asked = Asked {
            plane: &name,
            version: (!self.any_version).then_some(own.as_str()),
            thrower: self.thrower.as_deref(),
            copy: self.copy.as_deref(),
            paper: self.paper.as_deref(),
        };
        let gathered = Gathered::new(&notebook.entries()?, &asked);
        let mut change = self.flight.change();
        change.height_m = change.height_m.or(gathered.hand_m);
        let flown = flown(&file, &change, &conditions.air, conditions.hall, system)?;
        let of_other_texts = gathered.of_other_texts;
        let evidence = gathered.against(flown.behind_nose_m());
        let bar = progress::bar("steps of the fit");
        let fitted = calibrate(&flown, &evidence, conditions.seed, &|done, of| {
            progress::at(&bar, done, of);
        });
        bar.finish_and_clear();
        let fitted = fitted.map_err(|e| {
            let more = match of_other_texts {
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
        let kept = if self.no_keep { None } else { Some(keep(&fitted, &asked, notebook)?) };
        let answer = view::Calibrated::new(&fitted, &name, &evidence, kept);
        tell(&answer, || report(&answer), global, system)
    }
}

fn keep(
    fitted: &plumbfold_stats::calibration::Calibration,
    asked: &Asked<'_>,
    notebook: &NotebookOption,
) -> Result<String, Error> {
    let record = record::Calibration::of(fitted, asked)
        .map_err(|e| Error::internal(format!("cannot write the calibration: {e}")))?;
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
        "Margin: what is left of the doubt there was before. How far the 80 % are to be trusted: of the \
         numbers tried about the most probable ones {} % counted (well above 10 % is good).",
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
