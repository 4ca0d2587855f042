//! `series`: one let in steps or two against each other, as table, JSON, CSV and pictures.

use crate::env::{Env, Ran};
use crate::flat::{FLAT, balance_mm, number};

fn series(env: &Env, more: &[&str]) -> Ran {
    env.run(&[&["series", "flat.plane", "--draws", "3"], more].concat())
}

#[test]
fn every_value_is_folded_and_the_impossible_ones_say_why() {
    let env = Env::with("flat.plane", FLAT);
    let ran = series(&env, &["--let", "band=10mm..50mm/5", "--json"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let json = ran.json();
    assert_eq!(json["name"], "Flat");
    let let_ = &json["lets"][0];
    assert_eq!(
        (&let_["name"], &let_["unit"], number(&let_["now"])),
        (&"band".into(), &"mm".into(), 10.0)
    );
    let variants = json["variants"].as_array().expect("a list");
    assert_eq!(variants.len(), 5);
    for v in &variants[..4] {
        let band = number(&v["values"]["band"]);
        let plane = &v["plane"];
        assert!((number(&plane["cg_behind_nose_mm"]) - balance_mm(band)).abs() < 1e-6, "{band}");
        let share = balance_mm(band) / (100.0 - band);
        assert!((number(&plane["area_ahead_fraction"]) - share).abs() < 1e-6, "{band}");
        assert!(plane["behaviour"].is_string() && plane["steps"].is_u64());
        assert!(v["errors"].as_array().is_some_and(Vec::is_empty));
    }
    let beyond = &variants[4];
    assert!(beyond["plane"].is_null());
    assert!(beyond["errors"][0]["message"].as_str().is_some_and(|m| m.contains("40 mm")));
    let text = series(&env, &["--let", "band=10mm,50mm"]).stdout;
    for words in
        ["Flat as band changes", "10*", "41.0", "must lie between", "* band as the design is"]
    {
        assert!(text.contains(words), "{words}:\n{text}");
    }
}

#[test]
fn the_json_has_the_numbers_of_check() {
    let env = Env::with("flat.plane", FLAT);
    let one = &series(&env, &["--let", "band=20mm", "--json"]).json()["variants"][0]["plane"];
    let set =
        ["check", "flat.plane", "--no-pictures", "--draws", "3", "--set", "band=20 mm", "--json"];
    let check = env.run(&set).json();
    for (key, other) in [
        ("mass_g", &check["mass_g"]),
        ("span_mm", &check["planform"]["span_mm"]),
        ("area_mm2", &check["planform"]["area_mm2"]),
        ("cg_behind_nose_mm", &check["cg"]["behind_nose_mm"]),
        ("cg_mac_fraction", &check["cg_mac_fraction"]),
        ("distance_m", &check["distance_m"]),
        ("time_aloft_s", &check["time_aloft_s"]),
        ("behaviour", &check["verdict"]["behaviour"]),
        ("layers_max", &check["layers"]["max"]),
    ] {
        assert_eq!(&one[key], other, "{key}");
    }
    assert_eq!(one["glide_probability"], check["verdict"]["probability"]["glides"]);
}

#[test]
fn a_grid_in_csv_has_a_row_for_every_pair() {
    let env = Env::with("flat.plane", FLAT);
    let args = ["--let", "band=10mm,20mm,50mm", "--let", "bend=0mm..2mm/2", "--csv", "-"];
    let ran = series(&env, &args);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let lines: Vec<&str> = ran.stdout.split("\r\n").collect();
    assert_eq!(lines.len(), 1 + 6 + 1, "a heading, six rows, the end of the last line");
    assert!(lines[0].starts_with("band_mm,bend_mm,sheet_width_mm,"), "{}", lines[0]);
    assert!(lines[2].starts_with("10,2,200,100,200,"), "{}", lines[2]);
    let columns = lines[0].split(',').count();
    assert_eq!(lines[1].split(',').count(), columns);
    assert!(
        lines[5].starts_with("50,0,,,") && lines[5].contains("must lie between"),
        "{}",
        lines[5]
    );
    assert_eq!(series(&env, &[&args[..4], &["--csv", "s.csv"]].concat()).code, 0);
    assert_eq!(env.read("s.csv"), ran.stdout);
    assert_eq!(series(&env, &[&args[..4], &["--csv", "s.csv"]].concat()).code, 1, "it is there");
}

#[test]
fn pictures_go_where_they_are_asked_for() {
    let env = Env::with("flat.plane", FLAT);
    let ran = series(&env, &["--let", "band=10mm,20mm", "-o", "a.png", "--out", "out"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    series(&env, &["--let", "band=10mm,50mm", "--let", "bend=0,1", "--out", "out"]);
    let expected = [
        "a.png",
        "flat.plane",
        "out/flat-band-bend-map.svg",
        "out/flat-band-bend-planes.svg",
        "out/flat-band-charts.svg",
        "out/flat-band-planes.svg",
    ];
    assert_eq!(env.files(), expected);
    assert!(env.read("out/flat-band-bend-map.svg").contains("cannot be folded"));
    env.write("mine.svg", "<svg/>");
    assert_eq!(series(&env, &["--let", "band=10mm", "-o", "mine.svg"]).code, 1, "not ours");
    assert_eq!(env.read("mine.svg"), "<svg/>");
}

#[test]
fn what_is_no_series_is_told() {
    let env = Env::with("flat.plane", FLAT);
    for (asked, says) in [
        ("bnad=1mm..2mm", "did you mean `band`?"),
        ("band=1 deg..2 deg", "an angle"),
        ("band=5mm..40mm/1", "from 2 to 60 values"),
        ("band=", ""),
    ] {
        let ran = series(&env, &["--let", asked]);
        assert_eq!(ran.code, 1, "{asked}: {}", ran.stderr);
        assert!(ran.stderr.contains(says) && ran.stdout.is_empty(), "{asked}: {}", ran.stderr);
    }
    assert_eq!(series(&env, &[]).code, 2, "no let");
    let three = ["--let", "band", "--let", "bend", "--let", "band"];
    assert_eq!(series(&env, &three).code, 2);
    assert_eq!(series(&env, &["--let", "band", "--let", "band=7mm"]).code, 2, "against itself");
    let ran = series(&env, &["--let", "band=1mm,2mm", "--json"]);
    assert_eq!(ran.code, 1, "nothing of it can be folded");
    assert_eq!(ran.json()["variants"].as_array().map(Vec::len), Some(2), "and that is told");
}

#[test]
fn the_same_on_any_number_of_threads() {
    let env = Env::with("flat.plane", FLAT);
    let args = ["series", "flat.plane", "--let", "band=10mm..40mm/4", "--draws", "20", "--json"];
    let ran =
        |threads: &str| Ran::of(env.command(&args).env("RAYON_NUM_THREADS", threads), &args).stdout;
    assert_eq!(ran("1"), ran("3"));
}
