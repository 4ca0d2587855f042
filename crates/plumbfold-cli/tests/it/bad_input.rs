//! Bad input ends in a clear error with exit 1, in bounded time, and nothing is written over.
//! `Env::run` fails the test on a panic, a signal and a run that does not end.

use crate::env::Env;

const HEAD: &str = "plane Test\nsheet A4 upright, 80 g/m2\n";
const HALVES: &str = "crease left edge onto right edge, call it centre\n";
const DART: &str = "\
crease left edge onto right edge, call it centre
valley top left corner onto centre, hinged at top middle, both sides, call it first
mountain along centre
valley near half parallel to centre, 25 mm from it, both sides, call it wing
pose centre opens 10 deg, wing dihedral 8 deg
";

/// Every command that reads a design says the same about a bad one.
const READERS: [&[&str]; 4] = [
    &["check", "bad.plane", "--no-pictures"],
    &["balance", "bad.plane"],
    &["fold", "bad.plane"],
    &["draw", "bad.plane", "--what", "folded"],
];

/// The text is refused by every command, the message has all of `words`, and no file appears.
#[track_caller]
fn refused(text: impl AsRef<[u8]>, words: &[&str]) {
    for reader in READERS {
        let env = Env::with("bad.plane", &text);
        let ran = env.run(reader);
        assert_eq!(ran.code, 1, "{reader:?}:\n{}{}", ran.stdout, ran.stderr);
        assert!(ran.stdout.is_empty(), "{reader:?} answered: {}", ran.stdout);
        for word in words {
            assert!(ran.stderr.contains(word), "{reader:?}: `{word}` is not in:\n{}", ran.stderr);
        }
        assert!(ran.stderr.contains("bad.plane"), "the file is named:\n{}", ran.stderr);
        assert_eq!(env.files(), ["bad.plane"]);
    }
}

/// A design that folds, with one line added.
fn with(line: &str) -> String {
    format!("{HEAD}{HALVES}{line}\n")
}

#[test]
fn the_design_the_bad_ones_are_made_from_is_good() {
    let env = Env::with("good.plane", format!("{HEAD}{DART}"));
    let ran = env.run(&["balance", "good.plane"]);
    assert_eq!((ran.code, ran.stderr.as_str()), (0, ""));
}

#[test]
fn unknown_names() {
    refused(with("valley along centr"), &["centr", "did you mean `centre`?"]);
    refused(with("valley parallel to centre, span from it"), &["span"]);
    refused(format!("{HEAD}{DART}pose centre opens 5 deg, wnig dihedral 3 deg\n"), &["wnig"]);
    refused("plane Test\nsheet A44 upright\n", &["A44"]);
    refused(with("vally along centre"), &["did you mean `valley`?"]);
}

#[test]
fn missing_and_wrong_units() {
    refused(with("valley parallel to centre, 22 from it"), &["22", "mm"]);
    refused(with("valley parallel to centre, 22 deg from it"), &["angle"]);
    refused(with("let tip = 24 mm, from 8 to 45 mm"), &["8"]);
    refused(with("rotate 90"), &["deg"]);
}

#[test]
fn lets_out_of_their_range() {
    refused(with("let tip = 99 mm, from 8 mm to 45 mm"), &["99 mm", "45 mm"]);
    refused(with("let tip = 24 mm, from 45 mm to 8 mm"), &["45 mm"]);
    refused(with("let a = b + 1 mm\nlet b = a"), &["a"]);
    refused(with("let a = 1 mm / 0"), &[]);
}

#[test]
fn settings_that_set_nothing_or_too_much() {
    let env = Env::with("a.plane", format!("{HEAD}let keel = 25 mm, from 15 mm to 40 mm\n{DART}"));
    for (set, words) in [
        ("kel=20mm", "did you mean `keel`?"),
        ("keel=90 mm", "40 mm"),
        ("keel=20 deg", "angle"),
        ("keel=much", "much"),
        ("keel=1e400 mm", ""),
        ("keel=nan", ""),
    ] {
        let ran = env.run(&["balance", "a.plane", "--set", set]);
        assert_eq!(ran.code, 1, "{set}: {}", ran.stderr);
        assert!(ran.stderr.contains(words), "{set}: {}", ran.stderr);
    }
}

#[test]
fn lines_that_miss_the_paper() {
    refused(with("crease parallel to left edge, 500 mm from it"), &["paper"]);
    refused(with("valley through (0 mm, 900 mm) and (10 mm, 900 mm)"), &[]);
}

#[test]
fn flaps_of_no_length() {
    refused(with("valley top middle back by 0 mm along centre"), &[]);
    refused(with("valley parallel to left edge, 0 mm from it, moving left edge"), &[]);
    refused(with("valley through top middle and top middle"), &[]);
}

#[test]
fn folds_that_would_tear() {
    let folded_in_two = "mountain along centre\n";
    refused(
        format!(
            "{HEAD}{HALVES}{folded_in_two}valley top layer parallel to bottom edge, 60 mm from it, moving bottom edge\n"
        ),
        &["tear"],
    );
}

#[test]
fn the_place_of_a_bad_fold_is_drawn() {
    let line = "valley top layer parallel to bottom edge, 60 mm from it, moving bottom edge";
    let env = Env::with("bad.plane", format!("{HEAD}{HALVES}mountain along centre\n{line}\n"));
    let ran = env.run(&["check", "bad.plane"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.ends_with("the place is drawn in out/bad-mistake.svg\n"), "{}", ran.stderr);
    assert!(env.read("out/bad-mistake.svg").contains("<svg"));
    let ran = env.run(&["balance", "bad.plane"]);
    assert!(
        ran.stderr.ends_with("`plumbfold check bad.plane` draws the place\n"),
        "{}",
        ran.stderr
    );
}

#[test]
fn collapses_that_contradict_themselves() {
    let creases = "\
plane Test
sheet square 150 mm
crease top left corner onto bottom right corner, call it rise
crease top right corner onto bottom left corner, call it fall
crease left edge onto right edge, call it upright
";
    refused(format!("{creases}collapse rise valley, fall valley, upright valley\n"), &[]);
    refused(format!("{creases}collapse rise valley, rise mountain\n"), &[]);
    refused(with("waterbomb base"), &["square"]);
}

#[test]
fn planes_without_a_wing_or_a_sheet() {
    let env = Env::with(
        "shut.plane",
        format!("{HEAD}{HALVES}mountain along centre\npose centre opens 0 deg\n"),
    );
    let ran = env.run(&["balance", "shut.plane"]);
    assert_eq!(ran.code, 1, "{}", ran.stdout);
    assert!(ran.stderr.contains("wing"), "{}", ran.stderr);
    refused("", &["sheet"]);
    refused("plane Test\n", &["sheet"]);
    refused("sheet 0 mm by 0 mm\n", &[]);
    refused("sheet 1e30 m by 1 m\n", &[]);
}

#[test]
fn very_many_steps() {
    refused(format!("{HEAD}{}", "turn over\n".repeat(100_000)), &["long"]);
    refused(format!("{HEAD}{}", "turn over\n".repeat(5_000)), &["steps"]);
    refused(format!("{HEAD}repeat 1000 times\nturn over\nend\n"), &["steps"]);
    let nested = "repeat 1000 times\n".repeat(4) + "turn over\n" + &"end\n".repeat(4);
    refused(format!("{HEAD}{nested}"), &["steps"]);
    refused(format!("{HEAD}{}", "let a = 1 mm\n".repeat(5_000)), &[]);
}

#[test]
fn deep_nesting() {
    refused(
        with(&format!("let a = {}1 mm{}", "(".repeat(50_000), ")".repeat(50_000))),
        &["nested"],
    );
    refused(with(&format!("let a = {}1 mm", "-".repeat(50_000))), &[]);
    refused(with(&format!("mark p = {}top middle", "1/2 along line from ".repeat(5_000))), &[]);
    refused(with(&format!("{}{}", "repeat 2 times\n".repeat(2_000), "end\n".repeat(2_000))), &[]);
}

#[test]
fn binary_rubbish() {
    refused([0u8, 159, 146, 150], &["not a text"]);
    refused([b"plane Test\nsheet A4\n".as_slice(), &[0xff, 0xfe]].concat(), &["UTF-8", "line 3"]);
    // Linear congruential noise (Knuth 1998, MMIX constants, from memory): the same every time.
    let mut x = 1u64;
    let mut byte = || {
        x = x.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (x >> 56) as u8
    };
    for _ in 0..8 {
        let noise: Vec<u8> = (0..2_000).map(|_| byte()).collect();
        refused(&noise, &[]);
        let printable: Vec<u8> = noise.iter().map(|b| 32 + b % 95).collect();
        refused(&printable, &[]);
        let lines: Vec<u8> =
            noise.iter().map(|b| if b % 11 == 0 { b'\n' } else { 32 + b % 95 }).collect();
        refused(&lines, &[]);
    }
}

#[test]
fn words_of_the_language_in_any_order() {
    let words: Vec<&str> =
        DART.split_whitespace().chain(["repeat", "end", "mark", "(", ",", "3", "mm"]).collect();
    let mut x = 7u64;
    for _ in 0..12 {
        let mut text = HEAD.to_owned();
        for _ in 0..200 {
            x = x.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            text += words[(x >> 40) as usize % words.len()];
            text += if x >> 61 == 0 { "\n" } else { " " };
        }
        let env = Env::with("bad.plane", &text);
        let ran = env.run(&["balance", "bad.plane"]);
        assert_eq!(ran.code, 1, "{text}");
    }
}

#[test]
fn files_that_are_too_large_missing_or_no_files() {
    refused("# a comment\n".repeat(500_000), &["larger than"]);
    let env = Env::new();
    let ran = env.run(&["check", "missing.plane"]);
    assert_eq!(ran.code, 1);
    assert_eq!(ran.stderr, "error: cannot read missing.plane: no such file or directory\n");
    let ran = env.run(&["check", "."]);
    assert_eq!(ran.code, 1);
    assert!(ran.stderr.starts_with("error: . is a folder: "), "{}", ran.stderr);
    if cfg!(unix) {
        assert_eq!(env.run(&["check", "/dev/zero"]).code, 1);
    }
}

#[test]
fn one_bad_design_does_not_hide_the_good_ones() {
    let env = Env::with("good.plane", format!("{HEAD}{DART}"));
    env.write("bad.plane", with("vally along centre"));
    let ran = env.run(&["check", "bad.plane", "good.plane", "--no-pictures"]);
    assert_eq!(ran.code, 1);
    assert!(ran.stdout.contains("balances at"), "{}", ran.stdout);
    assert!(ran.stderr.contains("bad.plane:4:1"), "{}", ran.stderr);
    let json = env.run(&["check", "bad.plane", "good.plane", "--no-pictures", "--json"]).json();
    assert_eq!(json["planes"][0]["file"], "good.plane");
    assert_eq!(json["errors"][0]["file"], "bad.plane");
}
