//! Planes side by side as text.

use plumbfold::study::usual::{USUAL_AREA_AHEAD, Usual};
use plumbfold_view::numbers::{Numbers, Plane};

use super::table::Table;
use super::{Rows, WIDTH};

/// A line of the comparison: what it is, its unit, the number of a plane.
type Line = (&'static str, &'static str, fn(&Numbers) -> String);

/// What the sheet became.
const MADE: [Line; 9] = [
    ("sheet", "mm", |n| match (n.sheet_width_mm, n.sheet_length_mm) {
        (Some(width), Some(length)) => format!("{width:.0}x{length:.0}"),
        _ => known(None),
    }),
    ("span", "mm", |n| format!("{:.1}", n.span_mm)),
    ("length", "mm", |n| format!("{:.1}", n.length_mm)),
    ("wing", "cm2", |n| format!("{:.1}", n.area_mm2 / 1e2)),
    ("mass", "g", |n| format!("{:.2}", n.mass_g)),
    ("loading", "N/m2", |n| format!("{:.2}", n.wing_loading_n_m2)),
    ("steps", "", |n| known(n.steps.map(|v| v.to_string()))),
    ("layers", "most", |n| known(n.layers_max.map(|v| v.to_string()))),
    ("layers", "crease", |n| known(n.layers_at_crease_max.map(|v| v.to_string()))),
];

/// How it balances and flies.
const FLIES: [Line; 8] = [
    ("balance", "mm", |n| format!("{:.1}", n.cg_behind_nose_mm)),
    ("ahead", "%", |n| {
        format!("{:.1} {:2}", n.area_ahead_fraction * 100.0, mark(n.area_ahead_fraction))
    }),
    ("margin", "% MAC", |n| format!("{:.1}", n.static_margin_mac_fraction * 100.0)),
    ("trim", "m/s", |n| known(n.trim_speed_mps.map(|v| format!("{v:.2}")))),
    ("sink", "m/s", |n| known(n.sink_mps.map(|v| format!("{v:.2}")))),
    ("L/D", "", |n| known(n.lift_to_drag.map(|v| format!("{v:.1}")))),
    ("flies", "m", |n| format!("{:.1}", n.distance_m)),
    ("verdict", "", Numbers::verdict),
];

/// A number, or a dash where the plane has none.
pub fn known(number: Option<String>) -> String {
    number.unwrap_or_else(|| "–".to_owned())
}

/// Less than usual, or more.
fn mark(share: f64) -> &'static str {
    match Usual::of(share) {
        Usual::FarLess => "--",
        Usual::Less => "-",
        Usual::Within => "",
        Usual::More => "+",
        Usual::FarMore => "++",
    }
}

/// The report: a plane a column where that fits, else a plane a row.
pub fn to_text(planes: &[(String, Plane)]) -> String {
    let columns = by_column(planes);
    let rows = Rows::titled(&format!("{} planes", planes.len())).gap();
    let rows = if columns.width() <= WIDTH - 2 {
        rows.lines(columns.lines())
    } else {
        let made = by_row(planes, &MADE);
        rows.lines(made.lines()).gap().lines(by_row(planes, &FLIES).lines())
    };
    let [low, high] = USUAL_AREA_AHEAD.map(|v| v * 100.0);
    rows.gap()
        .paragraph(&format!(
            "ahead: - less, + more of the wing ahead of the balance point than the usual \
             {low:.0} to {high:.0} % (common practice); doubled, far from it"
        ))
        .paragraph(
            "margin: neutral point behind the balance point, at small incidence; a broad wing can \
             hold its glide at a larger one without it, as its lift moves aft",
        )
        .finish()
}

fn by_column(planes: &[(String, Plane)]) -> Table {
    let names = planes.iter().map(|p| p.0.clone());
    let mut table = Table::new([std::iter::once(String::new()).chain(names).collect()]);
    for (what, unit, of) in MADE.iter().chain(&FLIES) {
        let name = format!("{what} {unit}").trim_end().to_owned();
        let values = planes.iter().map(|p| of(&p.1.numbers).trim_end().to_owned());
        table.row(std::iter::once(name).chain(values).collect());
    }
    table
}

fn by_row(planes: &[(String, Plane)], lines: &[Line]) -> Table {
    let heading = |first: &str, of: fn(&Line) -> &'static str| -> Vec<String> {
        std::iter::once(first.to_owned()).chain(lines.iter().map(|l| of(l).to_owned())).collect()
    };
    let mut table = Table::new([heading("", |l| l.0), heading("", |l| l.1)]);
    for (name, plane) in planes {
        let values = lines.iter().map(|l| (l.2)(&plane.numbers));
        table.row(std::iter::once(name.clone()).chain(values).collect());
    }
    table
}
