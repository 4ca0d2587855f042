//! Where a plane differs from its design, as text.

use plumbfold_view::differ::{Bend, Change, Differ, Spot};
use plumbfold_view::said::{fixed, short};

use super::Rows;

/// In one sentence.
pub fn summary(d: &Differ) -> String {
    format!(
        "edges part by {} mm in the mean, {} mm at most; it balances {}",
        fixed(d.outline.mean_mm, 1),
        fixed(d.outline.max_mm, 1),
        farther(&d.balance_behind_nose_mm)
    )
}

fn farther(c: &Change) -> String {
    match c.more {
        m if m >= 0.05 => format!("{} mm farther back", fixed(m, 1)),
        m if m <= -0.05 => format!("{} mm farther forward", fixed(-m, 1)),
        _ => "in the same place".to_owned(),
    }
}

/// Each plane from its own nose, as everywhere else; how they differ, laid on one another.
fn balance(d: &Differ) -> String {
    let b = &d.balance_behind_nose_mm;
    let nose = match d.nose_behind_mm {
        mm if mm >= 0.05 => {
            format!(" (that lies {} mm behind the nose of the design, keel and all)", fixed(mm, 1))
        }
        mm if mm <= -0.05 => format!(" (that lies {} mm ahead of the design's)", fixed(-mm, 1)),
        _ => String::new(),
    };
    format!(
        "{} mm behind its nose{nose}; design {} mm behind its own; laid on one another, {}",
        fixed(b.other - d.nose_behind_mm, 1),
        fixed(b.design, 1),
        farther(b)
    )
}

/// The report of `differ`.
pub fn to_text(d: &Differ) -> Rows {
    let share = &d.area_ahead_fraction;
    let percent = |v: f64| fixed(100.0 * v, 1);
    let mut rows =
        Rows::titled(&format!("{} against its design {}", d.other, d.design)).gap().strong_row(
            "edges",
            &format!(
                "part by {} mm in the mean, {} mm at most",
                fixed(d.outline.mean_mm, 1),
                fixed(d.outline.max_mm, 1)
            ),
        );
    for spot in d.outline.places.iter().filter(|s| s.outside_mm.abs() >= 0.3) {
        rows = rows.row("", &place(spot));
    }
    let front = d.outline.reaches_ahead_mm;
    if front.abs() >= 0.3 {
        let way = if front > 0.0 { "farther" } else { "less far" };
        let text = format!("reaches {} mm {way} ahead than the design's", fixed(front.abs(), 1));
        rows = rows.row("wing's front", &text);
    }
    for b in &d.bends {
        rows = rows.row("edges bent", &bend(b));
    }
    rows.row("balance", &balance(d))
    .row(
        "ahead of it",
        &format!("{} % of the wing (design {} %)", percent(share.other), percent(share.design)),
    )
    .row(
        "wing",
        &format!(
            "{} cm2, span {} mm laid flat (design {} cm2, {} mm)",
            fixed(d.area_mm2.other / 100.0, 1),
            fixed(d.span_mm.other, 1),
            fixed(d.area_mm2.design / 100.0, 1),
            fixed(d.span_mm.design, 1)
        ),
    )
    .row(
        "weighs",
        &format!("{} g (design {} g)", fixed(d.mass_g.other, 2), fixed(d.mass_g.design, 2)),
    )
    .gap()
    .paragraph(
        "A good photo tells edges to about 0.2 mm; careful hands fold to about half a millimetre \
         (common practice), so parts of less than 1 mm are ordinary.",
    )
}

/// A bend that one has and the other has not, and what to do before both are flown side by side.
fn bend(b: &Bend) -> String {
    let Change { design, other, .. } = b.bent_mm;
    let ways = if b.edge == "rudder" { ["right", "left"] } else { ["up", "down"] };
    let said = |mm: f64| match mm {
        0.0 => "not at all".to_owned(),
        mm => format!("{} mm {}", short(mm.abs()), ways[usize::from(mm < 0.0)]),
    };
    let told = format!("{}: in the design {}, here {}", b.edge, said(design), said(other));
    match other {
        0.0 => format!(
            "{told}. No photo shows a bend: if the copy is bent so, add `{}` to its text, or it flies \
             otherwise than its design for want of that line",
            b.line
        ),
        _ => told,
    }
}

fn place(s: &Spot) -> String {
    let side = match s.right_mm {
        r if r > 0.5 => format!("{} mm to the right", fixed(r, 0)),
        r if r < -0.5 => format!("{} mm to the left", fixed(-r, 0)),
        _ => "in the middle".to_owned(),
    };
    let way = if s.outside_mm > 0.0 { "outside" } else { "inside" };
    format!(
        "{} mm {way}, {} mm behind the nose, {side}",
        fixed(s.outside_mm.abs(), 1),
        fixed(s.behind_nose_mm, 0)
    )
}
