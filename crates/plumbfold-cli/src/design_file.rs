//! A design named on the command line, read with the settings of this run.

use std::cell::OnceCell;
use std::path::{Path, PathBuf};

use plumbfold::air::Air;
use plumbfold::design::diagnostic::Diagnostic;
use plumbfold::design::{parser, print};
use plumbfold::flight::throw::Throw;
use plumbfold::fold::error::FoldError;
use plumbfold::pipeline::{self, Analysed, Balanced, FoldOutcome, Problems, Settings};
use plumbfold::plane::assembly;
use plumbfold::study::best::{self, Best, Wish};
use plumbfold::study::remedy::aim::{self, Aimed, Target};
use plumbfold::study::remedy::{self, Mended};
use plumbfold::study::series::{self, Along, Variant};
use plumbfold::study::tolerance::{self, Skill, Tolerance};
use plumbfold::verdict::aircraft::{Aircraft, Conditions};
use plumbfold::verdict::reasons::Reasons;
use plumbfold::verdict::uncertainty::{Found, Uncertainty};
use plumbfold_draw::style::Look;
use plumbfold_stats::record::version_of;
use plumbfold_view::mistake::Mistake;
use plumbfold_view::numbers::Plane;

use crate::calibrated;
use crate::error::Error;
use crate::flight_options::FlightOptions;
use crate::options::{Global, Switch};
use crate::picture;
use crate::progress;
use crate::report::diagnostics;
use crate::system::{Source, System};

/// A design and how it is to be read.
pub struct DesignFile {
    /// Its text.
    pub source: Source,
    settings: Settings,
    mistakes_to: Option<PathBuf>,
    /// What the notebook's calibration found; asked for once.
    found: OnceCell<(Found, Uncertainty)>,
}

/// Letters of a file name made from the name of a plane: with its ending it fits every disk.
const STEM_MAX: usize = 60;

/// Whether a text is some other file named by mistake, which is told in one sentence and not in one
/// for each of its lines: most of its lines, and more than a few, begin with no word of ours.
fn is_no_design(text: &str) -> bool {
    const FEW: usize = 5;
    let lines = text.lines().filter(|l| !l.trim().is_empty()).count();
    let (_, mistakes) = parser::parse(text);
    let unknown = mistakes.iter().filter(|d| d.code == "unknown-word").count();
    unknown > FEW && 2 * unknown > lines
}

impl DesignFile {
    /// Reads the file; nothing of it is understood yet.
    pub fn open(path: &Path, global: &Global, system: &System) -> Result<Self, Error> {
        Self::of(system.read_design(path)?, global)
    }

    /// The same of a text that is at hand.
    pub fn of(source: Source, global: &Global) -> Result<Self, Error> {
        let settings = Settings {
            sets: global.set.clone(),
            creep: global.creep.map(|c| c == Switch::On),
            ..Settings::default()
        };
        if is_no_design(&source.text) {
            let name = &source.name;
            return Err(Error::input(format!("{name} is no design: hardly a line of it is one")));
        }
        Ok(Self { source, settings, mistakes_to: None, found: OnceCell::new() })
    }

    /// Draws the place of a fold that cannot be made into this directory.
    pub fn draw_mistakes_to(mut self, dir: Option<&Path>) -> Self {
        self.mistakes_to = dir.map(Path::to_owned);
        self
    }

    /// Stops folding after this step.
    pub fn stopped_at(mut self, step: Option<usize>) -> Self {
        self.settings.to_step = step;
        self
    }

    /// Its canonical text. A text with mistakes has none; they are printed.
    pub fn formatted(&self, system: &mut System) -> Result<String, Error> {
        let (_, mistakes) = parser::parse(&self.source.text);
        if mistakes.iter().any(Diagnostic::is_error) {
            system.message(&diagnostics::to_text(&self.source, &mistakes));
            return Err(Error::told(self.mistakes(&mistakes)));
        }
        Ok(print::format(&self.source.text))
    }

    /// Folds it. Warnings and mistakes are printed.
    pub fn fold(&self, system: &mut System) -> Result<FoldOutcome, Error> {
        let done = pipeline::fold(&self.source.text, &self.settings);
        let folded = self.tell(done, |f| &f.warnings, system)?;
        match self.settings.to_step {
            Some(step) if step > folded.run.steps.len() => {
                let (name, steps) = (&self.source.name, folded.run.steps.len());
                Err(Error::usage(format!("{name} has {steps} steps, so there is no step {step}")))
            }
            _ => Ok(folded),
        }
    }

    /// Folds, poses and balances it. Warnings and mistakes are printed.
    pub fn balance(&self, system: &mut System) -> Result<Balanced, Error> {
        let done = pipeline::balance(&self.source.text, &self.settings);
        self.tell(done, |b| b.source.warnings(), system)
    }

    /// Room, air and number of flights; plane and hand as they were found, where that is asked for.
    pub fn conditions(
        &self,
        options: &FlightOptions,
        system: &mut System,
    ) -> Result<Conditions, Error> {
        let conditions = options.conditions()?;
        if !options.calibrated() {
            return Ok(conditions);
        }
        let (found, uncertainty) = match self.found.get() {
            Some(known) => *known,
            None => {
                let own = version_of(&self.source.text);
                let version = self.settings.sets.is_empty().then_some(own.as_str());
                let found = calibrated::found(&self.name(), version, options.notebook(), system)?;
                *self.found.get_or_init(|| found)
            }
        };
        Ok(Conditions { found, uncertainty, ..conditions })
    }

    /// Folds, balances and flies it. Warnings and mistakes are printed.
    pub fn analyse(&self, options: &FlightOptions, system: &mut System) -> Result<Analysed, Error> {
        let (change, conditions) = (options.change(), self.conditions(options, system)?);
        let bar = progress::spinner("flying");
        let done = pipeline::analyse(&self.source.text, &self.settings, &change, &conditions);
        bar.finish_and_clear();
        self.tell(done, |a| a.balanced.source.warnings(), system)
    }

    /// The same, and why it does what it does.
    pub fn explained(
        &self,
        options: &FlightOptions,
        system: &mut System,
    ) -> Result<(Analysed, Reasons), Error> {
        let plane = self.analyse(options, system)?;
        let bar = progress::spinner("looking for the reasons");
        let reasons = plane.reasons(&self.conditions(options, system)?);
        bar.finish_and_clear();
        Ok((plane, reasons))
    }

    /// Looks for remedies. Mistakes are printed.
    pub fn mend(
        &self,
        options: &FlightOptions,
        system: &mut System,
        progress: &(impl Fn(usize, usize) -> bool + Sync),
    ) -> Result<Mended, Error> {
        let (change, conditions) = (options.change(), self.conditions(options, system)?);
        let done = remedy::mend(&self.source.text, &self.settings, &change, &conditions, progress);
        self.tell(done, |_| &[], system)
    }

    /// Solves a let, or each in turn, for a wanted balance. Mistakes are printed.
    pub fn aim(
        &self,
        options: &FlightOptions,
        system: &mut System,
        target: Target,
        only: Option<&str>,
    ) -> Result<Aimed, Error> {
        let (change, conditions) = (options.change(), self.conditions(options, system)?);
        let bar = progress::bar("lets tried");
        let done = aim::aim(
            &self.source.text,
            &self.settings,
            &change,
            &conditions,
            target,
            only,
            &|done, of| progress::at(&bar, done, of),
        );
        bar.finish_and_clear();
        self.tell(done, |_| &[], system)
    }

    /// What is asked of its lets. Mistakes are printed.
    pub fn along(&self, asked: &[String], system: &mut System) -> Result<Vec<Along>, Error> {
        let read = |a: &String| Along::read(a, &self.source.text, &self.settings);
        self.tell(asked.iter().map(read).collect(), |_| &[], system)
    }

    /// Folds and flies every variant, until Ctrl-C. What makes one impossible stands in it.
    pub fn series(
        &self,
        options: &FlightOptions,
        along: &[Along],
        system: &mut System,
    ) -> Result<Vec<Variant<Plane>>, Error> {
        let (change, conditions) = (options.change(), self.conditions(options, system)?);
        let bar = progress::bar("variants flown");
        let fly = |plane: Balanced| {
            pipeline::analyse_balanced(plane, &change, &conditions).map(Plane::new)
        };
        let count = progress::until_interrupted(&bar);
        let done = series::variants(&self.source.text, &self.settings, along, &fly, &count);
        bar.finish_and_clear();
        self.tell(done, |_| &[], system)
    }

    /// Looks for the best values of some lets, until Ctrl-C. Mistakes are printed.
    pub fn best(
        &self,
        options: &FlightOptions,
        lets: &[String],
        wish: Wish,
        system: &mut System,
    ) -> Result<Best, Error> {
        let (change, conditions) = (options.change(), self.conditions(options, system)?);
        let bar = progress::bar("generations");
        let go_on = progress::until_interrupted(&bar);
        let done = best::best(
            &self.source.text,
            &self.settings,
            &change,
            &conditions,
            lets,
            wish,
            |done, of, _| go_on(done, of),
        );
        bar.finish_and_clear();
        self.tell(done, |_| &[], system)
    }

    /// Folds and throws a balanced plane many times, until Ctrl-C. Mistakes are printed.
    pub fn tolerance(
        &self,
        plane: &Balanced,
        throw: &Throw,
        conditions: &Conditions,
        skill: &Skill,
        draws: usize,
        system: &mut System,
    ) -> Result<Tolerance, Error> {
        let bar = progress::bar("rounds of planes folded and thrown");
        let count = progress::until_interrupted(&bar);
        let done = tolerance::tolerance(plane, throw, conditions, skill, draws, &count);
        bar.finish_and_clear();
        self.tell(done, |_| &[], system)
    }

    /// Name of the plane, or of the file where the text gives none.
    pub fn name(&self) -> String {
        let (design, _) = parser::parse(&self.source.text);
        if design.name.is_some() { assembly::name(&design) } else { self.source.stem() }
    }

    /// Beginning of the names of files made from it: that of its own file, or of the plane where the
    /// text came from standard input.
    pub fn stem(&self) -> String {
        if !self.source.is_standard_input() {
            return self.source.stem();
        }
        let name = self.name().to_lowercase();
        let words = name.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
        let stem = words.collect::<Vec<&str>>().join("-");
        if stem.is_empty() { self.source.stem() } else { stem.chars().take(STEM_MAX).collect() }
    }

    /// Solves the air of a balanced plane. Mistakes are printed.
    pub fn aircraft(
        &self,
        plane: &Balanced,
        air: &Air,
        speed_m_s: f64,
        system: &mut System,
    ) -> Result<Aircraft, Error> {
        self.tell(pipeline::aircraft(plane, air, speed_m_s), |_| &[], system)
    }

    /// The folds of a balanced plane. A plane given by its outline has none; that is printed.
    pub fn folded<'a>(
        &self,
        plane: &'a Balanced,
        system: &mut System,
    ) -> Result<&'a FoldOutcome, Error> {
        plane.source.folded().ok_or_else(|| {
            let span = plane.source.design().outline.as_ref().map_or(0..0, |o| o.span.clone());
            let message = "a plane given by its outline has no folds to print";
            let help = "give a design with a sheet and steps; this one can be checked and flown";
            self.wrong(&Diagnostic::error("no-folds", span, message).help(help), system)
        })
    }

    /// A mistake found late, printed.
    pub fn wrong(&self, mistake: &Diagnostic, system: &mut System) -> Error {
        let mistakes = std::slice::from_ref(mistake);
        system.message(&diagnostics::to_text(&self.source, mistakes));
        Error::told(self.mistakes(mistakes))
    }

    fn tell<T>(
        &self,
        done: Result<T, Problems>,
        warnings: impl Fn(&T) -> &[Diagnostic],
        system: &mut System,
    ) -> Result<T, Error> {
        match done {
            Ok(answer) => {
                system.message(&diagnostics::to_text(&self.source, warnings(&answer)));
                Ok(answer)
            }
            Err(problems) => {
                let problems = problems.with_advice(&self.source.text, &self.settings);
                system.message(&diagnostics::to_text(&self.source, &problems.diagnostics));
                if let Some(error) = &problems.fold {
                    self.show(error, system)?;
                }
                Err(Error::told(self.mistakes(&problems.diagnostics)))
            }
        }
    }

    /// Draws the place of a mistake, or says how to have it drawn.
    fn show(&self, error: &FoldError, system: &mut System) -> Result<(), Error> {
        let Some(dir) = &self.mistakes_to else {
            let name = &self.source.name;
            system.message(&format!("`plumbfold check {name}` draws the place\n"));
            return Ok(());
        };
        let path = dir.join(format!("{}-mistake.svg", self.source.stem()));
        let drawn =
            plumbfold_view::picture::mistake(&Look::light("mistake"), &self.source.text, error);
        picture::write(system, &path, &drawn)?;
        system.message(&format!("the place is drawn in {}\n", path.display()));
        Ok(())
    }

    /// For JSON.
    pub fn mistakes(&self, diagnostics: &[Diagnostic]) -> Vec<Mistake> {
        diagnostics.iter().map(|d| Mistake::new(&self.source.name, &self.source.text, d)).collect()
    }
}
