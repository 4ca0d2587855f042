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
use crate::flight::throw::{End, Flight};

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

/// A flight that meets a wall or the ceiling sooner than this has not shown that it glides, s
/// (chosen: every throw looks like a glide until the plane slows or noses over).
const SHOWN_S: f64 = 1.0;

/// One that lands sooner than this has shown nothing, s (chosen: a drop of half a metre).
const LANDED_S: f64 = 0.3;

/// What a flight has shown itself to be; nothing where the floor, a wall or the ceiling was met too
/// soon.
pub fn shown(flight: &Flight) -> Option<Behaviour> {
    let behaviour = judge(&Path::new(flight)).behaviour;
    let met = matches!(flight.end, End::FarWall | End::SideWall | End::Ceiling);
    let soon = flight.time_aloft_s < if met { SHOWN_S } else { LANDED_S };
    (!soon || behaviour != Behaviour::Glides).then_some(behaviour)
}

#[cfg(test)]
mod tests;
