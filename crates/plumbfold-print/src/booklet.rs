//! Folding instructions as pages: what is needed, every step before and after, and how to throw it
//! without hurting anybody.

mod front;
mod panel;
mod back;

use plumbfold::numeric::geom::TablePoint;
use plumbfold::pipeline::{Balanced, FoldOutcome};
use plumbfold::plane::assembly;
use plumbfold_draw::arrows::FoldArrow;
use plumbfold_draw::run;
use plumbfold_draw::steps::StepShown;
use plumbfold_draw::units::Units;

use crate::effort::Effort;
use crate::leaf::Leaf;
use crate::measures::{self, Measure};
use crate::page::{Page, Paper};
use crate::words::{self, Said};
pub use back::{CAUTIONS, SAFE, last_touches, thing, weights};
pub use front::{
    HOW_IT_IS_DRAWN, ON_THE_FLAT_SHEET, capital, needs, paper_weight, signs, without_ruler,
};

/// How far layers are drawn apart, mm.
const APART_MM: f64 = 0.4;

/// A design with what is said and drawn of it.
pub struct Lesson<'a> {
    /// Name of the plane.
    pub name: String,
    /// The folds.
    pub folded: &'a FoldOutcome,
    /// The finished plane.
    pub plane: &'a Balanced,
    /// What is said of each step.
    pub said: Vec<Said>,
    /// What is drawn of each step.
    pub shown: Vec<StepShown<'a>>,
    /// How hard, how long.
    pub effort: Effort,
    /// Lengths, and how to find them by folding.
    pub measures: Vec<Measure>,
    /// What lengths are told in.
    pub units: Units,
}

impl<'a> Lesson<'a> {
    /// Of a folded and balanced plane; `text` is its design text.
    pub fn new(folded: &'a FoldOutcome, plane: &'a Balanced, text: &str, units: Units) -> Self {
        let mut said = words::steps(folded, units);
        let (effort, measures) = (Effort::of(folded, &said), measures::of(folded, &said, units));
        for measure in &measures {
            let Said { measuring, sentences, .. } = &mut said[measure.step - 1];
            let words = if measuring.is_empty() { sentences } else { measuring };
            words.extend(measure.reminder().filter(|r| words.last() != Some(r)));
        }
        let mut shown = run::shown(&folded.run, text, &folded.values);
        for (shown, said) in shown.iter_mut().zip(&said) {
            shown.says = said.text();
            shown.places = said.dots.iter().map(|d| (d.letter, d.at)).collect();
            shown.apart = APART_MM;
            // Arrows begin at the corners that the words speak of.
            let ways = &mut shown.moves.ways;
            let elsewhere = |tip: &TablePoint| ways.iter().all(|w| w[0].distance(*tip) > 1e-4);
            if said.tips.iter().any(elsewhere) {
                let after = &folded.run.steps[shown.number - 1].after;
                let from = |&tip: &TablePoint| run::way_from(shown.before, after, tip);
                let told: Vec<_> = said.tips.iter().filter_map(from).collect();
                if !told.is_empty() {
                    *ways = told;
                }
            }
            if said.pushed {
                shown.moves.arrow = FoldArrow::Push;
            }
        }
        let name = assembly::name(&folded.design);
        Self { name, folded, plane, said, shown, effort, measures, units }
    }

    /// Width and height of the sheet, mm.
    pub fn sheet_mm(&self) -> [f64; 2] {
        self.folded.run.sheet.sheet_m.map(|m| m * 1e3)
    }

    /// Its pages, numbered from `first`; `id` keeps pictures of several designs apart.
    pub fn pages(&self, paper: Paper, layout: Layout, id: &str, first: usize) -> Vec<Page> {
        let front = front::pages(self, paper, &format!("{id}-front"));
        let mut leaves = panel::leaves(self, paper, layout, id, front);
        leaves.extend(back::pages(self, paper, &format!("{id}-back")));
        let number = |(i, leaf): (usize, Leaf)| leaf.finish(&self.name, first + i);
        leaves.into_iter().enumerate().map(number).collect()
    }
}

/// How many steps stand on a page at most.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layout {
    columns: usize,
    rows: usize,
}

impl Default for Layout {
    fn default() -> Self {
        Self::for_steps(4)
    }
}

impl Layout {
    /// For 1 to 9 steps a page; fewer or more are taken as the nearest of these. Up to five stand
    /// below each other, with their words beside them.
    pub fn for_steps(steps: usize) -> Self {
        let (columns, rows) = match steps {
            0..=5 => (1, steps.max(1)),
            6 => (2, 3),
            7 | 8 => (2, 4),
            _ => (3, 3),
        };
        Self { columns, rows }
    }
}
