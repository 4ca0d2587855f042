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

/// A family of edits.
pub struct Move<'a> {
    /// Stable word.
    pub kind: &'static str,
    /// What it does, in words, for the list of what was tried.
    pub what: String,
    /// The let it changes.
    pub changed_let: Option<String>,
    /// Unit of its numbers.
    pub unit: &'static str,
    /// What is tried.
    pub amounts: Amounts,
    /// A hand sets amounts in steps of this, in the unit of the amounts.
    pub hand_step: f64,
    /// Charge for what is new, in steps of a hand.
    pub charge: f64,
    /// The text with an amount of it.
    pub edit: Box<dyn Fn(f64) -> Option<String> + Sync + 'a>,
    /// The sentence for an amount.
    pub say: Box<dyn Fn(f64) -> String + Sync + 'a>,
    /// The number before and after, in `unit`.
    pub numbers: Box<dyn Fn(f64) -> (f64, f64) + Sync + 'a>,
}

impl Move<'_> {
    /// How much an amount disturbs the plane.
    pub fn disturbance(&self, amount: f64) -> f64 {
        self.charge + amount / self.hand_step
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
    let mut all = throw::moves(text, analysed);
    all.extend(elevator::moves(text, analysed));
    all.extend(lets::moves(text, analysed));
    all.extend(ballast::moves(text, analysed));
    all.extend(tip::moves(text, analysed));
    all.extend(band::moves(text, analysed));
    all.extend(turning::moves(text, analysed));
    all.extend(dihedral::moves(text, analysed));
    all
}

/// Bends that turn a plane, whether it turns now or not.
pub fn twists<'a>(text: &'a str, analysed: &'a Analysed) -> Vec<Move<'a>> {
    turning::bends(text, analysed)
}

/// A number as a folder would write it: no more digits than a hand can use.
fn plain(value: f64, decimals: usize) -> String {
    let s = format!("{value:.decimals$}");
    if s.contains('.') { s.trim_end_matches('0').trim_end_matches('.').into() } else { s }
}
