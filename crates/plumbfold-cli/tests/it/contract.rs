//! What other programs rely on: key names, units, exit codes, and which stream says what.

use serde_json::Value;

use crate::env::Env;
use crate::flat::number;

/// All four corners of a sheet of known size lie flat: the answers are arithmetic.
const FLAT: &str = "\
plane Flat
sheet 200 mm by 100 mm, 100 g/m2
let band = 10 mm, from 5 mm to 40 mm
creep off
valley parallel to top edge, band from it, moving top edge, call it front
pose flat
";

fn keys(value: &Value) -> Vec<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

fn close(value: &Value, expected: f64) {
    let found = number(value);
    assert!((found - expected).abs() <= 1e-9 * expected.abs().max(1.0), "{found} for {expected}");
}

#[test]
fn balance_answers_with_the_promised_keys() {
    let env = Env::with("flat.plane", FLAT);
    let ran = env.run(&["balance", "flat.plane", "--json"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let json = ran.json();
    assert_eq!(
        keys(&json),
        [
            "schema",
            "name",
            "mass_g",
            "cg",
            "planform",
            "area_ahead_fraction",
            "cg_mac_fraction",
            "quarter_area_behind_nose_mm",
            "inertia_g_mm2",
            "layers"
        ]
    );
    assert!(json["schema"].is_u64());
    assert_eq!(keys(&json["cg"]), ["behind_nose_mm", "above_keel_mm"]);
    assert_eq!(
        keys(&json["planform"]),
        ["area_mm2", "span_mm", "aspect_ratio", "mean_chord_mm", "mac_mm", "mac_le_behind_nose_mm"]
    );
    assert_eq!(keys(&json["inertia_g_mm2"]), ["xx", "yy", "zz", "xz"]);
    assert_eq!(keys(&json["layers"]), ["max", "at_crease_max"]);
}

#[test]
fn units_are_millimetres_grams_and_fractions() {
    let env = Env::with("flat.plane", FLAT);
    let json = env.run(&["balance", "flat.plane", "--json"]).json();
    close(&json["mass_g"], 0.2 * 0.1 * 100.0);
    close(&json["planform"]["area_mm2"], 200.0 * 90.0);
    close(&json["planform"]["span_mm"], 200.0);
    close(&json["planform"]["aspect_ratio"], 200.0 / 90.0);
    close(&json["planform"]["mac_mm"], 90.0);
    close(&json["planform"]["mac_le_behind_nose_mm"], 0.0);
    // 90 mm of single sheet about its middle and 10 mm of band at the front.
    let cg = (90.0 * 45.0 + 10.0 * 5.0) / 100.0;
    close(&json["cg"]["behind_nose_mm"], cg);
    close(&json["area_ahead_fraction"], cg / 90.0);
    close(&json["cg_mac_fraction"], cg / 90.0);
    close(&json["quarter_area_behind_nose_mm"], 22.5);
    assert_eq!((&json["layers"]["max"], &json["layers"]["at_crease_max"]), (&2.into(), &1.into()));
    // Second moment of the sheet across the span: m b^2 / 12 (any handbook of mechanics); the
    // height of the second layer adds a millionth part.
    let xx =
        number(&json["inertia_g_mm2"]["xx"]) / (number(&json["mass_g"]) * 200.0 * 200.0 / 12.0);
    assert!((xx - 1.0).abs() < 1e-5, "{xx}");
}

#[test]
fn a_let_set_on_the_command_line_moves_the_balance_point() {
    let env = Env::with("flat.plane", FLAT);
    for set in ["band=20", "band=20 mm", "band=2cm", "band = 0.02 m"] {
        let json = env.run(&["balance", "flat.plane", "--json", "--set", set]).json();
        close(&json["cg"]["behind_nose_mm"], (80.0 * 40.0 + 20.0 * 10.0) / 100.0);
    }
}

#[test]
fn creep_can_be_switched_from_outside() {
    let design = FLAT.replace("creep off\n", "");
    let env = Env::with("flat.plane", design);
    let mac = |args: &[&str]| {
        let json = env.run(&[&["balance", "flat.plane", "--json"], args].concat()).json();
        number(&json["planform"]["mac_mm"])
    };
    assert_eq!(mac(&["--creep", "on"]), mac(&[]));
    assert!((mac(&["--creep", "off"]) - 90.0).abs() < 1e-9);
}

#[test]
fn the_text_says_what_the_json_says() {
    let env = Env::with("flat.plane", FLAT);
    let ran = env.run(&["balance", "flat.plane"]);
    for words in ["2.00 g", "41.0 mm behind the nose", "45.6 % of the wing", "22.5 mm behind"] {
        assert!(ran.stdout.contains(words), "`{words}` is not in\n{}", ran.stdout);
    }
}

#[test]
fn check_gives_the_balance_and_names_its_pictures() {
    let env = Env::with("flat.plane", FLAT);
    let ran = env.run(&["check", "flat.plane", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let json = ran.json();
    close(&json["planform"]["span_mm"], 200.0);
    let pictures: Vec<&str> =
        json["pictures"].as_array().expect("a list").iter().filter_map(Value::as_str).collect();
    assert!(pictures.len() >= 3, "{pictures:?}");
    for picture in pictures {
        assert!(env.read(picture).contains("<svg"), "{picture}");
    }
    assert_eq!(env.run(&["check", "flat.plane"]).code, 0, "own pictures are replaced");
}

/// A plane that flies: the starter.
fn starter() -> Env {
    let env = Env::new();
    assert_eq!(env.run(&["new", "my.plane"]).code, 0);
    env
}

#[test]
fn aero_answers_with_the_promised_keys() {
    let env = starter();
    let ran = env.run(&["aero", "my.plane", "--json"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let json = ran.json();
    assert_eq!(keys(&json)[0], "schema");
    for key in [
        "cl_alpha_per_rad",
        "neutral_point_behind_nose_mm",
        "neutral_point_mac_fraction",
        "static_margin_mac_fraction",
    ] {
        assert!(number(&json[key]).is_finite(), "{key}");
    }
    let polar = json["polar"].as_array().expect("a list");
    assert!(polar.len() > 50);
    for point in polar {
        assert!(number(&point["cl"]).is_finite() && number(&point["cd"]) > 0.0, "{point}");
        assert!(point.get("alpha_deg").is_some() && point.get("cp_behind_nose_mm").is_some());
    }
    assert!(json["derivatives"].is_object());
    // The margin is the distance from the balance point to the neutral point in chords.
    let balance = env.run(&["balance", "my.plane", "--json"]).json();
    let arm =
        number(&json["neutral_point_behind_nose_mm"]) - number(&balance["cg"]["behind_nose_mm"]);
    let margin = arm / number(&balance["planform"]["mac_mm"]);
    assert!((margin - number(&json["static_margin_mac_fraction"])).abs() < 1e-9);
}

#[test]
fn fly_answers_with_the_promised_keys() {
    let env = starter();
    let ran = env.run(&["fly", "my.plane", "--json", "--draws", "20"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
    let json = ran.json();
    for trim in json["trim"].as_array().expect("a list") {
        for key in ["alpha_deg", "speed_mps", "sink_mps", "lift_to_drag"] {
            assert!(number(&trim[key]).is_finite(), "{key}");
        }
        assert!(trim["stable"].is_boolean());
    }
    assert!(json["modes"].is_array());
    let path = json["path"].as_array().expect("a list");
    close(&path[0]["z_m"], 1.6);
    close(&path[0]["speed_mps"], 5.0);
    for key in ["t_s", "x_m", "y_m", "z_m"] {
        assert!(path.iter().all(|p| number(&p[key]).is_finite()), "{key}");
    }
    for key in ["distance_m", "time_aloft_s", "max_height_m"] {
        assert!(number(&json[key]) > 0.0, "{key}");
    }
    let verdict = &json["verdict"];
    let behaviours =
        ["leaf", "tumbles", "stalls", "porpoises", "glides", "dives", "banks", "spirals"];
    let behaviour = verdict["behaviour"].as_str().expect("a word");
    assert!(behaviours.contains(&behaviour), "{behaviour}");
    // With the share of flights that could not be followed.
    let all = behaviours.iter().chain(&["unknown"]);
    let sum: f64 = all.map(|b| number(&verdict["probability"][b])).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert_eq!(keys(&verdict["probability"]).len(), behaviours.len() + 1);
    assert!(verdict["cause"].is_string());
}

#[test]
fn quantities_on_options_take_the_unit_of_the_json_or_their_own() {
    let env = starter();
    let release = |args: &[&str]| {
        let all = [&["fly", "my.plane", "--json", "--draws", "1"], args].concat();
        let ran = env.run(&all);
        assert_eq!(ran.code, 0, "{args:?}: {}", ran.stderr);
        ran.json()["throw"].clone()
    };
    close(&release(&["--speed", "3.5"])["speed_mps"], 3.5);
    close(&release(&["--speed", "3.5 m/s"])["speed_mps"], 3.5);
    close(&release(&["--elevation", "-10"])["elevation_deg"], -10.0);
    close(&release(&["--elevation", "10 deg"])["elevation_deg"], 10.0);
    close(&release(&["--height", "1.2"])["height_m"], 1.2);
    close(&release(&["--height", "150 cm"])["height_m"], 1.5);
    for args in [
        ["--speed", "3.5 mm"],
        ["--speed", "fast"],
        ["--speed", "-1"],
        ["--speed", "1000"],
        ["--speed", "nan"],
        ["--elevation", "91"],
        ["--height", "-1"],
        ["--draws", "0"],
        ["--temperature", "900"],
        ["--speed", "0"],
    ] {
        let ran = env.run(&["fly", "my.plane", args[0], args[1]]);
        assert_eq!(ran.code, 2, "{args:?}: {}{}", ran.stdout, ran.stderr);
    }
}

#[test]
fn odd_throws_have_an_answer() {
    let env = starter();
    for args in [
        ["--speed", "0.1"],
        ["--elevation", "90"],
        ["--elevation", "-90"],
        ["--height", "0"],
        ["--speed", "50"],
        ["--altitude", "11000"],
        ["--temperature", "-40"],
        ["--hall-length", "0.5"],
    ] {
        let ran = env.run(&["fly", "my.plane", "--json", "--draws", "5", args[0], args[1]]);
        assert!(ran.code <= 1, "{args:?}: {}", ran.stderr);
        assert!(!ran.stdout.contains("NaN"), "{args:?}");
        if ran.code == 0 {
            assert!(number(&ran.json()["time_aloft_s"]).is_finite(), "{args:?}");
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_answer_on_any_number_of_threads() {
    let env = starter();
    let args = ["fly", "my.plane", "--json", "--draws", "30"];
    let ran = |threads: &str| {
        crate::env::Ran::of(env.command(&args).env("RAYON_NUM_THREADS", threads), &args).stdout
    };
    assert_eq!(ran("1"), ran("2"));
    let other = env.run(&[&args[..], &["--seed", "2"]].concat()).stdout;
    assert_ne!(ran("1"), other);
}

#[test]
fn check_ends_in_the_verdict() {
    let env = starter();
    let json = env.run(&["check", "my.plane", "--json", "--draws", "5"]).json();
    assert!(json["verdict"]["behaviour"].is_string());
    assert!(json["cg"]["behind_nose_mm"].is_number());
    let text = env.run(&["check", "my.plane", "--draws", "5"]).stdout;
    assert!(text.contains("verdict") && text.contains("because"), "{text}");
}

#[test]
fn mistakes_are_told_in_json_too() {
    let env = Env::with("bad.plane", "plane Bad\nsheet A4\nvally along centre\n");
    let ran = env.run(&["balance", "bad.plane", "--json"]);
    assert_eq!(ran.code, 1);
    let json = ran.json();
    assert_eq!(keys(&json), ["schema", "errors"]);
    let first = &json["errors"][0];
    assert_eq!((first["file"].as_str(), first["line"].as_u64()), (Some("bad.plane"), Some(3)));
    assert!(!ran.stderr.is_empty(), "and on standard error");
    let ran = env.run(&["balance", "missing.plane", "--json"]);
    assert_eq!(ran.json()["errors"][0]["code"], "file");
}

#[test]
fn colour_is_off_when_piped_and_obeys_the_user() {
    let env = Env::with("flat.plane", FLAT);
    let coloured = |command: snapbox::cmd::Command| {
        crate::env::Ran::of(command, &[]).stdout.contains('\u{1b}')
    };
    let command = |args: &[&str]| env.command(&[&["balance", "flat.plane"], args].concat());
    assert!(!coloured(command(&[])), "piped");
    assert!(coloured(command(&["--color", "always"])));
    assert!(!coloured(command(&["--color", "never"])));
    assert!(!coloured(command(&[]).env("NO_COLOR", "1")));
}

#[test]
fn a_reader_that_goes_away_is_no_mistake() {
    use std::io::Read;
    use std::process::Stdio;
    let env = Env::with("flat.plane", FLAT);
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_plumbfold"))
        .args(["completions", "zsh"])
        .env_clear()
        .current_dir(env.path(""))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    // Read nothing and close: the writes that follow meet a broken pipe.
    drop(child.stdout.take());
    let mut said = String::new();
    let mut stderr = child.stderr.take().expect("a pipe");
    stderr.read_to_string(&mut said).expect("UTF-8");
    assert!(child.wait().expect("it ends").success(), "{said}");
    assert_eq!(said, "");
}
