//! Pictures of one design with other values of its lets.

use plumbfold::study::series::{Along, Variant};
use plumbfold::study::usual::USUAL_AREA_AHEAD;
use plumbfold::verdict::Behaviour;
use plumbfold_draw::grid::{self, Field, Side};
use plumbfold_draw::multiples::{self, Multiple};
use plumbfold_draw::series::{self, Series, Track};
use plumbfold_draw::style::Look;

use crate::numbers::{Numbers, Plane};

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
pub fn chart(name: &str, along: &[Along], variants: &[Variant<Plane>]) -> String {
    match along {
        [across, up] => map(name, across, up, variants),
        [one] => charts(name, one, variants),
        _ => String::new(),
    }
}

fn charts(name: &str, along: &Along, variants: &[Variant<Plane>]) -> String {
    let mut sorted: Vec<&Variant<Plane>> = variants.iter().collect();
    sorted.sort_by(|a, b| a.values[0].total_cmp(&b.values[0]));
    sorted.dedup_by(|a, b| a.values == b.values);
    let at: Vec<f64> = sorted.iter().map(|v| v.values[0]).collect();
    let of = |number: &dyn Fn(&Numbers) -> f64| -> Vec<f64> {
        sorted.iter().map(|v| v.outcome.as_ref().map_or(f64::NAN, |p| number(&p.numbers))).collect()
    };
    let usual = USUAL_AREA_AHEAD.map(|share| share * 100.0);
    let numbers = [
        ("balance point, mm behind the nose", of(&|n| n.cg_behind_nose_mm), None),
        (
            "wing area ahead, %; the band: rule of thumb",
            of(&|n| n.area_ahead_fraction * 1e2),
            Some(usual),
        ),
        ("trim speed, m/s", of(&|n| n.trim_speed_mps.unwrap_or(f64::NAN)), None),
        ("glide ratio", of(&|n| n.lift_to_drag.unwrap_or(f64::NAN)), None),
        ("length of the throw made exactly so, m", of(&|n| n.distance_m), None),
    ];
    let tracks: Vec<Track<'_>> = numbers
        .iter()
        .map(|(label, values, wanted)| Track { label, values, wanted: *wanted })
        .collect();
    let planes: Vec<Option<multiples::Plane<'_>>> = sorted.iter().map(|v| plane(v)).collect();
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

fn map(name: &str, across: &Along, up: &Along, variants: &[Variant<Plane>]) -> String {
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
    variants: &'v [Variant<Plane>],
) -> (Vec<&'v Variant<Plane>>, usize) {
    let [across, up] = along else { return (variants.iter().collect(), COLUMNS) };
    let (xs, ys) = (growing(across), growing(up));
    let pairs = ys.iter().rev().flat_map(|y| xs.iter().map(move |x| [*x, *y]));
    let find = |pair: [f64; 2]| variants.iter().find(|v| v.values == pair);
    (pairs.filter_map(find).collect(), xs.len())
}

/// Every plane from above.
pub fn planes(name: &str, along: &[Along], variants: &[Variant<Plane>]) -> String {
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
                Ok(p) => {
                    let share = p.numbers.area_ahead_fraction * 100.0;
                    let at = p.numbers.cg_behind_nose_mm;
                    words.push(format!("{at:.1} mm, {share:.1} % ahead"));
                }
                Err(_) => words.push("cannot be folded".to_owned()),
            }
            Multiple { plane: plane(v), behaviour: behaviour(v), words }
        })
        .collect();
    let note = format!("{}; balance point and area ahead", as_they_change(along));
    multiples::multiples(&Look::light("planes"), name, &note, &items, columns)
}

fn plane(v: &Variant<Plane>) -> Option<multiples::Plane<'_>> {
    let p = v.outcome.as_ref().ok()?;
    Some(multiples::Plane { airframe: &p.airframe, cg: p.cg_m })
}

fn behaviour(v: &Variant<Plane>) -> Option<Behaviour> {
    v.outcome.as_ref().ok().map(|p| p.numbers.behaviour.0)
}

fn chance(v: &Variant<Plane>) -> String {
    let per_cent = |p: &Plane| format!("{:.0}", p.numbers.glide_probability * 100.0);
    v.outcome.as_ref().map_or_else(|_| String::new(), per_cent)
}
