//! A traced plane and a balance point measured by hand, as text.

use plumbfold_view::balance_point::{Answer, BalancePoint, Uncertain};
use plumbfold_view::said::fixed;
use plumbfold_view::trace::{Told, Trace};

use super::Rows;

/// A share of the area, in per cent.
fn percent(u: &Uncertain) -> String {
    format!(
        "{} % of the wing, give or take {}",
        fixed(100.0 * u.value, 1),
        fixed(50.0 * (u.high - u.low), 1)
    )
}

fn cm2(u: &Uncertain) -> String {
    format!(
        "{} cm2, give or take {}",
        fixed(u.value / 100.0, 1),
        fixed((u.high - u.low) / 200.0, 1)
    )
}

/// The report of `trace`.
pub fn to_text(told: &Told, t: &Trace) -> Rows {
    let f = &t.found;
    let mut rows = Rows::titled(&told.name).gap();
    rows = match (&t.balance, &t.area_ahead_fraction) {
        (Some(b), Some(share)) => balanced(rows, b).strong_row("ahead of it", &percent(share)),
        _ => rows.strong_row("balances at", "not measured").row(
            "",
            &format!(
                "a quarter of the wing lies ahead of {} mm behind the nose",
                fixed(t.quarter_area_behind_nose_mm, 1)
            ),
        ),
    };
    rows = rows
        .row("wing", &format!("{}; span {}", cm2(&t.area_mm2), t.span_mm.said("mm", 1)))
        .row("length", &t.length_mm.said("mm", 1))
        .row(
            "outline",
            &format!(
                "{} points, halves alike to {} mm, {:.0} % seen sharply",
                t.outline.len(),
                fixed(t.asymmetry_mm, 1),
                100.0 * f.seen
            ),
        );
    if let (Some([w, h]), Some(aspect)) = (f.sheet_mm, f.sheet_aspect) {
        rows = rows.row(
            "sheet",
            &format!(
                "{} x {} mm; its sides as seen differ from that by {} %",
                fixed(w, 1),
                fixed(h, 1),
                fixed(100.0 * (aspect - 1.0).abs(), 1)
            ),
        );
    }
    let lens = match f.lens_k1 {
        0.0 => "lens straight".to_owned(),
        k1 => format!("lens k1 {}", fixed(k1, 3)),
    };
    rows = rows.row(
        "photo",
        &format!(
            "{} dots for each mm, {lens}; {}",
            fixed(f.dots_per_mm, 1),
            match f.by {
                "hand" => "the plane outlined by hand".to_owned(),
                by => format!(
                    "edges {} mm wide, the plane told by {by}, contrast {}",
                    fixed(f.edge_width_mm, 1),
                    fixed(f.contrast, 0)
                ),
            }
        ),
    );
    if !told.weighed {
        let text = format!("{} g, taken as one sheet of A4 (say --mass)", fixed(told.mass_g, 2));
        rows = rows.row("weighs", &text);
    }
    if told.keel_mm.is_none() {
        let text = "out of sight under the wing; none is taken (measure its depth and say --keel)";
        rows = rows.row("keel", text);
    }
    for remark in &t.remarks {
        let option = match remark.code {
            "two-axes" | "which-end" => " (--nose)",
            "axis-backwards" => " (--axis)",
            "edges-bow" => " (--lens)",
            _ => "",
        };
        rows = rows.row("look at", &format!("{}{option}", remark.text));
    }
    rows
}

/// Where it balances, and each measurement beside it.
fn balanced(rows: Rows, b: &BalancePoint) -> Rows {
    let mut rows = rows.strong_row("balances at", &b.behind_nose_mm.said("mm behind the nose", 1));
    if b.measurements.len() > 1 {
        for m in &b.measurements {
            let alone = match m.alone_behind_nose_mm {
                Some(mm) => format!(", alone {} mm behind the nose", fixed(mm, 1)),
                None => String::new(),
            };
            let text = format!("{} passes {} mm from it{alone}", m.what, fixed(m.off_mm, 1));
            rows = rows.row("", &text);
        }
    }
    if let Some(sides) = b.triangle_mm {
        let [a, b, c] = sides.map(|s| fixed(s, 1));
        rows = rows.row("", &format!("three lines cross in a triangle of {a}, {b} and {c} mm"));
    }
    rows
}

/// The report of `balance-point`.
pub fn point(a: &Answer) -> Rows {
    let mut rows = balanced(Rows::titled("Balance point").gap(), &a.point);
    if let Some(share) = &a.area_ahead_fraction {
        rows = rows.strong_row("ahead of it", &percent(share));
    }
    let right = &a.point.right_mm;
    if right.value.abs() > 1.0 && right.low * right.high > 0.0 {
        let side = if right.value > 0.0 { "right" } else { "left" };
        let text = format!("{} mm {side} of the line of symmetry", fixed(right.value.abs(), 1));
        rows = rows.row("aside", &text);
    }
    match a.point.warning() {
        Some(text) => rows.row("look at", &text),
        None => rows,
    }
}
