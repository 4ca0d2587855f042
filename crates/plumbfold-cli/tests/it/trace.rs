//! Finished planes: from a photo, from a ruler, from a kitchen scale.

use std::path::Path;

use crate::env::Env;
use crate::schema::{ROOT, check};

/// A rendered photo of a copy of Halyard: its wing is that of the design to a mm, it balances 60.4 mm
/// behind the front of the wing, with 20.0 % of the area ahead (crates/plumbfold-trace/tests/it).
fn with_photo() -> Env {
    let photo = std::fs::read(Path::new(ROOT).join("docs/pictures/halyard-photo.jpg"));
    let env = Env::with("photo.jpg", photo.expect("the photo of the tour"));
    let design = std::fs::read(Path::new(ROOT).join("designs/halyard.plane"));
    env.write("halyard.plane", design.expect("a shipped design"));
    env
}

const LINES: [&str; 6] = [
    "--balance-line",
    "860,428 873,749",
    "--balance-line",
    "925,455 810,724",
    "--balance-line",
    "777,475 957,708",
];

#[test]
fn a_photo_becomes_a_plane_that_flies_and_is_held_against_its_design() {
    let env = with_photo();
    let args =
        ["trace", "photo.jpg", "--mass", "4.9g", "-o", "copy.plane", "--overlay", "over.png"];
    let traced = check(&env, "trace PHOTO", &[&args[..], &LINES].concat());
    let number = |at: &str| traced.pointer(at).and_then(|v| v.as_f64()).expect("a number");
    // By hand: the two halves of the outline drawn are 9,201 and 9,069 mm2.
    assert!((number("/area_mm2/value") / 18269.6 - 1.0).abs() < 0.01, "{traced}");
    assert!((number("/balance/behind_nose_mm/value") - 60.4).abs() < 0.5, "{traced}");
    assert!((number("/area_ahead_fraction/value") - 0.2003).abs() < 0.005, "{traced}");
    assert!(env.path("over.png").exists());
    assert_eq!(traced["text"].as_str(), Some(env.read("copy.plane").as_str()));

    let balance = check(&env, "balance FILE", &["balance", "copy.plane"]);
    assert!((balance["mass_g"].as_f64().unwrap_or(0.0) - 4.9).abs() < 1e-9);
    let differ = ["differ", "halyard.plane", "copy.plane", "-o", "differ.svg"];
    let differ = check(&env, "differ DESIGN TRACED", &differ);
    let outline = &differ["outline"];
    assert!(outline["max_mm"].as_f64().is_some_and(|mm| (0.3..1.6).contains(&mm)), "{differ}");
    let more = differ["balance_behind_nose_mm"]["more"].as_f64().expect("a number");
    assert!((more - 1.9).abs() < 0.6, "{differ}");
    // The design's reflex shows in no photo: it is said, with the line that bends the copy alike.
    let bends = &differ["bends"];
    assert_eq!(bends[0]["line"], "trim elevator up 0.5 mm, 10 mm deep", "{bends}");
    assert!(env.run(&["differ", "halyard.plane", "copy.plane"]).stdout.contains("No photo shows"));
    let bent = env.read("copy.plane") + "trim elevator up 0.5 mm, 10 mm deep\n";
    env.write("bent.plane", &bent);
    let differ = check(&env, "differ DESIGN TRACED", &["differ", "halyard.plane", "bent.plane"]);
    assert_eq!(differ["bends"].as_array().map(Vec::len), Some(0), "{differ}");
    assert!(env.read("differ.svg").contains("Halyard as it was folded"));

    // What was written by hand since is not written over.
    let again = env.run(&["trace", "photo.jpg", "-o", "copy.plane"]);
    assert_eq!(again.code, 1, "{}", again.stderr);
    assert!(again.stderr.contains("--force"), "{}", again.stderr);
}

#[test]
fn a_plane_of_unknown_balance_says_so_in_its_text() {
    let env = with_photo();
    let ran = env.run(&["trace", "photo.jpg", "-o", "copy.plane"]);
    assert_eq!(ran.code, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("not measured"), "{}", ran.stdout);
    assert!(env.read("copy.plane").contains("BALANCE NOT MEASURED"));
    // Nor does a photo show the keel.
    assert!(ran.stdout.contains("--keel"), "{}", ran.stdout);
    assert!(env.read("copy.plane").contains("KEEL NOT MEASURED"));
    let deep = env.run(&["trace", "photo.jpg", "--keel", "25mm", "-o", "deep.plane"]);
    assert!(!deep.stdout.contains("--keel"), "{}", deep.stdout);
    assert!(env.read("deep.plane").contains(", keel 25 mm"));
}

const RULER: &str = "90,80 900,90 = 200 mm";
const MARKS: &str = "90,80=0,0 900,90=200,0 880,700=200,150 95,690=0,150";

#[test]
fn another_sheet_than_the_one_in_the_photo_is_told() {
    let env = with_photo();
    assert!(!env.run(&["trace", "photo.jpg"]).stdout.contains("Is it that sheet?"));
    // A4 is 1.414 times as long as wide (ISO 216:2007), US Letter 1.294, 300 by 400 mm 1.333.
    for other in ["Letter", "300x400mm", "200x210mm"] {
        let ran = env.run(&["trace", "photo.jpg", "--sheet", other]);
        assert!(ran.stdout.contains("Is it that sheet?"), "{other}: {}", ran.stdout);
    }
}

#[test]
fn a_plane_is_told_from_one_nose() {
    let env = with_photo();
    let args = ["trace", "photo.jpg", "-o", "copy.plane"];
    let traced = env.run(&[&args[..], &LINES].concat()).stdout;
    let from_nose = |text: &str| -> String {
        let at = text.find(" mm behind").unwrap_or_else(|| panic!("{text}"));
        text[..at].split_whitespace().last().unwrap_or_default().to_owned()
    };
    let differ = env.run(&["differ", "halyard.plane", "copy.plane"]).stdout;
    // Lines are broken where the terminal ends.
    let differ = differ.split_whitespace().collect::<Vec<_>>().join(" ");
    let (_, balance) = differ.split_once(" balance ").expect("the balance");
    assert_eq!(from_nose(balance), from_nose(&traced), "{traced}\n{differ}");
    assert!(differ.contains("behind the nose of the design, keel and all"), "{differ}");
}

#[test]
fn two_scales_weigh_the_plane() {
    let env = with_photo();
    let scales = ["--scale", "2.9 g at 30 mm", "--scale", "2.1 g at 110 mm"];
    let args = ["trace", "photo.jpg", "-o", "copy.plane"];
    assert_eq!(env.run(&[&args[..], &scales].concat()).code, 0);
    let text = env.read("copy.plane");
    assert!(text.contains("mass 5 g") && !text.contains("not weighed"), "{text}");
    let told = env.run(&[&["trace", "photo.jpg", "--mass", "9g"], &scales[..]].concat());
    assert_eq!(told.code, 2, "{}", told.stderr);
    assert!(told.stderr.contains("carry 5.00 g together"), "{}", told.stderr);
    // The photo is never written over, whatever is forced.
    let over = env.run(&["trace", "photo.jpg", "--overlay", "photo.jpg", "--force"]);
    assert_eq!(over.code, 2, "{}", over.stderr);
    assert!(over.stderr.contains("the photo itself"), "{}", over.stderr);
}

#[test]
fn mistakes_on_the_command_line_and_in_files_are_told_with_the_way_out() {
    let env = with_photo();
    env.write("photo.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic");
    env.write("cut.jpg", &std::fs::read(env.path("photo.jpg")).expect("a photo")[..40_000]);
    let kinked = "400,300 600,300 800,300 1000,300 1000,500 1000,700";
    let cases: [(&[&str], i32, &str); 23] = [
        (&["trace", "photo.heic"], 1, "save it as JPEG"),
        (&["trace", "cut.jpg"], 1, "ends before it is complete"),
        (&["trace", "halyard.plane"], 1, "no JPEG, PNG or WebP"),
        (&["trace", "none.jpg"], 1, "cannot read none.jpg"),
        (&["trace", "photo.jpg", "--sheet", "A44"], 2, "A44"),
        (&["trace", "photo.jpg", "--move", "12:1,2"], 2, "`=`"),
        (&["trace", "photo.jpg", "--move", "99=1,2"], 1, "point 99"),
        (&["trace", "photo.jpg", "--balance-line", "1,2"], 2, "expected"),
        (&["trace", "photo.jpg", "--straight", "1,2 3,4"], 2, "three dots"),
        (&["trace", "photo.jpg", "--straight", "9,9 9,9 9,9"], 1, "--straight"),
        // Said twice, and not the same.
        (&["trace", "photo.jpg", "--sheet", "A4", "--ruler", RULER], 2, "cannot be used with"),
        (&["trace", "photo.jpg", "--sheet", "A4", "--marks", MARKS], 2, "cannot be used with"),
        (&["trace", "photo.jpg", "--nose", "9,9", "--axis", "1,2 3,4"], 2, "cannot be used with"),
        // Numbers that mean nothing.
        (&["trace", "photo.jpg", "--ruler", "90,80 900,90 = 0 mm"], 2, "from 5 to 2000 mm"),
        (&["trace", "photo.jpg", "--ruler", "90,80 91,80 = 20 mm"], 1, "1 dots apart"),
        (&["trace", "photo.jpg", "--within", "0"], 2, "between 0.05 and 50 mm"),
        (&["balance-point", "--line", "1,2 3,4", "--within", "0"], 2, "between 0.05 and 50 mm"),
        (&["trace", "photo.jpg", "--threshold", "0"], 1, "a just visible step is 2"),
        (&["trace", "photo.jpg", "--lens", "3"], 1, "between -0.5 and 0.5"),
        (
            &["trace", "photo.jpg", "--straight", kinked],
            1,
            "on no straight line, whatever the lens",
        ),
        // The table is not the plane.
        (&["trace", "photo.jpg", "--nose", "12,12"], 1, "from the plane"),
        (&["trace", "photo.jpg", "--scale", "2 g at 40 mm"], 2, "twice"),
        (&["trace", "photo.jpg", "--balance-line", "1200,10 1210,900"], 1, "off a plane"),
    ];
    for (args, code, words) in cases {
        let ran = env.run(args);
        assert_eq!(ran.code, code, "{args:?}: {}", ran.stderr);
        assert!(ran.stderr.contains(words), "{args:?}: {}", ran.stderr);
    }
}

#[test]
fn a_balance_point_comes_from_edges_plumb_lines_and_scales() {
    let env = with_photo();
    let lines = ["--line", "-40,80 40,80.5", "--line", "-40,60 40,101"];
    let both = check(&env, "balance-point", &[&["balance-point"], &lines[..]].concat());
    assert_eq!(both["disagree"], false, "{both}");
    // 2.9 g at 40 mm and 2.1 g at 160 mm: 40 + 120 x 2.1 / 5 mm.
    let scales = ["--scale", "2.9 g at 40 mm", "--scale", "2.1 g at 160 mm"];
    let of_design = [&["balance-point", "halyard.plane"], &scales[..]].concat();
    let weighed = check(&env, "balance-point", &of_design);
    let at = weighed["behind_nose_mm"]["value"].as_f64().expect("a number");
    assert!((at - 90.4).abs() < 1e-6, "{weighed}");
    assert!(weighed["area_ahead_fraction"]["sd"].as_f64().is_some_and(|sd| sd > 0.0));
    let told = env.run(&["balance-point", "--line", "-40,80 40,80", "--line", "-40,90 40,90"]);
    assert!(told.stdout.contains("disagrees"), "{}", told.stdout);
    let none = env.run(&["balance-point"]);
    assert_eq!(none.code, 1);
    assert!(none.stderr.contains("--line"), "{}", none.stderr);
}

#[test]
fn half_widths_tables_and_drawings_become_planes() {
    let env = Env::new();
    let few = ["--draws", "4"];
    let common = ["--balance", "70", "--mass", "5g", "-o"];
    let stations = ["outline", "--stations", "0=0 180=80 200=80"];
    env.write("points.csv", "right,behind\n0,0\n80,180\n80,200\n0,200\n");
    env.write("drawing.svg", "<svg><path d=\"M 0 0 L 80 180 V 200 H 0 Z\"/></svg>");
    let inputs: [(&[&str], &str); 3] = [
        (&stations, "a.plane"),
        (&["outline", "points.csv"], "b.plane"),
        (&["outline", "drawing.svg"], "c.plane"),
    ];
    for (input, out) in inputs {
        let answer = check(&env, "outline FILE", &[input, &common, &[out], &few].concat());
        let area = answer["planform"]["area_mm2"].as_f64().expect("a number");
        assert!((area - 17_600.0).abs() < 1.0, "{out}: {area}");
        check(&env, "balance FILE", &["balance", out]);
    }
    let missing = env.run(&["outline", "points.csv"]);
    assert_eq!(missing.code, 2, "{}", missing.stderr);
    assert!(missing.stderr.contains("--balance"), "{}", missing.stderr);
    env.write("bad.csv", "0,0\n80,x\n0,200\n");
    let bad = env.run(&["outline", "bad.csv", "--balance", "70"]);
    assert!(bad.stderr.contains("line 2"), "{}", bad.stderr);
}

/// A drawing lies anywhere on its page: what is drawn beside 0 is never mirrored there in silence.
#[test]
fn outlines_drawn_off_the_middle_are_told() {
    let env = Env::new();
    env.write("half.csv", "100,0\n160,120\n160,150\n100,150\n");
    env.write("half.svg", "<svg><path d=\"M100 20 L160 140 V170 H100 Z\"/></svg>");
    env.write("whole.csv", "92,0\n108,0\n195,120\n195,150\n5,150\n5,120\n");
    env.write("blunt.csv", "8,0\n28,30\n95,120\n95,150\n");
    for (file, word) in [
        ("half.csv", "mm from all places"),
        ("half.svg", "mm from all places"),
        ("whole.csv", "--whole"),
    ] {
        let told = env.run(&["outline", file, "--balance", "70"]);
        assert!(told.code == 1 && told.stderr.contains(word), "{file}: {}", told.stderr);
    }
    // By the trapezium rule: (16 + 190) / 2 * 120 + 190 * 30 mm2 for the whole one.
    for (args, area_mm2) in [
        (&["whole.csv", "--whole"][..], 18_060.0),
        (&["blunt.csv"], 0.5 * 72.0 * 30.0 + 0.5 * 246.0 * 90.0 + 190.0 * 30.0),
    ] {
        let common = ["outline", "--balance", "70", "--draws", "4"];
        let answer = check(&env, "outline FILE", &[&common[..1], args, &common[1..]].concat());
        let area = answer["planform"]["area_mm2"].as_f64().expect("a number");
        assert!((area - area_mm2).abs() < 1.0, "{args:?}: {area}");
    }
}

/// What a photo shows too faintly is said by hand: its corners in the photo of the tour.
#[test]
fn an_outline_by_hand_is_measured_as_it_was_drawn() {
    let env = with_photo();
    let corners = "1120,583 806,901 534,904 458,288 768,264";
    let traced = check(&env, "trace PHOTO", &["trace", "photo.jpg", "--outline", corners]);
    let [area, sd] = ["value", "sd"].map(|k| traced["area_mm2"][k].as_f64().expect("a number"));
    assert!((area / 18269.6 - 1.0).abs() < 0.01 && sd > 40.0, "{area} {sd}");
    assert_eq!(traced["found"]["by"], "hand");
}
