//! The balance of a plane as text, in the words and units of people who fold.

use std::fmt::Write as _;

use plumbfold::pipeline::{Balanced, FoldOutcome, Source};
use plumbfold::study::usual::{USUAL_AREA_AHEAD as USUAL, Usual};

use plumbfold_view::balance::Balance;

use super::Rows;

/// The report.
pub fn to_text(plane: &Balanced, b: &Balance) -> Rows {
    let p = &b.planform;
    let share = b.area_ahead_fraction;
    let cg = &b.cg;
    let about: Vec<&str> = plane.source.design().about.iter().map(|l| l.node.as_str()).collect();
    let mut rows = Rows::titled(&b.name);
    if !about.is_empty() {
        rows = rows.paragraph(&about.join(" "));
    }
    let (sheet, layers) = match &plane.source {
        Source::Folded(FoldOutcome { stock, .. }) => (
            format!(
                "{:.1} x {:.1} mm, {:.1} g/m2, {:.3} mm thick",
                stock.width_m * 1e3,
                stock.length_m * 1e3,
                stock.grammage_kg_m2 * 1e3,
                stock.thickness_m * 1e3
            ),
            format!(
                "{} at the thickest place, {} round the worst crease",
                b.layers.max, b.layers.at_crease_max
            ),
        ),
        Source::Outlined { .. } => {
            ("not known: the plane is given by its outline".to_owned(), "not known".to_owned())
        }
    };
    rows.gap()
        .row("sheet", &sheet)
        .row("weighs", &format!("{:.2} g", b.mass_g))
        .row(
            "balances at",
            &format!(
                "{:.1} mm behind the nose, {:.1} mm above the keel",
                cg.behind_nose_mm, cg.above_keel_mm
            ),
        )
        .row("area ahead", &format!("{:.1} % of the wing, {}", share * 100.0, judgement(share)))
        .gap()
        .drawn(&bar(share))
        .gap()
        .row(
            "wing",
            &format!(
                "{:.1} cm2, span {:.1} mm, aspect ratio {:.2}, mean chord {:.1} mm",
                p.area_mm2 / 100.0,
                p.span_mm,
                p.aspect_ratio,
                p.mean_chord_mm
            ),
        )
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
                offset(cg.behind_nose_mm - b.quarter_area_behind_nose_mm)
            ),
        )
        .row("layers", &layers)
}

fn judgement(share: f64) -> String {
    let usual = format!("the usual {:.0} to {:.0} %", USUAL[0] * 100.0, USUAL[1] * 100.0);
    match Usual::of(share) {
        Usual::FarLess => format!("far less than {usual}: nose-heavy"),
        Usual::Less => format!("less than {usual}: somewhat nose-heavy"),
        Usual::Within => format!("within {usual}"),
        Usual::More => format!("more than {usual}: somewhat tail-heavy"),
        Usual::FarMore => format!("far more than {usual}: tail-heavy"),
    }
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

/// A ruler of the share of area ahead with the usual band shaded and a pointer at `share`.
fn bar(share: f64) -> [String; 3] {
    let column = |percent: f64| {
        ((percent - FIRST as f64) * COLUMNS as f64)
            .clamp(0.0, ((LAST - FIRST) * COLUMNS) as f64)
            .round() as usize
    };
    let band = column(USUAL[0] * 100.0)..=column(USUAL[1] * 100.0);
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
        let [numbers, ruler, pointer] = bar(0.25);
        let column = pointer.chars().position(|c| c == '▲').unwrap();
        assert_eq!(ruler.chars().nth(column), Some('▒'));
        assert_eq!(numbers.find("25"), Some(column));
        assert_eq!(ruler.chars().filter(|&c| c == '▒').count(), 9);
    }

    #[test]
    fn shares_off_the_ruler_point_outwards() {
        assert_eq!(bar(0.03)[2], "◂");
        assert!(bar(0.9)[2].ends_with('▸'));
    }

    #[test]
    fn the_judgement_changes_at_the_limits() {
        assert_eq!(judgement(0.25), "within the usual 23 to 27 %");
        assert!(judgement(0.20).starts_with("less") && judgement(0.10).starts_with("far less"));
        assert!(judgement(0.28).starts_with("more") && judgement(0.54).starts_with("far more"));
    }
}
