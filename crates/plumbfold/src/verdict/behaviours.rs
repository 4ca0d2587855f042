//! The behaviours, one a file, in the order in which they are asked: what rules out flying first,
//! then turning, then what the path does in the vertical, and gliding last.

mod tumbles;
mod leaf;
mod spirals;
mod banks;
mod stalls;
mod porpoises;
mod dives;
mod glides;

use super::{Behaviour, Finding, Path};

/// How one behaviour is told.
pub struct Rule {
    /// Which behaviour.
    pub behaviour: Behaviour,
    /// What makes a path one of these, and why the line is drawn there.
    pub reason: &'static str,
    /// The finding, if the path is one of these.
    pub judge: fn(&Path) -> Option<Finding>,
}

/// Every rule, in the order in which they are asked.
pub const ALL: [Rule; 8] = [
    tumbles::RULE,
    leaf::RULE,
    spirals::RULE,
    banks::RULE,
    stalls::RULE,
    porpoises::RULE,
    dives::RULE,
    glides::RULE,
];

/// What a path was: the first rule that fits. Gliding fits whatever is left.
pub fn judge(path: &Path) -> Finding {
    ALL.iter().find_map(|rule| (rule.judge)(path)).unwrap_or_else(|| glides::found(path))
}

#[cfg(test)]
mod tests;
