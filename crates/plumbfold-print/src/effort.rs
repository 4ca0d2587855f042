//! How hard a design is to fold and how long it takes, from its steps, its layers and what must be
//! measured. Common practice, no source: counted for somebody who folds it the second time.

use plumbfold::design::ast::FoldVerb;
use plumbfold::fold::exec::StepKind;
use plumbfold::pipeline::FoldOutcome;

use crate::words::Said;

/// Seconds for a fold that goes by the paper, made once.
const FOLD_S: f64 = 20.0;
/// For a crease that is opened again.
const CREASE_S: f64 = 15.0;
/// For a move of several creases at once.
const COLLAPSE_S: f64 = 75.0;
/// For turning or opening.
const TURN_S: f64 = 5.0;
/// For a length to be measured.
const MEASURE_S: f64 = 20.0;
/// For each layer beyond two that is bent.
const LAYER_S: f64 = 3.0;

/// What a design asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Time, s.
    pub seconds: f64,
    /// From 1, easy, to 3.
    pub difficulty: usize,
    /// Folds, both sides counted; a move of several creases at once is one.
    pub folds: usize,
    /// Lengths to be measured.
    pub measures: usize,
    /// Most layers bent at once.
    pub layers: usize,
}

impl Effort {
    /// Of a folded design and what is said of its steps.
    pub fn of(outcome: &FoldOutcome, said: &[Said]) -> Self {
        let mut seconds = 0.0;
        let (mut folds, mut moves) = (0, 0);
        for step in &outcome.run.steps {
            let times = step.passes.len().max(1);
            let (each, fold) = match step.kind {
                StepKind::Fold(FoldVerb::Crease) => (CREASE_S, true),
                StepKind::Fold(_) => (FOLD_S, true),
                StepKind::Collapse => (COLLAPSE_S, true),
                StepKind::Unfold | StepKind::TurnOver | StepKind::Rotate => (TURN_S, false),
            };
            folds += if fold { times } else { 0 };
            moves += usize::from(step.kind == StepKind::Collapse);
            let layers = step.layers_bent.saturating_sub(2) as f64 * LAYER_S;
            seconds += times as f64 * (each + layers);
        }
        let measures: usize = said.iter().map(|s| s.marked.len() + s.lengths).sum();
        let layers = outcome.crease_layers_max();
        seconds += measures as f64 * MEASURE_S;
        let points = folds + 3 * moves + measures + layers / 4;
        let difficulty = match points {
            0..=11 => 1,
            12..=18 => 2,
            _ => 3,
        };
        Self { seconds, difficulty, folds, measures, layers }
    }

    /// In words.
    pub fn difficulty_words(&self) -> &'static str {
        ["easy", "needs some practice", "tricky"][self.difficulty.clamp(1, 3) - 1]
    }

    /// In whole minutes, rounded up: `about 4 minutes`.
    pub fn time(&self) -> String {
        let minutes = (self.seconds / 60.0).ceil().max(1.0) as usize;
        format!("about {}", counted(minutes, "minute"))
    }

    /// How both were come by.
    pub fn how(&self) -> String {
        let lengths = match self.measures {
            0 => "nothing to measure".to_owned(),
            1 => "one length to measure".to_owned(),
            n => format!("{n} lengths to measure"),
        };
        let layers = match self.layers {
            0 => String::new(),
            n => format!(" and at most {} bent at once", counted(n, "layer")),
        };
        format!(
            "Reckoned from {}, {lengths}{layers}, for a second try; the first takes about twice as \
             long.",
            counted(self.folds, "fold")
        )
    }
}

/// So many of these: `one fold`, `8 folds`.
pub fn counted(count: usize, of: &str) -> String {
    match count {
        0 => format!("no {of}s"),
        1 => format!("one {of}"),
        n => format!("{n} {of}s"),
    }
}
