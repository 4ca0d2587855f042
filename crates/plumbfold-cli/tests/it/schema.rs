//! The contract of `--json`: every command's answer on the shipped designs validates against the
//! schema on the page that documents it. The validator is the crate `jsonschema`.

use std::path::Path;
use std::time::Duration;

use jsonschema::Validator;
use plumbfold_view::contract::{self, commands};
use serde_json::{Value, json};

use crate::env::{Env, Ran};

pub const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");

fn validator(usage: &str) -> Validator {
    let command = commands().into_iter().find(|c| c.usage == usage);
    let schema = command.unwrap_or_else(|| panic!("no command `{usage}`")).schema;
    jsonschema::draft202012::meta::validate(&schema)
        .expect("a schema by the standard's own schema");
    jsonschema::validator_for(&schema).expect("a schema")
}

fn assert_valid(usage: &str, answer: &Value) {
    let validator = validator(usage);
    let wrong: Vec<String> =
        validator.iter_errors(answer).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(wrong.is_empty(), "{usage}: {wrong:#?}");
}

fn designs() -> Vec<(String, String)> {
    let folder = Path::new(ROOT).join("designs");
    let mut all: Vec<(String, String)> = std::fs::read_dir(folder)
        .expect("the shipped designs")
        .map(|e| e.expect("a file").path())
        .filter(|p| p.extension().is_some_and(|e| e == "plane"))
        .map(|p| {
            let name = p.file_name().expect("a name").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&p).expect("a text"))
        })
        .collect();
    all.sort();
    all
}

/// Runs a command with `--json` and few flights, and validates what it answers.
pub fn check(env: &Env, usage: &str, args: &[&str]) -> Value {
    let args = [args, &["--json"]].concat();
    // Searches fly thousands of planes, here in a debug build.
    let answer = Ran::of(env.command(&args).timeout(Duration::from_secs(120)), &args).json();
    assert_valid(usage, &answer);
    answer
}

#[test]
fn quick_answers_on_every_shipped_design_are_as_documented() {
    for (name, text) in designs() {
        let env = Env::with(&name, text);
        check(&env, "balance FILE", &["balance", &name]);
        check(&env, "fold FILE", &["fold", &name]);
        check(&env, "aero FILE", &["aero", &name]);
        check(&env, "fly FILE", &["fly", &name, "--draws", "4"]);
        check(&env, "check FILE", &["check", &name, "--draws", "4", "--no-pictures"]);
    }
}

#[test]
fn answers_that_search_are_as_documented() {
    let (name, text) = designs().into_iter().find(|d| d.0 == "scow.plane").expect("the scow");
    let env = Env::with(&name, text);
    let traced = Path::new(ROOT).join("testdata/designs/outline-delta.plane");
    env.write("traced.plane", std::fs::read(traced).expect("a traced plane"));
    env.write("bad.plane", "plane Bad\nvally\n");
    let few = ["--draws", "4"];
    let all = |args: &[&'static str]| [args, &few].concat();
    check(&env, "outline FILE", &all(&["outline", "traced.plane"]));
    check(&env, "check FILE", &all(&["check", "traced.plane"]));
    check(&env, "check FILE FILE…", &all(&["check", "scow.plane", "bad.plane", "--no-pictures"]));
    let compared = all(&["compare", "scow.plane", "traced.plane", "bad.plane"]);
    let compared = check(&env, "compare FILE…", &compared);
    assert_eq!(compared["planes"].as_array().map(Vec::len), Some(2));
    // Thrown far too hard it needs mending.
    let mended = check(&env, "mend FILE", &all(&["mend", "scow.plane", "--speed", "9"]));
    let remedy = &mended["remedies"][0];
    assert!(remedy["after"]["glide_probability"].is_number(), "{mended}");
    assert!(remedy["text"].as_str().is_some_and(|t| t.starts_with("plane")));
    check(&env, "mend FILE --to BALANCE", &all(&["mend", "scow.plane", "--to", "25%"]));
    check(&env, "mend FILE --to BALANCE", &all(&["mend", "scow.plane", "--to", "1 mm"]));
    check(&env, "why FILE --it WHAT", &all(&["why", "scow.plane", "--it", "stalls"]));
    check(&env, "series FILE --let LET", &all(&["series", "scow.plane", "--let", "turns=0..5"]));
    let tolerance = ["tolerance", "scow.plane", "--planes", "40", "--out", "out"];
    check(&env, "tolerance FILE", &tolerance);
    check(&env, "best FILE", &all(&["best", "scow.plane", "--lets", "turns"]));
    for args in [["balance", "bad.plane"], ["fly", "missing.plane"]] {
        check(&env, "any command that fails", &args);
    }
}

#[test]
fn a_key_nobody_promised_and_a_missing_one_are_refused() {
    let env = Env::with("scow.plane", designs().remove(0).1);
    let good = check(&env, "balance FILE", &["balance", "scow.plane"]);
    let refused = |answer: &Value| !validator("balance FILE").is_valid(answer);
    for (place, key) in [("", "mass_kg"), ("/cg", "above_nose_mm")] {
        let mut more = good.clone();
        more.pointer_mut(place).expect("a part")[key] = json!(1.0);
        assert!(refused(&more), "{key}");
    }
    let mut less = good.clone();
    less["planform"].as_object_mut().expect("a part").remove("mac_mm");
    assert!(refused(&less));
    let mut other = good;
    other["schema"] = json!(1);
    assert!(refused(&other));
}

#[test]
fn the_right_side_is_positive_in_every_answer() {
    let text = designs().into_iter().find(|d| d.0 == "halyard.plane").expect("the halyard").1;
    let throw = text.lines().find(|l| l.starts_with("throw")).expect("a throw").to_owned();
    for (side, sign) in [("right", 1.0), ("left", -1.0)] {
        // A rudder to the right turns to the right (common practice, no source).
        let turned = format!("trim rudder {side} 3 mm, 20 mm deep\n{throw}, banked 20 deg {side}");
        let env = Env::with("h.plane", text.replace(&throw, &turned));
        let flown = check(&env, "fly FILE", &["fly", "h.plane", "--draws", "2"]);
        let path = flown["path"].as_array().expect("a path");
        let mean = |key: &str| {
            path.iter().map(|p| p[key].as_f64().expect("a number")).sum::<f64>() / path.len() as f64
        };
        let release = path[0]["bank_deg"].as_f64().expect("a number");
        assert!((release - 20.0 * sign).abs() < 1e-6, "banked {side}: {release}");
        for key in ["y_m", "heading_deg"] {
            assert!(mean(key) * sign > 0.0, "to the {side}: mean {key} is {}", mean(key));
        }
    }
}

#[test]
fn the_page_of_the_contract_is_what_the_types_say() {
    let path = Path::new(ROOT).join("docs/json.md");
    let page = contract::markdown();
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &page).expect("written");
    }
    let there = std::fs::read_to_string(&path).expect("docs/json.md");
    assert!(there == page, "docs/json.md is old: run this test with UPDATE_DOCS=1");
}
