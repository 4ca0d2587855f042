//! The moves a folder knows, one file a kind.
//!
//! **Disturbance** puts unlike moves on one scale, the steps of a hand: how many times the
//! smallest change of its kind that a hand makes surely, plus a charge for what is new about the
//! plane. A throw costs nothing to the plane; bending an edge can be bent back; ballast is carried
//! for ever; a new fold means a new sheet.

mod ballast;
mod band;
mod dihedral;
mod elevator;
pub(crate) mod lets;
mod tip;
mod throw;
mod turning;

use crate::design::edit::amount::rounded;
use crate::design::edit::{self, Edit};
use crate::pipeline::Analysed;

/// Decimals numbers are written with.
const DECIMALS: usize = 2;
/// A hand measures and bends to half a millimetre, in mm.
const GRID_MM: f64 = 0.5;

/// Amounts that are tried, from little to much.
pub enum Amounts {
    /// Any amount between them will do.
    Continuous(Vec<f64>),
    /// Only these.
    Listed(Vec<f64>),
}

impl Amounts {
    /// The amounts.
    pub fn list(&self) -> &[f64] {
        let (Self::Continuous(list) | Self::Listed(list)) = self;
        list
    }
    /// Equal steps up to `most`, none if that is nothing.
    fn up_to(most: f64, steps: usize) -> Self {
        let steps = if most > 0.0 { steps } else { 0 };
        Self::Continuous((1..=steps).map(|k| most * k as f64 / steps as f64).collect())
    }
}

/// A family of edits, each bringing a number of the plane to another value.
pub struct Move<'a> {
    /// Stable word.
    pub kind: &'static str,
    /// What it does, in words, for the list of what was tried.
    pub what: String,
    /// The let it changes.
    pub changed_let: Option<String>,
    /// Unit of its number, as people read it; empty for counts.
    pub unit: &'static str,
    /// The number as it is, in `unit`.
    pub from: f64,
    /// Which way amounts take it: 1 or -1.
    pub sign: f64,
    /// The number is brought to whole multiples of this, in `unit`: a hand makes no finer
    /// differences.
    pub grid: f64,
    /// What is tried.
    pub amounts: Amounts,
    /// A hand sets amounts in steps of this, in the unit of the amounts.
    pub hand_step: f64,
    /// Charge for what is new, in steps of a hand.
    pub charge: f64,
    /// It takes back something the text states.
    pub undoes: bool,
    /// What changes in the design to bring the number to a value.
    pub edits: Box<dyn Fn(f64) -> Vec<Edit> + Sync + 'a>,
    /// The sentence for that.
    pub say: Box<dyn Fn(f64) -> String + Sync + 'a>,
}

impl Move<'_> {
    /// The number after an amount of it, the next a hand can make: what is written, flown and
    /// told. Never beyond the most that is tried.
    pub fn to(&self, amount: f64) -> f64 {
        let to = self.from + self.sign * amount;
        let Amounts::Continuous(list) = &self.amounts else { return rounded(to, DECIMALS) };
        let most = self.from + self.sign * list.iter().copied().fold(0.0, f64::max);
        // Away from the present number, but for rounding.
        let steps = (self.sign * to / self.grid - 1e-6).ceil();
        let steps_most = (self.sign * most / self.grid + 1e-6).floor();
        rounded(self.sign * steps.min(steps_most) * self.grid, DECIMALS)
    }
    /// An amount half way between one that fails and one that works, if a hand can make it other
    /// than that; nothing between counts.
    pub fn between(&self, failed: f64, works: f64) -> Option<f64> {
        let middle = failed + (works - failed) / 2.0;
        let other = |than: f64| (self.to(middle) - self.to(than)).abs() > 1e-9;
        let halved = matches!(self.amounts, Amounts::Continuous(_));
        (halved && (works - failed) > self.grid / 4.0 && other(works)).then_some(middle)
    }
    /// A text with an amount of it.
    pub fn edited(&self, text: &str, amount: f64) -> Option<String> {
        edit::apply(text, &(self.edits)(self.to(amount))).ok()
    }
    /// The sentence for an amount.
    pub fn said(&self, amount: f64) -> String {
        (self.say)(self.to(amount))
    }
    /// How much an amount disturbs the plane.
    pub fn disturbance(&self, amount: f64) -> f64 {
        self.charge + (self.to(amount) - self.from).abs() / self.hand_step
    }
}

/// Every move that can be tried on a design.
pub fn all<'a>(text: &'a str, analysed: &'a Analysed) -> Vec<Move<'a>> {
    let mut all = throw::moves(analysed);
    all.extend(elevator::moves(analysed));
    all.extend(lets::moves(analysed));
    all.extend(ballast::moves(analysed));
    all.extend(tip::moves(text, analysed));
    all.extend(band::moves(text, analysed));
    all.extend(turning::moves(analysed));
    all.extend(dihedral::moves(analysed));
    all
}

/// Bends that turn a plane, whether it turns now or not.
pub fn twists<'a>() -> Vec<Move<'a>> {
    turning::bends()
}
