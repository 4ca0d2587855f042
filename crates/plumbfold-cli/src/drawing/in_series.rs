//! Pictures of one design with other values of its lets.

use plumbfold::study::series::{Along, Variant};
use plumbfold::study::summary::{Summary, USUAL_AREA_AHEAD};
use plumbfold::verdict::Behaviour;
use plumbfold_draw::grid::{self, Field, Side};
use plumbfold_draw::multiples::{self, Multiple, Plane};
use plumbfold_draw::series::{self, Series, Track};
use plumbfold_draw::style::Look;

/// Planes in a row where there is one let.
const COLUMNS: usize = 5;

/// `tip, mm`
pub fn label(a: &Along) -> String {
    match a.dial.unit.symbol() {
        "" => a.dial.name.clone(),
        unit => format!("{}, {unit}", a.dial.name),
    }
}

/// `as tip and keel change`
pub fn as_they_change(along: &[Along]) -> String {
    let names: Vec<&str> = along.iter().map(|a| a.dial.name.as_str()).collect();
    let change = if names.len() == 1 { "changes" } else { "change" };
    format!("as {} {change}", names.join(" and "))
}

/// Charts along one let, or a map of two.
pub fn chart(name: &str, along: &[Along], variants: &[Variant<Summary>]) -> String {
    match along {
        [across, up] => map(name, across, up, variants),
        [one] => charts(name, one, variants),
        _ => String::new(),
    }
}

fn charts(name: &str, along: &Along, variants: &[Variant<Summary>]) -> String {
    let mut sorted: Vec<&Variant<Summary>> = variants.iter().collect();
    sorted.sort_by(|a, b| a.values[0].total_cmp(&b.values[0]));
    sorted.dedup_by(|a, b| a.values == b.values);
    let at: Vec<f64> = sorted.iter().map(|v| v.values[0]).collect();
    let of = |number: &dyn Fn(&Summary) -> f64| -> Vec<f64> {
        sorted.iter().map(|v| v.outcome.as_ref().map_or(f64::NAN, number)).collect()
    };
    let glide = |s: &Summary, number: fn(&plumbfold::study::summary::Steady) -> f64| {
        s.glide.as_ref().map_or(f64::NAN, number)
    };
    let usual = USUAL_AREA_AHEAD.map(|share| share * 100.0);
    let numbers = [
        ("balance point, mm behind the nose", of(&|s| s.behind_nose_m * 1e3), None),
        (
            "wing area ahead, %; the band is usual",
            of(&|s| s.area_ahead_fraction * 1e2),
            Some(usual),
        ),
        ("trim speed, m/s", of(&|s| glide(s, |g| g.speed_m_s)), None),
        ("glide ratio", of(&|s| glide(s, |g| g.lift_to_drag)), None),
        ("length of the throw, m", of(&|s| s.distance_m), None),
    ];
    let tracks: Vec<Track<'_>> = numbers
        .iter()
        .map(|(label, values, wanted)| Track { label, values, wanted: *wanted })
        .collect();
    let planes: Vec<Option<Plane<'_>>> = sorted.iter().map(|v| plane(v)).collect();
    let behaviours: Vec<Option<Behaviour>> = sorted.iter().map(|v| behaviour(v)).collect();
    let chances: Vec<String> = sorted.iter().map(|v| chance(v)).collect();
    let shown = Series {
        along: &label(along),
        at: &at,
        now: Some(along.dial.value),
        planes: &planes,
        behaviours: &behaviours,
        numbers: &chances,
        numbers_are: "what it does, and the chance of a glide, %",
        tracks: &tracks,
    };
    series::series(&Look::light("series"), name, &shown)
}

fn map(name: &str, across: &Along, up: &Along, variants: &[Variant<Summary>]) -> String {
    let (xs, ys) = (growing(across), growing(up));
    let pairs = xs.iter().flat_map(|x| ys.iter().map(move |y| [*x, *y]));
    let fields: Vec<Field> = pairs
        .map(|pair| {
            let found = variants.iter().find(|v| v.values == pair);
            Field {
                behaviour: found.and_then(behaviour),
                number: found.map_or_else(String::new, chance),
            }
        })
        .collect();
    let labels = [label(across), label(up)];
    let side =
        |label, at, dial: &plumbfold::design::dial::Dial| Side { label, at, now: Some(dial.value) };
    grid::grid(
        &Look::light("map"),
        name,
        "what it does; the number is the chance of a glide, %",
        side(&labels[0], &xs, &across.dial),
        side(&labels[1], &ys, &up.dial),
        &fields,
    )
}

/// The values of a let from least to greatest, each once.
fn growing(a: &Along) -> Vec<f64> {
    let mut values = a.values.clone();
    values.sort_by(f64::total_cmp);
    values.dedup();
    values
}

/// Variants as they stand on the page, and how many in a row: as they were asked for, or where
/// they lie on the map.
fn laid_out<'v>(
    along: &[Along],
    variants: &'v [Variant<Summary>],
) -> (Vec<&'v Variant<Summary>>, usize) {
    let [across, up] = along else { return (variants.iter().collect(), COLUMNS) };
    let (xs, ys) = (growing(across), growing(up));
    let pairs = ys.iter().rev().flat_map(|y| xs.iter().map(move |x| [*x, *y]));
    let find = |pair: [f64; 2]| variants.iter().find(|v| v.values == pair);
    (pairs.filter_map(find).collect(), xs.len())
}

/// Every plane from above.
pub fn planes(name: &str, along: &[Along], variants: &[Variant<Summary>]) -> String {
    let (laid_out, columns) = laid_out(along, variants);
    let items: Vec<Multiple<'_>> = laid_out
        .into_iter()
        .map(|v| {
            let values: Vec<String> = along
                .iter()
                .zip(&v.values)
                .map(|(a, &value)| format!("{} {}", a.dial.name, a.dial.say(value, 2)))
                .collect();
            let mut words = vec![values.join(", ")];
            match &v.outcome {
                Ok(s) => {
                    let share = s.area_ahead_fraction * 100.0;
                    words.push(format!("{:.1} mm, {share:.1} % ahead", s.behind_nose_m * 1e3));
                }
                Err(_) => words.push("cannot be folded".to_owned()),
            }
            Multiple { plane: plane(v), behaviour: behaviour(v), words }
        })
        .collect();
    let note = format!("{}; balance point and area ahead", as_they_change(along));
    multiples::multiples(&Look::light("planes"), name, &note, &items, columns)
}

fn plane(v: &Variant<Summary>) -> Option<Plane<'_>> {
    let s = v.outcome.as_ref().ok()?;
    Some(Plane { airframe: &s.airframe, cg: s.cg_m })
}

fn behaviour(v: &Variant<Summary>) -> Option<Behaviour> {
    v.outcome.as_ref().ok().map(|s| s.behaviour)
}

fn chance(v: &Variant<Summary>) -> String {
    let per_cent = |s: &Summary| format!("{:.0}", s.glide_probability * 100.0);
    v.outcome.as_ref().map_or_else(|_| String::new(), per_cent)
}
