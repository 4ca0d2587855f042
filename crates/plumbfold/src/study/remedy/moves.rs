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
    /// Decimals it is written with: a hand makes no finer differences.
    pub decimals: usize,
    /// What is tried.
    pub amounts: Amounts,
    /// A hand sets amounts in steps of this, in the unit of the amounts.
    pub hand_step: f64,
    /// Charge for what is new, in steps of a hand.
    pub charge: f64,
    /// What changes in the design to bring the number to a value.
    pub edits: Box<dyn Fn(f64) -> Vec<Edit> + Sync + 'a>,
    /// The sentence for that.
    pub say: Box<dyn Fn(f64) -> String + Sync + 'a>,
}

impl Move<'_> {
    /// The number after an amount of it: what is written, flown and told.
    pub fn to(&self, amount: f64) -> f64 {
        rounded(self.from + self.sign * amount, self.decimals)
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
    /// An amount a hand can set: tenths of its step, rounded away from nothing.
    pub fn rounded_up(&self, amount: f64) -> f64 {
        let tick = self.hand_step / 10.0;
        match self.amounts {
            Amounts::Continuous(_) => (amount / tick - 1e-6).ceil() * tick,
            Amounts::Listed(_) => amount,
        }
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
