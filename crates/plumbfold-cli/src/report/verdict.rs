//! What a plane does, how sure that is and why, in the words of people who fold.

use plumbfold_view::behaviour::Behaviour;
use plumbfold_view::flight::{InTheAir, Throw, Trim, Verdict};
use plumbfold_view::said::{fixed, per_cent};
use plumbfold_view::sentences;

use super::{Amount, Rows};

/// What it does and why: what a report begins with.
pub fn lead(rows: Rows, a: &InTheAir) -> Rows {
    let v = &a.verdict;
    let mut rows = rows.strong_row("verdict", &v.headline).row("because", &v.cause);
    if let Some(others) = others(v) {
        rows = rows.row("or", &others);
    }
    rows = rows.row("throw", &throw(&a.throw));
    if let Some(room) = sentences::room(&a.room) {
        rows = rows.row("", &room);
    }
    rows = rows.row("", &v.exactly.said());
    if let Some(ended) = sentences::ended(&a.flight, a.path.last()) {
        rows = rows.row("", &ended);
    }
    if v.exactly.behaviour != v.behaviour {
        let more = v.behaviour.words();
        rows = rows.row("", &format!("A little off, as hands are, it more often {more}."));
    }
    if a.flight.suspect {
        rows = rows.row("", "further or longer than hand throws are known to go: do not trust it");
    }
    rows
}

/// How it may be bent and thrown, and the glide it settles to.
pub fn bands(rows: Rows, a: &InTheAir, amount: Amount) -> Rows {
    let v = &a.verdict;
    let mut bands = sentences::bands(v);
    match sentences::left_out(v) {
        Some(left_out) => bands.push(left_out),
        None if bands.is_empty() => {
            bands.push("with no bend and at no speed near these".to_owned());
        }
        None => {}
    }
    let mut rows = rows;
    for (i, band) in bands.iter().enumerate() {
        rows = rows.row(if i == 0 { "it glides" } else { "" }, band);
    }
    rows = rows.row("other throws", &sentences::other_throws(v));
    let rows = rows.row("steady glide", &glides(a, amount));
    match bend(a) {
        Some(bend) => rows.row("wings bend", &bend),
        None => rows,
    }
}

/// How far the tips rise in that glide, and at the speed of the throw where that is more.
fn bend(a: &InTheAir) -> Option<String> {
    let glide = a.settles_to.and_then(|i| a.trim.get(i))?.tip_rise_mm?;
    let thrown = a
        .tip_rise_thrown_mm
        .filter(|t| t - glide > 1.0)
        .map_or_else(String::new, |t| format!(", {} mm at the speed of the throw", fixed(t, 0)));
    let grain = "by the grain of the sheet 0.7 to 1.4 times as far; not in the forces";
    Some(format!("tips rise {} mm in that glide{thrown} ({grain})", fixed(glide, 0)))
}

fn throw(t: &Throw) -> String {
    let mut said = format!(
        "{} m/s, {}, from {} m",
        fixed(t.speed_mps, 1),
        slope(t.elevation_deg),
        fixed(t.height_m, 1)
    );
    let side = |v: f64| if v > 0.0 { "right" } else { "left" };
    if t.sideslip_deg != 0.0 {
        let (aside, nose) = (fixed(t.sideslip_deg.abs(), 0), side(-t.sideslip_deg));
        said += &format!(", nose {aside} degrees to the {nose} of its way");
    }
    if t.turn_deg_per_s != 0.0 {
        let turn = fixed(t.turn_deg_per_s.abs(), 0);
        said += &format!(", turning {} at {turn} degrees a second", side(t.turn_deg_per_s));
    }
    said
}

fn slope(degrees: f64) -> String {
    match degrees {
        d if d > 0.05 => format!("up {d:.0} degrees"),
        d if d < -0.05 => format!("down {:.0} degrees", -d),
        _ => "level".to_owned(),
    }
}

/// Behaviours other than those of the headline that are likely enough to name.
fn others(v: &Verdict) -> Option<String> {
    const NAMED: f64 = 0.05;
    let named = |o: &(Behaviour, f64)| o.1 >= NAMED && Some(o.0) != v.or;
    let others = v.probability.others(v.behaviour).into_iter().filter(named);
    let mut words: Vec<String> =
        others.map(|(b, p)| format!("{} ({})", b.words(), per_cent(p))).collect();
    // Never kept silent, however few.
    if v.probability.unknown > 0.0 {
        words.push(format!("not seen to the end ({})", per_cent(v.probability.unknown)));
    }
    (!words.is_empty()).then(|| words.join(", "))
}

/// The glide it settles to; in full every one it can hold.
fn glides(a: &InTheAir, amount: Amount) -> String {
    if amount == Amount::Full {
        return match a.trim.is_empty() {
            true => "none".to_owned(),
            false => a.trim.iter().map(glide).collect::<Vec<_>>().join("; or "),
        };
    }
    let glides = a.verdict.behaviour.words() == "glides";
    match (a.settles_to.and_then(|i| a.trim.get(i)), glides) {
        (Some(t), true) if t.stable || t.knocks.contains("hardly seen") => glide(t),
        (Some(t), true) => format!("{}; from this throw it mostly glides all the same", glide(t)),
        (Some(t), false) => format!("{}; this throw does not settle into it", glide(t)),
        (None, true) => "none it would settle to: the flight is over before that shows".to_owned(),
        (None, false) => "none it settles to".to_owned(),
    }
}

fn glide(t: &Trim) -> String {
    let held = if t.inverted { "upside down, " } else { "" };
    // Down at more than 45 degrees: no one calls it a glide.
    let dive = if t.lift_to_drag < 1.0 { "no glide but a dive: " } else { "" };
    let margin = t.static_margin_mac_fraction.map_or_else(String::new, |m| {
        format!("; static margin there {} % of the MAC", fixed(m * 100.0, 0))
    });
    format!(
        "{dive}{held}{} m/s at an incidence of {} degrees, sinking {} m/s, {} m for each metre of height; {}{margin}",
        fixed(t.speed_mps, 1),
        fixed(t.alpha_deg, 1),
        fixed(t.sink_mps, 1),
        fixed(t.lift_to_drag, 1),
        t.knocks
    )
}
