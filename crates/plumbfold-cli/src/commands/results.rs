use std::path::PathBuf;

use plumbfold_draw::style::Look;
use plumbfold_draw::throws::{Row, throws};
use plumbfold_draw::units::{FOOT_M, Units};
use plumbfold_stats::results::{Group, Measure};
use plumbfold_stats::sample::Summary;
use plumbfold_view::results as view;
use plumbfold_view::said::fixed;

use crate::error::Error;
use crate::notebook_file::{NotebookOption, mistyped};
use crate::options::Global;
use crate::picture;
use crate::report::table::Table;
use crate::report::{Rows, json::tell};
use crate::system::System;

/// What the notebook's throws say: mean, spread, best, what was seen, practice and tiring
///
/// For each plane and version: the mean with its 95 % interval (Student's t),
/// the median with its interval (order statistics), the scatter of single
/// throws with its interval (chi squared), and how each throw of a session
/// compares with the one before (a line by least squares).
///
/// Examples:
///   plumbfold results
///   plumbfold results halyard@1 halyard@2 -o throws.svg
///   plumbfold results halyard --time --json
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Results {
    /// Planes (halyard), versions (halyard@2), trims (halyard:edges up) or copies; all without
    planes: Vec<String>,
    /// Draw times aloft in place of distances
    #[arg(long)]
    time: bool,
    /// Draw every throw into this file, .svg or .png
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    #[command(flatten)]
    notebook: NotebookOption,
}

impl Results {
    /// Reads the throws, answers, draws.
    pub fn run(&self, global: &Global, system: &mut System) -> Result<(), Error> {
        let shelf = self.notebook.shelf()?;
        let groups: Vec<Group<'_>> = match self.planes[..] {
            [] => shelf.groups(),
            _ => {
                let select = |p: &String| shelf.select(p).map_err(mistyped);
                self.planes.iter().map(select).collect::<Result<_, _>>()?
            }
        };
        if groups.is_empty() {
            return Err(Error::input("the notebook has no throws")
                .hint("plumbfold log throw halyard 12.4m 3.1s glided"));
        }
        let answer = view::Results::new(&shelf, &groups);
        if let Some(path) = &self.output {
            let svg = self.drawn(&answer, global.units());
            picture::write(system, path, &svg)?;
            system.message(&format!("{} drawn\n", path.display()));
        }
        tell(&answer, || report(&answer, global.units()), global, system)
    }

    fn drawn(&self, answer: &view::Results, units: Units) -> String {
        let measure = if self.time { Measure::Time } else { Measure::Distance };
        let (each, unit) = counted(measure, units);
        type Thrown = Vec<(f64, Option<plumbfold::verdict::Behaviour>)>;
        let every = |p: &view::Thrown| -> Thrown {
            let of = |e: &view::Each| {
                let value = if self.time { e.time_s } else { e.distance_m }?;
                let known = plumbfold::verdict::Behaviour::EVERY.into_iter();
                let did = known.into_iter().find(|b| Some(b.code()) == e.did.as_deref());
                Some((value / each, did))
            };
            p.every.iter().filter_map(of).collect()
        };
        let all: Vec<(Thrown, Option<&Summary>)> = answer
            .planes
            .iter()
            .map(|p| (every(p), if self.time { p.time.as_ref() } else { p.distance.as_ref() }))
            .collect();
        let rows: Vec<Row<'_>> = answer
            .planes
            .iter()
            .zip(&all)
            .map(|(p, (throws, summary))| Row {
                name: &p.name,
                throws,
                mean: summary
                    .and_then(|s| Some((s.mean / each, s.mean_interval?.map(|v| v / each)))),
            })
            .collect();
        let what = if self.time { "time aloft" } else { "distance" };
        throws(&Look::light("throws"), "Throws", &format!("{what}, {unit}"), &rows)
    }
}

/// What a measure is counted in, in its own unit, and that unit's name.
fn counted(measure: Measure, units: Units) -> (f64, &'static str) {
    match (measure, units) {
        (Measure::Distance, Units::Inch) => (FOOT_M, "ft"),
        _ => (1.0, measure.unit()),
    }
}

/// The report.
fn report(answer: &view::Results, units: Units) -> Rows {
    let mut rows = Rows::titled("Results");
    for p in &answer.planes {
        rows = rows.gap().paragraph(&p.said);
    }
    let heading = ["", "throws", "mean", "95 %", "median", "scatter", "%", "best"];
    let mut table = Table::new([heading.map(str::to_owned).to_vec()]);
    for p in &answer.planes {
        let both = [(&p.distance, Measure::Distance), (&p.time, Measure::Time)];
        for (s, measure) in both.iter().filter_map(|(s, m)| Some((s.as_ref()?, *m))) {
            let (each, unit) = counted(measure, units);
            let number = |v: f64| fixed(v / each, 2);
            let known = |v: Option<f64>| v.map_or_else(|| "–".to_owned(), number);
            let interval = s.mean_interval.map(|[a, b]| format!("{}–{}", number(a), number(b)));
            table.row(vec![
                format!("{}, {unit}", p.name),
                s.count.to_string(),
                number(s.mean),
                interval.unwrap_or_else(|| "–".to_owned()),
                number(s.median),
                known(s.sd),
                s.sd_fraction.map_or_else(|| "–".to_owned(), |f| fixed(f * 100.0, 0)),
                number(s.greatest),
            ]);
        }
    }
    rows.gap().table(table)
}
