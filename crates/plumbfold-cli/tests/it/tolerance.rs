//! `tolerance`, `best` and `spoil` as users run them.

use crate::env::Env;

const MARLINSPIKE: &str = include_str!("../../../../designs/marlinspike.plane");
const SCOW: &str = include_str!("../../../../designs/scow.plane");

#[test]
fn tolerance_says_how_often_it_glides_and_what_matters() {
    let env = Env::with("m.plane", MARLINSPIKE);
    let ran = env.run(&["tolerance", "m.plane", "--planes", "60"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    for words in
        ["glides", "half of them", "what matters", "step 3, blade, both sides", "keep within"]
    {
        assert!(ran.stdout.contains(words), "`{words}` is not in\n{}", ran.stdout);
    }
    let again = env.run(&["tolerance", "m.plane", "--planes", "60"]);
    assert_eq!(ran.stdout, again.stdout, "the same seed");
}

#[test]
fn tolerance_for_programs_and_its_pictures() {
    let env = Env::with("m.plane", MARLINSPIKE);
    let json =
        env.run(&["tolerance", "m.plane", "--planes", "60", "--json", "--out", "out"]).json();
    let shares: f64 =
        json["behaviours"].as_array().unwrap().iter().map(|b| b["share"].as_f64().unwrap()).sum();
    assert!((shares + json["not_folded_share"].as_f64().unwrap() - 1.0).abs() < 1e-9);
    assert_eq!(json["complete"], true);
    assert_eq!(json["pictures"].as_array().unwrap().len(), 2);
    assert!(json["matters"].as_array().unwrap().len() > 7);
}

#[test]
fn no_hand_is_worse_than_three_millimetres_off() {
    let env = Env::with("m.plane", MARLINSPIKE);
    let ran = env.run(&["tolerance", "m.plane", "--crease", "5 mm"]);
    assert_eq!(ran.code, 2);
    assert!(ran.stderr.contains("between 0 and 3 mm"), "{}", ran.stderr);
}

#[test]
fn best_changes_only_the_lets_it_may_and_never_writes_over() {
    let env = Env::with("s.plane", SCOW);
    let ran = env.run(&["best", "s.plane", "--lets", "reflex", "-o", "new.plane"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    let new = std::fs::read_to_string(env.path("new.plane")).unwrap();
    let differ: Vec<_> = SCOW.lines().zip(new.lines()).filter(|(a, b)| a != b).collect();
    assert!(
        differ.len() <= 1 && differ.iter().all(|d| d.1.starts_with("let reflex")),
        "{differ:?}"
    );
    let json = env.run(&["best", "s.plane", "--lets", "reflex", "--json"]).json();
    assert!(json["score_after"].as_f64() >= json["score_before"].as_f64());
    assert_eq!(env.run(&["best", "s.plane", "--lets", "reflex", "-o", "new.plane"]).code, 1);
    let ran = env.run(&["best", "s.plane", "--lets", "reflx"]);
    assert!(ran.code == 1 && ran.stderr.contains("did you mean `reflex`?"), "{}", ran.stderr);
}

#[test]
fn spoiled_planes_are_written_with_what_was_done_to_them() {
    let env = Env::with("m.plane", MARLINSPIKE);
    let ran = env.run(&["spoil", "m.plane", "--out", "bad"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    for way in ["tail-heavy", "nose-heavy", "twisted", "wrong-throw"] {
        let text = std::fs::read_to_string(env.path(&format!("bad/m-{way}.plane"))).unwrap();
        assert_ne!(text, MARLINSPIKE);
    }
}
