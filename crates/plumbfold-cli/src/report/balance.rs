//! The balance of a plane as text, in the words and units of people who fold.

use std::fmt::Write as _;

use plumbfold::pipeline::{Balanced, FoldOutcome, Source};
use plumbfold::study::usual::{USUAL_AREA_AHEAD as USUAL, Usual};

use plumbfold_view::balance::Balance;
use plumbfold_view::flight::Verdict;
use plumbfold_view::said::{beside, fixed};
use plumbfold_view::sentences::balanced;

use super::{Amount, Rows};

/// The report of `balance`: no flight, so only the rule of thumb to hold it against.
pub fn to_text(plane: &Balanced, b: &Balance) -> Rows {
    let rows = about(Rows::titled(&b.name), plane).gap();
    let rows = place(rows, b)
        .row("rule of thumb", &rule(b.area_ahead_fraction))
        .gap()
        .drawn(&bar(b.area_ahead_fraction, USUAL))
        .gap();
    made(rows, plane, b, Amount::Full)
}

/// What the text says about itself.
pub fn about(rows: Rows, plane: &Balanced) -> Rows {
    let about: Vec<&str> = plane.source.design().about.iter().map(|l| l.node.as_str()).collect();
    if about.is_empty() { rows } else { rows.paragraph(&about.join(" ")) }
}

/// Where it balances.
pub fn place(rows: Rows, b: &Balance) -> Rows {
    let (cg, share) = (&b.cg, b.area_ahead_fraction * 100.0);
    rows.row(
        "balances at",
        &format!(
            "{} mm behind the nose, {} % of the wing ahead of it",
            fixed(cg.behind_nose_mm, 1),
            fixed(share, 1)
        ),
    )
}

/// Where it balances against the band in which this plane glides, and the rule of thumb last.
pub fn against(rows: Rows, b: &Balance, v: &Verdict) -> Rows {
    let share = b.area_ahead_fraction;
    let rows = rows.strong_row("balances at", &balanced(v, b.cg.behind_nose_mm));
    let rows = match v.glides_area_ahead {
        None => rows.row("", &format!("{} % of the wing ahead of it", fixed(share * 100.0, 1))),
        Some(own) => {
            let [low, high, here] = beside(own.map(|s| s * 100.0), share * 100.0, [0, 1]);
            let said = format!(
                "{here} % of the wing ahead of it; this shape glides with {low} to {high} % ahead"
            );
            rows.row("", &said).drawn(&bar(share, own))
        }
    };
    rows.row("rule of thumb", &rule(share))
}

fn rule(share: f64) -> String {
    let usual = format!("{:.0} to {:.0} %", USUAL[0] * 100.0, USUAL[1] * 100.0);
    let here = match Usual::of(share) {
        Usual::FarLess => "far less here",
        Usual::Less => "less here",
        Usual::Within => "so here",
        Usual::More => "more here",
        Usual::FarMore => "far more here",
    };
    format!("planes in general have {usual} ahead; {here}")
}

/// The paper and the wing.
pub fn made(rows: Rows, plane: &Balanced, b: &Balance, amount: Amount) -> Rows {
    let p = &b.planform;
    let sheet = match &plane.source {
        Source::Folded(FoldOutcome { stock, .. }) => format!(
            "{:.1} x {:.1} mm, {:.1} g/m2, {:.3} mm thick",
            stock.width_m * 1e3,
            stock.length_m * 1e3,
            stock.grammage_kg_m2 * 1e3,
            stock.thickness_m * 1e3
        ),
        Source::Outlined { .. } => "not known: the plane is given by its outline".to_owned(),
    };
    let layers = b.layers.as_ref().map_or("not known".to_owned(), |l| {
        format!("{} at the thickest place, {} round the worst crease", l.max, l.at_crease_max)
    });
    let loading = b.mass_g / (p.area_mm2 * 1e-4);
    let mut rows = rows
        .row("sheet", &sheet)
        .row("weighs", &format!("{:.2} g, {loading:.2} g for each dm2 of wing", b.mass_g))
        .row(
            "wing",
            &format!(
                "{:.1} cm2, span {:.1} mm, aspect ratio {:.2}, mean chord {:.1} mm",
                p.area_mm2 / 100.0,
                p.span_mm,
                p.aspect_ratio,
                p.mean_chord_mm
            ),
        );
    if amount == Amount::Full {
        rows = rows
            .row(
                "MAC",
                &format!(
                    "{:.1} mm, {:.1} to {:.1} mm behind the nose; balance at {:.1} % of it",
                    p.mac_mm,
                    p.mac_le_behind_nose_mm,
                    p.mac_le_behind_nose_mm + p.mac_mm,
                    b.cg_mac_fraction * 100.0
                ),
            )
            .row(
                "quarter area",
                &format!(
                    "{:.1} mm behind the nose; the balance point is {}",
                    b.quarter_area_behind_nose_mm,
                    offset(b.cg.behind_nose_mm - b.quarter_area_behind_nose_mm)
                ),
            )
            .row("height", &format!("balances {} mm above the keel", fixed(b.cg.above_keel_mm, 1)));
    }
    rows.row("layers", &layers)
}

fn offset(mm: f64) -> String {
    match mm {
        d if d > 0.05 => format!("{d:.1} mm behind it"),
        d if d < -0.05 => format!("{:.1} mm ahead of it", -d),
        _ => "on it".to_owned(),
    }
}

/// Scale of the bar: first and last per cent, columns a per cent.
const FIRST: usize = 10;
const LAST: usize = 40;
const COLUMNS: usize = 2;

/// A ruler of the share of area ahead with a band shaded and a pointer at `share`.
fn bar(share: f64, band: [f64; 2]) -> [String; 3] {
    let column = |percent: f64| {
        ((percent - FIRST as f64) * COLUMNS as f64)
            .clamp(0.0, ((LAST - FIRST) * COLUMNS) as f64)
            .round() as usize
    };
    let band = column(band[0] * 100.0)..=column(band[1] * 100.0);
    let (mut numbers, mut ruler) = (String::new(), String::new());
    for c in 0..=(LAST - FIRST) * COLUMNS {
        let percent = FIRST + c / COLUMNS;
        let major = c.is_multiple_of(COLUMNS) && percent.is_multiple_of(5);
        if major {
            let _ = write!(numbers, "{percent:<width$}", width = 5 * COLUMNS);
        }
        ruler.push(match (band.contains(&c), major) {
            (true, _) => '▒',
            (false, true) => '|',
            (false, false) => '·',
        });
    }
    let at = share * 100.0;
    let pointer = match at {
        a if a < FIRST as f64 => "◂".to_owned(),
        a if a > LAST as f64 => format!("{:>width$}", "▸", width = column(a) + 1),
        a => format!("{:>width$}", "▲", width = column(a) + 1),
    };
    [format!("{} %", numbers.trim_end()), ruler, pointer]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pointer_stands_under_its_per_cent() {
        let [numbers, ruler, pointer] = bar(0.25, USUAL);
        let column = pointer.chars().position(|c| c == '▲').unwrap();
        assert_eq!(ruler.chars().nth(column), Some('▒'));
        assert_eq!(numbers.find("25"), Some(column));
        assert_eq!(ruler.chars().filter(|&c| c == '▒').count(), 9);
    }

    #[test]
    fn shares_off_the_ruler_point_outwards() {
        assert_eq!(bar(0.03, USUAL)[2], "◂");
        assert!(bar(0.9, USUAL)[2].ends_with('▸'));
    }

    #[test]
    fn the_rule_of_thumb_is_told_as_one() {
        assert!(rule(0.25).ends_with("23 to 27 % ahead; so here"));
        let here = [0.10, 0.20, 0.28, 0.54].map(rule);
        for (said, words) in here.iter().zip(["far less", "less", "more", "far more"]) {
            assert!(said.ends_with(&format!("; {words} here")), "{said}");
        }
    }
}
