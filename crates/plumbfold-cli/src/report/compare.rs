//! Planes side by side as text.

use plumbfold::study::summary::{Folds, Steady, Summary, USUAL_AREA_AHEAD, Usual};

use super::table::Table;
use super::{Rows, WIDTH, verdict};

/// A line of the comparison: what it is, its unit, the number of a plane.
type Line = (&'static str, &'static str, fn(&Summary) -> String);

/// What the sheet became.
const MADE: [Line; 9] = [
    ("sheet", "mm", |s| {
        folds(s, |f| format!("{:.0}x{:.0}", f.sheet_m[0] * 1e3, f.sheet_m[1] * 1e3))
    }),
    ("span", "mm", |s| format!("{:.1}", s.span_m * 1e3)),
    ("length", "mm", |s| format!("{:.1}", s.length_m * 1e3)),
    ("wing", "cm2", |s| format!("{:.1}", s.area_m2 * 1e4)),
    ("mass", "g", |s| format!("{:.2}", s.mass_kg * 1e3)),
    ("loading", "N/m2", |s| format!("{:.2}", s.wing_loading_n_m2)),
    ("steps", "", |s| folds(s, |f| f.steps.to_string())),
    ("layers", "most", |s| folds(s, |f| f.layers_max.to_string())),
    ("layers", "crease", |s| folds(s, |f| f.crease_layers_max.to_string())),
];

/// How it balances and flies.
const FLIES: [Line; 8] = [
    ("balance", "mm", |s| format!("{:.1}", s.behind_nose_m * 1e3)),
    ("ahead", "%", |s| {
        format!("{:.1} {:2}", s.area_ahead_fraction * 100.0, mark(s.area_ahead_fraction))
    }),
    ("margin", "% MAC", |s| format!("{:.1}", s.static_margin * 100.0)),
    ("trim", "m/s", |s| glide(s, |g| format!("{:.2}", g.speed_m_s))),
    ("sink", "m/s", |s| glide(s, |g| format!("{:.2}", g.sink_m_s))),
    ("L/D", "", |s| glide(s, |g| format!("{:.1}", g.lift_to_drag))),
    ("flies", "m", |s| format!("{:.1}", s.distance_m)),
    ("verdict", "", |s| verdict::short(s.behaviour, s.probability)),
];

fn folds(s: &Summary, of: impl Fn(&Folds) -> String) -> String {
    s.folded.as_ref().map_or("–".to_owned(), of)
}

fn glide(s: &Summary, of: impl Fn(&Steady) -> String) -> String {
    s.glide.as_ref().map_or("–".to_owned(), of)
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
pub fn to_text(planes: &[(String, Summary)]) -> String {
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

fn by_column(planes: &[(String, Summary)]) -> Table {
    let names = planes.iter().map(|p| p.0.clone());
    let mut table = Table::new([std::iter::once(String::new()).chain(names).collect()]);
    for (what, unit, of) in MADE.iter().chain(&FLIES) {
        let name = format!("{what} {unit}").trim_end().to_owned();
        let values = planes.iter().map(|p| of(&p.1).trim_end().to_owned());
        table.row(std::iter::once(name).chain(values).collect());
    }
    table
}

fn by_row(planes: &[(String, Summary)], lines: &[Line]) -> Table {
    let heading = |first: &str, of: fn(&Line) -> &'static str| -> Vec<String> {
        std::iter::once(first.to_owned()).chain(lines.iter().map(|l| of(l).to_owned())).collect()
    };
    let mut table = Table::new([heading("", |l| l.0), heading("", |l| l.1)]);
    for (name, plane) in planes {
        let values = lines.iter().map(|l| (l.2)(plane));
        table.row(std::iter::once(name.clone()).chain(values).collect());
    }
    table
}
