//! `mend --to`: a let solved for a wanted balance, from the command line to the file.

use crate::env::Env;
use crate::flat::{FLAT, balance_mm, number};

fn mend(env: &Env, more: &[&str]) -> crate::env::Ran {
    env.run(&[&["mend", "flat.plane", "--draws", "3"], more].concat())
}

#[test]
fn the_planted_band_comes_back_in_json() {
    let env = Env::with("flat.plane", FLAT);
    for band in [12.3456, 39.0] {
        let point = format!("{} mm", balance_mm(band));
        let share = format!("{}%", 100.0 * balance_mm(band) / (100.0 - band));
        for to in [point, share] {
            let ran = mend(&env, &["--to", &to, "--let", "band", "--json"]);
            assert_eq!((ran.code, ran.stderr.as_str()), (0, ""), "{to}");
            let json = ran.json();
            let remedies = json["remedies"].as_array().expect("a list");
            // Two bands may give the same share; the planted one is among them, as it is written.
            let planted = remedies.iter().find(|r| (number(&r["to"]) - band).abs() < 0.0051);
            let r = planted.unwrap_or_else(|| panic!("{to}: {remedies:?}"));
            assert_eq!((number(&r["from"]), r["unit"].as_str()), (10.0, Some("mm")));
            assert_eq!((r["kind"].as_str(), r["let"].as_str()), (Some("let"), Some("band")));
            // The numbers after it are those of the text, whose values are rounded.
            let after = number(&r["after"]["cg_behind_nose_mm"]);
            assert!((after - balance_mm(band)).abs() < 0.01, "{to}: {after}");
        }
    }
}

#[test]
fn every_let_is_tried_and_those_that_cannot_say_why() {
    let env = Env::with("flat.plane", FLAT);
    let json = mend(&env, &["--to", "34 mm", "--json"]).json();
    assert_eq!(number(&json["target"]["behind_nose_mm"]), 34.0);
    assert_eq!(json["remedies"][0]["let"], "band");
    let tried = json["tried"].as_array().expect("a list");
    assert_eq!((&tried[0]["let"], &tried[0]["reason"]), (&"bend".into(), &"no effect".into()));
    let text = mend(&env, &["--to", "34 mm"]).stdout;
    for words in ["1 ", "Change `band` (rolled in front) from 10 mm to 20 mm.", "not with"] {
        assert!(text.contains(words), "{words}:\n{text}");
    }
}

#[test]
fn out_of_reach_says_the_nearest() {
    let env = Env::with("flat.plane", FLAT);
    let ran = mend(&env, &["--to", "20 mm", "--json"]);
    assert_eq!(ran.code, 0);
    let json = ran.json();
    assert!(json["remedies"].as_array().is_some_and(Vec::is_empty));
    let nearest = &json["tried"][0]["nearest"];
    assert_eq!((number(&nearest["at"]), nearest["unit"].as_str()), (40.0, Some("mm")));
    assert!((number(&nearest["behind_nose_mm"]) - balance_mm(40.0)).abs() < 1e-9);
    let ran = mend(&env, &["--to", "20 mm", "--apply", "1"]);
    assert_eq!(ran.code, 2, "there is nothing to apply: {}", ran.stdout);
}

#[test]
fn the_change_is_written_only_when_asked_and_only_it() {
    let env = Env::with("flat.plane", FLAT);
    let changed = FLAT.replace("band = 10 mm", "band = 20 mm");
    let to = ["--to", "34 mm", "--apply", "1"];
    assert_eq!(mend(&env, &to).stdout, changed);
    assert_eq!(env.files(), ["flat.plane"]);
    assert_eq!(mend(&env, &[&to[..], &["-o", "new.plane"]].concat()).code, 0);
    assert_eq!((env.read("new.plane"), env.read("flat.plane")), (changed.clone(), FLAT.into()));
    let again = mend(&env, &[&to[..], &["-o", "new.plane"]].concat());
    assert_eq!(again.code, 1, "{}", again.stderr);
    assert_eq!(mend(&env, &[&to[..], &["--write"]].concat()).code, 0);
    assert_eq!((env.read("flat.plane"), env.read("flat.plane.orig")), (changed, FLAT.into()));
}

#[test]
fn a_count_gives_the_nearest_whole_number_and_how_far_it_is_off() {
    let path = format!("{}/../../designs/scow.plane", env!("CARGO_MANIFEST_DIR"));
    let env = Env::with("flat.plane", std::fs::read(path).expect("a shipped design"));
    let json = mend(&env, &["--to", "31%", "--let", "turns", "--json"]).json();
    let r = &json["remedies"][0];
    assert_eq!((number(&r["from"]), number(&r["to"])), (3.0, 2.0));
    // 31.25 % for two turns (common practice, no source), but for the thickness of the roll.
    let off = number(&r["off"]["area_ahead_fraction"]);
    assert!((off - 0.0025).abs() < 1e-3, "{off}");
    let text = mend(&env, &["--to", "31%", "--let", "turns"]).stdout;
    assert!(text.contains("the nearest whole number"), "{text}");
}

#[test]
fn another_sheet_is_another_plane_unless_it_is_asked_for() {
    let text = FLAT.replace("sheet 200 mm by 100 mm", "let long = 100 mm\nsheet 200 mm by long");
    let env = Env::with("flat.plane", text);
    let all = mend(&env, &["--to", "34 mm", "--json"]).json();
    assert_eq!(all["remedies"].as_array().map(Vec::len), Some(1), "the band alone");
    assert_eq!(
        (&all["tried"][0]["let"], &all["tried"][0]["reason"]),
        (&"long".into(), &"sheet".into())
    );
    // ((L - 10)^2 / 2 + 10^2 / 2) / L = 34 mm, the longer root.
    let long = 44.0 + (44.0f64 * 44.0 - 200.0).sqrt();
    let json = mend(&env, &["--to", "34 mm", "--let", "long", "--json"]).json();
    let found = number(&json["remedies"][0]["to"]);
    assert!((found - long).abs() < 0.0051, "{found} for {long}");
}

#[test]
fn a_wrong_target_or_let_is_told() {
    let env = Env::with("flat.plane", FLAT);
    for to in ["25", "x", "12 deg", "120%"] {
        let ran = mend(&env, &["--to", to]);
        assert_eq!(ran.code, 2, "{to}: {}", ran.stderr);
        assert!(ran.stdout.is_empty());
    }
    assert_eq!(mend(&env, &["--let", "band"]).code, 2, "a let without a target");
    let ran = mend(&env, &["--to", "30%", "--let", "bnad"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.contains("did you mean `band`?"), "{}", ran.stderr);
}
