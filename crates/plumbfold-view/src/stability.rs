//! What becomes of a small knock in a steady glide, in words, against the length of the flight.

use plumbfold::flight::modes::{Glide, Mode, ModeKind};

use crate::said::fixed;

/// A disturbance that doubles fewer times than this in a flight is hardly seen in it: it has then
/// grown to less than three times what the hand began with. Chosen.
const DOUBLINGS_SEEN: f64 = 1.5;

/// What becomes of a small knock, without a full stop.
pub fn words(glide: &Glide, flight_s: f64) -> String {
    let growing = |m: &&Mode| !m.harmless();
    let mut growing: Vec<&Mode> = glide.modes.iter().filter(growing).collect();
    growing.sort_by(|a, b| b.growth_per_s.total_cmp(&a.growth_per_s));
    let Some(worst) = growing.first() else {
        return "small knocks die out".to_owned();
    };
    let Some(doubling_s) = worst.time_to_double_s() else {
        return "small knocks die out".to_owned();
    };
    let seen = match flight_s / doubling_s {
        n if n < DOUBLINGS_SEEN => "hardly seen in",
        n if n < 2.0 * DOUBLINGS_SEEN => "seen towards the end of",
        _ => "soon seen in",
    };
    format!(
        "{}, doubling in {} s: {seen} a flight of {} s",
        does(worst),
        if doubling_s < 0.05 { "less than 0.1".to_owned() } else { fixed(doubling_s, 1) },
        fixed(flight_s, 1)
    )
}

/// What a growing mode looks like.
fn does(mode: &Mode) -> &'static str {
    match mode.kind {
        ModeKind::ShortPeriod => "left alone it nods ever more",
        ModeKind::Phugoid => "left alone it goes up and down in growing waves",
        ModeKind::PitchSubsidence => "left alone its nose wanders off up or down",
        ModeKind::Roll => "left alone it rolls over",
        ModeKind::DutchRoll => "left alone it rocks from side to side",
        ModeKind::Spiral => "left alone it drifts into a turn",
        ModeKind::RollSpiral => "left alone it swings slowly from turn to turn",
        ModeKind::YawSubsidence => "left alone its nose wanders off sideways",
    }
}
