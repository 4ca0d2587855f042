//! Planes side by side as text.

use plumbfold::study::usual::USUAL_AREA_AHEAD;
use plumbfold_view::numbers::{Numbers, Plane};
use plumbfold_view::said::{count, fixed};

use super::Rows;
use super::table::Table;

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
    ("loading", "g/dm2", |n| format!("{:.2}", n.wing_loading_g_dm2())),
    ("steps", "", |n| known(n.steps.map(|v| v.to_string()))),
    ("layers", "most", |n| known(n.layers_max.map(|v| v.to_string()))),
    ("layers", "crease", |n| known(n.layers_at_crease_max.map(|v| v.to_string()))),
];

/// How it balances and flies.
const FLIES: [Line; 8] = [
    ("balance", "mm", |n| format!("{:.1}", n.cg_behind_wing_nose_mm)),
    ("ahead", "%", |n| format!("{:.1}", n.area_ahead_fraction * 100.0)),
    ("margin", "% MAC", |n| fixed(n.static_margin_mac_fraction * 100.0, 1)),
    ("glide", "m/s", |n| known(n.trim_speed_mps.map(|v| format!("{v:.2}")))),
    ("sink", "m/s", |n| known(n.sink_mps.map(|v| format!("{v:.2}")))),
    ("L/D", "", |n| known(n.lift_to_drag.map(|v| format!("{v:.1}")))),
    ("exactly", "m", |n| format!("{:.1}", n.distance_m)),
    ("verdict", "", Numbers::verdict_in_short),
];

/// A number, or a dash where the plane has none.
pub fn known(number: Option<String>) -> String {
    number.unwrap_or_else(|| "–".to_owned())
}

/// The report: a plane a column where that fits, else a plane a row.
pub fn to_text(planes: &[(String, Plane)]) -> Rows {
    let [low, high] = USUAL_AREA_AHEAD.map(|v| v * 100.0);
    let rows = Rows::titled(&count(planes.len(), "plane", "planes"))
        .gap()
        .tables(vec![vec![by_column(planes)], vec![by_row(planes, &MADE), by_row(planes, &FLIES)]])
        .gap()
        .paragraph(&format!(
            "balance: behind the foremost place of the wing, which a folded plane and a traced one \
             have alike. ahead: share of the wing ahead of the balance point. Planes in general have {low:.0} \
             to {high:.0} % (a rule of thumb); what each of these needs, `plumbfold check` tells."
        ))
        .paragraph(&format!(
            "margin: neutral point behind the balance point, at small incidence; a broad wing can \
             hold its glide at a larger one without it, as its lift moves aft. glide, sink, L/D: of \
             the glide it settles to. exactly: how far it flies thrown exactly so, {}.",
            throws(planes)
        ));
    match unlike_edges(planes) {
        Some(text) => rows.paragraph(&text),
        None => rows,
    }
}

/// The throws that are compared: each plane is flown as its own text says.
fn throws(planes: &[(String, Plane)]) -> String {
    let range = |of: fn(&Numbers) -> f64, unit: &str| {
        let all = planes.iter().map(|p| of(&p.1.numbers));
        let (low, high) = all.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
        let [low, high] = [low, high].map(|v| fixed(v, 1));
        if low == high { format!("{low} {unit}") } else { format!("{low} to {high} {unit}") }
    };
    format!(
        "each as its own text says (from {}, at {})",
        range(|n| n.throw_height_m, "m"),
        range(|n| n.throw_speed_mps, "m/s")
    )
}

/// Where a plane given by its outline says of no bent edges and another has some.
fn unlike_edges(planes: &[(String, Plane)]) -> Option<String> {
    let (flat, bent): (Vec<_>, Vec<_>) =
        planes.iter().partition(|(_, plane)| plane.numbers.edges_up_mm == 0.0);
    let flat = flat.iter().find(|(_, plane)| plane.numbers.sheet_width_mm.is_none())?;
    let (name, plane) = bent.first()?;
    Some(format!(
        "edges: {name} flies with its trailing edges bent up by {} mm, {} with straight ones, since its text \
         bends none and no photo shows it.",
        fixed(plane.numbers.edges_up_mm, 1),
        flat.0
    ))
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
