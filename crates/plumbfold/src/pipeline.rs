//! Runs the stages: what the program, the page and every solver call.

mod advice;

use std::fmt;

use crate::air::Air;
use crate::design;
use crate::design::ast::{Design, Spanned};
use crate::design::diagnostic::Diagnostic;
use crate::design::eval::{self, Values};
use crate::flight::modes::Glide;
use crate::flight::rigid::{FlightError, GRAVITY_M_S2};
use crate::flight::throw::Throw;
pub use crate::flight::throw::ThrowChange;
use crate::fold::error::FoldError;
use crate::fold::exec::{self, FoldRun};
use crate::fold::slip::Slip;
use crate::numeric::slabs::{XY, greatest_depth};
use crate::paper::Stock;
use crate::plane::airframe::Airframe;
use crate::plane::assembly::{self, MeantThrow};
use crate::plane::mass::{self, MassProperties};
use crate::plane::planform::{self, Planform};
use crate::plane::pose::{self, Posed};
use crate::verdict::Behaviour;
use crate::verdict::aircraft::{Aircraft, AnalysisError, Conditions};
use crate::verdict::assess::Verdict;
use crate::verdict::reasons::Reasons;

/// What the caller changes about a design without touching its text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Lets and the text of their new values, as `--set tip=24mm`.
    pub sets: Vec<(String, String)>,
    /// Overrides the design's `creep on` / `creep off`.
    pub creep: Option<bool>,
    /// Stop folding after this many steps, as [`FoldRun::steps`] counts them; what comes later
    /// in the text may then be impossible to fold.
    pub to_step: Option<usize>,
    /// How far a hand misses each crease, in the order of [`FoldRun::passes`]; empty for the exact
    /// plane.
    pub slips: Vec<Slip>,
}

/// Why there is no answer.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Problems {
    /// Every mistake found, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
    /// For a fold that cannot be made: what a picture of the place needs.
    pub fold: Option<Box<FoldError>>,
}

/// Every mistake on a line of its own.
impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let lines: Vec<String> = self.diagnostics.iter().map(Diagnostic::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl std::error::Error for Problems {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        self.fold.as_deref().map(|e| e as _)
    }
}

impl From<Diagnostic> for Problems {
    fn from(d: Diagnostic) -> Self {
        Self { diagnostics: vec![d], fold: None }
    }
}

/// What a text says, as far as it can be read.
#[derive(Clone, Debug)]
pub struct Reading {
    /// The design.
    pub design: Design,
    /// Values of its lets, when they have any.
    pub values: Option<Values>,
    /// Mistakes and warnings.
    pub diagnostics: Vec<Diagnostic>,
}

/// A design folded flat.
#[derive(Clone, Debug)]
pub struct FoldOutcome {
    /// The design.
    pub design: Design,
    /// Values of its lets.
    pub values: Values,
    /// The paper.
    pub stock: Stock,
    /// Every step and the flat model.
    pub run: FoldRun,
    /// Warnings of all stages so far.
    pub warnings: Vec<Diagnostic>,
}

impl FoldOutcome {
    /// The model with its hinges opened.
    ///
    /// # Errors
    /// A pose that cannot be taken.
    pub fn posed(&self) -> Result<Posed, Diagnostic> {
        let Self { design, values, stock, run, .. } = self;
        let angles = assembly::pose_angles(design, values)?;
        let creep = design.creep.as_ref().is_none_or(|c| c.node);
        pose::pose(&run.folded, stock, &angles, creep)
            .map_err(|e| assembly::pose_diagnostic(&e, design, run))
    }

    /// The largest number of layers a single crease had to bend.
    pub fn crease_layers_max(&self) -> usize {
        self.run.steps.iter().map(|s| s.layers_bent).max().unwrap_or(0)
    }

    /// The largest number of layers at one place of the flat model.
    pub fn layers_max(&self) -> usize {
        let model = &self.run.folded;
        let outlines: Vec<Vec<XY>> = (0..model.faces.len())
            .map(|f| model.table_polygon(f).iter().map(|p| XY { x: p.y, y: p.x }).collect())
            .collect();
        greatest_depth(&outlines)
    }
}

/// Where a plane comes from, and what its text says.
#[derive(Clone, Debug)]
#[allow(clippy::large_enum_variant, reason = "one a plane; a box would only obscure")]
pub enum Source {
    /// A sheet and its folds.
    Folded(FoldOutcome),
    /// An outline and what was measured on the finished plane.
    Outlined {
        /// The design.
        design: Design,
        /// Values of its lets.
        values: Values,
        /// Warnings of all stages so far.
        warnings: Vec<Diagnostic>,
    },
}

impl Source {
    /// The design.
    pub fn design(&self) -> &Design {
        match self {
            Self::Folded(FoldOutcome { design, .. }) | Self::Outlined { design, .. } => design,
        }
    }

    /// Values of its lets.
    pub fn values(&self) -> &Values {
        match self {
            Self::Folded(FoldOutcome { values, .. }) | Self::Outlined { values, .. } => values,
        }
    }

    /// Warnings of all stages so far.
    pub fn warnings(&self) -> &[Diagnostic] {
        match self {
            Self::Folded(FoldOutcome { warnings, .. }) | Self::Outlined { warnings, .. } => {
                warnings
            }
        }
    }

    /// The folds, if it has any.
    pub fn folded(&self) -> Option<&FoldOutcome> {
        match self {
            Self::Folded(folded) => Some(folded),
            Self::Outlined { .. } => None,
        }
    }

    /// The folds, for what makes no sense without.
    ///
    /// # Errors
    /// The plane is given by its outline.
    pub fn into_folded(self) -> Result<FoldOutcome, Diagnostic> {
        match self {
            Self::Folded(folded) => Ok(folded),
            Self::Outlined { design, .. } => {
                let span = design.outline.map_or(0..0, |o| o.span);
                let message = "a plane given by its outline has no folds to show";
                Err(Diagnostic::error("no-folds", span, message)
                    .help("its balance, its air and its flight can be asked for"))
            }
        }
    }
}

/// A design posed and balanced.
#[derive(Clone, Debug)]
pub struct Balanced {
    /// Where it comes from.
    pub source: Source,
    /// The posed plane.
    pub airframe: Airframe,
    /// Mass, balance point, inertia.
    pub mass: MassProperties,
    /// The wing from above.
    pub planform: Planform,
    /// Share of the wing area ahead of the balance point.
    pub area_ahead_fraction: f64,
    /// Balance point in fractions of the mean aerodynamic chord.
    pub cg_mac_fraction: f64,
    /// The throw it is meant for.
    pub throw: MeantThrow,
}

impl Balanced {
    /// Weight per wing area, N/m2.
    pub fn wing_loading_n_m2(&self) -> f64 {
        self.mass.mass_kg * GRAVITY_M_S2 / self.planform.area_m2
    }
}

/// Reads a text. Never fails.
pub fn read(text: &str, settings: &Settings) -> Reading {
    let (design, mut diagnostics) = design::parser::parse(text);
    let readable = !diagnostics.iter().any(Diagnostic::is_error);
    // Evaluated even when some line could not be read, so that every mistake is told at once.
    let values = match eval::evaluate(&design, &settings.sets) {
        Ok(values) => Some(values).filter(|_| readable),
        Err(more) => {
            diagnostics.extend(more);
            diagnostics.sort_by_key(|d| d.span.start);
            None
        }
    };
    Reading { design, values, diagnostics }
}

/// Reads, and folds where there is a sheet to fold.
///
/// # Errors
/// All mistakes of the text, or the first fold that cannot be made.
pub fn source(text: &str, settings: &Settings) -> Result<Source, Problems> {
    let (design, values, warnings) =
        readable(text, settings).map_err(|problems| with_the_fold(problems, text, settings))?;
    if design.outline.is_some() {
        return Ok(Source::Outlined { design, values, warnings });
    }
    fold_read(design, values, warnings, settings).map(Source::Folded)
}

/// Reads and folds.
///
/// # Errors
/// All mistakes of the text, the first fold that cannot be made, or a plane without folds.
pub fn fold(text: &str, settings: &Settings) -> Result<FoldOutcome, Problems> {
    Ok(source(text, settings)?.into_folded()?)
}

/// Where every mistake is a word that was read as what was meant, the folds are looked at too, so
/// that one reading of the messages mends all.
fn with_the_fold(problems: Problems, text: &str, settings: &Settings) -> Problems {
    let Problems { mut diagnostics, fold } = problems;
    if diagnostics.iter().all(|d| d.read_as_meant || !d.is_error()) {
        let Reading { design, .. } = read(text, settings);
        let found = eval::evaluate(&design, &settings.sets)
            .map_err(|diagnostics| Problems { diagnostics, fold: None });
        let folds = found.and_then(|values| fold_read(design, values, Vec::new(), settings));
        if let Err(more) = folds {
            diagnostics.extend(more.diagnostics);
            return Problems { diagnostics, fold: more.fold };
        }
    }
    Problems { diagnostics, fold }
}

/// A text without mistakes.
fn readable(
    text: &str,
    settings: &Settings,
) -> Result<(Design, Values, Vec<Diagnostic>), Problems> {
    match read(text, settings) {
        Reading { design, values: Some(values), diagnostics } => Ok((design, values, diagnostics)),
        Reading { diagnostics, .. } => Err(Problems { diagnostics, fold: None }),
    }
}

/// A design about to be folded.
struct Prepared {
    design: Design,
    values: Values,
    stock: Stock,
}

fn prepared(
    mut design: Design,
    values: Values,
    settings: &Settings,
) -> Result<Prepared, Diagnostic> {
    let stock = eval::stock(&design, &values)?;
    if let Some(on) = settings.creep {
        design.creep = Some(Spanned { node: on, span: 0..0 });
    }
    Ok(Prepared { design, values, stock })
}

fn fold_read(
    design: Design,
    values: Values,
    mut warnings: Vec<Diagnostic>,
    settings: &Settings,
) -> Result<FoldOutcome, Problems> {
    let Prepared { design, values, stock } = prepared(design, values, settings)?;
    let unfoldable = |e: Box<FoldError>| Problems { diagnostics: e.diagnostics(), fold: Some(e) };
    let mut run = exec::run_to(&design, &stock, &values, settings.to_step).map_err(unfoldable)?;
    if !settings.slips.is_empty() {
        run = exec::run_slipped(&design, &stock, &values, &run, &settings.slips)
            .map_err(unfoldable)?;
    }
    warnings.append(&mut run.warnings);
    Ok(FoldOutcome { design, values, stock, run, warnings })
}

/// Reads, folds, poses and balances.
///
/// # Errors
/// All mistakes of the text, or the first thing that cannot be done with it.
pub fn balance(text: &str, settings: &Settings) -> Result<Balanced, Problems> {
    balance_source(source(text, settings)?)
}

/// Poses and balances a folded design, balances one given by its outline.
///
/// # Errors
/// A pose that cannot be taken, ballast off the paper, a plane without wing or mass.
pub fn balance_source(mut source: Source) -> Result<Balanced, Problems> {
    let airframe = match &mut source {
        Source::Folded(folded) => {
            let (airframe, bent) = posed(folded)?;
            folded.warnings.extend(bent);
            airframe
        }
        Source::Outlined { design, values, .. } => assembly::outlined(design, values)?,
    };
    let (design, values) = (source.design(), source.values());
    let throw = assembly::throw(design, values)?;
    let name_span = design.name.as_ref().map_or(0..0, |n| n.span.clone());
    let mass = mass::properties(&airframe)
        .map_err(|e| Diagnostic::error("no-mass", name_span.clone(), e.to_string()))?;
    let planform = planform::planform(&airframe)
        .map_err(|e| Diagnostic::error("no-wing", name_span, e.to_string()))?;
    let behind = mass.behind_nose_m();
    let area_ahead_fraction = planform.fraction_ahead(behind);
    if let Source::Folded(folded) = &mut source {
        folded.warnings.extend(assembly::tail_first(&folded.design, area_ahead_fraction));
    }
    Ok(Balanced {
        area_ahead_fraction,
        cg_mac_fraction: planform.mac_fraction(behind),
        airframe,
        mass,
        planform,
        throw,
        source,
    })
}

/// A folded design with its hinges opened, and where paper bends for that.
fn posed(folded: &FoldOutcome) -> Result<(Airframe, Vec<Diagnostic>), Diagnostic> {
    let FoldOutcome { design, values, run, .. } = folded;
    let posed = folded.posed()?;
    let bent = posed.bent.iter().map(assembly::bent_diagnostic).collect();
    let layers = folded.crease_layers_max();
    let airframe = assembly::airframe(design, values, &run.folded, posed, layers, |point| {
        run.refs(values)
            .place_on_paper(point)
            .map(|p| p.1)
            .map_err(|f| Diagnostic::error("place", f.span, f.problem.to_string()))
    })?;
    Ok((airframe, bent))
}

/// A balanced design in the air.
#[derive(Clone, Debug)]
pub struct Analysed {
    /// Folded, posed, balanced.
    pub balanced: Balanced,
    /// The plane ready to fly.
    pub aircraft: Aircraft,
    /// Every steady glide it can hold.
    pub glides: Vec<Glide>,
    /// The throw that was judged.
    pub throw: Throw,
    /// What it does at that throw and how sure that is; [`Analysed::reasons`] say why.
    pub verdict: Verdict,
}

impl Analysed {
    /// What it most often does at its throw.
    pub fn behaviour(&self) -> Behaviour {
        self.verdict.headline().behaviour
    }

    /// Why it does that. Costs some ten times the flights of the verdict.
    pub fn reasons(&self, conditions: &Conditions) -> Reasons {
        let bends = &self.balanced.airframe.trims;
        self.aircraft.reasons(&self.verdict, &self.throw, bends, conditions)
    }

    /// How many verdicts that take as long as this one so many steps of flights pay for; three at
    /// least.
    pub fn affordable(&self, steps: usize) -> usize {
        (steps / self.verdict.probability.steps.max(1)).max(3)
    }

    /// Probability of a glide.
    pub fn glide_probability(&self) -> f64 {
        self.verdict.probability.of(Behaviour::Glides)
    }
}

/// A balanced design made ready to fly at its throw.
///
/// # Errors
/// A plane that has no aerodynamics, as a mistake of the design.
pub fn aircraft(balanced: &Balanced, air: &Air, speed_m_s: f64) -> Result<Aircraft, Problems> {
    if let Some(shut) = balanced.source.folded().and_then(|f| assembly::shut(&f.design, &f.run)) {
        return Err(shut.into());
    }
    Aircraft::new(&balanced.airframe, &balanced.mass, air, speed_m_s)
        .map_err(|e| cannot_fly(balanced, e.into()))
}

/// Reads, folds, balances and flies: text to verdict.
///
/// # Errors
/// All mistakes of the text, or the first thing that cannot be done with it.
pub fn analyse(
    text: &str,
    settings: &Settings,
    change: &ThrowChange,
    conditions: &Conditions,
) -> Result<Analysed, Problems> {
    analyse_balanced(balance(text, settings)?, change, conditions)
}

/// Flies a balanced design.
///
/// # Errors
/// A plane that cannot be flown or a throw that cannot be made, as a mistake of the design.
pub fn analyse_balanced(
    balanced: Balanced,
    change: &ThrowChange,
    conditions: &Conditions,
) -> Result<Analysed, Problems> {
    let throw = conditions.found.thrown(change.apply(balanced.throw.into()));
    if let Some(ceiling_m) = conditions.hall.ceiling_m.filter(|&c| c <= throw.height_m) {
        let message = format!(
            "the hand, {:.2} m above the floor, is not under the ceiling at {ceiling_m:.2} m",
            throw.height_m
        );
        let span = balanced.source.design().throw.as_ref().map_or(0..0, |t| t.span.clone());
        let help = "throw from lower down, or give the hall its true height";
        return Err(Diagnostic::error("above-ceiling", span, message).help(help).into());
    }
    let aircraft = aircraft(&balanced, &conditions.air, throw.speed_m_s)?;
    let aircraft = aircraft.as_found(&conditions.found);
    let fail = |e: FlightError| cannot_fly(&balanced, e.into());
    let verdict = aircraft.verdict(&throw, conditions).map_err(fail)?;
    let glides = aircraft.glides().map_err(fail)?;
    Ok(Analysed { glides, throw, verdict, aircraft, balanced })
}

/// Why a balanced plane cannot be flown, at the line of the design that says how it is thrown.
pub fn cannot_fly(balanced: &Balanced, error: AnalysisError) -> Problems {
    let design = balanced.source.design();
    let throw = design.throw.as_ref().map(|t| t.span.clone());
    let name = design.name.as_ref().map(|n| n.span.clone());
    let span = match error {
        AnalysisError::Aero(_) => name.or(throw),
        AnalysisError::Flight(_) => throw.or(name),
    };
    Diagnostic::error("cannot-fly", span.unwrap_or(0..0), error.to_string()).into()
}
