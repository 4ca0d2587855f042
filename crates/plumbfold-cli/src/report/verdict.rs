//! What a plane does, how sure that is and why, in the words of people who fold.

use plumbfold_view::flight::{InTheAir, Throw, Trim, Verdict};

use super::Rows;

/// Adds the verdict on a plane that balances so many mm behind the nose to a report.
pub fn add(rows: Rows, a: &InTheAir, behind_nose_mm: f64) -> Rows {
    let (v, f) = (&a.verdict, &a.flight);
    let sure = v.probability.of(v.behaviour) * 100.0;
    let mut rows = rows
        .row("throw", &throw(&a.throw))
        .strong_row("verdict", &format!("{} ({sure:.0} % sure)", v.behaviour.words()))
        .row("", &v.seen)
        .row("because", &v.cause);
    if let Some(others) = others(v) {
        rows = rows.row("or", &others);
    }
    rows = rows.row(
        "this throw",
        &format!(
            "{:.1} m in {:.1} s, no higher than {:.1} m",
            f.distance_m, f.time_aloft_s, f.max_height_m
        ),
    );
    if f.suspect {
        rows = rows.row("", "further or longer than hand throws are known to go: do not trust it");
    }
    rows.row("glides", &bands(v, behind_nose_mm))
        .row(
            "other throws",
            &format!(
                "at {:.1} m/s it {}, at {:.1} m/s it {}",
                v.gentler.speed_mps,
                v.gentler.behaviour.words(),
                v.harder.speed_mps,
                v.harder.behaviour.words()
            ),
        )
        .row("steady glide", &glides(&a.trim))
}

fn throw(t: &Throw) -> String {
    format!("{:.1} m/s, {}, from {:.1} m", t.speed_mps, slope(t.elevation_deg), t.height_m)
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
    let others = v.probability.others(v.behaviour).into_iter().filter(|o| o.1 >= NAMED);
    let words: Vec<String> =
        others.map(|(b, p)| format!("{} ({:.0} %)", b.words(), p * 100.0)).collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Where one may change something and still have a glide.
fn bands(v: &Verdict, behind_nose_mm: f64) -> String {
    let from_to =
        |[low, high]: [f64; 2], decimals: usize| format!("{low:.decimals$} to {high:.decimals$}");
    let mut parts = Vec::new();
    if let Some(b) = v.glides_balanced_mm {
        parts.push(format!(
            "balanced {} mm behind the nose (yours is at {behind_nose_mm:.1})",
            from_to(b, 0)
        ));
    }
    if let Some(b) = v.glides_bent_mm {
        parts.push(format!(
            "with the trailing edges bent by {} mm from where they are (up is positive)",
            from_to(b, 1)
        ));
    }
    if let Some(b) = v.glides_thrown_mps {
        parts.push(format!("thrown at {} m/s", from_to(b, 1)));
    }
    match parts.len() {
        0 => "nowhere near this balance point, bend or throw".to_owned(),
        _ => parts.join("; or "),
    }
}

/// The steady glides, stable ones in full.
fn glides(all: &[Trim]) -> String {
    let upright = || all.iter().filter(|t| !t.inverted);
    let stable: Vec<String> = upright()
        .filter(|t| t.stable)
        .map(|t| {
            format!(
                "{:.1} m/s at {:.1} degrees, sinking {:.1} m/s, {:.1} m for each metre of height",
                t.speed_mps, t.alpha_deg, t.sink_mps, t.lift_to_drag
            )
        })
        .collect();
    match (stable.is_empty(), upright().count()) {
        (false, _) => stable.join("; or "),
        (true, 0) => "none".to_owned(),
        (true, n) => format!("none that is stable ({n} unstable)"),
    }
}
