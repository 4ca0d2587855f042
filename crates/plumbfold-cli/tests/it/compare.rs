//! `compare`: planes side by side, from files that may be wrong.

use crate::env::{Env, Ran};
use serde_json::Value;

fn folded(name: &str, band: f64) -> String {
    format!(
        "plane {name}\nsheet 200 mm by 100 mm, 100 g/m2\ncreep off\n\
         valley parallel to top edge, {band} mm from it, moving top edge, call it front\n\
         pose flat\nthrow 3 m/s, level, from 1.5 m\n"
    )
}

const TRACED: &str = "\
plane Traced
outline (0 mm, 0 mm) (80 mm, 180 mm) (80 mm, 200 mm) (0 mm, 200 mm), mirrored
measured mass 5 g, balance 118 mm, dihedral 8 deg, keel 20 mm
throw 4 m/s, level, from 1.6 m
";

fn fleet() -> Env {
    let env = Env::with("light.plane", folded("Light", 10.0));
    env.write("heavy.plane", folded("Heavy", 30.0));
    env.write("traced.plane", TRACED);
    env.write("bad.plane", "plane Bad\nsheet A4\nvally along centre\n");
    env
}

fn compare(env: &Env, more: &[&str]) -> Ran {
    env.run(&[&["compare", "--draws", "3"], more].concat())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn the_json_has_known_sizes_and_an_outline_has_no_folds() {
    let env = fleet();
    let ran = compare(&env, &["light.plane", "traced.plane", "--json"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let json = ran.json();
    let light = &json["planes"][0];
    assert_eq!((&light["file"], &light["name"]), (&"light.plane".into(), &"Light".into()));
    // A sheet of 200 mm by 100 mm, 10 mm of it folded over, 100 g/m2: arithmetic.
    let cg = (90.0 * 45.0 + 10.0 * 5.0) / 100.0;
    for (key, expected) in [
        ("sheet_width_mm", 200.0),
        ("sheet_length_mm", 100.0),
        ("span_mm", 200.0),
        ("length_mm", 90.0),
        ("area_mm2", 18_000.0),
        ("mass_g", 2.0),
        ("wing_loading_n_m2", 2e-3 * 9.806_65 / 18e-3),
        ("cg_behind_nose_mm", cg),
        ("area_ahead_fraction", cg / 90.0),
        ("cg_mac_fraction", cg / 90.0),
        ("steps", 1.0),
        ("layers_max", 2.0),
        ("layers_at_crease_max", 1.0),
    ] {
        let found = number(&light[key]);
        assert!((found - expected).abs() < 1e-6 * expected, "{key}: {found} for {expected}");
    }
    let margin = number(&light["neutral_point_mac_fraction"]) - cg / 90.0;
    assert!((margin - number(&light["static_margin_mac_fraction"])).abs() < 1e-9);
    assert_eq!(light["area_ahead_is"], "far more than usual");
    let traced = &json["planes"][1];
    assert!(traced["steps"].is_null() && traced["sheet_width_mm"].is_null());
    assert!((number(&traced["mass_g"]) - 5.0).abs() < 1e-9);
    assert!((number(&traced["cg_behind_nose_mm"]) - 118.0).abs() < 1e-9);
    assert!(json.get("errors").is_none());
}

#[test]
fn a_bad_file_is_told_and_the_others_are_compared() {
    let env = fleet();
    let files = ["light.plane", "bad.plane", "missing.plane", "heavy.plane"];
    let ran = compare(&env, &files);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.contains("Light") && ran.stdout.contains("Heavy"), "{}", ran.stdout);
    for words in ["bad.plane:3", "missing.plane", "2 of 4 designs have mistakes"] {
        assert!(ran.stderr.contains(words), "{words}:\n{}", ran.stderr);
    }
    let json = compare(&env, &[&files[..], &["--json"]].concat()).json();
    assert_eq!(json["planes"].as_array().map(Vec::len), Some(2));
    assert_eq!(json["errors"][0]["file"], "bad.plane");
    let codes: Vec<_> =
        json["errors"].as_array().into_iter().flatten().map(|e| &e["code"]).collect();
    assert_eq!(codes.last(), Some(&&Value::from("file")), "{codes:?}");
    let none = compare(&env, &["bad.plane"]);
    assert_eq!((none.code, none.stdout.as_str()), (1, ""));
}

#[test]
fn ten_planes_fit_on_a_hundred_columns_and_every_line_is_there() {
    let env = Env::new();
    let mut names = Vec::new();
    for k in 0..10 {
        let name = format!("Marlinspike{k}");
        env.write(&format!("{name}.plane"), folded(&name, 5.0 + 4.0 * f64::from(k)));
        names.push(format!("{name}.plane"));
    }
    let files: Vec<&str> = names.iter().map(String::as_str).collect();
    let text = compare(&env, &files).stdout;
    let longest = text.lines().map(|l| l.chars().count()).max().unwrap_or(0);
    assert!(longest <= 100, "{longest}:\n{text}");
    for name in &names {
        let name = name.trim_end_matches(".plane");
        assert_eq!(text.matches(&format!("{name} ")).count(), 2, "{name}:\n{text}");
    }
}

#[test]
fn two_planes_stand_in_columns_and_equal_names_give_way_to_files() {
    let env = fleet();
    env.write("again.plane", folded("Light", 20.0));
    let text = compare(&env, &["light.plane", "again.plane"]).stdout;
    let heading = text.lines().find(|l| l.contains("again.plane")).expect("a heading");
    assert!(heading.contains("light.plane"), "{text}");
    let loading = text.lines().find(|l| l.contains("loading g/dm2")).expect("a line");
    assert!(loading.contains("1.11") && loading.contains("1.25"), "{loading}");
}

#[test]
fn csv_and_picture() {
    let env = fleet();
    let files = ["light.plane", "heavy.plane"];
    let ran = compare(&env, &[&files[..], &["--csv", "-", "-o", "both.svg"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let lines: Vec<&str> = ran.stdout.split("\r\n").collect();
    assert!(lines[0].starts_with("file,name,sheet_width_mm,"), "{}", lines[0]);
    assert!(lines[1].starts_with("light.plane,Light,200,100,200,90,18000,"), "{}", lines[1]);
    assert_eq!(lines.len(), 4);
    let picture = env.read("both.svg");
    for words in ["Light", "Heavy", "wing area ahead", "neutral point"] {
        assert!(picture.contains(words), "{words}");
    }
}
