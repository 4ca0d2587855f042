//! What a plane does, how sure that is and why, in the words of people who fold.

use plumbfold::pipeline::Analysed;
use plumbfold::verdict::Behaviour;
use plumbfold::verdict::assess::Verdict;
use plumbfold::verdict::bands::Band;

use super::Rows;

/// Adds the verdict to a report.
pub fn add(rows: Rows, a: &Analysed) -> Rows {
    let v = &a.verdict;
    let (behaviour, t) = (v.finding.behaviour, &a.throw);
    let sure = v.probability.of(behaviour) * 100.0;
    let mut rows = rows
        .row(
            "throw",
            &format!(
                "{:.1} m/s, {}, from {:.1} m",
                t.speed_m_s,
                slope(t.elevation_rad.to_degrees()),
                t.height_m
            ),
        )
        .strong_row("verdict", &format!("{} ({sure:.0} % sure)", behaviour.words()))
        .row("", &v.finding.sentence)
        .row("because", &v.cause);
    if let Some(others) = others(v) {
        rows = rows.row("or", &others);
    }
    rows = rows.row(
        "this throw",
        &format!(
            "{:.1} m in {:.1} s, no higher than {:.1} m",
            v.flight.distance_m, v.flight.time_aloft_s, v.flight.max_height_m
        ),
    );
    if v.flight.suspect() {
        rows = rows.row("", "further or longer than hand throws are known to go: do not trust it");
    }
    rows.row("glides", &bands(a))
        .row(
            "other throws",
            &format!(
                "at {:.1} m/s it {}, at {:.1} m/s it {}",
                v.gentler.speed_m_s,
                v.gentler.behaviour.words(),
                v.harder.speed_m_s,
                v.harder.behaviour.words()
            ),
        )
        .row("steady glide", &glides(a))
}

/// What it does and how sure that is, for a table.
pub fn short(behaviour: Behaviour, probability: f64) -> String {
    format!("{} ({:.0} %)", behaviour.words(), probability * 100.0)
}

fn slope(degrees: f64) -> String {
    match degrees {
        d if d > 0.05 => format!("up {d:.0} degrees"),
        d if d < -0.05 => format!("down {:.0} degrees", -d),
        _ => "level".to_owned(),
    }
}

/// Behaviours other than the one seen that are likely enough to name.
fn others(v: &Verdict) -> Option<String> {
    const NAMED: f64 = 0.05;
    let mut others: Vec<_> = v.probability.each.to_vec();
    others.retain(|&(b, p)| b != v.finding.behaviour && p >= NAMED);
    others.sort_by(|a, b| b.1.total_cmp(&a.1));
    let words: Vec<String> =
        others.iter().map(|(b, p)| format!("{} ({:.0} %)", b.words(), p * 100.0)).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Where one may change something and still have a glide.
fn bands(a: &Analysed) -> String {
    let v = &a.verdict;
    let from_to = |b: Band, unit: f64, decimals: usize| {
        format!("{:.decimals$} to {:.decimals$}", b.low * unit, b.high * unit)
    };
    let yours = a.balanced.mass.behind_nose_m() * 1e3;
    let mut parts = Vec::new();
    if let Some(b) = v.balance {
        parts.push(format!(
            "balanced {} mm behind the nose (yours is at {yours:.1})",
            from_to(b, 1e3, 0)
        ));
    }
    if let Some(b) = v.bend {
        parts.push(format!(
            "with the trailing edges bent by {} mm from where they are (up is positive)",
            from_to(b, 1e3, 1)
        ));
    }
    if let Some(b) = v.speed {
        parts.push(format!("thrown at {} m/s", from_to(b, 1.0, 1)));
    }
    match parts.len() {
        0 => "nowhere near this balance point, bend or throw".to_owned(),
        _ => parts.join("; or "),
    }
}

/// The steady glides, stable ones in full.
fn glides(a: &Analysed) -> String {
    let upright = || a.glides.iter().filter(|g| !g.trim.inverted);
    let stable: Vec<String> = upright()
        .filter(|g| g.stable)
        .map(|g| {
            let t = &g.trim;
            format!(
                "{:.1} m/s at {:.1} degrees, sinking {:.1} m/s, {:.1} m for each metre of height",
                t.speed_m_s,
                t.alpha_rad.to_degrees(),
                t.sink_m_s,
                t.lift_to_drag
            )
        })
        .collect();
    match (stable.is_empty(), upright().count()) {
        (false, _) => stable.join("; or "),
        (true, 0) => "none".to_owned(),
        (true, n) => format!("none that is stable ({n} unstable)"),
    }
}
