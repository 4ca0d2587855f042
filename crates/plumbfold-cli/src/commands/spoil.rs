use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use plumbfold::pipeline::{Analysed, Settings, ThrowChange};
use plumbfold::study::remedy::spoil::{Spoiled, Way, spoil};
use plumbfold::study::remedy::{self, Remedy};
use plumbfold::verdict::Behaviour;
use plumbfold_view::numbers::Numbers;

use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::interrupt;
use crate::options::Global;
use crate::progress;
use crate::report::diagnostics;
use crate::system::{Overwrite, Source, System};

/// Spoil planes on purpose: to practise mending, or to see how well `mend` does
///
/// Makes each design tail-heavy, nose-heavy, twisted, and thrown wrong, each by
/// the smallest change that makes it misbehave. With `--out`, writes the
/// spoiled designs, for a class to find out what is wrong; with `--table`,
/// mends each with the first remedy and writes how it went.
///
/// Examples:
///   plumbfold spoil designs/halyard.plane --out spoiled
///   plumbfold spoil designs/*.plane --table docs/mending.md
#[derive(clap::Args)]
#[command(verbatim_doc_comment)]
pub struct Spoil {
    /// Designs
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Directory for the spoiled designs
    #[arg(long, value_name = "DIR", required_unless_present = "table")]
    out: Option<PathBuf>,
    /// Page with the table of what was spoiled and how it was mended; `-` is standard output
    #[arg(long, value_name = "FILE")]
    table: Option<PathBuf>,
    #[command(flatten)]
    flight: FlightOptions,
}

/// One spoiled design, and what became of it.
struct Case {
    plane: String,
    way: Way,
    spoiled: Option<Spoiled>,
    first: Option<Remedy>,
}

impl Spoil {
    /// Spoils, writes, mends.
    pub fn run(&self, _: &Global, system: &mut System) -> Result<(), Error> {
        interrupt::listen();
        let bar = progress::bar("planes spoiled");
        bar.set_length((self.files.len() * Way::EVERY.len()) as u64);
        let mut cases = Vec::new();
        for path in &self.files {
            let source = system.read_design(path)?;
            for way in Way::EVERY {
                if interrupt::asked() {
                    break;
                }
                let case = self.one(&source, way, system)?;
                cases.push(case);
                bar.inc(1);
            }
        }
        bar.finish_and_clear();
        if let Some(path) = &self.table {
            let page = page(&cases);
            if path == Path::new("-") {
                system.answer(&page)?;
            } else {
                system.write(path, page.as_bytes(), Overwrite::Never)?;
                system.message(&format!("{} written\n", path.display()));
            }
        }
        if interrupt::asked() {
            return Err(Error::stopped("not every plane was spoiled"));
        }
        Ok(())
    }

    fn one(&self, source: &Source, way: Way, system: &mut System) -> Result<Case, Error> {
        if self.flight.calibrated() {
            let message = "planes are spoiled as they are designed, not as one was found to be";
            return Err(Error::usage(message).hint("leave out --calibrated"));
        }
        let conditions = self.flight.conditions()?;
        let told = |problems: plumbfold::pipeline::Problems, system: &mut System| {
            let problems = problems.with_advice(&source.text, &Settings::default());
            system.message(&diagnostics::to_text(source, &problems.diagnostics));
            Error::told(Vec::new())
        };
        let (text, settings) =
            remedy::settled(&source.text, &Settings::default(), &self.flight.change());
        let spoiled = spoil(&text, way, &settings, &conditions).map_err(|p| told(p, system))?;
        let mut first = None;
        if let Some(spoiled) = &spoiled {
            if let Some(dir) = &self.out {
                let name = format!("{}-{}.plane", source.stem(), way.words().replace(' ', "-"));
                let path = dir.join(name);
                system.write(&path, spoiled.text.as_bytes(), Overwrite::Never)?;
                system.message(&format!("{}: {}\n", path.display(), spoiled.sentence));
            }
            if self.table.is_some() {
                let change = ThrowChange::default();
                let mended =
                    remedy::mend(&spoiled.text, &settings, &change, &conditions, &|_, _| true);
                first = mended.map_err(|p| told(p, system))?.remedies.into_iter().next();
            }
        }
        Ok(Case { plane: source.stem(), way, spoiled, first })
    }
}

impl Case {
    fn mended(&self) -> bool {
        self.first.as_ref().is_some_and(|r| r.after.behaviour() == Behaviour::Glides)
    }
}

fn page(cases: &[Case]) -> String {
    let spoiled = cases.iter().filter(|c| c.spoiled.is_some()).count();
    let mended = cases.iter().filter(|c| c.mended()).count();
    let mut out = format!(
        "# Spoiled and mended\n\n\
         Written by `plumbfold spoil designs/*.plane --table docs/mending.md`; do not edit. Each \
         shipped design is spoiled in four ways, each by the smallest of a folder's moves that \
         makes it misbehave; then the first remedy `plumbfold mend` names is made and the plane \
         is checked again. {spoiled} planes could be spoiled, {mended} of them glide after the \
         first remedy. The shares are of two hundred flights.\n\n\
         | plane | spoiled | how | it then | first remedy | and then |\n\
         |---|---|---|---|---|---|\n"
    );
    for c in cases {
        let state = |a: &Analysed| Numbers::new(a).verdict();
        let (how, then) = match &c.spoiled {
            Some(s) => (s.sentence.as_str(), state(&s.after)),
            None => ("no move within its range does it", "glides".to_owned()),
        };
        let (remedy, after) = match (&c.first, &c.spoiled) {
            (Some(r), _) => (r.sentence.as_str(), state(&r.after)),
            (None, Some(_)) => ("**none found**", "**missed**".to_owned()),
            (None, None) => ("", String::new()),
        };
        // Writing to a String cannot fail.
        let _ = writeln!(
            out,
            "| {} | {} | {how} | {then} | {remedy} | {after} |",
            c.plane,
            c.way.words()
        );
    }
    out
}
