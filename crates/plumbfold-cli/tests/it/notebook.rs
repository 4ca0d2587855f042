//! The notebook as a thrower uses it.

use crate::env::{Env, Ran};
use crate::schema::check;

const BOOK: &str = "--notebook=n.db";
const SCOW: &str = include_str!("../../../../designs/scow.plane");

fn log(env: &Env, args: &[&str]) -> Ran {
    env.run(&[&["log", BOOK][..], args].concat())
}

fn ok(env: &Env, args: &[&str]) -> Ran {
    let ran = log(env, args);
    assert_eq!(ran.code, 0, "{args:?}: {}", ran.stderr);
    ran
}

/// Two versions of a plane thrown in turn in one session, the second 1 m further.
fn season() -> Env {
    let env = Env::with("scow.plane", SCOW);
    ok(&env, &["session", "boat hall", "--thrower", "Pim", "--temperature", "18"]);
    ok(&env, &["plane", "scow.plane"]);
    env.write("scow.plane", SCOW.replace("80 g/m2", "90 g/m2"));
    ok(&env, &["plane", "scow.plane"]);
    for version in ["1", "2"] {
        let first = if version == "1" { 5.0 } else { 6.0 };
        let far = |k: u8| format!("scow {}m 2.{k}s glided from 1.6m\n", first + 0.1 * f64::from(k));
        let lines: String = (0..8).map(far).collect();
        let args = ["log", "throw", "-", "--version", version, BOOK];
        let ran = Ran::of(env.command(&args).stdin(lines), &args);
        assert_eq!(ran.code, 0, "{}", ran.stderr);
    }
    env
}

#[test]
fn a_throw_takes_one_line_and_can_be_corrected_and_taken_back() {
    let env = Env::new();
    let said = ok(&env, &["throw", "halyard", "12.4m", "3.1s", "stalled"]).stdout;
    assert!(said.contains("12.40 m") && said.contains("stalls"), "{said}");
    let id = said.split_whitespace().next().expect("an id").to_owned();
    let corrected = ok(&env, &["correct", &id, "11.4m"]).stdout;
    assert!(corrected.contains("11.40 m") && corrected.contains("3.10 s"), "{corrected}");
    let list = ok(&env, &["list"]).stdout;
    assert!(list.contains("11.40 m") && !list.contains("12.40 m"), "{list}");
    ok(&env, &["undo"]);
    let list = ok(&env, &["list"]).stdout;
    assert!(list.contains("12.40 m") && !list.contains("11.40 m"), "{list}");
    let shown = check(&env, "log show ID", &["log", "show", &id, BOOK]);
    assert_eq!(shown["history"].as_array().map(Vec::len), Some(3));
    ok(&env, &["undo"]);
    let nothing = log(&env, &["undo"]);
    assert_eq!((nothing.code, log(&env, &["undo", &id]).code), (1, 1), "{}", nothing.stderr);
}

#[test]
fn answers_of_the_notebook_are_as_documented() {
    let env = season();
    check(&env, "log throw WORDS", &["log", "throw", "scow", "5m", "wall", BOOK]);
    let listed = check(&env, "log list", &["log", "list", "-n", "5", BOOK]);
    assert_eq!(listed["records"].as_array().map(Vec::len), Some(5));
    check(&env, "log export", &["log", "export", BOOK]);
    let sheet = ["log", "next", "scow@1", "scow@2", "--throws", "3", "--seed", "4", BOOK];
    let sheet = check(&env, "log next PLANES", &sheet);
    assert_eq!(sheet["throws"].as_array().map(Vec::len), Some(6));
    let results = check(&env, "results", &["results", BOOK, "-o", "throws.svg"]);
    assert_eq!(results["planes"][0]["distance"]["count"], 8);
    assert_eq!(env.read("throws.svg").matches("class=\"throw\"").count(), 17);
    let settled = check(&env, "settle A B", &["settle", "scow@1", "scow@2", BOOK]);
    assert_eq!(settled["verdict"], "real", "{settled}");
    assert!((settled["difference"].as_f64().expect("a number") - 0.85).abs() < 0.01);
    let warned = settled["warnings"].to_string();
    assert!(warned.contains("stand before all"), "{warned}");
    // The same throws again are no new look; one more throw is.
    let again = check(&env, "settle A B", &["settle", "scow@1", "scow@2", BOOK]);
    assert_eq!(again["looks"], 1);
    ok(&env, &["throw", "scow", "6m"]);
    let later = check(&env, "settle A B", &["settle", "scow@1", "scow@2", BOOK]);
    assert!(later["looks"] == 2 && later["level"].as_f64() < Some(0.05), "{later}");
}

#[test]
fn exports_come_back_exactly_and_twice_is_once() {
    let env = season();
    for (form, file) in [("--json", "n.json"), ("--csv", "n.csv")] {
        env.write(file, ok(&env, &["export", form]).stdout);
        let other = format!("--notebook={file}.db");
        let taken = check(&env, "log import FILE", &["log", "import", file, &other]);
        assert!(taken["new"].as_u64() >= Some(19) && taken["known"] == 0, "{taken}");
        let again = check(&env, "log import FILE", &["log", "import", file, &other]);
        assert!(again["new"] == 0, "{again}");
        let back = env.run(&["log", "export", form, &other]);
        assert_eq!(back.stdout, env.read(file), "{form}");
    }
    let said = ok(&env, &["export", "--parquet", "n.parquet"]);
    assert!(said.stderr.contains("records") && env.path("n.parquet").exists(), "{}", said.stderr);
    assert_eq!(log(&env, &["export", "--parquet", "n.parquet"]).code, 1, "nothing is written over");
    ok(&env, &["backup", "saved.db"]);
    assert_eq!(log(&env, &["backup", "saved.db"]).code, 1, "nothing is written over");
    let restored = env.run(&["log", "restore", "saved.db", "--notebook=third.db"]);
    assert_eq!(restored.code, 0, "{}", restored.stderr);
    let csv = env.run(&["log", "export", "--csv", "--notebook=third.db"]).stdout;
    assert_eq!(csv, env.read("n.csv"));
}

#[test]
fn a_spreadsheet_is_taken_in_by_its_columns_once() {
    let env = Env::with("t.csv", "Weite [cm];Zeit\n1240;3,1\n980;2,5\n");
    let args = ["import", "t.csv", "--plane", "scow", "--column", "distance=Weite [cm]"];
    let args = [&args[..], &["--column", "time=Zeit"]].concat();
    assert!(ok(&env, &args).stdout.contains("2 new"));
    let again = log(&env, &args);
    assert!(
        again.code == 1 && again.stderr.contains("in the notebook already"),
        "{}",
        again.stderr
    );
    let list = ok(&env, &["list"]).stdout;
    assert!(list.contains("12.40 m") && list.contains("2.50 s"), "{list}");
    env.write("feet.csv", "plane,distance (ft),wind\nscow,40,light\n");
    let taken = check(&env, "log import FILE", &["log", "import", "feet.csv", BOOK]);
    assert_eq!(taken["left_out"], serde_json::json!(["wind"]), "{taken}");
    let list = ok(&env, &["list"]).stdout;
    assert!(list.contains("12.19 m"), "{list}");
    let wrong = log(&env, &["import", "t.csv", "--column", "distance=Strecke"]);
    assert!(wrong.code == 2 && wrong.stderr.contains("`Weite [cm]` `Zeit`"), "{}", wrong.stderr);
}

#[test]
fn settle_and_next_ask_for_as_many_throws_and_a_day_is_no_change() {
    let env = Env::new();
    for (plane, far) in [("kite", [5.0, 5.3, 4.8, 5.2]), ("wren", [5.2, 5.6, 4.9, 5.5])] {
        for m in far {
            ok(&env, &["throw", plane, "--new", &format!("{m}m")]);
        }
    }
    let next = check(&env, "log next PLANES", &["log", "next", "kite", "wren", BOOK]);
    let settled = check(&env, "settle A B", &["settle", "kite", "wren", BOOK]);
    let needed = settled["throws_needed"].as_u64().expect("a number");
    let said = next["said"].as_str().expect("words");
    assert!(said.contains(&format!("about {needed} throws of each")), "{needed}: {said}");
    for (plane, session) in [("hawk", "one"), ("rook", "two")] {
        ok(&env, &["session", session]);
        let first = if plane == "hawk" { 5.0 } else { 7.0 };
        for k in 0..6 {
            let far = format!("{}m", first + 0.1 * f64::from(k));
            ok(&env, &["throw", plane, "--new", &far]);
        }
    }
    let apart = check(&env, "settle A B", &["settle", "hawk", "rook", BOOK]);
    assert_eq!(apart["verdict"], "plane or day", "{apart}");
    let inches = env.run(&["results", "hawk", "--units", "inch", BOOK]).stdout;
    let sentence = inches.lines().find(|l| l.contains("give or take")).expect("a sentence");
    assert!(!sentence.contains(" m ") && !sentence.contains(" m)"), "{sentence}");
}

#[test]
fn old_throws_of_a_spreadsheet_are_of_the_session_and_version_it_says() {
    let env = season();
    env.write("old.csv", "plane,distance,session\nscow@1,5,12.03.2026\nscow,5.5,12.03.2026\n");
    ok(&env, &["import", "old.csv"]);
    let list = ok(&env, &["list", "-n", "3"]).stdout;
    assert!(list.contains("2026-03-12"), "{list}");
    // Which of two texts was thrown is not known; and what is thrown next is of no old session.
    assert_eq!(list.matches('@').count(), 1, "{list}");
    let next = ok(&env, &["throw", "scow", "6m"]).stdout;
    let id = next.split_whitespace().next().expect("an id").to_owned();
    let shown = env.run(&["log", "show", &id, BOOK, "--json"]).stdout;
    assert!(!shown.contains("12.03.2026"), "{shown}");
    env.write("odd.csv", "plane,distance\nscow@9,5\n");
    assert_eq!(log(&env, &["import", "odd.csv"]).code, 2);
}

#[test]
fn a_calibration_is_told_for_whom_it_was_made_and_used_for_no_one_else() {
    let env = season();
    let refused = env.run(&["calibrate", "scow.plane", "--thrower", "Ode", BOOK]);
    assert!(
        refused.code == 1 && refused.stderr.contains("measured throws: 0;"),
        "{}",
        refused.stderr
    );
    let refused = env.run(&["calibrate", "scow.plane", "--paper", "laid", BOOK]);
    assert!(refused.code == 1 && refused.stderr.contains("--any-version"), "{}", refused.stderr);
}

#[test]
fn nonsense_is_refused_and_nothing_is_written() {
    let env = Env::with("words.db", "no database, but long enough to be looked at\n".repeat(40));
    for (args, word) in [
        (&["throw", "halyard", "nan", "m"][..], "says nothing"),
        (&["throw", "halyard", "1e9m"], "cannot be"),
        (&["throw", "--", "halyard", "-3m"], "cannot be"),
        (&["throw", "halyard", "150m", "0.2s"], "no hand throws"),
        (&["throw"], "nothing says"),
        (&["balance", "halyard", "41mm", "--mass", "0g"], "0 g cannot be"),
        (&["next", "halyard", "Halyard"], "named twice"),
        (&["balance", "halyard", "inf"], "no number"),
        (&["balance", "halyard", "3m"], "cannot be"),
        (&["session", "hall", "--temperature", "nan"], "none of a hall's"),
        (&["session", ""], "empty"),
        (&["plane", "missing.plane"], "cannot read"),
        (&["photo", "halyard", "missing.jpg"], "cannot read"),
        (&["import", "words.db"], "words.db"),
    ] {
        let ran = log(&env, args);
        assert!(ran.code == 1 || ran.code == 2, "{args:?}");
        assert!(ran.stderr.contains(word), "{args:?}: {}", ran.stderr);
    }
    let there = env.run(&["log", "list", BOOK]);
    assert!(there.stdout.is_empty(), "{}", there.stdout);
    for (book, word) in [("words.db", "some other file"), (".", "is a folder")] {
        let ran = env.run(&["log", "throw", "halyard", "5m", "--notebook", book]);
        assert!(ran.code == 1 && ran.stderr.contains(word), "{}", ran.stderr);
    }
}

#[test]
fn the_environment_and_saved_options_name_the_notebook() {
    let env = Env::new();
    let args = ["log", "throw", "halyard", "5m"];
    let by_variable = env.command(&args).env("PLUMBFOLD_NOTEBOOK", env.path("a.db"));
    assert_eq!(Ran::of(by_variable, &args).code, 0);
    let standard = env.command(&args).env("XDG_DATA_HOME", env.path("data"));
    assert_eq!(Ran::of(standard, &args).code, 0);
    let nowhere = env.run(&args);
    assert!(nowhere.code == 2 && nowhere.stderr.contains("--notebook"), "{}", nowhere.stderr);
    std::fs::create_dir_all(env.path("config/plumbfold")).expect("a folder");
    env.write("config/plumbfold/config", "notebook = b.db\n");
    let saved = env.command(&args).env("XDG_CONFIG_HOME", env.path("config"));
    assert_eq!(Ran::of(saved, &args).code, 0);
    for file in ["a.db", "data/plumbfold/notebook.db", "b.db"] {
        assert!(env.path(file).exists(), "{file}");
    }
}

#[test]
fn a_filmed_path_is_fitted_drawn_and_kept() {
    let env = Env::with("scow.plane", SCOW);
    let flown = env.run(&["fly", "scow.plane", "--draws", "1", "--json"]).json();
    let mut table = "frame;X [mm];Y [mm]\n".to_owned();
    for p in flown["path"].as_array().expect("a path") {
        let number = |key: &str| p[key].as_f64().expect("a number");
        let row = [number("t_s") * 50.0, number("x_m") * 1e3, 5e3 - number("z_m") * 1e3];
        table += &(row.map(|v| v.to_string()).join(";") + "\n");
    }
    env.write("film.csv", table);
    let args = ["path", "film.csv", "--rate", "50", "--down", "--plane", "scow.plane"];
    let args = [&args[..], &["-o", "film.svg", "--keep", "scow", BOOK]].concat();
    let said = check(&env, "path FILE", &args);
    let near = |key: &str, want: f64, share: f64| {
        let got = said[key]["value"].as_f64().expect("a number");
        assert!((got - want).abs() < share * want, "{key}: {got} for {want}");
    };
    // What was flown comes back: the film is the program's own flight.
    near("release_speed_mps", flown["throw"]["speed_mps"].as_f64().expect("a speed"), 0.03);
    assert!(said["predicted"]["apart_m"].as_f64() < Some(0.1), "{}", said["said"]);
    assert!(env.read("film.svg").contains("predicted for this release"));
    assert!(ok(&env, &["list"]).stdout.contains("path"));
    let wrong = env.run(&["path", "scow.plane"]);
    assert!(wrong.code == 1 && !wrong.stderr.is_empty());
}

/// The invented season (`scripts/invented-season.py`), whose truth is known: the second version was
/// better, the third was not, the hand throws at 0.93 of what it means, and the next session was
/// thrown by the same hand.
#[test]
fn the_invented_season_shows_one_change_that_was_real_and_one_that_was_luck() {
    let env = Env::new();
    let season = include_str!("../../../../designs/season/autumn.json");
    env.write("autumn.json", season);
    ok(&env, &["import", "autumn.json"]);
    // The second version is the one that is shipped; the script makes the season anew where it changed.
    let season: serde_json::Value = serde_json::from_str(season).expect("a notebook");
    let shipped = include_str!("../../../../designs/halyard.plane");
    assert_eq!(season["versions"][1]["text"], shipped, "run scripts/invented-season.py");
    let settle = |a: &str, b: &str| check(&env, "settle A B", &["settle", a, b, BOOK]);
    let real = settle("halyard@1", "halyard@2");
    assert_eq!(real["verdict"], "real", "{}", real["said"]);
    let luck = settle("halyard@2", "halyard@3");
    assert_eq!(luck["verdict"], "not settled", "{}", luck["said"]);
    assert!(luck["difference"].as_f64() > Some(0.0), "it looked like progress");
}

#[test]
#[ignore = "flies some 20 000 throws"]
fn a_prediction_calibrated_on_the_season_holds_the_next_session_at_its_rate() {
    let env = Env::with("halyard.plane", include_str!("../../../../designs/halyard.plane"));
    env.write("autumn.json", include_str!("../../../../designs/season/autumn.json"));
    env.write("next.json", include_str!("../../../../designs/season/next-session.json"));
    ok(&env, &["import", "autumn.json"]);
    let fitted = check(&env, "calibrate FILE", &["calibrate", "halyard.plane", BOOK]);
    let hand = fitted["numbers"].as_array().expect("numbers").iter();
    let hand =
        hand.into_iter().find(|n| n["what"].as_str().is_some_and(|w| w.contains("speed of")));
    let [low, high] = [0, 1].map(|k| hand.expect("the hand")["interval"][k].as_f64().expect("one"));
    assert!(low < 0.93 && 0.93 < high, "{low} to {high}");
    ok(&env, &["import", "next.json"]);
    let args = ["fly", "halyard.plane", "--calibrated", "--draws", "40", BOOK];
    let flown = check(&env, "fly FILE", &args);
    let since = &flown["calibrated"][0]["distance"];
    // 80 % are due, 26 to 38 of 40 in all but one such session in a hundred (binomial).
    let inside = since["inside"].as_u64().expect("a count");
    assert!(since["throws"] == 40 && (26..=38).contains(&inside), "{since}");
    let told = env.run(&args).stdout;
    assert!(told.contains("calibrated") && told.contains("of 40 measured since"), "{told}");
}

#[test]
fn names_of_copies_and_photos_lead_to_what_they_are_of() {
    let env = season();
    env.write("a.jpg", "a photo");
    ok(&env, &["copy", "scow-1", "--of", "scow"]);
    let said = ok(&env, &["balance", "scow-1", "76mm"]).stdout;
    assert!(said.contains("Scow") && said.contains("scow-1"), "{said}");
    let thrown = ok(&env, &["throw", "scow", "17ft6in"]).stdout;
    assert!(thrown.contains("5.33 m"), "{thrown}");
    let inches = env.run(&["log", "throw", "scow", "17'", "6\"", "--units", "inch", BOOK]).stdout;
    assert!(inches.contains("17.49 ft") || inches.contains("17.50 ft"), "{inches}");
    let id = thrown.split_whitespace().next().expect("an id");
    ok(&env, &["photo", &id[..6], "a.jpg"]);
    let shown = ok(&env, &["show", id]).stdout;
    assert!(shown.contains("photos") && shown.contains("a.jpg"), "{shown}");
    let lost = log(&env, &["photo", "scov", "a.jpg"]);
    assert!(lost.code == 2 && lost.stderr.contains("nothing in the notebook"), "{}", lost.stderr);
    // What no longer holds is marked where it is shown.
    ok(&env, &["undo", id]);
    let list = ok(&env, &["list", "--replaced", "--all"]).stdout;
    let gone = list.lines().find(|l| l.starts_with(id)).expect("it is shown");
    assert!(gone.ends_with("(no longer holds)"), "{list}");
}

#[test]
fn what_cannot_be_taken_in_says_where_it_goes_and_begins_nothing() {
    let env = season();
    let list = ok(&env, &["list"]).stdout;
    let id = list.lines().last().and_then(|l| l.split_whitespace().next()).expect("an id");
    ok(&env, &["correct", id, "7m"]);
    // Throws that hold come back alone, corrected or not.
    let csv = ok(&env, &["export", "--csv", "--throws"]).stdout;
    env.write("throws.csv", csv);
    let all = ok(&env, &["export", "--json"]).stdout;
    env.write("all.json", all);
    ok(&env, &["backup", "b.db"]);
    let other = |args: &[&str]| env.run(&[&["log", "--notebook=other.db"][..], args].concat());
    for (args, word) in
        [(["import", "b.db"], "log restore"), (["restore", "throws.csv"], "log import")]
    {
        let ran = other(&args);
        assert!(ran.code == 1 && ran.stderr.contains(word), "{}", ran.stderr);
    }
    assert!(!env.path("other.db").exists(), "a refusal begins no notebook");
    let ran = other(&["import", "throws.csv"]);
    assert!(ran.code == 0 && ran.stdout.contains("16 new"), "{}{}", ran.stdout, ran.stderr);
    // The line of a mistake is that of the file.
    let args = ["log", "throw", "-", BOOK];
    let lines = "scow 5.1m\n\nscow 5 parsecs\n";
    let ran = Ran::of(env.command(&args).stdin(lines), &args);
    assert!(
        ran.stderr.contains("line 3") && ran.stderr.contains("nothing is kept"),
        "{}",
        ran.stderr
    );
}

#[test]
fn a_version_is_named_by_its_file_or_after_an_at() {
    let env = season();
    let of = |args: &[&str]| {
        let said = ok(&env, args).stdout;
        said.split_whitespace().find(|w| w.starts_with('@')).map(str::to_owned)
    };
    let [first, second] = ["scow@1", "scow@2"].map(|plane| of(&["throw", plane, "5m"]));
    assert!(first.is_some() && first != second, "{first:?} {second:?}");
    // The file is the newest version, then it holds the first one's text again.
    assert_eq!(of(&["throw", "scow.plane", "5m"]), second);
    env.write("scow.plane", SCOW);
    assert_eq!(of(&["throw", "scow.plane", "5m"]), first);
    assert_eq!(of(&["balance", "scow@1", "41mm"]), first);
    for (args, word) in [
        (&["throw", "scow@7", "5m"][..], "no version `7`"),
        (&["balance", "scow@7", "41mm"], "no version `7`"),
        (&["balance", "scow.plane", "41mm"], "by its name"),
    ] {
        let ran = log(&env, args);
        assert!(ran.code == 2 && ran.stderr.contains(word), "{args:?}: {}", ran.stderr);
    }
}
